"""A good order: chains of exchanges from neighbour to neighbour, with kicks out of where no chain helps.

Problem. The sequential ordering problem (`problem.py`), for hundreds of jobs, where no method ends with a proof.

Method. A move lets two neighbouring blocks of jobs change places, as they lie: an exchange of three arcs that
turns no path round, the one exchange that suits precedence (L. M. Gambardella, M. Dorigo, INFORMS J.
Computing 12 (2000) 237-255). Where most costs are the same both ways a block may also be turned round. Moves
make a chain, each paying with what is saved so far: the arc that closes one is the first taken out by the
next, and of the chain as much is kept as saves most (S. Lin, B. W. Kernighan, Operations Research 21 (1973)
498-516; for costs that differ by direction: P. C. Kanellakis, C. H. Papadimitriou, Operations Research 28
(1980) 1086-1099). New arcs are cheap ones of the job they leave or reach, every move keeps precedence, and an
arc that the chain made stays. All from memory.

Where no job is left to begin a chain with, two near pairs of blocks change places at random, and chains begin at the
jobs touched. What comes of it is kept if it costs no more, or a little more while it is warm, as in annealing
(O. Martin, S. W. Otto, E. W. Felten, Operations Research Letters 11 (1992) 219-224, from memory). Warmth falls evenly
in a cycle; a warm and a cool one in turn, each pair twice as long, begun at the best order met.

Exact: no, and no proof. Of 41 published instances of 9 to 380 nodes 40 came out at their best known value or
below (`tests/benchmarks/sequential_ordering.py`).

There are two of this search with the same answers: `Search` here, and a compiled twin in kernel/sop.c. All
numbers are whole, so that both take the same way. Cost: a step is `LOOKS` looks at an arc or a job, whatever
the size; a chain once begun is ended.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from stripplan.kernel import Rng, api, available
from stripplan.sequence.sop.problem import IntegerProblem

LOOKS = 8
"""Looks to a step: steps are what a person asks for, and one should be worth something. Set by trial, not studied."""
LEVELS, CHANCES = 128, 1024
"""Levels of warmth in a cycle; entries of the table of luck. More levels let warmth fall more evenly; more
entries make luck finer and the table longer. Set by trial, not studied.
"""
WARMTHS = (1024, 128)
"""Warmth at the start of cycles, in turn, in 256ths of what a job costs more than after its cheapest
neighbour: relative, so that costs may have any unit. A warm cycle leaves a valley that a cool one would only
search to its bottom, and spends steps on dearer orders for that. Set by trial, not studied.
"""
FIRST_CYCLE = 5000
"""Looks of the first cycle for each job; later ones are longer, so this matters for short searches alone. Set
by trial, not studied.
"""
LONGEST_CHAIN, GOOD = 30, 20
"""Moves of the longest chain; cheap neighbours kept for each job. More of either lets a chain find what it else
would miss, and makes each chain dearer. Set by trial, not studied.
"""
SWAPS, TRIES, REACH = 2, 20, 40
"""Pairs of blocks that a kick moves; tries to find them; jobs they lie within: near ones, so that a chain can
mend what a kick has spoilt. A greater kick leads further away and spoils more; a smaller one may be undone by the
next chains. Where precedence is dense, fewer tries would leave more kicks without a move.

