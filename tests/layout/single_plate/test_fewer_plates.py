"""One plate less: the parts of the emptiest go onto the others, or nothing is changed."""

from __future__ import annotations

import pytest

from stripplan.layout.problem import Problem
from stripplan.layout.single_plate import fewer_plates
from stripplan.layout.single_plate.fewer_plates import one_plate_less
from stripplan.layout.stop_rule import never
from stripplan.layout.tree import FilledStock, Tree
from tests.layout.problems import problem, rules


def asked_of(narrowest: int = 0) -> Problem:
    """Two parts of 100 x 60, one of 100 x 30, one of 100 x 38."""
    items = [(100, 60, 2), (100, 30, 1), (100, 38, 1)]
    return problem([(100, 100, None, 1.0)], items, rig=rules(narrowest=narrowest))


def emptied() -> list[FilledStock]:
    """Three plates of 100 x 100: the second has the least, and one of the others has room for it."""
    room = Tree(100, 100, cut="along", children=(Tree(100, 60, item=0),), left=40)
    little = Tree(100, 100, cut="along", children=(Tree(100, 30, item=1),), left=70)
    full = Tree(100, 100, cut="along", children=(Tree(100, 60, item=0), Tree(100, 38, item=2)), left=2)
    return [FilledStock(0, tree) for tree in (room, little, full)]


def test_a_part_goes_onto_the_plate_that_holds_it() -> None:
    """The emptiest plate is given up, its part lies on the other that has room, and every part is there once."""
    asked = asked_of()
    plates = one_plate_less(asked, emptied(), steps=10_000, out_of_time=never)
    assert plates is not None
    assert sorted(item for plate in plates for item in plate.items) == [0, 0, 1, 2]
    assert [plate.items.count(1) for plate in plates] == [1, 0]
    assert all(asked.is_legal(plate.stock, plate.tree) for plate in plates)


def test_nothing_is_changed_where_a_part_finds_no_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """What would be left beside 60 and 30 is a sliver; a single plate stays; so does all when time or tries are
    over.
    """
    asked = asked_of(narrowest=15)
    assert one_plate_less(asked, emptied(), steps=10_000, out_of_time=never) is None
    asked = asked_of()
    assert one_plate_less(asked, emptied()[:1], steps=10_000, out_of_time=never) is None
    assert one_plate_less(asked, emptied(), steps=10_000, out_of_time=lambda: True) is None
    monkeypatch.setattr(fewer_plates, "MOST_TRIES", 0)
    assert one_plate_less(asked, emptied(), steps=10_000, out_of_time=never) is None
