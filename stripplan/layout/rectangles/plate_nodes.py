"""A plate as the search of ruin and recreate holds it: a list of nodes, so that copying one takes one pass.

A plate is a tree. A blank is stacked along one axis: its children, then `rest`, one free rectangle at its end.
Order among children is free (but where each cut must be located from a fence), so all that is free in a blank
lies together, and whatever is thrown out joins it. Sizes carry one kerf: a part of x takes x + kerf of a plate of
length + kerf, and cuts have no width.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stripplan.layout.problem import Way
from stripplan.layout.rectangles.search_task import DIRECTIONS, SearchStock, Task, way_number
from stripplan.layout.tree import Tree, cut_from

Ways = Sequence[Sequence[Way]]
"""All ways of each item, those of one stock after another's."""


@dataclass(slots=True, eq=False)
class Node:
    """A part (`item` >= 0) or a blank that is stacked along axis `along` (0 = x, 1 = y), sizes with one kerf.

    `rest` is the free extent at the end of a blank along that axis. `first` and `next` number the first child and the
    next sibling in the plate's list of nodes; -1 = none. `depth` is the depth of the cuts that the blank is cut by.

    Numbers in a list and not references: a plate is then copied in one pass, which the search does all the time, and
    the compiled twin holds the same layout in one block of memory.
    """

    x: int
    y: int
    rest: int
    along: int
    depth: int
    item: int
    way: int
    first: int = -1
    next: int = -1

    def size(self, axis: int) -> int:
        """Extent along an axis, 0 = x, 1 = y, with one kerf."""
        return self.y if axis else self.x

    def copy(self) -> Node:
        """A node of its own with the same figures."""
        return Node(self.x, self.y, self.rest, self.along, self.depth, self.item, self.way, self.first, self.next)


