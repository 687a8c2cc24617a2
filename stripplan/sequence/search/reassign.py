"""The same order with better ways: which piece comes off which row stays, at which end, with what on the fence and with
which end stop is chosen again.

Cut by cut the cheapest ways to come to each state are kept, some dozens of them; dry runs to new end stops count here. A row keeps its number while siblings
come off it; a blank that comes off is a row of its own, numbered by the cut that frees it.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from stripplan.model.pattern import Node
from stripplan.sequence.bench import FETCHED, Bench, Stop, few, siblings_left
from stripplan.sequence.cut_options import Lay, Step, Way

ROOT = -1
Row = tuple[int, int]
"""A plate, and the cut that freed the row there; ROOT is the plate itself."""


@dataclass(frozen=True, eq=False)
class _State:
    cost: int
    feared: int
    """Ticks that are bound to come for sizes that rest on the plate's own; to rank by."""
    rows: dict[Row, Lay]
    on: tuple[tuple[Row, int], ...]
    here: int
    carried: int
    """Ticks of clearing away all that lies on the bed, for its mass."""
    reading: float | None
    stop: float | None
    proved: frozenset[tuple[int, float]]
    """Plates and end stops at which cuts were made."""
    before: _State | None
    step: Step | None


def refitted(bench: Bench, roots: Sequence[Lay], steps: Sequence[Step], *, width: int) -> list[Step]:
    """Steps that take the same siblings off the same rows in the same order, by the best ways found."""
    states = [
        _State(0, 0, {(n, ROOT): lay for n, lay in enumerate(roots)}, (), 0, 0, None, None, frozenset(), None, None)
    ]
    given = states[0]
    for number, (row, child) in enumerate(_taken(roots, steps)):
        after: dict[Hashable, _State] = {}
        for state in states:
            for new in _next(bench, state, row, child, number, steps[number] if state is given else None):
                if state is given and new.step == steps[number]:
                    as_given = new
                key = tuple(map(_looks, new.rows.values())), new.on, new.reading, new.stop
                held = after.get(key)
                if held is None or new.cost < held.cost:
                    after[key] = new
        states = sorted(after.values(), key=lambda state: state.cost + state.feared)[:width]
        given = as_given
        if given not in states:
            states.append(given)
    return _steps(min(states, key=lambda state: state.cost))


def _looks(lay: Lay) -> Hashable:
    return lay.piece.edges, lay.face_up, lay.rests, lay.errors


def _steps(state: _State) -> list[Step]:
    steps = []
    at: _State | None = state
    while at is not None:
        if at.step is not None:
            steps.append(at.step)
        at = at.before
    return steps[::-1]


def _taken(roots: Sequence[Lay], steps: Sequence[Step]) -> list[tuple[Row, Node]]:
    """For each cut the row that it is made of and the sibling that comes off."""
    rows: dict[tuple[int, int], Row] = {(n, id(lay)): (n, ROOT) for n, lay in enumerate(roots)}
    found = []
    for number, step in enumerate(steps):
        row = rows[step.plate, id(step.lay)]
        found.append((row, step.way.choice.child))
        for product, new in _products(step.way, row, number, step.way.choice.child):
            rows[step.plate, id(product)] = new
    return found


def _products(way: Way, row: Row, number: int, child: Node) -> list[tuple[Lay, Row]]:
    """What is still to be cut after a cut of a row: its rest, and the blank that came off.

    Of the last two of a row either may be said to come off the other: that is `child`.
    """
    child_on_fence = (way.choice.end == way.datum) == (way.choice.child == child)
    off, rest = (way.right, way.left) if child_on_fence else (way.left, way.right)
    each = ((off, (row[0], number)), (rest, row))
    return [(lay, new) for lay, new in each if lay is not None and not lay.piece.done]


def _next(bench: Bench, state: _State, row: Row, child: Node, number: int, as_given: Step | None) -> list[_State]:
    lay, plate = state.rows[row], row[0]
    ways = [way for way in lay.ways if way.choice.child == child]
    if not ways and siblings_left(lay) == 2:  # of the last two either may be said to come off the other
        ways = list(lay.ways)
    lies = next((how for each, how in state.on if each == row), FETCHED)
    clear = 0
    if state.here > (lies != FETCHED):
        clear = bench.clear + state.carried - (bench.carry(lay) if lies != FETCHED else 0)
    found = []
    for way in ways:
        reading, ticks = state.reading, state.cost + clear + bench.hands(lay, way, way.travel)[lies]
        if way.located == "fence":
            ticks += bench.fence_ticks(reading, way.setting.reading)
            reading = way.setting.reading
        rows = {each: waits for each, waits in state.rows.items() if each != row}
        on, feared = [], state.feared - bench.feared(lay)
        for product, new in _products(way, row, number, child):
            rows[new] = product
            feared += bench.feared(product)
            side = 0 if product is way.right and way.located == "fence" else 1
            on.append((new, 4 * side + way.travel_after))
        products = [each for each in (way.right, way.left) if each is not None]
        here, carried = len(products), sum(map(bench.carry, products))
        stops: Sequence[Stop] = bench.served(way)
        if as_given is None or as_given.way is not way:
            known = [each for each in stops if (plate, each.at) in state.proved]
            stops = list(dict.fromkeys((*few(stops, state.stop), *known[:1])))
        for stop, longer in stops:
            cost = ticks + longer + bench.stop_ticks(state.stop, stop)
            if (plate, stop) not in state.proved:
                cost += bench.dry_ticks(stop)
            proved = state.proved | {(plate, stop)}
            step = Step(plate, lay, way, (stop,) * len(way.stops))
            found.append(
                _State(cost, feared, rows, tuple(sorted(on)), here, carried, reading, stop, proved, state, step)
            )
    return found
