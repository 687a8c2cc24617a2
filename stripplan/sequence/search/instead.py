"""What if a cut were not made where it stands: the best order that begins otherwise from there, and what it takes.

Problem. A person at the rig asks "and if I do not make this cut now?". The search never kept what it turned down.

Method. The plan's record is followed up to the cut. From there each other cut that could be made next is tried: those
of the plan itself by moving them there, all others as they are; ways that the plan does not take, the cheapest to set
first, by ordering all that is left after them under a light budget. The best is made better with the cuts before it
and itself in their places. The same with the cut as it is, but set another way: off another edge, at another reading.

Not exact: the light search may miss a better order, so what is told costs at most so much more. Cost: some ten light
searches.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stripplan.model.effort import Effort
from stripplan.model.rig import Rig
from stripplan.sequence.bench import Bench
from stripplan.sequence.changeover import RigState, changeover, state_after, weighted_seconds
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption
from stripplan.sequence.cut_order import CutOrder, simulate
from stripplan.sequence.search.best_order import REASSIGN_WIDTH, TRIES, best_order
from stripplan.sequence.search.kept_order import SAME, RecordedCut, followed
from stripplan.sequence.search.reassign import Reassigning
from stripplan.sequence.search.reorder import reordered

TRIED, TRIED_OF_MANY, MANY = 12, 2, 150
"""Ways that the plan does not take which are looked at, and how many beyond so many cuts: each takes a light search."""
MOVED = 2
"""Of the plan's own cuts the best so many are also looked at with all that is left in a new order, up to `MANY`."""
POLISHED = 100
"""The best is made better by so many times the tries of a cut at the most."""

TURNS = 3
"""Turns of moving cuts about and setting them anew, at the most."""

Lying = list[tuple[int, BenchPiece]]


@dataclass(frozen=True)
class Instead:
    """A whole order that begins otherwise at a cut: the cut made there, and which of the plan's it is, by index."""

    first: ChosenCut
    order: CutOrder
    own: int | None


@dataclass(frozen=True)
class WhatIfNot:
    """The plan's own order on the bench; the best with another cut in place of one, and with that cut set another way.

    None where there is no such order.
    """

    plan: CutOrder
    another: Instead | None
    otherwise: Instead | None


def what_if_not(
    rig: Rig,
    roots: Sequence[BenchPiece],
    recorded: Sequence[RecordedCut],
    at: int,
    *,
    weights: Mapping[str, float],
    effort: Effort,
    constraints: OrderConstraints,
) -> WhatIfNot | None:
    """What takes the place of the recorded cut of index `at`; None where the record cannot be followed on these plates
    to its end.
    """
    cuts, left = followed(roots, recorded, None)
    if left or len(cuts) != len(recorded):
        return None
    looked = _Looking(rig, roots, cuts, at, weights, effort, constraints)
    return WhatIfNot(looked.rated(cuts), looked.another(), looked.otherwise())


