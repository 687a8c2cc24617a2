"""Is there a plan with so many plates of one stock? An arc-flow integer programme, thinned by reduced costs.

Problem: column generation says "at least K plates", the best plan has K + 1; either a plan with K is to be
found, or it is to be shown that there is none. Each plate is a path through the totals 0, 1, ... C; an arc is
one strip, and a flow of K from 0 that uses each strip's arcs as often as it is wanted is a plan of K plates (J.
M. Valerio de Carvalho, Annals of Operations Research 86 (1999) 629-659). Strips come widest first, which leaves
out orders of one set that say the same.

Given whole values of the strips and the greatest value V of a plate, K plates have K V - (value wanted) to lose
between them, so no plate may be worth less than V less that. Arcs on no such path are left out, in whole
numbers (V. L. de Lima, M. Iori, F. K. Miyazawa, Mathematical Programming 197 (2023)); where little can be lost,
few are left. Any values serve; those of a linear programme solved to its end leave few arcs.

What is left is put to HiGHS, within so many nodes. A plan it finds is checked. "There is none" rests on the
solver's tolerances (1e-6, all data whole and small; tighter ones made its simplex stall); who shows it should
say so. Where the values alone rule a plan out, it is exact. Cost: strips x log copies x totals for the arcs,
then the integer programme, which no formula bounds: hence the limits below, beyond which the question is left
open.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from stripplan.layout.linear_programme import new_programme
from stripplan.layout.strips.first_fit import Bars, Plan

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.int64]

_NONE = np.int64(-(1 << 60))
"""Value of a total that cannot be reached, or from which no plate can end legally: far below any sum of
values."""
MOST_CELLS = 40_000_000
"""Entries of the table of arcs (strips x totals, 8 bytes each): memory against questions left open. Set by
trial, not studied."""
MOST_ITERATIONS = 20_000
"""Simplex steps at most: a count and not a time, so that the same job gives the same plan. More would settle
more jobs and keep the others waiting longer. Set by trial, not studied."""
MOST_WORK = 20_000_000
"""Arcs times totals: beyond it the simplex method was seen to stall for minutes, so the question is left open."""
NO_HEURISTICS: tuple[tuple[str, float | bool], ...] = (
    ("mip_heuristic_effort", 0.0),
    ("mip_heuristic_run_feasibility_jump", False),
    ("mip_allow_restart", False),
    ("mip_detect_symmetry", False),
)
"""For a proof: the solver's searches for a plan, which dives do better, took most of its time."""


@dataclass(frozen=True)
class Verdict:
    """A plan; or that there is none; or neither, where the work was too much. `nodes` counts what the search took.

    "Neither" is an honest answer: it must not be read as "none", or a bound would be claimed that nobody has
    shown.
    """

    plan: Plan | None = None
    none: bool = False
    nodes: int = 0
    exact: bool = False
    """Whether "none" was shown in whole numbers throughout."""


@dataclass(frozen=True)
class Arcs:
    """Strips placed: which item, from which total; two arrays of equal length, items and totals as whole numbers."""

    item: Array
    start: Array


def plan_with(
    bars: Bars,
    values: Sequence[int],
    plates: int,
    *,
    nodes: int,
    most_arcs: int,
    out_of_time: Callable[[], bool],
    proof: bool = True,
) -> Verdict:
    """Whether `plates` plates can hold all strips, given dual values of the strips in whole numbers, 0 or more.

    `values` has one for each size of `bars`. Beyond `most_arcs` arcs or `nodes` nodes the verdict is neither.
    Without `proof`, "none" may come from the interior-point method alone: quick, and good enough to steer by.

    Two strips of 6 on one plate of 10 are ruled out by the values alone, before any programme is set up:

    >>> asked = dict(nodes=1, most_arcs=9, out_of_time=lambda: False)
    >>> plan_with(Bars((6,), (2,), 10), [1], 1, **asked)
    Verdict(plan=None, none=True, nodes=0, exact=True)
    """
    if (bars.capacity + 1) * len(bars.sizes) > MOST_CELLS:
        return Verdict()
    arcs = worthwhile(bars, values, plates)
    if arcs is None:
        return Verdict(none=True, exact=True)
    if len(arcs.item) > most_arcs:
        return Verdict()
    flow = _Flow(bars, arcs, plates)
    if len(arcs.item) * len(flow.totals) > MOST_WORK:
        return Verdict()
    return flow.solve(nodes, out_of_time, proof=proof)


def worthwhile(bars: Bars, values: Sequence[int], plates: int) -> Arcs | None:
    """The arcs that a plan of so many plates may use; None where the values alone show that there is no plan.

    Each set of values rules arcs out by itself, and an arc must pass both: a plan breaks neither limit.
    """
    found = None
    for each in (values, bars.sizes):  # with the sizes as values, what may be lost is waste
        ahead = best_ahead(bars, each)
        spare = may_lose(bars, each, plates, ahead)
        if spare < 0:
            return None
        arcs = arcs_of_value(bars, each, ahead, int(ahead[0][0]) - spare)
        found = arcs if found is None else _in_both(found, arcs)
    return found


