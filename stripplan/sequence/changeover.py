"""What changes between two cuts, and how many seconds that takes.

Problem. The minutes of an order are those of its cuts, which no order changes, and those between them: fence,
end stop, turning, turning over, fetching, pushing up, scraping, clearing away, changing the process.

Method. What is done before a cut depends on what went before only through a small state: the fence reading,
the end stop, the process the torch is set up for, and what the last cut left on the bed in which pose. So
seconds are a function of (state, cut), and the order of work is a sequential ordering problem. Everything
else here follows what a person does: what is to be cut next and lies there is turned and pushed up; all else
that lies there is cleared away first; a piece that lies elsewhere is fetched.

Exact, in seconds, one cut at a time: these are the seconds of the plan. The searches work on the same figures
in ticks (`bench`), and a test holds the two together. The causes are the rig's own (`Rig.seconds`); how their
figures were found is for the person who timed them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from stripplan.model.plan.cut import BarSetting, Located
from stripplan.model.rig import Rig
from stripplan.rig.machine.setting import FenceSetting


class Named(Protocol):
    """A process: only whether it is another one matters here."""

    @property
    def name(self) -> str:
        """Its name."""


class CutBy(Protocol):
    """What a piece is cut by."""

    @property
    def process(self) -> Named:
        """Its process."""


class Lying(Protocol):
    """What matters of a piece between two cuts: a piece of a search, or one of a plan that is there."""

    @property
    def conditions(self) -> CutBy:
        """What it is cut by."""

    @property
    def face_up(self) -> bool:
        """Whether the first face is up."""

    @property
    def fetch_seconds(self) -> float:
        """Fetching it and putting it on the bed."""

    @property
    def quarter_seconds(self) -> float:
        """One quarter turn."""

    @property
    def over_seconds(self) -> float:
        """Turning it over."""

    @property
    def push_seconds(self) -> float:
        """Pushing it up to the fence."""

    @property
    def carry_seconds(self) -> float:
        """Clearing it away."""


class Way(Protocol):
    """What matters of a cut between two others."""

    @property
    def piece(self) -> Lying:
        """What is cut."""

    @property
    def right(self) -> Lying | None:
        """The product on the fence side."""

    @property
    def left(self) -> Lying | None:
        """The product on the far side."""

    @property
    def travel(self) -> float:
        """Direction of the first pass in the plate frame, in quarter turns; whole ones for a cut along an edge."""

    @property
    def travel_after(self) -> float:
        """That of the last."""

    @property
    def located(self) -> Located:
        """By the fence, by the mitre bar, or marked out."""

    @property
    def setting(self) -> FenceSetting:
        """What the fence is set to; of no meaning for a cut that is located otherwise."""

    @property
    def bar(self) -> BarSetting | None:
        """How the mitre bar stands: angle, stop, and on which side; None for a cut that is located otherwise."""

    @property
    def dress_seconds(self) -> float:
        """Scraping edges for it."""


@dataclass(frozen=True)
class RigState:
    """State of the rig after a cut. `right` and `left` lie on the bed as (plate, piece); travel and face give
    their pose.

    `on_fence` says whether `right` still lies with its datum edge on the fence: not after a cut that is marked or made
    on the mitre bar. `bar` is how that stands; it is taken off for every other cut, as it would be in a piece's way.
    """

    reading: float | None = None
    stop: float | None = None
    right: tuple[int, Lying] | None = None
    left: tuple[int, Lying] | None = None
    travel: float = 0
    on_fence: bool = True
    process: str | None = None
    bar: BarSetting | None = None


@dataclass(frozen=True)
class Changeover:
    """What is changed before a cut, the end stop of each pass, and the seconds by cause."""

    fence: bool
    end_stop: bool
    quarter_turns: int
    fetch: bool
    push: bool
    clear: bool
    stops: tuple[float, ...]
    process: bool
    """Whether the torch is set up for another process than before, or for the first."""
    seconds: tuple[float, float, float, float, float, float, float, float, float]
    """fence, end_stop, quarter_turn, turn_over, fetch, push, dress, clear, process [s]."""
    mitre_seconds: float = 0.0
    """Setting the mitre bar [s]."""
    mitre: bool = False
    """Whether it is set, however little time that takes."""

    @property
    def total(self) -> float:
        """All of it [s]."""
        return sum(self.seconds) + self.mitre_seconds


CAUSES = ("fence", "end_stop", "quarter_turn", "turn_over", "fetch", "push", "dress", "clear", "process")
"""The causes of set-up seconds, in the order of `Changeover.seconds`, and the names that weights go by."""


def changeover(
    rig: Rig, state: RigState, plate: int, piece: Lying, option: Way, stops: tuple[float, ...]
) -> Changeover:
    """What must be changed from `state` to make the cut `option` of the piece `piece` of a plate, its end
    stops at `stops`.

    `piece` is the piece as it lies (edges not dressed yet); it is on the bed when it is one of the
    products of the cut before.
    """
    s = rig.seconds
    on_bed = [each for each in (state.right, state.left) if each is not None]
    # By identity: two alike pieces are not the same piece, and only the one that lies there need not be fetched.
    stays = any(each[0] == plate and each[1] is piece for each in on_bed)
    turns = _quarter_turns(state.travel - option.travel, face_up=piece.face_up) if stays else 0
    turn_seconds = piece.quarter_seconds * (2 if turns == 2 else bool(turns))
    fetch_seconds = 0.0 if stays else piece.fetch_seconds
    lies_ready = (
        state.on_fence and state.right is not None and state.right[1] is piece
    )  # its datum edge never left the fence
    # What lay on the fence is as wide as the fence stood: for the next cut the fence moves in, and the piece with it.
    push = stays and not turns and (option.located != "marked" or not lies_ready)
    fence, fence_seconds = _fence(rig, state, option)
    stop_changes, stop_seconds = _stops(rig, state, stops)
    # Between the passes the piece is turned over end for end, so that its datum edge is on the fence again.
    over_seconds = piece.over_seconds if len(stops) == 2 else 0.0  # end for end, between the passes
    cleared = [each for number, each in on_bed if number != plate or each is not piece]
    name = piece.conditions.process.name
    # Before the first cut the torch is set up too, but for every order alike: that is no time between two cuts.
    new_process = state.process is not None and state.process != name
    mitre = option.bar is not None and option.bar != state.bar
    return Changeover(
        fence, stop_changes, turns, not stays, push, bool(cleared), stops, state.process != name,
        (
            fence_seconds, stop_seconds, turn_seconds, over_seconds, fetch_seconds,
            piece.push_seconds if push else 0.0, option.dress_seconds,
            s.clear + sum(each.carry_seconds for each in cleared) if cleared else 0.0,
            s.process if new_process else 0.0,
        ),
        s.mitre if mitre else 0.0,
        mitre,
    )  # fmt: skip


def state_after(state: RigState, plate: int, option: Way, made: Changeover) -> RigState:
    """The state of the rig once the cut is made; a marked cut leaves the fence where it stood."""
    reading = option.setting.reading if option.located == "fence" else state.reading
    right, left = option.right, option.left
    return RigState(
        reading,
        made.stops[-1],
        None if right is None else (plate, right),
        None if left is None else (plate, left),
        option.travel_after,
        option.located == "fence",
        option.piece.conditions.process.name,
        option.bar,
    )


def _quarter_turns(way: float, *, face_up: bool) -> int:
    """The nearest whole number of quarter turns; what is left of the way goes with pushing the piece up.

    Seen from above, a piece that lies face down turns the other way.
    """
    return math.floor((way if face_up else -way) + 0.5) % 4


def weighted_seconds(seconds: Sequence[float], weights: Mapping[str, float]) -> float:
    """The sum of seconds by cause, in the order of `CAUSES`, with the person's weights; what has none counts once.

    Raises ValueError where there are not as many seconds as causes, if there are weights.

    >>> weighted_seconds((30, 0, 0, 0, 60, 0, 0, 0, 0), {"fetch": 2.0})
    150.0
    """
    if not weights:
        return sum(seconds)
    return sum(weights.get(cause, 1.0) * each for cause, each in zip(CAUSES, seconds, strict=True))


def _fence(rig: Rig, state: RigState, option: Way) -> tuple[bool, float]:
    """Whether the fence is set, and what that takes [s], its way from where it stands included.

    Marking out and lining up a marked cut counts as much as a fence setting, but moves no fence. Before the
    first cut the fence may stand anywhere, so no way is counted.
    """
    if option.located == "mitre":
        return False, 0.0
    if option.located == "marked":
        return False, rig.seconds.fence
    if state.reading is None:
        return True, rig.seconds.fence
    if abs(state.reading - option.setting.reading) < 1e-9:
        return False, 0.0
    return True, rig.seconds.fence + rig.seconds.fence_per_mm * abs(state.reading - option.setting.reading)


def _stops(rig: Rig, state: RigState, stops: tuple[float, ...]) -> tuple[bool, float]:
    """Whether and for how long the end stop is moved over the passes of a cut: a second pass may ask for
    another stop than the first.
    """
    before, seconds, changed = state.stop, 0.0, False
    for stop in stops:
        if before is None or abs(stop - before) > 1e-9:
            seconds += rig.seconds.end_stop
            if before is not None:
                seconds += rig.seconds.end_stop_per_mm * abs(stop - before)
            before, changed = stop, True
    return changed, seconds
