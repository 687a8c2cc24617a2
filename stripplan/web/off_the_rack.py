"""What a list takes off the rack, for the process that plans it: pieces that it names as its plates, and, where it says
so, any that are free, as `stripplan plan --rack` takes them.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stripplan.errors import PlanFaultError
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.wording.show import Units, worded


class RackOfList:
    """The rack as one list sees it. `asked` is what the list says of it: the `book`, whether `any` piece may be taken,
    the pieces that `plates` are by their names, and the `plan` that this is the rest of, whose pieces it may have.
    """

    def __init__(self, asked: Mapping[str, Any], job: Job, rig: Rig) -> None:
        """Look up what the job may take. Raises InputError, also for a piece that is gone or another's."""
        self.job, self.notes = job, tuple[str, ...]()
        self._named: Mapping[str, list[int]] = asked.get("plates", {})
        self._places: dict[int, str] = {}
        self._found = None
        if not asked:
            return
        from stripplan.book.database import Database, refused
        from stripplan.book.keep import keep_rules
        from stripplan.book.pieces import numbered, still_there
        from stripplan.book.plans import pieces_for
        from stripplan.model.plan.jobs import names_of
        from stripplan.model.rack.keep import with_keep_rules
        from stripplan.planner import with_rack

        named = [number for numbers in self._named.values() for number in numbers]
        with Database(Path(asked["book"]), create=bool(asked.get("any")), writes=False) as book:
            free = pieces_for(book, names_of(job.jobs, job.name), [asked["plan"]] if asked.get("plan") else [])
            with book.reading() as connection:
                pieces = numbered(book, connection, named)
            still_there(book, pieces)
            for each in pieces:
                if each.number not in {one.number for one in free}:
                    raise refused(book.path, "promised", piece=each.name, job=each.job, plan=each.plan)
            rules = keep_rules(book)
        self._places = {each.number: each.place for each in free}
        if asked.get("any"):
            of = asked.get("plan") or None  # what that plan has cut is a plate of the list, or no more
            others = [each for each in free if each.number not in named and of not in (each.plan, each.from_plan)]
            self._found = with_rack(with_keep_rules(job, rules), rig, others)
            self.job = self._found.job
            units = Units(job.units, job.inch_fraction)
            told = (worded(each, units) for each in self._found.said)
            self.notes = tuple(f"{each.text}" + (f" ({each.hint})" if each.hint else "") for each in told)

    def named(self, made: Plan) -> Plan:
        """The plan with the very pieces that its plates are."""
        from stripplan.planner import named_pieces, of_pieces, unsound

        waiting = {name: iter(numbers) for name, numbers in self._named.items()}
        own = {each.id: next(waiting[each.stock]) for each in made.plates if each.stock in waiting}
        if self._found is not None:
            taken = self._found.taken((each.id, each.stock) for each in made.plates if each.id not in own)
            made = named_pieces(made, taken, self._places)
        made = of_pieces(made, own, self._places)
        if (own or self._found is not None) and (faults := unsound(made)):
            raise PlanFaultError(faults)
        return made
