"""A plate that holds all parts with little waste: builds from parts upwards, holes from the plate inwards. Exact where
it ends.

Problem: do all parts come from one plate, by cuts from edge to edge of any depth? What is to waste is known: the plate
less all parts, one kerf added to every side, so that cuts have no width.

Method, upwards: rectangles are joined along sides that nearly agree, and dropped where they waste too much (P. Y. Wang,
Operations Research 31 (1983) 573-586; J. F. Oliveira, J. S. Ferreira, EJOR 44 (1990) 256-266). Of builds of the same
parts one that fits wherever the other does stands for both. What must be lost round a build is counted with its waste:
no sum of sides of the parts left over reaches the far edge (K. V. Viswanathan, A. Bagchi, Operations Research 41 (1993)
768-776 bound what comes round a build; sums of sides after N. Christofides, C. Whitlock, ibid. 25 (1977) 30-44).

Method, inwards: of the two pieces that a cut makes one wastes no more than half of what there is to waste. So one build
after the other is cut off a hole, each wasting at most half of what is still to waste in it, until a build fills the
hole. Builds that waste at most half of all are then enough for a proof; with fewer an answer is found sooner. A hole in
which a set of parts found no place is remembered: no smaller one holds it. Sums of sides show how much of a hole can be
filled. Exact bottom-up methods with such halves are also those of M. Dolatabadi, A. Lodi, M. Monaci, Computers and
Operations Research 39 (2012) 48-53, and F. Clautiaux and others (guillotine graphs, Constraints 18 (2013) 541-564).
All sources from memory.

Cost: exponential in the parts and in what is to waste; steps, builds and holes are limited. Where waste may be of any
width, ENDED is a proof; under a gap it is not: a hole is not handed what is spare beside it.

There are two of this search with the same answers: `Search` here, and a compiled twin in kernel/small_waste.c.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from stripplan.kernel import api, available
from stripplan.layout.single_plate.small_waste_task import ENDED, FOUND, FULL, GOING_ON, Counting, Made, Task

BUCKETS = 40
"""Builds lie by the binary logarithm of an extent, so that those which lose too much beside a hole are passed at once;
more than any size has bits."""
MOST_REACH = 1 << 14
"""Sums of sides are worked out up to so many units; larger sizes count as reached. Time against a better bound; set by
trial, not studied."""


@dataclass(slots=True, eq=False)
class _Build:
    """A build while it is searched for; `size` the least, `start` where any size begins, `axis` as in `Made`."""

    size: tuple[int, int]
    start: tuple[int, int]
    area: int
    parts: int
    axis: int
    first: int
    rest: int
    counts: int
    dead: bool = False

    def allowed(self, axis: int, size: int) -> bool:
        """Whether it may be of this size along an axis."""
        return self.size[axis] == size or self.start[axis] <= size

    def stands_for(self, other: _Build) -> bool:
        """Whether it fits wherever another does."""
        return all(self.start[n] <= other.start[n] and self.allowed(n, other.size[n]) for n in (0, 1))


class _Row(NamedTuple):
    """A build as a scan sees it: `key` is the size that must agree, `extent` the other."""

    key: int
    build: int
    extent: int
    area: int
    counts: int
    axis: int


@dataclass(slots=True, eq=False)
class _Frame:
    """A hole that is being cut: what of it can be filled, and the whole; builds come from row `at` of a bucket
    downwards.

    `side` is the build cut off last.
    """

    size: tuple[int, int]
    whole: tuple[int, int]
    waste: int
    counts: int
    axis: int = 0
    bucket: int = BUCKETS
    at: int = -1
    side: int = -1


@dataclass(slots=True)
class _At:
    """Where building is: joined are builds of `less` parts and of `layer` - `less`, along an axis; `row` is the
    next.
    """

    layer: int = 2
    less: int = 1
    axis: int = 0
    swapped: bool = False
    row: int = 0
    layer_from: int = 0


@dataclass
class _Level:
    """All that is found with builds of at most so much waste."""

    builds: list[_Build] = field(default_factory=list)
    known: dict[int, list[int]] = field(default_factory=dict)
    failed: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    holes: int = 0
    layers: dict[tuple[int, int], list[_Row]] = field(default_factory=dict)
    buckets: dict[tuple[int, int], list[_Row]] = field(default_factory=dict)
    frames: list[_Frame] = field(default_factory=list)
    at: _At = field(default_factory=_At)
    last: int = -1
    too_many: bool = False


class Search:
    """The search step by step; `begin`, then `run`, and on after an answer that was no use."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.counting = Counting(task)
        self.parts = sum(kind.copies for kind in task.kinds)
        self.slack = task.slack
        self.steps = 0
        self.waste = 0
        self.level = _Level()
        self.stage = ""

    def begin(self, waste: int) -> None:
        """From the start, with builds that waste no more than this."""
        self.waste, self.level = waste, _Level()
        for number, kind in enumerate(self.task.kinds):
            for way, (x, y) in enumerate(kind.ways if kind.copies else ()):
                fits = x <= self.task.plate[0] and y <= self.task.plate[1]
                if fits and x * y - kind.area <= waste:
                    start = (x + self.task.gap, y + self.task.gap)
                    counts = 1 << self.counting.places[number]
                    self._offer(_Build((x, y), start, kind.area, 1, -1, number, way, counts))
        self._close_layer(1)
        self.stage = "building" if self.parts > 1 else "starting"

    def run(self, steps: int) -> int:
        """Until so many steps are done in all, or FOUND, ENDED, FULL."""
        state = GOING_ON
        while state == GOING_ON and self.steps < steps:
            state = self._go_on()
        return state

    def found(self) -> list[tuple[int, int]]:
        """Builds cut off one after the other, and the axis along which; last the one in the innermost hole."""
        frames = [(frame.side, frame.axis) for frame in self.level.frames]
        return [*frames, (self.level.last, -1)]

    def build(self, number: int) -> Made:
        """A build by its number."""
        one = self.level.builds[number]
        (x, y), (x_from, y_from) = one.size, one.start
        return Made((x, x_from), (y, y_from), one.axis, one.first, one.rest)

    def close(self) -> None:
        """Nothing is held."""

    def _go_on(self) -> int:
        level = self.level
        if self.stage == "building":
            if not self._build_on() or level.too_many:
                self.stage = "starting"
            return GOING_ON
        if self.stage == "starting":
            self._fill_buckets()
            self.stage = "cutting"
            return FOUND if self._enter(self.counting.full, *self.task.plate) else GOING_ON
        if self.stage == "cutting" and level.frames and level.holes < self.task.most_holes:
            return FOUND if self._cut_on() else GOING_ON
        self.stage = "over"
        return FULL if level.too_many or level.frames else ENDED

    # what cannot be completed

    def _reached(self, counts: int, axis: int, size: int) -> int:
        """The greatest sum of sides along an axis, of some parts, that is no more than a size."""
        if size <= 0 or size >= MOST_REACH:
            return size
        sums, inside = 1, (1 << (size + 1)) - 1
        for _, kind, copies in self.counting.kinds_of(counts):
            for _ in range(copies):
                before = sums
                for way in kind.ways:
                    if way[axis] <= size:
                        sums |= before << way[axis] & inside
        return sums.bit_length() - 1

    def _hopeless(self, made: _Build) -> bool:
        """Whether a plate with this build wastes too much whatever comes round it."""
        (x, y), (length, width) = made.size, self.task.plate
        rest, beside, beyond = self.counting.full - made.counts, length - x, width - y
        if not self._room_for_rest(rest, beside, beyond):
            return True
        # Above and below the build, on each line across it, stand sides of other parts, one after the other.
        waste = x * y - made.area + x * (beyond - self._reached(rest, 1, beyond))
        if waste > self.slack:
            return True
        return waste + y * (beside - self._reached(rest, 0, beside)) > self.slack

    def _room_for_rest(self, rest: int, beside: int, beyond: int) -> bool:
        """Whether what must lie beside a build, and what must lie beyond it, is no larger than the room there.

        A rectangle can be moved into the plate's corner; then everything else lies beside it or beyond it.
        """
        length, width = self.task.plate
        must_beside = must_beyond = 0
        for _, kind, copies in self.counting.kinds_of(rest):
            goes_beside = any(x <= beside and y <= width for x, y in kind.ways)
            goes_beyond = any(x <= length and y <= beyond for x, y in kind.ways)
            if not goes_beside and not goes_beyond:
                return False
            must_beside += copies * kind.area * (not goes_beyond)
            must_beyond += copies * kind.area * (not goes_beside)
        return must_beside <= beside * width and must_beyond <= length * beyond

    # builds

    def _offer(self, made: _Build) -> None:
        """Keep a build unless another of the same parts stands for it, or it cannot be completed."""
        builds = self.level.builds
        alike = self.level.known.setdefault(made.counts, [])
        if any(builds[number].stands_for(made) for number in alike) or self._hopeless(made):
            return
        for number in alike:
            builds[number].dead = builds[number].dead or made.stands_for(builds[number])
        alike[:] = [number for number in alike if not builds[number].dead]
        if len(builds) >= self.task.most_builds:
            self.level.too_many = True
            return
        alike.insert(0, len(builds))
        builds.append(made)

    def _join(self, first: int, rest: int, axis: int) -> None:
        """Two builds with a cut between: sizes add up along an axis, and must agree along the other."""
        one, other = self.level.builds[first], self.level.builds[rest]
        across = 1 - axis
        along = one.size[axis] + other.size[axis]
        along_from = min(one.size[axis] + other.start[axis], one.start[axis] + other.size[axis])
        start = max(one.start[across], other.start[across])
        size = start
        if other.allowed(across, one.size[across]):
            size = one.size[across]
        elif one.allowed(across, other.size[across]):
            size = other.size[across]
        length, width = self.task.plate
        sizes, starts = ((along, size), (along_from, start)) if axis == 0 else ((size, along), (start, along_from))
        area = one.area + other.area
        if sizes[0] > length or sizes[1] > width or size > self.task.reach or sizes[0] * sizes[1] - area > self.waste:
            return
        counts = one.counts + other.counts
        self._offer(_Build(sizes, starts, area, one.parts + other.parts, axis, first, rest, counts))

    def _row(self, number: int, axis: int) -> _Row:
        build = self.level.builds[number]
        return _Row(build.size[1 - axis], number, build.size[axis], build.area, build.counts, build.axis)

    def _close_layer(self, parts: int) -> None:
        """The builds of a number of parts that none stands for, in order of the size that must agree."""
        level = self.level
        alive = [n for n in range(level.at.layer_from, len(level.builds)) if not level.builds[n].dead]
        for axis in (0, 1):
            level.layers[axis, parts] = sorted(self._row(number, axis) for number in alive)
        level.at.layer_from = len(level.builds)

    def _build_on(self) -> bool:
        """Scan one build and go to the next; False = all builds are there."""
        at = self.level.at
        other = at.layer - at.less
        low, high = self.level.layers[at.axis, at.less], self.level.layers[at.axis, other]
        # A build is joined with those that are no smaller along the side that must agree, so each pair is met once.
        if at.swapped:
            low, high = high, low
        if at.row < len(low):
            mine = low[at.row]
            self._scan(mine, high, at.row if at.less == other else _first_at(high, mine.key + at.swapped))
            at.row += 1
            return True
        at.row = 0
        if not at.swapped and at.less != other:
            at.swapped = True
            return True
        at.swapped = False
        at.axis = 1 - at.axis
        if at.axis == 1:
            return True
        at.less += 1
        if at.less * 2 <= at.layer:
            return True
        at.less = 1
        self._close_layer(at.layer)
        at.layer += 1
        return at.layer <= self.parts

    def _scan(self, mine: _Row, others: Sequence[_Row], start: int) -> None:
        """One build joined with rows of another layer from `start` on, until more is lost beside it than may be."""
        axis = self.level.at.axis
        room = self.waste - (mine.key * mine.extent - mine.area)
        for at in range(start, len(others)):
            other = others[at]
            lost = (other.key - mine.key) * mine.extent
            if lost > room:
                return
            self.steps += 1
            wasted = lost + other.key * other.extent - other.area
            if wasted > room or not self.counting.together(mine.counts, other.counts):
                continue
            # Three in a row are met as two and one: so not both are cut the way they are joined.
            if mine.extent + other.extent > self.task.plate[axis] or mine.axis == other.axis == axis:
                continue
            self._join(mine.build, other.build, axis)
            if self.level.too_many:
                return

    # from the plate inwards

    def _fill_buckets(self) -> None:
        for axis in (0, 1):
            for bucket in range(BUCKETS):
                self.level.buckets[axis, bucket] = []
            for number, build in enumerate(self.level.builds):
                if not build.dead:
                    self.level.buckets[axis, _bucket_of(build.size[axis])].append(self._row(number, axis))
            for bucket in range(BUCKETS):
                self.level.buckets[axis, bucket].sort()

    def _note_failed(self, counts: int, hole: tuple[int, int]) -> None:
        """These parts do not fill a hole of this size, nor a smaller one."""
        if self.level.holes >= self.task.most_holes:
            self.level.too_many = True
            return
        self.level.failed.setdefault(counts, []).append(hole)
        self.level.holes += 1

    def _each_goes(self, counts: int, hole: tuple[int, int], waste: int) -> bool:
        """Whether each part lies somewhere in a hole without wasting more than there is to waste."""
        return all(
            any(self._lost_round(way, counts - (1 << self.counting.places[number]), hole) <= waste for way in kind.ways)
            for number, kind, _ in self.counting.kinds_of(counts)
        )

    def _lost_round(self, way: tuple[int, int], others: int, hole: tuple[int, int]) -> int:
        """What is lost beside and beyond a part in a hole, as no sum of other parts' sides fills it; much where it does
        not fit."""
        (x, y), beside, beyond = way, hole[0] - way[0], hole[1] - way[1]
        if beside < 0 or beyond < 0:
            return self.task.plate[0] * self.task.plate[1]
        return x * (beyond - self._reached(others, 1, beyond)) + y * (beside - self._reached(others, 0, beside))

    def _enter(self, counts: int, x: int, y: int) -> bool:
        """A hole that some parts are to fill: True where a build does. Else it is to be cut on, unless it cannot
        be filled.
        """
        level, gap = self.level, self.task.gap
        for number in level.known.get(counts, ()):
            if level.builds[number].allowed(0, x) and level.builds[number].allowed(1, y):
                level.last = number
                return True
        if any(x <= length and y <= width for length, width in level.failed.get(counts, ())):
            return False
        area = self.counting.area(counts)
        # A build that fills it would waste no more than is allowed, and would be known.
        if x * y - area <= self.waste:
            return False
        least = self._reached(counts, 0, x), self._reached(counts, 1, y)
        waste = least[0] * least[1] - area
        if waste <= (-1 if gap else self.waste) or not self._each_goes(counts, least, waste):
            self._note_failed(counts, (x, y))
            return False
        # Where any waste may be left all parts can be pushed to the corner, and what none reaches is not needed.
        size = (x, y) if gap else least
        level.frames.append(_Frame(size, (x, y), size[0] * size[1] - area, counts))
        return False

    def _turn_to_next(self, frame: _Frame) -> None:
        """The builds of the next bucket that may span the innermost hole, or the hole is left: it cannot be filled."""
        frame.bucket -= 1
        if frame.bucket < 0:
            frame.axis += 1
            if frame.axis == 2:
                self._note_failed(frame.counts, frame.whole)
                self.level.frames.pop()
                return
            frame.bucket = BUCKETS - 1
        frame.at = _first_at(self.level.buckets[frame.axis, frame.bucket], frame.size[1 - frame.axis] + 1) - 1

    def _cut_off(self, frame: _Frame, row: _Row, most: int) -> bool:
        """Cut a build off the innermost hole where all its parts are wanted there and it wastes no more than `most`.

        True = all parts have their place.
        """
        axis, span = frame.axis, frame.size[1 - frame.axis]
        if row.extent >= frame.size[axis] or row.extent * span - row.area > most or span > self.task.reach:
            return False
        if row.counts == frame.counts or not self.counting.within(row.counts, frame.counts):
            return False
        if not self.level.builds[row.build].allowed(1 - axis, span):
            return False
        frame.side = row.build
        x, y = frame.size
        inner = (x - row.extent, y) if axis == 0 else (x, y - row.extent)
        return self._enter(frame.counts - row.counts, *inner)

    def _cut_on(self) -> bool:
        """Go on with the innermost hole until another is entered or it is left; True = all parts have their place."""
        depth = len(self.level.frames)
        frame = self.level.frames[-1]
        if frame.at < 0:
            self._turn_to_next(frame)
            return False
        most, span = min(frame.waste // 2, self.waste), frame.size[1 - frame.axis]
        rows = self.level.buckets[frame.axis, frame.bucket]
        while frame.at >= 0 and len(self.level.frames) == depth:
            row = rows[frame.at]
            frame.at -= 1
            self.steps += 1
            # The rows below lose more still: each is at least as wide as its bucket tells.
            if (span - row.key) << frame.bucket > most:
                frame.at = -1
            elif self._cut_off(frame, row, most):
                return True
        return False


def _bucket_of(extent: int) -> int:
    """The bucket of an extent of at least one unit."""
    return extent.bit_length() - 1


def _first_at(rows: Sequence[_Row], key: int) -> int:
    """The first row of at least this key."""
    return bisect_left(rows, key, key=lambda row: row.key)


class Compiled:
    """The search in kernel/small_waste.c, with the methods of `Search`."""

    def __init__(self, task: Task) -> None:
        self.task = task
        kinds = [(kind.copies, kind.area, kind.ways) for kind in task.kinds]
        limits = {"gap": task.gap, "reach": task.reach, "most_builds": task.most_builds, "most_holes": task.most_holes}
        self._search = api.SmallWaste(task.plate, kinds, **limits)

    def begin(self, waste: int) -> None:
        """From the start, with builds that waste no more than this."""
        self._search.begin(waste)

    def run(self, steps: int) -> int:
        """Until so many steps are done in all, or FOUND, ENDED, FULL."""
        return self._search.run(steps)

    @property
    def steps(self) -> int:
        """Steps done in all."""
        return self._search.steps()

    def found(self) -> list[tuple[int, int]]:
        """Builds cut off one after the other, and the axis along which; last the one in the innermost hole."""
        return self._search.found()

    def build(self, number: int) -> Made:
        """A build by its number."""
        x, x_from, y, y_from, axis, first, rest = self._search.build(number)
        return Made((x, x_from), (y, y_from), axis, first, rest)

    def close(self) -> None:
        """Give the memory back; nothing may be asked after it."""
        self._search.close()


def search_of(task: Task) -> Search | Compiled:
    """The compiled search where it was built, else the one in Python. MemoryError where C is refused memory."""
    return Compiled(task) if available() else Search(task)
