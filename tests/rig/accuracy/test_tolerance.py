"""The stack of one dimension: worked examples of the GUM, chance by simulation, chains of cuts stepped through,
classes, what to improve."""

from __future__ import annotations

import math
import re
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.rig.accuracy import tolerance
from stripplan.rig.accuracy.error_counts import ErrorCounts, chain
from stripplan.rig.accuracy.error_stack import SHIFT, Contribution, Stack
from stripplan.rig.accuracy.tolerance import BEVEL, BOW, KERF, MARKING, PARALLEL, RAIL, READING, ZERO
from stripplan.rig.process import camber
from stripplan.rig.process.kerf import Way
from stripplan.rig.uncertainty import Estimate

MEASURED: dict[str, Any] = {
    "half_step": 0.25, "fence_u": 0.10, "kerf_half_width": 0.20, "rail": 0.15, "fence_angle": 0.0, "bevel": 0.0,
}  # fmt: skip
"""The strip on the fence of the worked example, and nothing outside the root."""


def strip(**others: Any) -> tolerance.Expected:
    """A strip 50 mm wide in 6 mm plate, as in the worked example but for `others`."""
    return expected(**{**MEASURED, **others})


def expected(**figures: Any) -> tolerance.Expected:
    """A dimension of 50 mm in 6 mm plate; figures of the rig and of the dimension side by side."""
    names = {each.name for each in fields(tolerance.RigErrors)}
    size = {name: each for name, each in figures.items() if name not in names}
    rig = {name: each for name, each in figures.items() if name in names}
    return tolerance.width_stack(
        tolerance.Dimension(**{"nominal": 50, "thickness": 6, **size}), tolerance.RigErrors(**rig)
    )


# --- worked figures -------------------------------------------------------------------------------------------------


def test_reading_of_a_scale() -> None:
    """±0.25 mm gives u 0.1443: JCGM 100:2008, 4.3.7 (seen in uncertainty guides)."""
    assert Contribution.within(READING, 0.25).u == pytest.approx(0.1443, abs=0.0002)


def test_strip_on_the_fence() -> None:
    """Reading ±0.25, fence zero u 0.10, half kerf ±0.10, rail ±0.15: u 0.2041, U 0.408, worst case 0.70: worked by
    hand after JCGM 100:2008; the zero's half-width taken as 2 u."""
    found = strip()
    assert found.stack.u == pytest.approx(0.2041, abs=0.0005)
    assert found.stack.expanded == pytest.approx(0.408, abs=0.001)
    assert found.worst_case == pytest.approx(0.70, abs=0.0001)
    assert found.stack.greatest == READING
    assert found.assumed == ()


def test_interior_strip_between_two_readings() -> None:
    """w = F2 - F1 - k with u 0.15 a reading and 0.06 for the kerf: 0.2205, worked by hand."""
    found = strip(
        chain=chain("between_settings"),
        half_step=0.15 * math.sqrt(3),
        kerf_half_width=None,
        kerf_u=0.06,
        rail=0,
    )
    assert found.stack.u == pytest.approx(0.2205, abs=0.0005)


@pytest.mark.parametrize(
    ("way", "n", "error"),
    [
        ("on_fence", 1, -0.05),
        ("left_moving_edge", 10, -0.5),
        ("left_corrected", 10, -1.0),
        ("between_settings", 1, -0.1),
    ],
)
def test_kerf_taken_too_small(way: Way, n: int, error: float) -> None:
    """True kerf 0.1 mm wider than the kerf used: computed, and checked by stepping through the cuts below."""
    assert strip(chain=chain(way, n), kerf_bias=0.1).stack.shift == pytest.approx(error, abs=0.0001)


def test_bevel_adds_to_the_wide_face() -> None:
    """t tan(bevel): 10 mm and 3 degrees give 0.524 mm; plane geometry."""
    found = strip(thickness=10, bevel=3)
    assert found.stack.systematic == pytest.approx(0.524, abs=0.001)


