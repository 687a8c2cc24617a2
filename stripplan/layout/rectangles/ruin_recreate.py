"""Rectangles into plates: take a few plates apart, rebuild them, keep what is no worse; any depth of cuts.

Method: ruin and recreate (G. Schrimpf and others, J. Computational Physics 159 (2000) 139-171) with a goal, as in
goal-driven search for guillotine layouts (J. Gardeyn, T. Wauters, EJOR 301 (2022) 432-444): once all parts have
a place, plates are closed until the cost is below the best so far, and the area of the parts without a place is
driven to nothing. Late acceptance (E. K. Burke, Y. Bykov, EJOR 258 (2017) 70-78) decides what is kept. Not exact.

Why this neighbourhood: a guillotine layout has no small moves. To swap two parts of unlike sizes shifts every cut
beyond them, while a blank taken out whole leaves a rectangle that anything may fill. And why areas: between "all placed
on nine plates" and "not all on eight" the count of plates shows no progress, the area still without a place does.

A plate is a tree. A blank is stacked along one axis: its children, then `rest`, one free rectangle at its end.
Order among children is free (but where each cut must be located from a fence), so all that is free in a blank
lies together, and whatever is thrown out joins it. Sizes carry one kerf: a part of x takes x + kerf of a plate of
length + kerf, and cuts have no width.

Cost of a step: each part thrown out is tried in every node of at most `NEAR` plates beside those taken apart, in
each way it may lie; the plates of the best answer are copied whenever it is bettered.

There are two of this search with the same answers: `Search` here, and a compiled twin in kernel/ruin_recreate.c. All
numbers are whole; scores are products and sums of doubles in the same order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stripplan.kernel import Rng
from stripplan.layout.rectangles.search_task import (
    DIRECTIONS,
    MANY,
    Found,
    SearchStock,
    Task,
    as_blank,
    way_number,
    way_starts,
)
from stripplan.layout.tree import FilledStock, Tree, cut_from

HISTORY = 60
"""Length of the list of late acceptance [steps]: a longer one leaves poor layouts more easily and settles more slowly.
Measured as in `Search._take_apart`: 5678 plates with 1 and with 15, 5692 with 60, 5710 with 240. So in 3000 steps it
is rather too long than too short; long runs were not compared."""
HANDS = 4
"""The rule of placing that asks what the hands do more (`Objective.more_hands`), beside those of `score_of`."""
KIND_DRAWS = 8
"""Draws of a node until one is a part whose copies are taken out: where blanks outnumber parts, some draws hit none."""
NEAR = 40
"""Plates that a part is tried in, beside those taken apart: keeps a step short on jobs of many plates. Measured as in
`Search._take_apart`: 5688 plates with 10, 5692 with 40 and with all, so on jobs of up to 100 parts it costs nothing."""


@dataclass(slots=True, eq=False)
class _Node:
    """A part (`item` >= 0) or a blank that is stacked along axis `along` (0 = x, 1 = y), sizes with one kerf.

    `rest` is the free extent at the end of a blank along that axis. `first` and `next` number the first child and the
    next sibling in the plate's list of nodes; -1 = none. `depth` is the depth of the cuts that the blank is cut by.

    Numbers in a list and not references: a plate is then copied in one pass, which `_touch` and `_keep_best` do all the
    time, and the compiled twin holds the same layout in one block of memory.
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
        return self.y if axis else self.x

    def copy(self) -> _Node:
        return _Node(self.x, self.y, self.rest, self.along, self.depth, self.item, self.way, self.first, self.next)


@dataclass(slots=True, eq=False)
class _Plate:
    """A plate as a list of nodes, the whole plate first. `filled` is the area that its parts take, kerfs with them.

    `filled` and `parts` follow from the nodes; they are kept beside them because `_in_plate` asks the area of every
    plate for every part, most of the time only to pass the plate over.
    """

    stock: int
    nodes: list[_Node]
    parts: int = 0
    filled: int = 0

    def copy(self) -> _Plate:
        return _Plate(self.stock, [node.copy() for node in self.nodes], self.parts, self.filled)


@dataclass(slots=True)
class _Place:
    """The best place found for a part: free rectangle (`plate`, `node`), first cut (`option`) and how it lies.

    `way` numbers the ways of the part over all stocks; `along` is the axis that an empty plate would be stacked along.
    """

    score: float = 1e300
    plate: int = -1
    node: int = 0
    option: int = 0
    way: int = 0
    along: int = 0


