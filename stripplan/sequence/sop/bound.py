"""A cost that no order goes below: walks with each job in its window of places.

Problem. A bound for the sequential ordering problem that is near and quick, and that says what must follow at
each place, for `exact.py` to drop states by.

Method. Relaxed: a walk of n jobs over arcs that precedence allows. Job j stands at a place from 1 + (jobs
that must precede it) to n - (jobs that must follow it), and no job comes back with only one other between;
else a job may be met twice or not at all. The least walk is found place by place, from the last. A gift for
each job, taken off when it is met and added back once, changes the cost of no order (a Lagrange multiplier);
gifts are raised for jobs left out and lowered for jobs met twice (subgradient steps: M. Held, R. M. Karp,
Math. Programming 1 (1971) 6-25; the relaxed walk: N. Christofides, A. Mingozzi, P. Toth, Networks 11 (1981)
145-164; both from memory). Any gifts give a bound, so rounding them to whole numbers does no harm.

Exact: no, a lower bound; met where the walk meets each job once. Cost of a walk: places times arcs, at most
n^3; some hundreds of walks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from stripplan.kernel import api, available
from stripplan.sequence.sop.problem import IntegerProblem

FINE = 64
"""Parts of a unit that gifts are counted in: a power of two, fine enough that the rounding of steps does not
stop them; finer takes room from the 64 bits that sums must fit (`problem.MOST_UNITS`). Set by trial, not studied.
"""
NEVER = 1 << 60
"""Cost of a walk that precedence rules out: above any sum, and twice it still fits 64 bits."""
WALKS, WORK = 600, 3 * 10**9
"""Walks at most; arcs looked at in them at most: the latter caps the time for large problems at some seconds,
compiled. Set by trial, not studied.
"""
PATIENCE = 12
"""Walks without a better bound after which steps are halved, and the best gifts gone back to. Fewer make steps
small before the gifts are near, more waste walks about the best. Set by trial, not studied.
"""


@dataclass(frozen=True)
class Bound:
    """`units`: no order costs less. `gift[j]` and `rest[p][i]` [1 / FINE unit]: gifts, and the least cost, less gifts,
    of what follows job i at place p (NEVER where it cannot stand there)."""

    units: int
    gift: tuple[int, ...]
    rest: tuple[tuple[int, ...], ...]


class Walks:
    """The least walk for given gifts: compiled where the library is there, else in Python, with the same answers."""

    def __init__(self, problem: IntegerProblem, *, compiled: bool) -> None:
        self.n = problem.n
        self.follow = problem.follow
        # The window of a job's places: behind all that must precede it, before all that must follow it.
        self.low = [1 + some.bit_count() for some in problem.before]
        self.high = [self.n - some.bit_count() for some in problem.after]
        self.cost = [[FINE * value for value in row] for row in problem.cost]
        flat = [value for row in self.cost for value in row]
        self._walk = api.SopWalk(flat, self.follow, self.low, self.high) if compiled else None

    def work(self) -> int:
        """Arcs looked at in a walk."""
        return 1 + sum((self.high[i] - self.low[i] + 1) * len(self.follow[i]) for i in range(self.n))

    def least(self, gift: list[int]) -> tuple[int, list[int]]:
        """Least cost of a walk less gifts [1 / FINE unit], and its jobs; NEVER or above, and no jobs, where
        there is no walk.
        """
        return self._in_python(gift) if self._walk is None else self._walk.least(gift)

    def rest(self) -> tuple[tuple[int, ...], ...]:
        """By place and job, the least cost of what follows, from the last walk."""
        if self._walk is None:
            return tuple(tuple(row) for row in self._rest)
        wide = self.n + 1
        flat = self._walk.rest()
        return tuple(tuple(flat[p * wide : (p + 1) * wide]) for p in range(wide))

    def _in_python(self, gift: list[int]) -> tuple[int, list[int]]:
        """The walk place by place, from the last.

        Two values are kept for each place and job: the least of what follows, and the least with another next
        job. Where the job before is the very one that would follow, the second is taken: so no walk goes to and
        fro between two jobs, which would make the bound much lower.
        """
        n = self.n
        rest, second = [[NEVER] * (n + 1) for _ in range(n + 1)], [[NEVER] * (n + 1) for _ in range(n + 1)]
        then = [[-1] * (n + 1) for _ in range(n + 1)]
        self._rest = rest
        for i in range(n):
            if self.high[i] == n:
                rest[n][i] = second[n][i] = 0
        for p in range(n - 1, -1, -1):
            # At place 0 stands the door and nothing else.
            for i in range(n) if p else [n]:
                if not p or self.low[i] <= p <= self.high[i]:
                    for value, j in self._onward(p, i, gift, rest, second, then):
                        if value < rest[p][i]:
                            rest[p][i], second[p][i], then[p][i] = value, rest[p][i], j
                        elif value < second[p][i]:
                            second[p][i] = value
        if rest[0][n] >= NEVER:
            return rest[0][n], []
        walk, job, previous = list[int](), n, -1
        for p in range(n):
            after = then[p][job]
            # Here the second value was counted, so the job that it belongs to is looked for again.
            if after == previous:
                onward = self._onward(p, job, gift, rest, second, then)
                after = next(j for value, j in onward if j != previous and value == second[p][job])
            walk.append(after)
            previous, job = job, after
        return rest[0][n], walk

    def _onward(
        self, p: int, i: int, gift: list[int], rest: list[list[int]], second: list[list[int]], then: list[list[int]]
    ) -> list[tuple[int, int]]:
        """What may follow job i at place p, with its cost and that of all after it."""
        found, p = [], p + 1
        for j in self.follow[i]:
            if self.low[j] <= p <= self.high[j]:
                value = second[p][j] if then[p][j] == i else rest[p][j]
                if value < NEVER:
                    found.append((value + self.cost[i][j] - gift[j], j))
        return found


def bound(problem: IntegerProblem, found: int, *, out_of_time: Callable[[], bool] = lambda: False) -> Bound:
    """The best bound met, given the cost of an order found [units]."""
    return improved(Walks(problem, compiled=available()), problem, found, out_of_time)


def improved(walks: Walks, problem: IntegerProblem, found: int, out_of_time: Callable[[], bool]) -> Bound:
    """The best bound met with gifts changed step by step, the first those of the cheapest arcs.

    Ends early where the walk is an order, where no greater bound can be, or where the time is over. Any gifts
    bound, so whatever ends it, the best so far holds.
    """
    n = problem.n
    # What each job costs at the least whatever comes before it: the bound that can be had without a walk.
    gift = [FINE * each for each in problem.least_before()]
    best, best_gift, stride, idle = -NEVER, gift, Fraction(1), 0
    for _ in range(min(WALKS, 1 + WORK // walks.work())):
        value, walk = walks.least(gift)
        value += sum(gift)
        idle += 1
        if value > best:
            best, best_gift, idle = value, gift, 0
        elif idle >= PATIENCE:
            stride, idle, gift = stride / 2, 0, best_gift
        # 1 for a job left out, 0 for one met once, below 0 for one met oftener.
        met = [1] * n
        for job in walk:
            met[job] -= 1
        wrong = sum(each * each for each in met)
        # All met once: the walk is an order. Above found - 1 units the bound rounds up to what was found.
        if not wrong or best > FINE * (found - 1) or out_of_time():
            break
        # The usual length of a subgradient step: the gap that is left over the square of what is wrong. At
        # least a unit is taken for the gap, or steps would die out before the last unit.
        step = stride * max(FINE * found - value, FINE) / wrong
        gift = [g + int(step * each) for g, each in zip(gift, met, strict=True)]
    # The last walk was not that of the best gifts, and `rest` must belong to them.
    walks.least(best_gift)
    return Bound(min(found, -(-best // FINE)), tuple(best_gift), walks.rest())
