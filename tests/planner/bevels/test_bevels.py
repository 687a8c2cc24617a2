"""Bevels in a plan: where the torch runs by plane trigonometry, in what order, how long, what is left for the hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby

import pytest

from stripplan import choices, plan
from stripplan.errors import InputError
from stripplan.files.plan.read import plan_from
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.sheets.plan_json import plan_text
from tests.replay.bevelled import bevelled, tilting

OPTIONS = Options(effort=Effort(steps=2))


def made(*parts: Part, rig: Rig | None = None, thickness: float = 8) -> Plan:
    """A plan of these parts from one sheet."""
    plate = Plate(name="sheet", length=900, width=320, thickness=thickness, material="S235", measured=True)
    return plan(Job(name="bevels", plates=(plate,), parts=parts, options=OPTIONS), rig or tilting())


def web(*bevels: Bevel, **more: object) -> Rectangle:
    """An 80 by 300 web."""
    return Rectangle(name="web", width=80, length=300, bevels=bevels, **more)  # type: ignore[arg-type]


def codes(made: Plan) -> set[tuple[str, str]]:
    """Codes of warnings, and what they are about."""
    return {(each.code, each.about) for each in made.warnings}


def test_the_torch_runs_where_trigonometry_says() -> None:
    """80 wide, 8 thick, 30 degrees, 2 of root face, kerf 1.7: 6 tan 30 = 3.464 off the face, 76.536 stay, half the kerf
    across it is 0.85 / cos 30 = 0.981, so the axis is 77.517 from the fence; it strikes 11.5 farther out.
    """
    one, other = made(web(Bevel(edge=0, angle=30, root_face=2), Bevel(edge=2, angle=30, root_face=2))).bevels
    assert one.axis == pytest.approx(80 - 6 / math.sqrt(3) + 0.85 / (math.sqrt(3) / 2), abs=1e-5)
    assert one.fence_offset == pytest.approx(one.axis - 11.5)
    assert one.fence_reading == 66.0  # 66.017 on a scale read to halves
    assert one.through == pytest.approx(6 * 2 / math.sqrt(3), abs=1e-5)
    assert (one.depth, one.root_face, one.estimated) == (6.0, 2.0, False)
    assert (one.end_stop, one.length) == (320.0, 300.0)  # 10 of lead-in, 300, 8 of overrun: the next mark
    assert other.fence_reading == one.fence_reading  # its datum edge is bevelled, and lies there with its root
    assert other.setup.quarter_turns == 2
    assert [other.setup.fence, other.setup.tilt, other.setup.end_stop] == [False] * 3


def test_a_deep_bevel_is_cut_slower() -> None:
    """With no root face 8 / cos 45 = 11.3 mm are cut: 620 (8 / 11.314)^1.82 = 330 mm/min, an estimate and told so."""
    deep = made(web(Bevel(edge=0, angle=45)))
    (cut,) = deep.bevels
    assert cut.travel_speed == math.floor(620 * math.cos(math.radians(45)) ** 1.82)
    assert cut.estimated
    assert {("bevel_estimated", "web"), ("tilt_shift_assumed", "tilt 45")} <= codes(deep)


def test_both_faces_leave_the_root_between_them() -> None:
    """An edge bevelled from both faces: 3 from each of 8, the piece turned over between, 2 stay."""
    both = made(web(Bevel(edge=0, angle=30, root_face=2, face="both"))).bevels
    assert [(each.depth, each.root_face, each.face_up) for each in both] == [(3.0, 2.0, True), (3.0, 2.0, False)]
    assert both[1].setup.turn_over
    assert not both[1].setup.fetch
    uneven = made(web(Bevel(edge=0, angle=30, depth=2), Bevel(edge=0, angle=45, depth=5, face="other"))).bevels
    assert sorted((each.depth, each.root_face) for each in uneven) == [(2.0, 1.0), (5.0, 1.0)]


def test_bevels_come_last_by_tilt_and_setting_and_count() -> None:
    """After all cuts, each tilt and reading set once; totals, bound and worth of hands hold them."""
    found = bevelled()
    assert [each.number for each in found.bevels] == list(
        range(len(found.cuts) + 1, len(found.cuts) + len(found.bevels) + 1)
    )
    tilts = [each.angle for each in found.bevels]
    assert len([*groupby(tilts)]) == len(set(tilts)) == found.totals.tilt_settings
    minutes = sum(each.minutes.total for each in found.bevels)
    assert found.totals.bevel_minutes == pytest.approx(minutes)
    assert found.totals.minutes == pytest.approx(minutes + sum(each.minutes.total for each in found.cuts))
    assert found.proof.minutes.bound <= found.proof.minutes.found == pytest.approx(found.totals.minutes)
    assert found.total is not None
    assert found.total.hands == pytest.approx(found.total.minute * found.totals.minutes)
    without = replace(found.job, parts=tuple(replace(each, bevels=()) for each in found.job.parts))
    plain = plan(without, found.rig)
    assert plain.cuts == found.cuts  # the layout does not know of them
    assert plain.total is not None
    arcs = sum(each.minutes.arc for each in found.bevels)
    more = found.total.bound - plain.total.bound
    assert found.total.minute * arcs < more < found.total.minute * minutes  # their arcs burn in any layout and order
    assert plan_text(plan_from(plan_text(found), name="plan.json")) == plan_text(found)


def test_what_the_rig_cannot_cut_is_left_for_the_hand() -> None:
    """A torch that does not tilt, an edge out of reach, one longer than the stroke, a nick: told with the reason."""
    bevel = Bevel(edge=0, angle=30, root_face=2)
    cases = {
        "tilt": (web(bevel), tilting(tilt_max=25.0)),
        "reach": (web(bevel), tilting(fence_min=70.0, marked=False)),
        "stroke": (replace(web(bevel), length=500), tilting(stroke=450.0)),
        "thin": (web(Bevel(edge=0, angle=30, depth=0.5)), tilting()),
    }
    for why, (part, rig) in cases.items():
        found = made(part, rig=rig)
        assert [each.why for each in found.hand_bevels] == [why]
        assert ("bevel_by_hand", "web") in codes(found)
        assert not found.bevels
        assert found.totals.hand_bevel_metres == pytest.approx(math.dist(*found.hand_bevels[0].edge) / 1000)
    (line,) = made(web(bevel), rig=tilting(fence_min=70.0)).bevels  # out of reach, but a line may be scribed
    assert line.located == "marked"
    assert line.axis == pytest.approx(80 - 77.517394, abs=1e-5)


@pytest.mark.parametrize(
    ("bevels", "more", "says"),
    [
        ((Bevel(edge=0, angle=30, root_face=8),), {}, "a root face of 8 mm leaves nothing to bevel of 8 mm"),
        ((Bevel(edge=0, angle=30), Bevel(edge=0, angle=45)), {}, "edge lower is bevelled twice from the first face"),
        ((Bevel(edge=1, angle=30), Bevel(edge=1, angle=30, face="other")), {}, "16 mm deep together, in 8 mm"),
        ((Bevel(edge=0, angle=30),), {"allowance": 1.0}, "a bevelled edge has no allowance"),
        ((Bevel(edge=0, angle=60), Bevel(edge=2, angle=60)), {"width": 28}, "less than 1 mm of its 28 mm is left"),
    ],
)
def test_bevels_that_cannot_be_are_refused(bevels: tuple[Bevel, ...], more: dict[str, float], says: str) -> None:
    """Each with the figure, the limit and a way out."""
    with pytest.raises(InputError) as error:
        made(replace(web(*bevels), **more))  # type: ignore[arg-type]
    assert says in str(error.value)
    assert "(" in str(error.value)


def test_a_root_face_is_as_true_as_its_causes_make_it() -> None:
    """At 45 degrees each mm of line or width is one of root face; a scale read to 0.5 gives 0.25 of it, 5 % of 8 mm
    0.4, a degree on 3 mm depth 3 / (sin 45 cos 45) pi / 180 = 0.105. A line along the edge is free of the part's size.
    """
    found = made(web(Bevel(edge=0, angle=45, depth=3)), rig=tilting(marked=False))
    (row,) = found.parts[0].bevels
    causes = {each.cause: each.plus_minus for each in row.doubts}
    assert causes["fence reading"] == pytest.approx(0.25)
    assert causes["thickness of the plate"] == pytest.approx(0.4)
    assert causes["tilt of the torch"] == pytest.approx(math.radians(6), abs=1e-3)
    assert causes["size of the part"] == pytest.approx(found.parts[0].accuracy[0].worst, abs=1e-3)
    assert row.root_face == pytest.approx(5 + (found.bevels[0].reading_error or 0), abs=1e-3)
    line = made(web(Bevel(edge=0, angle=45, depth=3)), rig=tilting(fence_min=90.0)).parts[0].bevels[0]
    assert "size of the part" not in {each.cause for each in line.doubts}
    assert line.likely < row.likely


def test_choices_tell_the_time_of_bevels() -> None:
    """The minutes of a choice hold its bevels, before any of it is planned: as the plan has them, but for what lies on
    the bed before the first."""
    found = bevelled()
    (offered,) = choices(found.job, found.rig)
    assert found.total is not None
    assert offered.minutes == pytest.approx(found.totals.minutes, abs=1.0)
    assert offered.total == pytest.approx(found.total.total, abs=1.0)
    plain = replace(found.job, parts=tuple(replace(each, bevels=()) for each in found.job.parts))
    assert offered.minutes - choices(plain, found.rig)[0].minutes == pytest.approx(found.totals.bevel_minutes, abs=1.0)
