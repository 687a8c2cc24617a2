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

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stripplan.model.pattern import Node
from stripplan.sequence.bench import FETCHED, NONE, Bench, Stop, promising_stops, siblings_left
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption

ROOT = -1
"""The cut that freed a plate: none."""
Row = tuple[int, int]
"""A plate, and the cut that freed the row there; ROOT is the plate itself."""


@dataclass(frozen=True, eq=False)
class _Way:
    """A cut of a piece by one of its options, as far as what came before changes nothing in it."""

    number: int
    """Of the option, in the order of the piece's options."""
    reading: float | None
    """What the fence is set to; None for a marked cut."""
    handling: tuple[int, ...]
    left: tuple[BenchPiece, ...]
    """What is still to be cut: the blank that came off, and the rest of the row."""
    poses: tuple[int, ...]
    """How each of these lies."""
    bed_count: int
    carried: int
    feared_ticks: int
    """Those of what is left, less those of the piece."""
    stops: tuple[Stop, ...]


class _State(NamedTuple):
    """One way to make the cuts so far, and how it leaves the rig and all rows.

    States point back to the one before, so that the many ways share what they have in common.
    """

    cost: int
    """Ticks so far, dry runs counted."""
    feared_ticks: int
    """Ticks that are bound to come for sizes that rest on the plate's own or come out unequal; to rank by."""
    rows: tuple[BenchPiece, ...]
    """A piece alike for each row that waits, in the order in which rows were freed or last cut."""
    on_bed: tuple[tuple[Row, int], ...]
    bed_count: int
    carried: int
    """Ticks of clearing away all that lies on the bed, for its mass."""
    reading: float | None
    stop: float | None
    proved: frozenset[tuple[int, float]]
    """Plates and end stops at which cuts were made."""
    before: _State | None
    taken: tuple[int, float]
    """Number of the option by which the last cut was made, and its end stop."""


