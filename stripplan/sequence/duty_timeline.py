"""The clock of the work: when each arc may begin, and so how long the power source must rest before it; and
where the end stop is proved.

Problem. A power source may burn so many of any ten minutes at a given current. How long must it rest before
each cut of an order, and how long do the runs take that prove each new end stop with the arc off?

Method. For a given order an arc is best begun as soon as it may: an earlier arc leaves every later ten
minutes no fuller (an exchange argument). So rests stand where they cost least for that order, and one walk
through it is enough. Setting up between cuts counts as rest. An end stop at which no cut of a plate was made
before is proved by a run there and home.

Exact for a given order. What either takes depends on all that went before, so a search by states cannot see
it without a state for each history; orders are compared with it once they are found. Cost: for each arc a
look at those of the ten minutes before it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.duty import DutyClock, duty_at
from stripplan.rig.machine.timing import arc_seconds, dry_run_seconds, post_flow_seconds, return_seconds
from stripplan.sequence.changeover import Changeover
from stripplan.sequence.cut_options import ChosenCut


@dataclass(frozen=True)
class Times:
    """Seconds of one cut beside its set-up, all its passes together.

    `back` is the carriage's way home, `rest` what the power source waits for before the arc, `dry_run` the
    proving of new end stops.
    """

    arc: float
    back: float
    pre_flow: float
    post_flow: float
    rest: float
    dry_run: float

    @property
    def total(self) -> float:
        """All of them [s]."""
        return self.arc + self.back + self.pre_flow + self.post_flow + self.rest + self.dry_run


@dataclass
class Timeline:
    """Cuts one after another, from a rested power source and with no end stop proved: as a day begins."""

    rig: Rig
    _duty: DutyClock = field(default_factory=DutyClock)
    _now: float = 0.0
    _proved: set[tuple[int, float]] = field(default_factory=set)

    def next_cut(self, plate: int, process: Process, made: Changeover) -> Times:
        """The times of the next cut; the clock moves on. The air after the arc and the way home are time
        without arc, so they count as rest for the next.
        """
        arc = arc_seconds(made.stops, process.travel_speed)
        back = return_seconds(made.stops, self.rig.return_speed)
        pre, post = len(made.stops) * self.rig.pre_flow, post_flow_seconds(self.rig, made.stops)
        # Both passes of a cut may have one stop; it is proved once.
        new = [(plate, stop) for stop in dict.fromkeys(made.stops) if (plate, stop) not in self._proved]
        self._proved.update(new)
        dry = sum(dry_run_seconds(self.rig, stop) for _, stop in new)
        ready = self._now + made.total + dry + pre
        share = duty_at(process.duty, process.current) if process.current is not None else 1.0
        start = self._duty.start(ready, arc, 0.0 if share is None else share)
        self._duty.add(start, arc)
        self._now = start + arc + post + back
        return Times(arc, back, pre, post, start - ready, dry)


def rests_and_dry_runs(rig: Rig, cuts: Iterable[ChosenCut], changes: Iterable[Changeover]) -> float:
    """All rests and dry runs of an order [s].

    Raises ValueError where there are not as many changes as cuts.
    """
    timeline, total = Timeline(rig), 0.0
    for cut, made in zip(cuts, changes, strict=True):
        times = timeline.next_cut(cut.plate, cut.piece.conditions.process, made)
        total += times.rest + times.dry_run
    return total