class _Looking:
    """One cut of an order, and what could be done in its place."""

    def __init__(
        self,
        rig: Rig,
        roots: Sequence[BenchPiece],
        cuts: Sequence[ChosenCut],
        at: int,
        weights: Mapping[str, float],
        effort: Effort,
        constraints: OrderConstraints,
    ) -> None:
        self.rig, self.cuts, self.at, self.weights, self.effort = rig, list(cuts), at, weights, effort
        self.bench = Bench(rig, roots, weights, constraints=constraints)
        self.reassigning = Reassigning(self.bench, roots)
        self.constraints, self.asked = constraints, cuts[at]
        self.lying = _after([(n, piece) for n, piece in enumerate(roots) if not piece.workpiece.done], cuts[:at])
        self.state = RigState()
        for cut in cuts[:at]:
            made = changeover(rig, self.state, cut.plate, cut.piece, cut.option, cut.stops)
            self.state = state_after(self.state, cut.plate, cut.option, made)

    def rated(self, cuts: Sequence[ChosenCut]) -> CutOrder:
        """An order as it sums up on the real bench."""
        return simulate(self.bench, list(cuts))

    def another(self) -> Instead | None:
        """The best order with another cut in place of the one that is asked about."""
        moved = [self._moved(k) for k in self._free_to_come_first()]
        found = sorted(moved, key=_seconds)
        again = [] if self._bound_by_wishes or len(self.cuts) > MANY else found[:MOVED]
        tried = [self._solved(each.first, each.own) for each in again]
        tried += [self._solved(first, None) for first in self._cheapest(self._new_ways())]
        return self._best([*found[:1], *tried])

    def otherwise(self) -> Instead | None:
        """The best order with the same cut at its place, set another way."""
        ways = [each for each in self._ways_of(self.asked.plate, self.asked.piece) if self._same_line(each)]
        return self._best([self._solved(first, self.at) for first in self._cheapest(ways)])

    @property
    def _bound_by_wishes(self) -> bool:
        """Whether the person's wishes hold cuts in their order, which a light search of what is left does not know."""
        return self.constraints.tell_plates or bool(self.constraints.first)

    def _free_to_come_first(self) -> Iterator[int]:
        """Cuts of the plan whose piece lies there already, and that no wish holds behind one before it; pieces alike
        that are cut alike are no other cut.
        """
        lying = {(plate, id(piece)) for plate, piece in self.lying}
        held = self.constraints.precedences(self.cuts)
        for k in range(self.at + 1, len(self.cuts)):
            cut = self.cuts[k]
            waits = any(other == k and one >= self.at for one, other in held)
            if (cut.plate, id(cut.piece)) in lying and not waits and self._look(cut) != self._look(self.asked):
                yield k

    def _moved(self, k: int) -> Instead:
        order = [*self.cuts[: self.at], self.cuts[k], *self.cuts[self.at : k], *self.cuts[k + 1 :]]
        return Instead(self.cuts[k], self.rated(order), k)

    def _solved(self, first: ChosenCut, own: int | None) -> Instead | None:
        """The cuts before, this one, and all that is left in the order of a light search."""
        left = _after(self.lying, [first])
        light = replace(self.effort, steps=0, seconds=None)
        try:
            found = best_order(
                self.rig, [piece for _, piece in left], effort=light, weights=self.weights,
                constraints=OrderConstraints(end_stop=self.constraints.end_stop), bounds=False,
            )  # fmt: skip
        except ValueError:  # what is left of some row has no cut that can be located
            return None
        rest = [replace(cut, plate=left[cut.plate][0]) for cut in found.cuts]
        return Instead(first, self.rated([*self.cuts[: self.at], first, *rest]), own)

    def _best(self, found: Sequence[Instead | None]) -> Instead | None:
        """The best of some orders, made better with all up to its first cut in their places."""
        best = min((each for each in found if each is not None), key=_seconds, default=None)
        if best is None:
            return None
        count = len(best.order.cuts)
        held = [*pairwise(range(self.at + 1)), *((self.at, later) for later in range(self.at + 1, count))]
        tries = min(count, POLISHED) * TRIES
        for _ in range(TURNS):
            cuts = self._set_anew(reordered(self.bench, best.order.cuts, seed=self.effort.seed, tries=tries, also=held))
            better = replace(best, order=self.rated(cuts))
            if _seconds(better) > _seconds(best) - 1e-6:
                break
            best = better
        return best

    def _set_anew(self, cuts: list[ChosenCut]) -> list[ChosenCut]:
        """The same cuts in their order, each set in the best way; as they are where that would change one up to the
        first that is made otherwise, or where the plan sets one as no search does today.
        """
        if any(cut.option not in cut.piece.options for cut in cuts):
            return cuts
        found = self.reassigning.better(cuts, width=REASSIGN_WIDTH)
        same = zip(found[: self.at + 1], cuts[: self.at + 1], strict=True)
        return found if all(_set_alike(one.option, other.option) for one, other in same) else cuts

    def _new_ways(self) -> Iterator[ChosenCut]:
        """Cuts that could be made next and that the plan makes nowhere as they are; of pieces alike one."""
        if self._bound_by_wishes:
            return
        taken = {(*self._look(cut), cut.stops) for cut in self.cuts[self.at :]}
        for plate, piece in self.lying:
            for cut in self._ways_of(plate, piece):
                look = *self._look(cut), cut.stops
                if look not in taken and not (piece is self.asked.piece and self._same_line(cut)):
                    taken.add(look)
                    yield cut

    def _ways_of(self, plate: int, piece: BenchPiece) -> Iterator[ChosenCut]:
        """The ways to cut a piece other than the one that is asked about."""
        for option in piece.options:
            if not (piece is self.asked.piece and _set_alike(option, self.asked.option)):
                serving = [each.at for each in self.bench.serving_stops(option)]
                # As it stands, as the plan sets it next, or the least: others would be set for later cuts alone.
                likely = [each for each in (self.state.stop, self.asked.stops[0], serving[0]) if each in serving]
                for stop in dict.fromkeys(likely):
                    yield ChosenCut(plate, piece, option, (stop,) * len(option.stops))

    def _cheapest(self, ways: Sequence[ChosenCut] | Iterator[ChosenCut]) -> list[ChosenCut]:
        """Those of some cuts that take least to set as the rig stands."""
        most = TRIED if len(self.cuts) <= MANY else TRIED_OF_MANY
        return sorted(ways, key=self._to_set)[:most]

    def _to_set(self, cut: ChosenCut) -> float:
        made = changeover(self.rig, self.state, cut.plate, cut.piece, cut.option, cut.stops)
        return weighted_seconds(made.seconds, self.weights)

    def _same_line(self, cut: ChosenCut) -> bool:
        ends = sorted(cut.option.line), sorted(self.asked.option.line)
        return all(abs(a - b) < SAME for one, other in zip(*ends, strict=True) for a, b in zip(one, other, strict=True))

    def _look(self, cut: ChosenCut) -> tuple[object, ...]:
        """What a cut looks like, whichever of the pieces alike it is made of."""
        option = cut.option
        number, turned = self.bench.number(cut.piece, cut.plate)
        return number, turned, option.separation, option.datum, option.located, option.travel


def _seconds(found: Instead) -> float:
    return found.order.seconds + found.order.extra


def _set_alike(one: CutOption, other: CutOption) -> bool:
    return one.line == other.line and one.datum == other.datum and one.located == other.located


def _after(lying: Lying, cuts: Sequence[ChosenCut]) -> Lying:
    """The pieces that are still to be cut after some cuts, each with its plate."""
    left = list(lying)
    for cut in cuts:
        left = [each for each in left if each[1] is not cut.piece or each[0] != cut.plate]
        products = (cut.option.right, cut.option.left)
        left += [(cut.plate, one) for one in products if one is not None and not one.workpiece.done]
    return left
