"""Minutes of a cut, masses, dial."""

from __future__ import annotations

import pytest

from stripplan.model.plate import plate_mass
from stripplan.model.rig import Rig
from stripplan.rig.machine.timing import arc_seconds, dial_for, return_seconds


def test_one_cut_in_seconds() -> None:
    """0.5 + 64 + 3 + 9.6 = 77.1 s: travel 640 mm at 600 mm/min, return at 4000 mm/min (worked by hand)."""
    assert 0.5 + arc_seconds([640], 600) + 3 + return_seconds([640], 4000) == pytest.approx(77.1, abs=0.05)


@pytest.mark.parametrize(
    ("size", "material", "kilograms"),
    [
        ((2000, 1000, 10), "mild steel", 157.0),  # printed in an engineering tutorial
        ((2500, 1250, 6), "mild steel", 147.188),
        ((2000, 1000, 3), "stainless", 48.0),
        ((2500, 1250, 5), "aluminium", 42.188),
        ((2500, 50, 8), "mild steel", 7.85),
    ],
)
def test_mass(size: tuple[float, float, float], material: str, kilograms: float) -> None:
    """Mass = length x width x thickness x density."""
    assert plate_mass(*size, material) == pytest.approx(kilograms, abs=0.01)


def test_dial_between_marks_and_not_beyond() -> None:
    """A straight line between measured marks; outside the table there is no mark."""
    rig = Rig(dial=((2, 200), (8, 700)))
    assert dial_for(rig, 450) == 5
    assert dial_for(rig, 750) is None
