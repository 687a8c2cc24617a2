"""The order of least cost: a start, the search, a bound, and the exact method where it can end.

Short search first, for a cost that the bound and the exact method prune with; then, if nothing is proven, the search
goes on. Not always exact: `proven` says so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from stripplan.sequence.sop.bound import bound
from stripplan.sequence.sop.exact import close_gap
from stripplan.sequence.sop.problem import Answer, IntegerProblem, Ordering, in_integers
from stripplan.sequence.sop.search import search

SHORT, LONG = 20_000, 100_000
"""Steps for each job before the bound, and in all where nothing is asked: a cost that is nearly the best
makes the bound's steps and the exact method's pruning good. Set by trial, not studied.
"""
CHUNK = 50_000
"""Steps between two looks at the clock: a few hundredths of a second, compiled."""


def solve(
    ordering: Ordering, *, start: Sequence[int] | None = None, seed: int = 0, steps: int | None = None,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Answer:  # fmt: skip
    """The best order found, and a cost that none goes below.

    `start`: an order to begin with, else one is made. `steps` of search at the most (None: as suits the size); the same
    seed and steps give the same answer as long as `out_of_time` does not say that it is time to stop.

    Raises ValueError where `start` is not an order of the jobs that keeps precedence.

    >>> solve(Ordering(2, ((0, 5), (3, 0)), (1, 1), ((), ()))).row
    (1, 0)
    """
    if start is not None and not ordering.legal(start):
        raise ValueError(f"not an order of jobs 0 .. {ordering.n - 1} that keeps precedence: {tuple(start)}")
    problem = in_integers(ordering)
    row = nearest_next(problem) if start is None else list(start)
    if ordering.n < 2:
        return _answer(ordering, problem, row, problem.total(row), "one order", 0)
    most = LONG * ordering.n if steps is None else steps
    improving = search(problem, row, seed)
    try:
        done = _run(improving.run, min(most, SHORT * ordering.n), out_of_time)
        units, row = improving.found()
        known = bound(problem, units, out_of_time=out_of_time)
        least, how = known.units, "walks of jobs in their windows of places"
        if least < units:
            closed = close_gap(problem, units, known, out_of_time=out_of_time)
            if closed.units > least:
                least, how = closed.units, "all sets of jobs done and the last of them"
            if closed.row is not None:
                row = list(closed.row)
        if least < min(units, problem.total(row)):
            done += _run(improving.run, most - done, out_of_time)
            row = improving.found()[1]
    finally:
        improving.close()
    return _answer(ordering, problem, row, least, how, done)


def nearest_next(problem: IntegerProblem) -> list[int]:
    """An order made job by job: of those whose turn it may be, the one that follows most cheaply."""
    row, done, last = list[int](), 0, problem.n
    for _ in range(problem.n):
        free = [j for j in range(problem.n) if not done >> j & 1 and not problem.before[j] & ~done]
        last = min(free, key=lambda j: (problem.cost[last][j], j))
        row.append(last)
        done |= 1 << last
    return row


def _run(run: Callable[[int], None], steps: int, out_of_time: Callable[[], bool]) -> int:
    """Steps done."""
    done = 0
    while done < steps and not out_of_time():
        run(min(CHUNK, steps - done))
        done += min(CHUNK, steps - done)
    return done


def _answer(
    ordering: Ordering, problem: IntegerProblem, row: Sequence[int], units: int, how: str, steps: int
) -> Answer:
    cost = ordering.cost(row)
    proven = problem.exact and units >= problem.total(row)
    return Answer(tuple(row), cost, cost if proven else min(cost, problem.least(units)), proven, how, steps)
