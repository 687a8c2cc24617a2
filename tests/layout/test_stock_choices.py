"""Choices of fewer stocks, and plates numbered from one to the other."""

from __future__ import annotations

from dataclasses import replace

from stripplan.layout.portfolio import Portfolio
from stripplan.layout.rectangles.leftover import Gathered
from stripplan.layout.stock_choices import numbered, renumbered, stock_choices, with_stocks
from stripplan.layout.stop_rule import never
from stripplan.model.effort import Effort
from tests.layout.rectangles.test_few_plates import begun
from tests.layout.rectangles.test_total_search import shelf


def test_all_sheets_and_each_alone_with_and_without_offcuts() -> None:
    """Two sheets and an offcut: each choice once, stocks in their order."""
    assert list(stock_choices(shelf())) == [(0, 1, 2), (0, 1), (0, 2), (0,), (1, 2), (1,)]


def test_no_choice_leaves_out_the_only_stock_of_a_part() -> None:
    """A part longer than the small sheet: every choice has the large one."""
    every = shelf()
    long = replace(every.items[0], sizes=(every.items[0].sizes[0], (), ()))
    asked = replace(every, items=(long, *every.items[1:]))
    assert list(stock_choices(asked)) == [(0, 1, 2), (0, 1), (0, 2), (0,)]


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


def test_no_kind_of_sheet_alone_is_cheaper_than_what_all_give() -> None:
    """The portfolio with all stocks pays no more than with any choice of them, searched with the same steps."""
    effort = Effort(steps=300)

    def cost(chosen: tuple[int, ...]) -> float:
        asked = with_stocks(shelf(), chosen)
        answer = Portfolio(asked, effort, never, lambda *_: None).run(lambda filled: Gathered(list(filled), False, 0))
        return sum(asked.stocks[each.stock].cost for each in answer.filled)

    of_all, *others = map(cost, stock_choices(shelf()))
    assert of_all <= min(others)
