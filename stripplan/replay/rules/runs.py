"""Runs: the rows of cuts that a person works as one.

A run goes on as long as nothing is touched but the piece: same plate, process, speed, mark on the dial, fence and end
stop. Cuts on the mitre bar go on while it stands. What is marked out is a run of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import Any

from stripplan.model.plan.cut import Cut
from stripplan.replay.aslant import mitre_bar
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench

SMALL = 1e-6
"""Slack for figures that are copied [mm]."""


@dataclass
class Row:
    """A run as the cuts make it: what stands while it lasts, its cuts, the parts that fall, in turn."""

    stands: tuple[Any, ...]
    stop: float
    cuts: list[Cut] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)

    def add(self, bench: Bench, cut: Cut) -> None:
        """One more cut."""
        self.cuts.append(cut)
        self.stop = cut.passes[-1].end_stop if cut.passes else self.stop
        for each in cut.makes:
            piece = bench.pieces.get(each or "")
            if piece is not None and piece.part is not None and piece.part not in self.parts:
                self.parts.append(piece.part)


def rows(bench: Bench) -> list[Row]:
    """The cuts as runs, in the order of work."""
    found: list[Row] = []
    for cut in bench.plan.cuts:
        stands = (cut.plate, bench.plates[cut.plate].process, cut.travel_speed, cut.dial, cut.fence_reading)
        last = found[-1] if found else None
        alike = last is not None and last.stands == stands and _set_alike(last.cuts[-1], cut)
        if last is None or not alike or any(each.end_stop != last.stop for each in cut.passes):
            last = Row(stands, 0.0)
            found.append(last)
        last.add(bench, cut)
    return found


def _set_alike(before: Cut, cut: Cut) -> bool:
    """Whether two cuts are set in the same way, by the fence, or by the mitre bar as it stands."""
    if cut.located == "mitre":
        return mitre_bar.alike(mitre_bar.setting(before), mitre_bar.setting(cut))
    return before.located == cut.located == "fence"


def check_runs(bench: Bench) -> Iterator[Finding]:
    """Every cut lies in one run, and each run says what stands while it lasts, and what falls."""
    for number, (said, row) in enumerate(zip_longest(bench.plan.runs, rows(bench)), 1):
        if said is None or row is None:
            more = "ends before the last cut" if said is None else "goes on beyond the last cut"
            yield Finding("runs", f"run {number}", f"The list of runs {more}, at run {number}.")
            return
        first, last = row.cuts[0].number, row.cuts[-1].number
        plate, process, _, _, reading = row.stands
        wanted: dict[str, Any] = {
            "cuts": (first, last),
            "plate": plate,
            "process": process,
            "parts": tuple(row.parts),
            "count": len(row.cuts),
            "fence_reading": reading,
            "end_stop": row.stop,
        }
        for key, right in wanted.items():
            given = getattr(said, key)
            if not _same(right, given):
                text = f"Run {number}, cuts {first} to {last}: its {key.replace('_', ' ')} is {right}, not {given}."
                yield Finding("runs", f"run {number}, {key}", text)


def _same(right: Any, given: Any) -> bool:
    if isinstance(right, float) and isinstance(given, float):
        return abs(right - given) <= SMALL
    return bool(right == given)
