"""Rectangles by column generation: for parts in many copies, plates of several sizes, limited depth.

Problem: make so many of each item from plates of several sizes and prices, some of them limited in number,
at least cost.

Method. Patterns of whole plates are generated at the values of a linear programme (P. C. Gilmore, R. E.
Gomory, Operations Research 13 (1965) 94-120) until none is found that is worth more than its plate
(`_generate`, `_deeper`); whole plates come from a dive that fixes whole parts and prices again (`_dive`),
then branch and bound over the best of all patterns seen (`_branched`); the last plates are laid out by
construction as well, and the cheaper way is taken. Small jobs are also made plate by plate (`_in_turn`).
Surplus is taken out again: exactly what is wanted is made, or short (`_exactly`).

Heuristic; the bound is exact (see `covering_programme.dual_bound`) and the greatest of: the material bound,
that over all patterns of any depth, that of the family where the job limits depth to it.

Cost: rounds times a pricing (see `staged`, `any_depth`), and linear programmes with a row for each item and
stock. That does not grow with the copies; what is done piece by piece (construction, plate by plate) has
limits on pieces of its own.

The same job, seed and steps give the same plan unless time runs out: chance is seeded, and nodes and rounds
end each search.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stripplan.layout.bounds.material import MATERIAL, material_bound
from stripplan.layout.grid import exact, rounded_to_costs
from stripplan.layout.plates.covering_programme import Covering, PlateColumn, cheapest_cover, column_of, without
from stripplan.layout.plates.pricing import Pricing, family_of, whole_values
from stripplan.layout.plates.staged import Family
from stripplan.layout.problem import Problem, Stock
from stripplan.layout.rectangles.search import solve_rectangles
from stripplan.layout.stop_rule import Clock, OutOfTimeError, never
from stripplan.layout.tree import FilledStock, Tree, cut_from
from stripplan.wording.message import Facts, Message

ROOT_ROUNDS = 600
"""Rounds of pricing before the dive: a stop against cycling. Set by trial, not studied."""

DIVE_ROUNDS = 6
"""Rounds after each fixing: better patterns for what is left against time, as a dive fixes many times. Set by
trial, not studied.
"""

IN_VAIN = 3
"""Layouts that gain nothing one after the other before no further is made, where no effort is asked for."""
IN_TURN = 12
"""Layouts made plate by plate for each step of effort: each is another chance, and prices anew for every
plate. Set by trial, not studied.
"""

MOST_IN_TURN = 200
"""Pieces up to which whole layouts are also made plate by plate; beyond, the time goes to the dive. Set by
trial, not studied.
"""

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

MOST_BRANCHED = 60
"""Plates up to which branch and bound takes the whole problem; of more, most whole plates are fixed before.
Set by trial, not studied.
"""

MOST_COLUMNS = 800
"""Columns that branch and bound may choose from: those of least reduced cost. With more it sees more plans,
and gets less far within its nodes. Set by trial, not studied.
"""

Uses = Counter[PlateColumn]
"""How many plates are cut by each pattern."""

LinearAnswer = tuple[list[float], list[float], list[float]]
"""Use of each column, worth of each item, worth of each stock's limit."""


MOMENT = 300_000_000
"""Sums of tables of any depth where no effort is asked for: some tenths of a second. A job of three sizes on sheets of
2.5 m took 90 s with the budget of a long search, and gained no plate.
"""


