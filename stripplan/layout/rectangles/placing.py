"""Where a part goes in the search of ruin and recreate: each free rectangle is tried, with two first cuts.

Sizes are in units and carry one kerf. Cost: the ways of the part, for every free rectangle it is tried in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stripplan.layout.rectangles.plate_nodes import SearchPlate
from stripplan.layout.rectangles.search_task import SearchStock, Task, way_starts

HANDS = 4
"""The rule of placing that asks what the hands do more (`Objective.more_hands`), beside those of `score_of`."""


@dataclass(slots=True)
class Place:
    """The best place found for a part: free rectangle (`plate`, `node`), first cut (`option`) and how it lies.

    `way` numbers the ways of the part over all stocks; `along` is the axis that an empty plate would be stacked along.
    """

    score: float = 1e300
    plate: int = -1
    node: int = 0
    option: int = 0
    way: int = 0
    along: int = 0


class Placing:
    """How a part finds its place in a plate, and how it is laid there.

    `below` draws a whole number below another. `rule` is the rule of the step (`score_of`, or `HANDS`); `readings` the
    readings of the fence that the plates have already, for `HANDS`.
    """

    def __init__(self, task: Task, below: Callable[[int], int]) -> None:
        self.task = task
        self.ways = [[way for ways in item.ways for way in ways] for item in task.items]
        self.first_way = [way_starts(item) for item in task.items]
        self.below = below
        self.rule = 0
        self.readings: frozenset[int] = frozenset()

    def consider(self, plate: SearchPlate, number: int, node_number: int, item: int, blink: bool, best: Place) -> None:
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
        (blinks: J. Christiaens, G. Vanden Berghe, Transportation Science 54 (2020) 417-433). Measured as
        `Search._take_apart` tells, 5692 plates so, 5686 without, 5697 with one in ten: few blinks do no harm, many do.
        """
        node = plate.nodes[node_number]
        if node.item >= 0 or node.rest <= 0:
            return
        stock, over = self.task.stocks[plate.stock], self.task.items[item].over
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
                if 0 < e - a < stock.gap:
                    if e - a > over:
                        continue
                    a = e
                if 0 < c - b < stock.gap:
                    if c - b > over:
                        continue
                    b = c
                # Drawn only for ways that fit: the compiled twin must draw as often, or the two part company.
                if blink and self.below(100) == 0:
                    continue
                depth = node.depth
                # Option 1. No cut is asked about where nothing would be left beyond it.
                if (a == e or self._cut_ok(stock, c, depth, a, e - a)) and (
                    b == c or self._cut_ok(stock, a, depth + 1, b, c - b)
                ):
                    score = self._score(plate.stock, e, c, a, b, 1)
                    # Less, not equal: of equal places the first stays, here and in the compiled twin.
                    if score < best.score:
                        best.score, best.plate, best.node = score, number, node_number
                        best.option, best.way, best.along = 1, way, along
                if (
                    not empty
                    and a < e
                    and b < c
                    and self._cut_ok(stock, e, depth + 1, b, c - b)
                    and self._cut_ok(stock, b, depth + 2, a, e - a)
                ):
                    score = self._score(plate.stock, e, c, a, b, 2)
                    if score < best.score:
                        best.score, best.plate, best.node = score, number, node_number
                        best.option, best.way, best.along = 2, way, along

    def _score(self, stock: int, e: int, c: int, a: int, b: int, option: int) -> float:
        """How badly a place serves, by the rule of this step."""
        if self.rule != HANDS:
            return score_of(self.rule, e, c, a, b, option)
        assert self.task.objective is not None
        return self.task.objective.more_hands(stock, self.readings, e, c, a, b, option)

    def _cut_ok(self, stock: SearchStock, travel: int, depth: int, one: int, other: int) -> bool:
        """`Limits.cut_ok` for sizes that carry a kerf, and the job's depth. `one`, `other` are the two pieces.

        Each size asked about has its own kerf taken off first; `one + other - kerf` is thus the piece that is cut.
        Where no cut of `travel` is made in two passes, nothing is turned over, and `turnable` does not matter.
        """
        most, kerf = self.task.depth, stock.kerf
        if not stock.cuttable or travel - kerf > stock.longest or (most is not None and depth > most):
            return False
        turned = stock.turnable is not None and travel - kerf > stock.one_pass
        if turned and (travel - kerf) * (one + other - kerf) > (stock.turnable or 0):
            return False
        return stock.split_ok(one - kerf, other - kerf)

    def put(self, plate: SearchPlate, at: Place, item: int) -> None:
        """Lay a part where `consider` found a place: up to two new blanks round it, then the part itself.

        What `consider` rounded up because of a sliver is rounded up here again: a place holds no sizes of its own.
        """
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
            number = plate.add(number, 1 - d, size[0], size[1], -1, 0)
            plate.nodes[number].rest = c - b
            size[1 - d] = b
        if at.option == 2:
            number = plate.add(number, d, size[0], size[1], -1, 0)
            plate.nodes[number].rest = e - a
            size[d] = a
        plate.add(number, d, size[0], size[1], item, at.way)
        plate.filled += a * b
        plate.parts += 1


def score_of(rule: int, e: int, c: int, a: int, b: int, option: int) -> float:
    """How badly a part of a x b goes into a free rectangle of e x c by one of two first cuts; the least is taken.

    Four rules, by number: 0 the area that loses its shape (square of the whole less the squares of the two rests), 1
    the tighter side first and the looser one where these are alike, 2 the area not covered and half the smaller rest,
    3 the narrower rest over its full length and the smaller rest. Each step draws one: measured as
    `Search._take_apart` tells, 5692 plates, and 5700, 5701, 5692, 5697 with one rule for all steps. The weights 1000
    and 0.5 are set by trial, not studied: 1000 makes the looser side a tie-break.

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
