"""From trees in units to patterns: nested blanks in mm, with trims and what is left.

Here layout's answer leaves whole units, and here what a tree leaves out comes in: trims of mill edges, spacers beside
square edges, what is an offcut and what scrap. Engines see none of these, so that a size is a size to all of them.

A pattern has no coordinates and, where the rig allows it, no order among siblings: `sequence` chooses both. So what is
nested deeper than the rig demands here takes choices from it. Cost: one pass over each tree.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from stripplan.layout.problem import Problem, Stock, strip_widths
from stripplan.layout.tree import FilledStock, Tree
from stripplan.model.part import Part
from stripplan.model.pattern import Blank, Direction, Leaf, Node, Pattern, across


class PatternMaker:
    """Makes the patterns of one problem. `parts` are the job's parts, by index."""

    def __init__(self, problem: Problem, parts: Sequence[Part]) -> None:
        self.problem = problem
        self.parts = parts

    def of_filled(self, filled: Iterable[FilledStock]) -> list[Pattern]:
        """Patterns of filled plates, alike ones counted.

        Alike means equal patterns, siblings in the same order; a Counter keeps the order in which they first came.
        """
        made = Counter(
            Pattern(self.problem.stocks[each.stock].index, self._plate(each.stock, self._node(each.stock, each.tree)))
            for each in filled
        )
        return [replace(pattern, count=count) for pattern, count in made.items()]

    def of_strips(self, uses: Iterable[tuple[int, Sequence[int], int]]) -> list[Pattern]:
        """Patterns of strips alone, from (stock, how many of each item, how many plates).

        Made once each, not plate by plate: a job of strips may want thousands of plates of one pattern.
        """
        return [
            Pattern(self.problem.stocks[stock].index, self._plate(stock, self._strips(stock, counts)), n)
            for stock, counts, n in uses
            if n
        ]

    def mm(self, units: int) -> float:
        """Units to mm."""
        return self.problem.grid.mm(units)

    def _units(self, length: float) -> int:
        """Mm to units; ValueError if not whole. Only for what was units before, so it never fails but for a fault."""
        return self.problem.grid.units(length)

    def _strips(self, number: int, counts: Sequence[int]) -> Node:
        """The usable part of a plate as strips side by side; one strip that fills it needs no cut."""
        stock = self.problem.stocks[number]
        widths, slack = strip_widths(self.problem, number, counts)
        children = tuple(self._part(number, i, stock.length, width, turned=False) for i, width in widths)
        # A blank of one child and nothing left would be a cut that takes off nothing.
        if len(children) == 1 and slack == 0:
            return children[0]
        high = self._left(stock.length, slack - stock.kerf) if slack else None
        return Blank(self.mm(stock.length), self.mm(stock.width), "along", children, None, high)

    def _node(self, stock: int, tree: Tree) -> Node:
        """A tree as nested blanks; metal at the far end is the blank's high end.

        Where the order of siblings is fixed each cut makes a blank of its own (`Tree.parted`): nothing may swap them.
        """
        if tree.item is not None:
            return self._part(stock, tree.item, tree.length, tree.width, turned=tree.turned)
        if tree.cut is None:
            return self._left(tree.length, tree.width)
        limits = self.problem.stocks[stock].limits
        pieces = tree.parted(limits.kerf) if limits.order_fixed else tuple(tree.pieces())
        # What is left is told apart from children: `sequence` may not put it anywhere but at the end.
        *children, last = (self._node(stock, piece) for piece in pieces)
        high = last if isinstance(last, Leaf) and last.part is None else None
        if high is None:
            children.append(last)
        return Blank(self.mm(tree.length), self.mm(tree.width), tree.cut, tuple(children), None, high)

    def _left(self, length: int, width: int) -> Leaf:
        """Metal left over, in units: an offcut where both sides reach the least ones, else scrap.

        Least sides short to short and long to long: a rest of 300 x 100 may be stored turned.
        """
        short, long = sorted((length, width))
        worth = short >= self.problem.keep[0] and long >= self.problem.keep[1]
        return Leaf("offcut" if worth else "scrap", self.mm(length), self.mm(width))

    def _part(self, stock_number: int, item: int, length: int, width: int, *, turned: bool) -> Node:
        """A part as a leaf, or with spacers round it where its square edges ask for them.

        Sizes are those of the item, spacers and their kerfs with them (`problem._ways`); they come off here again.
        """
        stock, index = self.problem.stocks[stock_number], self.problem.items[item].part
        part = self.parts[index]
        if part.square == "none" or not stock.spaced:
            return Leaf("part", self.mm(length), self.mm(width), index, turned)
        gap = stock.limits.spacer
        long_edges: Direction = "across" if turned else "along"
        directions = [long_edges]
        if part.square == "all":
            directions.append("along" if turned else "across")
        return self._squared(index, length, width, turned=turned, gap=gap, kerf=stock.kerf, directions=directions)

    def _squared(
        self, index: int, length: int, width: int, *, turned: bool, gap: int, kerf: int, directions: list[Direction]
    ) -> Node:
        """A part with spacers, direction by direction from outside in: each takes a spacer and a kerf at both ends.

        Spacers are scrap even where they are large enough to keep: two cuts that are asked for anyway make them, and
        they may not be moved or joined to other metal, as an offcut may.
        """
        if not directions:
            return Leaf("part", self.mm(length), self.mm(width), index, turned)
        cut, *further = directions
        lost = 2 * (gap + kerf)
        inner_length, inner_width = (length, width - lost) if cut == "along" else (length - lost, width)
        inner = self._squared(index, inner_length, inner_width, turned=turned, gap=gap, kerf=kerf, directions=further)
        end = self._left(length, gap) if cut == "along" else self._left(gap, width)
        end = replace(end, kind="scrap")
        return Blank(self.mm(length), self.mm(width), cut, (inner,), end, end, square=True)

    def _plate(self, stock_number: int, node: Node) -> Node:
        """The pattern of the whole plate: trims round the usable part, the far ones joined to what is left.

        The trims along are the outer ones and run over the whole length; those across lie between them and are as much
        shorter.
        """
        stock = self.problem.stocks[stock_number]
        if not any(stock.trims):
            return node
        node = self._with_trims(stock, node, "across", node.width)
        return self._with_trims(stock, node, "along", self.mm(stock.full[0]))

    def _with_trims(self, stock: Stock, node: Node, cut: Direction, extent: float) -> Node:
        """A node with the trims of one direction; `extent` [mm] is the length of these cuts.

        Where the order is free, metal left at the high end and the trim there are one piece: a cut less.
        """
        south, east, north, west = stock.trims
        low_trim, high_trim = (south, north) if cut == "along" else (west, east)
        rest: Leaf | None = None
        # Where the order is fixed the joined piece might be wider than what may lie beside the torch.
        joins = not stock.limits.order_fixed
        if joins and high_trim and (wider := self._widened(stock, node, cut, high_trim + stock.kerf)) is not None:
            node, high_trim = wider, 0
        if not low_trim and not high_trim:
            return node
        if joins and high_trim and isinstance(node, Blank) and node.direction == cut and node.high is not None:
            rest, node = node.high, self._without_rest(stock, node)
        total = self.mm(stock.full[1] if cut == "along" else stock.full[0])
        low = self._trim(low_trim, extent, cut) if low_trim else None
        high = self._trim(high_trim, extent, cut) if high_trim else None
        if rest is not None and high is not None:
            size = self.mm(self._units(across(rest, cut)) + stock.kerf + high_trim)
            kind = self._left(self._units(extent), self._units(size)).kind
            high = Leaf(kind, extent, size) if cut == "along" else Leaf(kind, size, extent)
        # Pieces between the trims are a row with them: by themselves they would leave nothing over, and the last would
        # take what the marks of all the others are off by.
        children: tuple[Node, ...] = (node,)
        if joins and isinstance(node, Blank) and node.direction == cut and node.high is None and not node.square:
            children = node.children
        if cut == "along":
            return Blank(extent, total, cut, children, low, high)
        return Blank(total, extent, cut, children, low, high)

    def _widened(self, stock: Stock, node: Node, cut: Direction, more: int) -> Node | None:
        """A node that reaches so much farther at its high end of a direction, if all that lies there is left over: the
        mill edge there becomes no edge of a part, and no cut takes it off. None where a part would get it, or a longer
        cut would not go in one pass any more, or not at all.

        What is left at the high end of the node itself is joined to the trim by whoever asks.
        """
        joined = isinstance(node, Leaf) or node.direction == cut
        return None if joined else self._reaching(stock, node, cut, more)

    def _reaching(self, stock: Stock, node: Node, cut: Direction, more: int) -> Node | None:
        """As `_widened`, of what lies at the high end."""
        length, width = self._units(node.length), self._units(node.width)
        longer, wider = (length + more, width) if cut == "across" else (length, width + more)
        if isinstance(node, Leaf):
            return None if node.part is not None else self._left(longer, wider)
        travel, across_ = (longer, wider) if node.direction == "along" else (wider, longer)
        before, limits = length if node.direction == "along" else width, stock.limits
        if node.square or before <= limits.one_pass < travel or not limits.travel_ok(travel, across_):
            return None
        low, high, children = node.low, node.high, node.children
        if node.direction == cut:
            if high is None:
                return None
            high = self._grown(stock, high, cut, more)
        else:
            some = [self._reaching(stock, each, cut, more) for each in children]
            children = tuple(each for each in some if each is not None)
            if len(children) < len(some):
                return None
            low, high = (None if end is None else self._grown(stock, end, cut, more) for end in (low, high))
        return replace(node, length=self.mm(longer), width=self.mm(wider), children=children, low=low, high=high)

    def _grown(self, stock: Stock, end: Leaf, cut: Direction, more: int) -> Leaf:
        """What is left at an end, so much longer or wider."""
        grown = self._reaching(stock, end, cut, more)
        assert isinstance(grown, Leaf)  # no part is an end
        return grown

    def _trim(self, trim: int, extent: float, cut: Direction) -> Leaf:
        """The scrap that a trim makes; a mill edge is never part of an offcut by itself."""
        size = self.mm(trim)
        return Leaf("scrap", extent, size) if cut == "along" else Leaf("scrap", size, extent)

    def _without_rest(self, stock: Stock, node: Blank) -> Node:
        """The blank less what is left at its high end and the kerf before that; both pass to the trim beyond it."""
        assert node.high is not None
        whole, rest = (self._units(across(each, node.direction)) for each in (node, node.high))
        size = self.mm(whole - rest - stock.kerf)
        if len(node.children) == 1:
            return node.children[0]
        if node.direction == "along":
            return replace(node, width=size, high=None)
        return replace(node, length=size, high=None)