Set by trial, not studied.
"""


class Improving(Protocol):
    """A search that goes on where it stopped."""

    def run(self, steps: int) -> None:
        """Do so many steps."""

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""


def search(problem: IntegerProblem, row: Sequence[int], seed: int) -> Improving:
    """A search from a legal order: the compiled one where it was built, else the other.

    `row` is not tried for precedence again. The same problem, row and seed go the same way in both, however
    the steps are shared out over calls. Close it when done: the compiled one holds memory of its own.
    """
    return Compiled(problem, row, seed) if available() else Search(problem, row, seed)


@dataclass(frozen=True)
class Move:
    """The blocks after place x, up to y, and after y, up to z, change places; y = x or z: what is after x, up to z, is
    turned.

    `gain`: what the chain saves with it; `open`: before the last arc is paid, which goes from the job `tail`.
    """

    x: int
    y: int
    z: int
    tail: int = 0
    gain: int = 0
    open: int = 0

    def back(self) -> Move:
        """The move that takes it back."""
        return Move(self.x, self.x + self.z - self.y, self.z)

    def heads(self) -> tuple[int, int, int]:
        """Where new arcs end, by place, once it is made."""
        return self.x + 1, self.x + 1 + self.z - self.y, self.z + 1

    def better(self, open_: int, gain: int) -> bool:
        """Whether one with these figures is better.

        One that saves now goes before all that do not; among those that do not, the one that leaves most to
        pay the next arc with.
        """
        return gain > self.gain if gain > 0 else self.gain <= 0 and open_ > self.open


NO_MOVE = Move(-1, 0, 0)


class Search:
    """An order, and the best met. Places 1 .. n hold the jobs, 0 and n + 1 the door."""

    def __init__(self, problem: IntegerProblem, row: Sequence[int], seed: int) -> None:
        self.n, self.cost = problem.n, problem.cost
        self._above, self._below_it = problem.above, problem.below
        self._good_before, self._good_after = good_neighbours(problem)
        self._luck, self._least, self._turns = luck(), problem.least_before(), turns(problem)
        self._below, self._reach = Rng(seed).below, reach(self.n)
        self._kind, self._cycle = 0, first_cycle(self.n)
        self._looks = self._until = self._begun = self._mark = 0
        self._fixed = [0] * (self.n + 1)
        self.best_row, self.best = [self.n, *row, self.n], problem.total(row)
        self.at = [0] * (self.n + 1)
        self._over = self._what_is_over()
        self._back_to(self.best_row, self.best)
        self._keep()
        self._queue, self._asked = deque(self.row[:-1]), [True] * (self.n + 1)

    def run(self, steps: int) -> None:
        """Do so many steps."""
        self._until += LOOKS * steps
        while self._looks < self._until:
            self._one_step()

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""
        return self.best, self.best_row[1:-1]

    def close(self) -> None:
        """Nothing to give back."""

    # what precedence allows

    def _one_within(self, some: Iterable[int], first: int, last: int) -> bool:
        return any(first <= self.at[job] <= last for job in some)

    def _exchangeable(self, x: int, y: int, z: int) -> bool:
        """Whether two blocks may change places: no job of the first must come before one of the second. The
        shorter is walked through.
        """
        if y - x < z - y:
            for p in range(y, x, -1):
                if self._one_within(self._below_it[self.row[p]], y + 1, z):
                    return False
                self._looks += 1
        else:
            for p in range(y + 1, z + 1):
                if self._one_within(self._above[self.row[p]], x + 1, y):
                    return False
                self._looks += 1
        return True

    def _turnable(self, x: int, z: int) -> bool:
        """Whether a block may be turned round: no two of its jobs are in precedence."""
        for p in range(x + 1, z):
            if self._one_within(self._below_it[self.row[p]], p + 1, z):
                return False
            self._looks += 1
        return True

    # a move

    def _done(self, move: Move) -> None:
        """Make a move, in the row and in the table of places."""
        row, x, y, z = self.row, move.x, move.y, move.z
        turned = y in (x, z)
        row[x + 1 : z + 1] = row[x + 1 : z + 1][::-1] if turned else row[y + 1 : z + 1] + row[x + 1 : y + 1]
        for p in range(x + 1, z + 1):
            self.at[row[p]] = p
        self._changed = True

    def _arcs(self, move: Move) -> list[tuple[int, int]]:
        """The arcs that a move that was made has put in."""
        return [(self.row[p - 1], self.row[p]) for p in move.heads()]

    def _ask(self, arcs: Iterable[tuple[int, int]]) -> None:
        """Jobs at the ends of new arcs may begin a chain again: only near a change can a new one help."""
        for arc in arcs:
            for job in arc:
                if not self._asked[job]:
                    self._asked[job] = True
                    self._queue.append(job)

    # a chain

    def _look_at_exchange(self, best: Move, one: int, two: int, three: int, free: int) -> Move:
        """The better of `best` and the exchange of the arcs after three places; `free` is left to pay with.

        In three arcs only one way round leaves one path and turns nothing: where the places follow each other
        in a ring as they are given. Figures are asked before precedence, for they are quicker to have.
        """
        row, cost = self.row, self.cost
        other = row[three + 1]
        self._looks += 1
        if self._fixed[other] == self._mark or (one < two) + (two < three) + (three < one) != 2:
            return best
        more = free - cost[row[two]][other] + cost[row[three]][other]
        gain = more - cost[row[three]][row[one + 1]]
        x, y, z = sorted((one, two, three))
        if not best.better(more, gain) or not self._exchangeable(x, y, z):
            return best
        return Move(x, y, z, row[three], gain, more)

    def _look_at_turn(self, best: Move, one: int, high: int, free: int) -> Move:
        """The better of `best` and turning round the block after place `one`, up to `high`.

        All arcs within the block change direction, so each counts as a look: where costs differ by direction
        that is much work for little, and such moves are not tried (`turns`).
        """
        row, cost = self.row, self.cost
        if high <= one or self._fixed[row[high + 1]] == self._mark:
            return best
        self._looks += high - one - 1
        free += sum(cost[row[p]][row[p + 1]] - cost[row[p + 1]][row[p]] for p in range(one + 1, high))
        more = free + cost[row[high]][row[high + 1]]
        gain = more - cost[row[one + 1]][row[high + 1]]
        if not best.better(more, gain) or not self._turnable(one, high):
            return best
        return Move(one, one, high, row[one + 1], gain, more)

    def _best_move(self, tail: int, gained: int) -> Move:
        """The arc from `tail` is taken out, and a cheap one put in for it; then the same where that one ends.

        Cheap arcs come in the order of their cost, so where one can no longer be paid with what is saved so
        far, none after it can. The first new arc with a move that saves ends the choice, without a look at
        dearer ones.
        """
        cost, one, best = self.cost, self.at[tail], NO_MOVE
        head = self.row[one + 1]
        free = gained + cost[tail][head]
        for following in self._good_after[tail]:
            self._looks += 1
            left, two = free - cost[tail][following], self.at[following] - 1
            if left <= 0:
                break
            if following == head or self._fixed[following] == self._mark:
                continue
            last = self.row[two]
            more = left + cost[last][following]
            for other in self._good_after[last]:
                if cost[last][other] >= more:
                    break
                best = self._look_at_exchange(best, one, two, self.at[other] - 1, more)
            for other in self._good_before[head]:
                best = self._look_at_exchange(best, one, two, self.at[other], more)
            if self._turns:
                best = self._look_at_turn(best, one, two + 1, left)
            if best.gain > 0:
                break
        return best

    def _chained(self, tail: int) -> bool:
        """A chain from a job; whether it saves.

        The row is changed move by move, for the next move must be found in it; what was done beyond the best
        saving is taken back from the end.
        """
        made, gained, best, best_many = list[tuple[Move, list[tuple[int, int]]]](), 0, 0, 0
        self._mark += 1
        while len(made) < LONGEST_CHAIN and (move := self._best_move(tail, gained)) is not NO_MOVE:
            self._done(move)
            made.append((move, self._arcs(move)))
            tail, gained = move.tail, move.gain
            # New arcs stay, or a chain could take out what it has just put in, and never end. The one that
            # closes the chain so far is left free: the next move begins by taking it out.
            for one, other in made[-1][1]:
                if one != tail:
                    self._fixed[other] = self._mark
            if gained > best:
                best, best_many = gained, len(made)
        while len(made) > best_many:
            self._done(made.pop()[0].back())
        for _, arcs in made:
            self._ask(arcs)
        self.now -= best
        return bool(made)

    # a step

    def _what_is_over(self) -> int:
        """What a job of the best order costs more than after its cheapest neighbour, at the mean [256ths of a
        unit]: the scale of warmth.
        """
        over = sum(self.cost[i][j] - self._least[j] for i, j in zip(self.best_row, self.best_row[1:-1], strict=False))
        return 256 * over // self.n

    def _back_to(self, row: Sequence[int], value: int) -> None:
        """Go on from an order of before."""
        self.row, self.now, self._changed = list(row), value, False
        for place, job in enumerate(self.row[:-1]):
            self.at[job] = place

    def _keep(self) -> None:
        """Go on from the order as it is."""
        self._kept, self._kept_cost, self._changed = list(self.row), self.now, False

    def _serve(self) -> None:
        """Chains from the next job that asks for one, as long as they save."""
        job = self._queue.popleft()
        self._asked[job] = False
        while self._chained(job):
            pass
        if self.now < self.best:
            self.best, self.best_row = self.now, list(self.row)

    def _judge(self) -> None:
        """Keep what came of the last kick, or not.

        What costs more is kept with a chance that falls with how much more it is and rises with the warmth:
        exp(-more / warmth), by a table of logarithms in whole numbers, so that both twins decide alike.
        """
        if not self._changed:
            return
        more, level = self.now - self._kept_cost, LEVELS - (self._looks - self._begun) * LEVELS // self._cycle
        warm = self._over * WARMTHS[self._kind] // 256 * max(level, 0) // LEVELS
        if more > 0 and more * 65536 > warm * self._luck[self._below(CHANCES)]:
            self._back_to(self._kept, self._kept_cost)
        else:
            self._keep()

    def _next_cycle(self) -> None:
        """Begin warm or cool again at the best order met; every second cycle is twice as long."""
        self._begun, self._kind = self._looks, (self._kind + 1) % len(WARMTHS)
        self._cycle *= 1 if self._kind else 2
        self._back_to(self.best_row, self.best)
        self._keep()
        self._over = self._what_is_over()

    def _kick(self) -> None:
        """Exchange near pairs of blocks at random, as far as precedence lets.

        Much precedence may allow none of the pairs drawn; then the tries run out and the order stays.
        """
        first, swaps, tries = self._below(self.n - self._reach + 1), 0, 0
        while swaps < SWAPS and tries < TRIES:
            x, y, z = sorted(first + self._below(self._reach + 1) for _ in range(3))
            self._looks += 1
            tries += 1
            if x < y < z and self._exchangeable(x, y, z):
                move = Move(x, y, z)
                self.now -= sum(self.cost[i][j] for i, j in self._arcs(move.back()))
                self._done(move)
                self.now += sum(self.cost[i][j] for i, j in self._arcs(move))
                self._ask(self._arcs(move))
                swaps += 1

    def _one_step(self) -> None:
        """A chain where one is asked for; else judge what the last kick came to, and kick again."""
        if self._queue:
            self._serve()
            return
        self._judge()
        if self._looks - self._begun >= self._cycle:
            self._next_cycle()
        self._kick()


class Compiled:
    """The search in kernel/sop.c, with the methods of `Search`."""

    def __init__(self, problem: IntegerProblem, row: Sequence[int], seed: int) -> None:
        self._search = api.SopSearch(_tables(problem), row, problem.total(row), seed)

    def run(self, steps: int) -> None:
        """Do so many steps."""
        self._search.run(steps)

    def found(self) -> tuple[int, list[int]]:
        """The least cost met [units], and its order."""
        return self._search.found()

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        self._search.close()


def reach(n: int) -> int:
    """Jobs that a kick moves blocks among: all, where there are fewer than it would take."""
    return min(REACH, n)


def first_cycle(n: int) -> int:
    """Looks of the first cycle: in step with the jobs, so that a large order is as far when the warmth falls."""
    return FIRST_CYCLE * n


def turns(problem: IntegerProblem) -> bool:
    """Whether most pairs that may stand either way cost the same both ways: only then is turning a block round
    worth looking at, for else all costs within it change.
    """
    pairs = [(i, j) for i in range(problem.n) for j in problem.follow[i] if j < i and problem.next[j] >> i & 1]
    return 2 * sum(problem.cost[i][j] == problem.cost[j][i] for i, j in pairs) > len(pairs)


def good_neighbours(problem: IntegerProblem) -> tuple[list[list[int]], list[list[int]]]:
    """For each job and the door those that it follows most cheaply and those that follow it most cheaply.

    For the door as the end there are none of the first kind: it follows all at no cost.
    """
    # Each is told in the order of its numbers, and sorting leaves those that cost the same as they are.
    arriving = zip(problem.lead, zip(*problem.cost, strict=True), strict=False)
    leaving = zip(problem.follow, problem.cost, strict=True)
    return (
        [*(sorted(some, key=costs.__getitem__)[:GOOD] for some, costs in arriving), []],
        [sorted(some, key=costs.__getitem__)[:GOOD] for some, costs in leaving],
    )


def luck() -> list[int]:
    """Minus logarithms of evenly spread chances, in 256ths: a table in whole numbers, which the compiled twin is
    handed as it is, so that no logarithm of another library can part the two.

    >>> luck()[CHANCES // 2 - 1 : CHANCES // 2 + 1]  # 256 times the logarithm of 2
    [178, 177]
    """
    return [round(-256 * math.log((k + 0.5) / CHANCES)) for k in range(CHANCES)]


def _tables(problem: IntegerProblem) -> api.SearchTables:
    """A problem as the kernel reads it."""
    good_before, good_after = good_neighbours(problem)
    return api.SearchTables(
        jobs=problem.n, reach=reach(problem.n), first_cycle=first_cycle(problem.n), turns=turns(problem),
        cost=[value for row in problem.cost for value in row], warmths=WARMTHS, luck=luck(),
        least=problem.least_before(),
        above=problem.above, below=problem.below, good_before=good_before, good_after=good_after,
    )  # fmt: skip
