"""Plates whose trims cannot be cut while they are whole, as the pieces that they are cut into first.

Problem. Trims along a plate run over all of its length. Where that is longer than one pass and the plate too heavy to
be turned over for two, they cannot be cut; cut across into shorter pieces, each piece can be trimmed by itself.

Method. The trims at the ends are cut off the whole plate, and in the same line of cuts the plate is parted into
pieces; each of them is a stock of its own whose new edges are cut edges, and engines lay parts out on it as on any.
Then the pieces are put together to whole plates again; those that hold nothing are one rest at the end.

Not exact: how long the pieces are is one of a few rules (`RULES`), and parts are laid out with each piece at its share
of the plate's price, though a whole plate is taken even for one. Bounds are none of this module's: those of the
pieces say nothing of the plate. Cost: one pass over what was found.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from stripplan.layout.problem import Stock, may_lie
from stripplan.model.part import Part, Rectangle
from stripplan.model.pattern import Blank, Direction, Leaf, Node, Pattern
from stripplan.model.rack.offcut import worth_keeping

Rule = Literal["even", "longest", "part"]
"""How long the pieces of a plate are: all the same, as long as can be trimmed, or the first as long as the longest
part."""
RULES: tuple[Rule, ...] = ("even", "longest", "part")

Some = TypeVar("Some", bound=Stock)


@dataclass(frozen=True)
class AcrossFirst:
    """A plate and the sizes of its pieces, in units and across the cuts that part them, in the order in which they
    come off; `slack` is what they leave for the trim at the end."""

    plate: Stock
    cut: Direction
    sizes: tuple[int, ...]
    slack: int

    @property
    def counts(self) -> Counter[int]:
        """How many pieces of each size a plate yields."""
        return Counter(self.sizes)

    def piece(self, plate: Some, size: int, index: int, limit: int | None) -> Some:
        """The pieces of one size as a stock with an `index` of its own; `limit` is how many plates there may be."""
        across, mm = self.cut == "across", self.plate.grid.mm(size)
        south, east, north, west = plate.plate.edges
        return replace(
            plate,
            index=index,
            cost=plate.cost * self.share(size),
            shortened=across,
            plate=replace(
                plate.plate,
                length=mm if across else plate.plate.length,
                width=plate.plate.width if across else mm,
                edges=(south, "cut", north, "cut") if across else ("cut", east, "cut", west),
                quantity=None if limit is None else limit * self.counts[size],
                offcut=False,
                cost=None,
                price_per_kg=None,
            ),
        )

    def share(self, size: int) -> float:
        """A piece's share of the plate, by area."""
        return size / sum(self.sizes)

    def joined(self, filled: Mapping[int, Sequence[Pattern]], keep: tuple[float, float]) -> list[Pattern]:
        """Whole plates from the patterns of their pieces, by the size of piece; `keep` [mm] as the job has it.

        As few plates as hold all pieces: as many of each size to a plate as it yields, like with like.
        """
        left = {size: [one.root for one in filled.get(size, ()) for _ in range(one.count)] for size in self.counts}
        roots = []
        while any(left.values()):
            nodes, unused = list[Node](), list[int]()
            for size in self.sizes:
                if left[size]:
                    nodes.append(left[size].pop(0))
                else:
                    unused.append(size)
            roots.append(self._root(nodes, unused, keep))
        return [Pattern(self.plate.index, root, count) for root, count in Counter(roots).items()]

    def _root(self, nodes: Sequence[Node], unused: Sequence[int], keep: tuple[float, float]) -> Node:
        """A plate with its pieces between the trims of its ends; pieces not used are one rest, joined to the trim."""
        stock, kerf = self.plate, self.plate.kerf
        low_trim, high_trim = _end_trims(stock, self.cut)
        low = self._leaf("scrap", low_trim) if low_trim else None
        high = self._leaf("scrap", high_trim + self.slack) if high_trim else None
        children, fixed = tuple(nodes), stock.limits.order_fixed
        rest = sum(unused) + kerf * (len(unused) - 1)
        if unused and (high is None or not fixed):  # no limit on what lies beside the torch: one cut less
            size = rest + (kerf + high_trim + self.slack if high is not None else 0)
            high = self._kept(size, keep)
        elif unused:
            children = (*children, self._kept(rest, keep))
        if fixed and len(children) > 1:
            children = (self._one_by_one(children),)
        length, width = (stock.grid.mm(each) for each in stock.full)
        return Blank(length, width, self.cut, children, low, high)

    def _one_by_one(self, children: Sequence[Node]) -> Node:
        """Pieces that must come off in one order: each cut makes a blank of its own."""
        first, *others = children
        if not others:
            return first
        rest = self._one_by_one(others)
        grid, kerf = self.plate.grid, self.plate.kerf
        high = rest if isinstance(rest, Leaf) else None
        inner = (first,) if high is not None else (first, rest)
        if self.cut == "across":
            length = grid.mm(grid.units(first.length) + kerf + grid.units(rest.length))
            return Blank(length, first.width, self.cut, inner, None, high)
        width = grid.mm(grid.units(first.width) + kerf + grid.units(rest.width))
        return Blank(first.length, width, self.cut, inner, None, high)

    def _kept(self, size: int, keep: tuple[float, float]) -> Leaf:
        leaf = self._leaf("offcut", size)
        return leaf if worth_keeping(leaf.length, leaf.width, keep) else replace(leaf, kind="scrap")

    def _leaf(self, kind: Literal["offcut", "scrap"], size: int) -> Leaf:
        mm, (length, width) = self.plate.grid.mm, self.plate.full
        return Leaf(kind, mm(size), mm(width)) if self.cut == "across" else Leaf(kind, mm(length), mm(size))


