"""When a search is to stop: it asks before each step, and within steps that may be long."""

from __future__ import annotations

from collections.abc import Callable

Clock = Callable[[], bool]
"""Whether to stop. It counts how often it is asked, so the same search must ask as often whatever the time is."""


class OutOfTimeError(Exception):
    """Time was over within a step, whose result is lost."""


def never() -> bool:
    """Go on to the end."""
    return False


def go_on(out_of_time: Clock) -> None:
    """Raise OutOfTimeError where it is time to stop.

    >>> go_on(never)
    """
    if out_of_time():
        raise OutOfTimeError
