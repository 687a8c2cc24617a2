"""From fractions to whole plates: quick plans, dives with re-pricing, then branch and bound if a gap is left.

Problem: strips of several widths, each wanted so often, from plates of one or several stocks, at least cost;
what is left beside the strips must be nothing, or wide enough for an offcut. Method, cheapest first, each part
only while the best plan costs more than the bound says it must:

- quick bounds and quick plans, without a linear programme (`dual_feasible`, `first_fit`);
- column generation, for its bound and its columns (`columns`);
- dives (`diving`): one fixes whole parts of the linear programme's answer (or one large fraction), takes what
  they make off the demands and generates columns anew for the rest; columns never make more than is still
  wanted. A dive that can no longer be better than the best plan so far ends there, and the next one takes
  another way;
- whether one plate less is possible at all is asked of lists of sets (`set_enumeration`) and of arc flow
  (`arc_flow`);
- branch and bound over all columns met (`whole_numbers`).

Exact when the cost meets the bound; else the gap is said. The idea of dives
within column generation is that of G. Belov, G. Scheithauer, EJOR 171 (2006) 85-106. Cost: no formula; `steps`
limits it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from stripplan.layout.bounds.dual_feasible import least_plates
from stripplan.layout.bounds.material import MATERIAL
from stripplan.layout.grid import rounded_to_costs
from stripplan.layout.strips.arc_flow import plan_with
from stripplan.layout.strips.columns import StripWorld, first_columns, generate
from stripplan.layout.strips.diving import Dive, Node, Settler, Uses, as_uses, settled
from stripplan.layout.strips.first_fit import Plan, first_fit, plate_by_plate
from stripplan.layout.strips.master import Column, Master, Solution, whole_numbers
from stripplan.layout.strips.set_enumeration import settled_by_sets
from stripplan.wording.message import Facts, Message

STEPS = 10
"""Search steps by default, enough for each way once: see `_Search._step`. Set by trial, not studied."""
DEEP_NODES = 60
"""Nodes of a patient dive: more finds more plans, and keeps jobs waiting that have no better one. Set by
trial, not studied."""
ROOT_NODES, SMALL_ARCS, ROOT_ARCS = 50, 4000, 30_000
"""Nodes of the exact programme over the whole problem, and arcs up to which it is tried at first and at last. Set
by trial, not studied."""
SET_NODES = 2000
"""Nodes of the exact programme over sets, as above. Set by trial, not studied."""
COLUMNS, FUNCTIONS = Message("bound_columns_of_strips"), Message("bound_functions_of_widths")
SETS, ARCS = "bound_sets", "bound_arcs"
"""Codes of what shows that no plan has one plate less."""
"""How a bound was got, in words that go with it."""


@dataclass(frozen=True)
class StripAnswer:
    """Columns and how often; what could not be made for want of stock; the bound on cost; search steps done.

    `short` has one number for each item. `bound` is exact and holds for every legal plan that makes everything;
    the answer is proven best where nothing is short and its cost equals the bound. `how` says how the bound was
    got.
    """

    uses: tuple[tuple[Column, int], ...]
    short: tuple[int, ...]
    bound: Fraction
    steps: int
    how: Message = COLUMNS


def solve_strips(
    world: StripWorld, *, steps: int | None, out_of_time: Callable[[], bool], enough: Fraction = Fraction(0)
) -> StripAnswer:
    """Least cost, or near: proven best when the cost of the answer meets the bound.

    `enough` is a lower bound known beforehand; a quick answer that meets it needs no more work. `steps` None
    means `STEPS`; at least one step is done
    while a gap is open. `out_of_time` is asked between steps
    and nodes; while it says no, the same job gives the same answer.
    """
    bound, how = quick_bound(world, enough)
    best: Uses | None = None
    # Where one of them meets the bound, no linear programme is set up at all.
    for maker in (first_fit, plate_by_plate):
        best = _cheaper(world, best, quick_plan(world, maker))
        if best is not None and cost_of(world, best) <= bound:
            return StripAnswer(tuple(best.items()), (0,) * len(world.demands), bound, 0, how)
    return _Search(world, best, bound, how, out_of_time).run(steps)


def quick_bound(world: StripWorld, enough: Fraction) -> tuple[Fraction, Message]:
    """The better of a bound known beforehand and dual feasible functions, on cost, with how it was got.

    The functions count plates, so they bound cost only where all plates are of one stock.
    """
    one = world.one_stock()
    if one is None:
        return enough, MATERIAL
    bars, _ = one
    bound = least_plates(bars.sizes, bars.demands, bars.capacity) * world.exact_costs[0]
    return (bound, FUNCTIONS) if bound > enough else (enough, MATERIAL)


def quick_plan(world: StripWorld, maker: Callable[..., Plan | None]) -> Uses | None:
    """A quick plan on plates of one stock; None where there are several, too few, or a sliver would be left."""
    one = world.one_stock()
    if one is None:
        return None
    bars, order = one
    made = maker(bars)
    if made is None or (world.limits[0] is not None and made.total() > world.limits[0]):
        return None
    # Quick plans count the items widest first; `place` says where each of the world's items stands among those.
    place = sorted(range(len(order)), key=lambda n: order[n])
    uses = Counter({Column(0, tuple(counts[n] for n in place)): times for counts, times in made.items()})
    # First fit knows nothing of slivers: its plan is looked over before it counts.
    return uses if all(world.legal(0, column.counts) for column in uses) else None


def cost_of(world: StripWorld, uses: Uses) -> Fraction:
    """Cost of all plates used, exact: sums of floats could differ in the last digit and hide that a bound is met."""
    return sum((world.exact_costs[column.stock] * n for column, n in uses.items()), Fraction(0))


def _cheaper(world: StripWorld, one: Uses | None, other: Uses | None) -> Uses | None:
    """The cheaper of two plans; of equals the first, which came by less work."""
    if one is None or other is None:
        return other if one is None else one
    return other if cost_of(world, other) < cost_of(world, one) else one


class _Search:
    """Column generation, dives and branching on one world, with the best plan and bound so far."""

    def __init__(
        self, world: StripWorld, best: Uses | None, bound: Fraction, how: Message, out_of_time: Callable[[], bool]
    ) -> None:
        self.world, self.best, self.bound, self.how = world, best, bound, how
        self.out_of_time = out_of_time
        self.short = [0] * len(world.demands)
        self.closed = False
        self.master = Master(world.demands, world.costs, world.limits)
        # Single items first, so that the programme has values from the start; then the best plan so far, so
        # that it costs no more than that plan.
        first_columns(world, self.master)
        for column in best or ():
            self.master.add(column)

    def run(self, steps: int | None) -> StripAnswer:
        """Work until the bound is met or the steps are done: three plain dives, exact work, deeper dives, branching."""
        world = self.world
        root = generate(world, self.master, world.demands, world.limits, self._cost())
        self._raise_bound(root.bound, COLUMNS)
        limit, done = STEPS if steps is None else steps, 0
        while not self._met() and not self.closed and done < max(1, limit) and not (done and self.out_of_time()):
            self._step(done, root.solution)
            done += 1
        assert self.best is not None
        return StripAnswer(tuple(self.best.items()), tuple(self.short), self.bound, done, self.how)

    def _step(self, number: int, root: Solution) -> None:
        """One step by its number, from quick to slow.

        0-2 dives (quick, plain, `full`); 3 all sets for one plate less; 4 a patient dive; 5 arc
        flow where it is small; 6 the best part of the sets; 7 arc flow where it is large; 8 a long patient
        dive; from 9 branch and bound. The order was set by trial, not studied.
        """
        if number < 3:
            # Without any plan yet the dive must come to its end, whatever it takes.
            nodes = 1_000_000 if self.best is None else 1000
            self._dive(root, full=number == 2, nodes=nodes, quick=number == 0, patient=False)
        elif number in (3, 6):
            by_sets = partial(settled_by_sets, part=number == 6, nodes=SET_NODES, out_of_time=self.out_of_time)
            self._settle(SETS, by_sets)
        elif number == 4:
            self._dive(root, full=False, nodes=DEEP_NODES, quick=False, patient=True)
        elif number in (5, 7):
            arcs = SMALL_ARCS if number == 5 else ROOT_ARCS
            self._settle(ARCS, partial(plan_with, nodes=ROOT_NODES, most_arcs=arcs, out_of_time=self.out_of_time))
        elif number == 8:
            self._dive(root, full=True, nodes=4 * DEEP_NODES, quick=False, patient=True)
        elif self.best is not None and not any(self.short):
            self.best = _cheaper(self.world, self.best, _by_branching(self.world, self.master, self.best, 600))

    def _settle(self, way: str, settler: Settler) -> None:
        """Whether one plate less is possible at all, with plates of one stock, from the linear programme's end.

        A plan with one plate less becomes the best, and the question may be asked again by a later step. "None"
        closes the search.
        """
        world = self.world
        if any(self.short) or self.best is None or world.one_stock() is None:
            return
        # To the end, as the values at the end leave few sets and arcs to look at.
        root = generate(world, self.master, world.demands, world.limits, self._cost(), to_end=True)
        self._raise_bound(root.bound, COLUMNS)
        if self._met():
            return
        whole = Node(tuple(world.demands), tuple(world.limits), Counter(), Fraction(0), root.solution)
        verdict = settled(world, whole, self.best.total() - 1, settler)
        if verdict.plan is not None:
            self.best = as_uses(verdict.plan)
        # The settler knows plates that are full or keep the zone; where slivers may stay on strips there are
        # more.
        self.closed = verdict.none and not world.overs
        if self.closed and not world.zone(0):  # with slivers barred it says nothing of the relaxed problem
            self.bound = cost_of(world, self.best)
            self.how = Message(way, facts=Facts(exact=verdict.exact))

    def _cost(self) -> Fraction | None:
        return None if self.best is None else cost_of(self.world, self.best)

    def _met(self) -> bool:
        """Whether the best plan is proven best."""
        cost = self._cost()
        return cost is not None and not any(self.short) and cost <= self.bound

    def _raise_bound(self, bound: Fraction, how: Message) -> None:
        bound = rounded_to_costs(bound, self.world.costs)
        if bound > self.bound:
            self.bound, self.how = bound, how

    def _dive(self, root: Solution, *, full: bool, nodes: int, quick: bool, patient: bool) -> None:
        """One dive; a patient one steps back and settles its end exactly."""
        below = self._cost() if not any(self.short) else None
        exact_end = patient and self.world.one_stock() is not None and self.world.exact_costs[0] > 0
        found = Dive(self.world, self.master, below, full, nodes, quick, patient, exact_end, self.out_of_time).run(root)
        if found is None:
            return
        uses, short = found
        # Fewer strips short comes first, then cost.
        if self.best is None or sum(short) < sum(self.short):
            self.best, self.short = uses, short
        elif sum(short) == sum(self.short):
            self.best = _cheaper(self.world, self.best, uses)


def _by_branching(world: StripWorld, master: Master, uses: Uses, nodes: int) -> Uses | None:
    """A cheaper whole-number answer over all columns seen, with what they make too much of taken out again."""
    # Columns of all dives are still in the master; no dive has tried them all together.
    now = float(cost_of(world, uses))
    times = whole_numbers(world.demands, world.costs, world.limits, master.columns, nodes=nodes, below=now)
    if times is None:
        return None
    return _without_surplus(world, Counter({c: n for c, n in zip(master.columns, times, strict=True) if n > 0}))


def _without_surplus(world: StripWorld, uses: Uses) -> Uses | None:
    """Exactly what is wanted, or None where taking a strip out would leave an illegal sliver.

    The programme covers demands, so it may make too much. Surplus is taken from the last plates first, as much
    at a time as the limits on what is left allow; a plate from which all was taken is not used at all, and that
    saves its cost.
    """
    made = [sum(column.counts[i] * n for column, n in uses.items()) for i in range(len(world.demands))]
    plates = [column for column in sorted(uses, key=lambda c: (c.stock, c.counts)) for _ in range(uses[column])]
    for item, demand in enumerate(world.demands):
        for at in range(len(plates) - 1, -1, -1):
            counts = list(plates[at].counts)
            out = min(made[item] - demand, counts[item])
            while out > 0:
                counts[item] = plates[at].counts[item] - out
                if world.legal(plates[at].stock, counts):
                    plates[at] = Column(plates[at].stock, tuple(counts))
                    made[item] -= out
                    break
                out -= 1
        if made[item] != demand:
            return None
    return Counter(plate for plate in plates if any(plate.counts))