def across_first(stock: Stock, rule: Rule, parts: Sequence[Part], depth: int | None) -> AcrossFirst | None:
    """How a plate is parted first by a rule; None where its trims can be cut as it is, or where that is no help.

    The cut across is one direction more before parts are cut, so a job with `depth` 1 has no room for it.
    """
    if stock.usable or not any(stock.trims) or depth == 1 or min(stock.length, stock.width) <= 0:
        return None
    for cut in ("across", "along"):
        sizes = _sizes(stock, cut, rule, parts)
        if sizes:
            room = stock.length if cut == "across" else stock.width
            slack = room - sum(sizes) - stock.kerf * (len(sizes) - 1)
            found = AcrossFirst(stock, cut, sizes, slack)
            if _legal(found):
                return found
    return None


def _sizes(stock: Stock, cut: Direction, rule: Rule, parts: Sequence[Part]) -> tuple[int, ...]:
    """Sizes of the pieces by a rule; none where one piece is enough or no piece can be trimmed."""
    limits, kerf = stock.limits, stock.kerf
    room, beside = (stock.length, stock.full[1]) if cut == "across" else (stock.width, stock.full[0])
    turned_over = limits.longest if limits.turnable is None else limits.turnable // beside
    most = min(limits.longest, max(limits.one_pass, turned_over))
    if most <= limits.narrowest or most >= room:
        return ()
    count = -(-(room + kerf) // (most + kerf))
    even, over = divmod(room - kerf * (count - 1), count)
    if rule == "even":
        # What is over goes to the trim at the end, so that pieces are alike; without one the first piece has it.
        trimmed = _end_trims(stock, cut)[1] > 0
        return (even,) * count if trimmed or not over else (even + over, *(even,) * (count - 1))
    first = (
        most if rule == "longest" else max((each for each in _extents(stock, cut, parts) if each <= most), default=0)
    )
    rest = room - (count - 1) * (first + kerf)
    return (first,) * (count - 1) + (rest,) if limits.narrowest < rest <= most and first > limits.narrowest else ()


def _extents(stock: Stock, cut: Direction, parts: Sequence[Part]) -> list[int]:
    """How long parts may lie between cuts of a direction."""
    found = []
    for part in parts:
        if isinstance(part, Rectangle):
            sizes = part.length_as_cut, part.width_as_cut
            ways = [turned for turned in (False, True) if may_lie(part, stock.plate, turned=turned)]
            found += [stock.grid.units(sizes[turned == (cut == "across")]) for turned in ways]
    return found


def _legal(found: AcrossFirst) -> bool:
    """Whether the plate can be parted so, trims of the ends first, and each piece trimmed."""
    stock, limits, kerf = found.plate, found.plate.limits, found.plate.kerf
    travel, left = stock.full[::-1] if found.cut == "across" else stock.full
    low, high = _end_trims(stock, found.cut)
    for size in (*(each for each in (low, high and high + found.slack) if each), *found.sizes[:-1]):
        if not limits.cut_ok(travel, left, size):
            return False
        left -= size + kerf
    return all(found.piece(stock, size, stock.index, None).usable for size in found.counts)


def _end_trims(stock: Stock, cut: Direction) -> tuple[int, int]:
    """Widths of the trims at the low and the high end of cuts of a direction."""
    south, east, north, west = stock.trims
    return (west, east) if cut == "across" else (south, north)
