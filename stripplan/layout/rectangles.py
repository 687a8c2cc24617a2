"""Rectangles: guillotine layouts of any depth by construction and repair; not exact.

Construction: items in an order (large first, with noise) each go into the free rectangle where they fit
tightest; what remains beside and beyond is split off by one of two cuts. A free rectangle is only taken
where what remains is legal (nothing, or kerf and the narrowest offcut) and the rig can make both cuts.
Repair: a few plates are taken apart and rebuilt, and the new layout is kept where it is no worse
(ruin and recreate: G. Schrimpf and others, J. Computational Physics 159 (2000) 139-171).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from ..model.legal import cut_is_legal, lies_on_rig, split_is_legal
from ..model.pattern import Direction
from .problem import Problem, Stock


@dataclass(eq=False)
class Rect:
    """A rectangle of a layout in units: free, filled by an item, or cut into `first` (small end) and `rest`."""

    length: int
    width: int
    depth: int
    came_by: Direction | None
    item: int | None = None
    turned: bool = False
    over: tuple[int, int] = (0, 0)
    cut: Direction | None = None
    first: Rect | None = None
    rest: Rect | None = None


@dataclass(eq=False)
class Sheet:
    """One plate being filled."""

    stock: int
    root: Rect
    free: list[Rect]
    items: list[int] = field(default_factory=list)
    filled: int = 0


@dataclass(frozen=True)
class Place:
    """How an item goes into a free rectangle: extents, surplus left on it, direction of the first cut."""

    length: int
    width: int
    turned: bool
    over: tuple[int, int]
    first_cut: Direction | None


class Builder:
    """Puts items into plates by the rules of one problem."""

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self.problem = problem
        self.chance = chance
        self.unit = float(problem.grid.unit)
        self._cut_known: dict[tuple[int, int, int, int], bool] = {}

    def build(self, todo: Sequence[int], sheets: list[Sheet], room: list[int | None]) -> list[int]:
        """Place items in the given order, opening plates while `room` allows; what could not be placed."""
        short = []
        for item in todo:
            if not self._into_open(item, sheets) and not self._into_new(item, sheets, room):
                short.append(item)
        return short

    def _into_open(self, item: int, sheets: list[Sheet]) -> bool:
        best: tuple[float, Sheet, Rect, Place] | None = None
        for sheet in sheets:
            for rect in sheet.free:
                for place in self._places(sheet.stock, item, rect):
                    score = self._score(rect, place)
                    if best is None or score < best[0]:
                        best = (score, sheet, rect, place)
        if best is None:
            return False
        self._put(best[1], best[2], item, best[3])
        return True

    def _score(self, rect: Rect, place: Place) -> float:
        beside, beyond = rect.length - place.length, rect.width - place.width
        tight = min(beside, beyond)
        area = rect.length * rect.width
        return (
            tight + 0.15 * max(beside, beyond) + area * 1e-9 + self.chance.random() * 0.03 * (rect.length + rect.width)
        )

    def _into_new(self, item: int, sheets: list[Sheet], room: list[int | None]) -> bool:
        choices = []
        for number, stock in enumerate(self.problem.stocks):
            left = room[number]
            if left == 0:
                continue
            root = Rect(stock.length, stock.width, 0, None)
            places = list(self._places(number, item, root))
            if places:
                price = stock.cost / (stock.length * stock.width)
                choices.append((price * (1 + 0.2 * self.chance.random()), number, root, places))
        if not choices:
            return False
        _, number, root, places = min(choices, key=lambda each: each[:2])
        left = room[number]
        if left is not None:
            room[number] = left - 1
        sheet = Sheet(number, root, [root])
        sheets.append(sheet)
        self._put(sheet, root, item, min(places, key=lambda place: self._score(root, place)))
        return True

    def _places(self, stock_number: int, item: int, rect: Rect) -> list[Place]:
        stock = self.problem.stocks[stock_number]
        over = self.problem.items[item].over
        found = []
        for length, width, turned in self.problem.items[item].sizes[stock_number]:
            beside, beyond = rect.length - length, rect.width - width
            if beside < 0 or beyond < 0:
                continue
            over_x, over_y = self._surplus(stock, beside, over), self._surplus(stock, beyond, over)
            if over_x is None or over_y is None:
                continue
            for cut in self._cuts(stock, rect, length + over_x, width + over_y):
                found.append(Place(length, width, turned, (over_x, over_y), cut))
        return found

    def _surplus(self, stock: Stock, slack: int, over: int) -> int | None:
        """0 where the slack may be cut off, the slack itself where it may stay on the part, else None."""
        if stock.rest_ok(slack):
            return 0
        return slack if slack <= over else None

    def _cuts(self, stock: Stock, rect: Rect, length: int, width: int) -> list[Direction | None]:
        """Directions of the first cut that make both cuts legal; [None] where no cut is needed."""
        beside, beyond = rect.length - length, rect.width - width
        if beside == 0 and beyond == 0:
            return [None]
        found: list[Direction | None] = []
        if beyond > 0 and self._one_cut(stock, rect, "along", width):
            below = Rect(rect.length, width, self._depth(rect, "along"), "along")
            if beside == 0 or self._one_cut(stock, below, "across", length):
                found.append("along")
        if beside > 0 and self._one_cut(stock, rect, "across", length):
            left = Rect(length, rect.width, self._depth(rect, "across"), "across")
            if beyond == 0 or self._one_cut(stock, left, "along", width):
                found.append("across")
        return found

    def _depth(self, rect: Rect, cut: Direction) -> int:
        return rect.depth + (rect.came_by != cut)

    def _one_cut(self, stock: Stock, rect: Rect, cut: Direction, size: int) -> bool:
        if self.problem.depth is not None and self._depth(rect, cut) > self.problem.depth:
            return False
        travel, across = (rect.length, rect.width) if cut == "along" else (rect.width, rect.length)
        key = (stock.plate, travel, across, size)
        known = self._cut_known.get(key)
        if known is None:
            unit, rules = self.unit, stock.rules
            known = self._cut_known[key] = (
                cut_is_legal(rules, travel * unit)
                and lies_on_rig(rules, travel * unit, across * unit)
                and split_is_legal(rules, size * unit, (across - size) * unit - rules.kerf)
            )
        return known

    def _put(self, sheet: Sheet, rect: Rect, item: int, place: Place) -> None:
        kerf = self.problem.stocks[sheet.stock].kerf
        sheet.free.remove(rect)
        sheet.items.append(item)
        sheet.filled += place.length * place.width
        length, width = place.length + place.over[0], place.width + place.over[1]
        cut, inner = place.first_cut, rect
        while inner.length != length or inner.width != width:
            if cut is None:
                cut = "along" if inner.width != width else "across"
            inner = self._split(sheet, inner, cut, width if cut == "along" else length, kerf)
            cut = None
        inner.item, inner.turned, inner.over = item, place.turned, place.over

    def _split(self, sheet: Sheet, rect: Rect, cut: Direction, size: int, kerf: int) -> Rect:
        depth = self._depth(rect, cut)
        rect.cut = cut
        if cut == "along":
            rect.first = Rect(rect.length, size, depth, cut)
            rect.rest = Rect(rect.length, rect.width - size - kerf, depth, cut)
        else:
            rect.first = Rect(size, rect.width, depth, cut)
            rect.rest = Rect(rect.length - size - kerf, rect.width, depth, cut)
        if rect.rest.length > 0 and rect.rest.width > 0:
            sheet.free.append(rect.rest)
        return rect.first


@dataclass(frozen=True)
class Answer:
    """Plates filled, items (by number, one entry each) that found no place, and search steps done."""

    sheets: list[Sheet]
    short: list[int]
    steps: int


def solve_rectangles(problem: Problem, *, seed: int, steps: int, out_of_time: Callable[[], bool]) -> Answer:
    """The cheapest layout found; of equally cheap ones that with the largest offcut on one plate."""
    chance = random.Random(seed)
    builder = Builder(problem, chance)
    todo = [number for number, item in enumerate(problem.items) for _ in range(item.demand)]
    best = _fresh(problem, builder, todo, noise=0.0)
    now, done = best, 0
    now_rank = best_rank = _rank(problem, best)
    while done < steps and not out_of_time():
        done += 1
        if done % 4 == 1 and done <= steps // 2:
            found = _fresh(problem, builder, todo, noise=0.3)
        else:
            found = _rebuilt(problem, builder, now)
        rank = _rank(problem, found)
        if rank <= now_rank:
            now, now_rank = found, rank
        if rank < best_rank:
            best, best_rank = found, rank
    return Answer(_cheaper_stocks(problem, builder, best.sheets), best.short, done)


def _fresh(problem: Problem, builder: Builder, todo: list[int], noise: float) -> Answer:
    room = [stock.limit for stock in problem.stocks]
    sheets: list[Sheet] = []
    short = builder.build(_ordered(problem, builder, todo, noise), sheets, room)
    return Answer(sheets, short, 0)


def _ordered(problem: Problem, builder: Builder, todo: Sequence[int], noise: float) -> list[int]:
    """Largest first; the same item's copies stay together, so that rows of alike parts form."""
    kinds = sorted(set(todo))
    key = {}
    for number in kinds:
        ways = [way for stock in problem.items[number].sizes for way in stock]
        size = max((max(way[0], way[1]) for way in ways), default=0)
        area = max((way[0] * way[1] for way in ways), default=0)
        key[number] = -((area * size) ** 0.5) * (1 + noise * (builder.chance.random() - 0.5) * 2)
    return sorted(todo, key=lambda number: (key[number], number))


