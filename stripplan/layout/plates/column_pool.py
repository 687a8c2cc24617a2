"""Patterns of plates generated so far: priced at the values of the linear programme, with the bounds that these give.

Method: column generation (P. C. Gilmore, R. E. Gomory, Operations Research 13 (1965) 94-120): patterns are generated
at the values of the programme until none is found that is worth more than its plate, or rounds end it. What lays out
whole plates (`diving`, `plate_by_plate`, `whole_numbers`) asks the pool for more.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from stripplan.layout.bounds.material import MATERIAL, material_bound
from stripplan.layout.grid import exact, rounded_to_costs
from stripplan.layout.plates.covering_programme import Covering, PlateColumn, column_of
from stripplan.layout.plates.pricing import Pricing, family_of, whole_values
from stripplan.layout.plates.staged import Family
from stripplan.layout.problem import Problem, Stock
from stripplan.layout.rectangles.search import solve_rectangles
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import Tree, cut_from
from stripplan.wording.message import Facts, Message

MOST_BY_HAND = 1500
"""Pieces that construction is asked to lay out at the end of a dive. Its time grows with the pieces, that of column
generation does not. Set by trial, not studied.
"""

HAND_WORK = 2_000_000
"""Search steps of construction times pieces, for each step of effort: so that a search takes about as long for
many pieces as for few. Set by trial, not studied.
"""

MOST_HAND = 1500
"""Search steps of construction at most, for each step of effort: a stop, as few pieces would be given very many.
Set by trial, not studied."""

HEAVY = 10_000_000
"""Elementary steps of one pricing from which on rounds are saved: below, all is done that may help; above,
what gains least for its time is left out. Set by trial, not studied.
"""

TAIL = 6
"""Rounds over which a heavy pricing must have gained a thousandth, or it is stopped: the cost of the linear
programme falls by less and less towards the end. Both set by trial, not studied.
"""

MOST_HEAVY = 40
"""Rounds of a heavy pricing at most, time against better patterns. Set by trial, not studied."""

Uses = Counter[PlateColumn]
"""How many plates are cut by each pattern."""

LinearAnswer = tuple[list[float], list[float], list[float]]
"""Use of each column, worth of each item, worth of each stock's limit."""


MOMENT = 300_000_000
"""Sums of tables of any depth where no effort is asked for: some tenths of a second. A job of three sizes on sheets of
2.5 m took 90 s with the budget of a long search, and gained no plate.
"""


def cost_of(problem: Problem, uses: Uses) -> Fraction:
    """Cost of all plates used, exact."""
    return sum((exact(problem.stocks[column.stock].cost) * n for column, n in uses.items()), Fraction(0))