def test_fence_out_of_parallel() -> None:
    """L tan(angle): 0.1 degrees over 600 mm give 1.047 mm; plane geometry."""
    assert strip(length=600, fence_angle=0.1).stack.systematic == pytest.approx(1.047, abs=0.001)


def test_end_gauge_of_the_gum() -> None:
    """JCGM 100:2008, H.1: 25, 9.7, 2.9 and 16.6 nm give 32 nm (figures from memory, high)."""
    parts = [("standard", 25.0), ("comparison", 9.7), ("expansion", 2.9), ("temperature", 16.6)]
    stack = Stack(tuple(Contribution.known(name, u) for name, u in parts))
    assert stack.u == pytest.approx(32, abs=0.5)
    assert stack.u**2 == pytest.approx(1002, abs=2)
    assert stack.greatest == "standard"


# --- chance, by simulation ------------------------------------------------------------------------------------------

DRAWS = 200_000


@pytest.mark.parametrize(
    ("way", "n"),
    [("on_fence", 1), ("between_settings", 1), ("left_fixed_edge", 1), ("left_moving_edge", 6), ("left_corrected", 4)],
)
def test_stack_against_cuts_stepped_through(way: Way, n: int) -> None:
    """200,000 simulated jobs, cut by cut, true kerf, fence zero and readings drawn: the scatter agrees within 1 %.

    On the fence a piece comes out at F - k/2 less what the fence errs; from one fixed edge a strip lies between two
    such cuts; on a moving edge each strip takes its width and a kerf from what is left.
    """
    rng = np.random.default_rng(8_3)
    kerf_u, zero_u, half_step = 0.08, 0.10, 0.25
    kerf = 1.5 + kerf_u * rng.standard_normal(DRAWS)
    zero = zero_u * rng.standard_normal(DRAWS)
    one, other = rng.uniform(-half_step, half_step, (2, DRAWS))
    wanted = 50.0
    if way in ("on_fence", "left_fixed_edge"):
        size = (wanted + 0.75 + zero + one) - kerf / 2
    elif way == "between_settings":
        outer = wanted + 100 + 0.75 + 1.5 + zero + one  # keeps wanted + 100 + kerf on the fence
        inner = 100 + 0.75 + zero + other
        size = outer - inner - kerf
    else:
        size = np.full(DRAWS, 1000.0)
        for _ in range(n):
            width = wanted + one if way == "left_corrected" else (wanted + 0.75 + zero + one) - kerf / 2
            size = size - width - kerf
    found = strip(chain=chain(way, n), half_step=half_step, fence_u=zero_u, kerf_half_width=None, kerf_u=kerf_u, rail=0)
    assert float(np.std(size)) == pytest.approx(found.stack.u, rel=0.01)


def test_stack_against_simulation() -> None:
    """200,000 draws of each part, rectangular or normal as stated: u within 1 %, and 2 u holds about 95 of 100."""
    stack = strip(chain=ErrorCounts(settings=2, marked=1), dressed_edges=2, dressing=0.2, marking=0.3).stack
    rng = np.random.default_rng(8_1)
    total = sum(rng.uniform(-0.25, 0.25, DRAWS) for _ in range(2)) + 0.10 * rng.standard_normal(DRAWS)
    total += rng.uniform(-0.20, 0.20, DRAWS) / 2 + rng.uniform(-0.15, 0.15, DRAWS) + rng.uniform(-0.3, 0.3, DRAWS)
    total += sum(rng.uniform(-0.2, 0.2, DRAWS) for _ in range(2))
    assert float(np.std(total)) == pytest.approx(stack.u, rel=0.01)
    assert 0.945 <= float(np.mean(np.abs(total) <= stack.expanded)) <= 0.965
    assert float(np.mean(np.abs(total) <= stack.worst_case)) > 0.9999


def test_systematic_parts_do_not_average_out() -> None:
    """With a bow of 0.3 mm on every part, 2 u alone holds too few; with the bow on top it holds 95 and more."""
    stack = strip(camber=0.3).stack
    rng = np.random.default_rng(8_2)
    total = 0.3 + stack.u * rng.standard_normal(DRAWS)
    assert float(np.mean(np.abs(total) <= 2 * stack.u)) < 0.75
    assert float(np.mean(np.abs(total) <= stack.expanded)) > 0.95


