"""Fewer different patterns for the same plates and strips: fewer fence settings to learn, the same metal.

Method: a few patterns at a time are taken out, and what they make is made anew by patterns that run as long as
they can without wasting more than there is to waste (the sequential idea of R. W. Haessler, Management Science 17 (1971) 793-801 and
Operations Research 23 (1975) 483-493, applied to a part of the plan). As few patterns or fewer, with longer runs, are kept. Choices are
drawn from a fixed seed, so that the same plan gives the same answer. Not a proof of the least number.
Cost of a try: patterns taken out x runs x strips x a whole number of as many bits as the plate has units.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

from .generate import StripWorld
from .master import Column

DEFAULT_TRIES = 300
MOST_TAKEN = 16
SIDEWAYS = 0.05
SKIPPED = 0.15
"""Chances: to accept shorter runs in as many patterns, and to pass over the longest run."""

Pattern = tuple[tuple[int, int], ...]
"""(item, how many), items rising, none of them nothing."""
Runs = dict[Pattern, int]


@dataclass(frozen=True)
class PatternRules:
    """Side rules that a pattern must keep besides fitting; the built-in values do not bind."""

    max_pieces: int = 10**9
    max_distinct: int = 10**9
    min_width: int = 0
    min_runs: int = 1


def fewest_patterns(
    world: StripWorld,
    uses: Sequence[tuple[Column, int]],
    *,
    tries: int = DEFAULT_TRIES,
    out_of_time: Callable[[], bool] = lambda: False,
    rules: PatternRules = PatternRules(),
) -> tuple[tuple[Column, int], ...]:
    """The same plates of each stock and the same strips in at most as many different patterns.

    `tries` counts rebuildings for each stock. The answer is the uses themselves where nothing better was found.
    """
    found: list[tuple[Column, int]] = []
    for stock in range(len(world.costs)):
        mine = [(column, times) for column, times in uses if column.stock == stock and times]
        runs: Runs = {}
        for column, times in mine:
            pattern = tuple((i, n) for i, n in enumerate(column.counts) if n)
            runs[pattern] = runs.get(pattern, 0) + times
        better = _Reducer(world, stock, rules, tries, out_of_time).reduced(runs)
        count = len(world.demands)
        found += mine if len(better) >= len(mine) else [(Column(stock, _dense(p, count)), n) for p, n in better.items()]
    return tuple(found)


def _dense(pattern: Pattern, count: int) -> tuple[int, ...]:
    counts = [0] * count
    for item, n in pattern:
        counts[item] = n
    return tuple(counts)


@dataclass
class _Reducer:
    """Search on the patterns of one stock; `tries` is what is left of the work."""

    world: StripWorld
    stock: int
    rules: PatternRules
    tries: int
    out_of_time: Callable[[], bool]

    def __post_init__(self) -> None:
        self.full_widths = self.world.widths(self.stock)
        unit = math.gcd(*self.full_widths)
        self.widths = [width // unit for width in self.full_widths]
        self.capacity = self.world.capacity(self.stock) // unit
        self._random = Random(1)

    def reduced(self, runs: Runs) -> Runs:
        """The fewest patterns met."""
        best = now = runs
        while self.tries > 0 and len(best) > 1 and not self.out_of_time():
            self.tries -= 1
            now = self._rebuilt(now)
            if len(now) < len(best):
                best = now
        return best

    def _rebuilt(self, runs: Runs) -> Runs:
        """A few patterns taken out and made anew; the runs as they were unless that is as good or better."""
        out = self._taken_out(runs)
        wanted: dict[int, int] = {}
        for pattern in out:
            for item, n in pattern:
                wanted[item] = wanted.get(item, 0) + n * runs[pattern]
        kept = {pattern: times for pattern, times in runs.items() if pattern not in out}
        new = self._made(wanted, sum(runs[pattern] for pattern in out), len(out))
        if new is None:
            return runs
        for pattern, times in new.items():
            kept[pattern] = kept.get(pattern, 0) + times
        longer = sum(n * n for n in kept.values()) >= sum(n * n for n in runs.values())
        return kept if len(kept) < len(runs) or longer or self._random.random() < SIDEWAYS else runs

    def _taken_out(self, runs: Runs) -> list[Pattern]:
        """A pattern by chance, and those that have most strips in common with it, with some chance again."""
        draw = self._random.random
        first = self._random.choice(list(runs))
        items = {item for item, _ in first}
        near = sorted(
            (pattern for pattern in runs if pattern != first),
            key=lambda p: draw() * (1 + runs[p]) / (1 + 2 * sum(item in items for item, _ in p)),
        )
        return [first, *near[: self._random.randint(1, MOST_TAKEN - 1)]]

    def _made(self, wanted: dict[int, int], plates: int, most: int) -> Runs | None:
        """Patterns for so many plates, long runs first, at most `most` of them; None where the way taken leads nowhere.

        No plate may waste more than all plates together have to waste, so that the last plate leaves nothing wanted.
        """
        waste = plates * self.capacity - sum(n * self.widths[item] for item, n in wanted.items())
        made: Runs = {}
        while plates:
            if len(made) >= most:
                return None
            found = self._longest(wanted, plates, waste)
            if found is None:
                return None
            pattern, times = found
            made[pattern] = made.get(pattern, 0) + times
            for item, n in pattern:
                wanted[item] -= n * times
            plates -= times
            waste -= times * (self.capacity - sum(n * self.widths[item] for item, n in pattern))
        return made

    def _longest(self, wanted: dict[int, int], plates: int, waste: int) -> tuple[Pattern, int] | None:
        """A pattern that can run longest (by chance the next longest) without wasting too much."""
        for times in range(plates, 0, -1):
            if times < self.rules.min_runs or 0 < plates - times < self.rules.min_runs:
                continue
            least = self.capacity - waste // times
            bounds = [(i, min(n // times, self.capacity // self.widths[i])) for i, n in wanted.items() if n >= times]
            if sum(self.widths[i] * n for i, n in bounds) < least:
                continue
            pattern = self._filled(bounds, least)
            if pattern is not None and (times == 1 or self._random.random() > SKIPPED):
                return pattern, times
        return None

    def _filled(self, bounds: list[tuple[int, int]], least: int) -> Pattern | None:
        """A legal pattern at least `least` wide from so many of each, one of many by chance."""
        self._random.shuffle(bounds)
        reach, mask = [1], (1 << (self.capacity + 1)) - 1
        for item, most in bounds:
            bits, step = reach[-1], 1
            while most > 0:
                bits |= (bits << (self.widths[item] * min(step, most))) & mask
                most -= step
                step *= 2
            reach.append(bits)
        total = reach[-1].bit_length() - 1
        if total < least:
            return None
        counts = []
        for (item, most), below in zip(reversed(bounds), reversed(reach[:-1]), strict=True):
            size = self.widths[item]
            some = [n for n in range(min(most, total // size) + 1) if below >> (total - n * size) & 1]
            n = self._random.choice(some)
            total -= n * size
            if n:
                counts.append((item, n))
        pattern = tuple(sorted(counts))
        return pattern if self._legal(pattern) else None

    def _legal(self, pattern: Pattern) -> bool:
        rules = self.rules
        width = sum(n * self.full_widths[item] for item, n in pattern)
        inside = bool(pattern) and sum(n for _, n in pattern) <= rules.max_pieces and len(pattern) <= rules.max_distinct
        return inside and width >= rules.min_width and self.world.legal(self.stock, _dense(pattern, len(self.widths)))
