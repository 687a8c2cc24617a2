"""Whether parts can be cut from plates, by trying every cut: for tiny plates in whole millimetres.

Written from the rules as they are told in the guide, with no code of the program. A cut runs from edge to edge; the
piece on the fence is as wide as the fence offset less half a kerf.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

MILL, CUT, SQUARE = range(3)
Edges = tuple[int, int, int, int]
"""West, east, south, north."""
Want = tuple[int, int, bool, bool, bool]
"""Length, width, whether it may turn, whether its ends and whether its long edges are to be square."""


@dataclass(frozen=True)
class Rules:
    """What the rig and the job ask for [mm]; `kerf` is even. None = no limit;
    `one_pass` is the longest cut of one pass.
    """

    kerf: int
    longest: int
    one_pass: int
    bed: int | None
    fence: tuple[int, int]
    far: int | None
    marked: bool
    narrowest: int
    trim: int
    square_side: str
    most_area: float | None
    """Greatest area of a piece that may lie on the rig."""


class Plates:
    """Which sets of parts one plate holds."""

    def __init__(self, rules: Rules, wants: Sequence[Want]) -> None:
        self.rules, self.wants = rules, wants
        self.edged = rules.trim > 0 or any(want[3] or want[4] for want in wants)
        self.holds = cache(self._holds)

    def _holds(self, parts: tuple[int, ...], x: int, y: int, edges: Edges) -> bool:
        """Whether exactly these parts (by number) can be cut out of a piece, all else scrap."""
        if len(parts) == 1 and self._is(self.wants[parts[0]], x, y, edges):
            return True
        area = sum(self.wants[n][0] * self.wants[n][1] for n in parts)
        if area > x * y:
            return False
        return any(self._cut(parts, x, y, edges, axis) for axis in (0, 1))

    def _is(self, want: Want, x: int, y: int, edges: Edges) -> bool:
        length, width, turns, ends, sides = want
        ways = [(length, width, (ends, ends, sides, sides))]
        ways += [(width, length, (sides, sides, ends, ends))] if turns else []
        return any((x, y) == (a, b) and self._edges_do(edges, square) for a, b, square in ways)

    def _edges_do(self, edges: Edges, square: tuple[bool, ...]) -> bool:
        for edge, asked in zip(edges, square, strict=True):
            if (edge == MILL and self.rules.trim > 0) or (asked and edge == CUT):
                return False
        return True

    def _cut(self, parts: tuple[int, ...], x: int, y: int, edges: Edges, axis: int) -> bool:
        rules, size, travel = self.rules, (x, y)[axis], (y, x)[axis]
        if travel > rules.longest or (rules.bed is not None and travel > rules.bed):
            return False
        if rules.most_area is not None and x * y > rules.most_area + 1e-6:
            return False
        first = 1 - rules.kerf if rules.narrowest == 0 else 1
        for low in range(first, size - rules.kerf - first + 1):
            high = size - low - rules.kerf
            squares = set(self._squares(low, high, travel))
            if not squares:
                continue
            for one, other in _shared(parts):
                if not (self._scrap_ok(one, low, edges[2 * axis]) and self._scrap_ok(other, high, edges[2 * axis + 1])):
                    continue
                for low_edge, high_edge in squares if self.edged else {(CUT, CUT)}:
                    if self._side(one, x, y, edges, axis, low, (2 * axis + 1, low_edge)) and self._side(
                        other, x, y, edges, axis, high, (2 * axis, high_edge)
                    ):
                        return True
        return False

    def _side(
        self, parts: tuple[int, ...], x: int, y: int, edges: Edges, axis: int, size: int, new: tuple[int, int]
    ) -> bool:
        if not parts:
            return True
        if size <= 0:
            return False
        changed = list(edges)
        changed[new[0]] = new[1]
        sizes = [x, y]
        sizes[axis] = size
        west, east, south, north = changed
        return self.holds(parts, sizes[0], sizes[1], (west, east, south, north))

    def _scrap_ok(self, parts: tuple[int, ...], size: int, edge: int) -> bool:
        """Scrap is no narrower than the narrowest offcut, off a mill edge no narrower than the trim."""
        if parts:
            return True
        least = max(self.rules.narrowest, self.rules.trim if edge == MILL else 0)
        return least == 0 or size >= least

    def _squares(self, low: int, high: int, travel: int) -> Iterator[tuple[int, int]]:
        """For each way to lay the piece: how the new edges of the low and of the high piece come out. None = no way."""
        rules = self.rules
        for on_fence, beside, swapped in ((low, high, False), (high, low, True)):
            offset = on_fence + rules.kerf // 2
            if rules.far is not None and beside > rules.far:
                continue
            if not rules.marked and not rules.fence[0] <= offset <= rules.fence[1]:
                continue
            fence_edge = SQUARE if rules.square_side in ("fence", "equal") else CUT
            one_pass = travel <= rules.one_pass
            far_edge = SQUARE if rules.square_side == "equal" or (rules.square_side == "far" and one_pass) else CUT
            yield (far_edge, fence_edge) if swapped else (fence_edge, far_edge)


def _shared(parts: tuple[int, ...]) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """All ways to share parts out to two sides, alike ones once."""
    found = {}
    for sides in product((0, 1), repeat=len(parts)):
        one = tuple(sorted(part for part, side in zip(parts, sides, strict=True) if side == 0))
        other = tuple(sorted(part for part, side in zip(parts, sides, strict=True) if side == 1))
        found[one, other] = None
    return list(found)


Kind = tuple[Plates, int, int, Edges, int | None]
"""A kind of plate: its rules with the wants on it, length, width, edges, how many there are (None = any number)."""


def can_be_made(parts: tuple[int, ...], kinds: Sequence[Kind]) -> bool:
    """Whether all parts can be cut from the plates there are."""

    @cache
    def rest(left: tuple[int, ...], used: tuple[int, ...]) -> bool:
        if not left:
            return True
        for one, other in _shared(left):
            if left[0] not in one or len(one) == 0:
                continue
            for n, (plates, x, y, edges, limit) in enumerate(kinds):
                if limit is not None and used[n] >= limit:
                    continue
                if plates.holds(one, x, y, edges) and rest(other, (*used[:n], used[n] + 1, *used[n + 1 :])):
                    return True
        return False

    return rest(tuple(sorted(parts)), (0,) * len(kinds))
