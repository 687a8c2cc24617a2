"""Minutes of one cut by cause, from the rig's own speeds and set-up seconds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from stripplan.model.rig import Rig


def arc_seconds(stops: Sequence[float], travel_speed: float) -> float:
    """Arc time of the passes [s]: home to end stop at travel speed [mm/min].

    >>> round(arc_seconds([640], 600), 3)
    64.0
    """
    return sum(stops) / travel_speed * 60


def return_seconds(stops: Sequence[float], return_speed: float) -> float:
    """Time on the way home [s], after the post-flow, arc off.

    >>> round(return_seconds([640], 4000), 3)
    9.6
    """
    return sum(stops) / return_speed * 60


def post_flow_seconds(rig: Rig, stops: Sequence[float]) -> float:
    """What is waited for the air after the arc of each pass [s]: all of it, or what outlasts the way home.

    >>> post_flow_seconds(Rig(post_flow=3, post_flow_returning=True, return_speed=3000), [100, 640])
    1.0
    """
    if not rig.post_flow_returning:
        return len(stops) * rig.post_flow
    return sum(max(0.0, rig.post_flow - return_seconds([stop], rig.return_speed)) for stop in stops)


def handling_seconds(rig: Rig, base: float, mass: float, *, two_person: bool) -> float:
    """Turning or fetching a piece of `mass` [kg]: base time, more with the mass, more again for two people."""
    return (base + rig.seconds.per_kg * mass) * (rig.seconds.two_person if two_person else 1.0)


def scrape_seconds(rig: Rig, length: float) -> float:
    """Scraping the dross off an edge of `length` [mm] that goes to the fence or the start [s].

    >>> scrape_seconds(Rig(), 1000)
    14.0
    """
    return rig.seconds.scrape_each + length * rig.seconds.scrape_per_m / 1000


def dry_run_seconds(rig: Rig, stop: float) -> float:
    """A run to the end stop and home with the arc off, both as fast as the drive goes [s].

    >>> dry_run_seconds(Rig(travel_max=600, return_speed=1200), 600)
    90.0
    """
    return stop / rig.travel_max * 60 + stop / rig.return_speed * 60


def dial_for(rig: Rig, speed: float) -> float | None:
    """Mark on the speed dial for a travel speed [mm/min], straight between measured marks; None = no dial table.

    Speeds outside the table have no mark: nothing is extrapolated.
    """
    table = sorted((each_speed, mark) for mark, each_speed in rig.dial)
    for (v0, m0), (v1, m1) in pairwise(table):
        if v0 <= speed <= v1:
            return round(m0 if v1 == v0 else m0 + (m1 - m0) * (speed - v0) / (v1 - v0), 2)
    return None
