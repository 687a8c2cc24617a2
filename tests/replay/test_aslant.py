"""Plans with cuts at an angle, written by hand, pass; each fault put into them is found, and any changed figure."""

from __future__ import annotations

import copy
import math
from itertools import islice
from typing import Any

import pytest
from shapely.geometry import Polygon, box

from stripplan.files.plan.read import plan_from
from stripplan.model.plan.record import to_record
from stripplan.replay.aslant.outlines import as_cut, holds, lies_as, narrowest
from stripplan.sheets.plan_json import plan_text
from tests.checking import few, in_turn
from tests.replay.aslant_by_hand import SOUND
from tests.replay.test_by_hand import Change, at, both, findings, numbers

RECORDS = {name: to_record(made()) for name, made in SOUND.items()}

FAULTS: list[tuple[str, str, Change]] = [
    ("line", "two gussets", at("cuts.0.mitre.angle", 33.8)),
    ("line", "two gussets", at("cuts.0.mitre.stop", 301.4)),
    ("line", "on the slanted edge", at("cuts.1.fence_offset", 107.0)),
    ("line", "clipped by marks", at("cuts.0.marks.along.1", 118.0)),
    ("bar", "trapezia", at("cuts.1.mitre.edge.1.0", 500.0)),
    ("bar", "trapezia", at("cuts.1.mitre.corner.0", 50.0)),
    ("bar_fresh", "trapezia", both(at("plates.0.edges.2", "cut"), at("job.plates.0.edges.2", "cut"))),
    ("datum_fresh", "on the slanted edge", at("cuts.1.setup.dress", [])),
    ("corner", "on the slanted edge", at("cuts.1.passes.0.corner_at", 0.0)),
    ("mitre_angle", "two gussets", at("rig.mitre_max", 33.0)),
    ("mitre_angle", "clipped", at("rig.mitre_min", 46.0)),
    ("mitre_mark", "two gussets", at("rig.mitre_step", 0.5)),
    ("mitre_mark", "two gussets", at("cuts.0.mitre.reading", 33.5)),
    ("mitre_mark", "two gussets", both(at("rig.mitre_step", 0.5), at("cuts.0.mitre.reading", 34.0))),
    ("mitre_mark", "two gussets", both(at("rig.mitre_step", 0.5), at("cuts.0.mitre.reading", 33.6))),
    ("mitre_stop", "two gussets", at("rig.mitre_stop_max", 301.0)),
    ("mitre_stop", "two gussets", both(at("cuts.0.mitre.corner", [302.704163, 0.0]),
                                       at("cuts.0.mitre.stop", 1.352081))),
    ("mitre_stop", "clipped", at("rig.mitre_stop_zero", 102.0)),
    ("mitre_flag", "parallelograms", at("cuts.2.setup.mitre", True)),
    ("mitre_flag", "trapezia", at("cuts.1.setup.mitre", False)),
    ("minutes", "trapezia", at("cuts.1.minutes.mitre", 0.0)),
    ("minutes", "two gussets", at("rig.seconds.mitre", 30.0)),
    ("located", "two gussets", at("cuts.0.mitre", None)),
    ("located", "on the slanted edge", at("cuts.1.located", "mitre")),
    ("entry", "trapezia", at("cuts.1.passes.0.leading", [[46.188022, 80.0], [0.0, 0.0]])),
    ("end_stop", "two gussets", at("cuts.0.passes.0.end_stop", 380.0)),
    ("end_stop", "trapezia", at("cuts.1.passes.0.end_stop", 110.0)),
    ("shape", "two gussets", at("job.parts.0.outline.1.0", 299.9)),
    ("shape", "clipped", at("job.parts.0.outline.2.1", 59.9)),
    ("shape", "parallelograms", at("job.parts.0.allowance", 0.1)),
    ("rolling", "trapezia", both(at("job.parts.0.rolling", "width"), at("job.plates.0.rolling", "length"))),
    ("rolling", "two gussets", both(at("job.parts.0.outline", [[0.0, 0.0], [200.0, 0.0], [0.0, 300.0]]),
                                    at("job.parts.0.rotate", False), at("parts.0.size_wanted", [300.0, 200.0]))),
    ("size_expected", "clipped", at("parts.0.size_expected", [[80.0, 120.0]])),
    ("size_wanted", "clipped", at("parts.0.size_wanted.1", 121.0)),
    ("outline", "trapezia", at("pieces.3.outline.2.0", 153.0)),
    ("marks", "clipped by marks", both(at("cuts.0.marks.along.1", 140.0), at("cuts.0.marks.distance.1", 38.93934))),
    ("marks", "clipped by marks", both(at("cuts.0.marks.along.1", 105.0), at("cuts.0.marks.distance.1", 3.93934))),
    ("marked", "clipped by marks", at("rig.marked", False)),
    ("turns", "trapezia", at("cuts.1.setup.quarter_turns", 1)),
    ("runs", "parallelograms", at("runs.1.count", 1)),
    ("keep", "clipped", at("job.options.keep", [8.0, 8.0])),
    ("keep", "trapezia", at("pieces.1.kind", "offcut")),
    ("line", "clipped face down", at("cuts.0.mitre.angle", 45.0)),
    ("outline", "clipped face down", at("cuts.0.makes", ["P1-2", "P1-3"])),
    ("lost", "clipped", at("cuts.0.makes", ["P1-2", None])),
    ("narrowest_part", "parallelograms", at("rig.narrowest_part", 40.1)),
    ("as_rectangles", "two gussets", at("as_rectangles", {"plates": 0, "used_area": 1e5, "total": 50.0})),
    ("edition", "two gussets", at("stripplan_version", "0.1.0")),
]  # fmt: skip
"""Code, sound plan, what is changed in it."""


