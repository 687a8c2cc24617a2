"""While a plan is sought: one line on a terminal, and Ctrl-C that ends the search rather than the program."""

from __future__ import annotations

import shutil
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType, TracebackType
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from stripplan.model.effort import Progress

QUIET_SECONDS = 1.0
"""No line before this [s]: a short search is over before it can be read."""
BETWEEN = 0.2
"""The line is written anew no sooner than this [s]."""
BAR = 20
"""Letters of the bar."""
NOTE = "Finishing with the best plan so far; Ctrl-C again ends at once."


class SearchWatch:
    """A search as the person at the terminal sees it; a context manager. `line` False: nothing but Ctrl-C.

    `unit` stands behind costs; `seconds` is the cap on the search, where there is one.
    """

    def __init__(self, *, line: bool, unit: str, seconds: float | None = None) -> None:
        self._line = line
        self._unit, self._seconds = unit, seconds
        self._start = time.monotonic()
        self._next = self._start + QUIET_SECONDS
        self._written = False
        self._stop = False
        self._last: Progress | None = None
        self._old: Any = None

    def __enter__(self) -> SearchWatch:
        self._old = signal.signal(signal.SIGINT, self._interrupted)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        signal.signal(signal.SIGINT, self._old)
        self._wipe()

    def stop(self) -> bool:
        """Whether the person has asked to stop; asked at every step, so it keeps the line fresh too."""
        self._show()
        return self._stop

    def tell(self, progress: Progress) -> None:
        """Keep what the search says; what is known of best and bound stays until something better is said."""
        # What is done after the search says its words once and may take long: they must not fall between two lines.
        if self._last is not None and progress.words != self._last.words:
            self._next = min(self._next, max(time.monotonic(), self._start + QUIET_SECONDS))
        self._last = progress
        self._show()

    @contextmanager
    def meanwhile(self, said: str) -> Iterator[None]:
        """Say what is done after the search, which may take long too; Ctrl-C ends it at once."""
        from stripplan.model.effort import Progress

        self.tell(Progress(words=said, share=1.0))
        try:
            yield
        finally:
            self._wipe()

    def _interrupted(self, _signal: int, _frame: FrameType | None) -> None:
        if self._stop:
            raise KeyboardInterrupt
        self._stop = True
        self._wipe()
        click.echo(NOTE, err=True)

    def _show(self) -> None:
        now = time.monotonic()
        if not self._line or self._stop or self._last is None or now < self._next:
            return
        self._next = now + BETWEEN
        self._written = True
        room = shutil.get_terminal_size().columns - 1  # a line that wraps could not be wiped
        shown = f"{self._bar(self._last, now - self._start)} {words(self._last, now - self._start, self._unit)}"
        click.echo("\r\x1b[K" + shown[:room], err=True, nl=False)

    def _bar(self, progress: Progress, seconds: float) -> str:
        """What is done; of a search with a cap no less than the share of its time."""
        by_clock = 0.0 if self._seconds is None else min(1.0, seconds / self._seconds) * UNTIL_ORDERED
        return bar(max(progress.share, by_clock))

    def _wipe(self) -> None:
        if self._written:
            click.echo("\r\x1b[K", err=True, nl=False)
        self._written = False


UNTIL_ORDERED = 0.9
"""Share of the whole that is done when a cap on the search is reached."""


def bar(share: float) -> str:
    """A bar of what is done, from 0 to 1.

    >>> bar(0.25), bar(1.0)
    ('[#####---------------]', '[####################]')
    """
    done = round(BAR * min(1.0, max(0.0, share)))
    return f"[{'#' * done}{'-' * (BAR - done)}]"


def words(progress: Progress, seconds: float, unit: str) -> str:
    """One line: what is going on, how long, the best total, best cost, bound and gap as far as they are known.

    >>> from stripplan.model.effort import Progress
    >>> words(Progress(words="laying out", share=0.1, best=10.2, bound=10), 12.3, "EUR")
    'laying out, 12 s, best 10.20 EUR, not below 10.00, gap 2.0 %'
    >>> words(Progress(words="comparing layouts", share=0.7, total=214.5, currency="EUR"), 14, "EUR")
    'comparing layouts, 14 s, best total 214.50 EUR'
    >>> words(Progress(words="laying out", share=0.1), 1.2, "m²")
    'laying out, 1 s'
    >>> words(Progress(words="ordering the cuts", share=0.5, best=52.0, bound=40.0, unit="min"), 2, "EUR")
    'ordering the cuts, 2 s, best 52.00 min, not below 40.00, gap 30.0 %'
    """
    told = [progress.words, f"{seconds:.0f} s"]
    if progress.total is not None:
        told.append(f"best total {progress.total:.2f} {progress.currency}".rstrip())
    if progress.best is not None:
        told.append(f"best {progress.best:.2f} {progress.unit or unit}".rstrip())
    if progress.bound is not None:
        told.append(f"not below {progress.bound:.2f}")
    if progress.gap is not None:
        told.append(f"gap {100 * progress.gap:.1f} %")
    return ", ".join(told)
