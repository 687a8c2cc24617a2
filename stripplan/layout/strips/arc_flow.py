"""Is there a plan with so many plates of one stock? An arc-flow integer programme, thinned by reduced costs.

Each plate is a path through the totals 0, 1, ... C; an arc is one strip, and a flow of K from 0 that uses
each strip's arcs as often as it is wanted is a plan of K plates (J. M. Valerio de Carvalho, Annals of Operations
Research 86 (1999) 629-659). Strips come widest first, which leaves out orders of one set that say the same.

Given whole values of the strips and the greatest value V of a plate, K plates have K V - (value wanted) to
lose between them, so no plate may be worth less than V less that. Arcs on no such path are left out, in whole
numbers (V. L. de Lima, M. Iori, F. K. Miyazawa, Mathematical Programming 197 (2023)); where little can be lost, few are left.

What is left is put to HiGHS, within so many nodes. A plan it finds is checked. "There is none" rests on the
solver's tolerances (1e-6, all data whole and small; tighter ones made its simplex stall); who shows it should say so.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from stripplan.layout.strips.first_fit import Bars, Plan

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.int64]

_NONE = np.int64(-(1 << 60))
MOST_CELLS = 40_000_000
"""Entries of the table of arcs. Set by trial, not studied."""
MOST_ITERATIONS = 20_000
"""Simplex steps at most: a count and not a time, so that the same job gives the same plan. Set by trial, not
studied."""
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
    """A plan; or that there is none; or neither, where the work was too much."""

    plan: Plan | None = None
    none: bool = False
    nodes: int = 0
    exact: bool = False
    """Whether "none" was shown in whole numbers throughout."""


@dataclass(frozen=True)
class Arcs:
    """Strips placed: which item, from which total."""

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
    """Whether `plates` plates can hold all strips, given dual values of the strips in whole numbers.

    Without `proof`, "none" may come from the interior-point method alone: quick, and good enough to steer by.
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
    """The arcs that a plan of so many plates may use; None where the values alone show that there is no plan."""
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
    """What so many plates, each at its greatest value, may be short of it in all; below 0: there is no plan."""
    return plates * int(ahead[0][0]) - sum(d * v for d, v in zip(bars.demands, values, strict=True))


def arcs_of_value(bars: Bars, values: Sequence[int], ahead: Sequence[Array], least: int) -> Arcs:
    """The arcs of plates that are worth at least so much."""
    behind = np.full(bars.capacity + 1, _NONE, dtype=np.int64)
    behind[0] = 0
    items, starts = [], []
    for item, (size, demand, value) in enumerate(zip(bars.sizes, bars.demands, values, strict=True)):
        before = _with_copies(behind, size, value, demand - 1)
        through = before[:-size] + value + ahead[item][size:]
        found = np.flatnonzero((before[:-size] >= 0) & (through >= least))
        items.append(np.full(len(found), item, dtype=np.int64))
        starts.append(found.astype(np.int64))
        behind = _with_copies(behind, size, value, demand)
    return Arcs(np.concatenate(items), np.concatenate(starts))


def best_ahead(bars: Bars, values: Sequence[int]) -> list[Array]:
    """For each item, by total: the most that it and the items after it can add on one plate; the last row is nothing."""
    total = np.arange(bars.capacity + 1)
    left = bars.capacity - total
    last = np.where((left == 0) | (left >= bars.zone), 0, _NONE).astype(np.int64)
    rows = [last]
    for size, demand, value in zip(reversed(bars.sizes), reversed(bars.demands), reversed(list(values)), strict=True):
        rows.append(_with_copies(rows[-1][::-1], size, value, demand)[::-1])
    return rows[::-1]


def _with_copies(best: Array, size: int, value: int, copies: int) -> Array:
    """Best values by total with up to so many copies of one strip added (in powers of two)."""
    best = best.copy()
    copies, step = min(copies, (len(best) - 1) // size), 1
    while copies > 0:
        step = min(step, copies)
        np.maximum(best[size * step :], best[: -size * step] + value * step, out=best[size * step :])
        copies -= step
        step *= 2
    return best


class _Flow:
    """The integer programme: a column for each arc; rows for items, for totals between, and for the start."""

    def __init__(self, bars: Bars, arcs: Arcs, plates: int) -> None:
        self.bars, self.arcs, self.plates = bars, arcs, plates
        self.sizes = np.array(bars.sizes, dtype=np.int64)
        self.ends = arcs.start + self.sizes[arcs.item]
        self.totals = np.unique(np.concatenate([[0], arcs.start, self.ends]))

    def solve(self, nodes: int, out_of_time: Callable[[], bool], *, proof: bool) -> Verdict:
        """A plan, a proof that there is none, or neither within the nodes."""
        from highspy import Highs, HighsModelStatus, HighsVarType

        new_lp: Any = Highs
        lp: Any = new_lp()
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("solver", "ipm"),
            ("run_crossover", "off"),
            ("mip_max_nodes", nodes),
            ("mip_max_improving_sols", 1),
            ("simplex_iteration_limit", MOST_ITERATIONS),
        ):
            lp.setOptionValue(option, value)
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
        model.integrality_ = [HighsVarType.kInteger] * len(self.arcs.item)
        lp.setOptionValue("solver", "choose")
        lp.passModel(model)
        lp.run()
        status, done = lp.getModelStatus(), int(lp.getInfo().mip_node_count)
        if status == HighsModelStatus.kInfeasible:
            return Verdict(none=True, nodes=done)
        if lp.getInfo().primal_solution_status != 2:
            return Verdict(nodes=done)
        flow = np.rint(np.array(lp.getSolution().col_value)).astype(np.int64)
        return Verdict(plan=self._plan(flow), nodes=done)

    def _model(self, infinity: float) -> Any:
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
                some[0][1] -= 1
                counts[some[0][0]] += 1
                at += self.bars.sizes[some[0][0]]
            made[tuple(counts)] += 1
        return made if is_plan(self.bars, made, self.plates) else None


def is_plan(bars: Bars, made: Plan, plates: int) -> bool:
    """Whether sets make what is wanted on so many plates, each within what a plate holds."""
    sums = [sum(counts[n] * times for counts, times in made.items()) for n in range(len(bars.sizes))]
    totals = [sum(n * size for n, size in zip(counts, bars.sizes, strict=True)) for counts in made]
    fits = all(t == bars.capacity or t <= bars.capacity - bars.zone for t in totals)
    return fits and sums == list(bars.demands) and made.total() <= plates
