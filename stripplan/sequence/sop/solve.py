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
makes the bound's steps and the exact method's pruning good. More steps before would delay a proof that is
near; fewer in all would leave better orders unfound where nothing can be proven. Set by trial, not studied.
"""
CHUNK = 50_000
"""Steps between two looks at the clock: a few hundredths of a second, compiled. More would overrun the time
by more, fewer would ask the clock oftener. The answer does not hang on it, for the search goes on where it
stopped. Set by trial, not studied.
"""


def solve(
    ordering: Ordering, *, start: Sequence[int] | None = None, seed: int = 0, steps: int | None = None,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Answer:  # fmt: skip
    """The best order found, and a cost that none goes below.

    `start`: an order to begin with, else one is made. `steps` of search
    at the most (None: as suits the size); the same seed and steps give the same answer as long as
    `out_of_time` does not say that it is time to stop.

    Raises ValueError where `start` is not an order of the jobs that keeps precedence.

    >>> solve(Ordering(2, ((0, 5), (3, 0)), (1, 1), ((), ()))).row
    (1, 0)
    """
    if start is not None and not ordering.legal(start):
        raise ValueError(f"not an order of jobs 0 .. {ordering.n - 1} that keeps precedence: {tuple(start)}")
    problem = in_integers(ordering)
    row = nearest_next(problem) if start is None else list(start)
    if ordering.n < 2:
        # None or one job: there is nothing to exchange.
        return _answer(ordering, problem, row, problem.total(row), "one order", 0)
    most = LONG * ordering.n if steps is None else steps
    improving = search(problem, row, seed)
    try:
        done = _run(improving.run, min(most, SHORT * ordering.n), out_of_time)
        units, row = improving.found()
        known = bound(problem, units, out_of_time=out_of_time)
        least, how = known.units, "walks of jobs in their windows of places"
        # Where the bound has come up to the order found, that is proven, and the dear method is not begun.
        if least < units:
            closed = close_gap(problem, units, known, out_of_time=out_of_time)
            if closed.units > least:
                least, how = closed.units, "all sets of jobs done and the last of them"
            if closed.row is not None:
                row = list(closed.row)
        # Still not proven: the rest of the steps go to the search. The exact method has then found no order of
        # its own, so none is lost where that of the search is taken.
        if least < min(units, problem.total(row)):
            done += _run(improving.run, most - done, out_of_time)
            row = improving.found()[1]
    finally:
        # The compiled search holds memory of its own, which must go back also where something was raised.
        improving.close()
    return _answer(ordering, problem, row, least, how, done)


def nearest_next(problem: IntegerProblem) -> list[int]:
    """An order made job by job: of those whose turn it may be, the one that follows most cheaply.

    It is a start and no more: what it saves first it pays for at the end. As precedence has no circle, some
    job is always free. Of equals the least number is taken, so that the same problem gives the same start.

    >>> nearest_next(in_integers(Ordering(3, ((0, 9, 2), (1, 0, 1), (1, 4, 0)), (1, 2, 3), ((), (), ()))))
    [0, 2, 1]
    """
    row, done, last = list[int](), 0, problem.n
    for _ in range(problem.n):
        free = [j for j in range(problem.n) if not done >> j & 1 and not problem.before[j] & ~done]
        last = min(free, key=lambda j: (problem.cost[last][j], j))
        row.append(last)
        done |= 1 << last
    return row


def _run(run: Callable[[int], None], steps: int, out_of_time: Callable[[], bool]) -> int:
    """Run so many steps, fewer where the time is over; the steps done."""
    done = 0
    while done < steps and not out_of_time():
        run(min(CHUNK, steps - done))
        done += min(CHUNK, steps - done)
    return done


def _answer(
    ordering: Ordering, problem: IntegerProblem, row: Sequence[int], units: int, how: str, steps: int
) -> Answer:
    """An order and a bound in units as an answer in the unit of the costs given.

    Nothing is called proven where costs were rounded: what is best in units need not be the best then.
    """
    cost = ordering.cost(row)
    proven = problem.exact and units >= problem.total(row)
    # The bound is never said to be above the cost of an order that is there.
    return Answer(tuple(row), cost, cost if proven else min(cost, problem.least(units)), proven, how, steps)
