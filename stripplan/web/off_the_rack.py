"""What a list takes off the rack, for the process that plans it: pieces that it names as its plates, and, where it says
so, any that are free, as `stripplan plan --rack` takes them.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stripplan.model.job import Job
from stripplan.model.rig import Rig

if TYPE_CHECKING:
    from stripplan.planner import OffRack


def rack_of_list(asked: Mapping[str, Any], job: Job, rig: Rig) -> OffRack:
    """The rack as one list sees it. `asked` is what the list says of it: the `book`, whether `any` piece may be taken,
    the pieces that `plates` are by their names, and the `plan` that this is the rest of, whose pieces it may have.
    Raises InputError, also for a piece that is gone or another's.
    """
    from stripplan.planner import OffRack, off_rack

    if not asked:
        return OffRack(job)
    from stripplan.book.database import Database
    from stripplan.book.offered import offered

    own: Mapping[str, list[int]] = asked.get("plates", {})
    rest_of = asked.get("plan") or ""
    named = [number for numbers in own.values() for number in numbers]
    with Database(Path(asked["book"]), create=bool(asked.get("any")), writes=False) as book:
        there = offered(book, job, named=named, rest_of=rest_of)
    if asked.get("any"):  # what the plan before has cut is a plate of the list, or no more
        return off_rack(job, rig, there.pieces, there.rules, own=own, apart=rest_of, costs=there.costs)
    return OffRack(job, own=own, there={each.number: each for each in there.pieces})