def _in_both(one: Arcs, other: Arcs) -> Arcs:
    """Arcs of both."""
    most = 1 + max(int(each.max(initial=0)) for each in (one.start, other.start))
    keep = np.isin(one.item * most + one.start, other.item * most + other.start)
    return Arcs(one.item[keep], one.start[keep])


def may_lose(bars: Bars, values: Sequence[int], plates: int, ahead: Sequence[Array]) -> int:
    """What so many plates, each at its greatest value, may be short of it in all; below 0: there is no plan.

    Strips of 6, 4 and 4 on plates of 10, valued by their sizes: two plates hold 20, and 14 is wanted.

    >>> bars = Bars((6, 4), (1, 2), 10)
    >>> may_lose(bars, bars.sizes, 2, best_ahead(bars, bars.sizes))
    6
    >>> may_lose(bars, bars.sizes, 1, best_ahead(bars, bars.sizes))
    -4
    """
    return plates * int(ahead[0][0]) - sum(d * v for d, v in zip(bars.demands, values, strict=True))


def arcs_of_value(bars: Bars, values: Sequence[int], ahead: Sequence[Array], least: int) -> Arcs:
    """The arcs of plates that are worth at least `least`, given `ahead` from `best_ahead` for the same values.

    An arc stays if the best way to its start, its strip, and the best way on from its end are worth enough
    together.
    """
    behind = np.full(bars.capacity + 1, _NONE, dtype=np.int64)
    behind[0] = 0
    items, starts = [], []
    for item, (size, demand, value) in enumerate(zip(bars.sizes, bars.demands, values, strict=True)):
        # One copy is the arc itself, so at most the others lie before it. Those ahead are counted as if none
        # had been used: too many may be counted so, which leaves an arc in, and never takes out one that a plan
        # could use.
        before = _with_copies(behind, size, value, demand - 1)
        through = before[:-size] + value + ahead[item][size:]
        found = np.flatnonzero((before[:-size] >= 0) & (through >= least))
        items.append(np.full(len(found), item, dtype=np.int64))
        starts.append(found.astype(np.int64))
        behind = _with_copies(behind, size, value, demand)
    return Arcs(np.concatenate(items), np.concatenate(starts))


def best_ahead(bars: Bars, values: Sequence[int]) -> list[Array]:
    """For each item, by total: the most that it and the items after it can add on one plate; the last row is
    nothing.

    One row more than items, each of capacity + 1 values. A plate may end where nothing is left, or the zone or
    more; totals from which no such end is reached have a value far below 0. Row 0 at total 0 is the greatest
    value of a plate.
    """
    total = np.arange(bars.capacity + 1)
    left = bars.capacity - total
    last = np.where((left == 0) | (left >= bars.zone), 0, _NONE).astype(np.int64)
    rows = [last]
    for size, demand, value in zip(reversed(bars.sizes), reversed(bars.demands), reversed(list(values)), strict=True):
        # Turned round, "what comes after this total" is "what comes before", and the same step serves for both
        # ways.
        rows.append(_with_copies(rows[-1][::-1], size, value, demand)[::-1])
    return rows[::-1]


