"""Problems from bare numbers, and an enumeration of guillotine layouts for tiny ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import combinations

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Item, Problem, Stock
from stripplan.model.cut_rules import CutRules
from stripplan.model.plate import Plate

FREE = CutRules(
    kerf=0, longest_one_pass=1e9, longest_two_pass=1e9, narrowest_offcut=0, fence_min=0, fence_max=1e9, marked=True
)


def stock(number: int, length: int, width: int, *, kerf: int, cost: float, limit: int | None) -> Stock:
    """Plates without trims and without limits of a rig."""
    plate = Plate(name=f"plate {number}", length=length, width=width, quantity=limit)
    return Stock(number, plate, replace(FREE, kerf=float(kerf)), cost)


def problem(
    plates: Sequence[tuple[int, int]],
    items: Sequence[tuple[int, int, int]],
    *,
    turn: bool | Sequence[bool] = False,
    kerf: int = 0,
    costs: Sequence[float] = (),
    limits: Sequence[int | None] = (),
) -> Problem:
    """A problem from plate sizes and (length, width, demand); `turn` for all items or each."""
    stocks = tuple(
        stock(n, *size, kerf=kerf, cost=costs[n] if costs else 1.0, limit=limits[n] if limits else None)
        for n, size in enumerate(plates)
    )
    turns = [turn] * len(items) if isinstance(turn, bool) else turn
    made = []
    for n, ((length, width, demand), may_turn) in enumerate(zip(items, turns, strict=True)):
        ways = [(length, width, False), *([(width, length, True)] if may_turn and length != width else [])]
        sizes = tuple(tuple(way for way in ways if way[0] <= s.length and way[1] <= s.width) for s in stocks)
        made.append(Item(n, demand, sizes, 0, False))
    return Problem(Grid(Fraction(1)), tuple(made), stocks, (0, 0), None)


def least(asked: Problem) -> tuple[int | None, float | None]:
    """Fewest plates, and least cost, by trying every guillotine layout; None where it cannot be made."""
    pieces = [item for item in asked.items for _ in range(item.demand)]
    full = (1 << len(pieces)) - 1
    fits = [_sets_that_fit(s, [item.sizes[n] for item in pieces]) for n, s in enumerate(asked.stocks)]
    return _cheapest(asked, fits, full, [1.0] * len(fits)), _cheapest(asked, fits, full, [s.cost for s in asked.stocks])


def _cheapest(asked: Problem, fits: list[set[int]], full: int, prices: list[float]) -> float | None:
    """Least price of plates that together hold all pieces, stock limits kept."""
    none_left = tuple(-1 if s.limit is None else s.limit for s in asked.stocks)

    @cache
    def rest(left: int, room: tuple[int, ...]) -> float | None:
        if left == 0:
            return 0
        first = left & -left
        best: float | None = None
        for n, sets in enumerate(fits):
            after = tuple(r - 1 if m == n and r > 0 else r for m, r in enumerate(room))
            for pieces in sets if room[n] != 0 else ():
                if pieces & first and pieces & left == pieces:
                    more = rest(left ^ pieces, after)
                    if more is not None and (best is None or more + prices[n] < best):
                        best = more + prices[n]
        return best

    return rest(full, none_left)


def _sets_that_fit(plate: Stock, ways: list[tuple[tuple[int, int, bool], ...]]) -> set[int]:
    """Sets of pieces (bit masks) that one plate holds: a piece alone, or two sets on either side of a cut."""

    @cache
    def fit(pieces: tuple[int, ...], length: int, width: int) -> bool:
        if length <= 0 or width <= 0:
            return False
        if len(pieces) == 1:
            return any(x <= length and y <= width for x, y, _ in ways[pieces[0]])
        for one, other in _shares(pieces):
            for at in range(1, length - plate.kerf):
                if fit(one, at, width) and fit(other, length - at - plate.kerf, width):
                    return True
            for at in range(1, width - plate.kerf):
                if fit(one, length, at) and fit(other, length, width - at - plate.kerf):
                    return True
        return False

    every = [c for size in range(1, len(ways) + 1) for c in combinations(range(len(ways)), size)]
    return {sum(1 << n for n in pieces) for pieces in every if fit(pieces, plate.length, plate.width)}


def _shares(pieces: tuple[int, ...]) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """All ways to share pieces out to two sides; which side is which makes no difference."""
    found = []
    for choice in range(1 << (len(pieces) - 1)):
        other = tuple(p for n, p in enumerate(pieces[1:]) if choice >> n & 1)
        if other:
            found.append((tuple(p for p in pieces if p not in other), other))
    return found
