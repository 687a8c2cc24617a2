"""The least seconds of a tiny job by trying everything: the truth that searches and bounds are held against.

Shares with them what a cut costs (`changeover`), and nothing of how orders are searched: every piece in turn, every
option, every end stop that is some cut's least. What is left to do from one state is worked out once; a state is what
the next changeover looks at.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping

from stripplan.model.rig import Rig
from stripplan.sequence.bench import LOOSE_SECONDS, UNMEASURED_SECONDS
from stripplan.sequence.changeover import RigState, changeover, state_after, weighted_seconds
from stripplan.sequence.cut_options import BenchPiece, CutOption

Waiting = tuple[tuple[int, BenchPiece], ...]


class EveryOrder:
    """One job, all its orders."""

    def __init__(self, rig: Rig, roots: list[BenchPiece], weights: Mapping[str, float]) -> None:
        self.rig, self.roots, self.weights = rig, roots, weights
        self._known: dict[Hashable, float] = {}
        self._looks: dict[Hashable, int] = {}
        self._numbers: dict[tuple[int, int], int] = {}
        self._stops: set[float] = set()
        if rig.seconds.end_stop or rig.seconds.end_stop_per_mm:  # else none is worth more than the least of each cut
            for piece in roots:
                self._gather_stops(piece)

    def least(self) -> float:
        """Seconds of the best order of all."""
        return self._from(RigState(), tuple((n, each) for n, each in enumerate(self.roots) if not each.workpiece.done))

    def _gather_stops(self, piece: BenchPiece) -> None:
        for option in piece.options[:1]:
            self._stops.add(option.stops[0][1])
            for each in (option.right, option.left):
                if each is not None and not each.workpiece.done:
                    self._gather_stops(each)

    def _from(self, state: RigState, waiting: Waiting) -> float:
        if not waiting:
            return 0.0
        lying = tuple(None if each is None else self._look(*each) for each in (state.right, state.left))
        pieces = tuple(sorted(self._look(*each) for each in waiting))
        key = state.reading, state.stop, state.travel, state.on_fence, state.process, lying, pieces
        if key not in self._known:
            self._known[key] = min(
                cost + self._from(after, rest) for cost, after, rest in self._next_cuts(state, waiting)
            )
        return self._known[key]

    def _next_cuts(self, state: RigState, waiting: Waiting) -> list[tuple[float, RigState, Waiting]]:
        found = []
        for number, piece in waiting:
            others = tuple(each for each in waiting if each != (number, piece))
            for option in piece.options:
                products = tuple((number, p) for p in (option.right, option.left) if p and not p.workpiece.done)
                least = option.stops[0][1]
                for stop in {least} | {each for each in self._stops if least <= each <= option.longest_stop}:
                    stops = (stop,) * len(option.stops)
                    made = changeover(self.rig, state, number, piece, option, stops)
                    cost = weighted_seconds(made.seconds, self.weights) + self._beside_set_up(option, stops)
                    found.append((cost, state_after(state, number, option, made), others + products))
        return found

    def _beside_set_up(self, option: CutOption, stops: tuple[float, ...]) -> float:
        """Arc and return beyond the least end stops, and what sizes that come out less well are worth."""
        over = sum(stops) - sum(option.least_stops)
        speed = option.piece.conditions.process.travel_speed
        travel = (
            self.weights.get("arc", 1.0) * over / speed + self.weights.get("return", 1.0) * over / self.rig.return_speed
        )
        doubt = UNMEASURED_SECONDS * option.unmeasured_sizes + LOOSE_SECONDS * option.loose
        if option.piece.conditions.equal:
            doubt += option.unequal_seconds + option.bowed_seconds
        return 60 * travel + doubt

    def _look(self, plate: int, piece: BenchPiece) -> int:
        """A number for all that matters of a piece, as it is;
        pieces live as long as the job, so their ids do not come twice.
        """
        key = plate, id(piece)
        if key not in self._numbers:
            metal = piece.workpiece
            sizes = round(metal.length, 6), round(metal.width, 6)
            look = (
                plate, sizes, metal.edges, metal.node, metal.children, metal.low, metal.high,
                piece.face_up, piece.unmeasured, piece.errors,
            )  # fmt: skip
            self._numbers[key] = self._looks.setdefault(look, len(self._looks))
        return self._numbers[key]


def least_seconds(rig: Rig, roots: list[BenchPiece], weights: Mapping[str, float]) -> float:
    """Seconds of the best of all orders."""
    return EveryOrder(rig, roots, weights).least()
