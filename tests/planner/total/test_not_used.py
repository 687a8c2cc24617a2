"""Of plates that were there and are not used it is told why, from what was weighed, and nothing is made up."""

from __future__ import annotations

from stripplan.files.rig.read import load_rig
from stripplan.layout import Layout
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.pattern import Leaf, Pattern
from stripplan.model.plate import Plate
from stripplan.planner import plan
from stripplan.planner.search_control import Search
from stripplan.planner.settled import settle
from stripplan.planner.total.cheapest import Total, Weighed, _dearer_with
from stripplan.planner.total.not_used import not_used
from stripplan.wording.message import Message
from stripplan.wording.show import worded

SAME = {"thickness": 6.0, "material": "mild steel"}
RIG = load_rig()


def plate(name: str, length: float, width: float, cost: float, *, offcut: bool = True) -> Plate:
    return Plate(name=name, length=length, width=width, cost=cost, offcut=offcut, **SAME)  # type: ignore[arg-type]


def weighed(total: float, *plates: int) -> Weighed:
    """A layout on these plates that comes to that in all."""
    patterns = [Pattern(each, Leaf("offcut", 10.0, 10.0)) for each in plates]
    layout = Layout(patterns, {}, bound=None, steps=0)  # type: ignore[arg-type]
    return Weighed(layout, None, Total(total, 0.0, 0.0, 1.0), len(plates), 0.0, 1, 1)  # type: ignore[arg-type]


def test_the_cheapest_that_was_weighed_with_a_plate_counts() -> None:
    """Of each plate that the cheapest layout leaves: by sums, 154 less 137 and 140 less 137."""
    some = [weighed(146.0, 0), weighed(154.0, 0, 1), weighed(137.0, 0), weighed(160.0, 1, 2), weighed(140.0, 2)]
    assert _dearer_with(some) == {1: 17.0, 2: 3.0}


def test_each_reason_is_told_with_its_plates() -> None:
    """What gives no part, what was weighed, what never came near; nothing of a plate that is used, has a warning of its
    own, or of which nothing was compared."""
    plates = (
        plate("sheet", 1000, 500, 40.0, offcut=False), plate("narrow bit", 700, 35, 1.0),
        plate("by the door", 400, 300, 30.0), plate("new", 420, 300, 35.0), plate("long bit", 900, 20, 1.0),
    )  # fmt: skip
    bars = (Rectangle(name="bar", width=60, length=600, quantity=3), Rectangle(name="pad", width=60, length=60))
    job = Job(name="shelf", plates=plates, parts=bars, options=Options(effort=Effort(steps=2)))
    told: list[Message] = []
    made = plan(job, RIG, unused=told.extend)
    assert {each.stock for each in made.plates} == {"sheet"}
    settled, search = settle(job, RIG), Search(Effort())
    assert [worded(each).text for each in not_used(settled, made, search)] == [
        "long bit, narrow bit: no part comes out of it"
    ]
    search.compared, search.dearer_with = set(range(5)), {2: 11.259}
    said = [worded(each).text for each in not_used(settled, made, search)]
    assert said == [
        "by the door: the best plan tried with it costs 11.26 more",
        "long bit, narrow bit: no part comes out of it",
        "new: no plan tried with it came near the cheapest",
    ]
    assert [worded(each).text for each in told if "no part" in worded(each).text] == [said[1]]
