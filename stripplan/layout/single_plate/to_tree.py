"""From a build to a pattern that can be cut: every size settled, every limit kept.

Problem: a search builds rectangles of which it knows only sizes they may have (see `bounded`). Here the
plate's real size is handed down: who takes up what is spare, where waste comes off, and whether all cuts
are short enough and of few enough stages.

Method: from the plate down, trim first, as waste that comes off early makes later cuts shorter; else go on
to the build's own cuts. The first way that works is taken. Not exact: that no way was found does not prove
that there is none, and the taker must keep the build's value in its bound. Cost: a call for each part of
the build, more where limits make it go back and try another way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.layout.single_plate.plate import StockView
from stripplan.layout.tree import Tree, of_pieces
from stripplan.model.pattern import Direction

Sides = tuple[int, int]


@dataclass(frozen=True)
class Build:
    """An item, or two builds (by number) with a cut between.

    `x`, `y`: least size, from where on any size; one kerf added. Cut "across" the two lie side by side
    along x, "along" one above the other.
    """

    x: Sides
    y: Sides
    item: int | None = None
    turned: bool = False
    cut: Direction | None = None
    first: int = -1
    rest: int = -1


def realised(plate: StockView, builds: Sequence[Build], number: int) -> Tree | None:
    """The whole plate with a build in it, or None where some limit stands against it.

    `number` is the build's place in `builds`; the others are those it is made of.
    """
    return _Realiser(plate, builds).fill(builds[number], plate.sides, 0, None)


class _Realiser:
    def __init__(self, plate: StockView, builds: Sequence[Build]) -> None:
        self.plate = plate
        self.builds = builds

    def fill(self, build: Build, sides: Sides, depth: int, came_by: Direction | None) -> Tree | None:
        """A rectangle of exactly these sides with a build in it: trimmed first where that is legal, else cut on.

        `depth` is the stage of the cut that made it, 0 for the plate, `came_by` that cut's direction. None
        = no way was found.
        """
        if build.item is not None and (build.x[0], build.y[0]) == sides:
            return Tree(*self._real(sides), build.item, build.turned)
        for direction in self._trims(build, sides, came_by):
            found = self._trimmed(build, sides, depth, came_by, direction)
            if found is not None:
                return found
        return None if build.cut is None else self._chain(build, sides, depth, came_by)

    def _trims(self, build: Build, sides: Sides, came_by: Direction | None) -> list[Direction]:
        """Directions in which there is enough to cut off at once.

        That of the last cut first, as it is of the same stage; the build's own is for its chain, which can
        hand what is spare to a part.
        """
        order: list[Direction] = ["across", "along"] if came_by == "across" else ["along", "across"]
        least = max(self.plate.gap, 1)
        spare = {"across": sides[0] - build.x[0], "along": sides[1] - build.y[0]}
        return [each for each in order if each != build.cut and spare[each] >= least]

    def _legal(self, sides: Sides, direction: Direction, depth: int) -> bool:
        """Whether a rectangle may be cut: the cut is no longer than the longest, and of a stage that is allowed."""
        travel = sides[0] if direction == "along" else sides[1]
        return travel <= self.plate.reach and (self.plate.depth is None or depth <= self.plate.depth)

    def _trimmed(
        self, build: Build, sides: Sides, depth: int, came_by: Direction | None, direction: Direction
    ) -> Tree | None:
        """A rectangle brought down to the build's least size by one cut, and filled; None where that is not legal."""
        depth += direction != came_by
        if not self._legal(sides, direction, depth):
            return None
        inner = (build.x[0], sides[1]) if direction == "across" else (sides[0], build.y[0])
        filled = self.fill(build, inner, depth, direction)
        return None if filled is None else self._with_waste(filled, inner, sides, direction)

    def _with_waste(self, filled: Tree, inner: Sides, sides: Sides, direction: Direction) -> Tree:
        """A filled part, and metal beside it."""
        left = (sides[0] - inner[0], sides[1]) if direction == "across" else (sides[0], sides[1] - inner[1])
        return of_pieces(*self._real(sides), direction, [filled, Tree(*self._real(left))])

    def _chain(self, build: Build, sides: Sides, depth: int, came_by: Direction | None) -> Tree | None:
        """All pieces of a build by parallel cuts; what is spare comes last, or goes to a piece that may be larger."""
        direction = build.cut
        assert direction is not None
        depth += direction != came_by
        if not self._legal(sides, direction, depth):
            return None
        pieces = self._pieces(build, direction)
        side = 0 if direction == "across" else 1
        sizes = [(each.x if side == 0 else each.y)[0] for each in pieces]
        spare = sides[side] - sum(sizes)
        if spare < 0:
            return None
        # What is spare may stay as waste.
        if spare == 0 or spare >= self.plate.gap:
            return self._laid(pieces, sizes, sides, depth, direction)
        # It would be a sliver: so one piece must be larger by it, if any may.
        for at, piece in enumerate(pieces):
            least, start = piece.x if side == 0 else piece.y
            if least + spare >= start:
                wider = [size + spare * (n == at) for n, size in enumerate(sizes)]
                found = self._laid(pieces, wider, sides, depth, direction)
                if found is not None:
                    return found
        return None

    def _pieces(self, build: Build, direction: Direction) -> list[Build]:
        """What a build is cut into by parallel cuts: builds cut the same way within it are part of the chain."""
        if build.cut != direction:
            return [build]
        both = (self.builds[build.first], self.builds[build.rest])
        return [piece for each in both for piece in self._pieces(each, direction)]

    def _laid(
        self, pieces: list[Build], sizes: list[int], sides: Sides, depth: int, direction: Direction
    ) -> Tree | None:
        """Pieces of these sizes one after the other; None where one of them cannot be filled."""
        filled = []
        for piece, size in zip(pieces, sizes, strict=True):
            inner = (size, sides[1]) if direction == "across" else (sides[0], size)
            found = self.fill(piece, inner, depth, direction)
            if found is None:
                return None
            filled.append(found)
        return self._joined(filled, sizes, sides, direction)

    def _joined(self, filled: list[Tree], sizes: list[int], sides: Sides, direction: Direction) -> Tree:
        """Filled pieces as one rectangle; what is spare lies beyond the last."""
        side = 0 if direction == "across" else 1
        spare = sides[side] - sum(sizes)
        last, size = filled[-1], sizes[-1]
        if spare:
            inner = (size, sides[1]) if side == 0 else (sides[0], size)
            size += spare
            whole = (size, sides[1]) if side == 0 else (sides[0], size)
            last = self._with_waste(last, inner, whole, direction)
        return of_pieces(*self._real(sides), direction, [*filled[:-1], last]) if len(filled) > 1 else last

    def _real(self, sides: Sides) -> Sides:
        """Sides without the kerf that was added."""
        return sides[0] - self.plate.kerf, sides[1] - self.plate.kerf
