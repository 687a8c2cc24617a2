"""The estimate of what a layout costs in plate and hands, summed by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.layout.objective import HandTimes, Objective, StockTerms, objective_of
from stripplan.layout.tree import FilledStock, Tree
from tests.layout import tiny

KERF = 2
TERMS = StockTerms(
    plate=10_000,
    cut=100,
    aside=50,
    push=10,
    stop=30,
    stop_span=5,
    heavy=10**9,
    uneven=0,
    unmeasured=0,
    per_length=1.0,
    per_area=0.01,
    two_person=2.0,
    stop_per_length=0.5,
    worth=0.1,
    worth_other=0.05,
    mark=1.0,
    zero=0.0,
)
ROW = Tree(100, 20, cut="across", left=16, children=(Tree(40, 20, item=0), Tree(40, 20, item=0)))
TWO_ROWS = Tree(100, 60, cut="along", left=16, children=(ROW, Tree(100, 20, item=1)))
"""On 100 x 60: a row of two parts 40 x 20, of which 16 x 20 is left; a part 100 x 20; 100 x 16 is left.

Cuts along: 100 long each, 100 + 100 ticks. Between them 100 x 38 is pushed up: 10 + 38. Together 448.
The row is fetched, 100 x 20: 50 + 20. Its two cuts are 20 long: 120 each; 58 x 20 is pushed up between: 10 + 11.6, cut
down to 21. Together 331.
"""
CUTS = 448 + 331
STOPS = (30 + 50) + (30 + 10)
"""End stops for cuts of 100 and of 20."""
KEPT = 160 + 16
"""Worth of 100 x 16 as the largest offcut, and of 20 x 16 as another."""


def objective(terms: StockTerms = TERMS, *, setting: int = 200, keep: tuple[int, int] = (16, 16)) -> Objective:
    """The terms of one stock with kerfs of 2."""
    return Objective((terms,), setting, keep, (KERF,))


def total(*trees: Tree, terms: StockTerms = TERMS, **more: int | tuple[int, int]) -> int:
    """Ticks of plates that are cut so."""
    return objective(terms, **more).total([FilledStock(0, tree) for tree in trees])  # type: ignore[arg-type]


def test_two_rows_cost_what_is_summed_by_hand() -> None:
    """Plate, cuts with their length, what is fetched and pushed, stops, two readings (20 and 40), less the offcuts."""
    assert total(TWO_ROWS) == 10_000 + CUTS + STOPS + 2 * 200 - KEPT


def test_a_reading_is_set_once_for_all_plates() -> None:
    """A second plate cut as the first costs all but the fence settings again; so does another width in its place."""
    once = 10_000 + CUTS + STOPS - KEPT
    assert total(TWO_ROWS, TWO_ROWS) == 2 * once + 2 * 200
    other = Tree(100, 60, cut="along", left=17, children=(Tree(100, 41, item=2),))
    assert objective().readings([FilledStock(0, TWO_ROWS), FilledStock(0, other)]) == {20, 40, 41}


@pytest.mark.parametrize(("span", "ticks"), [(79, STOPS), (80, 30 + 50)])
def test_one_stop_serves_cuts_that_differ_by_no_more_than_its_span(span: int, ticks: int) -> None:
    """Cuts of 100 and 20 need two stops up to a span of 79; from 80 on the longer one serves both."""
    assert total(TWO_ROWS, terms=replace(TERMS, stop_span=span)) == 10_000 + CUTS + ticks + 400 - KEPT


def test_what_is_heavy_is_moved_by_two() -> None:
    """Beyond 1999 square units both that are above count twice: 70 to fetch the row, 48 to push 100 x 38 up."""
    assert total(TWO_ROWS, terms=replace(TERMS, heavy=1999)) == total(TWO_ROWS) + 70 + 48


def test_an_offcut_is_worth_something_only_if_both_its_sides_are_kept() -> None:
    """Keeping (short, long): from 16 x 21 on the piece of 16 x 20 is worth nothing, from 17 x 21 on neither."""
    whole = total(TWO_ROWS) + KEPT
    assert total(TWO_ROWS, keep=(16, 21)) == whole - 160
    assert total(TWO_ROWS, keep=(17, 21)) == whole


EXACT = Tree(100, 42, cut="along", children=(Tree(100, 20, item=0), Tree(100, 20, item=0)))
"""Two parts fill a plate: one cut, one reading, nothing left."""


@pytest.mark.parametrize(
    ("mark", "zero", "setting", "ticks"),
    [
        (10.0, 0.0, 200, 0),  # 20 is a mark
        (8.0, 0.0, 200, 100),  # 2.5 marks are read as 3: half a mark off, twice, by the square
        (16.0, -8.0, 200, 25),  # 12 is read as 16: a quarter off, twice
        (8.0, 0.0, 10, 10 + 100 // 16),  # dearer than a setting and a sixteenth for each cut but the last piece
    ],
)
def test_the_last_piece_of_an_exact_row_takes_what_marks_are_off_by(
    mark: float, zero: float, setting: int, ticks: int
) -> None:
    """Errors of the marks add up in the last piece, by the square, or each cut is set by itself; and the plate was not
    measured: 70.
    """
    terms = replace(TERMS, uneven=100, unmeasured=70, mark=mark, zero=zero)
    assert total(EXACT, terms=terms, setting=setting) == 10_000 + 200 + 80 + setting + ticks + 70


def test_an_exact_row_within_a_plate_does_not_rest_on_its_size() -> None:
    """A row of two parts 49 x 20 fills a strip that lies between cuts: no doubt of the plate's size across."""
    row = Tree(42, 20, cut="across", children=(Tree(20, 20, item=0), Tree(20, 20, item=0)))
    plate = Tree(100, 20, cut="across", left=56, children=(row,))
    terms = replace(TERMS, unmeasured=70, mark=10.0)
    plain = replace(terms, unmeasured=0)
    assert total(plate, terms=terms) == total(plate, terms=plain)


