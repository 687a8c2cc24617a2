"""Batches: the times that a plan is cut. Each has a progress of its own, a number, and a name if somebody gave it one.

The first keeps the file names of earlier releases, so that what they stored is batch 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from stripplan.web.store.progress import Progress

FIRST = 1
MOST = 999
_FILE = re.compile(r"progress(?:-([1-9][0-9]{0,2}))?(?:-before)?\.json")
LONGEST_NAME = 60

BREAK_AFTER = 10.0
"""A cut that took longer than twice its plan and so much more had a break in it: it counts as planned [min]. Common
practice, no source."""


def arcs_in(shown: Mapping[str, Any]) -> int:
    """How many cuts and bevels the page shows of a plan; one that an earlier release kept may have no list of bevels.

    >>> arcs_in({"cuts": [{}, {}], "bevels": [{"rows": [{}]}]}), arcs_in({"cuts": []})
    (3, 0)
    """
    return len(shown["cuts"]) + sum(len(group["rows"]) for group in shown.get("bevels", ()))


def progress_file(batch: int) -> str:
    """The file of a batch's progress.

    >>> progress_file(1), progress_file(2)
    ('progress.json', 'progress-2.json')
    """
    return "progress.json" if batch == FIRST else f"progress-{batch}.json"


def before_file(batch: int) -> str:
    """The copy of it from before the last change.

    >>> before_file(1), before_file(2)
    ('progress-before.json', 'progress-2-before.json')
    """
    return "progress-before.json" if batch == FIRST else f"progress-{batch}-before.json"


def batches_in(names: Iterable[str]) -> list[int]:
    """The numbers of the batches whose files are among some, the oldest first.

    >>> batches_in(["plan.json", "progress-2-before.json", "progress.json", "progress-damaged-1.json"])
    [1, 2]
    """
    found = (_FILE.fullmatch(each) for each in names)
    return sorted({int(each[1] or FIRST) for each in found if each})


@dataclass(frozen=True)
class Batch:
    """How far a batch is: `done` of `cuts`, `wrong` of them; `taken` and `planned` for those done [min], None where it
    is not known."""

    number: int
    name: str
    begun: float
    last_at: float
    done: int
    wrong: int
    cuts: int
    taken: float | None
    planned: float | None

    @property
    def through(self) -> bool:
        """Whether nothing is left to do in it."""
        return self.done >= self.cuts


def batch_of(number: int, now: Progress, cuts: int, minutes: Mapping[int, float]) -> Batch:
    """A batch by its progress; `minutes` are those of the plan by number of the cut, none where they are not known."""
    timed = minutes if now.ticked else {}
    return Batch(
        number,
        now.name,
        now.begun or now.last_at,
        now.last_at,
        len(now.done),
        len(now.wrong),
        cuts,
        taken(now, timed) if timed else None,
        sum(timed[int(each)] for each in now.ticked if int(each) in timed) if timed else None,
    )


def taken(now: Progress, minutes: Mapping[int, float]) -> float:
    """Minutes that the cuts ticked on the page have taken, from the tick before each to its own, without breaks. What
    the shell ticks is ticked when somebody comes to it: no time is known of that."""
    total, before = 0.0, now.begun
    for cut, when in sorted((now.elsewhere | now.ticked).items(), key=lambda each: (each[1], int(each[0]))):
        plan, gap = minutes.get(int(cut), 0.0), max(0.0, when - before) / 60
        if cut in now.ticked:
            total += gap if gap <= 2 * plan + BREAK_AFTER else plan
        before = when
    return total