def _with_copies(best: Array, size: int, value: int, copies: int) -> Array:
    """Best values by total with up to so many copies of one strip added (in powers of two)."""
    best = best.copy()
    copies, step = min(copies, (len(best) - 1) // size), 1
    while copies > 0:
        step = min(step, copies)
        # The sum is a new array before `best` changes, so each power of two is taken once or not at all.
        np.maximum(best[size * step :], best[: -size * step] + value * step, out=best[size * step :])
        copies -= step
        step *= 2
    return best


class _Flow:
    """The integer programme: a column for each arc; rows for items, for totals between, and for the start.

    Only totals at which some arc starts or ends have a row: the others could carry no flow.
    """

    def __init__(self, bars: Bars, arcs: Arcs, plates: int) -> None:
        self.bars, self.arcs, self.plates = bars, arcs, plates
        self.sizes = np.array(bars.sizes, dtype=np.int64)
        self.ends = arcs.start + self.sizes[arcs.item]
        self.totals = np.unique(np.concatenate([[0], arcs.start, self.ends]))

    def solve(self, nodes: int, out_of_time: Callable[[], bool], *, proof: bool) -> Verdict:
        """A plan, a proof that there is none, or neither within the nodes.

        Without `proof` the linear programme is put first, by the interior-point method and without a clean-up
        to a vertex: if it has no solution, neither has the integer one.
        """
        from highspy import HighsModelStatus, HighsVarType

        lp = new_programme(
            solver="ipm",
            run_crossover="off",
            mip_max_nodes=nodes,
            mip_max_improving_sols=1,
            simplex_iteration_limit=MOST_ITERATIONS,
        )
        model = self._model(lp.getInfinity())
        if not proof:
            lp.passModel(model)
            lp.run()
            if lp.getModelStatus() == HighsModelStatus.kInfeasible:
                return Verdict(none=True)
        if out_of_time():
            return Verdict()
        for name, setting in NO_HEURISTICS if proof else ():
            lp.setOptionValue(name, setting)
        # Now the same model in whole numbers, by whatever method the solver holds best. The first plan found
        # ends it: all plans with K plates are equally good.
        model.integrality_ = [HighsVarType.kInteger] * len(self.arcs.item)
        lp.setOptionValue("solver", "choose")
        lp.passModel(model)
        lp.run()
        status, done = lp.getModelStatus(), int(lp.getInfo().mip_node_count)
        if status == HighsModelStatus.kInfeasible:
            return Verdict(none=True, nodes=done)
        # 2: the solver holds a solution. It may have stopped at a limit without one, and then nothing is known.
        if lp.getInfo().primal_solution_status != 2:
            return Verdict(nodes=done)
        flow = np.rint(np.array(lp.getSolution().col_value)).astype(np.int64)
        return Verdict(plan=self._plan(flow), nodes=done)

    def _model(self, infinity: float) -> Any:
        """Each arc takes 1 from the row of the total where it starts and adds 1 to that where it ends; it adds 1
        to its item.

        The row of total 0, the first, lets at most `plates` leave. Items are made exactly: with "at least", the
        flow could cut strips that nobody wants, and more arcs would be of use.
        """
        from highspy import HighsLp, MatrixFormat

        count, items, totals = len(self.arcs.item), len(self.sizes), len(self.totals)
        row_start = items + np.searchsorted(self.totals, self.arcs.start)
        row_end = items + np.searchsorted(self.totals, self.ends)
        demands = np.array(self.bars.demands, dtype=np.float64)
        left = self.bars.capacity - self.totals
        may_end = (left == 0) | (left >= self.bars.zone)
        model = HighsLp()
        model.num_col_, model.num_row_ = count, items + totals
        model.col_cost_ = (np.arange(count) * 7919 % 1009).astype(np.float64)  # any costs: without, simplex stalls
        model.col_lower_ = np.zeros(count)
        model.col_upper_ = demands[self.arcs.item]
        # What enters a total goes on or ends there; totals that may not be left over must be gone on from.
        model.row_lower_ = np.concatenate([demands, [-float(self.plates)], np.zeros(totals - 1)])
        model.row_upper_ = np.concatenate([demands, [0.0], np.where(may_end[1:], infinity, 0.0)])
        model.a_matrix_.format_ = MatrixFormat.kColwise
        model.a_matrix_.start_ = np.arange(0, 3 * count + 1, 3)
        model.a_matrix_.index_ = np.stack([self.arcs.item, row_start, row_end], axis=1).ravel()
        model.a_matrix_.value_ = np.tile([1.0, -1.0, 1.0], count)
        return model

    def _plan(self, flow: Array) -> Plan | None:
        """Paths out of the flow, one plate after another; None if they are not a plan."""
        out: dict[int, list[list[int]]] = {}
        for arc in np.flatnonzero(flow).tolist():
            out.setdefault(int(self.arcs.start[arc]), []).append([int(self.arcs.item[arc]), int(flow[arc])])
        made: Plan = Counter()
        while any(left for _, left in out.get(0, ())):
            at, counts = 0, [0] * len(self.sizes)
            while some := [each for each in out.get(at, ()) if each[1]]:
                # Any arc out of here will do: what comes in goes on, or may end here, by the rows of the
                # totals.
                some[0][1] -= 1
                counts[some[0][0]] += 1
                at += self.bars.sizes[some[0][0]]
            made[tuple(counts)] += 1
        return made if is_plan(self.bars, made, self.plates) else None


def is_plan(bars: Bars, made: Plan, plates: int) -> bool:
    """Whether sets make what is wanted on so many plates, each within what a plate holds.

    In whole numbers and without the programme that found the plan, so the solver's tolerances do not matter
    here.

    >>> is_plan(Bars((6, 4), (1, 1), 10), Counter({(1, 1): 1}), 1)
    True
    >>> is_plan(Bars((6,), (1,), 10, zone=5), Counter({(1,): 1}), 1)  # 4 would be left, at least 5 must
    False
    """
    sums = [sum(counts[n] * times for counts, times in made.items()) for n in range(len(bars.sizes))]
    totals = [sum(n * size for n, size in zip(counts, bars.sizes, strict=True)) for counts in made]
    fits = all(t == bars.capacity or t <= bars.capacity - bars.zone for t in totals)
    return fits and sums == list(bars.demands) and made.total() <= plates
