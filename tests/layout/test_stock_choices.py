"""Choices of fewer stocks, and plates numbered from one to the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from stripplan.layout.portfolio import Portfolio
from stripplan.layout.rectangles.leftover import Gathered
from stripplan.layout.rectangles.total_search import search_by_total
from stripplan.layout.stock_choices import (
    FormKey,
    forms_of,
    held_back,
    numbered,
    renumbered,
    stock_choices,
    with_stocks,
)
from stripplan.layout.stop_rule import never
from stripplan.layout.tree import FilledStock
from stripplan.model.effort import Effort
from tests.layout.problems import problem, rules
from tests.layout.rectangles.test_few_plates import begun
from tests.layout.rectangles.test_total_search import objective, shelf


def as_they_are(filled: Sequence[FilledStock]) -> Gathered:
    """Plates with nothing moved."""
    return Gathered(list(filled), False, 0)


def test_all_sheets_and_each_alone_with_and_without_offcuts() -> None:
    """Two sheets and an offcut: each choice once, stocks in their order."""
    assert list(stock_choices(shelf())) == [(0, 1, 2), (0, 1), (0, 2), (0,), (1, 2), (1,)]


def test_no_choice_leaves_out_the_only_stock_of_a_part() -> None:
    """A part longer than the small sheet: every choice has the large one."""
    every = shelf()
    long = replace(every.items[0], sizes=(every.items[0].sizes[0], (), ()))
    asked = replace(every, items=(long, *every.items[1:]))
    assert list(stock_choices(asked)) == [(0, 1, 2), (0, 1), (0, 2), (0,)]


def test_no_choice_has_less_metal_than_the_parts() -> None:
    """Of two single plates of 500 x 400 and sheets without end, four parts of 300 x 200 (240 000 mm2) leave the sheets
    alone, three (180 000 mm2) each plate too, though it holds but two.
    """
    shelf = [(500, 400, 1, 5.0), (500, 400, 1, 5.0), (2000, 1000, None, 128.0)]
    assert list(stock_choices(problem(shelf, [(300, 200, 4)]))) == [(0, 1, 2), (2,)]
    assert list(stock_choices(problem(shelf, [(300, 200, 3)]))) == [(0, 1, 2), (0,), (1,), (2,)]


def test_a_problem_of_fewer_stocks_is_as_if_there_were_no_others() -> None:
    """Its stocks and the ways its parts lie are those of the chosen; plates come back with the numbers of all."""
    every, chosen = shelf(), (1, 2)
    fewer = with_stocks(every, chosen)
    assert fewer.stocks == (every.stocks[1], every.stocks[2])
    assert [item.sizes for item in fewer.items] == [item.sizes[1:] for item in every.items]
    plates = begun(fewer)
    back = numbered(plates, chosen)
    assert {each.stock for each in back} <= set(chosen)
    assert all(every.is_legal(each.stock, each.tree) for each in back)
    assert renumbered(back, chosen) == plates


@pytest.mark.long
def test_no_kind_of_sheet_alone_is_cheaper_than_what_all_give() -> None:
    """The portfolio with all stocks pays no more than with any choice of them, searched with the same steps."""
    effort = Effort(steps=300)

    def cost(chosen: tuple[int, ...]) -> float:
        asked = with_stocks(shelf(), chosen)
        answer = Portfolio(asked, effort, never, lambda *_: None).run(as_they_are)
        return sum(asked.stocks[each.stock].cost for each in answer.filled)

    of_all, *others = map(cost, stock_choices(shelf()))
    assert of_all <= min(others)


@pytest.mark.long
def test_one_sheet_nearly_full_is_found_among_others() -> None:
    """Five sizes in many copies take 93 % of one sheet (1 867 400 of 2 000 000 mm2): patterns of that sheet alone hold
    them all, the search among three kinds of sheet passes that by.
    """
    items = [(95, 480, 12), (115, 305, 4), (115, 745, 8), (115, 475, 4), (115, 600, 4)]
    plates = [(2000, 1000, None, 128.0), (2500, 1250, None, 195.0), (1500, 1000, None, 98.0)]
    asked = problem(plates, items, turned=True, rig=rules(kerf=2, narrowest=5, stroke=2500))
    answer = Portfolio(asked, Effort(), never, lambda *_: None).run(as_they_are)
    assert [each.stock for each in answer.filled] == [0]


def test_a_form_within_another_has_no_more_stocks_and_stages() -> None:
    """Of any depth is more than three stages, three more than two; of stocks only those of the other."""
    assert FormKey((1,), 2).within(FormKey((1, 2), 3))
    assert FormKey((1, 2), 3).within(FormKey((1, 2), None))
    assert not FormKey((1, 2), None).within(FormKey((1, 2), 3))
    assert not FormKey((0,), 2).within(FormKey((1, 2), None))


def test_every_simpler_form_has_plates_to_begin_from_where_hands_count() -> None:
    """All parts, from its stocks and in its stages."""
    shelf_of_all = shelf()
    _, *forms = forms_of(shelf_of_all)
    found = Portfolio(shelf_of_all, Effort(steps=0), never, lambda *_: None).run(as_they_are, "all").of_forms
    assert list(found) == forms
    parts = sorted(n for n, item in enumerate(shelf_of_all.items) for _ in range(item.demand))
    for form, plates in found.items():
        assert sorted(item for plate in plates for item in plate.items) == parts
        held = held_back(shelf_of_all, form)
        assert all(held.is_legal(plate.stock, plate.tree) for plate in renumbered(plates, form.stocks))


@pytest.mark.slow
def test_no_simpler_form_is_cheaper_in_total_than_what_all_ways_give() -> None:
    """By the estimate, with the same steps, those of one epoch: what a job held back finds, the job as it stands finds
    or betters, but for a hundredth.
    """
    effort = Effort(steps=750)

    def total(form: FormKey) -> int:
        asked = held_back(shelf(), form)
        plates = Portfolio(asked, effort, never, lambda *_: None).run(as_they_are, "all")
        found, _ = search_by_total(
            asked, objective(asked), plates.filled, effort=effort, out_of_time=never, of_forms=plates.of_forms
        )
        return found[0].total

    of_all, *others = map(total, forms_of(shelf()))
    assert of_all <= 1.01 * min(others)