class Reassigning:
    """The search for one bench: what it works out of a cut is kept for the next order of the same plates."""

    def __init__(self, bench: Bench, roots: Sequence[BenchPiece]) -> None:
        self.bench, self.roots = bench, roots
        self._ways: dict[tuple[BenchPiece, Node], tuple[_Way, ...]] = {}

    def better(self, cuts: Sequence[ChosenCut], *, width: int) -> list[ChosenCut]:
        """Cuts that take the same siblings off the same rows in the same order, by the best options found.

        `cuts` is a whole order of work for the plates; `width` [states, 1 or more] is what is kept after each cut.
        What is left out is ranked by ticks so far and feared: without the latter, a cheap cut that spoils a size at
        the end of its row would drive out all others.
        """
        taken = _taken(self.roots, cuts)
        rows: list[Row] = [(plate, ROOT) for plate in range(len(self.roots))]
        pieces = tuple(piece.alike for piece in self.roots)
        given = _State(0, 0, pieces, (), 0, 0, None, None, frozenset(), None, (NONE, 0.0))
        states = [given]
        for number, (row, child) in enumerate(taken):
            cut, place = cuts[number], rows.index(row)
            as_given = cut.piece.options.index(cut.option), cut.stops[0]
            freed = [new for _, new in _products(cut.option, row, number, child)]
            reached: dict[Hashable, _State] = {}
            for state in states:
                given_here = as_given if state is given else None
                for new in self._next(state, place, row, child, freed, reached, given_here):
                    then_given = new
            rows = [each for each in rows if each != row] + freed
            states = sorted(reached.values(), key=lambda state: state.cost + state.feared_ticks)[:width]
            # The given way goes on beside the best, also where it was dropped: the result is then never worse.
            given = then_given
            if not any(state is given for state in states):
                states.append(given)
        return self._steps(min(states, key=lambda state: state.cost), taken)

    def _next(
        self, state: _State, place: int, row: Row, child: Node, freed: list[Row],
        reached: dict[Hashable, _State], as_given: tuple[int, float] | None,
    ) -> Iterator[_State]:  # fmt: skip
        """Put all ways to take a sibling off a row, from a state, among what is reached, where they are the cheapest
        to their state; and hand over the one that is as given, cheap or not.
        """
        bench, plate, on_bed, proved = self.bench, row[0], state.on_bed, state.proved
        piece = state.rows[place]
        others = state.rows[:place] + state.rows[place + 1 :]
        pose = next((how for each, how in on_bed if each == row), FETCHED)
        # All that lies there is cleared away first, but for the piece that is cut next.
        clear = 0
        if state.bed_count > (pose != FETCHED):
            clear = bench.clear + state.carried - (bench.carry(piece) if pose != FETCHED else 0)
        for way in self._ways_of(piece, child):
            reading, ticks = state.reading, state.cost + clear + way.handling[pose]
            if way.reading is not None:
                ticks += bench.fence_ticks(reading, way.reading)
                reading = way.reading
            rows, now_on_bed = others + way.left, tuple(sorted(zip(freed, way.poses, strict=True)))
            stops: Sequence[Stop] = way.stops
            if as_given is None or as_given[0] != way.number:
                # Stops that the plate has proved are worth keeping, for a new one takes a dry run: the first such
                # is tried too.
                known = [each for each in stops if (plate, each.at) in proved]
                stops = list(dict.fromkeys((*promising_stops(stops, state.stop), *known[:1])))
            for stop, longer in stops:
                cost = ticks + longer + bench.stop_ticks(state.stop, stop)
                # The history that the beam cannot see is known here, for the order is given: a new stop takes its run.
                new_stop = (plate, stop) not in proved
                if new_stop:
                    cost += bench.dry_ticks(stop)
                # What is proved is no part of the key: it would part states that are otherwise one, and fill the
                # width with them.
                key = rows, now_on_bed, reading, stop
                held, asked_for = reached.get(key), (way.number, stop) == as_given
                if held is None or cost < held.cost or asked_for:
                    new = _State(
                        cost, state.feared_ticks + way.feared_ticks, rows, now_on_bed, way.bed_count, way.carried,
                        reading, stop, proved | {(plate, stop)} if new_stop else proved, state, (way.number, stop),
                    )  # fmt: skip
                    if held is None or cost < held.cost:
                        reached[key] = new
                    if asked_for:
                        yield new

    def _ways_of(self, piece: BenchPiece, child: Node) -> tuple[_Way, ...]:
        """All ways to take a sibling off a piece."""
        found = self._ways.get((piece, child))
        if found is None:
            numbered = list(enumerate(piece.options))
            some = [(number, option) for number, option in numbered if option.separation.child == child]
            if not some and siblings_left(piece) == 2:  # of the last two either may be said to come off the other
                some = numbered
            found = self._ways[piece, child] = tuple(self._way(piece, child, *each) for each in some)
        return found

    def _way(self, piece: BenchPiece, child: Node, number: int, option: CutOption) -> _Way:
        bench, fence = self.bench, option.located == "fence"
        left = [product for product, _ in _products(option, (0, ROOT), number, child)]
        lies = [4 * (0 if each is option.right and fence else 1) + option.travel_after for each in left]
        products = [each for each in (option.right, option.left) if each is not None]
        return _Way(
            number,
            option.setting.reading if fence else None,
            bench.handling(piece, option, option.travel),
            tuple(each.alike for each in left),
            tuple(lies),
            len(products),
            sum(map(bench.carry, products)),
            sum(map(bench.feared_ticks, left)) - bench.feared_ticks(piece),
            bench.serving_stops(option),
        )

    def _steps(self, state: _State, taken: Sequence[tuple[Row, Node]]) -> list[ChosenCut]:
        """The cuts that led to a state, the first first: of the pieces themselves, where the search had pieces
        alike.
        """
        numbers = list[tuple[int, float]]()
        at = state
        while at.before is not None:
            numbers.append(at.taken)
            at = at.before
        pieces: dict[Row, BenchPiece] = {(plate, ROOT): piece for plate, piece in enumerate(self.roots)}
        cuts = []
        for number, ((row, child), (chosen, stop)) in enumerate(zip(taken, reversed(numbers), strict=True)):
            piece = pieces.pop(row)
            option = piece.options[chosen]
            cuts.append(ChosenCut(row[0], piece, option, (stop,) * len(option.stops)))
            pieces.update((new, product) for product, new in _products(option, row, number, child))
        return cuts


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
