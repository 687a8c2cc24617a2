"""When the power source must rest: the rolling ten-minute window of its duty cycle.

Period 10 min at 40 deg C and X % meaning X % of the period at the rated current: IEC 60974-1, as given
by a welding society's glossary; other currents by I^2 X = constant: common engineering practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from stripplan.model.rig import Process

PERIOD = 600.0
"""Length of the window [s]."""


def duty_at(points: Sequence[tuple[float, float]], current: float) -> float | None:
    """Allowed share of the period (0..1) at `current` [A] from rating points (current [A], percent).

    The next rated current above counts, by the square law, but never more than the next point below
    allows. None where the current lies above every rating: not allowed at all. No points: 1.

    >>> round(duty_at([(40, 35)], 30), 4)
    0.6222
    """
    if not points:
        return 1.0
    above = [point for point in points if point[0] >= current - 1e-9]
    if not above:
        return None
    rated, percent = min(above)
    share = percent / 100 * (rated / current) ** 2
    below = [point[1] / 100 for point in points if point[0] < current - 1e-9]
    return min(share, 1.0, *below) if below else min(share, 1.0)


def serving_current(process: Process, arc: float) -> float | None:
    """The greatest whole current below the process's own at which an arc of `arc` seconds may burn in one go [A].

    None where its own serves, or none does.

    >>> from stripplan.model.rig import Process
    >>> process = Process(name="p", material="m", thickness=6, kerf=1, travel_speed=120, current=60, duty=((60, 40),))
    >>> serving_current(process, 409)
    45.0
    """
    if process.current is None or arc > PERIOD:
        return None
    share = duty_at(process.duty, process.current)
    if share is not None and share * PERIOD >= arc:
        return None
    for current in range(math.ceil(process.current) - 1, 0, -1):
        share = duty_at(process.duty, current)
        if share is not None and share * PERIOD >= arc:
            return float(current)
    return None


@dataclass
class DutyClock:
    """Arc times so far, of all processes, and the earliest moment at which the next may begin.

    Before the first arc the source counts as rested.
    """

    arcs: list[tuple[float, float]] = field(default_factory=list)

    def start(self, ready: float, arc: float, share: float) -> float:
        """Earliest start >= `ready` of an arc of `arc` seconds [s]; ValueError if longer than the window allows.

        `share` is the part of the window (0..1) allowed at this arc's current; arcs at other currents count in full,
        which is on the safe side. Only windows that end at the end of this arc, or begin at the start of an earlier
        one, can bind.
        """
        if share >= 1.0:
            return ready
        allowed = share * PERIOD
        if arc > allowed + 1e-9:
            raise ValueError(f"one arc of {arc:.0f} s is longer than the {allowed:.0f} s allowed in ten minutes")
        start = ready
        while (wait := self._too_early(start, arc, allowed)) > 1e-9:
            start += wait
        return start

    def add(self, start: float, arc: float) -> None:
        """Note an arc; what lies more than one period before its start can never bind again."""
        self.arcs = [each for each in self.arcs if each[1] > start - PERIOD]
        self.arcs.append((start, start + arc))

    def _too_early(self, start: float, arc: float, allowed: float) -> float:
        """A step that moves the start towards the first legal moment; 0 when legal."""
        end = start + arc
        used = arc + sum(max(0.0, b - max(a, end - PERIOD)) for a, b in self.arcs)
        excess = used - allowed
        if excess <= 1e-9:
            return 0.0
        # The window slides off the oldest arc first: it must give up `excess` seconds of arc.
        for a, b in self.arcs:
            inside = b - max(a, end - PERIOD)
            if inside > 1e-12:
                gap = max(0.0, a - (end - PERIOD))
                return gap + min(inside, excess)
        return 0.0
