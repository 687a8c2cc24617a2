"""From fractions to whole plates: dive with re-pricing, then branch and bound over the columns if a gap is left.

The dive fixes whole parts of the linear programme's answer (or its largest fraction), takes what they make
off the demands and generates columns anew for the rest; columns never make more than is still wanted.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .generate import StripWorld, cost_bound, first_columns, generate
from .grid import exact, rounded_to_costs
from .master import Column, Master, whole_numbers


@dataclass(frozen=True)
class StripAnswer:
    """Columns and how often; what could not be made for want of stock; the bound on cost; search steps done."""

    uses: tuple[tuple[Column, int], ...]
    short: tuple[int, ...]
    bound: Fraction
    steps: int


def solve_strips(
    world: StripWorld, *, steps: int | None, out_of_time: Callable[[], bool], enough: Fraction = Fraction(0)
) -> StripAnswer:
    """Least cost, or near: proven best when the cost of the answer meets the bound.

    `enough` is a lower bound known beforehand; a first-fit answer that meets it needs no more work.
    """
    quick = first_fit(world)
    if quick is not None and cost_of(world, quick) <= enough:
        return StripAnswer(tuple(quick.items()), (0,) * len(world.demands), enough, 0)
    master = Master(world.demands, world.costs, world.limits)
    first_columns(world, master)
    bound = rounded_to_costs(cost_bound(world, generate(world, master, world.demands)), world.costs)
    uses, short = dive(world, master)
    answer = StripAnswer(tuple(uses.items()), tuple(short), bound, 1)
    limit = 3 if steps is None else steps
    if cost_of(world, uses) > bound and not any(short) and limit > 0 and not out_of_time():
        better = _by_branching(world, master, uses, nodes=200 * limit)
        if better is not None:
            answer = StripAnswer(tuple(better.items()), tuple(short), bound, 2)
    return answer


def first_fit(world: StripWorld) -> Counter[Column] | None:
    """First fit, widest first, on plates of one stock without limit; None where that leaves an illegal sliver."""
    if len(world.costs) > 1 or sum(world.demands) > 2000 or not all(item.sizes[0] for item in world.problem.items):
        return None
    stock = world.problem.stocks[0]
    width = [item.sizes[0][0][1] + stock.kerf for item in world.problem.items]
    plates: list[list[int]] = []
    room: list[int] = []
    for item in sorted(range(len(width)), key=lambda n: (-width[n], n)):
        for _ in range(world.demands[item]):
            at = next((n for n, left in enumerate(room) if left >= width[item]), len(room))
            if at == len(room):
                plates.append([0] * len(width))
                room.append(stock.width + stock.kerf)
            plates[at][item] += 1
            room[at] -= width[item]
    if stock.limit is not None and len(plates) > stock.limit:
        return None
    return Counter(Column(0, tuple(counts)) for counts in plates) if all(world.legal(0, c) for c in plates) else None


def cost_of(world: StripWorld, uses: Counter[Column]) -> Fraction:
    """Cost of all plates used, exact."""
    return sum((exact(world.costs[column.stock]) * n for column, n in uses.items()), Fraction(0))


def dive(world: StripWorld, master: Master) -> tuple[Counter[Column], list[int]]:
    """Whole plates by fixing and pricing again; also what is short where the stock is used up."""
    left, limits = list(world.demands), list(world.limits)
    uses: Counter[Column] = Counter()
    while any(left):
        master.set_demands(left, limits)
        fixed = _to_fix(master.columns, generate(world, master, left).use, left, limits)
        if not fixed:
            break
        for column, times in fixed.items():
            uses[column] += times
            for item, count in enumerate(column.counts):
                left[item] -= count * times
            limit = limits[column.stock]
            if limit is not None:
                limits[column.stock] = limit - times
    master.set_demands(world.demands, world.limits)
    return uses, left


def _to_fix(
    columns: Sequence[Column], use: Sequence[float], left: Sequence[int], limits: Sequence[int | None]
) -> dict[Column, int]:
    """All whole parts of the answer, else the largest fraction (of equals the fullest column)."""
    room, limit = list(left), list(limits)
    fixed: dict[Column, int] = {}
    by_use = sorted(range(len(columns)), key=lambda n: (-use[n], -sum(columns[n].counts), n))
    for number in by_use:
        if use[number] < 1e-6:
            break
        column = columns[number]
        times = math.floor(use[number] + 1e-6)
        if times == 0:
            if fixed:
                break
            times = 1
        times = min([times, *(room[i] // n for i, n in enumerate(column.counts) if n)])
        stock_limit = limit[column.stock]
        if stock_limit is not None:
            times = min(times, stock_limit)
            limit[column.stock] = stock_limit - times
        if times > 0:
            fixed[column] = times
            room = [each - times * n for each, n in zip(room, column.counts, strict=True)]
    return fixed


def _by_branching(world: StripWorld, master: Master, uses: Counter[Column], nodes: int) -> Counter[Column] | None:
    """A cheaper whole-number answer over all columns seen, with what they make too much of taken out again."""
    now = float(cost_of(world, uses))
    times = whole_numbers(world.demands, world.costs, world.limits, master.columns, nodes=nodes, below=now)
    if times is None:
        return None
    return _without_surplus(world, Counter({c: n for c, n in zip(master.columns, times, strict=True) if n > 0}))


def _without_surplus(world: StripWorld, uses: Counter[Column]) -> Counter[Column] | None:
    """Exactly what is wanted, or None where taking a strip out would leave an illegal sliver."""
    made = [sum(column.counts[i] * n for column, n in uses.items()) for i in range(len(world.demands))]
    plates = [column for column in sorted(uses, key=lambda c: (c.stock, c.counts)) for _ in range(uses[column])]
    for item, demand in enumerate(world.demands):
        for at in range(len(plates) - 1, -1, -1):
            counts = list(plates[at].counts)
            out = min(made[item] - demand, counts[item])
            while out > 0:
                counts[item] = plates[at].counts[item] - out
                if world.legal(plates[at].stock, counts):
                    plates[at] = Column(plates[at].stock, tuple(counts))
                    made[item] -= out
                    break
                out -= 1
        if made[item] != demand:
            return None
    return Counter(plate for plate in plates if any(plate.counts))
