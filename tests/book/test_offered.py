"""What the book offers a job: all that it has use for, and no piece more is made of the thousands that lie there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stripplan.book.database import Database
from stripplan.book.offered import offered
from stripplan.book.pieces import add, wanted_pieces
from stripplan.book.plans import keep_plan
from stripplan.book.reservations import reserve
from stripplan.errors import InputError
from stripplan.files.rig.read import load_rig
from stripplan.model.job import Job
from stripplan.model.material import serves
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.planner import off_rack, with_rack
from tests.benchmarks.large_rack import invented, wanted
from tests.book.workshop import AT, piece, planned
from tests.checking import calls

RIG = load_rig(None)
LUG = Rectangle(name="lug", width=80.0, length=120.0, material="S235", thickness=6.0)


def filled(path: Path, count: int) -> Database:
    """A book of invented pieces."""
    book = Database(path, create=True)
    add(book, invented(count), AT)
    return book


def test_a_job_is_planned_with_the_same_kinds_as_from_all_pieces(tmp_path: Path) -> None:
    """Kinds, prices and what is told, as if every piece of the rack had been looked at."""
    book, job = filled(tmp_path / "rack.db", 600), wanted()
    there = offered(book, job)
    every = wanted_pieces(book)
    assert len(there.pieces) < len(every) / 10
    mine, whole = off_rack(job, RIG, there.pieces, there.rules, costs=there.costs), with_rack(job, RIG, every)
    assert mine.kinds is not None
    assert mine.kinds.kinds == whole.kinds
    assert [(each.name, pytest.approx(each.cost)) for each in whole.job.plates] == [
        (each.name, each.cost) for each in mine.job.plates
    ]
    assert mine.kinds.said == whole.said


def test_thousands_of_other_pieces_cost_next_to_nothing(tmp_path: Path) -> None:
    """Of each piece that no part can be cut from no call is made, for a job with plates that say what they cost."""
    few, many, job = tmp_path / "few.db", tmp_path / "many.db", replace(wanted(), plates=(_sheet(),))
    pieces = invented(3000)
    serving = [each for each in pieces if serves(each.material, "S235") and each.thickness == 6.0]
    counts = []
    for path, some in ((few, serving), (many, pieces)):
        with Database(path, create=True) as book:
            add(book, some, AT)
            offered(book, job)
            counts.append(calls(lambda book=book: offered(book, job)))  # type: ignore[misc]
    assert counts[1] < counts[0] + 0.1 * (len(pieces) - len(serving))


def _sheet() -> Plate:
    return Plate(name="sheet", length=2500.0, width=1250.0, thickness=6.0, material="S235", cost=190.0)


def test_what_is_not_clear_leaves_all_open(tmp_path: Path) -> None:
    """A plate without material or thickness gets them later: until then no piece is left out."""
    with Database(tmp_path / "rack.db", create=True) as book:
        add(book, [piece(), piece(thickness=8.0), piece(material="1.4301")], AT)
        open_ = replace(_sheet(), material=None, thickness=None)
        some = [Job(name="gate", plates=(plate,), parts=(LUG,)) for plate in (_sheet(), open_)]
        assert [len(offered(book, each).pieces) for each in some] == [1, 3]
        assert len(offered(book, Job(name="gate", plates=(), parts=(LUG,))).pieces) == 1


def test_what_is_named_or_was_promised_before_is_there_whatever_it_is(tmp_path: Path) -> None:
    """A piece that a list names, and those of the plan that it is the rest of; not what is another's."""
    with Database(tmp_path / "rack.db", create=True) as book:
        add(book, [piece(), piece(thickness=8.0), piece(thickness=8.0), piece(thickness=8.0)], AT)
        keep_plan(book, planned(), "0a1b2c3d", "{}", {"P1": 2}, AT)
        reserve(book, [4], "box", AT)
        job = Job(name="gate", plates=(), parts=(LUG,))
        assert [each.number for each in offered(book, job, named=[3], rest_of="0a1b2c3d").pieces] == [1, 2, 3]
        with pytest.raises(InputError, match="R4 is promised to 'box'"):
            offered(book, job, named=[4])
