"""Lower bounds on plates and cost, each saying how it was got.

All are taken on the relaxed problem: kerf and compulsory trims kept; narrowest offcut, stroke, reach and mass
dropped. So they hold for every legal plan, of any depth of cutting.

A bound comes from a `Worth`: values of the parts such that parts which lie together on one plate of stock s are
never worth more than h(s). If n(s) plates of each stock make all parts, then sum n(s) h(s) is at least what all
parts are worth, and n(s) keeps its limit: the least number and the least cost of plates under these two rules
are bounds (for the cost in parts of plates, raised to the next sum of plate costs). One kerf is added to plates
and parts, half of it on each side: then kerfs between parts are metal of the parts, and the kerf beyond the
last part is the plate's.

- material bound: a part is worth its area;
- dual feasible functions: a part is worth its least value in mixes of pairs of such functions (`dual_pairs`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stripplan.layout.bounds.dual_pairs import Face, Kind, Worth, faces_of, kinds_of, mixed_worth, simple_worth
from stripplan.layout.grid import exact, rounded_to_costs
from stripplan.layout.problem import Problem
from stripplan.wording.message import Message

MATERIAL = Message("bound_material")
FUNCTIONS = Message("bound_functions")
MOST_ROWS = 4_000
"""Largest linear programme of mixes (kinds of part x stocks) that is tried: a better bound against its time.
Set by trial, not studied."""
MOST_TOTALS = 200_000
"""Sums of plate costs up to so many times their greatest common divisor are all tried, as bits of one number;
beyond, the bound is raised less. Set by trial, not studied."""


@dataclass(frozen=True)
class LayoutBound:
    """At least so many plates, at least so much cost. Exact: a float on the way could round it up past the truth."""

    plates: int
    plates_how: Message
    cost: Fraction
    cost_how: Message


def material_bound(problem: Problem) -> LayoutBound:
    """Metal alone: each part takes (x + kerf)(y + kerf) of a plate's (length + kerf)(width + kerf).

    The kerfs between parts belong half to each; a plate widened by one kerf holds them all.
    """
    return _bound_of(problem, _material(problem), MATERIAL)


def _material(problem: Problem) -> Worth:
    return Worth(*problem.metal)


def layout_bound(problem: Problem) -> LayoutBound:
    """The best of the material bound and the bounds by dual feasible functions; of equals the simpler.

    Mixes of functions are chosen by floats, but the bound is made of them in whole numbers, so it holds all the
    same.
    """
    bound = material_bound(problem)
    kinds = kinds_of(problem)
    for worth in _worths(problem, kinds, faces_of(problem, kinds)):
        bound = better_of(bound, _bound_of(problem, worth, FUNCTIONS))
    return bound


def better_of(one: LayoutBound, other: LayoutBound) -> LayoutBound:
    """The greater plates and the greater cost, each with how it was got; of equals those of `one`."""
    plates, cost = (other if other.plates > one.plates else one), (other if other.cost > one.cost else one)
    return LayoutBound(plates.plates, plates.plates_how, cost.cost, cost.cost_how)


def _worths(problem: Problem, kinds: Sequence[Kind], faces: Sequence[Face]) -> list[Worth]:
    if not faces:
        return []
    alone = len(faces) == 1
    found = [simple_worth(problem, kinds, faces[0])] if alone else []
    done = alone and (faces[0].square or not faces[0].turns.any())
    if done or sum(len(face.kinds) for face in faces) > MOST_ROWS:
        return found
    # Two mixes, one that counts plates and one that counts cost; where all cost the same, they are one.
    counted = [1.0] * len(problem.stocks)
    costs = [stock.cost for stock in problem.stocks]
    for prices in [counted] if len(set(costs)) == 1 else [counted, costs]:
        worth = mixed_worth(problem, kinds, faces, prices)
        found += [worth] if worth is not None else []
    return found


def plates_missing(problem: Problem) -> int:
    """At least so many plates more than the stock holds are needed; 0 = the bounds tell of none.

    Only parts count that cannot come from a stock without limit; the plates added may be of any stock.
    """
    scarce = [n for n, stock in enumerate(problem.stocks) if stock.limit is not None]
    items = [item for item in problem.items if not any(w for n, w in enumerate(item.bound_sizes) if n not in scarce)]
    if not scarce or not items:
        return 0
    part = replace(
        problem,
        stocks=tuple(problem.stocks[n] for n in scarce),
        items=tuple(replace(item, sizes=tuple(item.bound_sizes[n] for n in scarce), bare=()) for item in items),
    )
    # Values are found as if there were enough, and then held against what there is.
    freely = replace(part, stocks=tuple(stock.limited(None) for stock in part.stocks))
    kinds = kinds_of(freely)
    worths = (_material(freely), *_worths(freely, kinds, faces_of(freely, kinds)))
    return max(_missing(part, worth) for worth in worths)


def _missing(problem: Problem, worth: Worth) -> int:
    there = sum(hold * (stock.limit or 0) for hold, stock in zip(worth.holds, problem.stocks, strict=True))
    most = max(worth.holds)
    return max(0, -(-(worth.need - there) // most)) if most else 0


def _bound_of(problem: Problem, worth: Worth, how: Message) -> LayoutBound:
    costs, limits = [stock.cost for stock in problem.stocks], [stock.limit for stock in problem.stocks]
    plates = _fewest(worth.need, worth.holds, limits)
    cost = next_total(_cheapest(worth.need, worth.holds, costs, limits), costs, limits)
    return LayoutBound(plates, how, cost, how)


def next_total(bound: Fraction, costs: Sequence[float], limits: Sequence[int | None]) -> Fraction:
    """The bound raised to the next sum of plate costs: no plan costs anything between.

    All sums are tried where the bound is within `MOST_TOTALS` of the costs' greatest common divisor;
    beyond that, and where the limits leave no greater sum, it is raised to a multiple of the divisor.

    >>> next_total(Fraction(15), [10.0, 7.0], [None, None])
    Fraction(17, 1)
    """
    multiple = rounded_to_costs(bound, costs)
    paid = [(exact(cost), limit) for cost, limit in zip(costs, limits, strict=True) if cost > 0]
    if not paid:
        return bound
    bottom = math.lcm(*(cost.denominator for cost, _ in paid))
    divisor = Fraction(math.gcd(*(int(cost * bottom) for cost, _ in paid)), bottom)
    least, most = int(multiple / divisor), int((multiple + max(cost for cost, _ in paid)) / divisor)
    if most > MOST_TOTALS:
        return multiple
    sums = _sums([(int(cost / divisor), limit) for cost, limit in paid], most) >> least
    return multiple if sums == 0 else (least + (sums & -sums).bit_length() - 1) * divisor


def _sums(costs: Sequence[tuple[int, int | None]], most: int) -> int:
    """Bit n is set where some plates cost n together, up to `most`; each cost above 0, with how many there are.

    >>> [n for n in range(11) if _sums([(3, None), (5, 1)], 10) >> n & 1]
    [0, 3, 5, 6, 8, 9]
    """
    sums, inside = 1, (1 << (most + 1)) - 1
    for cost, limit in costs:
        left = most // cost if limit is None else min(limit, most // cost)
        step = 1
        while left > 0:
            taken = min(step, left)
            sums |= (sums << (cost * taken)) & inside
            left, step = left - taken, 2 * step
    return sums


def _fewest(need: int, areas: Sequence[int], limits: Sequence[int | None]) -> int:
    """The least number of plates that hold the need, by what each holds: the largest first. Limits are kept.

    Where all the stock is too little it is the number of all of it, which is a bound still.

    >>> _fewest(10, [4, 3], [1, None])
    3
    """
    count = 0
    for area, limit in sorted(zip(areas, limits, strict=True), key=lambda each: -each[0]):
        if need <= 0 or area <= 0:
            break
        wanted = -(-need // area)
        used = wanted if limit is None else min(limit, wanted)
        count += used
        need -= used * area
    return count


def _cheapest(need: int, areas: Sequence[int], costs: Sequence[float], limits: Sequence[int | None]) -> Fraction:
    """Cheapest metal first, the last plate in part: the least cost of the need where plates may be divided.

    >>> _cheapest(10, [4, 3], [4.0, 6.0], [1, None])
    Fraction(16, 1)
    """
    total, left = Fraction(0), Fraction(need)
    real = ((exact(c), a, n) for c, a, n in zip(costs, areas, limits, strict=True) if a > 0)
    for cost, area, limit in sorted(real, key=lambda each: each[0] / each[1]):
        used = left / area if limit is None else min(left / area, Fraction(limit))
        total += used * cost
        left -= used * area
        if left <= 0:
            break
    return total


def tightened(bound: LayoutBound, problem: Problem, cost: Fraction, how: Message) -> LayoutBound:
    """The better of a bound and another bound on cost; with one price for all plates it bounds plates too."""
    costs = {exact(stock.cost) for stock in problem.stocks}
    plates, plates_how = bound.plates, bound.plates_how
    if len(costs) == 1 and min(costs) > 0:
        by_cost = math.ceil(cost / min(costs))
        if by_cost > plates:
            plates, plates_how = by_cost, how
    if cost > bound.cost:
        return LayoutBound(plates, plates_how, cost, how)
    return LayoutBound(plates, plates_how, bound.cost, bound.cost_how)
