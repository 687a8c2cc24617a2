"""Rectangles: a problem as a task for the search in `ruin_recreate`, two searches side by side, and the answer as
plates.

Two searches with seeds of their own take turns of `ROUND` steps, or fewer for very many parts, at the same time where
the search is compiled; after each turn what one has found is what the other must undercut. So the answer is the same
on any number of cores.

Side by side and not one search for twice as long: a search that has settled seldom leaves its corner, while a second
seed settles elsewhere, and it costs no time where there is a second core.

Not exact. Cost: `SEARCHES` times the steps, each as `ruin_recreate` says. All sizes are in units of the problem's grid
and carry one kerf; costs are whole numbers of a unit in which every plate's price is whole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields
from fractions import Fraction

from stripplan.layout.grid import exact
from stripplan.layout.problem import Item, Problem, Stock, strip_widths
from stripplan.layout.rectangles.compiled_search import search_of
from stripplan.layout.rectangles.search_task import SearchItem, SearchStock, Task, as_blank
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import FilledStock, Tree, cut_from

SEARCHES = 2
"""Two run side by side even on one core, so that the answer is the same on any number."""
ROUND = 400
"""Steps of one turn: longer turns tell the searches of each other's finds later and ask the clock less often. Set by
trial, not studied."""

TURN_PLACEMENTS = 300_000
"""Steps of one turn times parts: of many parts turns are shorter, so that the clock is asked within a second or so. Set
by trial, not studied."""

DEFAULT_STEPS = 12_000
"""Steps of each search where nobody says: fewer for many parts. Cheaper plates against time. Set by trial,
not studied."""

DEFAULT_PLACEMENTS = 600_000
"""Steps times parts where nobody says, so that time does not grow with the parts. Set by trial, not studied."""


@dataclass(frozen=True)
class Answer:
    """Plates filled, items (by number, one entry each) that found no place, and search steps done.

    Steps are those of each search, not of all together: what the user asked for is thus what is reported.
    """

    filled: list[FilledStock]
    short: list[int]
    steps: int


def solve_rectangles(
    problem: Problem,
    *,
    seed: int,
    steps: int | None,
    out_of_time: Clock,
    enough: Fraction = Fraction(0),
    start: Sequence[FilledStock] = (),
) -> Answer:
    """The cheapest layout found. The search ends early at a cost of `enough`; `start` are plates to improve on.

    `enough` is in the job's money; `steps` None = as many as `default_steps` says. Parts without a place are not an
    error: their numbers are in the answer.

    Three parts of 60 x 40 from plates of 100 x 40 take three plates, as no two lie on one:

    >>> from stripplan.layout.problem import Stock, MILLIMETRES, build_problem
    >>> from stripplan.model.cut_rules import CutRules
    >>> from stripplan.model.part import Rectangle
    >>> from stripplan.model.plate import Plate
    >>> from stripplan.layout.stop_rule import never
    >>> rules = CutRules(kerf=2, longest_one_pass=999, longest_two_pass=999, narrowest_offcut=0, fence_min=0,
    ...                  fence_max=999, marked=True)
    >>> stock = Stock(0, Plate(name="p", length=100, width=40, thickness=5, material="steel"), rules, cost=1.0)
    >>> part = Rectangle(name="a", length=60, width=40, quantity=3)
    >>> problem = build_problem(MILLIMETRES, [stock], [(0, part)], (0, 0), None)
    >>> len(solve_rectangles(problem, seed=1, steps=100, out_of_time=never, enough=Fraction(3)).filled)
    3
    """
    with RectangleSearch(problem, seed=seed, enough=enough, start=start) as search:
        search.run(default_steps(problem) if steps is None else steps, out_of_time)
        return search.answer()


def default_steps(problem: Problem) -> int:
    """Steps that a job of this size is given where nobody says: at least one turn, at most `DEFAULT_STEPS`.

    All of them up to 50 parts, then fewer in proportion: 600 parts get 1000.
    """
    count = problem.parts
    return max(ROUND, min(DEFAULT_STEPS, DEFAULT_PLACEMENTS // max(count, 1)))


class RectangleSearch:
    """Searches side by side for the cheapest plates; can be run on. Close it, or use it in `with`.

    `enough` is a cost at which the search ends; `start` are plates to improve on.
    """

    def __init__(
        self, problem: Problem, *, seed: int, enough: Fraction = Fraction(0), start: Sequence[FilledStock] = ()
    ) -> None:
        self.task = task_of(problem, enough)
        self.steps = 0
        self._costs = [stock.cost for stock in problem.stocks]
        self._round = max(1, min(ROUND, TURN_PLACEMENTS // max(1, problem.parts)))
        # What no stock takes is kept out of the search: its area would always be short, and no budget would be lowered.
        self._placeless = [n for n, item in enumerate(problem.items) if not any(item.sizes) for _ in range(item.demand)]
        # A large prime apart: seeds 1, 2, 3 tried by hand share no search.
        self._searches = [search_of(self.task, seed + 7919 * n) for n in range(SEARCHES)]
        self._pool = ThreadPoolExecutor(SEARCHES)
        # Gathering the metal moves children; where their order is fixed a plate may thus not be cut any more: left out.
        begun = [FilledStock(each.stock, as_blank(self.task, each)) for each in start]
        located = [each for each in begun if self.task.stocks[each.stock].located(each.tree)]
        for search in self._searches:
            if located:
                search.load(located)
            search.begin()

    def __enter__(self) -> RectangleSearch:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Give threads and memory back; nothing may be asked after it."""
        self._pool.shutdown()
        for search in self._searches:
            search.close()

    @property
    def cost(self) -> int:
        """Cost of the best so far in the task's whole numbers; `MANY` while a part has no place.

        Whole, because it is compared with `enough`, and a sum of prices in doubles may miss it by a hair.
        """
        return min(search.cost_found() for search in self._searches)

    @property
    def price(self) -> float:
        """Cost of the best so far in the job's money."""
        return sum(self._costs[each.stock] for each in self.answer().filled)

    @property
    def finished(self) -> bool:
        """Whether the best costs no more than `enough`, or there is nothing to place."""
        return self.cost <= self.task.enough or not any(item.demand for item in self.task.items)

    def run(self, steps: int, out_of_time: Clock) -> None:
        """Go on for so many steps of each search, until the time is over or it is finished."""
        done = 0
        while done < steps and not self.finished and not out_of_time():
            done += self._turn(min(self._round, steps - done))

    def run_on(self, steps: int, out_of_time: Clock) -> bool:
        """Go on until something cheaper is found; False where time or so many steps of each search were over before.

        Between finds the caller gathers what is left, so that a user who stops the search has that for the best plan.
        """
        before, done = self.cost, 0
        while self.cost >= before:
            if done >= steps or out_of_time():
                return False
            done += self._turn(self._round)
        return True

    def _turn(self, steps: int) -> int:
        """One turn of every search; the cheapest answer is then what all of them must undercut. Steps of each search.

        All turns are waited for before answers are compared: which of them ends first may not show in the result.
        """
        # The list makes the map run to its end, and raises here what a search raised.
        list(self._pool.map(lambda search: search.run(steps), self._searches))
        self.steps += steps
        best = self.cost
        # One unit less, as each search does by itself after its own finds: a plan as dear again is of no use.
        for search in self._searches:
            search.lower_budget(best - 1)
        return steps

    def answer(self) -> Answer:
        """The best so far."""
        # Parts placed count before money: a cheap answer that lacks a part is no answer. Of equals the first search's.
        found = min((search.found() for search in self._searches), key=lambda each: (each.out_area, each.cost))
        return Answer(list(found.filled), sorted([*found.out, *self._placeless]), self.steps)