def test_marked_cuts() -> None:
    """Marked by hand ±0.5 (common practice): one edge u 0.289; two edges sqrt 2 of it and the whole kerf; no fence in
    it."""
    one = strip(chain=chain("on_fence", marked=True), kerf_half_width=0, rail=0, marking=0.5)
    assert one.stack.u == pytest.approx(0.5 / math.sqrt(3))
    two = strip(chain=chain("between_settings", marked=True), kerf_half_width=0.2, rail=0, marking=0.5)
    assert two.stack.u == pytest.approx(math.sqrt((2 * 0.5**2 + 0.2**2) / 3))
    names = {each.name for each in two.stack.contributions}
    assert names == {MARKING, KERF}


# --- what is assumed ------------------------------------------------------------------------------------------------


def test_everything_left_out_is_assumed() -> None:
    """Nothing measured: each contribution is named as assumed."""
    found = expected(dressed_edges=1, chain=ErrorCounts(marked=1))
    assert set(found.assumed) == {each.name for each in found.stack.contributions}
    assert len(found.assumed) == 8
    assert found.assumed[:3] == (READING, ZERO, KERF)


def test_kerf_not_measured_is_known_to_a_tenth() -> None:
    """A tenth of the kerf either way, half of it in a strip on the fence: common practice, no source."""
    found = strip(kerf_half_width=None, kerf=1.8)
    (kerf,) = (each for each in found.stack.contributions if each.name == KERF)
    assert kerf.half_width == pytest.approx(0.09)
    assert kerf.assumed


def test_given_but_not_measured() -> None:
    """A profile's own figure may be given and still be assumed."""
    assert strip(assumed=(ZERO, RAIL)).assumed == (ZERO, RAIL)


def test_bow_by_its_high_end() -> None:
    """A model that is not calibrated counts with twice its bow, as assumed; a calibrated one with its own range."""
    model = camber.bow(1000, 200, (0.00556, 0))
    found = strip(camber=model)
    assert found.stack.systematic == pytest.approx(2 * 0.00556 * 25)
    assert found.assumed == (BOW,)
    calibrated = camber.bow(1000, 200, (Estimate(0.0056, 0.0001, 9, 10), 0))
    assert strip(camber=calibrated).assumed == ()
    narrow = strip(camber=camber.bow(1000, 20, (Estimate(0.0056, 0.0001, 9, 10), 0)))
    assert narrow.assumed == (BOW,)


def test_nothing_of_no_size_is_listed() -> None:
    """A contribution of 0 is no contribution."""
    assert {each.name for each in strip().stack.contributions} == {READING, ZERO, KERF, RAIL}


# --- classes, tolerance, what to improve ----------------------------------------------------------------------------


def test_classes_of_the_worked_strip() -> None:
    """±0.41 mm at 50 mm in 6 mm: ISO 9013 class 1 has 0.25, class 2 0.9; ISO 2768-1 m has 0.3, c 0.8 (seen)."""
    found = strip(length=150)
    assert found.classes.text == "ISO 9013 class 2, ISO 2768-1 class c"
    assert found.classes.outside_scope is False
    assert (round(found.deviation, 2), round(found.worst_case, 2)) == (0.41, 0.70)


def test_bevel_is_left_out_of_iso_9013() -> None:
    """Perpendicularity is not inside its limit deviations (memory, high): a bevel of 0.63 mm changes ISO 2768 alone."""
    found = strip(bevel=6)
    assert (found.classes.iso_9013, found.classes.iso_2768) == (2, "v")


def test_long_strip_is_outside_iso_9013() -> None:
    """20:1 is said, for the cells are only a yardstick then."""
    found = strip(length=1000)
    assert found.classes.outside_scope is True
    assert "ISO 9013 class 2 (outside its scope: a yardstick)" in found.classes.text
    assert strip(length=100, width=50, nominal=100).classes.outside_scope is True  # outline 300 mm


