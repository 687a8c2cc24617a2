"""A good order: blocks of jobs moved within their windows, kept by simulated annealing.

Method: a step takes a block of neighbouring jobs and moves it, as it lies, to another place. That is an exchange of
three arcs that turns no path round, the one exchange that suits precedence (L. M. Gambardella, M. Dorigo, INFORMS J.
Computing 12 (2000) 237-255, from memory). What must precede or follow the block limits where it may go; only the
nearest of these are looked at. The change of cost is six numbers. The place is drawn freely within the window, or so
that the block comes straight after a job that its head follows cheaply, or before one that its tail precedes cheaply.
Cycles of annealing, a cool and a warm one in turn and each pair twice as long, begun at the best order met. No proof.

There are two of this search with the same answers: `Search` here, and a compiled twin in kernel/ordering.c. All
numbers are whole. Cost of a step: the length of the block and what is next to it in precedence; of a move made, the
jobs that change place.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Sequence
from typing import Protocol

from ...kernel import library, numbers
from .problem import Whole, bits

LEVELS, CHANCES = 128, 1024
"""Levels of warmth in a cycle; entries of the table of luck."""
FREE_PLACE, BY_HEAD = 25, 63
"""Chances in 100: a place is drawn freely, and (from there on) by the head of the block."""
LONGEST, GOOD = 50, 10
"""Jobs of the longest block; cheap neighbours kept for each job."""
FIRST_CYCLE = 500
"""Steps of the first cycle for each job."""
WARMTHS = ((0.5, 0.01), (2.0, 0.02), (6.0, 0.05))
"""Warmth at the start and end of cycles, in turn, in what a job costs more than after its cheapest neighbour."""
_MASK = (1 << 64) - 1


class Improving(Protocol):
    """A search that goes on where it stopped."""

    def run(self, steps: int) -> None:
        """Do so many steps."""

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""


def search(problem: Whole, row: Sequence[int], seed: int) -> Improving:
    """A search from a legal order: the compiled one where it was built, else the other."""
    kernel = library()
    return Search(problem, row, seed) if kernel is None else Compiled(problem, row, seed, kernel)


class Search:
    """An order, and the best met. Places 1 .. n hold the jobs, 0 and n + 1 the door."""

    def __init__(self, problem: Whole, row: Sequence[int], seed: int) -> None:
        self.n, self.cost = problem.n, problem.cost
        self._above, self._below_it = problem.above, problem.below
        self._good_before, self._good_after = good_neighbours(problem)
        self._warmth, self._luck, self._least = warmth(), luck(), least_before(problem)
        self._chance = seed & _MASK
        self._longest = longest(self.n)
        self._step, self._kind, self._cycle = 0, 0, first_cycle(self.n)
        self.best_row = [self.n, *row, self.n]
        self.best = problem.total(row)
        self._from_best()

    def run(self, steps: int) -> None:
        """Do so many steps."""
        for _ in range(steps):
            self._one_step()

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""
        return self.best, self.best_row[1:-1]

    def close(self) -> None:
        """Nothing to give back."""

    def _below(self, n: int) -> int:
        self._chance = (self._chance + 0x9E3779B97F4A7C15) & _MASK
        z = self._chance
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _MASK
        return ((z ^ (z >> 31)) >> 33) % n

    # the window of a block: it may stand after the job at place q, lowest <= q <= highest

    def _lowest(self, a: int, b: int) -> int:
        at = self.at
        return max((p for job in self.row[a : b + 1] for o in self._above[job] if (p := at[o]) < a), default=0)

    def _highest(self, a: int, b: int) -> int:
        at, end = self.at, self.n + 1
        return min((p for job in self.row[a : b + 1] for o in self._below_it[job] if (p := at[o]) > b), default=end) - 1

    def _free_place(self, a: int, b: int) -> int:
        low = self._lowest(a, b)
        room = a - 1 - low + self._highest(a, b) - b
        if not room:
            return -1
        q = low + self._below(room)
        return q if q < a - 1 else q + b - a + 2

    def _good_place(self, good: Sequence[int]) -> int:
        return self.at[good[self._below(len(good))]] if good else -1

    def _place(self, a: int, b: int) -> int:
        """The place after which the block is to stand; -1 = none."""
        how = self._below(100)
        if how < FREE_PLACE:
            return self._free_place(a, b)
        if how < BY_HEAD:
            q = self._good_place(self._good_before[self.row[a]])
        else:
            q = self._good_place(self._good_after[self.row[b]]) - 1
        if q < 0 or a - 1 <= q <= b:
            return -1
        legal = self._lowest(a, b) <= q if q < a else q <= self._highest(a, b)
        return q if legal else -1

    # a step

    def _dearer(self, a: int, b: int, q: int) -> int:
        """What the order costs more with the block a .. b after place q."""
        row, cost = self.row, self.cost
        left, head, tail, right, one, two = row[a - 1], row[a], row[b], row[b + 1], row[q], row[q + 1]
        new = cost[one][head] + cost[tail][two] + cost[left][right]
        return new - cost[one][two] - cost[left][head] - cost[tail][right]

    def _moved(self, a: int, b: int, q: int) -> None:
        row, low, high = self.row, min(q + 1, a), max(b, q)
        if q < a:
            row[low : high + 1] = row[a : b + 1] + row[low:a]
        else:
            row[low : high + 1] = row[b + 1 : high + 1] + row[a : b + 1]
        for place in range(low, high + 1):
            self.at[row[place]] = place

    def _from_best(self) -> None:
        self.row = list(self.best_row)
        self.at = [0] * (self.n + 1)
        for place, job in enumerate(self.row[:-1]):
            self.at[job] = place
        self.now = self.best
        over = sum(self.cost[i][j] - self._least[j] for i, j in zip(self.row, self.row[1:-1], strict=False))
        self._over = 256 * over // self.n

    def _one_step(self) -> None:
        if self._step == self._cycle:
            self._step, self._kind = 0, (self._kind + 1) % len(WARMTHS)
            self._cycle *= 1 if self._kind else 2
            self._from_best()
        warm = self._over * self._warmth[self._kind * LEVELS + self._step * LEVELS // self._cycle] // 65536
        self._step += 1
        a = 1 + self._below(self.n)
        b = min(a + self._below(1 + self._below(self._longest)), self.n)
        q = self._place(a, b)
        if q < 0:
            return
        more = self._dearer(a, b, q)
        if more > 0 and more * 65536 > warm * self._luck[self._below(CHANCES)]:
            return
        self._moved(a, b, q)
        self.now += more
        if self.now < self.best:
            self.best, self.best_row = self.now, list(self.row)


class Compiled:
    """The search in kernel/ordering.c, with the methods of `Search`."""

    def __init__(self, problem: Whole, row: Sequence[int], seed: int, kernel: ctypes.CDLL) -> None:
        self.n, self._kernel = problem.n, kernel
        kernel.ordering_new.restype = ctypes.c_void_p
        kernel.ordering_best.restype = ctypes.c_int64
        flat = numbers(_flat(problem, row))
        self._self = ctypes.c_void_p(
            kernel.ordering_new(flat, ctypes.c_int64(len(flat)), ctypes.c_uint64(seed & _MASK))
        )
        if not self._self:
            raise MemoryError

    def run(self, steps: int) -> None:
        """Do so many steps."""
        self._kernel.ordering_run(self._self, ctypes.c_int64(steps))

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""
        row = numbers([0] * self.n)
        return self._kernel.ordering_best(self._self, row), list(row[: self.n])

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        self._kernel.ordering_free(self._self)
        self._self = ctypes.c_void_p()


def longest(n: int) -> int:
    """Jobs of the longest block moved."""
    return min(LONGEST, max(1, n // 2))


def first_cycle(n: int) -> int:
    """Steps of the first cycle."""
    return FIRST_CYCLE * n


def good_neighbours(problem: Whole) -> tuple[list[list[int]], list[list[int]]]:
    """For each job those that it follows most cheaply (the door too) and those that follow it most cheaply."""
    n, cost = problem.n, problem.cost
    follows = [[i for i in range(n + 1) if problem.next[i] >> j & 1] for j in range(n)]
    return (
        [sorted(some, key=lambda i: (cost[i][j], i))[:GOOD] for j, some in enumerate(follows)],
        [sorted(bits(problem.next[i]), key=lambda j: (cost[i][j], j))[:GOOD] for i in range(n)],
    )


def luck() -> list[int]:
    """Minus logarithms of evenly spread chances, in 256ths."""
    return [round(-256 * math.log((k + 0.5) / CHANCES)) for k in range(CHANCES)]


def warmth() -> list[int]:
    """Warmth by kind of cycle and level, in 65536ths of `over`, falling evenly in its logarithm."""
    found = []
    for warmest, coldest in WARMTHS:
        fall = (coldest / warmest) ** (1 / (LEVELS - 1))
        found += [round(65536 * warmest * fall**level) for level in range(LEVELS)]
    return found


def least_before(problem: Whole) -> list[int]:
    """What each job costs at the least."""
    n, cost = problem.n, problem.cost
    return [min((cost[i][j] for i in range(n + 1) if problem.next[i] >> j & 1), default=0) for j in range(n)]


def _flat(problem: Whole, row: Sequence[int]) -> list[int]:
    n = problem.n
    flat = [n, longest(n), first_cycle(n), problem.total(row)]
    for some in problem.cost:
        flat += some
    flat += [*warmth(), *luck(), *least_before(problem), n, *row, n]
    for jobs_of in (problem.above, problem.below, *good_neighbours(problem)):
        ends = [0]
        for jobs in jobs_of:
            ends.append(ends[-1] + len(jobs))
        flat += ends
        for jobs in jobs_of:
            flat += jobs
    return flat
