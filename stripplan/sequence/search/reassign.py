"""The same order with better options: which piece comes off which row stays, at which end, with what on the
fence and with which end stop is chosen again.

Problem. A row of siblings to come off rows is given; wanted is for each the option and the end stop that make
the whole quickest, dry runs counted.

Method. A dynamic programme along the given order: cut by cut the cheapest ways to come to each state are
kept, some dozens of them. A state is how all waiting pieces look (edges, face, sizes measured or not, marks
carried along), what lies on the bed, fence and stop. The given options are carried along beside the best, so
that the result is never worse.

Not exact where states are dropped; exact for the given order where `width` holds them all (a test compares it
with every way). A row keeps its number while siblings come off it; a blank that comes off is a row of its
own, numbered by the cut that frees it: so a cut of the order is named without naming a piece, which the
option would change. Cost: cuts times `width` times the options of a cut.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from stripplan.model.pattern import Node
from stripplan.sequence.bench import FETCHED, Bench, Stop, promising_stops, siblings_left
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption

ROOT = -1
"""The cut that freed a plate: none."""
Row = tuple[int, int]
"""A plate, and the cut that freed the row there; ROOT is the plate itself."""


@dataclass(frozen=True, eq=False)
class _State:
    """One way to make the cuts so far, and how it leaves the rig and all rows.

    States point back to the one before, so that the many ways share what they have in common.
    """

    cost: int
    """Ticks so far, dry runs counted."""
    feared_ticks: int
    """Ticks that are bound to come for sizes that rest on the plate's own or come out unequal; to rank by."""
    rows: dict[Row, BenchPiece]
    on_bed: tuple[tuple[Row, int], ...]
    bed_count: int
    carried: int
    """Ticks of clearing away all that lies on the bed, for its mass."""
    reading: float | None
    stop: float | None
    proved: frozenset[tuple[int, float]]
    """Plates and end stops at which cuts were made."""
    before: _State | None
    cut: ChosenCut | None


def reassigned(bench: Bench, roots: Sequence[BenchPiece], cuts: Sequence[ChosenCut], *, width: int) -> list[ChosenCut]:
    """Cuts that take the same siblings off the same rows in the same order, by the best options found.

    `cuts` is a whole order of work for the `roots`; `width` [states, 1 or more] is what is kept after each cut.
    What is left out is ranked by ticks so far and feared: without the latter, a cheap cut that spoils a size at
    the end of its row would drive out all others.
    """
    states = [
        _State(0, 0, {(n, ROOT): piece for n, piece in enumerate(roots)}, (), 0, 0, None, None, frozenset(), None, None)
    ]
    given = states[0]
    for number, (row, child) in enumerate(_taken(roots, cuts)):
        reached: dict[Hashable, _State] = {}
        for state in states:
            for new in _next(bench, state, row, child, number, cuts[number] if state is given else None):
                if state is given and new.cut == cuts[number]:
                    as_given = new
                # What is proved is no part of the key: it would part states that are otherwise one, and fill the
                # width with them.
                key = tuple(map(_looks, new.rows.values())), new.on_bed, new.reading, new.stop
                held = reached.get(key)
                if held is None or new.cost < held.cost:
                    reached[key] = new
        states = sorted(reached.values(), key=lambda state: state.cost + state.feared_ticks)[:width]
        # The given way goes on beside the best, also where it was dropped: the result is then never worse.
        given = as_given
        if given not in states:
            states.append(given)
    return _steps(min(states, key=lambda state: state.cost))


def _looks(piece: BenchPiece) -> Hashable:
    """All that an option may have made different of a piece; what it holds follows from the order."""
    return piece.workpiece.edges, piece.face_up, piece.unmeasured, piece.errors


def _steps(state: _State) -> list[ChosenCut]:
    """The cuts that led to a state, the first first."""
    cuts = []
    at: _State | None = state
    while at is not None:
        if at.cut is not None:
            cuts.append(at.cut)
        at = at.before
    return cuts[::-1]