@pytest.mark.parametrize("specimen", SOUND)
def test_plans_with_cuts_at_an_angle_are_sound(specimen: str) -> None:
    """Nothing is found in a plan whose angles, stops and lines were worked out by trigonometry."""
    assert findings(copy.deepcopy(RECORDS[specimen])) == []


@in_turn("code, specimen, change", FAULTS)
def test_each_fault_of_a_cut_at_an_angle_is_named(code: str, specimen: str, change: Change) -> None:
    """A fault put into a sound plan is found under the code of its rule."""
    record = copy.deepcopy(RECORDS[specimen])
    change(record)
    assert code in {each.code for each in findings(record)}


@pytest.mark.parametrize("specimen", few(1, ["on the slanted edge", "trapezia"]))
def test_no_changed_figure_of_a_cut_at_an_angle_goes_unnoticed(specimen: str) -> None:
    """Each figure of plates, pieces and cuts, a tenth of a millimetre or degree more, is found."""
    record = copy.deepcopy(RECORDS[specimen])
    missed = []
    every = (path for key in ("plates", "pieces", "cuts", "runs") for path in numbers(record[key], (key,)))
    for *steps, last in islice(every, 0, None, 1 if specimen == "trapezia" else 5):
        inner: Any = record
        for step in steps:
            inner = inner[step]
        kept = inner[last]
        inner[last] += 1 if isinstance(kept, int) else 0.1
        if not findings(record):
            missed.append((*steps, last))
        inner[last] = kept
    assert missed == []


@pytest.mark.parametrize("specimen", SOUND)
def test_a_plan_with_cuts_at_an_angle_comes_back_from_its_file(specimen: str) -> None:
    """Written and read again it is the same plan, shapes, bar and marks."""
    made = SOUND[specimen]()
    text = plan_text(made)
    assert plan_text(plan_from(text, name="plan.json")) == text
    assert plan_from(text, name="plan.json").job == made.job


def test_an_outline_is_found_however_it_lies() -> None:
    """Turned by 30 degrees and mirrored, a triangle with sides 3, 4, 5 is itself; a side 0.05 mm longer is not.

    The circle inscribed in a triangle 30, 40, 50 has a radius of 10 (Euclid IV.4); so with an allowance of 10 on each
    edge the triangle is as large again: 60, 80, 100.
    """
    wanted = Polygon([(0, 0), (40, 0), (0, 30)])
    turned = Polygon([(0, 0), (-40 * math.sqrt(3) / 2, 20), (30 / 2, 30 * math.sqrt(3) / 2)])
    (lie,) = lies_as(turned, wanted)
    assert (lie.over, lie.quarters) == (True, None)
    assert [each.quarters for each in lies_as(Polygon([(0, 0), (0, 40), (-30, 0)]), wanted)] == [1]
    assert lies_as(Polygon([(0, 0), (40.05, 0), (0, 30)]), wanted) == []
    assert lies_as(Polygon([(0, 0), (20, 0), (40, 0), (0, 30)]), wanted)  # a point on an edge is no corner
    assert len(lies_as(box(0, 0, 5, 5), box(0, 0, 5, 5))) == 8
    assert lies_as(Polygon([(0, 0), (80, 0), (0, 60)]), as_cut(wanted.exterior.coords[:-1], 10.0))


def test_a_blunt_corner_a_hair_off_is_the_corner() -> None:
    """Two sides at 1 : 100 meet at (50, 0.5). With 0.0025 mm off the top there are two corners 0.5 mm apart instead,
    each 0.0025 mm off the outline; 0.025 mm off is another shape, and so is a hair off an edge that is much on a
    point: beside an angle of 1 in 20, 0.004 mm at the edge moves the point by 0.08."""
    blunt = [(0, 0), (50, -0.5), (100, 0), (100, 40), (0, 40)]
    wanted = Polygon([(float(x), float(y)) for x, y in blunt])
    for deep, ways in ((0.0025, 2), (0.025, 0)):
        worn = wanted.intersection(box(-1, deep - 0.5, 101, 41))
        assert len(worn.exterior.coords) - 1 == 6
        assert len(lies_as(worn, wanted)) == ways, "as it is and turned over"
    point = Polygon([(0, 0), (100, 0), (100, 5)])
    assert lies_as(Polygon([(0.08, 0), (100, 0), (100, 4.996)]), point) == []


def test_what_fits_into_a_triangle() -> None:
    """Into a right triangle with legs a and b fits a rectangle of half of each, and none larger (Euclid VI.27)."""
    triangle = Polygon([(0, 0), (60, 0), (0, 40)])
    assert holds(triangle, 29.99, 19.99)
    assert not holds(triangle, 30.2, 20.2)
    assert narrowest(triangle) == pytest.approx(60 * 40 / math.hypot(60, 40))