@pytest.mark.parametrize(("asked", "meets"), [(None, None), (0.3, False), (0.5, True), (0.7, True)])
def test_own_tolerance(asked: float | None, meets: bool | None) -> None:
    """Against ±0.41 expected."""
    assert strip(tolerance=asked).meets is meets


def test_what_to_improve_first() -> None:
    """The reading counts most: without it 2 sqrt(0.2041^2 - 0.1443^2) = 0.289 is left; worked by hand."""
    found = strip(tolerance=0.35)
    assert found.first is not None
    assert found.first.name == READING == found.stack.greatest
    assert found.first.without == pytest.approx(0.289, abs=0.001)
    assert found.first.halved == pytest.approx(2 * math.sqrt(0.2041**2 - 0.75 * 0.1443**2), abs=0.001)
    assert found.advice.endswith("Halved, the ±0.35 mm asked would be met.")
    assert strip(tolerance=0.30).advice.endswith("Without it, the ±0.3 mm asked would be met.")
    assert strip(tolerance=0.20).advice.endswith("That alone does not meet the ±0.2 mm asked.")
    assert strip(tolerance=0.50).advice == strip().advice == found.first.text
    assert [each.name for each in found.improvements] == [READING, ZERO, RAIL, KERF]


def test_a_known_error_may_be_the_first_to_mend() -> None:
    """The fence reads 0.5 mm too wide: that is mended first, and the sentence says by how much."""
    found = strip(reading_error=0.5)
    assert found.deviation == pytest.approx(0.408 + 0.5, abs=0.001)
    assert found.first is not None
    assert found.first.name == SHIFT
    assert found.first.text.startswith("known error of +0.50 mm: correct the fence by that.")


def test_systematic_part_is_improved_first_where_it_counts_most() -> None:
    """0.2 mm out of parallel counts with 0.2 in full, a reading of 0.25 only with 0.12."""
    found = strip(fence_angle=None)
    assert found.first is not None
    assert found.first.name == PARALLEL == found.stack.greatest
    assert found.first.text.startswith("fence parallel to travel, assumed: set the fence parallel by a strip measured")


def test_nothing_to_improve() -> None:
    """All known exactly: no contribution, no advice."""
    found = strip(half_step=0, fence_u=0, kerf_half_width=0, rail=0)
    assert (found.deviation, found.first, found.advice, found.stack.greatest) == (0, None, "", None)


# --- properties -----------------------------------------------------------------------------------------------------

part = st.builds(
    lambda half, share, systematic: (half, half * share, systematic), st.floats(0, 2), st.floats(0, 1), st.booleans()
)


def stack_of(parts: list[tuple[float, float, bool]], shift: float = 0.0) -> Stack:
    """A stack whose contributions have numbers for names."""
    return Stack(tuple(Contribution(str(number), *each) for number, each in enumerate(parts)), shift)


@given(parts=st.lists(part, max_size=6), more=part)
def test_one_more_contribution_never_helps(
    parts: list[tuple[float, float, bool]], more: tuple[float, float, bool]
) -> None:
    """u, expanded and worst case only grow."""
    one, other = stack_of(parts), stack_of([*parts, more])
    for each in ("u", "expanded", "worst_case", "deviation"):
        assert getattr(other, each) >= getattr(one, each) - 1e-12


@given(parts=st.lists(part, min_size=1, max_size=6), shift=st.floats(-1, 1))
def test_improvements_are_in_order_and_real(parts: list[tuple[float, float, bool]], shift: float) -> None:
    """Best first; halving brings less than taking away; the greatest is the best of those without sign."""
    stack = stack_of(parts, shift)
    found = tolerance.improvements(stack)
    assert [each.without for each in found] == sorted(each.without for each in found)
    for each in found:
        assert each.without <= each.halved + 1e-12 <= each.now + 2e-12
    if stack.greatest is not None:
        best = min(stack.without(each.name).expanded for each in stack.contributions)
        assert stack.without(stack.greatest).expanded == pytest.approx(best, abs=1e-12)


