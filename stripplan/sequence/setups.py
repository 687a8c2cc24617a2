"""What changes between two cuts, and how many seconds that takes.

The cost of a cut depends on what went before only through a small state: fence reading, end stop, and
what lies on the bed in which pose. That makes the order of work a sequential-ordering problem.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..model.rig import Rig
from ..rig.timing import handling_seconds
from .placing import Lay, Way


@dataclass(frozen=True)
class Bed:
    """State of the rig after a cut. `right` and `left` lie on the bed as (plate, lay); travel and face give their pose."""

    reading: float | None = None
    stop: float | None = None
    right: tuple[int, Lay] | None = None
    left: tuple[int, Lay] | None = None
    travel: int = 0
    face_up: bool = True


@dataclass(frozen=True)
class Change:
    """What is changed before a cut, the end stop of each pass, and the seconds by cause."""

    fence: bool
    end_stop: bool
    quarter_turns: int
    fetch: bool
    push: bool
    clear: bool
    stops: tuple[float, ...]
    seconds: tuple[float, float, float, float, float, float, float, float]
    """fence, end_stop, quarter_turn, turn_over, fetch, push, dress, clear [s]."""


CAUSES = ("fence", "end_stop", "quarter_turn", "turn_over", "fetch", "push", "dress", "clear")


def change(rig: Rig, bed: Bed, plate: int, lay: Lay, way: Way) -> Change:
    """What must be changed from `bed` to make the cut `way` of the piece `lay` of a plate.

    `lay` is the piece as it lies (edges not dressed yet); it is on the bed when it is one of the
    products of the cut before.
    """
    s = rig.seconds
    here = [each for each in (bed.right, bed.left) if each is not None]
    stays = any(each[0] == plate and each[1] is lay for each in here)
    turns = (bed.travel - way.travel) % 4 if stays else 0
    if stays and not lay.face_up:
        turns = -turns % 4  # seen from above, a piece that lies face down turns the other way
    turn_seconds = 0.0
    if turns:
        quarters = 2 if turns == 2 else 1
        turn_seconds = quarters * handling_seconds(rig, s.quarter_turn, lay.mass, two_person=lay.two_person)
    fetch_seconds = 0.0 if stays else handling_seconds(rig, s.fetch, lay.mass, two_person=lay.two_person)
    push = stays and not turns
    fence, fence_seconds = _fence(rig, bed, way)
    stops, stop_changes, stop_seconds = _stops(rig, bed, way)
    over_seconds = 0.0
    dress_seconds = sum(_edge_length(lay, side) for side in way.dress) * s.dress_per_m / 1000
    if len(stops) == 2:  # between the passes: scrape the first half, turn over end for end
        over_seconds = handling_seconds(rig, s.turn_over, lay.mass, two_person=lay.two_person)
        dress_seconds += way.stops[0][0] * s.dress_per_m / 1000
    clear = len(here) > (1 if stays else 0)
    return Change(
        fence, stop_changes, turns, not stays, push, clear, stops,
        (
            fence_seconds, stop_seconds, turn_seconds, over_seconds, fetch_seconds,
            s.push if push else 0.0, dress_seconds, s.clear if clear else 0.0,
        ),
    )  # fmt: skip


def after(bed: Bed, plate: int, way: Way, made: Change) -> Bed:
    """The state of the rig once the cut is made."""
    reading = way.setting.reading if way.located == "fence" else bed.reading
    right, left = way.right, way.left
    return Bed(
        reading,
        made.stops[-1],
        None if right is None else (plate, right),
        None if left is None else (plate, left),
        way.travel_after,
        way.face_up_after,
    )


def weighed(made: Change, weights: Mapping[str, float]) -> float:
    """Seconds of a change with the person's weights by cause."""
    if not weights:
        return sum(made.seconds)
    return sum(weights.get(cause, 1.0) * each for cause, each in zip(CAUSES, made.seconds, strict=True))


def _fence(rig: Rig, bed: Bed, way: Way) -> tuple[bool, float]:
    """Marking out and lining up a marked cut counts as much as a fence setting, but moves no fence."""
    if way.located == "marked":
        return False, rig.seconds.fence
    if bed.reading is None:
        return True, rig.seconds.fence
    if abs(bed.reading - way.setting.reading) < 1e-9:
        return False, 0.0
    return True, rig.seconds.fence + rig.seconds.fence_per_mm * abs(bed.reading - way.setting.reading)


def _stops(rig: Rig, bed: Bed, way: Way) -> tuple[tuple[float, ...], bool, float]:
    """End stop of each pass: kept where it may stay, else the least that serves."""
    stop, seconds, changed = bed.stop, 0.0, False
    stops = []
    for _, least in way.stops:
        if stop is None or not least - 1e-9 <= stop <= way.longest_stop + 1e-9:
            seconds += rig.seconds.end_stop
            if stop is not None:
                seconds += rig.seconds.end_stop_per_mm * abs(least - stop)
            stop, changed = least, True
        stops.append(stop)
    return tuple(stops), changed, seconds


def _edge_length(lay: Lay, side: int) -> float:
    return lay.piece.length if side % 2 == 0 else lay.piece.width
