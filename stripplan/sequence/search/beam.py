"""Orders found cut by cut: all that is worth keeping after one cut, then after two, and so on.

A dynamic programme over states (what waits, fence, end stop, what lies on the bed); all orders that lead to one state are
one, the cheapest. A state whose cost and completion bound come to no less than the best order known is dropped.
As long as nothing else is dropped the result is the least of all orders, with every choice of sibling, end, datum edge
and end stop. Where a layer grows beyond `width`, only its most promising states are kept: then the result is an order,
and the least bound among what was dropped says how far it can be from the best. (States by layers with a bound:
Held & Karp 1962 for the programme, from memory; keeping the best of a layer is known as beam search.)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from stripplan.sequence.bench import FETCHED, NO_PINS, Bench, Move, few
from stripplan.sequence.bounds.completion import BEST, Completion

NO_LIMIT = 1 << 62
"""Ticks that no order costs."""


class State(NamedTuple):
    """What the cost of all further cuts depends on.

    `lone` says that one piece lies on the bed alone: if it is not cut next, it must be cleared away.
    """

    waiting: tuple[int, ...]
    reading: float | None
    stop: float | None
    on: tuple[tuple[int, int], ...]
    lone: bool
    process: int | None


class Taken(NamedTuple):
    """One cut of a path: kind of piece, how it lay, the move, the end stop."""

    kind: int
    lies: int
    move: Move
    stop: float


class _Node(NamedTuple):
    cost: int
    hands: int
    """Least handling of all that waits, each piece fetched."""
    least: int
    """Cost and completion bound."""
    before: _Node | None
    taken: Taken | None


@dataclass(frozen=True)
class Path:
    """A whole order: ticks without what no order can change, and its cuts."""

    cost: int
    taken: tuple[Taken, ...]


@dataclass(frozen=True)
class Layered:
    """The best path below what was known, or None; `least`: no order costs less than this (0 after a narrow search)."""

    path: Path | None
    least: int


def begin(bench: Bench) -> State:
    """Before the first cut."""
    return State(tuple(sorted(bench.roots)), None, None, (), False, None)


def least_of_all(bench: Bench, completion: Completion) -> int:
    """The completion bound of the whole work."""
    state = begin(bench)
    return completion.least(state.waiting, None, None) - bench.clear - completion.last_carried if state.waiting else 0


def layered(
    bench: Bench,
    completion: Completion,
    *,
    width: int,
    known: int | None = None,
    narrow: float | None = None,
    most: int | None = None,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Layered:
    """Search all orders layer by layer, at most `width` states a layer and `most` in all, for one below `known`.

    A `narrow` search looks only at promising moves, and ranks with that share of the likely fence settings; it bounds nothing.
    """
    state = begin(bench)
    hands = completion.hands if narrow is None else completion.roughly
    least = least_of_all(bench, completion) if narrow is None else 0
    layer = {state: _Node(0, sum(map(hands, state.waiting)), least, None, None)}
    dropped = NO_LIMIT if known is None else known
    states = 0
    while layer:
        if not next(iter(layer)).waiting:
            best = min(layer.values(), key=lambda node: node.cost)
            return Layered(Path(best.cost, _taken(best)), 0 if narrow is not None else min(best.cost, dropped))
        new = _Layer(bench, completion, known, narrow)
        for state, node in layer.items():
            new.add_all(state, node)
            states += 1
            if (most is not None and states > most) or (states % 64 == 0 and out_of_time()):
                least = min(node.least for node in layer.values())
                return Layered(None, 0 if narrow is not None else min(least, dropped))
        layer, least = new.narrowed(width)
        dropped = min(dropped, least)
    return Layered(None, 0 if narrow is not None else dropped)


def _taken(node: _Node) -> tuple[Taken, ...]:
    cuts = []
    at: _Node | None = node
    while at is not None:
        if at.taken is not None:
            cuts.append(at.taken)
        at = at.before
    return tuple(reversed(cuts))


class _Layer:
    """States after one cut more, each with the cheapest way there."""

    def __init__(self, bench: Bench, completion: Completion, known: int | None, narrow: float | None) -> None:
        self.bench, self.completion, self.known, self.narrow = bench, completion, known, narrow
        self.hands = completion.hands if narrow is None else completion.roughly
        self.nodes: dict[State, _Node] = {}

    def add_all(self, state: State, node: _Node) -> None:
        """All moves from a state."""
        waiting, on = state.waiting, state.on
        hands, last = self.hands, None
        allowed = self.bench.allowed(waiting) if self.bench.pins != NO_PINS else None
        for place, kind in enumerate(waiting):
            if kind == last or (allowed is not None and kind not in allowed):
                continue
            last = kind
            lies = [how for each, how in on if each == kind]
            if waiting.count(kind) > len(lies):
                lies.append(FETCHED)
            others = waiting[:place] + waiting[place + 1 :]
            left = node.hands - hands(kind)
            for move in self._moves(state, kind, lies):
                after = tuple(sorted(others + move.adds)) if move.adds else others
                rest = left + sum([hands(each) for each in move.adds])
                self._add(state, node, kind, lies, move, after, rest)

    def _moves(self, state: State, kind: int, lies: list[int]) -> tuple[Move, ...]:
        if self.narrow is None or lies != [FETCHED]:
            return self.bench.moves(kind)
        promising = self.completion.promising(kind)
        same = promising.get(state.reading, ()) if state.reading is not None else ()
        return same or promising[BEST]

    def _add(
        self, state: State, node: _Node, kind: int, lies: list[int], move: Move, after: tuple[int, ...], rest: int
    ) -> None:
        bench, completion, known = self.bench, self.completion, self.known
        reading, process = state.reading, bench.kinds[kind].process
        ticks = node.cost + bench.process_ticks(state.process, kind)
        if move.reading is not None:
            ticks += bench.fence_ticks(reading, move.reading)
            reading = move.reading
        aside, ready = bench.aside(state.on), bench.kinds[kind].carry
        off = aside + (bench.clear if state.lone else 0)  # all that lies there is cleared away for what is fetched
        how = min(lies, key=lambda each: move.hands[each] + (off if each == FETCHED else aside - ready))
        ticks += move.hands[how] + (off if how == FETCHED else aside - ready)
        spared = 0
        if after:
            ticks += (bench.clear if move.here > bool(move.on) else 0) + move.carried + bench.delay(after)
            spared = bench.clear + completion.last_carried
            if self.narrow is None:
                spared += max((completion.spared(each, lay) for each, lay in move.on), default=0)
            elif move.on:
                spared += bench.fetch
        else:
            rest = 0
        for at, longer in move.stops if self.narrow is None else few(move.stops, state.stop):
            cost = ticks + longer + bench.stop_ticks(state.stop, at)
            least = cost + rest - spared
            if known is not None and least >= known:
                continue
            new = State(after, reading, at, move.on if after else (), move.here == 1 and bool(move.on), process)
            held = self.nodes.get(new)
            if held is not None and held.cost <= cost:
                continue
            if after and self.narrow is None:
                least = cost + completion.least(after, reading, at, process) - spared
                if known is not None and least >= known:
                    continue
            self.nodes[new] = _Node(cost, rest, least, node, Taken(kind, how, move, at))

    def _dominated(self) -> None:
        """Leave out states from which another of the same pieces, the cheapest, can be made like them for the difference."""
        bench = self.bench
        cheapest: dict[tuple[int, ...], tuple[State, _Node]] = {}
        for state, node in self.nodes.items():
            held = cheapest.get(state.waiting)
            if held is None or node.cost < held[1].cost:
                cheapest[state.waiting] = state, node
        for state, node in list(self.nodes.items()):
            other, best = cheapest[state.waiting]
            if state is other or (state.reading is None) != (other.reading is None):
                continue
            more = (bench.clear if other.lone else 0) + (bench.process if state.process != other.process else 0)
            if state.on != other.on:
                more += bench.aside(other.on)
                more += max((bench.against_fetched(*each)[0] for each in state.on), default=0)
                more += sum(bench.against_fetched(*each)[1] for each in other.on)
            more += 0 if state.reading is None else bench.fence_ticks(other.reading, state.reading)
            assert state.stop is not None
            if best.cost + more + bench.stop_ticks(other.stop, state.stop) <= node.cost:
                del self.nodes[state]

    def narrowed(self, width: int) -> tuple[dict[State, _Node], int]:
        """The most promising states, and the least bound among the others."""
        self._dominated()
        if len(self.nodes) <= width:
            return self.nodes, NO_LIMIT
        likely, share = self.completion.likely, 1.0 if self.narrow is None else self.narrow
        ranked = sorted(
            self.nodes.items(), key=lambda each: (each[1].least + share * likely(each[0].waiting), each[1].cost)
        )
        return dict(ranked[:width]), ranked[width][1].least
