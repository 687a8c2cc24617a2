"""The order of jobs as a problem, and its form in whole numbers.

Problem: n jobs, each done once. A job costs what it costs straight after another, `costs[i][j]` for j after i, or as
the first, `first[j]`. Some jobs must come before others. Wanted is the order of least total cost. (In the literature:
sequential ordering, or asymmetric travelling salesman path with precedence.)

Inside, costs are whole numbers and sets of jobs are bits of a number. The door, job number n, stands for start and end.
"""

from __future__ import annotations

import graphlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

FINEST, MOST_UNITS = 6, 1 << 40
"""Decimals kept of a cost that is not whole; what an order may cost at most, in units: then sums with gifts
in `bound.FINE` parts still fit 64 bits.

More decimals would leave fewer costs rounded, and so fewer answers without a proof, but would reach the most
units sooner: costs beyond that are taken in coarser units. Six decimals: not studied. The most is far from
the edge: in `bound.FINE` parts it is 2^46, and a walk that cannot be (`bound.NEVER`) stands at 2^60.
"""


@dataclass(frozen=True)
class Ordering:
    """Jobs 0 .. n - 1: `costs[i][j]` of j straight after i, `first[j]` of j as the first, `before[j]` what
    must precede j. There are n rows of n costs, n first costs and n lists of jobs before.

    Any unit of cost, whole or not, also below 0. What must precede need not be given in full: what follows from it is
    worked out. A cost that precedence rules out is not looked at.

    Raises ValueError where sizes differ, a cost is no number, or precedence contradicts itself (the circle is named).

    >>> Ordering(2, ((0, 5), (3, 0)), (1, 1), ((), (0,))).cost((0, 1))
    6
    """

    n: int
    costs: tuple[tuple[float, ...], ...]
    first: tuple[float, ...]
    before: tuple[tuple[int, ...], ...]

    def __post_init__(self) -> None:
        rows = {len(row) for row in self.costs}
        if not len(self.costs) == len(self.first) == len(self.before) == self.n or not rows <= {self.n}:
            raise ValueError(
                f"{self.n} jobs need {self.n} rows of {self.n} costs, first costs and lists of jobs before"
            )
        if strange := {job for some in self.before for job in some if not 0 <= job < self.n}:
            raise ValueError(f"jobs are 0 .. {self.n - 1}, not {', '.join(map(str, sorted(strange)))}")
        in_some_order(self.before)

    def cost(self, row: Sequence[int]) -> float:
        """Total cost of an order, in the unit of the costs given; whether it keeps precedence is not asked.

        >>> Ordering(2, ((0, 5), (3, 0)), (1, 1), ((), ())).cost((1, 0))
        4
        """
        return sum((self.costs[i][j] for i, j in pairwise(row)), self.first[row[0]] if row else 0)

    def legal(self, row: Sequence[int]) -> bool:
        """Whether each job is done once, after what must precede it.

        >>> late = Ordering(2, ((0, 5), (3, 0)), (1, 1), ((), (0,)))
        >>> late.legal((0, 1)), late.legal((1, 0)), late.legal((0,))
        (True, False, False)
        """
        place = {job: n for n, job in enumerate(row)}
        if len(row) != self.n or place.keys() != set(range(self.n)):
            return False
        return all(place[other] < place[job] for job, some in enumerate(self.before) for other in some)


@dataclass(frozen=True)
class Answer:
    """The best order found, its cost, and a cost that no order goes below, with how that was found.

    `cost` and `bound` are in the unit of the costs given. `proven` = no order is cheaper; then the two are the
    same. `steps` of work were done: as many again give the same answer.
    """

    row: tuple[int, ...]
    cost: float
    bound: float
    proven: bool
    how: str
    steps: int


@dataclass(frozen=True)
class IntegerProblem:
    """An ordering in whole units: `cost[i][j]` with the door as row and column n, 0 where precedence rules it out.

    `before[j]`, `after[j]`: all jobs that must come before or after j, as bits; `above[j]`, `below[j]`: those of them
    with no other between. `next[i]`: jobs that may come straight after i (n: as the first).
    One unit is `1 / scale`; `exact` = no cost was rounded to whole units.
    """

    n: int
    cost: tuple[tuple[int, ...], ...]
    before: tuple[int, ...]
    after: tuple[int, ...]
    above: tuple[tuple[int, ...], ...]
    below: tuple[tuple[int, ...], ...]
    next: tuple[int, ...]
    scale: Fraction
    exact: bool

    @cached_property
    def follow(self) -> list[tuple[int, ...]]:
        """The jobs of `next`, for each job and the door."""
        return [tuple(bits(some)) for some in self.next]

    @cached_property
    def lead(self) -> list[list[int]]:
        """For each job those that may come straight before it, the door among them."""
        lead: list[list[int]] = [[] for _ in range(self.n)]
        for i, some in enumerate(self.follow):
            for j in some:
                lead[j].append(i)
        return lead

    def least_before(self) -> list[int]:
        """What each job costs at the least, whatever comes straight before it [units]."""
        return [min((self.cost[i][j] for i in some), default=0) for j, some in enumerate(self.lead)]

    def total(self, row: Sequence[int]) -> int:
        """Cost of an order of all jobs [units]; the way from the last job back to the door costs nothing."""
        return sum(self.cost[i][j] for i, j in zip([self.n, *row], row, strict=False))

    def least(self, units: int) -> float:
        """A bound in units as a cost: each rounded cost may have been half a unit less.

        An order adds up n costs, so n halves are taken off. Without that a bound could lie above the true cost
        of an order, by rounding alone.
        """
        return float((units - (0 if self.exact else Fraction(self.n, 2))) / self.scale)


