"""A plate that comes out whole: all pieces, no waste, by straight cuts. Exact where it ends.

Problem: the pieces' areas, kerf added, are together the plate's. Is there a pattern with all of them?
Bounds on worth say nothing here, as any pattern of all pieces is worth the same; that there is no waste
says much.

Method: without waste the two pieces of every cut share a full side. So rectangles are joined along equal
sides only, found by their side, largest area first, until one of them is the plate. Those whose complement
cannot hold what is left are dropped: of a rectangle in the plate's corner everything else lies beside it or
beyond it. The building up of rectangles is that of P. Y. Wang, Operations Research 31 (1983) 573-586 (see
`bounded`).

Cost: grows exponentially with the kinds of pieces at worst, so steps and builds are limited; beyond those
nothing is decided.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from stripplan.layout.single_plate.plate import ItemView, StockView, widened_ways
from stripplan.layout.single_plate.to_tree import Build, realised
from stripplan.layout.stop_rule import Clock
from stripplan.layout.tree import Tree

MOST_BUILDS = 1_000_000
"""Builds kept at most: memory against plates that could still be decided. Set by trial, not studied."""


@dataclass(frozen=True)
class Piece:
    """Copies of one shape: its ways with one kerf added, and where its count lies in a packed number.

    Counts of all shapes lie side by side in one whole number, each with a bit to spare (as in
    `build_arrays.Counting`, but of any length).
    """

    ways: tuple[tuple[int, int, bool], ...]
    area: int
    copies: int
    place: int

    def left(self, counts: int) -> int:
        """How many are not in a build, whose counts are `counts`."""
        return self.copies - (counts >> self.place) % (1 << self.copies.bit_length())

    def goes(self, length: int, width: int) -> bool:
        """Whether it fits a room."""
        return any(x <= length and y <= width for x, y, _ in self.ways)


@dataclass
class _Search:
    """Builds so far, their counts, and which are still to be joined.

    `over` has the spare bit of each count, `spare` what each limit lacks to the next power of two: their
    use is told in `build_arrays.Counting`.
    """

    plate: StockView
    pieces: list[Piece]
    over: int
    spare: int
    builds: list[Build] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)
    open: list[tuple[int, int]] = field(default_factory=list)
    seen: set[tuple[int, int, int]] = field(default_factory=set)
    by_length: dict[int, list[int]] = field(default_factory=dict)
    by_width: dict[int, list[int]] = field(default_factory=dict)

    def run(self, steps: int, out_of_time: Clock) -> tuple[int | None, bool]:
        """Number of the build that is the plate, and whether the search came to its end."""
        # The pieces themselves first; one of them may be the plate.
        for number, piece in enumerate(self.pieces):
            for x, y, turned in piece.ways:
                if self._offer(Build((x, x), (y, y), number, turned), 1 << piece.place):
                    return len(self.builds) - 1, True
        for _ in range(steps):
            if not self.open:
                return None, True
            if out_of_time() or len(self.builds) > MOST_BUILDS:
                return None, False
            number = heapq.heappop(self.open)[1]
            # Each build is joined with those taken up before it and with itself, and so every pair is met once.
            for build, counts in self._joined(number):
                if self._offer(build, counts):
                    return len(self.builds) - 1, True
        return None, not self.open

    def _joined(self, number: int) -> Iterator[tuple[Build, int]]:
        """A build joined with every one before that shares a side, and with itself, where there are pieces enough."""
        mine, count = self.builds[number], self.counts[number]
        (length, _), (width, _) = mine.x, mine.y
        above = self.by_length.setdefault(length, [])
        beside = self.by_width.setdefault(width, [])
        above.append(number)
        beside.append(number)
        for other in above:
            if not (count + self.counts[other] + self.spare) & self.over:
                high = width + self.builds[other].y[0]
                yield Build(mine.x, (high, high), cut="along", first=number, rest=other), count + self.counts[other]
        for other in beside:
            if not (count + self.counts[other] + self.spare) & self.over:
                long = length + self.builds[other].x[0]
                yield Build((long, long), mine.y, cut="across", first=number, rest=other), count + self.counts[other]

    def _offer(self, build: Build, counts: int) -> bool:
        """Keep a build that is new and leaves room for the rest; whether it is the whole plate.

        New: of two builds of the same sides with the same pieces one will do, as whatever goes round one
        goes round the other.
        """
        sides = (build.x[0], build.y[0])
        key = (counts, *sides)
        length, width = self.plate.sides
        if sides[0] > length or sides[1] > width or key in self.seen:
            return False
        self.seen.add(key)
        if not self._room_for_rest(counts, length - sides[0], width - sides[1]):
            return False
        # Largest first: a large build leaves the least to be found.
        heapq.heappush(self.open, (-sides[0] * sides[1], len(self.builds)))
        self.builds.append(build)
        self.counts.append(counts)
        return sides == (length, width)

    def _room_for_rest(self, counts: int, beside: int, beyond: int) -> bool:
        """Whether what must lie beside, and what must lie beyond, is no larger than the room there.

        The corner that is neither beside nor beyond alone is counted in both rooms, so none is dropped that
        could be completed.
        """
        length, width = self.plate.sides
        must_beside = must_beyond = 0
        for piece in self.pieces:
            goes_beside, goes_beyond = piece.goes(beside, width), piece.goes(length, beyond)
            # It may lie in either room, so it proves nothing about one.
            if goes_beside and goes_beyond:
                continue
            area = piece.left(counts) * piece.area
            if area and not goes_beside and not goes_beyond:
                return False
            must_beside += area * (not goes_beyond)
            must_beyond += area * (not goes_beside)
        return must_beside <= beside * width and must_beyond <= length * beyond


def whole_plate(
    plate: StockView, shapes: Sequence[ItemView], *, steps: int, out_of_time: Clock
) -> tuple[Tree | None, bool]:
    """All items (each `most` times), whose areas with kerf are together the plate's: the pattern, and whether decided.

    For plates without limits on length and stages of cuts. (None, True) = proven that there is none; (None,
    False) = steps, memory or time ended first. No waste leaves no sliver, so a narrowest offcut does not
    matter.
    """
    pieces, over, spare, place = [], 0, 0, 0
    for shape in shapes:
        copies = shape.most or 0
        bits = copies.bit_length()
        ways = tuple(widened_ways(plate, shape))
        pieces.append(Piece(ways if copies else (), ways[0][0] * ways[0][1] if ways else 0, copies, place))
        spare += ((1 << bits) - 1 - copies) << place
        over += 1 << (place + bits)
        place += bits + 1
    search = _Search(plate, pieces, over, spare)
    number, decided = search.run(steps, out_of_time)
    return (None if number is None else realised(plate, search.builds, number)), decided
