"""The least cost for certain: every set of jobs done with the last of them, place by place.

Problem. An order and a bound are known that do not meet: is there a cheaper order, or is the bound too low?

Method. Of all ways to do a set of jobs and end at one of them only the cheapest matters (dynamic programme
over the sets that precedence allows: M. Held, R. M. Karp, J. SIAM 10 (1962) 196-210, from memory). A state is
dropped when its cost and the least that must follow, by the relaxed walk of bound.py, come to what an order
found costs. If no state is left, no order is cheaper.

Exact where it ends. Where there are too many states it stops; the least of the last full layer is then a
bound.
Cost: as many states as there are sets that precedence allows and the bound does not rule out; each with its
next jobs. Much precedence or a near bound keeps them few.

There are two with the same answers: `_States` here, and a compiled twin in kernel/sop.c.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from stripplan.kernel import api, available
from stripplan.sequence.sop.bound import FINE, NEVER, Bound
from stripplan.sequence.sop.problem import IntegerProblem, bits

MOST_MEMORY = 250 << 20
"""Bytes for states at the most, compiled; a state in Python is reckoned the same, so that both stop at the
same state. Set so that a small computer still has room for the rest of the plan.
"""

MOST_WORDS = 64
"""Numbers of 64 bits to a set, at the most, in the compiled twin: 4096 jobs, far more than any set programme
can end with.
"""


@dataclass(frozen=True)
class Closed:
    """`units`: no order costs less. `row`: an order cheaper than the one given, of least cost; None = none found."""

    units: int
    row: tuple[int, ...] | None
    states: int


class _Layers(Protocol):
    def layer(self) -> int:
        """One place further; the states made, or -1 = no more room."""

    def least(self, place: int) -> tuple[int, list[int]]:
        """The least value in the layer with what must follow, and the jobs of its state."""

    def close(self) -> None:
        """Give the memory back."""


def most_states(problem: IntegerProblem) -> int:
    """States that fit the memory: kept in the two newest layers with set and value, their place in the table too."""
    return MOST_MEMORY // (8 + 3 * (16 + 8 * words(problem.n)) // 2 + 16)


def words(n: int) -> int:
    """Numbers of 64 bits that hold a set of jobs.

    >>> words(1), words(64), words(65)
    (1, 1, 2)
    """
    return max(1, -(-n // 64))


def close_gap(
    problem: IntegerProblem, found: int, known: Bound, *, most: int | None = None, python: bool = False,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Closed:  # fmt: skip
    """The least cost, or a better bound than `known`, given the cost of an order found [units].

    `most`: states at the most, None: as many as memory has room for. `python`: not the compiled twin, so that
    a test can hold the two against each other. Too many states, or no time, is no error: the bound is then
    that of the last full layer, and `row` is None.
    """
    n, compiled = problem.n, not python and words(problem.n) <= MOST_WORDS and available()
    most = most_states(problem) if most is None else most
    gifts = sum(known.gift)
    # States count in FINE parts and less gifts. An order that is cheaper costs a unit less at least; a state
    # at this limit or above can lead to none.
    limit = FINE * (found - 1) + 1 - gifts
    try:
        layers: _Layers = (_Compiled if compiled else _States)(problem, limit, most, known)
    except MemoryError:  # as where there are too many states: nothing more is known
        return Closed(known.units, None, 1)
    units, states = known.units, 1
    try:
        for place in range(1, n + 1):
            made = -1 if out_of_time() else layers.layer()
            if made < 0:
                return Closed(units, None, states)
            states += made
            # Every cheaper order would have a state in this layer: none is left, so what was found is the least.
            if not made:
                return Closed(found, None, states)
            value, row = layers.least(place)
            # A full layer bounds all orders that are cheaper than the one found; costs are whole, so it is
            # rounded up.
            units = max(units, -(-(value + gifts) // FINE))
        return Closed(problem.total(row), tuple(row), states)
    finally:
        layers.close()


class _States:
    """A layer: for each set and last job the least value and the number of the state; states by number.

    Of older layers only the last job and the state before are kept, which is enough to go back along an order;
    the sets, which take the room, are thrown away with their layer.
    """

    def __init__(self, problem: IntegerProblem, limit: int, most: int, known: Bound) -> None:
        self._problem, self._limit, self._most, self._known = problem, limit, most, known
        self._place, self._parent, self._last = 0, [-1], [problem.n]
        self._now: dict[tuple[int, int], list[int]] = {(0, problem.n): [0, 0]}

    def layer(self) -> int:
        """One place further; the states made, or -1 = no more room."""
        problem, rest, made = self._problem, self._known.rest[self._place + 1], dict[tuple[int, int], list[int]]()
        for (done, i), (so_far, at) in self._now.items():
            for j in bits(problem.next[i] & ~done):
                value = so_far + FINE * problem.cost[i][j] - self._known.gift[j]
                if value + rest[j] >= self._limit or problem.before[j] & ~done:
                    continue
                key = done | 1 << j, j
                # One set, one last job: what can follow is the same, so only the cheaper way there is kept. Its
                # number may be used again, for nothing is built on this layer yet.
                if (held := made.get(key)) is not None:
                    if value < held[0]:
                        held[0], self._parent[held[1]] = value, at
                    continue
                # A layer that is not whole bounds nothing: what is missing might be the cheapest.
                if len(self._parent) >= self._most:
                    return -1
                made[key] = [value, len(self._parent)]
                self._parent.append(at)
                self._last.append(j)
        self._now = made
        self._place += 1
        return len(made)

    def least(self, place: int) -> tuple[int, list[int]]:
        """The least value in the layer with what must follow, and the jobs of its state."""
        value, at = min((held[0] + self._known.rest[place][i], held[1]) for (_, i), held in self._now.items())
        row = []
        while at:
            row.append(self._last[at])
            at = self._parent[at]
        return value, row[::-1]

    def close(self) -> None:
        """Nothing to give back."""


class _Compiled:
    """The layers in kernel/sop.c."""

    def __init__(self, problem: IntegerProblem, limit: int, most: int, known: Bound) -> None:
        self._layers = api.SopExact(
            words=words(problem.n), limit=max(limit, -NEVER), most=most,
            cost=[FINE * value for row in problem.cost for value in row],
            follow=problem.follow,
            gift=known.gift, rest=[value for row in known.rest for value in row], before=problem.before,
        )  # fmt: skip

    def layer(self) -> int:
        """One place further; the states made, or -1 = no more room."""
        return self._layers.layer()

    def least(self, place: int) -> tuple[int, list[int]]:
        """The least value in the layer with what must follow, and the jobs of its state."""
        return self._layers.least(place)

    def close(self) -> None:
        """Give the memory back."""
        self._layers.close()