@dataclass(slots=True, eq=False)
class SearchPlate:
    """A plate as a list of nodes, the whole plate first. `filled` is the area that its parts take, kerfs with them.

    `filled` and `parts` follow from the nodes; they are kept beside them because the search asks the area of every
    plate for every part, most of the time only to pass the plate over.
    """

    stock: int
    nodes: list[Node]
    parts: int = 0
    filled: int = 0

    def copy(self) -> SearchPlate:
        """A plate of its own: its nodes too."""
        return SearchPlate(self.stock, [node.copy() for node in self.nodes], self.parts, self.filled)

    # in and out

    def read(self, task: Task, parent: int, tree: Tree) -> None:
        """A `Tree` as nodes, kerfs added: the other way of `tree`. Parent -1 = the whole plate."""
        kerf = task.stocks[self.stock].kerf
        x, y, number = tree.length + kerf, tree.width + kerf, 0
        if tree.item is not None:
            above = self.nodes[parent]
            self.add(parent, above.along, x, y, tree.item, way_number(task, self.stock, tree))
            self.filled += x * y
            self.parts += 1
            return
        along = 1 if tree.cut == "along" else 0
        if parent < 0:
            self.nodes[0].along = along
        else:
            number = self.add(parent, along, x, y, -1, 0)
        self.nodes[number].rest = 0 if tree.left is None else tree.left + kerf
        for child in tree.children:
            self.read(task, number, child)

    def tree(self, number: int, ways: Ways, kerf: int) -> Tree:
        """A node as a `Tree`, kerfs taken off."""
        node = self.nodes[number]
        if node.item >= 0:
            return Tree(node.x - kerf, node.y - kerf, node.item, ways[node.item][node.way][2])
        children, child = [], node.first
        while child >= 0:
            children.append(self.tree(child, ways, kerf))
            child = self.nodes[child].next
        return cut_from(node.x - kerf, node.y - kerf, DIRECTIONS[node.along], children, kerf)

    # put in, thrown out

    def add(self, parent: int, along: int, x: int, y: int, item: int, way: int) -> int:
        """Append a node as the last child of `parent`; its number. Depth grows only where the direction changes.

        Last, because the free rest lies behind all children: what is cut from it comes after them. Siblings are walked
        to their end; a pointer to the last one would have to be mended in every copy for lists that are short.
        """
        number, above = len(self.nodes), self.nodes[parent]
        self.nodes.append(Node(x, y, 0, along, above.depth + (along != above.along), item, way))
        if above.first < 0:
            above.first = number
        else:
            last = above.first
            while self.nodes[last].next >= 0:
                last = self.nodes[last].next
            self.nodes[last].next = number
        return number

    def throw_out(self, number: int, gone: set[int], out: list[int]) -> None:
        """Mark all parts in a node as gone and put them on `out`, the list of those without a place.

        The nodes stay where they are until `_settled` has gone over the plate.
        """
        node = self.nodes[number]
        if node.item >= 0:
            if number not in gone:
                gone.add(number)
                out.append(node.item)
                self.filled -= node.x * node.y
                self.parts -= 1
            return
        child = node.first
        while child >= 0:
            self.throw_out(child, gone, out)
            child = self.nodes[child].next

    def settle(self, gone: set[int], out: list[int], stock: SearchStock) -> SearchPlate:
        """The plate in order after a ruin: empty blanks become metal, and the list of nodes is written anew.

        It stays although it may be empty: whether it is closed is decided after all plates of the ruin are settled.
        """
        root = self._settled(0, gone, out, stock)
        if root < 0:
            return empty_plate(self.stock, stock)
        # The first node stays a blank, as in `as_blank`.
        if self.nodes[root].item >= 0:  # one part as large as the plate
            self.nodes[0].first, self.nodes[0].rest = root, 0
            root = 0
        new = SearchPlate(self.stock, [], self.parts, self.filled)
        self._copied(new, root, 1)
        return new

    def _settled(self, number: int, gone: set[int], out: list[int], stock: SearchStock) -> int:
        """What is left of a node after parts were thrown out: itself, its only child, or nothing (-1).

        Free metal is brought together here and nowhere else, in the same walk that drops what is empty. Without it the
        holes of a ruin would stay as they were, and only parts of the sizes thrown out would go back into them.
        """
        nodes = self.nodes
        node = nodes[number]
        if node.item >= 0:
            return -1 if number in gone else number
        kept: list[int] = []
        child = node.first
        while child >= 0:
            following, extent = nodes[child].next, nodes[child].size(node.along)
            # Children first: a blank is empty only when all below it are.
            left = self._settled(child, gone, out, stock)
            if left < 0:
                node.rest += extent
            # A blank stacked as this one is no blank of its own: its children and its metal join this one. Such a blank
            # comes up where the one between was left with a single child.
            elif nodes[left].item < 0 and nodes[left].along == node.along:
                node.rest += nodes[left].rest
                inner = nodes[left].first
                while inner >= 0:
                    kept.append(inner)
                    inner = nodes[inner].next
            else:
                kept.append(left)
            child = following
        node.first = kept[0] if kept else -1
        for one, following in pairwise([*kept, -1]):
            nodes[one].next = following
        if not kept:
            return -1
        # What cannot be cut any more is thrown out whole; the next rebuild gives its parts places anew.
        if not self._sound(stock, node, kept):
            self.throw_out(number, gone, out)
            return -1
        return kept[0] if len(kept) == 1 and node.rest == 0 else number

    def _sound(self, stock: SearchStock, node: Node, children: Sequence[int]) -> bool:
        """Whether what is left is no sliver, and each cut can be located where that must be.

        Taking parts out can spoil a plate: a part narrower than the narrowest offcut leaves a sliver where it lay, and
        with what stood before it gone, a cut may leave more beside the torch than there is room for.
        """
        if 0 < node.rest < stock.gap:
            return False
        e = node.size(node.along)
        # Elsewhere every split can be located: marked, and no limit on the far side.
        for child in children if stock.order_fixed else ():
            a = self.nodes[child].size(node.along)
            if a != e and not stock.split_ok(a - stock.kerf, e - a - stock.kerf):
                return False
            e -= a
        return True

    def _copied(self, new: SearchPlate, number: int, depth: int) -> int:
        """Copy a node and all below it into a new list, without gaps; depths are counted anew on the way."""
        here = len(new.nodes)
        node = self.nodes[number].copy()
        new.nodes.append(node)
        child, node.first, node.next, node.depth, last = node.first, -1, -1, depth, -1
        while child >= 0:
            inner = self.nodes[child]
            copy = self._copied(new, child, depth + (inner.item < 0 and inner.along != node.along))
            if last < 0:
                node.first = copy
            else:
                new.nodes[last].next = copy
            last = copy
            child = inner.next
        return here


def empty_plate(number: int, stock: SearchStock) -> SearchPlate:
    """A plate with nothing on it: one blank of depth 1, all of it free."""
    x, y = stock.size
    return SearchPlate(number, [Node(x, y, x, 0, 1, -1, 0)])