class ColumnPool:
    """Patterns and their values in one run.

    `any_pattern`: the family is the richest within the depth, so construction, which knows no families, may help.
    """

    def __init__(self, problem: Problem, family: Family, *, seed: int, steps: int, out_of_time: Clock) -> None:
        self.problem, self.family, self.out_of_time = problem, family, out_of_time
        self.seed, self.steps = seed, steps
        self.demands = [item.demand for item in problem.items]
        self.limits = [stock.limit for stock in problem.stocks]
        self.costs = [stock.cost for stock in problem.stocks]
        self.any_pattern = family == family_of(problem.depth)
        self.pricing = Pricing(problem, family, out_of_time)
        self.master = Covering(self.demands, self.costs, self.limits)

    @property
    def few(self) -> bool:
        """Whether the programme is for the bound alone: construction takes all pieces, and pricing is heavy."""
        return self.any_pattern and sum(self.demands) <= MOST_BY_HAND and self.pricing.work > HEAVY

    def complete(self, columns: Sequence[PlateColumn]) -> bool:
        """Whether columns, one plate each, make exactly what is wanted."""
        made = Counter[int]()
        for column in columns:
            made.update(dict(column.counts))
        return bool(columns) and all(made[item] == demand for item, demand in enumerate(self.demands))

    def take(self, column: PlateColumn) -> bool:
        """Add a column the rig can cut; False if it cannot, or the column is there already."""
        return self.problem.is_legal(column.stock, column.tree) and self.master.add(column)

    def take_first(self) -> None:
        """Each item alone, in rows, as often as it is wanted and a plate holds it.

        With them the linear programme can cover every item before the first pricing, and its first values
        mean something. Those the rig cannot cut are left out; shortfall then stands in (see `Covering`).
        """
        for number, item in enumerate(self.problem.items):
            for stock, ways in enumerate(item.sizes):
                for way in ways:
                    for rows_first in (True, False):
                        self.take(column_of(stock, self._alone(number, stock, way, rows_first=rows_first)))

    def _alone(self, item: int, stock: int, way: tuple[int, int, bool], *, rows_first: bool) -> Tree:
        """A plate with one item alone, lying one way: rows of it side by side, or stacks.

        The same pieces either way, but other first cuts: of the two one may be legal and the other not.
        """
        s = self.problem.stocks[stock]
        length, width, turned = way
        across = _most(s, s.length, length, self.demands[item])
        along = _most(s, s.width, width, max(1, self.demands[item] // max(1, across)))
        leaf = Tree(length, width, item, turned)
        if rows_first:
            row = cut_from(s.length, width, "across", [leaf] * across, s.kerf)
            return cut_from(s.length, s.width, "along", [row] * along, s.kerf)
        stack = cut_from(length, s.width, "along", [leaf] * along, s.kerf)
        return cut_from(s.length, s.width, "across", [stack] * across, s.kerf)

    def generate(self, left: Sequence[int], rounds: int, *, surplus: bool = False) -> LinearAnswer:
        """Column generation: price, add, solve again, family by family, until nothing is found or `rounds` are over.

        `left` is what a pattern may make of each item, unless `surplus`. Each family starts where the
        quicker one before it found nothing more.
        """
        level = 0
        use, worth, limit_worth = self.master.solve()
        costs: list[float] = []
        for _ in range(rounds):
            if self.out_of_time():
                break
            found = (
                [] if self._tails_off(costs) else self.pricing.columns(level, worth, limit_worth, left, surplus=surplus)
            )
            # A list, not `any`: all that were found are added, not just the first that is new.
            if sum([self.master.add(column) for column in found]):
                use, worth, limit_worth = self.master.solve()
                costs.append(sum(each * self.costs[c.stock] for c, each in zip(self.master.columns, use, strict=True)))
            elif level + 1 < len(self.pricing.families):
                level += 1
                costs = []
            else:
                break
        return use, worth, limit_worth

    def go_deeper(self, use: list[float], worth: list[float], limit_worth: list[float]) -> LinearAnswer:
        """Patterns of any depth, as many rounds as their tables are worth the time.

        Last, as each round fills a table of every plate; by then the quick families have brought the values
        near to where they end.
        """
        for _ in range(self._deep_rounds()):
            found = (
                []
                if self.out_of_time()
                else self.pricing.deep_columns(worth, limit_worth, None if self.few else self.demands)
            )
            if not sum([self.master.add(column) for column in found]):
                break
            use, worth, limit_worth = self.master.solve()
        return use, worth, limit_worth

    def _deep_rounds(self) -> int:
        """How many rounds the tables may take; where no effort is asked for no more than a moment."""
        if not self.pricing.goes_deep:
            return 0
        deep = self.pricing.deep
        return deep.rounds if self.steps else min(deep.rounds, MOMENT // max(1, deep.sums))

    def _tails_off(self, costs: Sequence[float]) -> bool:
        """Whether the last rounds of heavy pricing gained next to nothing, or were many."""
        if self.pricing.work <= HEAVY or len(costs) <= TAIL:
            return False
        return len(costs) > MOST_HEAVY or costs[-1] > costs[-1 - TAIL] * (1 - 1e-3)

    def bounds(self, worth: Sequence[float], limit_worth: Sequence[float]) -> tuple[Fraction, Message, Fraction | None]:
        """The best bound on every legal plan and its name, and the family's own bound or None.

        Bounds are rounded up to the next multiple of the greatest common divisor of the plates' costs
        (`rounded_to_costs`): no plan costs anything between.
        """
        best, how = material_bound(self.problem).cost, MATERIAL
        values, _ = whole_values(worth)
        deep = self.pricing.deep.bound(values, limit_worth)
        if deep is not None and rounded_to_costs(deep, self.costs) > best:
            best, how = rounded_to_costs(deep, self.costs), Message("bound_columns")
        in_family = self.pricing.family_bound(worth, limit_worth)
        if in_family is None:
            return best, how, None
        in_family = rounded_to_costs(in_family, self.costs)
        # Only where the job itself limits depth to what the family holds is the family's bound one on every legal plan.
        if self.any_pattern and self.problem.depth in (1, 2, 3) and in_family > best:
            best, how = in_family, self._of_family()
        return best, how, max(best, in_family)

    def _of_family(self) -> Message:
        first = self.family.first[0] if len(self.family.first) == 1 else ""
        facts = Facts(stages=self.family.stages, trimming=self.family.trimming, first=first)
        return Message("bound_columns_of_family", facts=facts)

    def all_by_hand(self) -> Uses | None:
        """The whole problem by construction and repair, where it is small enough; its plates are columns too."""
        if not self.any_pattern or sum(self.demands) > MOST_BY_HAND:
            return None
        return self.by_hand(self.demands, self.limits, material_bound(self.problem).cost)

    def by_hand(self, left: Sequence[int], limits: Sequence[int | None], enough: Fraction) -> Uses | None:
        """What is left by construction and repair; None where something finds no place, or the rig cannot cut
        a plate of it.

        `enough` is a cost at which the search may stop, as no plan can be cheaper.
        """
        items = tuple(replace(item, demand=n) for item, n in zip(self.problem.items, left, strict=True))
        stocks = tuple(stock.limited(n) for stock, n in zip(self.problem.stocks, limits, strict=True))
        rest = replace(self.problem, items=items, stocks=stocks)
        steps = (1 + self.steps) * max(5, min(MOST_HAND, HAND_WORK // max(1, sum(left))))
        found = solve_rectangles(
            rest, seed=self.seed, steps=steps, out_of_time=self.out_of_time, enough=max(Fraction(0), enough)
        )
        columns = [column_of(each.stock, each.tree) for each in found.filled]
        if found.short or not all(self.problem.is_legal(c.stock, c.tree) for c in columns):
            return None
        for column in columns:
            self.master.add(column)
        return Counter(columns)


def _most(stock: Stock, extent: int, size: int, wanted: int) -> int:
    """How many of a size, one kerf between each two, may lie side by side; at most as many as wanted.

    Fewer where that many would leave a sliver. Never less than 1 where one fits: whether that is legal is
    asked of the whole pattern.
    """
    count = min(wanted, (extent + stock.kerf) // (size + stock.kerf))
    while count > 1 and not stock.limits.rest_ok(extent + stock.kerf - count * (size + stock.kerf)):
        count -= 1
    return count
