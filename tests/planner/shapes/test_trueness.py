"""How true shapes will be: by hand from what sets each edge, with the assumed figures of the guide."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stripplan import Rectangle, Shape
from stripplan.files.parts.named_shapes import mitred
from stripplan.model.plan.plan import ExpectedOfShape, Plan
from stripplan.replay.verdict import replay
from tests.planner.shapes.test_with_shapes import made, sheet

BEVEL = 8 * math.tan(math.radians(3))
"""What a bevel of 3 degrees takes of 8 mm [mm]."""


def told(found: Plan, name: str, of: str) -> list[ExpectedOfShape]:
    """What is told of a part."""
    (line,) = (each for each in found.parts if each.name == name)
    return [each for each in line.shape if each.of == of]


def test_a_mitred_strip() -> None:
    """Its width comes off the fence; its length lies between two cuts at 45 degrees, each moved by the bar's stop
    (0.5 mm along the edge), half a kerf (a tenth of 1.5 / 2) and the rail (0.15), seen along the edge at 1 / sin 45,
    and by a quarter of a degree as far as its end lies from where the torch enters; its corners by that quarter."""
    rail = Shape(name="rail", outline=mitred(600, 50, (45, 45), "long"), quantity=2, plus_minus=2.0)
    found = made((rail, Rectangle(name="bar", width=50, length=300)), sheet(1250, 300))
    (width,) = told(found, "rail", "across")
    assert (width.size, width.asked) == (50, 2.0)
    names = {each.cause for each in width.doubts}
    assert {"bevel", "fence reading", "fence zero", "kerf", "rail straightness"} <= names
    assert "angle of the mitre bar" not in names
    (length,) = told(found, "rail", "edge")
    assert length.size == 600
    by_cause = {each.cause: each.plus_minus for each in length.doubts}
    seen = 2 / math.sin(math.radians(45))  # both ends
    assert by_cause["stop of the mitre bar"] == pytest.approx(1.0, abs=1e-3)
    assert by_cause["kerf"] == pytest.approx(0.075 * seen, abs=1e-3)
    assert by_cause["rail straightness"] == pytest.approx(0.15 * seen, abs=1e-3)
    assert by_cause["bevel"] == pytest.approx(BEVEL, abs=1e-3)
    assert by_cause.get("angle of the mitre bar", 0.0) <= seen * math.tan(math.radians(0.25)) * 50 * math.sqrt(2) + 0.05
    assert length.worst == pytest.approx(sum(by_cause.values()), abs=5e-3)
    assert BEVEL < length.likely < length.worst
    assert length.met == (length.likely <= 2.0)
    (angle,) = told(found, "rail", "angle")
    assert angle.doubts[0].cause == "angle of the mitre bar"
    assert 0.25 <= angle.worst <= 0.6
    (bow,) = (each.bow for each in found.parts if each.name == "rail")
    assert bow is not None, "600 long and 50 wide, at least one long edge cut"
    assert bow.limit == 1.2  # ISO 2768-2 class L, over 300 to 1000; from a reproduction


def test_what_is_not_likely_kept_is_warned_of() -> None:
    """A mitred strip asked within half a millimetre: one warning, of its least true size, which the replay misses where
    it is not there; none where nothing is asked."""
    rail = Shape(name="rail", outline=mitred(600, 50, (45, 45), "long"), quantity=2, plus_minus=0.5)
    found = made((rail,), sheet(1250, 300))
    (said,) = (each for each in found.warnings if each.code == "plus_minus_of_shape")
    worst = max((each for each in found.parts[0].shape if each.met is False), key=lambda each: each.likely)
    assert (said.about, said.text.startswith(f"rail: its {worst.size:g} mm")) == ("rail", True)
    left = tuple(each for each in found.warnings if each is not said)
    assert [each.code for each in replay(replace(found, warnings=left))] == ["warning"]
    free = made((replace(rail, plus_minus=None),), sheet(1250, 300))
    assert "plus_minus_of_shape" not in {each.code for each in free.warnings}


def test_a_gusset_by_its_legs() -> None:
    """Both sides at the right angle are told, and no distance across, as nothing is parallel; a plate's own edges are
    as true as the plate."""
    gusset = Shape(name="gusset", outline=((0, 0), (120, 0), (0, 80)))
    found = made((gusset,), sheet(120, 80))
    assert [each.size for each in told(found, "gusset", "edge")] == [120, 80]
    assert not told(found, "gusset", "across")
    on_bar = told(found, "gusset", "edge")
    # One leg ends at the bar's stop, the other has what the bar's angle makes over the whole cut.
    assert min(len(each.doubts) for each in on_bar) >= 3
    assert not {each.cause for one in on_bar for each in one.doubts} & {"fence reading", "fence zero"}