@given(parts=st.lists(part, max_size=6), factor=st.floats(0, 3), shift=st.floats(-1, 1))
def test_all_made_smaller_alike(parts: list[tuple[float, float, bool]], factor: float, shift: float) -> None:
    """Everything times a factor: all sums times that factor (another unit gives the same answer)."""
    one = stack_of(parts, shift)
    scaled = tuple(replace(each, half_width=each.half_width * factor, u=each.u * factor) for each in one.contributions)
    other = Stack(scaled, shift * factor)
    assert (other.u, other.expanded, other.worst_case, other.deviation) == pytest.approx(
        (one.u * factor, one.expanded * factor, one.worst_case * factor, one.deviation * factor)
    )


@given(n=st.integers(1, 30), bias=st.floats(-0.3, 0.3))
def test_what_is_left_gets_less_sure_with_each_strip(n: int, bias: float) -> None:
    """On a moving edge u and the known error grow in proportion to the number of strips."""
    moving = strip(chain=chain("left_moving_edge", n), kerf_bias=bias, rail=0).stack
    one = strip(kerf_bias=bias, rail=0).stack
    assert (moving.u, moving.shift) == pytest.approx((n * one.u, n * one.shift))


# --- bad input ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Contribution("reading", -1, 0), "reading: half-width -1 must not be below 0 mm"),
        (lambda: Contribution("reading", 1, math.nan), "reading: u nan must not be below 0 mm"),
        (lambda: Contribution("reading", 0.1, 0.3), "reading: u 0.3 mm is more than the half-width 0.1 mm"),
        (lambda: Stack((Contribution("a", 1, 1), Contribution("a", 2, 1))), "counted twice: a; give each contribution"),
        (lambda: Stack((), math.inf), "shift inf: must be a number"),
        (lambda: Stack((Contribution("a", 1, 1),)).scaled("b", 0), "contribution 'b' is not in the stack; it has a"),
        (lambda: ErrorCounts(settings=-1, zero_count=-2), "settings -1 must not be below 0; zero_count -2 must not be"),
        (lambda: ErrorCounts(marked=-1), "marked -1 must not be below 0"),
        (lambda: ErrorCounts(half_kerfs=math.nan), "half_kerfs nan must be a number"),
        (lambda: chain("by eye"), "way 'by eye' is not known; known are on_fence"),
        (lambda: chain("left_moving_edge", 0), "0 strips: at least 1 is needed"),
        (lambda: chain("left_moving_edge", 3, marked=True), "left_moving_edge rests on one fence setting"),
        (
            lambda: strip(nominal=0, thickness=-6, half_step=-0.1, kerf_bias=math.nan, bevel=50),
            "nominal 0: must be above 0; thickness -6: must be above 0; half step -0.1: must not be below 0; "
            "kerf bias nan: must be a number; bevel 50: must lie between -45 and 45 degrees",
        ),
        (lambda: strip(kerf_u=0.1), "the kerf is known by its half-width or by its u: give one of the two"),
        (lambda: strip(fence_angle=0.1), "fence angle 0.1 deg: the length of the cut is needed with it"),
        (lambda: strip(tolerance=0), "tolerance 0: must be above 0"),
        (lambda: strip(camber=-1), "camber -1: must not be below 0"),
        (lambda: strip(assumed=("fence",)), "assumed 'fence' is not known; known are fence reading, fence zero, kerf"),
    ],
)  # fmt: skip
def test_bad_input_is_named(call: Any, words: str) -> None:
    """Each fault names the figure and what is allowed; several at once."""
    with pytest.raises(ValueError, match=re.escape(words)):
        call()


def test_every_contribution_has_its_advice() -> None:
    """No name of the module is without a sentence on how to make it better."""
    found = expected(dressed_edges=1, chain=ErrorCounts(marked=1), camber=0.2, reading_error=0.1)
    assert len(found.improvements) == 10
    for each in found.improvements:
        assert re.match(r"[^:]+: [a-z][^.]{20,}\. Halved, ±", each.text)
    assert BEVEL in {each.name for each in found.improvements}
