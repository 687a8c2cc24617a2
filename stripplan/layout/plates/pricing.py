"""Patterns worth more than their plate, at the values of the master: quick families first, any depth last.

Problem: the linear programme over patterns values each item; wanted are patterns whose items are together
worth more than their plate costs (columns of negative reduced cost), or the proof that there is none.

Method: column generation prices by a programme for one plate (P. C. Gilmore, R. E. Gomory, Operations
Research 13 (1965) 94-120). Here there are several, from quick to slow: two stages (see `staged`), the
family asked for, tables of any depth (see `any_depth`). Patterns never make more than is still wanted,
unless `surplus` is asked for: what is too much is cut out of a pattern, and where none is left worth its
plate `shelves` builds one that keeps the demands.

Not exact: that nothing is found does not prove that there is nothing. The bound takes the same values to a
table of every legal pattern (any depth, demands left out, limits of the rig left out), or to the exact
programme of the family where depth is limited to it.

Cost: see the programmes; `Pricing.work` tells that of a quick pricing beforehand.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from fractions import Fraction

from stripplan.layout.plates.any_depth import Deep
from stripplan.layout.plates.covering_programme import PlateColumn, column_of, dual_bound, without
from stripplan.layout.plates.shelves import Shelves
from stripplan.layout.plates.staged import COMPLETE, Family, Staged
from stripplan.layout.problem import Problem
from stripplan.layout.stop_rule import Clock, OutOfTimeError
from stripplan.layout.tree import Tree

SCALE = 1 << 30
"""Values are whole numbers up to this; sums of them stay exact in doubles, below 2^53, for up to 2^23 pieces
of a plate. A greater scale would allow fewer pieces, a smaller one round the values, and with them the
bound, more coarsely.
"""

MOST_WORK = 400_000_000
"""Elementary steps that one exact pricing of a family may take, for a bound: a tighter bound against time that
finds no plan. Set by trial, not studied.
"""

MOST_BOUND_POINTS = 2000
"""Sums of sizes along one side up to which an exact pricing of a family is set up at all: the tables that tell
its cost take time and memory themselves. Set by trial, not studied.
"""

AT_ONCE = 30
"""Patterns taken from one pricing of a plate. More save rounds of pricing, but make the linear programme larger.
Set by trial, not studied.
"""


def family_of(depth: int | None) -> Family:
    """The richest family within a depth (changes of direction, the first cut counted; None = any).

    Three stages with trimming change direction four times, so they need a depth of 4.

    >>> [(family_of(depth).stages, family_of(depth).trimming) for depth in (None, 3, 2)]
    [(3, True), (3, False), (2, False)]
    """
    if depth is None or depth > 3:
        return Family(3, trimming=True)
    return Family(3 if depth == 3 else 2, trimming=False)


def whole_values(worth: Sequence[float]) -> tuple[list[int], float]:
    """Values as whole numbers, rounded down, and what one of them is worth.

    Rounded down, so that a pattern which pays in whole numbers pays in the given values as well. Values are
    0 or more.

    >>> whole_values([2.0, 0.5])[0] == [SCALE, SCALE // 4]
    True
    """
    unit = max(max(worth, default=0.0), 1e-12) / SCALE
    return [int(each / unit) for each in worth], unit


class Pricing:
    """All stocks of a problem, both directions, family by family.

    `families` are levels, the quick one first: two stages, trimmed where the depth has room for that, then
    the family asked for unless it is the same. Programmes are made when they are first asked for, and kept,
    as they depend on sizes alone. `deep` are tables of any depth; `goes_deep` says whether their patterns
    are allowed.
    """

    def __init__(self, problem: Problem, family: Family, out_of_time: Clock) -> None:
        self.problem, self.family, self.out_of_time = problem, family, out_of_time
        # Two stages with trimming change direction three times: as deep as three stages without.
        trims = problem.depth is None or problem.depth > 2
        quick = Family(2, trims and (family.trimming or family.stages == 3), family.first)
        self.families = [quick] if quick == family else [quick, family]
        self._made: dict[tuple[Family, bool], list[list[Staged]]] = {}
        self._shelves: dict[int, Shelves] = {}
        self.deep = Deep(problem, out_of_time)
        self.goes_deep = problem.depth is None and family == family_of(None)

    def _staged(self, family: Family, *, relaxed: bool = False) -> list[list[Staged]]:
        """The programmes of a family, for each stock one for each direction of first cuts. Raises OutOfTimeError."""
        key = family, relaxed
        if key not in self._made:
            self._made[key] = [
                [
                    Staged(self.problem, stock, family, first, relaxed=relaxed, out_of_time=self.out_of_time)
                    for first in family.first
                ]
                for stock in range(len(self.problem.stocks))
            ]
        return self._made[key]

    @property
    def work(self) -> int:
        """Elementary steps of one quick pricing; no end of them where time is over."""
        try:
            return sum(staged.work for each in self._staged(self.families[0]) for staged in each)
        except OutOfTimeError:
            return COMPLETE

    def columns(
        self,
        level: int,
        worth: Sequence[float],
        limit_worth: Sequence[float],
        left: Sequence[int],
        *,
        surplus: bool = False,
    ) -> list[PlateColumn]:
        """Patterns of a level that are worth more than their plate; with `surplus` they may make more than is left.

        `worth` and `left` are for each item, `limit_worth` (0 or below) for each stock. Every pattern is
        legal. Where time is over those found so far, perhaps none.
        """
        values, unit = whole_values([each if n > 0 else 0.0 for each, n in zip(worth, left, strict=True)])
        found: list[PlateColumn] = []
        with suppress(OutOfTimeError):
            for number, programmes in enumerate(self._staged(self.families[level])):
                # A plate of which there are few costs more than its price: it is missing elsewhere.
                price = self.problem.stocks[number].cost - limit_worth[number]
                # A little more than the price: the linear programme's values are rounded, and a column that
                # only seems to pay would come again without end.
                least = price * (1 + 1e-7) / unit
                if self.problem.stocks[number].limit != 0:
                    for staged in programmes:
                        found += self._priced(staged, values, None if surplus else left, least)
        return found

    def _priced(
        self, staged: Staged, values: Sequence[int], left: Sequence[int] | None, least: float
    ) -> list[PlateColumn]:
        """Patterns of one programme worth more than `least`, in whole values."""
        # Demands only lower what a pattern is worth: where the best without them does not pay, none is
        # looked for with them. (Where totals are thinned this may miss one.)
        if not staged.usable or staged.price(values) <= least:
            return []
        found = []
        for _, tree in staged.patterns(AT_ONCE):
            column = self._bounded(staged.number, tree, left)
            if column is not None and _value(column, values) > least:
                found.append(column)
        # All that paid made too much, or could not be cut: shelves keep the demands from the start, but take longer.
        return found if found or left is None else self._by_shelves(staged, values, left, least)

    def _bounded(self, stock: int, tree: Tree, left: Sequence[int] | None) -> PlateColumn | None:
        """The pattern less what is not wanted; None where that is not legal."""
        # Without demands nothing is too much, and there is no need to count.
        made = Counter(tree.items()) if left is not None else Counter()
        surplus = Counter({item: n - left[item] for item, n in made.items() if n > left[item]}) if left else Counter()
        tree = without(tree, surplus, self.problem.stocks[stock].limits) if surplus else tree
        if any(surplus.values()) or not self.problem.is_legal(stock, tree):
            return None
        return column_of(stock, tree)

    def _by_shelves(
        self, staged: Staged, values: Sequence[int], left: Sequence[int], least: float
    ) -> list[PlateColumn]:
        """Legal patterns worth more than `least` that keep the demands; the programme must just have been priced."""
        shelves = self._shelves.setdefault(id(staged), Shelves(staged))
        found = []
        for tree in shelves.patterns(values, left):
            if self.problem.is_legal(staged.number, tree):
                column = column_of(staged.number, tree)
                if _value(column, values) > least:
                    found.append(column)
        return found

    def best_for(
        self, worth: Sequence[float], left: Sequence[int], limits: Sequence[int | None], chance: random.Random
    ) -> PlateColumn | None:
        """The pattern of greatest worth for its plate's cost that makes no more than is left; now and then the next.

        `limits` is how many plates of each stock are still there. Half of the time (by `chance`) patterns
        are of the quick family, and one time in ten the second best is taken: the same values then still
        lead to other plans. Both shares are set by trial, not studied. None = nothing found. Raises
        OutOfTimeError.
        """
        values, _ = whole_values([each if n > 0 else 0.0 for each, n in zip(worth, left, strict=True)])
        family = self.families[-1] if chance.random() < 0.5 else self.families[0]
        priced: list[tuple[float, int, Staged]] = []
        for number, programmes in enumerate(self._staged(family)):
            if limits[number] == 0:
                continue
            for staged in programmes:
                if staged.usable and (most := staged.price(values)) > 0:
                    priced.append((-most / self._least_cost(number), len(priced), staged))
        found: list[tuple[float, tuple[int, int], PlateColumn]] = []
        # Demands only lower what a pattern is worth, so those that promise less than the second best are not built.
        for least, at, staged in sorted(priced, key=lambda each: each[:2]):
            if len(found) > 1 and least > found[1][0]:
                break
            for column in self._by_shelves(staged, values, left, 0.0):
                score = _value(column, values) / self._least_cost(staged.number)
                found.append((-score, (at, len(found)), column))
            # By score, then in the order of plates: columns themselves have no order.
            found.sort(key=lambda each: each[:2])
        if not found:
            return None
        return found[1 if len(found) > 1 and chance.random() < 0.1 else 0][2]

    def _least_cost(self, number: int) -> float:
        """What a plate costs; where it costs nothing as little as can be divided by."""
        return max(1e-9, self.problem.stocks[number].cost)

    def deep_columns(
        self, worth: Sequence[float], limit_worth: Sequence[float], left: Sequence[int] | None
    ) -> list[PlateColumn]:
        """Patterns of any depth that are worth more than their plate: the best of each stock, as far as time goes.

        With `left` None they may make more than is wanted; else what is too much is cut out, and they must
        still pay.
        """
        values, unit = whole_values(worth)
        found = []
        with suppress(OutOfTimeError):
            for number, stock in enumerate(self.problem.stocks):
                least = (stock.cost - limit_worth[number]) * (1 + 1e-7) / unit
                tree = self.deep.pattern(number, values, least) if stock.limit != 0 else None
                column = self._bounded(number, tree, left) if tree is not None else None
                if column is not None and _value(column, values) > least:
                    found.append(column)
        return found

    # -- bounds ------------------------------------------------------------------------------------------------

    def family_bound(self, worth: Sequence[float], limit_worth: Sequence[float]) -> Fraction | None:
        """A lower bound on the cost of plans of this family alone; None where it would take too long."""
        try:
            return self._family_bound(worth, limit_worth)
        except OutOfTimeError:
            return None

    def _family_bound(self, worth: Sequence[float], limit_worth: Sequence[float]) -> Fraction | None:
        """The bound, by programmes without limits of the rig. Raises OutOfTimeError."""
        if any(item.bare or item.over for item in self.problem.items):
            return None  # a piece that may be over size is not held to a stage
        # Asked of the programmes that are there already, which thin what is too much: the exact ones may be
        # too large even to set up.
        if any(staged.points > MOST_BOUND_POINTS for each in self._staged(self.family) for staged in each):
            return None
        programmes = self._staged(self.family, relaxed=True)
        if sum(staged.work for each in programmes for staged in each) > MOST_WORK:
            return None
        values, _ = whole_values(worth)
        # No pattern of the family is worth more, on each stock, whichever way its first cuts run.
        tops = [max((s.price(values) for s in each if s.usable), default=0) for each in programmes]
        return dual_bound(self.problem, values, tops, limit_worth)


def _value(column: PlateColumn, values: Sequence[int]) -> int:
    """What a pattern's items are worth together."""
    return sum(values[item] * copies for item, copies in column.counts)
