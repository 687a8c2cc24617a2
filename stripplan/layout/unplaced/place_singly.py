"""Parts that no other engine placed, one by one: into what is left, then out of plates of their own.

Not exact for several parts: the largest first, and what comes off is filled in turn. But what one plate yields
(`one_part`) is found whatever the seed, and a pattern that worked is repeated while the stock lasts.

Cost: each rectangle asks for every part once (`Cutter.freed`), and each part placed leaves at most as many rectangles
as it took cuts. First fit by falling size; no bound on how far from the best it may end.

Why it is there: engines for many parts take each part as a rectangle with all that it needs round it, and cut it off by
one line a side. A part that needs scrap cut off in several slices first has no place in them, and has one here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stripplan.layout.fillers import Path, Spot, changed, spots
from stripplan.layout.grid import Grid
from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.one_direction import End, Ends, Slice
from stripplan.layout.unplaced.one_part import CUTS, Cutter, Freed, Metal
from stripplan.model.part import Part, Rectangle
from stripplan.model.pattern import Blank, Leaf, LeafKind, Node, Pattern
from stripplan.model.rack.offcut import worth_keeping


@dataclass(frozen=True)
class Added:
    """All patterns, and how many of each part (by its number in the group) still have no place.

    Those given are among them, some with parts in what they left.
    """

    patterns: list[Pattern]
    short: dict[int, int]


class OneByOne:
    """Places parts of one material and thickness; `parts` are (index in the job, part), `keep` and `depth` the job's.

    `grid` must hold all plates, parts and rules at once, as what is left of one plate is asked about every part.
    """

    def __init__(
        self,
        grid: Grid,
        stocks: Sequence[Stock],
        parts: Sequence[tuple[int, Part]],
        *,
        keep: tuple[float, float],
        depth: int | None,
    ) -> None:
        self.grid, self.parts, self.keep = grid, parts, keep
        self.cutters = [Cutter(stock.on(grid), depth) for stock in stocks]
        self.order = sorted(range(len(parts)), key=lambda number: (-_area(parts[number][1]), number))

    def added(self, patterns: Sequence[Pattern], short: dict[int, int]) -> Added:
        """The patterns with the parts that are short in what they leave, and then in further plates, as far as the
        stock goes.

        What is left first, as it costs nothing. `short` is how many by number in the group, and is left as it is.
        """
        left = Counter(short)
        found = self._in_what_is_left(patterns, left)
        while (more := self._plate(found, left)) is not None:
            found.append(more)
        return Added(found, {number: left[number] for number in sorted(left) if left[number]})

    def _in_what_is_left(self, patterns: Sequence[Pattern], left: Counter[int]) -> list[Pattern]:
        """Parts into the rectangles that patterns leave, smallest rectangle first; patterns alike again are counted.

        Those with a mill edge still to come off are passed over: a cut there would have to keep its end at that edge
        of the plate, which is not built. Whole plates are asked with their edges (`_plate`).
        """
        # Each plate by itself: what is left of two alike may be filled differently.
        found = [replace(pattern, count=1) for pattern in patterns for _ in range(pattern.count)]
        cutters = {cutter.stock.index: cutter for cutter in self.cutters}
        for number, pattern in enumerate(found):
            if not left.total():
                break
            cutter = cutters[pattern.plate]
            new: dict[Path, tuple[Node, bool]] = {}
            for spot in sorted(spots(0, pattern.root, cutter.stock.trims), key=_room):
                node = None if any(spot.mill) else self._fill(cutter, self._metal(spot), left)
                if isinstance(node, Blank) or (node is not None and node.kind == "part"):
                    new[spot.path] = node, False
            found[number] = replace(pattern, root=changed(pattern.root, new))
        return [replace(pattern, count=count) for pattern, count in Counter(found).items()]

    def _metal(self, spot: Spot) -> Metal:
        """A rectangle left in a pattern, in units. No edge of it counts as square: how it was cut is not known here."""
        size = self.grid.units(spot.leaf.length), self.grid.units(spot.leaf.width)
        came_by = None if spot.came_by is None else CUTS.index(spot.came_by)
        return Metal(size, (("cut", "cut"), ("cut", "cut")), spot.depth, came_by)

    def _plate(self, patterns: Sequence[Pattern], left: Counter[int]) -> Pattern | None:
        """One more pattern from the cheapest plate that yields the largest part which any yields, as often as it
        serves.

        None where no plate that is left yields any part that is short: then the loop of `added` ends.
        """
        used = Counter({pattern.plate: 0 for pattern in patterns})
        for pattern in patterns:
            used[pattern.plate] += pattern.count
        there = [
            cutter
            for cutter in self.cutters
            if cutter.stock.limit is None or used[cutter.stock.index] < cutter.stock.limit
        ]
        for number in self.order:
            serving = [cutter for cutter in there if left[number] and cutter.possible(self.parts[number][1])]
            if serving:
                # The cheapest that serves the largest part; the index settles ties, so that answers repeat.
                cutter = min(serving, key=lambda each: (each.stock.cost, each.stock.index))
                return self._repeated(cutter, used[cutter.stock.index], left)
        return None

    def _repeated(self, cutter: Cutter, used: int, left: Counter[int]) -> Pattern:
        """One plate filled, and the same again as often as every part on it is still wanted and plates last.

        The same job then takes as long for a thousand copies as for one, and is set out on few different plates.
        """
        before = Counter(left)
        node = self._fill(cutter, cutter.plate(), left)
        holds = before - left
        # One plate is filled already; `left` holds what is wanted beyond it.
        times = 1 + min(left[number] // count for number, count in holds.items())
        if cutter.stock.limit is not None:
            times = min(times, cutter.stock.limit - used)
        for number, count in holds.items():
            left[number] -= count * (times - 1)
        return Pattern(cutter.stock.index, node, times)

    def _fill(self, cutter: Cutter, metal: Metal, left: Counter[int]) -> Node:
        """The rectangle with the largest part that can be freed, what comes off filled in turn; `left` is lowered.

        Largest first: a small part takes room away from a large one more often than the other way round.
        """
        for number in self.order if min(metal.size) > 0 else ():
            freed = cutter.freed(self.parts[number][1], metal) if left[number] else None
            if freed is not None:
                left[number] -= 1
                return self._cut(cutter, metal, number, freed, left)
        return self._left(metal)

    def _cut(self, cutter: Cutter, metal: Metal, number: int, freed: Freed, left: Counter[int]) -> Node:
        """The cuts that free a part, outermost first, as nested blanks; what each takes off is filled in turn."""
        mm = self.grid.mm
        length, width = (mm(each) for each in metal.size)
        if not freed.cuts:
            return Leaf("part", length, width, self.parts[number][0], freed.lie.turned)
        (axis, one), *further = freed.cuts
        # Square edges and trims tie the piece to its end; then what comes off is not filled.
        either_end = not freed.lie.square[axis] and not (cutter.limits.trim and "mill" in metal.ends[axis])
        kept, off = _pieces(cutter, metal, axis, one, either_end=either_end)
        node = self._cut(cutter, kept, number, replace(freed, cuts=tuple(further)), left)
        rest = self._fill(cutter, off, left) if either_end else self._left(off)
        if not isinstance(rest, Leaf) or rest.kind == "part":
            return Blank(length, width, CUTS[axis], (node, rest))
        low, high = (rest, None) if one.end == "low" else (None, rest)
        return Blank(length, width, CUTS[axis], (node,), low, high, square=one.square)

    def _left(self, metal: Metal) -> Leaf:
        """Metal left over, in mm: an offcut where it is large enough to keep, else scrap."""
        length, width = (self.grid.mm(each) for each in metal.size)
        kind: LeafKind = "offcut" if worth_keeping(length, width, self.keep) else "scrap"
        return Leaf(kind, length, width)


def _pieces(cutter: Cutter, metal: Metal, axis: int, one: Slice, *, either_end: bool) -> tuple[Metal, Metal]:
    """What a slice keeps and what comes off; where either may lie at either end, neither is sure of an edge of the
    plate.
    """
    low, high = metal.ends[axis]
    kept, off = metal.size[axis] - one.off, one.off - cutter.limits.kerf
    new: End = "square" if one.square else "cut"
    ends: Ends = (low, new) if one.end == "high" else (new, high)
    return metal.part(axis, kept, ("cut", "cut") if either_end else ends), metal.part(axis, off, ("cut", "cut"))


def _room(spot: Spot) -> tuple[float, Path]:
    """By area, so that large rectangles stay whole while small ones serve; the path settles ties."""
    return spot.leaf.length * spot.leaf.width, spot.path


def _area(part: Part) -> float:
    """Size of a part [mm2] for the order alone; a strip, whose length the plate gives, counts as a square."""
    return part.width_as_cut * (part.length_as_cut if isinstance(part, Rectangle) else part.width_as_cut)
