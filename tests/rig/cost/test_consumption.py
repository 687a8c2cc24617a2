"""What a cut takes: power, air, a share of what wears out."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stripplan.model.prices import Prices
from stripplan.rig.cost.consumption import air_flow, air_litres, compressor_energy, cut_energy, mains_power, wear_share
from tests.rig.cost.test_quotation import ALL, exactly


def test_arc_power_by_the_conventional_voltage() -> None:
    """40 A: 96 V, 3840 W at the arc (U2 = 80 + 0.4 I2: IEC 60974-1, from memory);
    an hour at efficiency 0.8 is 4.8 kWh.
    """
    assert mains_power(40, efficiency=1) == pytest.approx(3840, abs=0.5)
    assert mains_power(40) == pytest.approx(3840 / 0.85)
    assert cut_energy(40, 60, efficiency=0.8) == pytest.approx(4.8)


def test_air_of_one_cut() -> None:
    """120 l/min for 0.5 + 64 + 3 s are 135.0 l (flow times time, computed)."""
    assert air_litres(120, pre_flow=0.5, arc=64, post_flow=3) == pytest.approx(135, abs=0.1)


@pytest.mark.parametrize(
    ("low", "high", "cubic_feet", "litres"), [(20, 30, 4, 113), (40, 50, 5, 142), (60, 80, 6, 170), (85, 100, 8, 227)]
)
def test_air_by_current(low: float, high: float, cubic_feet: float, litres: float) -> None:
    """Air of a torch at 90 psi by current, in both units: a trade guide, common practice."""
    assert air_flow(low) == air_flow(high) == litres
    assert cubic_feet * 28.316846592 == pytest.approx(litres, abs=0.6)  # cubic foot: NIST SP 811, B.8


def test_air_between_and_beyond_the_rows() -> None:
    """Straight between rows (82.5 A: half way from 170 to 227), never less for more current,
    none outside 20 to 100 A.
    """
    assert air_flow(82.5) == pytest.approx(198.5)
    assert air_flow(19.9) is None
    assert air_flow(100.1) is None
    flows = [air_flow(20 + step / 2) or 0 for step in range(161)]
    assert flows == sorted(flows)


def test_wear() -> None:
    """A quarter of the starts and a tenth of the hours:
    0.35 added up (linear damage), 0.25 by the greater (common practice).
    """
    assert wear_share(50, 0.3, life_starts=200, life_hours=3) == pytest.approx(0.35)
    assert wear_share(50, 0.3, life_starts=200, life_hours=3, wear="max") == pytest.approx(0.25)


def test_wear_that_is_assumed() -> None:
    """200 starts of 150 to 300, 3 arc hours of 2 to 3 by hand and 3 to 5 by machine:
    trade page and maker's rule, common practice.
    """
    assert 150 <= Prices().tip_life.starts == 200 <= 300
    assert 2 <= Prices().electrode_life.arc_hours == 3 <= 5
    assert Prices().assumed == ("tip_starts", "tip_hours", "electrode_starts", "electrode_hours")
    assert ALL.assumed == ("electrode_starts", "electrode_hours")


def test_compressor() -> None:
    """6 kW for 1 m3/min: in the minute of a m3 it takes a tenth of a kWh (arithmetic)."""
    assert compressor_energy(6) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: mains_power(0), "current 0 must be above 0"),
        (lambda: mains_power(40, efficiency=1.2), "efficiency 1.2 must not be above 1"),
        (lambda: cut_energy(40, -1), "arc minutes -1 must not be below 0"),
        (lambda: air_flow(-20), "current -20 must be above 0"),
        (lambda: air_litres(-1, pre_flow=0, arc=1, post_flow=0), "flow -1 must not be below 0"),
        (lambda: air_litres(1, pre_flow=0, arc=1, post_flow=-3), "post-flow -3 must not be below 0"),
        (lambda: compressor_energy(math.inf), "compressor power inf must be a finite number"),
        (lambda: wear_share(-1, 0), "starts -1 must not be below 0"),
        (lambda: wear_share(1, 0, life_starts=0), "life in starts 0 must be above 0"),
    ],
)
def test_bad_figures_of_the_formulas(call: Any, words: str) -> None:
    """Each names its figure and the limit."""
    with pytest.raises(ValueError, match=exactly(words)):
        call()
