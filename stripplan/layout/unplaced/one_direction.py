"""One direction of one piece: from its size down to a part's, scrap cut off slice by slice.

Asked: sizes `whole` and `wanted`, what each end of the piece is (mill edge, cut, cut square) and what a cut must
keep (fence, far side, narrowest offcut, trim). Answer: the fewest slices, or that there are none.

Method: breadth first over the sizes that n slices can leave. A slice is legal where what is kept lies in one interval
and what comes off in another (`Window`), so the sizes after n slices are a few intervals and no size is tried by
itself. Exact: all sizes in whole units, and the search ends when no new size is reached. Cost: layers times intervals
times at most eight kinds of slices (two ends, square or not, two sides of the torch). Answers are kept for tasks asked
again. No source: breadth-first search is common knowledge, its intervals are the project's own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from stripplan.layout.feasible import ANY, Limits
from stripplan.model.workpiece import Side

End = Literal["mill", "cut", "square"]
"""An end of a piece: as rolled, cut, or cut with the piece on the square side."""
Ends = tuple[End, End]
"""At small and at large coordinates."""
Interval = tuple[int, int]
Sizes = dict[Ends, list[Interval]]


@dataclass(frozen=True)
class Slice:
    """A cut that takes `off` (kerf and all) from one end; `square`: the piece must lie on the square side.

    With the kerf in it, slices and what they leave sum up to the size before, whatever the kerf does at the edge.
    """

    end: Side
    off: int
    square: bool


@dataclass(frozen=True)
class Task:
    """From `whole` to `wanted`, or as much as `over` more; the edges at both ends square if asked.

    All that an answer depends on, and no more: equal tasks of different parts and plates share one entry of the cache.
    """

    whole: int
    wanted: int
    over: int
    ends: Ends
    square: bool
    limits: Limits


@dataclass(frozen=True)
class Window:
    """Slices of one kind: off which end, what the ends are afterwards, the sizes kept and taken off (kerf and all).

    Both limits of a cut (fence, far side) are intervals, of one side or of the other, and independent of each other:
    only so may whole intervals of sizes be carried from slice to slice.
    """

    end: Side
    after: Ends
    kept: Interval
    off: Interval


@lru_cache(maxsize=4096)
def slices(task: Task) -> tuple[Slice, ...] | None:
    """The fewest slices from whole to wanted, the wanted size itself before one over it; None = there are none.

    A piece of 100 is brought to 60 by one slice that takes 40, kerf and all:

    >>> slices(Task(100, 60, 0, ("cut", "cut"), False, Limits(kerf=2)))
    (Slice(end='high', off=40, square=False),)

    With room for 20 beside the torch, and the fence from 70 up, scrap comes off first, in two slices of 20:

    >>> limits = Limits(kerf=2, reach=(60, 200), far_max=18, marked=False)
    >>> [each.off for each in slices(Task(100, 60, 0, ("cut", "cut"), False, limits))]
    [20, 20]

    Where 11 would be left and 12 are the least, there is none:

    >>> slices(Task(71, 60, 0, ("cut", "cut"), False, Limits(kerf=2, narrowest=10))) is None
    True
    """
    layers = _layers(task)
    # The exact size first, even by more slices: over size is a way out, not a saving of cuts.
    for target in ((task.wanted, task.wanted), (task.wanted, task.wanted + task.over)):
        for number, layer in enumerate(layers):
            for ends, intervals in layer.items():
                low = min((max(a, target[0]) for a, b in intervals if a <= target[1] and b >= target[0]), default=None)
                if low is not None and _done(task, ends):
                    return _way_to(task, layers[: number + 1], low, ends)
    return None


def _done(task: Task, ends: Ends) -> bool:
    """Whether both ends are as the part needs them: no mill edge with a trim to come off, and square where asked.

    Where square is asked and there is no trim, a mill edge will do; a cut edge never does, as one does not know what
    lay on which side of the torch.
    """
    left = {"mill"} if task.limits.trim == 0 else set()
    return all(end in left | ({"square"} if task.square else {"cut", "square"}) for end in ends)


def _layers(task: Task) -> list[Sizes]:
    """Sizes first reached by no slice, by one, by two and so on, by what the ends then are.

    >>> layers = _layers(Task(100, 60, 0, ("cut", "cut"), False, Limits(kerf=2, narrowest=10)))
    >>> [sorted(layer.values()) for layer in layers]
    [[[(100, 100)]], [[(60, 88)]]]
    """
    layers: list[Sizes] = [{task.ends: [(task.whole, task.whole)]}]
    known: Sizes = {task.ends: [(task.whole, task.whole)]}
    while layers[-1]:
        found: Sizes = {}
        for ends, intervals in layers[-1].items():
            for window in _windows(task, ends):
                images = [image for each in intervals if (image := _image(task, window, each)) is not None]
                found.setdefault(window.after, []).extend(images)
        # Only sizes not met before go into the next layer: the search ends, and its first answer has the fewest slices.
        new = {ends: _without(_joined(images), known.get(ends, [])) for ends, images in found.items()}
        for ends, intervals in new.items():
            known[ends] = _joined([*known.get(ends, []), *intervals])
        layers.append({ends: intervals for ends, intervals in new.items() if intervals})
    # The last layer is empty: it is what ended the loop.
    return layers[:-1]


def _image(task: Task, window: Window, sizes: Interval) -> Interval | None:
    """Sizes that slices of one kind leave of sizes in an interval; None = none.

    Sizes below the wanted one are dropped here: metal does not grow again, so nothing comes of them. Each size between
    the two ends is reached from some size of the interval, so the image of an interval is one interval again.
    """
    low = max(sizes[0] - window.off[1], window.kept[0], task.wanted)
    high = min(sizes[1] - window.off[0], window.kept[1])
    return (low, high) if low <= high else None


def _windows(task: Task, ends: Ends) -> Iterator[Window]:
    """All kinds of slices off a piece with these ends, off the high end first; a square end is cut square again or not
    at all.
    """
    for number in (1, 0):
        least = task.limits.trim if ends[number] == "mill" else 0
        for square in (False, True) if task.square else (False,):
            if ends[number] == "square" and not square:
                continue
            new: End = "square" if square else "cut"
            after: Ends = (ends[0], new) if number else (new, ends[1])
            for kept, off in _legal(task.limits, least, square=square):
                if off[0] <= off[1] and kept[0] <= kept[1]:
                    yield Window("high" if number else "low", after, kept, off)


def _legal(limits: Limits, least: int, *, square: bool) -> Iterator[tuple[Interval, Interval]]:
    """`Limits.split_ok` and `rest_ok` as intervals of what is kept and what comes off.

    A test holds them to those two questions: a new limit there must become an interval here.
    """
    kerf, far, any_width = limits.kerf, ANY if limits.far_max is None else limits.far_max, (-ANY, ANY)
    least = max(least, limits.narrowest)
    # As `Limits.gap`: without a least width the kerf may run off the edge.
    thinnest = kerf + least if least else 1
    # A cut that may be marked needs no fence, so any width may lie on it.
    reach = any_width if limits.marked else limits.reach
    # The piece kept lies on the fence, what comes off beside the torch.
    if not square or limits.square_side != "far":
        yield reach, (thinnest, kerf + far)
    # The other way about: what comes off lies on the fence.
    if not square or limits.square_side != "fence":
        yield (-ANY, far), (max(thinnest, kerf + reach[0]), kerf + reach[1])


def _way_to(task: Task, layers: list[Sizes], size: int, ends: Ends) -> tuple[Slice, ...]:
    """Back from a size in the last layer, the widest slices first.

    Wide first, so that what is scrap comes off in few large pieces, of which some may serve for another part.
    """
    found: list[Slice] = []
    for layer in reversed(layers[:-1]):
        # Slices that led here are found again by asking which size of the layer before could; none was stored.
        # The least size before makes this slice thin and the earlier ones wide.
        before, step, was = min(
            (before, step, was)
            for was, intervals in layer.items()
            for window in _windows(task, was)
            if window.after == ends and window.kept[0] <= size <= window.kept[1]
            for interval in intervals
            if (before := max(interval[0], size + window.off[0])) <= min(interval[1], size + window.off[1])
            for step in (window.end,)
        )
        changed = ends[1] if step == "high" else ends[0]
        found.append(Slice(step, before - size, changed == "square"))
        size, ends = before, was
    return tuple(reversed(found))


def _joined(intervals: list[Interval]) -> list[Interval]:
    """The same whole numbers in as few intervals as possible, in order.

    >>> _joined([(5, 7), (1, 2), (3, 4)])
    [(1, 7)]
    """
    joined: list[Interval] = []
    for low, high in sorted(intervals):
        if joined and low <= joined[-1][1] + 1:
            joined[-1] = joined[-1][0], max(joined[-1][1], high)
        else:
            # A gap of at least one whole number lies before this interval.
            joined.append((low, high))
    return joined


def _without(intervals: list[Interval], known: list[Interval]) -> list[Interval]:
    """What of the intervals is not known; both in order.

    >>> _without([(1, 10)], [(3, 4), (8, 20)])
    [(1, 2), (5, 7)]
    """
    left = []
    for low, high in intervals:
        for a, b in known:
            if b < low or a > high:
                continue
            if a > low:
                left.append((low, a - 1))
            low = b + 1
        if low <= high:
            left.append((low, high))
    return left
