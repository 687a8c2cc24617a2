"""Is there a plan with so many plates of one stock? All sets of strips that such a plan may use, then which of
them.

Problem: as in `arc_flow`; this way suits jobs where few sets can be of
use, since then no programme may be needed.

Given whole values of the strips and the greatest value V of a plate, K plates have K V - (value wanted) to lose
between them. A set that loses more by itself is in no plan of K plates; with values from a linear programme
solved to its end few sets are left, often a few hundred, and they are listed one by one, in whole numbers.

Which of them make a plan is an exact cover with counts. A depth-first search in whole numbers (the strip with
the fewest sets first, what may still be lost carried along) settles most; what it leaves is put to HiGHS, whose
"there is none" rests on its tolerances. To branch where the fewest choices are is the rule of D. E. Knuth's
"Dancing links" (2000; from memory).

Exact where the list is complete and the search comes to its end; else a plan may be found, and nothing is
shown. Cost: grows with the number of sets for the list, in the worst case exponentially for the cover: hence
the limits.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stripplan.layout.linear_programme import new_programme
from stripplan.layout.strips.arc_flow import (
    MOST_CELLS,
    MOST_ITERATIONS,
    Verdict,
    arcs_of_value,
    best_ahead,
    is_plan,
    may_lose,
)
from stripplan.layout.strips.first_fit import Bars, Plan

if TYPE_CHECKING:
    from stripplan.layout.strips.arc_flow import Array

MOST_SETS = 20_000
"""Sets listed at most: memory and time against questions left open. Set by trial, not studied."""
MOST_WORK = 2_000_000
"""Sets times strips: beyond it the solver was seen to stall for minutes, so fewer sets are taken, or none. The
figure itself was set by trial, not studied."""
MOST_TRIES = 20_000
"""Nodes of the exact search before HiGHS is asked: an answer in whole numbers against one that may come
sooner. Set by trial, not studied."""

Set = tuple[tuple[int, int], ...]
"""(item, copies) of one plate, items rising, no copies of 0."""


@dataclass(frozen=True)
class Sets:
    """Sets of strips, least loss first; what each loses and wastes, and what all plates together may waste.

    Loss is in value: how much less than the best plate's. Waste is in units of width: what no strip takes up.
    The three lists go together; `waste` is the same for every plan with so many plates, as all make the same
    strips.
    """

    sets: list[Set]
    losses: list[int]
    wastes: list[int]
    waste: int


def settled_by_sets(
    bars: Bars, values: Sequence[int], plates: int, *, part: bool, nodes: int, out_of_time: Callable[[], bool]
) -> Verdict:
    """A plan of so many plates, or that there is none; neither where it is too much work.

    `values` are whole, 0 or more, one for each size of `bars`; any will do, good ones leave few sets. Where the
    sets are too many, nothing is done; with `part`, those that lose least are taken: they may make a plan, but
    show no more. A list that is complete is not for `part`: it has been searched before.
    """
    if (bars.capacity + 1) * len(bars.sizes) > MOST_CELLS:
        return Verdict()
    ahead = best_ahead(bars, values)
    spare = may_lose(bars, values, plates, ahead)
    if spare < 0:
        return Verdict(none=True, exact=True)
    most = min(MOST_SETS, MOST_WORK // len(bars.sizes))
    found, each = all_sets(bars, values, plates, ahead, spare, most), spare
    if part and found is not None:
        return Verdict()
    # Half the loss at a time until the list is short enough: what remains are the sets nearest to the best
    # plate.
    while part and found is None and each > 0:
        each //= 2
        found = all_sets(bars, values, plates, ahead, each, most)
    if found is None or out_of_time():
        return Verdict()
    # No set may lose so little: no plan, if that was the true limit and not one that was halved.
    if not found.sets:
        return Verdict(none=each == spare, exact=True)
    verdict = _Cover(bars, found, plates, spare).search(MOST_TRIES)
    if verdict.plan is None and not verdict.none and not out_of_time():
        verdict = _by_solver(bars, found, plates, nodes)
    # That a part of the sets makes no plan says nothing of the others.
    return replace(verdict, none=verdict.none and each == spare)


def all_sets(
    bars: Bars, values: Sequence[int], plates: int, ahead: Sequence[Array], each: int, most: int
) -> Sets | None:
    """Every set that loses at most `each` and wastes no more than so many plates may; None where there are too
    many.

    `ahead` is `best_ahead` of the same values; `most` is the greatest number of sets. Depth first, items
    rising, so that each set comes up once; a branch ends where even the best way on would lose too much.
    """
    best = int(ahead[0][0])
    arcs = arcs_of_value(bars, values, ahead, best - each)
    # So many arcs would make as long a search; it is not begun.
    if len(arcs.item) > most:
        return None
    # Strips and plates being given, waste is a sum of its own: a set that wastes more than all plates may is
    # out as well.
    waste = plates * bars.capacity - sum(d * s for d, s in zip(bars.demands, bars.sizes, strict=True))
    out: dict[int, list[int]] = {}
    for item, start in zip(arcs.item.tolist(), arcs.start.tolist(), strict=True):
        out.setdefault(start, []).append(item)
    found: list[tuple[int, int, Set]] = []
    stack: list[tuple[int, int, int, Set]] = [(0, 0, 0, ())]  # item from which to go on, total, value, set
    while stack:
        first, total, value, chosen = stack.pop()
        left = bars.capacity - total
        if chosen and value >= best - each and left <= waste and (left == 0 or left >= bars.zone):
            found.append((best - value, left, chosen))
            if len(found) > most:
                return None
        for item in out.get(total, ()):
            for copies in range(1, min(bars.demands[item], left // bars.sizes[item]) + 1 if item >= first else 0):
                at, now = total + copies * bars.sizes[item], value + copies * values[item]
                if now + int(ahead[item + 1][at]) >= best - each:
                    stack.append((item + 1, at, now, (*chosen, (item, copies))))
    # Least loss first: then "all sets that lose at most so much" are the lowest bits of a whole number (see
    # `_after`).
    found.sort()
    return Sets([s for _, _, s in found], [loss for loss, _, _ in found], [left for _, left, _ in found], waste)


@dataclass(frozen=True)
class _State:
    """What is left to do: strips, plates, loss and waste; the sets that still may be used, as bits; the way here.

    `number` is the set taken last (-1 at the start), `before` the state in which it was taken: the plan is read
    back along these, so no list of sets is carried.
    """

    left: tuple[int, ...]
    plates: int
    spare: int
    waste: int
    active: int
    number: int
    before: _State | None


class _Cover:
    """Depth-first search for sets that make up all demands, in whole numbers.

    Sets are bits of one whole number, so that "those with this strip that still fit" is a single operation.
    Three rules take sets out as plates are filled: too many of a strip, too much loss, too much waste.
    """

    def __init__(self, bars: Bars, found: Sets, plates: int, spare: int) -> None:
        self.bars, self.found, self.plates, self.spare = bars, found, plates, spare
        self._with: list[dict[int, int]] = [{} for _ in bars.sizes]  # item: {copies: the sets with at least as many}
        for number, chosen in enumerate(found.sets):
            for item, copies in chosen:
                for k in range(1, copies + 1):
                    self._with[item][k] = self._with[item].get(k, 0) | 1 << number
        by_waste = sorted(range(len(found.sets)), key=lambda n: found.wastes[n])
        self._steps = [found.wastes[n] for n in by_waste]
        self._within = [0]  # the sets of least waste, one after another
        for number in by_waste:
            self._within.append(self._within[-1] | 1 << number)

    def search(self, tries: int) -> Verdict:
        """A plan, or that there is none, or neither within so many nodes. The stack's end is a proof: every choice
        was tried.
        """
        found = self.found
        everything = (1 << len(found.sets)) - 1
        stack = [_State(self.bars.demands, self.plates, self.spare, found.waste, everything, -1, None)]
        for done in range(tries):
            if not stack:
                return Verdict(none=True, exact=True, nodes=done)
            state = stack.pop()
            if not any(state.left):
                return Verdict(plan=self._plan(state), nodes=done)
            # Reversed, so that the set of least loss is on top and tried first.
            stack += reversed(self._below(state))
        return Verdict(nodes=tries)

    def _below(self, state: _State) -> list[_State]:
        """One state for each set with the strip that the fewest sets have; a set tried is out for those after it."""
        if not state.plates:
            return []
        # Some plate must hold that strip, so one of these sets is in every plan that goes on from here. With
        # none, it ends.
        fewest, choices = len(self.found.sets) + 1, 0
        for item, left in enumerate(state.left):
            if left:
                some = state.active & self._with[item].get(1, 0)
                if (count := some.bit_count()) < fewest:
                    fewest, choices = count, some
        below = []
        active = state.active
        while choices:
            number = (choices & -choices).bit_length() - 1
            below.append(self._after(state, active, number))
            # Plans with this set were all tried below it. Left in, it would bring the same plans again in
            # another order.
            active &= ~(1 << number)
            choices &= choices - 1
        return below

    def _after(self, state: _State, active: int, number: int) -> _State:
        """The state once a set is taken: sets that make more of its strips than are left, lose or waste too much,
        are out.
        """
        left = list(state.left)
        for item, copies in self.found.sets[number]:
            left[item] -= copies
            active &= ~self._with[item].get(left[item] + 1, 0)
        spare, waste = state.spare - self.found.losses[number], state.waste - self.found.wastes[number]
        # Sets are numbered by loss, so those within what may be lost are the lowest bits; for waste the masks
        # were made before.
        active &= (1 << bisect_right(self.found.losses, spare)) - 1
        active &= self._within[bisect_right(self._steps, waste)]
        return _State(tuple(left), state.plates - 1, spare, waste, active, number, state)

    def _plan(self, state: _State) -> Plan:
        """The sets taken on the way here, each plate counted."""
        made: Plan = Counter()
        while state.before is not None:
            made[counts_of(self.found.sets[state.number], len(self.bars.sizes))] += 1
            state = state.before
        return made


def counts_of(chosen: Set, items: int) -> tuple[int, ...]:
    """How many of each item, in a tuple as long as there are items.

    >>> counts_of(((0, 2), (2, 1)), 4)
    (2, 0, 1, 0)
    """
    counts = [0] * items
    for item, copies in chosen:
        counts[item] = copies
    return tuple(counts)


def _by_solver(bars: Bars, found: Sets, plates: int, nodes: int) -> Verdict:
    """The same question to HiGHS: a whole number of times for each set, every demand met to the strip.

    One row for each item, one for the plates; a column for each set, used at most as often as its strips are
    wanted. The plan is checked before it is believed; "none" is not exact, and the verdict does not say that it
    is.
    """
    from highspy import HighsLp, HighsModelStatus, HighsVarType, MatrixFormat

    lp = new_programme(
        mip_max_nodes=nodes,
        mip_max_improving_sols=1,
        simplex_iteration_limit=MOST_ITERATIONS,
    )
    count, items = len(found.sets), len(bars.sizes)
    model = HighsLp()
    model.num_col_, model.num_row_ = count, items + 1
    model.col_cost_ = np.array(found.wastes, dtype=np.float64)
    model.col_lower_ = np.zeros(count)
    model.col_upper_ = np.array(
        [min(bars.demands[item] // copies for item, copies in chosen) for chosen in found.sets], dtype=np.float64
    )
    demands = np.array(bars.demands, dtype=np.float64)
    model.row_lower_, model.row_upper_ = np.append(demands, 0.0), np.append(demands, float(plates))
    model.a_matrix_.format_ = MatrixFormat.kColwise
    model.a_matrix_.start_ = np.cumsum([0, *(len(chosen) + 1 for chosen in found.sets)])
    model.a_matrix_.index_ = np.array([row for c in found.sets for row in (*(item for item, _ in c), items)])
    model.a_matrix_.value_ = np.array([n for c in found.sets for n in (*(k for _, k in c), 1)], dtype=np.float64)
    model.integrality_ = [HighsVarType.kInteger] * count
    lp.passModel(model)
    lp.run()
    done = int(lp.getInfo().mip_node_count)
    if lp.getModelStatus() == HighsModelStatus.kInfeasible:
        return Verdict(none=True, nodes=done)
    if lp.getInfo().primal_solution_status != 2:
        return Verdict(nodes=done)
    made: Plan = Counter()
    for chosen, times in zip(found.sets, lp.getSolution().col_value, strict=True):
        if round(times):
            made[counts_of(chosen, items)] += round(times)
    return Verdict(plan=made if is_plan(bars, made, plates) else None, nodes=done)