def test_a_cut_too_long_for_one_pass_is_made_twice_and_turned_over_between() -> None:
    """Beyond 99 both cuts along have a second pass: 100 more each, and turning over 60 and 100 x 60 x 0.01, then 60 and
    100 x 38 x 0.01.
    """
    terms = replace(TERMS, over=60, one_pass=99)
    assert total(TWO_ROWS, terms=terms) == total(TWO_ROWS) + (100 + 60 + 60) + (100 + 60 + 38)
    assert total(TWO_ROWS, terms=replace(terms, one_pass=100)) == total(TWO_ROWS)


def test_a_last_piece_that_nothing_mends_counts_as_made_again() -> None:
    """Four pieces half a mark off each: two marks are more than settings mend, so 2.5 x 100, however cheap these
    are.
    """
    plate = Tree(100, 86, cut="along", children=tuple(Tree(100, 20, item=0) for _ in range(4)))
    terms = replace(TERMS, mark=8.0)
    odd = replace(terms, uneven=100)
    assert total(plate, terms=odd, setting=10) == total(plate, terms=terms, setting=10) + 250


def test_in_an_exact_row_the_widest_piece_is_what_is_left() -> None:
    """Two widths that fill a plate need one setting, for the narrower."""
    plate = Tree(100, 42, cut="along", children=(Tree(100, 30, item=0), Tree(100, 10, item=1)))
    assert objective().readings([FilledStock(0, plate)]) == {10}


def test_what_the_hands_do_more_for_a_part() -> None:
    """A part of 20 x 10 (kerf 2 in 22 x 12) in a free rectangle of 50 x 30: two cuts, the lesser rest at its worth."""
    asked = objective()
    # Across first: 30 long. Then 22 long, from a strip that was put aside. Rests: 28 x 30 = 840 and 22 x 18 = 396.
    hands = (100 + 30 + 200) + (100 + 50 + 22 + 200)
    assert asked.more_hands(0, frozenset(), 50, 30, 22, 12, 1) == pytest.approx(hands + 39.6)
    # Along first: 50 long. Then 12 long. Rests: 50 x 18 = 900 and 12 x 28 = 336; one blank more is put aside.
    hands = (100 + 50 + 200) + (100 + 50 + 12 + 200) + 50
    assert asked.more_hands(0, frozenset(), 50, 30, 22, 12, 2) == pytest.approx(hands + 33.6)
    assert asked.more_hands(0, frozenset({20, 10}), 50, 30, 22, 12, 2) == pytest.approx(hands - 400 + 33.6)


TIMES = HandTimes(
    cut=10, per_length=0.1, aside=20, push=5, over=30, per_area=0.001, heavy=5000, two_person=2, setting=30, stop=40,
    stop_per_length=0.05, stop_span=7.9, uneven=6, unmeasured=240, mark=2, zero=0.5,
)  # fmt: skip


def test_money_is_turned_into_time_by_the_price_of_a_minute() -> None:
    """A plate of 100 x 60 for 12 at 3 a minute is 4 min; fetched, 6000 mm2 by two: (20 + 6) x 2 s."""
    asked = tiny.problem([(100, 60)], [(40, 20, 1)], kerf=KERF)
    made = objective_of(asked, [TIMES], [12.0], minute=3.0, share=0.5, share_of_others=0.25)
    (terms,) = made.terms
    assert terms.plate == 240_000 + 52_000
    assert (terms.cut, terms.aside, terms.push, terms.stop, terms.stop_span) == (10_000, 20_000, 5000, 40_000, 7)
    assert (made.setting, made.kerfs, made.keep) == (30_000, (KERF,), (0, 0))
    assert terms.worth == pytest.approx(240_000 * 0.5 / 6000)
    assert terms.worth_other == pytest.approx(240_000 * 0.25 / 6000)
    assert terms.unmeasured == 240_000


def test_a_free_minute_has_no_total() -> None:
    """Where a minute costs nothing plates alone count, and that is said."""
    asked = tiny.problem([(100, 60)], [(40, 20, 1)])
    with pytest.raises(ValueError, match="a minute costs 0"):
        objective_of(asked, [TIMES], [12.0], minute=0, share=0.5, share_of_others=0.25)