class Search:
    """The search in Python; `Compiled` is its twin.

    Loaded, begun, run; the best so far may be asked for at any time. Parts of 100 x 25 on plates of 100 x 50, no kerf:

    >>> from stripplan.layout.rectangles.search_task import SearchItem
    >>> part = SearchItem(demand=3, over=0, area=2500, ways=(((100, 25, False),),))
    >>> search = Search(Task((SearchStock(kerf=0, size=(100, 50), cost=1),), (part,), depth=None, enough=2), seed=1)
    >>> search.begin()
    >>> search.found().cost, search.found().out
    (2, ())
    >>> search.run(100)  # two plates are enough, so no step is done
    0
    """

    def __init__(self, task: Task, seed: int) -> None:
        self.task = task
        self.ways = [[way for board in thing.ways for way in board] for thing in task.items]
        self.first_way = [way_starts(thing) for thing in task.items]
        self._below = Rng(seed).below
        self.plates: list[_Plate] = []
        self.saved: dict[int, _Plate] = {}
        self.saved_open = 0
        self.touched: list[int] = []
        self.is_touched: set[int] = set()
        self.out: list[int] = []
        self.saved_out: list[int] = []
        self.used = [0] * len(task.stocks)
        self.cost = 0
        self.budget = MANY
        self.history = [0] * HISTORY
        self.current = self.at = self.rule = 0
        self.best: list[_Plate] = []
        self.best_cost = self.best_out = self.best_total = MANY
        self.readings: frozenset[int] = frozenset()
        self.best_left: list[int] = []

    def load(self, plates: Sequence[FilledStock]) -> None:
        """Plates to begin with, before `begin`. Each must be cuttable as `as_blank` writes it (`Limits.located`)."""
        for each in plates:
            plate = self._empty(each.stock)
            self._read(plate, -1, as_blank(self.task, each))
            self.plates.append(plate)
            self.used[each.stock] += 1
            self.cost += self.task.stocks[each.stock].cost

    def begin(self) -> None:
        """Place what is not in the plates loaded, large first.

        No plate is passed over and no way blinked at: where the user asks for no steps, this is the answer.
        """
        have = [0] * len(self.task.items)
        for plate in self.plates:
            for node in plate.nodes:
                if node.item >= 0:
                    have[node.item] += 1
        self.out = [n for n, thing in enumerate(self.task.items) for _ in range(have[n], thing.demand)]
        self._start_step()
        self._sort_out(0, noise=False)
        # No rule is drawn, nor any noise: with one stock the first answer is the same for every seed.
        self.rule = 1
        self._rebuild(near=False, blink=False)
        self._keep_best()
        # One unit of cost less from the start, or the first steps would only move parts about at the same cost.
        if not self.out:
            self.budget = self.best_cost - 1
        self._within_budget()

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once the answer costs no more than `enough`."""
        done = 0
        while done < steps and not (self.best_out == 0 and self.best_cost <= self.task.enough):
            self._step()
            done += 1
        return done

    def run_by_total(self, steps: int) -> int:
        """From the best plates to such as cost less in plate and hands together. Steps done: none where a part has no
        place.
        """
        if self.best_out or not self.best or self.task.objective is None:
            return 0
        if self.best_total == MANY:
            self._start_by_total()
        for _ in range(steps):
            self._step_by_total()
        return steps

    def lower_budget(self, budget: int) -> None:
        """Look only for answers that cost no more than this from now on.

        Plates are closed until that holds. The best so far stays the answer, also where it costs more: it is the one
        found here, and `search.RectangleSearch` compares it with the one that set the budget.
        """
        if budget < self.budget:
            self.budget = budget
            self._within_budget()

    def cost_found(self) -> int:
        """Cost of the best so far; `MANY` while a part has no place."""
        return self.best_cost if self.best_out == 0 else MANY

    def found(self) -> Found:
        """The best so far."""
        filled = tuple(FilledStock(plate.stock, self._tree(plate, 0)) for plate in self.best)
        return Found(filled, self.best_cost, tuple(self.best_left), self.best_out, self.best_total)

    def close(self) -> None:
        """Nothing to give back."""

    # a plate's tree

    def _empty(self, stock: int) -> _Plate:
        """A plate with nothing on it: one blank of depth 1, all of it free."""
        x, y = self.task.stocks[stock].size
        return _Plate(stock, [_Node(x, y, x, 0, 1, -1, 0)])

    @staticmethod
    def _add(plate: _Plate, parent: int, along: int, x: int, y: int, item: int, way: int) -> int:
        """Append a node as the last child of `parent`; its number. Depth grows only where the direction changes.

        Last, because the free rest lies behind all children: what is cut from it comes after them. Siblings are walked
        to their end; a pointer to the last one would have to be mended in every copy for lists that are short.
        """
        number, above = len(plate.nodes), plate.nodes[parent]
        plate.nodes.append(_Node(x, y, 0, along, above.depth + (along != above.along), item, way))
        if above.first < 0:
            above.first = number
        else:
            last = above.first
            while plate.nodes[last].next >= 0:
                last = plate.nodes[last].next
            plate.nodes[last].next = number
        return number

    def _cut_ok(self, board: SearchStock, travel: int, depth: int, one: int, other: int) -> bool:
        """`Limits.cut_ok` for sizes that carry a kerf, and the job's depth. `one`, `other` are the two pieces.

        Each size asked about has its own kerf taken off first; `one + other - kerf` is thus the piece that is cut.
        Where no cut of `travel` is made in two passes, nothing is turned over, and `turnable` does not matter.
        """
        most, kerf = self.task.depth, board.kerf
        if not board.cuttable or travel - kerf > board.longest or (most is not None and depth > most):
            return False
        turned = board.turnable is not None and travel - kerf > board.one_pass
        if turned and (travel - kerf) * (one + other - kerf) > (board.turnable or 0):
            return False
        return board.split_ok(one - kerf, other - kerf)

    def _consider(self, plate_number: int, node_number: int, item: int, blink: bool, best: _Place) -> None:
        """Try a part in the free rectangle of one node; `best` is changed where a way scores less.

        `e` is the free extent along the stacking, `c` that at right angles; the part takes `a` of `e` and `b` of `c`.
        Option 1 cuts `a` off first, over all of `c`; option 2 cuts `b` off first, over all of `e`, one deeper.

            option 1: +-----+--------+      option 2: +--------------+
                      |     |        |                |              |
                      +-----+        | c              +-----+--------+ c
                      |part |        |                |part |        |
                      +-----+--------+                +-----+--------+
                         a       e                       a       e

        In an empty plate option 2 along one axis is option 1 along the other, so it is not tried there.
        With `blink` a way is passed over once in a hundred, so that the same ruin is not always rebuilt the same
        (blinks: J. Christiaens, G. Vanden Berghe, Transportation Science 54 (2020) 417-433). Measured as `_take_apart`
        tells, 5692 plates so, 5686 without, 5697 with one in ten: few blinks do no harm, many do.
        """
        plate = self.plates[plate_number]
        node = plate.nodes[node_number]
        if node.item >= 0 or node.rest <= 0:
            return
        board, over = self.task.stocks[plate.stock], self.task.items[item].over
        empty = node.first < 0
        starts = self.first_way[item]
        for way in range(starts[plate.stock], starts[plate.stock + 1]):
            for turn in range(2 if empty else 1):
                along = turn if empty else node.along
                e, c = (node.size(along) if empty else node.rest), node.size(1 - along)
                a, b = self.ways[item][way][along], self.ways[item][way][1 - along]
                if a > e or b > c:
                    continue
                # A sliver cannot be cut off: either the part keeps it, within its tolerance, or it does not fit.
                if 0 < e - a < board.gap:
                    if e - a > over:
                        continue
                    a = e
                if 0 < c - b < board.gap:
                    if c - b > over:
                        continue
                    b = c
                # Drawn only for ways that fit: the compiled twin must draw as often, or the two part company.
                if blink and self._below(100) == 0:
                    continue
                depth = node.depth
                # Option 1. No cut is asked about where nothing would be left beyond it.
                if (a == e or self._cut_ok(board, c, depth, a, e - a)) and (
                    b == c or self._cut_ok(board, a, depth + 1, b, c - b)
                ):
                    score = self._score(plate.stock, e, c, a, b, 1)
                    # Less, not equal: of equal places the first stays, here and in the compiled twin.
                    if score < best.score:
                        best.score, best.plate, best.node = score, plate_number, node_number
                        best.option, best.way, best.along = 1, way, along
                if (
                    not empty
                    and a < e
                    and b < c
                    and self._cut_ok(board, e, depth + 1, b, c - b)
                    and self._cut_ok(board, b, depth + 2, a, e - a)
                ):
                    score = self._score(plate.stock, e, c, a, b, 2)
                    if score < best.score:
                        best.score, best.plate, best.node = score, plate_number, node_number
                        best.option, best.way, best.along = 2, way, along

    def _score(self, stock: int, e: int, c: int, a: int, b: int, option: int) -> float:
        """How badly a place serves, by the rule of this step."""
        if self.rule != HANDS:
            return score_of(self.rule, e, c, a, b, option)
        assert self.task.objective is not None
        return self.task.objective.more_hands(stock, self.readings, e, c, a, b, option)

    def _put(self, at: _Place, item: int) -> None:
        """Lay a part where `_consider` found a place: up to two new blanks round it, then the part itself.

        What `_consider` rounded up because of a sliver is rounded up here again: a place holds no sizes of its own.
        """
        plate = self.plates[at.plate]
        gap = self.task.stocks[plate.stock].gap
        way, number, d = self.ways[item][at.way], at.node, at.along
        node = plate.nodes[number]
        # An empty plate has no direction yet: its first part gives it one.
        if node.first < 0:
            node.along, node.rest = d, node.size(d)
        e, c, a, b = node.rest, node.size(1 - d), way[d], way[1 - d]
        if 0 < e - a < gap:
            a = e
        if 0 < c - b < gap:
            b = c
        size = [0, 0]
        # Option 2 takes the whole free extent; a blank of its own, below, gives the rest back.
        size[d], size[1 - d] = (a if at.option == 1 else e), c
        node.rest -= size[d]
        if b < c:
            number = self._add(plate, number, 1 - d, size[0], size[1], -1, 0)
            plate.nodes[number].rest = c - b
            size[1 - d] = b
        if at.option == 2:
            number = self._add(plate, number, d, size[0], size[1], -1, 0)
            plate.nodes[number].rest = e - a
            size[d] = a
        self._add(plate, number, d, size[0], size[1], item, at.way)
        plate.filled += a * b
        plate.parts += 1

    # taking apart

    def _throw_out(self, plate: _Plate, number: int, gone: set[int]) -> None:
        """Mark all parts in a node as gone and put them on the list of those without a place.

        The nodes stay where they are until `_settled` has gone over the plate.
        """
        node = plate.nodes[number]
        if node.item >= 0:
            if number not in gone:
                gone.add(number)
                self.out.append(node.item)
                plate.filled -= node.x * node.y
                plate.parts -= 1
            return
        child = node.first
        while child >= 0:
            self._throw_out(plate, child, gone)
            child = plate.nodes[child].next

    def _settled(self, plate: _Plate, number: int, gone: set[int]) -> int:
        """What is left of a node after parts were thrown out: itself, its only child, or nothing (-1).

        Free metal is brought together here and nowhere else, in the same walk that drops what is empty. Without it the
        holes of a ruin would stay as they were, and only parts of the sizes thrown out would go back into them.
        """
        nodes = plate.nodes
        node, board = nodes[number], self.task.stocks[plate.stock]
        if node.item >= 0:
            return -1 if number in gone else number
        kept: list[int] = []
        child = node.first
        while child >= 0:
            following, extent = nodes[child].next, nodes[child].size(node.along)
            # Children first: a blank is empty only when all below it are.
            left = self._settled(plate, child, gone)
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
        if not self._sound(board, plate, node, kept):
            self._throw_out(plate, number, gone)
            return -1
        return kept[0] if len(kept) == 1 and node.rest == 0 else number

    @staticmethod
    def _sound(board: SearchStock, plate: _Plate, node: _Node, children: Sequence[int]) -> bool:
        """Whether what is left is no sliver, and each cut can be located where that must be.

        Taking parts out can spoil a plate: a part narrower than the narrowest offcut leaves a sliver where it lay, and
        with what stood before it gone, a cut may leave more beside the torch than there is room for.
        """
        if 0 < node.rest < board.gap:
            return False
        e = node.size(node.along)
        # Elsewhere every split can be located: marked, and no limit on the far side.
        for child in children if board.order_fixed else ():
            a = plate.nodes[child].size(node.along)
            if a != e and not board.split_ok(a - board.kerf, e - a - board.kerf):
                return False
            e -= a
        return True

    def _settle(self, number: int, gone: set[int]) -> None:
        """Bring a plate in order after a ruin: empty blanks become metal, and the list of nodes is written anew."""
        plate = self.plates[number]
        root = self._settled(plate, 0, gone)
        # Kept open although empty: `_close_empty` decides, after all plates of the ruin have been settled.
        if root < 0:
            self.plates[number] = self._empty(plate.stock)
            return
        # The first node stays a blank, as in `as_blank`.
        if plate.nodes[root].item >= 0:  # one part as large as the plate
            plate.nodes[0].first, plate.nodes[0].rest = root, 0
            root = 0
        new = _Plate(plate.stock, [], plate.parts, plate.filled)
        self._copied(plate, new, root, 1)
        self.plates[number] = new

    def _copied(self, old: _Plate, new: _Plate, number: int, depth: int) -> int:
        """Copy a node and all below it into a new list, without gaps; depths are counted anew on the way."""
        here = len(new.nodes)
        node = old.nodes[number].copy()
        new.nodes.append(node)
        child, node.first, node.next, node.depth, last = node.first, -1, -1, depth, -1
        while child >= 0:
            inner = old.nodes[child]
            copy = self._copied(old, new, child, depth + (inner.item < 0 and inner.along != node.along))
            if last < 0:
                node.first = copy
            else:
                new.nodes[last].next = copy
            last = copy
            child = inner.next
        return here

    def _touch(self, number: int) -> None:
        """Remember a plate as it is before its first change in this step, for `_undo`.

        Copying all plates instead would make a step as dear as the job is large. Plates opened within the step are not
        copied: going back means to close them.
        """
        if number not in self.is_touched:
            self.is_touched.add(number)
            self.touched.append(number)
            if number < self.saved_open:
                self.saved[number] = self.plates[number].copy()

    def _take_apart(self) -> None:
        """Ruin: one to three plates drawn at random lose all parts, up to eight of them, or one node.

        Three kinds because they free different shapes: a whole plate, single holes, and one rectangle of any size. One
        kind is drawn for all plates of a step. A plate drawn twice is taken apart further.
        Measured on 100 published jobs (parts that turn, 3000 steps, four seeds each; data of
        `tests.benchmarks.rectangles`, every fifth): 5692 plates with all three (5688 and 5690 with other seeds), 5672
        with whole plates alone, 5710 with nodes alone, 5737 with single parts alone; 5716 where a step takes one
        plate apart, 5683 where up to five. Those jobs have one size of plate and no limits; others were not measured.
        """
        plates, how = 1 + self._below(3), self._below(3)
        for _ in range(plates):
            number = self._below(len(self.plates))
            if self.plates[number].parts == 0:
                continue
            self._touch(number)
            plate, gone = self.plates[number], set[int]()
            if how == 0:
                self._throw_out(plate, 0, gone)
            elif how == 1:
                # Draws that hit a blank, or a part that is out already, take nothing out.
                for _ in range(1 + self._below(min(plate.parts, 8))):
                    node = self._below(len(plate.nodes))
                    if plate.nodes[node].item >= 0:
                        self._throw_out(plate, node, gone)
            else:
                self._throw_out(plate, self._below(len(plate.nodes)), gone)
            self._settle(number, gone)

    # rebuilding

    def _sort_out(self, how: int, *, noise: bool) -> None:
        """Order the parts without a place: 0 by area, 1 by longer side, 2 by x, 3 by y, 4 at random.

        `noise` multiplies each size by 0.7 to 1.3, so that parts of nearly one size change places between steps. The
        range matters little: measured as `_take_apart` tells, 5692 plates, 5685 without noise, 5693 with 0.4 to 1.6.
        """
        keyed = []
        for item in self.out:
            factor = 700.0 + self._below(600) if noise else 1000.0
            keyed.append((-(factor if how == 4 else self._size(how, item) * factor), item))
        self.out = [item for _, item in sorted(keyed)]

    def _size(self, how: int, item: int) -> float:
        """What parts are ordered by (`_sort_out`), of a part's first way."""
        x, y = (float(each) for each in self.ways[item][0][:2])
        if how == 0:
            return x * y
        if how == 1:
            return x * x if x > y else y * y
        return x * x if how == 2 else y * y

    def _open_plate(self, item: int, out_area: int) -> bool:
        """Open the plate that uses most area for its cost; False where none can be had within the budget.

        The budget may stop a plate that the stock still has: a plan dearer than the best so far is of no use.

        Where there is a choice of stocks, a plate larger than what is still wanted (and a tenth more) counts no more
        than that, and each cost is shaken by a fifth either way: otherwise the same stock would win at every step.
        """
        stocks, starts = self.task.stocks, self.first_way[item]
        chosen, least = -1, 0.0
        for n, board in enumerate(stocks):
            if starts[n] == starts[n + 1]:
                continue
            if (board.limit is not None and self.used[n] >= board.limit) or board.cost > self.budget - self.cost:
                continue
            area, wanted = float(board.size[0]) * board.size[1], float(out_area) * 1.1
            use = wanted if len(stocks) > 1 and wanted < area else area
            dear = float(board.cost) * (80 + self._below(40) if len(stocks) > 1 else 100)
            # Use over cost compared as a product: a plate may cost nothing.
            if chosen < 0 or dear * least < use:
                chosen, least = n, (use / dear if dear > 0 else 1e300)
        if chosen < 0:
            return False
        # The number is touched so that later parts of this step try the new plate even where `near` leaves out others.
        self._touch(len(self.plates))
        self.plates.append(self._empty(chosen))
        self.used[chosen] += 1
        self.cost += stocks[chosen].cost
        return True

    def _drop_last(self) -> None:
        """Close the last plate, whose parts are out already, and give its cost back."""
        stock = self.plates.pop().stock
        self.used[stock] -= 1
        self.cost -= self.task.stocks[stock].cost

    def _in_plate(self, number: int, item: int, blink: bool, best: _Place) -> None:
        """Try a part in every free rectangle of a plate that has at least the part's area free.

        Most plates of a good layout are nearly full, so this one comparison saves most of the work.
        """
        plate = self.plates[number]
        x, y = self.task.stocks[plate.stock].size
        if x * y - plate.filled >= self.task.items[item].area:
            for node in range(len(plate.nodes)):
                self._consider(number, node, item, blink, best)

    def _rebuild(self, *, near: bool, blink: bool) -> None:
        """Recreate: each part without a place, in order, goes to its best place, or to a plate opened for it.

        Best of all plates together, not the first plate that has room: a good fit in a plate far down the list is what
        lets a plate be closed. A part without any place waits; later parts, smaller ones too, are tried all the same.
        With `near` only the plates taken apart and `NEAR` others in a row from a random one are tried.
        """
        out_area = self._out_area()
        begin = self._below(max(len(self.plates), 1)) if near else 0
        kept = []
        for item in self.out:
            best, count = _Place(), len(self.plates)
            if near and count > NEAR:
                # Plates of this step first: of equal scores the first stays, so holes just made are filled again first.
                ring = ((begin + j) % count for j in range(NEAR))
                numbers = [j for j in self.touched if j < count] + [j for j in ring if j not in self.is_touched]
            else:
                numbers = list(range(count))
            for number in numbers:
                self._in_plate(number, item, blink, best)
            if best.plate < 0 and self._open_plate(item, out_area):
                self._consider(len(self.plates) - 1, 0, item, False, best)
                if best.plate < 0:  # this plate cannot take it after all
                    self._drop_last()
            if best.plate < 0:
                kept.append(item)
                continue
            self._touch(best.plate)
            self._put(best, item)
            out_area -= self.task.items[item].area
        self.out = kept

    def _close_empty(self) -> None:
        """Close plates without parts, so that their cost is free for another stock."""
        # From the end, as the last plate takes the place of the one closed.
        for n in range(len(self.plates) - 1, -1, -1):
            if self.plates[n].parts == 0:
                self._touch(n)
                self._touch(len(self.plates) - 1)
                self._swap_with_last(n)
                self._drop_last()

    def _swap_with_last(self, n: int) -> None:
        """Bring a plate to the end, where it can be closed; no other plate changes its number but the last."""
        self.plates[n], self.plates[-1] = self.plates[-1], self.plates[n]

    def _out_area(self) -> int:
        """Area of the parts without a place: what the search drives to nothing."""
        return sum(self.task.items[item].area for item in self.out)

    def _keep_best(self) -> None:
        """Copy everything, as the plates go on changing; an answer is bettered far less often than tried."""
        self.best = [plate.copy() for plate in self.plates]
        self.best_cost, self.best_out, self.best_left = self.cost, self._out_area(), list(self.out)

    def _within_budget(self) -> None:
        """Close the plates that hold least for their cost until the rest is within the budget.

        Their parts go to the list without a place: that is the area which the next steps drive to nothing. Plates that
        cost nothing are closed last, as closing them saves nothing.
        """
        while self.plates and self.cost > self.budget:
            worst, least = -1, 0.0
            for n, plate in enumerate(self.plates):
                cost = float(self.task.stocks[plate.stock].cost)
                worth = plate.filled / cost if cost > 0 else 1e300
                if worst < 0 or worth < least:
                    worst, least = n, worth
            self._throw_out(self.plates[worst], 0, set())
            self._swap_with_last(worst)
            self._drop_last()
        self.current = self._out_area()
        # A new goal: areas under the old budget say nothing about it.
        self.history = [self.current] * HISTORY

    def _start_step(self) -> None:
        """Forget what was saved for the step before. Plates are saved only when first touched."""
        self.touched, self.is_touched, self.saved = [], set(), {}
        self.saved_open, self.saved_out = len(self.plates), list(self.out)

    def _undo(self) -> None:
        """Back to how the plates stood before the step: only what it touched is put back."""
        # Plates opened by the step go; for those closed by it, empty ones hold the place until what was saved is back.
        del self.plates[self.saved_open :]
        self.plates += [self._empty(0) for _ in range(len(self.plates), self.saved_open)]
        for number, plate in self.saved.items():
            self.plates[number] = plate
        self.out = list(self.saved_out)
        self.used, self.cost = [0] * len(self.task.stocks), 0
        for plate in self.plates:
            self.used[plate.stock] += 1
            self.cost += self.task.stocks[plate.stock].cost

    def _step(self) -> None:
        """One step: ruin, recreate, and late acceptance of the area without a place.

        A new best that places everything sets a new goal, one unit of cost lower, and the list of late acceptance
        begins anew with it: areas measured against another budget cannot be compared.
        """
        self._start_step()
        if self.plates:
            self._take_apart()
        self._close_empty()
        # One order in ten is wholly random, and the rule of placing is drawn anew too. Set by trial; the share matters
        # little (5692 plates, and 5681 with no random order, measured as `_take_apart` tells).
        self._sort_out(4 if self._below(10) == 0 else self._below(4), noise=True)
        self.rule = self._below(4)
        self._rebuild(near=True, blink=True)
        area = self._out_area()
        if area < self.best_out or (area == 0 and self.cost < self.best_cost):
            self._keep_best()
        if area == 0 and self.best_out == 0:
            self.budget = self.best_cost - 1
            self._within_budget()
            return
        # Late acceptance (Burke and Bykov): no worse than now, or than `HISTORY` steps ago.
        if area <= self.current or area <= self.history[self.at]:
            self.current = area
        else:
            self._undo()
        self.history[self.at] = self.current
        self.at = (self.at + 1) % HISTORY

    # steps by total: every part has its place, before and after

    def _start_by_total(self) -> None:
        """Back to the best plates, with no limit on their cost: a dearer plate may spare hands."""
        self.plates, self.out = [plate.copy() for plate in self.best], []
        self._start_step()
        self._undo()  # counts what is used
        self.budget = MANY
        self.best_total = self.current = self._total()
        self.history = [self.current] * HISTORY

    def _total(self) -> int:
        """Plate and hands together, in ticks; remembers the readings as they stand."""
        assert self.task.objective is not None
        filled = [FilledStock(plate.stock, self._tree(plate, 0)) for plate in self.plates]
        self.readings = self.task.objective.readings(filled)
        return self.task.objective.total(filled)

    def _take_kinds_apart(self) -> None:
        """Ruin: the copies of one part leave one or two plates, so that rows are made anew beside other neighbours."""
        item = -1
        for _ in range(1 + self._below(2)):
            number = self._below(len(self.plates))
            plate, gone = self.plates[number], set[int]()
            if plate.parts == 0:
                continue
            self._touch(number)
            draws = 0
            while item < 0 and draws < KIND_DRAWS:
                item, draws = plate.nodes[self._below(len(plate.nodes))].item, draws + 1
            if item < 0:
                return
            for n, node in enumerate(plate.nodes):
                if node.item == item:
                    self._throw_out(plate, n, gone)
            self._settle(number, gone)

    def _sort_kinds_out(self, how: int) -> None:
        """Order the parts without a place as `_sort_out` does, but copies of one part next to each other, for a row."""
        factors = [700.0 + self._below(600) for _ in self.task.items]
        keyed = []
        for item in self.out:
            keyed.append((-(factors[item] if how == 4 else self._size(how, item) * factors[item]), item))
        self.out = [item for _, item in sorted(keyed)]

    def _step_by_total(self) -> None:
        """One step: ruin, recreate, late acceptance of the total; a step that leaves a part without a place is
        undone.
        """
        self._start_step()
        if self._below(4) == 0:
            self._take_kinds_apart()
        else:
            self._take_apart()
        self._close_empty()
        self._sort_kinds_out(self._below(5))
        self.rule = HANDS if self._below(2) else self._below(4)
        self._rebuild(near=True, blink=True)
        total = MANY if self.out else self._total()
        if total < self.best_total:
            self._keep_best()
            self.best_total = total
        if total <= self.current or total <= self.history[self.at]:
            self.current = total
        else:
            self._undo()
        self.history[self.at] = self.current
        self.at = (self.at + 1) % HISTORY

    # in and out

    def _tree(self, plate: _Plate, number: int) -> Tree:
        """A node as a `Tree`, kerfs taken off."""
        node, kerf = plate.nodes[number], self.task.stocks[plate.stock].kerf
        if node.item >= 0:
            return Tree(node.x - kerf, node.y - kerf, node.item, self.ways[node.item][node.way][2])
        children, child = [], node.first
        while child >= 0:
            children.append(self._tree(plate, child))
            child = plate.nodes[child].next
        return cut_from(node.x - kerf, node.y - kerf, DIRECTIONS[node.along], children, kerf)

    def _read(self, plate: _Plate, parent: int, tree: Tree) -> None:
        """A `Tree` as nodes, kerfs added: the other way of `_tree`. Parent -1 = the whole plate."""
        kerf = self.task.stocks[plate.stock].kerf
        x, y, number = tree.length + kerf, tree.width + kerf, 0
        if tree.item is not None:
            above = plate.nodes[parent]
            self._add(plate, parent, above.along, x, y, tree.item, way_number(self.task, plate.stock, tree))
            plate.filled += x * y
            plate.parts += 1
            return
        along = 1 if tree.cut == "along" else 0
        if parent < 0:
            plate.nodes[0].along = along
        else:
            number = self._add(plate, parent, along, x, y, -1, 0)
        plate.nodes[number].rest = 0 if tree.left is None else tree.left + kerf
        for child in tree.children:
            self._read(plate, number, child)