def _rebuilt(problem: Problem, builder: Builder, now: Answer) -> Answer:
    """Take the emptiest plate and one or two others apart and build them anew."""
    if not now.sheets:
        return now
    chance = builder.chance
    fill = [sheet.filled / (sheet.root.length * sheet.root.width) for sheet in now.sheets]
    out = {min(range(len(fill)), key=lambda n: (fill[n], n))}
    while len(out) < min(len(fill), 1 + chance.randint(1, 2)):
        out.add(chance.randrange(len(fill)))
    kept = [sheet for n, sheet in enumerate(now.sheets) if n not in out]
    todo = [item for n in sorted(out) for item in now.sheets[n].items] + now.short
    room = [stock.limit for stock in problem.stocks]
    for sheet in kept:
        left = room[sheet.stock]
        if left is not None:
            room[sheet.stock] = left - 1
    opened: list[Sheet] = []
    short = builder.build(_ordered(problem, builder, todo, noise=0.5), opened, room)
    return Answer(kept + opened, short, 0)


def _rank(problem: Problem, answer: Answer) -> tuple[int, float, float]:
    """Fewest parts short, then least cost, then a large free rectangle and unevenly filled plates, weighed together."""
    cost = sum(problem.stocks[sheet.stock].cost for sheet in answer.sheets)
    largest = max((rect.length * rect.width for sheet in answer.sheets for rect in sheet.free), default=0)
    uneven = sum((sheet.filled / (sheet.root.length * sheet.root.width)) ** 2 for sheet in answer.sheets)
    scale = max((stock.length * stock.width for stock in problem.stocks), default=1)
    return (len(answer.short), round(cost, 9), -largest / scale - 0.5 * uneven)


