"""Rectangles by column generation: for parts in many copies, plates of several sizes, limited depth.

Patterns of whole plates are generated at the values of a linear programme (P. C. Gilmore, R. E. Gomory, Operations
Research 13 (1965) 94-120) until none is worth more than its plate; whole plates come from a dive that fixes whole
parts and prices again, then branch and bound over all patterns seen; the last plates are laid out by construction
as well, and the cheaper way is taken. Surplus is taken out again: exactly what is wanted is made, or short.
The work does not grow with the copies. Heuristic; the bound is exact (see `cover.dual_bound`).
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stripplan.layout.bounds.material import material_bound
from stripplan.layout.grid import exact, rounded_to_costs
from stripplan.layout.plates.covering_programme import Covering, PlateColumn, cheapest_cover, column_of, without
from stripplan.layout.plates.pricing import Pricing, family_of, whole_values
from stripplan.layout.plates.staged import Family
from stripplan.layout.problem import Problem, Stock
from stripplan.layout.rectangles.search import solve_rectangles
from stripplan.layout.stop_rule import Clock, OutOfTimeError, never
from stripplan.layout.tree import FilledStock, Tree, cut_from

ROOT_ROUNDS = 600
"""Rounds of pricing before the dive: a stop against cycling."""
DIVE_ROUNDS = 6
"""Rounds after each fixing. Set by trial, not studied."""
IN_TURN = 12
"""Layouts made plate by plate for each step of effort. Set by trial, not studied."""
MOST_IN_TURN = 200
"""Pieces up to which whole layouts are also made plate by plate. Set by trial, not studied."""

MOST_BY_HAND = 1500
"""Pieces that construction is asked to lay out at the end of a dive. Set by trial, not studied."""

HAND_WORK = 2_000_000
"""Search steps of construction times pieces, for each step of effort. Set by trial, not studied."""

MOST_HAND = 1500
"""Search steps of construction at most, for each step of effort. Set by trial, not studied."""

HEAVY = 10_000_000
"""Elementary steps of one pricing from which on rounds are saved. Set by trial, not studied."""

TAIL = 6
"""Rounds over which a heavy pricing must have gained a thousandth, or it is stopped. Set by trial, not studied."""
MOST_HEAVY = 40
"""Rounds of a heavy pricing at most. Set by trial, not studied."""
MOST_BRANCHED = 60
"""Plates up to which branch and bound takes the whole problem. Set by trial, not studied."""

MOST_COLUMNS = 800
"""Columns that branch and bound may choose from: those of least reduced cost. Set by trial, not studied."""

Uses = Counter[PlateColumn]
LinearAnswer = tuple[list[float], list[float], list[float]]
"""Use of each column, worth of each item, worth of each stock's limit."""


@dataclass(frozen=True)
class PlatesAnswer:
    """Patterns and how often; copies of each item that found no plate; what the cost cannot be below, and why.

    `family_bound` holds for patterns of `family` alone.
    """

    patterns: tuple[tuple[PlateColumn, int], ...]
    short: tuple[int, ...]
    bound: Fraction
    how: str
    steps: int
    family: Family
    family_bound: Fraction | None = None

    def cost(self, problem: Problem) -> Fraction:
        """Cost of all plates used."""
        return cost_of(problem, Counter(dict(self.patterns)))


def solve_plates(
    problem: Problem,
    *,
    steps: int | None = None,
    seed: int = 1,
    out_of_time: Clock = never,
    start: Sequence[FilledStock] | None = None,
    family: Family | None = None,
) -> PlatesAnswer:
    """Least cost, or near, from patterns of one family (by default the richest within the problem's depth).

    `steps` sets how many nodes branch and bound may take; `start` are filled plates, whose patterns are used as
    columns.
    """
    chosen = family or family_of(problem.depth)
    return _Search(problem, chosen, seed, 3 if steps is None else steps, out_of_time).run(start or ())


def cost_of(problem: Problem, uses: Uses) -> Fraction:
    """Cost of all plates used, exact."""
    return sum((exact(problem.stocks[column.stock].cost) * n for column, n in uses.items()), Fraction(0))


