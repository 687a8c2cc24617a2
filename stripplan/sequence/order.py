"""The order of work: least time at the rig over sibling orders, datum edges and the order of cuts.

Method, not exact: (1) many greedy runs over the bench, each taking the cheapest next cut, the first
plainly and the others with noise on the costs; (2) the best run's cuts, with their settings fixed, form
a sequential-ordering problem whose precedence graph is a forest; blocks of cuts are moved inside their
precedence windows while that saves time (the or-opt neighbourhood: I. Or, 1976, from memory). Every
accepted move is costed on the real bench, so what is reported is what was simulated.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..model.effort import Effort
from ..model.rig import Rig
from .placing import Lay, Step, Way
from .precedence import precedence_graph, waits_for
from .setups import Bed, Change, after, change, weighed

UNMEASURED_SECONDS = 900.0
"""What it costs to let a part's size rest on the plate's own: no order does so to save a set-up."""


@dataclass(frozen=True)
class Ordered:
    """An order of work with what changes before each cut; `seconds` is the set-up time with weights."""

    steps: list[Step]
    changes: list[Change]
    seconds: float


def best_order(
    rig: Rig,
    roots: Sequence[Lay],
    *,
    effort: Effort,
    weights: Mapping[str, float],
    out_of_time: Callable[[], bool] = lambda: False,
) -> Ordered:
    """The best order found for plates whose uncut pieces are `roots`.

    Raises ValueError where a cut cannot be located at all (layout asks the same limits first).
    """
    best = greedy_run(rig, roots, weights, None)
    cuts = len(best.steps)
    tries = effort.steps if effort.steps is not None else max(2, min(60, 2400 // max(cuts * cuts, 1)))
    chance = random.Random(effort.seed)
    for _ in range(tries if cuts > 1 else 0):
        if out_of_time():
            break
        found = greedy_run(rig, roots, weights, chance)
        if found.seconds < best.seconds - 1e-9:
            best = found
    return improved(rig, best, weights, out_of_time)


def greedy_run(rig: Rig, roots: Sequence[Lay], weights: Mapping[str, float], chance: random.Random | None) -> Ordered:
    """Always the cheapest next cut; with `chance`, costs carry up to 30 % noise."""
    waiting = [(plate, lay) for plate, lay in enumerate(roots) if not lay.piece.done]
    bed, steps, changes, total = Bed(), [], [], 0.0
    while waiting:
        best: tuple[float, float, tuple[int, Lay], Way, Change] | None = None
        for plate, lay in _distinct(waiting):
            for way in lay.ways:
                made = change(rig, bed, plate, lay, way)
                seconds = weighed(made, weights) + UNMEASURED_SECONDS * way.unmeasured
                drawn = seconds * (1 + 0.3 * chance.random()) if chance else seconds
                if best is None or drawn < best[0] - 1e-9:
                    best = (drawn, seconds, (plate, lay), way, made)
        if best is None:
            raise ValueError("a cut of this layout cannot be located on the rig")
        _, seconds, (plate, lay), way, made = best
        waiting.remove((plate, lay))
        steps.append(Step(plate, lay, way))
        changes.append(made)
        total += seconds
        bed = after(bed, plate, way, made)
        waiting += [(plate, each) for each in (way.right, way.left) if each is not None and not each.piece.done]
    return Ordered(steps, changes, total)


def _distinct(waiting: list[tuple[int, Lay]]) -> list[tuple[int, Lay]]:
    """One of each kind of waiting piece, latest first: it may still lie on the bed."""
    kinds: dict[int, tuple[int, Lay]] = {}
    for each in reversed(waiting):
        kinds.setdefault(id(each[1]), each)
    return list(kinds.values())


def simulate(rig: Rig, steps: list[Step], weights: Mapping[str, float]) -> Ordered:
    """What an order costs on the real bench."""
    bed, changes, total = Bed(), [], 0.0
    for step in steps:
        made = change(rig, bed, step.plate, step.lay, step.way)
        changes.append(made)
        total += weighed(made, weights) + UNMEASURED_SECONDS * step.way.unmeasured
        bed = after(bed, step.plate, step.way, made)
    return Ordered(steps, changes, total)


def improved(rig: Rig, order: Ordered, weights: Mapping[str, float], out_of_time: Callable[[], bool]) -> Ordered:
    """Move blocks of cuts inside their precedence windows until no move saves time."""
    count = len(order.steps)
    if count < 3 or count > 400 or _is_chain(order.steps):
        return order
    waits = waits_for(precedence_graph(order.steps))
    pair = _PairCost(rig, order.steps, weights)
    row, best = list(range(count)), order
    for _ in range(12):
        moved = _best_moves(row, waits, pair)
        if moved == row or out_of_time():
            break
        row = moved
        found = simulate(rig, [order.steps[number] for number in row], weights)
        if found.seconds < best.seconds - 1e-9:
            best = found
    return best


def _is_chain(steps: list[Step]) -> bool:
    """Whether each cut is of a piece that the cut before has made: then these cuts have but one order."""
    return all(step.lay in (before.way.right, before.way.left) for before, step in pairwise(steps))


class _PairCost:
    """Set-up seconds of one cut straight after another, each with the least end stop that serves it.

    An estimate where a marked cut or a kept end stop lies between; the simulation has the last word.
    """

    def __init__(self, rig: Rig, steps: list[Step], weights: Mapping[str, float]) -> None:
        self.rig, self.steps, self.weights = rig, steps, weights
        self.known: dict[tuple[int, int], float] = {}

    def __call__(self, one: int, other: int) -> float:
        """Cost of cut `other` after cut `one`; -1 = nothing before or after."""
        if other < 0:
            return 0.0
        found = self.known.get((one, other))
        if found is None:
            found = self.known[one, other] = self._cost(one, other)
        return found

    def _cost(self, one: int, other: int) -> float:
        bed = Bed()
        if one >= 0:
            before = self.steps[one]
            bed = after(bed, before.plate, before.way, change(self.rig, bed, before.plate, before.lay, before.way))
        step = self.steps[other]
        return weighed(change(self.rig, bed, step.plate, step.lay, step.way), self.weights)


def _best_moves(row: list[int], waits: list[int], pair: _PairCost) -> list[int]:
    """One sweep of block moves, each taken as soon as it saves time."""
    row = list(row)
    for size in (1, 2, 3, 5, 8):
        start = 0
        while start + size <= len(row):
            target = _best_place(row, start, size, waits, pair)
            if target is not None:
                block = row[start : start + size]
                rest = row[:start] + row[start + size :]
                row = rest[:target] + block + rest[target:]
            start += 1
    return row


def _best_place(row: list[int], start: int, size: int, waits: list[int], pair: _PairCost) -> int | None:
    """Where among the other cuts a block is best put; None = where it is."""
    block = row[start : start + size]
    inside = set(block)
    rest = row[:start] + row[start + size :]
    first, last = _window(rest, inside, waits)

    def joint(at: int) -> tuple[int, int]:
        return (rest[at - 1] if at > 0 else -1), (rest[at] if at < len(rest) else -1)

    def added(at: int) -> float:
        one, other = joint(at)
        return pair(one, block[0]) + pair(block[-1], other) - pair(one, other)

    here = added(start)
    reach = range(max(first, start - 60), min(last, start + 60) + 1)
    best = min(reach, key=lambda at: (added(at), abs(at - start)), default=start)
    return best if best != start and added(best) < here - 1e-9 else None


def _window(rest: list[int], inside: set[int], waits: list[int]) -> tuple[int, int]:
    """First and last place among `rest` that keeps every cut after the one it waits for."""
    needed = {waits[number] for number in inside} - inside
    first = max((at + 1 for at, number in enumerate(rest) if number in needed), default=0)
    last = min((at for at, number in enumerate(rest) if waits[number] in inside), default=len(rest))
    return first, last