def _cheaper_stocks(problem: Problem, builder: Builder, sheets: list[Sheet]) -> list[Sheet]:
    """Move each plate's parts to a cheaper plate where they all fit one."""
    used = [sum(sheet.stock == n for sheet in sheets) for n in range(len(problem.stocks))]
    result = []
    for sheet in sheets:
        by_cost = sorted(range(len(problem.stocks)), key=lambda n: (problem.stocks[n].cost, n))
        for number in by_cost:
            stock = problem.stocks[number]
            if stock.cost >= problem.stocks[sheet.stock].cost - 1e-12:
                break
            if stock.limit is not None and used[number] >= stock.limit:
                continue
            smaller = _all_in_one(problem, builder, sheet.items, number)
            if smaller is not None:
                used[sheet.stock] -= 1
                used[number] += 1
                sheet = smaller
                break
        result.append(sheet)
    return result


def _all_in_one(problem: Problem, builder: Builder, items: list[int], stock: int) -> Sheet | None:
    room: list[int | None] = [1 if n == stock else 0 for n in range(len(problem.stocks))]
    for noise in (0.0, 0.3, 0.6, 0.9):
        sheets: list[Sheet] = []
        if not builder.build(_ordered(problem, builder, items, noise), sheets, list(room)):
            return sheets[0]
    return None
