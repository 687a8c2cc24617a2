"""What changes between two cuts: seconds summed by hand from the rig's own figures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.sequence.changeover import CAUSES, Changeover, RigState, changeover, state_after, weighted_seconds
from stripplan.sequence.cut_options import BenchPiece, CutOption
from tests.sequence.plates import FLAT, on_flat, plate


def strip_on_fence(piece: BenchPiece) -> CutOption:
    """The cut that takes a strip off the low end, the strip on the fence."""
    return next(each for each in piece.options if each.datum == each.separation.end == "low")


def by_cause(made: Changeover) -> dict[str, float]:
    """Seconds by cause, without the noughts."""
    return {cause: each for cause, each in zip(CAUSES, made.seconds, strict=True) if each}


def test_the_first_cut_takes_fetching_and_both_settings() -> None:
    """From a bare rig: fence 40 and end stop 30 wherever they stood, fetch 20; nothing to clear, push or turn."""
    piece = on_flat(plate([50, 50]))
    option = strip_on_fence(piece)
    made = changeover(FLAT, RigState(), 0, piece, option, option.least_stops)
    assert by_cause(made) == {"fence": 40, "end_stop": 30, "fetch": 20}
    assert made.process  # the torch is set up once, in the seconds of nobody
    assert (made.fetch, made.push, made.clear, made.quarter_turns) == (True, False, False, 0)


def test_the_rest_pushed_up_to_the_same_reading_takes_a_push_and_clearing_the_strip() -> None:
    """Two strips of a width off one plate: 3 s to push up what is left, 5 s to clear what fell."""
    piece = on_flat(plate([50, 50]))
    option = strip_on_fence(piece)
    first = changeover(FLAT, RigState(), 0, piece, option, option.least_stops)
    state = state_after(RigState(), 0, option, first)
    rest = option.left
    assert rest is not None
    second = changeover(FLAT, state, 0, rest, strip_on_fence(rest), option.least_stops)
    assert by_cause(second) == {"push": 3, "clear": 5}


def test_the_fence_moves_by_the_millimetre() -> None:
    """From the reading of 50 to that of 70: 40 s and 20 mm of 0.5 s."""
    piece = on_flat(plate([50, 70]))
    option = strip_on_fence(piece)
    state = state_after(RigState(), 0, option, changeover(FLAT, RigState(), 0, piece, option, option.least_stops))
    rest = option.left
    assert rest is not None
    next_option = strip_on_fence(rest)
    made = changeover(FLAT, state, 0, rest, next_option, next_option.least_stops)
    assert by_cause(made)["fence"] == pytest.approx(40 + 0.5 * 20)


def test_another_plate_is_fetched_and_what_lies_there_cleared() -> None:
    """Alike or not, a piece of another plate lies elsewhere: 20 s, and 5 s for the bed."""
    one, other = (on_flat(plate([50, 50])) for _ in range(2))
    option = strip_on_fence(one)
    state = state_after(RigState(), 0, option, changeover(FLAT, RigState(), 0, one, option, option.least_stops))
    made = changeover(FLAT, state, 1, other, strip_on_fence(other), option.least_stops)
    assert by_cause(made) == {"fetch": 20, "clear": 5}


def test_half_a_turn_takes_two_quarters() -> None:
    """The other edge of what is left comes to the fence: 2 x 7 s, and no push."""
    piece = on_flat(plate([50, 60]), equal=False)
    option = strip_on_fence(piece)
    state = state_after(RigState(), 0, option, changeover(FLAT, RigState(), 0, piece, option, option.least_stops))
    rest = option.left
    assert rest is not None
    turned = next(each for each in rest.options if each.datum == "high")
    made = changeover(FLAT, state, 0, rest, turned, turned.least_stops)
    assert made.quarter_turns == 2
    assert by_cause(made)["quarter_turn"] == 14
    assert "push" not in by_cause(made)


def test_another_process_costs_its_change_once_the_torch_is_set_up() -> None:
    """60 s between two plates of two processes; the first process of all is nobody's."""
    one, other = on_flat(plate([50, 50])), on_flat(plate([50, 50]))
    named = replace(other.conditions, process=replace(other.conditions.process, name="q"), _settings={})
    other = replace(other, conditions=named)
    option = strip_on_fence(one)
    state = state_after(RigState(), 0, option, changeover(FLAT, RigState(), 0, one, option, option.least_stops))
    made = changeover(FLAT, state, 1, other, strip_on_fence(other), option.least_stops)
    assert by_cause(made)["process"] == 60


def test_weights_multiply_their_cause_alone() -> None:
    """Twice the fence: 40 s more of 90."""
    piece = on_flat(plate([50, 50]))
    option = strip_on_fence(piece)
    made = changeover(FLAT, RigState(), 0, piece, option, option.least_stops)
    assert weighted_seconds(made.seconds, {}) == 90
    assert weighted_seconds(made.seconds, {"fence": 2.0}) == 130