def score_of(rule: int, e: int, c: int, a: int, b: int, option: int) -> float:
    """How badly a part of a x b goes into a free rectangle of e x c by one of two first cuts; the least is taken.

    Four rules, by number: 0 the area that loses its shape (square of the whole less the squares of the two rests), 1
    the tighter side first and the looser one where these are alike, 2 the area not covered and half the smaller rest,
    3 the narrower rest over its full length and the smaller rest. Each step draws one: measured as `_take_apart` tells,
    5692 plates, and 5700, 5701, 5692, 5697 with one rule for all steps. The weights 1000 and 0.5 are set by trial, not
    studied: 1000 makes the looser side a tie-break.

    >>> score_of(1, 100, 50, 90, 30, 1)  # 10 left along, 20 across
    10020.0
    """
    r, t = float(e - a), float(c - b)
    whole = float(e) * float(c)
    if option == 1:
        one, other = r * float(c), float(a) * t
    else:
        one, other = float(e) * t, r * float(b)
    small = min(one, other)
    least, most = (r, t) if r < t else (t, r)
    if rule == 0:
        return whole * whole - one * one - other * other
    if rule == 1:
        return least * 1000.0 + most
    if rule == 2:
        return whole - float(a) * float(b) + small * 0.5
    return least * float(c if r < t else e) + small