def _taken(roots: Sequence[BenchPiece], cuts: Sequence[ChosenCut]) -> list[tuple[Row, Node]]:
    """For each cut the row that it is made of and the sibling that comes off.

    Pieces are told by identity here: each option has its own products, and alike pieces must not be mixed up.
    """
    rows: dict[tuple[int, int], Row] = {(n, id(piece)): (n, ROOT) for n, piece in enumerate(roots)}
    found = []
    for number, cut in enumerate(cuts):
        row = rows[cut.plate, id(cut.piece)]
        found.append((row, cut.option.separation.child))
        for product, new in _products(cut.option, row, number, cut.option.separation.child):
            rows[cut.plate, id(product)] = new
    return found


def _products(option: CutOption, row: Row, number: int, child: Node) -> list[tuple[BenchPiece, Row]]:
    """What is still to be cut after a cut of a row: its rest, and the blank that came off.

    Of the last two of a row either may be said to come off the other: that is `child`.
    """
    child_on_fence = (option.separation.end == option.datum) == (option.separation.child == child)
    off, rest = (option.right, option.left) if child_on_fence else (option.left, option.right)
    each = ((off, (row[0], number)), (rest, row))
    return [(piece, new) for piece, new in each if piece is not None and not piece.workpiece.done]


def _next(bench: Bench, state: _State, row: Row, child: Node, number: int, as_given: ChosenCut | None) -> list[_State]:
    """All ways to take a sibling off a row from a state; `as_given`: that cut is among them with its own stop."""
    piece, plate = state.rows[row], row[0]
    options = [option for option in piece.options if option.separation.child == child]
    if not options and siblings_left(piece) == 2:  # of the last two either may be said to come off the other
        options = list(piece.options)
    pose = next((how for each, how in state.on_bed if each == row), FETCHED)
    # All that lies there is cleared away first, but for the piece that is cut next.
    clear = 0
    if state.bed_count > (pose != FETCHED):
        clear = bench.clear + state.carried - (bench.carry(piece) if pose != FETCHED else 0)
    found = []
    for option in options:
        reading, ticks = state.reading, state.cost + clear + bench.handling(piece, option, option.travel)[pose]
        if option.located == "fence":
            ticks += bench.fence_ticks(reading, option.setting.reading)
            reading = option.setting.reading
        rows = {each: waits for each, waits in state.rows.items() if each != row}
        on_bed, feared_ticks = [], state.feared_ticks - bench.feared_ticks(piece)
        for product, new in _products(option, row, number, child):
            rows[new] = product
            feared_ticks += bench.feared_ticks(product)
            side = 0 if product is option.right and option.located == "fence" else 1
            on_bed.append((new, 4 * side + option.travel_after))
        products = [each for each in (option.right, option.left) if each is not None]
        bed_count, carried = len(products), sum(map(bench.carry, products))
        stops: Sequence[Stop] = bench.serving_stops(option)
        if as_given is None or as_given.option is not option:
            # Stops that the plate has proved are worth keeping, for a new one takes a dry run: the first such
            # is tried too.
            known = [each for each in stops if (plate, each.at) in state.proved]
            stops = list(dict.fromkeys((*promising_stops(stops, state.stop), *known[:1])))
        for stop, longer in stops:
            cost = ticks + longer + bench.stop_ticks(state.stop, stop)
            # The history that the beam cannot see is known here, for the order is given: a new stop takes its run.
            if (plate, stop) not in state.proved:
                cost += bench.dry_ticks(stop)
            proved = state.proved | {(plate, stop)}
            cut = ChosenCut(plate, piece, option, (stop,) * len(option.stops))
            found.append(
                _State(
                    cost,
                    feared_ticks,
                    rows,
                    tuple(sorted(on_bed)),
                    bed_count,
                    carried,
                    reading,
                    stop,
                    proved,
                    state,
                    cut,
                )
            )
    return found
