"""Orders found cut by cut: all that is worth keeping after one cut, then after two, and so on.

Problem. The least-cost path from "nothing cut" to "all cut", where a step is one cut and costs what must be
changed for it.

Method. A dynamic programme over states (what waits, fence, end stop, process, what lies on the bed); all
orders that lead to one state are one, the cheapest (M. Held, R. M. Karp, J. SIAM 10 (1962) 196-210, from
memory). States are made layer by layer, by the number of cuts done. A state whose cost and completion bound
come to no less than the best order known is dropped, and so is one that another state of the same pieces
reaches for the difference. Where a layer grows beyond `width`, only its most promising states are kept (beam
search: B. T. Lowerre, 1976, from memory).

Exact as long as nothing is dropped for the width: the result is then the least of all orders. Else it is an
order, and the least bound among what was dropped says how far it can be from the best. A *narrow* search
looks only at promising cuts of fetched pieces and ranks by likely settings: quick, and no bound at all.

Cost: for each state its waiting kinds times their cuts times the stops that serve, so a layer is about
`width` times a plate's cuts; the completion bound of each new state is mostly a look-up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from stripplan.sequence.bench import FETCHED, UNCONSTRAINED, Bench, PricedCut, promising_stops
from stripplan.sequence.bounds.completion import BEST, CompletionBound

NO_LIMIT = 1 << 62
"""Ticks that no order costs: above any sum, and still a number that adds up."""


class State(NamedTuple):
    """What the cost of all further cuts depends on.

    `waiting` are the kinds of all pieces still to be cut, sorted; `reading` and `stop` are how fence and end stop
    stand, None before they were first set; `on_bed` are waiting pieces that lie there, as (kind, how it lies).
    `lone` says that one piece lies on the bed alone: if it is not cut next, it must be cleared away. Where more
    lies there, something is cleared away whatever is cut next, so that is counted with the cut that leaves it.
    """

    waiting: tuple[int, ...]
    reading: float | None
    stop: float | None
    on_bed: tuple[tuple[int, int], ...]
    lone: bool
    process: int | None


class PathCut(NamedTuple):
    """One cut of a path: kind of piece, how it lay, the priced cut, the end stop."""

    kind: int
    pose: int
    priced: PricedCut
    stop: float


class _Node(NamedTuple):
    cost: int
    handling: int
    """Least handling of all that waits, each piece fetched."""
    least: int
    """Cost and completion bound."""
    before: _Node | None
    taken: PathCut | None


@dataclass(frozen=True)
class CutPath:
    """A whole order: ticks without what no order can change, and its cuts."""

    cost: int
    taken: tuple[PathCut, ...]


@dataclass(frozen=True)
class BeamResult:
    """The best path below what was known, or None; `least`: no order costs less than this (0 after a narrow search)."""

    path: CutPath | None
    least: int


def first_state(bench: Bench) -> State:
    """Before the first cut."""
    return State(tuple(sorted(bench.roots)), None, None, (), False, None)


def bound_at_start(bench: Bench, completion: CompletionBound) -> int:
    """The completion bound of the whole work [ticks].

    Handling is bounded with clearing away after each cut, but after the last of all nothing is cleared away:
    that is taken off here.
    """
    state = first_state(bench)
    return completion.least(state.waiting, None, None) - bench.clear - completion.last_carried if state.waiting else 0


def beam_search(
    bench: Bench,
    completion: CompletionBound,
    *,
    width: int,
    known: int | None = None,
    likely_share: float | None = None,
    pushes: bool = False,
    most: int | None = None,
    out_of_time: Callable[[], bool] = lambda: False,
    proves: bool = True,
) -> BeamResult:
    """Search all orders layer by layer, at most `width` states a layer and `most` in all, for one below `known`.

    With a `likely_share` it looks only at promising cuts, and ranks with that share of the likely fence settings, with
    `pushes` with those of the rests too; it bounds nothing. Nor does one that is not to prove: it is led by the bound,
    which is then asked only for states that may be kept.

    `known` [ticks]: only orders that cost less are looked for, all else is dropped early. Where states or time
    run out there is no path, and the bound is the least of all that was still open or had been dropped.
    """
    state = first_state(bench)
    handling = _handling(completion, likely_share, pushes=pushes)
    bounds = proves and likely_share is None
    least = bound_at_start(bench, completion) if bounds else 0
    layer = {state: _Node(0, sum(map(handling, state.waiting)), least, None, None)}
    # Whatever is dropped, it bounds: no order that goes through it costs less. What is known bounds too, as
    # nothing above it is sought.
    dropped = NO_LIMIT if known is None else known
    states = 0
    while layer:
        # All orders have the same number of cuts, so all states of a layer are done at once.
        if not next(iter(layer)).waiting:
            best = min(layer.values(), key=lambda node: node.cost)
            return BeamResult(CutPath(best.cost, _taken(best)), min(best.cost, dropped) if bounds else 0)
        new = _Layer(bench, completion, known, likely_share, handling, proves=proves)
        for state, node in layer.items():
            new.add_all(state, node)
            states += 1
            # The clock is looked at now and then only: asking it costs as much as a state.
            if (most is not None and states > most) or (states % 64 == 0 and out_of_time()):
                least = min(node.least for node in layer.values())
                return BeamResult(None, min(least, dropped) if bounds else 0)
        layer, least = new.narrowed(width)
        dropped = min(dropped, least)
    # No state is left: what was not dropped for the width cannot come below what is known.
    return BeamResult(None, dropped if bounds else 0)


def _handling(completion: CompletionBound, likely_share: float | None, *, pushes: bool) -> Callable[[int], int]:
    """What pieces that wait are reckoned at: bounded, or roughly in a narrow search."""
    if likely_share is None:
        return completion.handling
    return completion.rough_with_pushes if pushes else completion.rough_handling


def _taken(node: _Node) -> tuple[PathCut, ...]:
    """The cuts that led to a node, the first first; nodes know only the one before, so that paths share what
    they have in common.
    """
    cuts = []
    at: _Node | None = node
    while at is not None:
        if at.taken is not None:
            cuts.append(at.taken)
        at = at.before
    return tuple(reversed(cuts))


class _Layer:
    """States after one cut more, each with the cheapest way there. Kept apart from the search, for a layer is
    thrown away whole.
    """

    def __init__(
        self,
        bench: Bench,
        completion: CompletionBound,
        known: int | None,
        likely_share: float | None,
        handling: Callable[[int], int],
        *,
        proves: bool,
    ) -> None:
        self.bench, self.completion, self.known, self.likely_share = bench, completion, known, likely_share
        self.asks_bound, self.asks_late = proves and likely_share is None, not proves and likely_share is None
        self.handling = handling
        self.never_cleared = bench.clear + completion.last_carried
        self.nodes: dict[State, _Node] = {}

    def add_all(self, state: State, node: _Node) -> None:
        """All cuts from a state.

        The handling of all that waits is kept up by what goes and what comes, not added up anew for each state.
        """
        bench, waiting, on_bed = self.bench, state.waiting, state.on_bed
        handling, last = self.handling, None
        allowed = bench.allowed(waiting) if bench.constraints != UNCONSTRAINED else None
        aside = bench.aside(on_bed)
        off = aside + (bench.clear if state.lone else 0)  # all that lies there is cleared away for what is fetched
        for place, kind in enumerate(waiting):
            # Waiting kinds are sorted, so alike pieces are tried once.
            if kind == last or (allowed is not None and kind not in allowed):
                continue
            last = kind
            # A piece of the kind may lie on the bed; if more of them wait, another may be fetched instead.
            poses = [pose for each, pose in on_bed if each == kind]
            if waiting.count(kind) > len(poses):
                poses.append(FETCHED)
            others = waiting[:place] + waiting[place + 1 :]
            left = node.handling - handling(kind)
            so_far, ready = node.cost + bench.process_ticks(state.process, kind), aside - bench.kinds[kind].carry
            for priced in self._priced_cuts(state, kind, poses):
                then_waiting, rest = others, left
                if priced.products:
                    then_waiting = tuple(sorted(others + priced.products))
                    for each in priced.products:
                        rest += handling(each)
                # Of alike pieces in several poses the cheapest is cut: the others stay as good as they were.
                pose, ticks = FETCHED, NO_LIMIT
                for each in poses:
                    placed = priced.handling[each] + (off if each == FETCHED else ready)
                    if placed < ticks:
                        pose, ticks = each, placed
                self._add(state, node, kind, pose, priced, then_waiting, so_far + ticks, rest)

    def _priced_cuts(self, state: State, kind: int, poses: list[int]) -> tuple[PricedCut, ...]:
        """All cuts of a kind; in a narrow search of fetched pieces those at the reading that stands, else the
        best of all.
        """
        if self.likely_share is None or poses != [FETCHED]:
            return self.bench.priced_cuts(kind)
        promising = self.completion.promising(kind)
        same = promising.get(state.reading, ()) if state.reading is not None else ()
        return same or promising[BEST]

    def _add(
        self,
        state: State,
        node: _Node,
        kind: int,
        pose: int,
        priced: PricedCut,
        then_waiting: tuple[int, ...],
        ticks: int,
        rest: int,
    ) -> None:
        """The states that one cut leads to, one for each end stop; those that cannot lead to a better order
        are not kept. `ticks` are those so far and of bringing the piece into place.
        """
        bench, completion, known, wide = self.bench, self.completion, self.known, self.likely_share is None
        reading, process, nodes = state.reading, bench.kinds[kind].process, self.nodes
        if priced.reading is not None:
            ticks += bench.fence_ticks(reading, priced.reading)
            reading = priced.reading
        spared, on_bed = 0, priced.on_bed
        if then_waiting:
            ticks += (
                (bench.clear if priced.bed_count > bool(on_bed) else 0) + priced.carried + bench.delay(then_waiting)
            )
            # The last cut of all clears nothing away, and one piece at most need not be fetched: both are
            # taken off every bound.
            spared = self.never_cleared
            if wide:
                spared += max((completion.spared(each, piece) for each, piece in on_bed), default=0)
            elif on_bed:
                spared += bench.fetch
        else:
            # Nothing follows, so nothing is bounded: the cost is that of a whole order. What lies there matters
            # only while something waits.
            rest, on_bed = 0, ()
        lone = priced.bed_count == 1 and bool(priced.on_bed)  # it must be cleared away if another is cut next
        for at, longer in priced.stops if wide else promising_stops(priced.stops, state.stop):
            cost = ticks + longer + bench.stop_ticks(state.stop, at)
            least = cost + rest - spared
            if known is not None and least >= known:
                continue
            new = State(then_waiting, reading, at, on_bed, lone, process)
            held = nodes.get(new)
            if held is not None and held.cost <= cost:
                continue  # the same state was reached for less
            # Only now the dear bound: most states are out by the cheap one, or known already.
            if then_waiting and self.asks_bound:
                least = cost + completion.least(then_waiting, reading, at, process) - spared
                if known is not None and least >= known:
                    continue
            nodes[new] = _Node(cost, rest, least, node, PathCut(kind, pose, priced, at))

    def _drop_dominated(self) -> None:
        """Leave out states from which another of the same pieces, the cheapest, can be made like them for the
        difference.

        To make one rig stand as another does takes at most the settings between them, clearing its bed, and
        what the pieces on the other bed spare. A state that costs more than the cheapest by at least that can
        be followed by nothing that is better from there. States of which one has an unset fence are left
        alone: from which reading it would be moved is not known.
        """
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
            if state.on_bed != other.on_bed:
                more += bench.aside(other.on_bed)
                more += max((bench.against_fetched(*each)[0] for each in state.on_bed), default=0)
                more += sum(bench.against_fetched(*each)[1] for each in other.on_bed)
            more += 0 if state.reading is None else bench.fence_ticks(other.reading, state.reading)
            assert state.stop is not None
            if best.cost + more + bench.stop_ticks(other.stop, state.stop) <= node.cost:
                del self.nodes[state]

    def narrowed(self, width: int) -> tuple[dict[State, _Node], int]:
        """The most promising states, and the least bound among the others: what is cut off here is what
        stands between an order and a proof.
        """
        self._drop_dominated()
        if len(self.nodes) <= width:
            return self.nodes, NO_LIMIT
        # The bound counts settings low, for rows share in it all that they can, and a narrow search counts none
        # to come; what is likely is added to rank by. Equal ranks are told apart by what is already spent.
        likely, share = self.completion.likely, 1.0 if self.likely_share is None else self.likely_share
        ranked = sorted(
            (node.least + share * likely(state.waiting), node.cost, number)
            for number, (state, node) in enumerate(self.nodes.items())
        )
        each = list(self.nodes.items())
        if self.asks_late:
            return dict(each[number] for _, _, number in self._ranked_by_bound(ranked, each, width)), NO_LIMIT
        return dict(each[number] for _, _, number in ranked[:width]), each[ranked[width][2]][1].least

    def _ranked_by_bound(
        self, ranked: list[tuple[float, int, int]], each: list[tuple[State, _Node]], width: int
    ) -> list[tuple[float, int, int]]:
        """The first by the dear bound of states ranked by the cheap one, which is hardly ever above it: so once a state
        ranks no better by the cheap one than the last that is kept by the dear, none further need be asked.
        """
        kept: list[tuple[float, int, int]] = []
        for rank, cost, number in ranked:
            if len(kept) == width and (rank, cost, number) >= kept[-1]:
                break
            state, node = each[number]
            if state.waiting:
                dear = self.completion.least(state.waiting, state.reading, state.stop, state.process)
                rank += dear - node.handling
            kept = sorted([*kept, (rank, cost, number)])[:width]
        return kept