@dataclass(frozen=True)
class PlatesAnswer:
    """Patterns and how often; copies of each item that found no plate; what the cost cannot be below, and why.

    `bound` holds for every legal plan, in the unit of the stocks' costs; `how` says in words which bound it
    is. `family_bound` holds for patterns of `family` alone; None = it would have taken too long. `steps` is
    2 where branch and bound was asked, else 1.
    """

    patterns: tuple[tuple[PlateColumn, int], ...]
    short: tuple[int, ...]
    bound: Fraction
    how: Message
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

    `steps` (3 where not given) sets how many nodes branch and bound may take and how long construction
    searches; 0 = no branch and bound. `seed` is for chance in construction and in layouts plate by plate.
    `start` are filled plates, whose patterns are used as columns; where they make exactly what is wanted
    the answer costs no more than they do. Sizes and plates are the problem's, in units of its grid.

    When `out_of_time` says stop, what there is so far is still made an answer, perhaps a short one.
    ArithmeticError where the linear programme ends without an optimum.
    """
    chosen = family or family_of(problem.depth)
    return _Search(problem, chosen, seed, 3 if steps is None else steps, out_of_time).run(start or ())


def cost_of(problem: Problem, uses: Uses) -> Fraction:
    """Cost of all plates used, exact."""
    return sum((exact(problem.stocks[column.stock].cost) * n for column, n in uses.items()), Fraction(0))


class _Search:
    """One run. `any_pattern`: the family is the richest within the depth, so construction, which knows no
    families, may help.
    """

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
        # A plan that was given and is complete spares a construction of the same.
        by_hand = Counter(given) if self._complete(given) else self._all_by_hand()
        self._first_columns()
        use, worth, limit_worth = self._generate(self.demands, ROOT_ROUNDS, surplus=self.few)
        use, worth, limit_worth = self._deeper(use, worth, limit_worth)
        # Bounds from the values of the root, before the dive changes what is asked of the programme.
        bound, how, in_family = self._bounds(worth, limit_worth)
        # A plan of this cost is best, and every later search stops there. Where only one family is asked
        # for, its own bound says more.
        lowest = bound if self.any_pattern else max(bound, in_family or Fraction(0))
        in_turn = self._in_turn(lowest) if sum(self.demands) <= MOST_IN_TURN else None
        whole = min(
            (u for u in (by_hand, in_turn) if u is not None), key=lambda u: cost_of(self.problem, u), default=None
        )
        # No dive where the programme was for the bound alone, or where a whole plan costs no more than the bound.
        if whole is not None and (self.few or cost_of(self.problem, whole) <= lowest):
            uses, short = whole, [0] * len(self.demands)
        else:
            uses, short = self._dive(use, lowest)
        # A whole plan before one that is short, whatever the costs; else the cheaper one.
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
            # 200 nodes a step: set by trial, not studied.
            uses = self._branched(uses, use, nodes=200 * self.steps, lowest=float(lowest)) or uses
        uses, short = self._exactly(uses)
        patterns = tuple(sorted(uses.items(), key=lambda each: (each[0].stock, each[0].counts)))
        return PlatesAnswer(patterns, tuple(short), bound, how, done, self.family, in_family)

    def _complete(self, columns: Sequence[PlateColumn]) -> bool:
        """Whether columns, one plate each, make exactly what is wanted."""
        made = Counter[int]()
        for column in columns:
            made.update(dict(column.counts))
        return bool(columns) and all(made[item] == demand for item, demand in enumerate(self.demands))

    def _take(self, column: PlateColumn) -> bool:
        """Add a column the rig can cut; False if it cannot, or the column is there already."""
        return self.problem.is_legal(column.stock, column.tree) and self.master.add(column)

    def _first_columns(self) -> None:
        """Each item alone, in rows, as often as it is wanted and a plate holds it.

        With them the linear programme can cover every item before the first pricing, and its first values
        mean something. Those the rig cannot cut are left out; shortfall then stands in (see `Covering`).
        """
        for number, item in enumerate(self.problem.items):
            for stock, ways in enumerate(item.sizes):
                for way in ways:
                    for rows_first in (True, False):
                        self._take(column_of(stock, self._alone(number, stock, way, rows_first=rows_first)))

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

    def _generate(self, left: Sequence[int], rounds: int, *, surplus: bool = False) -> LinearAnswer:
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

    def _deeper(self, use: list[float], worth: list[float], limit_worth: list[float]) -> LinearAnswer:
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

    def _bounds(
        self, worth: Sequence[float], limit_worth: Sequence[float]
    ) -> tuple[Fraction, Message, Fraction | None]:
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

    # -- dive --------------------------------------------------------------------------------------------------

    def _dive(self, use: list[float], lowest: Fraction) -> tuple[Uses, list[int]]:
        """Whole plates by fixing and pricing again; the end by construction where that is cheaper.

        Returns plates and what is short of each item. A dive takes back nothing that it fixed. What is left
        gets fewer, and patterns that make too much of it are put aside (`Covering.ask`), so pricing fits
        new ones to what is left. The programme is asked for the whole job again at the end.
        """
        left, limits = list(self.demands), list(self.limits)
        uses: Uses = Counter()
        best: tuple[Fraction, Uses] | None = None
        # Construction has laid out the whole of a small job before the dive, so it is asked again from half of it on.
        asked = math.inf if sum(left) > MOST_BY_HAND else sum(left)
        while any(left):
            # Each time what is left has halved: the end of a plan may be cheaper by construction from early
            # on, or only late.
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

    # -- plate by plate ----------------------------------------------------------------------------------------

    def _in_turn(self, enough: Fraction) -> Uses | None:
        """Plates one by one, each the best of its kind for what is left, at values that follow the waste they meet.

        Sequential value correction (G. Belov, G. Scheithauer, European J. Operational Research 171 (2006)
        85-106). Here for rectangles: where the pieces of a plate leave much waste, they are worth more in
        later layouts, and so are placed while there is still choice. None where no layout was whole. Values
        go on from layout to layout.
        """
        chance = random.Random(self.seed)
        area = [max((x * y for ways in i.sizes for x, y, _ in ways), default=0) for i in self.problem.items]
        # A little more than area: large pieces first, as small ones still find room at the end. Set by
        # trial, not studied.
        values = [float(each) ** 1.03 for each in area]
        best: tuple[Fraction, Uses] | None = None
        in_vain = 0
        for _ in range(IN_TURN * (1 + self.steps)):
            if self.out_of_time() or (best is not None and best[0] <= enough):
                break
            if in_vain >= IN_VAIN and not self.steps:
                break
            made = self._one_turn(values, area, chance)
            in_vain += 1
            if made is not None and (best is None or cost_of(self.problem, made) < best[0]):
                best, in_vain = (cost_of(self.problem, made), made), 0
        return best[1] if best is not None else None

    def _one_turn(self, values: list[float], area: Sequence[int], chance: random.Random) -> Uses | None:
        """One layout of the whole job; `values` are corrected in place. None where pieces find no plate, or
        time is over.
        """
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
                # How far the old value gives way to the new: more where the plate holds more of what was
                # still wanted. Chance keeps layouts from repeating. 0.6, 0.4, and 3 as the most that waste
                # counts: set by trial, not studied.
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
        """Branch and bound over all columns, most of the whole parts of the programme's answer fixed before.

        None where nothing cheaper than `uses` was found within `nodes`. `use` is the answer of the root;
        `lowest` a cost no plan is below.
        """
        fixed: Uses = Counter()
        if sum(use) > MOST_BRANCHED:
            columns = self.master.columns[: len(use)]
            # One plate less than the whole part is fixed, so that there is something left to exchange.
            fixed += Counter({c: math.floor(n) - 1 for c, n in zip(columns, use, strict=True) if n >= 2})
        left, limits = list(self.demands), list(self.limits)
        for column, times in fixed.items():
            for item, copies in column.counts:
                # A fixed pattern may make too much; what was wanted is then not wanted any more.
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
        """The columns of the answer and those of least reduced cost, in the order in which they were found.

        The columns of the answer must be among them: so that there is at least that one plan to improve on.
        """
        _, worth, limit_worth = self.master.solve()
        lost = [
            self.costs[c.stock] - limit_worth[c.stock] - sum(worth[item] * copies for item, copies in c.counts)
            for c in self.master.columns
        ]
        # Rounded, so that what is equal but for the last digits is taken in the order found, on every machine.
        order = sorted(range(len(lost)), key=lambda n: (round(lost[n], 9), n))[:MOST_COLUMNS]
        chosen = {*order, *(n for n, column in enumerate(self.master.columns) if column in uses)}
        return [self.master.columns[n] for n in sorted(chosen)]

    # -- exactly what is wanted --------------------------------------------------------------------------------

    def _exactly(self, uses: Uses) -> tuple[Uses, list[int]]:
        """Surplus taken out, emptied plates dropped; also what is short.

        `uses` is changed in place. Emptiest plates first: of those the chance is best that a whole plate is
        saved.
        """
        surplus = Counter({item: -demand for item, demand in enumerate(self.demands)})
        for column, times in uses.items():
            for item, copies in column.counts:
                surplus[item] += copies * times
        short = [max(0, -surplus[item]) for item in range(len(self.demands))]
        # Only what is too much stays in the count.
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
            # The rig cannot cut what would be left (another piece would then lie where the fence does not
            # reach, say): the pattern stays, and so does its surplus.
            surplus.clear()
            surplus.update(before)
            return column
        return column_of(column.stock, tree)


def _most(stock: Stock, extent: int, size: int, wanted: int) -> int:
    """How many of a size, one kerf between each two, may lie side by side; at most as many as wanted.

    Fewer where that many would leave a sliver. Never less than 1 where one fits: whether that is legal is
    asked of the whole pattern.
    """
    count = min(wanted, (extent + stock.kerf) // (size + stock.kerf))
    while count > 1 and not stock.limits.rest_ok(extent + stock.kerf - count * (size + stock.kerf)):
        count -= 1
    return count


def filled_of(answer: PlatesAnswer) -> list[FilledStock]:
    """The answer as filled plates, one for each plate; plates of the same pattern share a tree."""
    return [FilledStock(column.stock, column.tree) for column, n in answer.patterns for _ in range(n)]


def _to_fix(
    columns: Sequence[PlateColumn], use: Sequence[float], left: Sequence[int], limits: Sequence[int | None]
) -> dict[PlateColumn, int]:
    """All whole parts of the answer, else the largest fraction (of equals the fullest column).

    No more than is left of any item, and of any stock. Empty where nothing can be fixed, which ends the
    dive. 1e-6 is what the solver's figures may be off.
    """
    room, limit = list(left), list(limits)
    fixed: dict[PlateColumn, int] = {}
    for number in sorted(range(len(use)), key=lambda n: (-use[n], -sum(c for _, c in columns[n].counts), n)):
        if use[number] < 1e-6:
            break
        column, times = columns[number], math.floor(use[number] + 1e-6)
        if times == 0:
            # From here on there are fractions only: with whole parts fixed, values are asked anew before
            # one is rounded up.
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
