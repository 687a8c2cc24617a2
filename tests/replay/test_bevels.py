"""What spoils a plan with bevels is found, and any changed figure of a bevel; the section across an edge by hand."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from stripplan.model.plan.record import to_record
from stripplan.replay.bevels.section import edge_left, section
from stripplan.replay.unchecked import not_checked
from tests.checking import few, in_turn
from tests.replay.bevelled import bevelled
from tests.replay.test_by_hand import Change, at, both, findings
from tests.replay.test_every_figure import leaves

RECORD = to_record(bevelled())
BEVELS = RECORD["bevels"]


def first(**wanted: Any) -> int:
    """The number in the list of the first bevel like this."""
    return next(n for n, each in enumerate(BEVELS) if all(each[key] == value for key, value in wanted.items()))


FENCE, LINE, OVER = first(located="fence"), first(located="marked"), first(face_up=False)
END = first(angle=45.0)
STEEL = [each["name"] for each in RECORD["rig"]["processes"]].index("steel-8")


def of(number: int, key: str, value: Any) -> Change:
    """A bevel with another figure."""
    return at(f"bevels.{number}.{key}", value)


FAULTS: list[tuple[str, str, Change]] = [
    ("bevel_piece", "", of(FENCE, "piece", "P1-1")),
    ("bevel_edge", "", of(FENCE, "edge", [[0.0, 0.0], [10.0, 0.0]])),
    ("bevels", "", lambda record: record["bevels"].pop()),
    ("bevels", "", at("job.parts.0.bevels.0.root_face", 2.5)),
    ("bevels", "", at("job.parts.0.bevels.0.edge", 1)),
    ("bevels", "", at("job.parts.1.bevels.0.face", "first")),
    ("bevels", "", at("job.parts.2.bevels.0.edge", 0)),
    ("bevels", "", lambda record: record["hand_bevels"].pop()),
    ("bevels", "", lambda record: record["job"]["parts"][3].update(bevels=[])),
    ("by_hand", "", at("rig.tilt_max", 55.0)),
    ("by_hand", "", at("hand_bevels.0.why", "reach")),
    ("by_hand", "", at("hand_bevels.0.why", "stroke")),
    ("tilt", "", at("rig.tilt_max", 29.0)),
    ("tilt_shift", "", of(END, "shift", 19.0)),
    ("tilt_shift", "", at("rig.tilt_shift", [[45.0, 20.5]])),
    ("tilt_shift", "", at("rig.tilt_pivot", 21.0)),
    ("axis", "", of(FENCE, "axis", BEVELS[FENCE]["axis"] + 0.1)),
    ("axis", "", both(of(LINE, "axis", -0.5), of(LINE, "depth", 1.0))),
    ("bevel_depth", "", of(FENCE, "depth", 6.1)),
    ("bevel_depth", "", both(of(FENCE, "fence_offset", BEVELS[FENCE]["fence_offset"] + 0.1),
                             of(FENCE, "axis", BEVELS[FENCE]["axis"] + 0.1))),
    ("bevel_depth", "", of(LINE, "axis", BEVELS[LINE]["axis"] + 0.1)),
    ("bevel_depth", "", of(FENCE, "angle", 31.0)),
    ("root_face", "", of(FENCE, "root_face", 2.1)),
    ("root_face", "", of(OVER, "root_face", 1.0)),
    ("through", "", of(FENCE, "through", 8.0)),
    ("reading", "", of(FENCE, "fence_reading", BEVELS[FENCE]["fence_reading"] + 0.5)),
    ("reading", "", of(FENCE, "reading_error", 0.0)),
    ("reading", "", of(LINE, "fence_reading", 50.0)),
    ("reach", "", at("rig.fence_max", 50.0)),
    ("marked", "", at("rig.marked", False)),
    ("datum", "", of(FENCE, "edge_on_fence", BEVELS[FENCE]["edge_on_fence"][::-1])),
    ("datum", "", of(LINE, "edge_on_fence", BEVELS[LINE]["edge"])),
    ("leading", "", of(FENCE, "leading", BEVELS[FENCE]["edge_on_fence"])),
    ("entry", "", of(LINE, "corner_at", BEVELS[LINE]["corner_at"] + 1.0)),
    ("length", "", of(LINE, "length", BEVELS[LINE]["length"] - 1.0)),
    ("end_stop", "", of(FENCE, "end_stop", BEVELS[FENCE]["end_stop"] + 1.0)),
    ("end_stop", "", of(FENCE, "end_stop", BEVELS[FENCE]["end_stop"] - 50.0)),
    ("bed", "", at("rig.bed_length", 250.0)),
    ("process", "", of(FENCE, "process", "steel-3")),
    ("process", "", of(FENCE, "process", "none such")),
    ("kerf", "", of(FENCE, "kerf", 1.9)),
    ("travel_speed", "", of(FENCE, "travel_speed", 500.0)),
    ("travel_speed", "", of(LINE, "travel_speed", BEVELS[LINE]["travel_speed"] + 2.0)),
    ("estimated", "", of(LINE, "estimated", False)),
    ("dial", "", of(FENCE, "dial", 3.0)),
    ("numbers", "", of(0, "number", 99)),
    ("bevel_setup", "", of(END, "setup.tilt", False)),
    ("bevel_setup", "", of(OVER, "setup.turn_over", False)),
    ("bevel_setup", "", of(0, "setup.clear", False)),
    ("turns", "", of(FENCE + 1, "setup.quarter_turns", 1)),
    ("two_person", "", of(0, "setup.two_person", True)),
    ("dress", "", of(FENCE + 1, "setup.dress", [])),
    ("minutes", "", of(END, "minutes.tilt", 0.0)),
    ("minutes", "", at("rig.seconds.tilt", 30.0)),
    ("duty", "", at(f"rig.processes.{STEEL}.duty", [[80.0, 1.0]])),
    ("totals", "", at("totals.bevel_metres", 1.0)),
    ("totals", "", at("totals.tilt_settings", 1)),
    ("bevel_trueness", "", at("parts.0.bevels.0.likely", 9.0)),
    ("bevel_trueness", "", at("parts.0.bevels.0.angle", 31.0)),
    ("bevel_trueness", "", at("parts.0.bevels", [])),
    ("bevel_trueness", "", at("rig.tilt_u", 3.0)),
    ("quotation", "", at("quotation.missing", [])),
    ("warning", "", at("warnings", [])),
]  # fmt: skip
"""Code, nothing, what is changed in the plan."""


def test_a_plan_with_bevels_is_sound() -> None:
    """Nothing is found in it as it is made, and it holds a bevel of each kind."""
    assert findings(copy.deepcopy(RECORD)) == []
    assert {(each["located"], each["face_up"]) for each in BEVELS} >= {("fence", True), ("fence", False)}
    assert {each["why"] for each in RECORD["hand_bevels"]} == {"tilt"}


@pytest.mark.long
@in_turn("code, specimen, change", FAULTS)
def test_each_fault_of_a_bevel_is_named(code: str, specimen: str, change: Change) -> None:
    """A fault put into the plan is found under the code of its rule."""
    record = copy.deepcopy(RECORD)
    change(record)
    assert code in {each.code for each in findings(record)}


def other_than(value: bool | float | int | None) -> bool | float | int:
    """Another value of the same kind, not far from it."""
    if isinstance(value, bool):
        return not value
    return 1.0 if value is None else value + (1 if isinstance(value, int) else 0.1)


@pytest.mark.parametrize("step", few(1, (7, 1)))
def test_no_changed_figure_of_a_bevel_goes_unnoticed(step: int) -> None:
    """Each figure and flag of a bevel on the fence, of one along a line, of those by hand and of what is expected."""
    record = copy.deepcopy(RECORD)
    named = not_checked(bevelled())
    trees = {f"bevels[{n}]": record["bevels"][n] for n in (FENCE, LINE)}
    trees |= {"hand_bevels[0]": record["hand_bevels"][0], "parts[0].bevels[0]": record["parts"][0]["bevels"][0]}
    missed = []
    for place, tree in trees.items():
        for inside, here, key in list(leaves(tree, place))[::step]:
            kept = here[key]
            if inside.endswith(" dropped") or isinstance(kept, str) or any(each.covers(inside) for each in named):
                continue
            if inside.endswith("edge_on_fence"):  # an edge is a list, and is spoilt above
                continue
            here[key] = other_than(kept)
            if not findings(record):
                missed.append(inside)
            here[key] = kept
    assert missed == []


def test_the_section_of_a_bevel_by_hand() -> None:
    """A 3-4-5 triangle: a tilt of atan(3/4) set back by 6 goes 8 deep and through 10; half a kerf of 1.6 is 1 across
    the face, so the axis is 5 in from the edge. Both from one edge of 20 leave what is between them.
    """
    angle = math.degrees(math.atan2(3, 4))
    made = section(100.0, 12.0, 95.0, angle, 1.6)
    assert made.top == pytest.approx(94.0)
    assert made.depth == pytest.approx(8.0)
    assert made.root == pytest.approx(4.0)
    assert made.slanted == pytest.approx(10.0)
    assert edge_left(20.0, [(95.0, angle, 1.6, True)], 100.0) == pytest.approx(12.0)
    assert edge_left(20.0, [(95.0, angle, 1.6, True), (95.0, angle, 1.6, False)], 100.0) == pytest.approx(4.0)
