"""The clock of the work: when each arc may begin, and so how long the power source must rest before it.

For a given order an arc is best begun as soon as it may: an earlier arc leaves every later ten minutes no fuller. So rests stand where
they cost least for that order; setting up between cuts counts as rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ..model.rig import Process, Rig
from ..rig.duty import DutyClock, duty_at
from ..rig.timing import arc_seconds, post_flow_seconds, return_seconds
from .placing import Step
from .setups import Change


@dataclass(frozen=True)
class Times:
    """Seconds of one cut beside its set-up."""

    arc: float
    back: float
    pre_flow: float
    post_flow: float
    rest: float


@dataclass
class Timeline:
    """Cuts one after another, from a rested power source."""

    rig: Rig
    _duty: DutyClock = field(default_factory=DutyClock)
    _now: float = 0.0

    def cut(self, process: Process, made: Change) -> Times:
        """The times of the next cut; the clock moves on."""
        arc = arc_seconds(made.stops, process.travel_speed)
        back = return_seconds(made.stops, self.rig.return_speed)
        pre, post = len(made.stops) * self.rig.pre_flow, post_flow_seconds(self.rig, made.stops)
        ready = self._now + sum(made.seconds) + pre
        share = duty_at(process.duty, process.current) if process.current is not None else 1.0
        start = self._duty.start(ready, arc, 0.0 if share is None else share)
        self._duty.add(start, arc)
        self._now = start + arc + post + back
        return Times(arc, back, pre, post, start - ready)


def resting(rig: Rig, steps: Iterable[Step], changes: Iterable[Change]) -> float:
    """All rests of an order [s]."""
    timeline = Timeline(rig)
    return sum(timeline.cut(step.lay.stock.process, made).rest for step, made in zip(steps, changes, strict=True))