class _Search:
    def __init__(self, problem: Problem, family: Family, seed: int, steps: int, out_of_time: Clock) -> None:
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

    def run(self, start: Sequence[FilledStock]) -> PlatesAnswer:
        """Root, dive, branch and bound, clean."""
        given = [column_of(each.stock, each.tree) for each in start]
        for column in given:
            self._take(column)
        by_hand = Counter(given) if self._complete(given) else self._all_by_hand()
        self._first_columns()
        use, worth, limit_worth = self._generate(self.demands, ROOT_ROUNDS, surplus=self.few)
        use, worth, limit_worth = self._deeper(use, worth, limit_worth)
        bound, how, in_family = self._bounds(worth, limit_worth)
        lowest = bound if self.any_pattern else max(bound, in_family or Fraction(0))
        in_turn = self._in_turn(lowest) if sum(self.demands) <= MOST_IN_TURN else None
        whole = min(
            (u for u in (by_hand, in_turn) if u is not None), key=lambda u: cost_of(self.problem, u), default=None
        )
        if whole is not None and (self.few or cost_of(self.problem, whole) <= lowest):
            uses, short = whole, [0] * len(self.demands)
        else:
            uses, short = self._dive(use, lowest)
        if whole is not None and (any(short) or cost_of(self.problem, whole) < cost_of(self.problem, uses)):
            uses, short = whole, [0] * len(short)
        done = 1
        light = self.pricing.work <= HEAVY
        if (
            self.steps > 0
            and light
            and not any(short)
            and cost_of(self.problem, uses) > lowest
            and not self.out_of_time()
        ):
            done += 1
            uses = self._branched(uses, use, nodes=200 * self.steps, lowest=float(lowest)) or uses
        uses, short = self._exactly(uses)
        patterns = tuple(sorted(uses.items(), key=lambda each: (each[0].stock, each[0].counts)))
        return PlatesAnswer(patterns, tuple(short), bound, how, done, self.family, in_family)

    def _complete(self, columns: Sequence[PlateColumn]) -> bool:
        made = Counter[int]()
        for column in columns:
            made.update(dict(column.counts))
        return bool(columns) and all(made[item] == demand for item, demand in enumerate(self.demands))

    def _take(self, column: PlateColumn) -> bool:
        return self.problem.is_legal(column.stock, column.tree) and self.master.add(column)

    def _first_columns(self) -> None:
        """Each item alone, in rows, as often as it is wanted and a plate holds it."""
        for number, item in enumerate(self.problem.items):
            for stock, ways in enumerate(item.sizes):
                for way in ways:
                    for rows_first in (True, False):
                        self._take(column_of(stock, self._alone(number, stock, way, rows_first=rows_first)))

    def _alone(self, item: int, stock: int, way: tuple[int, int, bool], *, rows_first: bool) -> Tree:
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

    def _generate(self, left: Sequence[int], rounds: int, *, surplus: bool = False) -> LinearAnswer:
        level = 0
        use, worth, limit_worth = self.master.solve()
        costs: list[float] = []
        for _ in range(rounds):
            if self.out_of_time():
                break
            found = (
                [] if self._tails_off(costs) else self.pricing.columns(level, worth, limit_worth, left, surplus=surplus)
            )
            if sum([self.master.add(column) for column in found]):
                use, worth, limit_worth = self.master.solve()
                costs.append(sum(each * self.costs[c.stock] for c, each in zip(self.master.columns, use, strict=True)))
            elif level + 1 < len(self.pricing.families):
                level += 1
                costs = []
            else:
                break
        return use, worth, limit_worth

    def _deeper(self, use: list[float], worth: list[float], limit_worth: list[float]) -> LinearAnswer:
        """Patterns of any depth, as many rounds as their tables are worth the time."""
        for _ in range(self.pricing.deep.rounds if self.pricing.goes_deep else 0):
            found = (
                []
                if self.out_of_time()
                else self.pricing.deep_columns(worth, limit_worth, None if self.few else self.demands)
            )
            if not sum([self.master.add(column) for column in found]):
                break
            use, worth, limit_worth = self.master.solve()
        return use, worth, limit_worth

    def _tails_off(self, costs: Sequence[float]) -> bool:
        """Whether the last rounds of heavy pricing gained next to nothing, or were many."""
        if self.pricing.work <= HEAVY or len(costs) <= TAIL:
            return False
        return len(costs) > MOST_HEAVY or costs[-1] > costs[-1 - TAIL] * (1 - 1e-3)

    def _bounds(self, worth: Sequence[float], limit_worth: Sequence[float]) -> tuple[Fraction, str, Fraction | None]:
        best, how = material_bound(self.problem).cost, "material bound"
        values, _ = whole_values(worth)
        deep = self.pricing.deep.bound(values, limit_worth)
        if deep is not None and rounded_to_costs(deep, self.costs) > best:
            best, how = rounded_to_costs(deep, self.costs), "column generation bound over all patterns of any depth"
        in_family = self.pricing.family_bound(worth, limit_worth)
        if in_family is None:
            return best, how, None
        in_family = rounded_to_costs(in_family, self.costs)
        if self.any_pattern and self.problem.depth in (1, 2, 3) and in_family > best:
            best, how = in_family, f"column generation bound over all patterns of {self.family}"
        return best, how, max(best, in_family)

    # -- dive --------------------------------------------------------------------------------------------------

    def _dive(self, use: list[float], lowest: Fraction) -> tuple[Uses, list[int]]:
        """Whole plates by fixing and pricing again; the end by construction where that is cheaper."""
        left, limits = list(self.demands), list(self.limits)
        uses: Uses = Counter()
        best: tuple[Fraction, Uses] | None = None
        asked = math.inf if sum(left) > MOST_BY_HAND else sum(left)
        while any(left):
            if self.any_pattern and sum(left) <= min(MOST_BY_HAND, asked / 2):
                asked = sum(left)
                by_hand = self._by_hand(left, limits, lowest - cost_of(self.problem, uses))
                cost = cost_of(self.problem, uses + by_hand) if by_hand is not None else Fraction(0)
                if by_hand is not None and (best is None or cost < best[0]):
                    best = cost, uses + by_hand
                if best is not None and (best[0] <= lowest or self.pricing.work > HEAVY):
                    break  # a heavy pricing does no better at the end than construction
            fixed = _to_fix(self.master.columns, use, left, limits)
            if not fixed:
                break
            for column, times in fixed.items():
                uses[column] += times
                for item, copies in column.counts:
                    left[item] -= copies * times
                limit = limits[column.stock]
                if limit is not None:
                    limits[column.stock] = limit - times
            if any(left):
                self.master.ask(left, limits)
                use, _, _ = self._generate(left, DIVE_ROUNDS)
        self.master.ask(self.demands, self.limits)
        if best is not None and (any(left) or best[0] < cost_of(self.problem, uses)):
            return best[1], [0] * len(left)
        return uses, left

    def _all_by_hand(self) -> Uses | None:
        """The whole problem by construction and repair, where it is small enough; its plates are columns too."""
        if not self.any_pattern or sum(self.demands) > MOST_BY_HAND:
            return None
        return self._by_hand(self.demands, self.limits, material_bound(self.problem).cost)

    def _by_hand(self, left: Sequence[int], limits: Sequence[int | None], enough: Fraction) -> Uses | None:
        """What is left by construction and repair; None where something finds no place."""
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

    # -- plate by plate ----------------------------------------------------------------------------------------

    def _in_turn(self, enough: Fraction) -> Uses | None:
        """Plates one by one, each the best of its kind for what is left, at values that follow the waste they meet.

        Sequential value correction (G. Belov, G. Scheithauer, European J. Operational Research 171 (2006) 85-106).
        """
        chance = random.Random(self.seed)
        area = [max((x * y for ways in i.sizes for x, y, _ in ways), default=0) for i in self.problem.items]
        values = [float(each) ** 1.03 for each in area]
        best: tuple[Fraction, Uses] | None = None
        for _ in range(IN_TURN * (1 + self.steps)):
            if self.out_of_time() or (best is not None and best[0] <= enough):
                break
            made = self._one_turn(values, area, chance)
            if made is not None and (best is None or cost_of(self.problem, made) < best[0]):
                best = cost_of(self.problem, made), made
        return best[1] if best is not None else None

    def _one_turn(self, values: list[float], area: Sequence[int], chance: random.Random) -> Uses | None:
        left, limits = list(self.demands), list(self.limits)
        uses: Uses = Counter()
        while any(left):
            try:
                column = self.pricing.best_for(values, left, limits, chance)
            except OutOfTimeError:
                return None
            if column is None:
                return None
            self.master.add(column)
            uses[column] += 1
            used = sum(area[item] * copies for item, copies in column.counts)
            stock = self.problem.stocks[column.stock]
            for item, copies in column.counts:
                pull = copies / (left[item] + copies) * (0.6 + 0.4 * chance.random())
                waste = stock.length * stock.width / max(1, used)
                values[item] = (1 - pull) * values[item] + pull * float(area[item]) ** 1.03 * min(3.0, waste)
                left[item] -= copies
            limit = limits[column.stock]
            if limit is not None:
                limits[column.stock] = limit - 1
        return uses

    # -- whole numbers over all columns ------------------------------------------------------------------------

    def _branched(self, uses: Uses, use: list[float], *, nodes: int, lowest: float) -> Uses | None:
        """Branch and bound over all columns, most of the whole parts of the programme's answer fixed before."""
        fixed: Uses = Counter()
        if sum(use) > MOST_BRANCHED:
            columns = self.master.columns[: len(use)]
            fixed += Counter({c: math.floor(n) - 1 for c, n in zip(columns, use, strict=True) if n >= 2})
        left, limits = list(self.demands), list(self.limits)
        for column, times in fixed.items():
            for item, copies in column.counts:
                left[item] = max(0, left[item] - copies * times)
            limit = limits[column.stock]
            if limit is not None:
                limits[column.stock] = limit - times
        before = float(cost_of(self.problem, fixed))
        below = float(cost_of(self.problem, uses)) - before
        columns = self._promising(uses)
        whole = cheapest_cover(left, self.costs, limits, columns, nodes=nodes, below=below, at_least=lowest - before)
        if whole is None:
            return None
        return fixed + Counter({c: n for c, n in zip(columns, whole, strict=True) if n > 0})

    def _promising(self, uses: Uses) -> list[PlateColumn]:
        """The columns of the answer and those of least reduced cost."""
        _, worth, limit_worth = self.master.solve()
        lost = [
            self.costs[c.stock] - limit_worth[c.stock] - sum(worth[item] * copies for item, copies in c.counts)
            for c in self.master.columns
        ]
        order = sorted(range(len(lost)), key=lambda n: (round(lost[n], 9), n))[:MOST_COLUMNS]
        chosen = {*order, *(n for n, column in enumerate(self.master.columns) if column in uses)}
        return [self.master.columns[n] for n in sorted(chosen)]

    # -- exactly what is wanted --------------------------------------------------------------------------------

    def _exactly(self, uses: Uses) -> tuple[Uses, list[int]]:
        """Surplus taken out, emptied plates dropped; also what is short."""
        surplus = Counter({item: -demand for item, demand in enumerate(self.demands)})
        for column, times in uses.items():
            for item, copies in column.counts:
                surplus[item] += copies * times
        short = [max(0, -surplus[item]) for item in range(len(self.demands))]
        surplus = +surplus
        done: Uses = Counter()
        for column in sorted(uses, key=lambda c: (sum(n for _, n in c.counts), c.stock, c.counts)):
            for _ in range(uses[column]):
                if not any(surplus[item] for item, _ in column.counts):
                    break
                smaller = self._smaller(column, surplus)
                uses[column] -= 1
                if smaller is not None:
                    done[smaller] += 1
        return +(uses + done), short

    def _smaller(self, column: PlateColumn, surplus: Counter[int]) -> PlateColumn | None:
        """The pattern less what is too much (taken off `surplus`); None = nothing is left of it."""
        before = surplus.copy()
        tree = without(column.tree, surplus, self.problem.stocks[column.stock].limits)
        if tree.is_metal:
            return None
        if not self.problem.is_legal(column.stock, tree):
            surplus.clear()
            surplus.update(before)
            return column
        return column_of(column.stock, tree)