def task_of(problem: Problem, enough: Fraction = Fraction(0)) -> Task:
    """A problem in the search's terms. `enough` is a cost that cannot be undercut.

    Prices of 12.50 and 20 become 5 and 8: the search then compares sums of prices exactly, and one unit less than the
    best is the least that another plan can be cheaper by.
    """
    costs = [exact(stock.cost) for stock in problem.stocks]
    # Costs become whole numbers, exactly: the least common denominator is one unit of cost.
    scale = math.lcm(*(cost.denominator for cost in costs)) if costs else 1
    stocks = tuple(_stock(stock, int(exact(stock.cost) * scale)) for stock in problem.stocks)
    items = tuple(_item(problem, item) for item in problem.items)
    # Rounded up: costs are whole, so none lies between the bound and the next whole number.
    return Task(stocks, items, problem.depth, math.ceil(enough * scale))


def _stock(stock: Stock, cost: int) -> SearchStock:
    """A stock with one kerf added to its sides; `cost` is whole. `cuttable` is asked of the mass of the whole plate."""
    limits = stock.limits
    return SearchStock(
        # All fields of `Limits` by name, so that a new limit cannot be forgotten here.
        **{each.name: getattr(limits, each.name) for each in fields(limits)},
        size=(stock.length + limits.kerf, stock.width + limits.kerf),
        cuttable=limits.piece_max is None or stock.length * stock.width <= limits.piece_max,
        cost=cost,
        limit=stock.limit,
    )


def _item(problem: Problem, item: Item) -> SearchItem:
    """An item with one kerf added to its sizes; one that has no way on any stock is not asked of the search at all."""
    ways = tuple(
        tuple((x + stock.kerf, y + stock.kerf, turned) for x, y, turned in sizes)
        for stock, sizes in zip(problem.stocks, item.sizes, strict=True)
    )
    # The least area over all ways: `_in_plate` passes over plates that have less free, and may not pass over too many.
    area = min((x * y for stock in ways for x, y, _ in stock), default=0)
    return SearchItem(item.demand if any(ways) else 0, item.over, area, ways)


def strips_as_tree(problem: Problem, stock_number: int, counts: Sequence[int]) -> Tree:
    """A plate cut into strips alone: `counts` of each item; a sliver stays on a strip (`strip_widths`).

    How plates of the engine for strips enter the search for a better offcut, which knows trees alone.
    """
    stock = problem.stocks[stock_number]
    widths, _ = strip_widths(problem, stock_number, counts)
    strips = [Tree(stock.length, width, item) for item, width in widths]
    return cut_from(stock.length, stock.width, "along", strips, stock.kerf)