def bits(number: int) -> Iterator[int]:
    """The jobs of a set.

    >>> list(bits(0b1101))
    [0, 2, 3]
    """
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low


def as_bits(some: Iterable[int]) -> int:
    """Jobs as a set.

    >>> as_bits([0, 2, 3]) == 0b1101
    True
    """
    number = 0
    for job in some:
        number |= 1 << job
    return number


def in_some_order(before: Sequence[Iterable[int]]) -> list[int]:
    """Jobs in an order that keeps precedence; ValueError with the circle if there is none.

    >>> in_some_order([[1], [], [0]])
    [1, 0, 2]
    >>> in_some_order([[1], [0]])
    Traceback (most recent call last):
    ValueError: no order keeps precedence: 0 before 1 before 0
    """
    try:
        return list(graphlib.TopologicalSorter(dict(enumerate(before))).static_order())
    except graphlib.CycleError as error:
        circle = " before ".join(map(str, error.args[1]))
        raise ValueError(f"no order keeps precedence: {circle}") from None


def in_integers(ordering: Ordering) -> IntegerProblem:
    """The ordering in whole units, with all that follows from precedence.

    Whole numbers add up to the same sum in any order, and a compiled method gets the same as one in Python;
    sums of floating point numbers promise neither.

    Raises ValueError where a cost that some order may meet is infinite or no number.

    >>> halves = in_integers(Ordering(2, ((0, 0.5), (3, 0)), (1, 1), ((), ())))
    >>> halves.cost[0][1], halves.cost[1][0], int(halves.scale), halves.exact
    (5, 30, 10, True)
    """
    n = ordering.n
    before = [0] * n
    # In an order that keeps precedence all sets of those before a job are whole when its turn comes: one look
    # at each pair is then enough for all that follows from the pairs given.
    for job in in_some_order(ordering.before):
        for other in ordering.before[job]:
            before[job] |= before[other] | 1 << other
    after = [as_bits(job for job in range(n) if before[job] >> other & 1) for other in range(n)]
    above = [_direct(some, before) for some in before]
    # Straight after i comes no job that must come before it, and none that another must come between: without
    # the second the bound would walk along arcs that are in no order, and be lower for it.
    following = [
        as_bits(j for j in range(n) if j != i and not before[i] >> j & 1 and not before[j] & after[i]) for i in range(n)
    ]
    following.append(as_bits(j for j in range(n) if not before[j]))
    given = zip([*ordering.costs, ordering.first], map(list, map(bits, following)), strict=True)
    # Only costs that some order may meet set the unit: others may be anything, and are 0 in the table.
    met = [(some, [costs[j] for j in some]) for costs, some in given]
    units, scale, exact = _in_units([costs for _, costs in met], n)
    cost = []
    for (some, _), costs in zip(met, units, strict=True):
        row = [0] * (n + 1)
        for j, each in zip(some, costs, strict=True):
            row[j] = each
        cost.append(tuple(row))
    return IntegerProblem(
        n, tuple(cost), tuple(before), tuple(after), tuple(above),
        tuple(_direct(some, after) for some in after), tuple(following), scale, exact,
    )  # fmt: skip


def _direct(some: int, further: Sequence[int]) -> tuple[int, ...]:
    """Those of a set that are not further away than another of it.

    Whether two blocks that stand side by side may change places can be told by these pairs alone: of a row of
    such pairs from the one block to the other, one pair must cross from block to block. So lists stay short.
    """
    rest = some
    for job in bits(some):
        rest &= ~further[job]
    return tuple(bits(rest))


def _in_units(rows: list[list[float]], n: int) -> tuple[list[list[int]], Fraction, bool]:
    """Costs in whole units, units to the one, and whether all came out whole.

    The unit is the coarsest power of ten that makes all costs whole, so that what was exact stays exact and
    numbers stay small. Where costs are so great that a sum might be too much, it is made coarser again.
    """
    flat = [value for row in rows for value in row]
    if {*map(type, flat)} == {int} and max(map(abs, flat)) * (n + 1) <= MOST_UNITS:  # as ticks of the clock are
        return [list(map(int, row)) for row in rows], Fraction(1), True
    if not all(map(math.isfinite, flat)):
        raise ValueError("a cost is no number")
    if all(value == int(value) for value in flat):
        scale = Fraction(1)
    else:
        scale = next((s for k in range(FINEST) if _all_whole(flat, s := Fraction(10**k))), Fraction(10**FINEST))
    while max(map(abs, flat), default=0) * (n + 1) * scale > MOST_UNITS:
        scale /= 10
    # A whole number of units keeps whole costs whole on the way; only a coarser unit than one asks for a fraction.
    times = float(scale) if scale.denominator != 1 else int(scale)
    units = [[round(value * times) for value in row] for row in rows]
    exact = all(
        _same(value * times, unit)
        for row, some in zip(rows, units, strict=True)
        for value, unit in zip(row, some, strict=True)
    )
    return units, scale, exact


def _all_whole(values: Iterable[float], scale: Fraction) -> bool:
    return all(_same(value * int(scale), round(value * int(scale))) for value in values)


def _same(value: float, unit: int) -> bool:
    """Whether a cost is that many units, but for how decimals are stored.

    0.29 times 100 is not 29 to the last bit; without leave for that, costs in decimals would count as rounded,
    and nothing could be proven of them. The leave is a billionth of the cost, and of a unit for small costs.
    """
    return abs(value - unit) <= 1e-9 * max(1.0, abs(value))