def _most(stock: Stock, extent: int, size: int, wanted: int) -> int:
    """How many of a size, one kerf between each two, may lie side by side."""
    count = min(wanted, (extent + stock.kerf) // (size + stock.kerf))
    while count > 1 and not stock.limits.rest_ok(extent + stock.kerf - count * (size + stock.kerf)):
        count -= 1
    return count


def filled_of(answer: PlatesAnswer) -> list[FilledStock]:
    """The answer as filled plates, one for each plate."""
    return [FilledStock(column.stock, column.tree) for column, n in answer.patterns for _ in range(n)]


def _to_fix(
    columns: Sequence[PlateColumn], use: Sequence[float], left: Sequence[int], limits: Sequence[int | None]
) -> dict[PlateColumn, int]:
    """All whole parts of the answer, else the largest fraction (of equals the fullest column)."""
    room, limit = list(left), list(limits)
    fixed: dict[PlateColumn, int] = {}
    for number in sorted(range(len(use)), key=lambda n: (-use[n], -sum(c for _, c in columns[n].counts), n)):
        if use[number] < 1e-6:
            break
        column, times = columns[number], math.floor(use[number] + 1e-6)
        if times == 0:
            if fixed:
                break
            times = 1
        times = min([times, *(room[item] // copies for item, copies in column.counts)])
        stock_limit = limit[column.stock]
        if stock_limit is not None:
            times = min(times, stock_limit)
            limit[column.stock] = stock_limit - max(0, times)
        if times > 0:
            fixed[column] = times
            for item, copies in column.counts:
                room[item] -= times * copies
    return fixed
