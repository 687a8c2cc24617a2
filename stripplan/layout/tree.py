"""The guillotine tree: a rectangle of a plate in whole units, and what it is cut into. All engines of layout speak in
it.

A node is an item, metal left over, or cut in one direction into children, which come off one after the other from the
end of small coordinates. Sizes are as cut; a kerf lies between each two children. What the children and the kerfs
behind them do not take is `left` at the far end.

Why several children and not a first and a rest: a plate of many strips would be as deep as it has strips, and what is
asked of siblings (may they change places? what is free beside them?) would have to be gathered first each time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stripplan.model.pattern import Direction


@dataclass(frozen=True)
class Tree:
    """A rectangle of a plate. `item` None and `cut` None: metal left over.

    Cuts "along" run along the length, so widths add up; cuts "across" add up lengths. `left` is the extent of what is
    left beyond the last child and its kerf: None = the last child ends at the edge, 0 or less = the kerf takes it away
    whole. So None and 0 differ: with 0 there is one more cut, whose kerf takes the last of the metal.

    Frozen, and equal where all below is equal: plates that are cut alike are found by comparing them.
    """

    length: int
    width: int
    item: int | None = None
    turned: bool = False
    cut: Direction | None = None
    children: tuple[Tree, ...] = ()
    left: int | None = None

    def across(self, cut: Direction) -> int:
        """Extent at right angles to cuts of a direction: what its pieces share.

        >>> Tree(100, 50).across("along"), Tree(100, 50).travel("along")
        (50, 100)
        """
        return self.width if cut == "along" else self.length

    def travel(self, cut: Direction) -> int:
        """Length of cuts of a direction."""
        return self.length if cut == "along" else self.width

    @property
    def is_metal(self) -> bool:
        """Whether it holds nothing and is not cut."""
        return self.item is None and self.cut is None

    @property
    def rest(self) -> Tree | None:
        """What is left beyond the last child, as a rectangle of its own; its extent may be 0 or less (see `left`)."""
        return None if self.left is None or self.cut is None else self.piece(self.cut, self.left)

    def piece(self, cut: Direction, size: int) -> Tree:
        """Metal as long as this, `size` across: what such a cut takes off it."""
        return Tree(self.length, size) if cut == "along" else Tree(size, self.width)

    def pieces(self) -> Iterator[Tree]:
        """The children and what is left beyond them."""
        yield from self.children
        if (rest := self.rest) is not None:
            yield rest

    def items(self) -> Iterator[int]:
        """The items in it, one entry for each copy."""
        if self.item is not None:
            yield self.item
        for child in self.children:
            yield from child.items()

    def leaves(self) -> Iterator[Tree]:
        """Items and metal left over, in the order in which they come off."""
        if self.cut is None:
            yield self
        for piece in self.pieces():
            yield from piece.leaves()

    def cuts(self, kerf: int) -> Iterator[tuple[int, int]]:
        """(Width of the child that comes off, width of what is then still there) of each cut of this node.

        This is what the rig's limits are asked of: fence and far side see the two pieces of one cut, not the layout.

        >>> strips = (Tree(100, 20, item=0), Tree(100, 28, item=1))
        >>> list(Tree(100, 50, cut="along", children=strips).cuts(kerf=2))
        [(20, 28)]
        """
        if self.cut is None:
            return
        there = self.across(self.cut)
        for child in self.children:
            size = child.across(self.cut)
            if size == there:  # the last one needs no cut
                return
            there -= size + kerf
            yield size, there

    def parted(self, kerf: int) -> tuple[Tree, Tree]:
        """The two pieces that its first cut makes; the second is cut further in the same direction, or is what is left.

        >>> strips = (Tree(100, 20, item=0), Tree(100, 20, item=1))
        >>> one, other = Tree(100, 50, cut="along", children=strips, left=6).parted(kerf=2)
        >>> one.width, other.width, len(other.children), other.left
        (20, 28, 1, 6)
        """
        assert self.cut is not None
        first, *others = self.children
        rest = self.piece(self.cut, self.across(self.cut) - first.across(self.cut) - kerf)
        if len(others) == 1 and self.left is None:
            return first, others[0]
        return first, replace(rest, cut=self.cut, children=tuple(others), left=self.left) if others else rest

    def unordered(self) -> tuple[object, ...]:
        """What it is but for the order of siblings: equal for trees whose plates are the same to whoever cuts them.

        >>> one, other = Tree(100, 20, item=0), Tree(100, 28, item=1)
        >>> trees = [Tree(100, 50, cut="along", children=each) for each in ((one, other), (other, one))]
        >>> trees[0].unordered() == trees[1].unordered()
        True
        """
        children = sorted(child.unordered() for child in self.children)
        item, left = -1 if self.item is None else self.item, () if self.left is None else (self.left,)
        return self.length, self.width, item, self.turned, self.cut or "", left, tuple(children)

    def rectangles(self, kerf: int) -> Iterator[Tree]:
        """Every rectangle met while it is cut, itself first: children, and what is still there after each cut.

        All of these lie on the rig at some time, so each has a mass that must be borne.
        """
        yield self
        if self.cut is None:
            return
        for child, (_, there) in zip(self.children, self.cuts(kerf), strict=False):
            yield from child.rectangles(kerf)
            yield self.piece(self.cut, there)
        if self.left is None:
            yield from self.children[-1].rectangles(kerf)

    def free(self) -> Iterator[Tree]:
        """Metal left over that has an extent: where the kerf takes all, there is a rest but nothing to pick up."""
        return (leaf for leaf in self.leaves() if leaf.is_metal and leaf.length > 0 and leaf.width > 0)


def of_pieces(length: int, width: int, cut: Direction, pieces: Sequence[Tree]) -> Tree:
    """A rectangle parted into two or more pieces that fill it but for the kerfs; metal at the far end is what is left.

    A last piece that is cut in the same direction is not a piece of its own: its cuts become the rectangle's. Only the
    last, as its cuts go on where the rectangle's end; an earlier one would have to move metal from its end.
    """
    *first, last = pieces
    if last.is_metal:
        return Tree(length, width, cut=cut, children=tuple(first), left=last.across(cut))
    if last.cut == cut:
        return Tree(length, width, cut=cut, children=(*first, *last.children), left=last.left)
    return Tree(length, width, cut=cut, children=tuple(pieces))


def cut_from(length: int, width: int, cut: Direction, children: Sequence[Tree], kerf: int) -> Tree:
    """Children cut from a rectangle one after the other; a single one that fills it is the rectangle itself.

    From 100 x 50 a piece 30 wide comes off; the kerf takes 2, and 18 are left:

    >>> cut_from(100, 50, "along", [Tree(100, 30, item=0)], kerf=2).left
    18
    """
    whole = Tree(length, width)
    if not children:
        return whole
    free = whole.across(cut) + kerf - sum(child.across(cut) + kerf for child in children)
    if free:
        return Tree(length, width, cut=cut, children=tuple(children), left=free - kerf)
    return children[0] if len(children) == 1 else of_pieces(length, width, cut, children)


def gathered(tree: Tree, kerf: int, without: int | None = None) -> Tree | None:
    """All metal of a node at its end, cuts of one direction in one node; None where there is no item in it.

    `without` is an item that is left out: its place joins the metal. Children move up, so a caller whose cuts must be
    located as they lie asks `Limits.located` afterwards.

    >>> tree = Tree(100, 50, cut="along", left=8, children=(Tree(100, 20, item=0), Tree(100, 18, item=1)))
    >>> gathered(tree, kerf=2, without=0).left
    30
    """
    if tree.cut is None:
        return None if tree.item is None or tree.item == without else tree
    children: list[Tree] = []
    for child in tree.children:
        inner = gathered(child, kerf, without)
        if inner is not None:
            children += inner.children if inner.cut == tree.cut else (inner,)
    return cut_from(tree.length, tree.width, tree.cut, children, kerf) if children else None


@dataclass(frozen=True)
class FilledStock:
    """One plate of a stock (by number), cut up."""

    stock: int
    tree: Tree

    @property
    def items(self) -> tuple[int, ...]:
        """What it holds, one entry for each copy."""
        return tuple(self.tree.items())
