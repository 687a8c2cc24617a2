"""From fractions to whole plates: dives that fix columns and price again, stepping back where that leads nowhere.

Problem: the linear programme says "2.5 plates of this pattern"; a plan needs whole plates, and patterns that
the programme had no use for. G. Belov, G. Scheithauer, EJOR 171 (2006) 85-106, for the idea.

A node fixes whole parts of the linear programme's answer, or one large fraction, takes what they make off the
demands and generates columns anew for the rest; columns never make more than is still wanted. With a cost to
beat, a fixing after which the bound of the rest says "not cheaper" is withdrawn, that column is put aside below
this node, and the next is tried (depth first, so many nodes). The last few plates of one stock are settled
exactly by arc flow. Not a proof: columns put aside may come back by pricing elsewhere.

Cost: one run of column generation for each node; limits are counts of nodes, so that the same job gives the
same plan, except where a time limit ends the search.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from stripplan.layout.grid import rounded_to_costs
from stripplan.layout.strips.arc_flow import Verdict, plan_with
from stripplan.layout.strips.columns import StripWorld, generate, whole_values
from stripplan.layout.strips.first_fit import Bars, Plan
from stripplan.layout.strips.master import Column, Master, Solution

FEW_PLATES = 14
"""The last plates of a dive are settled exactly, as many as this: more would tell
sooner that a dive is lost, but each question takes longer. Set by trial, not studied."""
LAST_NODES, LAST_ARCS = 10, 3000
"""Nodes and arcs that the exact programme for the last plates may take, small since it is asked in every dive. Set
by trial, not studied."""

Uses = Counter[Column]
"""Columns and how many plates are cut by each."""


@dataclass(frozen=True)
class Node:
    """What is still wanted and there, what is fixed and its cost, what is put aside; None = not priced yet.

    `left` has one number for each item, `limits` one for each stock (None = no limit). `spent` is exact: it is
    compared with bounds. `single` says that only one column once is to be fixed next.
    """

    left: tuple[int, ...]
    limits: tuple[int | None, ...]
    uses: Uses
    spent: Fraction
    solution: Solution | None
    aside: frozenset[Column] = frozenset()
    single: bool = False


@dataclass
class Dive:
    """A search for a plan cheaper than `below` (None: any plan). `full` prefers columns without narrow strips.

    A `quick` one prices only where the rest would cost too much without; a `patient` one steps back. `nodes`
    counts down with each pricing. `exact_end` asks arc flow for the last plates; it is for one stock, at a cost
    above 0. The master must hold columns that `root` was solved with, and is handed back with all its demands
    and columns open.
    """

    world: StripWorld
    master: Master
    below: Fraction | None
    full: bool
    nodes: int
    quick: bool
    patient: bool
    exact_end: bool
    out_of_time: Callable[[], bool]

    def __post_init__(self) -> None:
        self._step = rounded_to_costs(Fraction(1, 1 << 60), self.world.costs)  # what costs differ by at least

    def run(self, root: Solution) -> tuple[Uses, list[int]] | None:
        """A plan and what is short, or None where none below was found within the nodes.

        `root` is the master's solution for all demands. Time ends the search only once there is a plan to beat:
        the first dive must bring one.
        """
        world = self.world
        self._root_cost = root.cost
        stack = [Node(tuple(world.demands), tuple(world.limits), Counter(), Fraction(0), root)]
        found: tuple[Uses, list[int]] | None = None
        while stack and found is None and self.nodes > 0 and not (self.below is not None and self.out_of_time()):
            node = self._priced(stack.pop())
            if node is None:
                continue
            verdict = self._last_plates(node)
            if verdict.plan is not None:
                found = node.uses + as_uses(verdict.plan), [0] * len(node.left)
            elif verdict.none:
                del stack[(len(stack) + 1) // 2 :]  # the fault lies further up as likely as not
            else:
                found = self._branched(node, stack)
        # The next dive starts from the whole problem again; columns put aside here are open once more.
        self.master.set_demands(world.demands, world.limits)
        return found

    def _priced(self, node: Node) -> Node | None:
        """The node with its linear programme solved; None where its bound says that it cannot be cheaper."""
        hope = None if self.below is None else self.below - node.spent
        if hope is not None and hope <= 0:
            return None
        # Solved before (the root, or a node stepped back to), or nothing left to solve for.
        if node.solution is not None or not any(node.left):
            return node
        self.nodes -= 1
        self.master.set_demands(node.left, node.limits, node.aside)
        part = generate(self.world, self.master, node.left, node.limits, hope, good=self._good(hope))
        return None if hope is not None and part.bound >= hope else replace(node, solution=part.solution)

    def _good(self, hope: Fraction | None) -> float | None:
        """Cost of the rest that needs no better columns: what a plan may cost above the root is spent bit by bit.

        At the root that is the root's own cost; of what a cheaper plan may cost above it, the rest is allowed
        to have used up a share as large as the part of the plan already fixed. Where the rest costs no more,
        it is not priced further.
        """
        if hope is None or self.below is None or not self.quick:
            return None
        all_may, rest_may = float(self.below - self._step), float(hope - self._step)
        return rest_may - (all_may - self._root_cost) * rest_may / all_may if all_may > 0 else None

    def _last_plates(self, node: Node) -> Verdict:
        """Whether the few plates that a cheaper plan has left can hold what is left; unknown while they are many."""
        if self.below is None or not self.exact_end or not any(node.left):
            return Verdict()
        # So many plates at most, and the plan is still cheaper: one fewer than would cost as much as the plan
        # to beat.
        plates = math.ceil((self.below - node.spent) / self.world.exact_costs[0]) - 1
        if not 1 <= plates <= FEW_PLATES:
            return Verdict()
        by_flow = partial(plan_with, nodes=LAST_NODES, most_arcs=LAST_ARCS, out_of_time=self.out_of_time, proof=False)
        return settled(self.world, node, plates, by_flow)

    def _branched(self, node: Node, stack: list[Node]) -> tuple[Uses, list[int]] | None:
        """Put the nodes below on the stack, the promising one on top; the plan as it is where nothing can be fixed."""
        if not any(node.left):
            return node.uses, list(node.left)
        # The greatest step first: all whole parts at once.
        fixed = to_fix(self.master.columns, node, self.world if self.full else None)
        if not fixed:
            return (node.uses, list(node.left)) if self.below is None else None
        if self.patient and self.below is not None:
            # The way back. Were several columns fixed at once, not all of them need be wrong: then the same
            # solution is tried again with one column once. Was it one, that column is put aside and the rest
            # priced without it.
            several = len(fixed) > 1 or max(fixed.values()) > 1
            aside = node.aside if several else node.aside | set(fixed)
            stack.append(replace(node, single=several, aside=aside, solution=node.solution if several else None))
        stack.append(self._below(node, fixed))
        return None

    def _below(self, node: Node, fixed: dict[Column, int]) -> Node:
        """The node after a fixing: not priced yet, with the same columns put aside."""
        left, limits, spent = list(node.left), list(node.limits), node.spent
        for column, times in fixed.items():
            spent += self.world.exact_costs[column.stock] * times
            for item, count in enumerate(column.counts):
                left[item] -= count * times
            limit = limits[column.stock]
            if limit is not None:
                limits[column.stock] = limit - times
        return Node(tuple(left), tuple(limits), node.uses + Counter(fixed), spent, None, node.aside)


def to_fix(columns: Sequence[Column], node: Node, wide_first: StripWorld | None = None) -> dict[Column, int]:
    """All whole parts of the answer, else one large fraction: the largest, or where the world is given as
    `wide_first`, one whose narrowest strip is widest: narrow strips fit almost anywhere, so they are kept for the end.

    Never more than is left of an item or of a stock, so a plan made of such fixings makes no more than is
    wanted. Empty where the answer uses no column that still fits: what is left is then short.
    """
    assert node.solution is not None
    use, room, limit = node.solution.use, list(node.left), list(node.limits)
    fixed: dict[Column, int] = {}
    # Of equal uses the one of most pieces, then the older column.
    by_use = sorted(
        (n for n, each in enumerate(use) if each > 1e-6), key=lambda n: (-use[n], -sum(columns[n].counts), n)
    )
    if wide_first is not None and by_use and use[by_use[0]] < 1 - 1e-6:
        # Of the columns used nearly as much as the most used one (0.6 of it set by trial, not studied).
        large = 0.6 * use[by_use[0]]
        widths = wide_first.widths
        by_use.sort(key=lambda n: (use[n] < large, _narrowest(columns[n], widths(columns[n].stock))))
    for number in by_use:
        column = columns[number]
        # The solver's 2 may be 1.9999999: a whole number within its tolerance counts as one.
        times = math.floor(use[number] + 1e-6)
        if times == 0 or node.single:
            if fixed:
                break
            times = 1
        times = min([times, *(room[i] // n for i, n in enumerate(column.counts) if n)])
        stock_limit = limit[column.stock]
        if stock_limit is not None:
            times = min(times, stock_limit)
            limit[column.stock] = stock_limit - times
        if times > 0:
            fixed[column] = times
            room = [each - times * n for each, n in zip(room, column.counts, strict=True)]
    return fixed


def _narrowest(column: Column, widths: Sequence[int]) -> tuple[int, int]:
    """The width of a column's narrowest strip, negative, so that the widest sorts first; the item settles ties.

    By width and not by number alone: a job lists its strips in any order.
    """
    return max((-widths[item], item) for item, count in enumerate(column.counts) if count)


Settler = Callable[[Bars, list[int], int], Verdict]
"""Whether so many plates of one stock hold strips of these values."""


def settled(world: StripWorld, node: Node, plates: int, settler: Settler) -> Verdict:
    """Whether so many plates of the one stock hold what is left; the plan counts the world's items.

    The world must have one stock (`StripWorld.one_stock`) and the node a solution, whose item values the
    settler is given in whole numbers. Items of which nothing is left are left out, so its tables are smaller;
    the plan has them as 0.
    """
    one = world.one_stock()
    assert one is not None
    assert node.solution is not None
    size_of = dict(zip(one[1], one[0].sizes, strict=True))
    order = [item for item in one[1] if node.left[item]]
    values = whole_values(node.solution.worth)
    some = replace(one[0], sizes=tuple(size_of[n] for n in order), demands=tuple(node.left[n] for n in order))
    verdict = settler(some, [values[n] for n in order], plates)
    if verdict.plan is None:
        return verdict
    place = {item: at for at, item in enumerate(order)}
    full = Counter[tuple[int, ...]]()
    for counts, times in verdict.plan.items():
        full[tuple(counts[place[n]] if n in place else 0 for n in range(len(node.left)))] = times
    return replace(verdict, plan=full)


def as_uses(plan: Plan) -> Uses:
    """A plan on the one stock as columns."""
    return Counter({Column(0, counts): times for counts, times in plan.items()})
