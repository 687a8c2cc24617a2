"""Where in its run each cut stands, so that the rig view can count it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from stripplan.model.plan.run import Run


def counts_of(runs: Iterable[Run]) -> list[dict[str, Any]]:
    """For each cut in the order of work: which of its run it is, of how many, and what falls in the run.

    >>> run = Run(cuts=(4, 5), plate="P1", process="p", fence_reading=25.5, end_stop=900.0, parts=("rail",), count=2)
    >>> counts_of([run])
    [{'at': 1, 'of': 2, 'parts': 'rail'}, {'at': 2, 'of': 2, 'parts': 'rail'}]
    """
    return [
        {"at": at, "of": run.count, "parts": ", ".join(run.parts)} for run in runs for at in range(1, run.count + 1)
    ]
