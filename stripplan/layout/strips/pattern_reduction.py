"""Fewer different patterns: a few are taken out, what they make is made anew in as many or fewer.

Problem: a plan of so many plates in several patterns; find one of the same plates and strips in fewer. Each
pattern is a set of fence settings that somebody has to make.

Method: patterns that share strips are taken out. Patterns are made one by one, each to run as long as it can
without leaving more free than the plan has to leave free (the sequential idea of R. W. Haessler, Management
Science 17 (1971) 793-801). The last two are found together: for each way to share the plates between them, the
first may hold only so many of each strip that the second can hold the rest, and one table of reachable widths
tells whether both fit; so patterns are combined, as by H. Foerster, G. Waescher, Int. J. Production Research 38
(2000) 1657-1676. Fewer patterns are always kept; as many are kept by simulated annealing on the sum of the
squared runs, in cycles, each twice as long as the one before. Not a proof of the least number.

There are two of this search with the same answers: `Search` here, and a compiled twin in
kernel/pattern_reduction.c. Both draw the same random numbers in the same order, so a draw more or less here is
one there as well. All numbers are whole. Cost of a try: patterns taken out x runs x strips x the plate's units
as bits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.kernel import Rng, api, available

MOST_TAKEN, LOOKS = 16, 8
"""Patterns taken out in a step: many give freedom, but take longer to make anew; how often to look for one that
has more strips in common. Set by trial, not studied."""
TRIED_OF_THREE = 4
"""How often the first of three patterns is drawn, to find the other two: more luck for each step, but fewer
steps. Set by trial, not studied."""
LESS_FULL, FINISHED, SPLIT_SKIPPED, RUN_SKIPPED = 50, 70, 20, 15
"""Chances in 100: of a less full plate, to make all that is wanted of a strip, to pass over a split or a run.
Set by trial, not studied."""
FIRST_CYCLE, WARMTH = 1024, 40
"""Steps of the first cycle; what may be lost at its start, in squares of the mean run. Set by trial, not studied."""

Pattern = tuple[tuple[int, int], ...]
"""(item, how many), items rising, none of them nothing."""


@dataclass(frozen=True)
class Task:
    """One stock: widths and capacity in units of `unit`; `rest` is what the capacity has over whole units.

    A pattern may leave nothing, `zone` or more, or as much as one of its items may stay over size (`over`).
    `least` is the least width of a pattern.
    """

    widths: tuple[int, ...]
    over: tuple[int, ...]
    capacity: int
    least: int
    unit: int
    rest: int
    zone: int
    max_pieces: int
    max_distinct: int
    min_runs: int

    def rest_ok(self, total: int, over: int) -> bool:
        """Whether a plate filled so far may be left so: filled, or the zone or more, or no more than a strip may
        stay over size.

        `total` is in units of `unit`, `over` in units of the problem's grid, as is what is left.
        """
        slack = self.rest + (self.capacity - total) * self.unit
        return slack == 0 or slack >= self.zone or slack <= over

    def legal(self, pattern: Pattern) -> bool:
        """Whether a pattern fits and keeps the side rules."""
        total = sum(n * self.widths[item] for item, n in pattern)
        few = 0 < sum(n for _, n in pattern) <= self.max_pieces and len(pattern) <= self.max_distinct
        over = max((self.over[item] for item, _ in pattern), default=0)
        return few and self.least <= total <= self.capacity and self.rest_ok(total, over)


@dataclass(slots=True)
class _Entry:
    """Numbers of one item to choose from: `base + number * step`, `number` at most `most`; `size` = width of a step."""

    item: int
    size: int
    most: int
    finish: int = 0
    base: int = 0
    step: int = 1
    number: int = 0


class Search:
    """Patterns and their runs, and the best met. The patterns given must be legal for the task; `seed` fixes all
    draws.
    """

    def __init__(self, task: Task, patterns: Sequence[tuple[Pattern, int]], seed: int) -> None:
        self.task = task
        self.now = list(patterns)
        self.best = list(patterns)
        self._below = Rng(seed).below
        self._warmest = warmest(patterns)
        self._step, self._cycle = 0, FIRST_CYCLE
        self._most_over = max(task.over, default=0)
        self._wanted = [0] * len(task.widths)
        self._total = 0
        self._made: list[tuple[Pattern, int]] = []

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once one pattern is left. May be called again to go on from where it
        stopped.
        """
        done = 0
        while done < steps and len(self.now) > 1:
            self._one_step()
            done += 1
        return done

    def found(self) -> list[tuple[Pattern, int]]:
        """The fewest patterns met, with their runs."""
        return self.best

    def close(self) -> None:
        """Nothing to give back."""

    # numbers of pieces that fill a plate

    def _filled(self, entries: list[_Entry], low: int, high: int, fixed: int) -> bool:
        """Numbers whose sizes add up to low..high, one of many by chance; False if there are none."""
        if high < 0 or sum(e.size * e.most for e in entries) < low:
            return False
        # In random order, as the way back chooses for the last entry first: else the same items would always
        # choose first.
        for n in range(len(entries) - 1, 0, -1):
            other = self._below(n + 1)
            entries[n], entries[other] = entries[other], entries[n]
        rows = _reach(entries, high)
        total = self._chosen_total(rows[-1], max(low, 0), fixed)
        if total < 0:
            return False
        for e, row in zip(reversed(entries), reversed(rows[:-1]), strict=True):
            e.number = self._chosen_number(e, row, total)
            total -= e.number * e.size
        return True

    def _chosen_total(self, row: int, low: int, fixed: int) -> int:
        """The greatest width reached, by chance the next, and so on; below 0 = none may be left so."""
        total = -1
        while (t := row.bit_length() - 1) >= low:
            row ^= 1 << t
            if self.task.rest_ok(t + fixed, self._most_over):
                total = t
                if self._below(100) >= LESS_FULL:
                    break
        return total

    def _chosen_number(self, e: _Entry, row: int, total: int) -> int:
        """How many of one entry, so that the entries before it can still make up the rest; at times all that is
        wanted of it.
        """
        some = [n for n in range(min(e.most, total // e.size) + 1) if row >> (total - n * e.size) & 1]
        if e.finish and e.finish in some and self._below(100) < FINISHED:
            return e.finish
        return some[self._below(len(some))]

    # patterns made anew

    def _keep(self, pattern: Pattern, runs: int) -> bool:
        """Whether a pattern is legal; then it is one of those made."""
        if not self.task.legal(pattern):
            return False
        self._made.append((pattern, runs))
        return True

    def _one_left(self, plates: int) -> bool:
        """Whether one pattern makes all that is left: so it is where every number is a multiple of the plates."""
        if plates < self.task.min_runs or any(n % plates for n in self._wanted):
            return False
        return self._keep(tuple((item, n // plates) for item, n in enumerate(self._wanted) if n), plates)

    def _shared(self, one: int, two: int) -> list[_Entry] | None:
        """What the first of two patterns may hold so that the second can hold the rest; None if it cannot be.

        With runs `one` and `two`, wanted = one x first + two x second in whole numbers: so the first's number
        is a base plus a multiple of a step that is the same for all items, and no more than leaves the second
        nothing below 0.
        """
        entries = []
        step = next(n for n in range(1, two + 1) if n * one % two == 0)
        for item, wanted in enumerate(self._wanted):
            if not wanted:
                continue
            base = next((n for n in range(wanted // one + 1) if (wanted - n * one) % two == 0), None)
            if base is None:
                return None
            size, most = step * self.task.widths[item], (wanted // one - base) // step
            entries.append(_Entry(item, size, most, 0, base, step))
        return entries

    def _two_with(self, one: int, two: int) -> bool:
        """Whether two patterns of these runs make all that is left."""
        entries, task = self._shared(one, two), self.task
        if entries is None:
            return False
        fixed = sum(e.base * task.widths[e.item] for e in entries)
        # The second must hold the rest: its capacity says the least that the first may hold, its least width
        # the most.
        low = max(-((two * task.capacity - self._total) // one), task.least)
        high = min((self._total - two * task.least) // one, task.capacity)
        if low > high or fixed > high or not self._filled(entries, low - fixed, high - fixed, fixed):
            return False
        first = {e.item: e.base + e.number * e.step for e in entries}
        second = {item: (self._wanted[item] - one * n) // two for item, n in first.items()}
        if not task.legal(_pattern(second)):
            return False
        return self._keep(_pattern(first), one) and self._keep(_pattern(second), two)

    def _two_left(self, plates: int) -> bool:
        """Whether two patterns make all that is left on so many plates, for some way to share the plates between
        them.
        """
        for one in range(plates - self.task.min_runs, (plates - 1) // 2, -1):
            if self._below(100) >= SPLIT_SKIPPED and self._two_with(one, plates - one):
                return True
        return False

    def _running(self, times: int, low: int) -> bool:
        """Whether a pattern of total `low` or more can run so often; it is then one of those made."""
        entries = []
        for item, wanted in enumerate(self._wanted):
            width = self.task.widths[item]
            if most := min(wanted // times, self.task.capacity // width):
                entries.append(_Entry(item, width, most, 0 if wanted % times else wanted // times))
        if not self._filled(entries, low, self.task.capacity, 0):
            return False
        return self._keep(_pattern({e.item: e.number for e in entries}), times)

    def _longest(self, plates: int) -> int:
        """Runs of the pattern made, the longest there can be or by chance a shorter; 0 = none."""
        task = self.task
        free = plates * task.capacity - self._total
        # Long runs first: fewer plates are left for the patterns after it. A run may use up all that the plan leaves
        # free, and no more, or the plates after it could not hold the rest.
        for times in range(min(plates, max(self._wanted)), task.min_runs - 1, -1):
            if times < plates and plates - times < task.min_runs:
                continue
            if times > 1 and self._below(100) < RUN_SKIPPED:
                continue
            if self._running(times, max(task.capacity - free // times, task.least)):
                return times
        return 0

    def _rebuilt(self, plates: int, most: int) -> bool:
        """Whether what is wanted was made on so many plates in at most `most` patterns."""
        self._made = []
        self._total = sum(n * width for n, width in zip(self._wanted, self.task.widths, strict=True))
        while plates:
            # At each stage it may be that one pattern makes the rest: then fewer were needed than were taken
            # out.
            if self._one_left(plates):
                return True
            left = most - len(self._made)
            if left <= 3:
                return self._three_left(plates) if left == 3 else left == 2 and self._two_left(plates)
            times = self._longest(plates)
            if not times:
                return False
            plates -= times
            self._take_from_wanted(1)
        return True

    def _three_left(self, plates: int) -> bool:
        """Whether a few draws of a first pattern led to one after which at most two make the rest."""
        for _ in range(TRIED_OF_THREE):
            times = self._longest(plates)
            if not times:
                return False
            self._take_from_wanted(1)
            rest = plates - times
            if not rest or self._one_left(rest) or self._two_left(rest):
                return True
            self._take_from_wanted(-1)
            self._made.pop()
        return False

    def _take_from_wanted(self, sign: int) -> None:
        """What the last pattern makes is wanted no more; with a sign of -1, wanted again."""
        pattern, times = self._made[-1]
        for item, n in pattern:
            self._wanted[item] -= sign * times * n
            self._total -= sign * times * n * self.task.widths[item]

    # a step

    def _in_common(self, at: int) -> int:
        """How many items of a pattern are also in those taken out."""
        return sum(self._wanted[item] > 0 for item, _ in self.now[at][0])

    def _near(self, left: int) -> int:
        """Of a few drawn, the pattern that has most items in common with those taken out; of these the shortest run."""
        at = self._below(left)
        most = self._in_common(at)
        for _ in range(LOOKS):
            other = self._below(left)
            same = self._in_common(other)
            if same > most or (same == most and self.now[other][1] < self.now[at][1]):
                at, most = other, same
        return at

    def _take_out(self, many: int) -> int:
        """Plates of the patterns taken out, which are moved to the end."""
        self._wanted = [0] * len(self.task.widths)
        for left in range(len(self.now), len(self.now) - many, -1):
            at = self._below(left) if left == len(self.now) else self._near(left)
            self.now[at], self.now[left - 1] = self.now[left - 1], self.now[at]
            pattern, runs = self.now[left - 1]
            for item, n in pattern:
                self._wanted[item] += runs * n
        return sum(runs for _, runs in self.now[len(self.now) - many :])

    def _accepted(self, out: list[tuple[Pattern, int]]) -> bool:
        """Whether what was made takes the place of what was taken out.

        Fewer patterns always. As many: if the sum of squared runs did not fall, or fell by less than a random share of
        what may be lost now. A great sum has long runs beside short ones, and short ones are the ones that can
        be taken up by others.
        """
        longer = sum(runs * runs for _, runs in self._made) - sum(runs * runs for _, runs in out)
        warm = self._warmest * (self._cycle - self._step) // self._cycle
        return len(self._made) < len(out) or longer >= 0 or (warm > 0 and longer >= -self._below(warm))

    def _put_in(self, kept: int) -> None:
        """The patterns kept and those made; one that is there already only runs longer, and so a pattern is saved."""
        runs = dict(self.now[:kept])
        for pattern, times in self._made:
            runs[pattern] = runs.get(pattern, 0) + times
        self.now = list(runs.items())

    def _one_step(self) -> None:
        """Take out, make anew, keep or leave as it was. At the end of a cycle the next begins warm again, twice as
        long.
        """
        if self._step == self._cycle:
            self._step, self._cycle = 0, self._cycle * 2
        many = 2 + self._below(min(len(self.now), MOST_TAKEN) - 1)
        plates, kept = self._take_out(many), len(self.now) - many
        if self._rebuilt(plates, many) and self._accepted(self.now[kept:]):
            self._put_in(kept)
            if len(self.now) < len(self.best):
                self.best = list(self.now)
        self._step += 1


def warmest(patterns: Sequence[tuple[Pattern, int]]) -> int:
    """What a step may lose at the start of a cycle: so many squares of the mean run."""
    return WARMTH * sum(runs for _, runs in patterns) ** 2 // max(len(patterns), 1) ** 2


def _pattern(counts: dict[int, int]) -> Pattern:
    return tuple(sorted((item, n) for item, n in counts.items() if n))


def _reach(entries: Sequence[_Entry], high: int) -> list[int]:
    """For each number of entries the widths up to `high` that they reach, as bits.

    >>> [bin(row) for row in _reach([_Entry(0, 2, 2)], 5)]  # 0; then 0, 2 and 4
    ['0b1', '0b10101']
    """
    rows, mask = [1], (1 << (high + 1)) - 1
    for e in entries:
        bits, step, most = rows[-1], 1, e.most
        while most > 0:
            if min(step, most) * e.size <= high:
                bits |= (bits << (min(step, most) * e.size)) & mask
            most -= step
            step *= 2
        rows.append(bits)
    return rows


class Compiled:
    """The search in kernel/pattern_reduction.c, with the methods of `Search`. Must be closed, since it holds
    memory.
    """

    def __init__(self, task: Task, patterns: Sequence[tuple[Pattern, int]], seed: int) -> None:
        limits = {name: value for name, value in vars(task).items() if name not in {"widths", "over"}}
        counts = [dict(pattern).get(item, 0) for pattern, _ in patterns for item in range(len(task.widths))]
        self._search = api.PatternReduction(
            api.strips_task(task.widths, task.over, **limits), [runs for _, runs in patterns], counts,
            warmest=warmest(patterns), seed=seed,
        )  # fmt: skip

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once one pattern is left."""
        return self._search.run(steps)

    def found(self) -> list[tuple[Pattern, int]]:
        """The fewest patterns met, with their runs."""
        return [(_pattern(dict(enumerate(counts))), runs) for runs, counts in self._search.found()]

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        self._search.close()


def search(task: Task, patterns: Sequence[tuple[Pattern, int]], seed: int) -> Search | Compiled:
    """The compiled search where it was built, else the other."""
    return Compiled(task, patterns, seed) if available() else Search(task, patterns, seed)
