"""The test cuts of one process: what each shows, the window of good speeds, and the next cut to make."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.errors import FiguresError
from stripplan.model.notebook import Notebook, TestCut
from stripplan.model.report import Axis, Graph, Mark, NextCut, Section, Series
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.timing import dial_for
from stripplan.rig.notebook import cut_signs, speed_window
from stripplan.rig.process import speed
from stripplan.wording.message import Fact, Facts, Message, Quantity
from stripplan.wording.message import speed as speed_of

LEVELS = ("slow", "good", "fast")
UNKNOWN_RANGE = (0.5, 2.0)
"""Where no starting speed is held: the good one is looked for from half to twice the profile's own: a choice of ours.
"""
SAME_SPEED = 0.02
"""Speeds within this share of one another count as the same."""
_MARKS: dict[str, Mark] = {"slow": "triangle", "good": "dot", "fast": "cross"}


@dataclass(frozen=True)
class Trials:
    """The cuts that count, what they show each, those made at another current or tip, and what they say together."""

    cuts: tuple[TestCut, ...]
    seen: tuple[cut_signs.Observation, ...]
    elsewhere: int
    next: speed_window.NextTest

    def against(self, speed: float) -> bool:
        """Whether the cuts made at about this speed were too slow or too fast, and none of them good."""
        judged = [cut_signs.verdict(each) for each in self.seen if math.isclose(each.speed, speed, rel_tol=SAME_SPEED)]
        return any(each in ("slow", "fast") for each in judged) and "good" not in judged


def trials_of(book: Notebook, rig: Rig, process: Process) -> Trials:
    """The test cuts of a process at its own current and tip. Raises FiguresError that names the row."""
    rows = [each for each in book.test_cuts if each.process == process.name]
    cuts = [each for each in rows if each.current in (None, process.current) and each.tip in (None, process.tip)]
    seen = [_observation(each, process, number) for number, each in enumerate(cuts, 1)]
    start, between = _start(process, rig)
    found = speed_window.next_speed(seen, start, between, max(rig.travel_min, 1.0), rig.travel_max)
    return Trials(tuple(cuts), tuple(seen), len(rows) - len(cuts), found)


def trial_section(book: Notebook, rig: Rig, process: Process) -> Section:
    """The report on the test cuts of a process."""
    found = trials_of(book, rig, process)
    shown = found.next.window
    best = Facts(
        set=_set(rig, shown.best),
        confidence=Message(shown.confidence),
        probability=Quantity(100 * shown.probability, "percent"),
    )
    cut = _next_cut(process, rig, found.next)
    lines = [_window(shown), Message("best_speed", process.name, best), cut.said]
    if abs(process.travel_speed - shown.best) > 0.05 * shown.best:
        lines.append(Message("speed_in_profile", process.name, Facts(speed=speed_of(process.travel_speed))))
    if found.elsewhere:
        lines.append(Message("cuts_elsewhere", process.name, Facts(cuts=found.elsewhere)))
    return Section(
        topic="speed",
        about=process.name,
        said=(*lines, *shown.notes, cut_signs.CAUTION),
        rows=tuple(_row(number, each) for number, each in enumerate(found.seen, 1)),
        next_cuts=(cut,),
        graphs=(_graph(process, found.seen, shown),),
    )


def _row(number: int, seen: cut_signs.Observation) -> Facts:
    """A cut, how it is judged, and what it shows."""
    answer = cut_signs.verdict(seen)
    judged: dict[str, Fact] = {"judged": answer} if answer is not None else {}
    shows = tuple(finding.said for finding in cut_signs.diagnosis(seen))
    return Facts(row=number, speed=speed_of(seen.speed), **judged, shows=shows)


def _observation(cut: TestCut, process: Process, number: int) -> cut_signs.Observation:
    try:
        return cut_signs.Observation(
            cut.travel_speed,
            dross=cut.dross,
            top_spatter=cut.top_spatter,
            lag_angle=cut.lag_angle,
            bevel=cut.bevel,
            severed=cut.severed,
            kerf_wide=cut.wide_kerf,
            rounded_top_edge=cut.rounded_edge,
            drag_lines=cut.drag_lines,
            stand_off=cut.stand_off,
            thickness=process.thickness,
            starts_on_tip=cut.starts_on_tip,
        )
    except FiguresError as error:
        raise FiguresError(Message("test_cut_of", process.name, Facts(row=number, what=error.message))) from None


def _start(process: Process, rig: Rig) -> tuple[float, tuple[float, float]]:
    """Where the good speed is looked for before any cut: the estimate and its range, else around the profile's own."""
    if process.current is not None:
        found = speed.starting_speed(process.material, process.thickness, process.current, v_max=rig.travel_max)
        if found.speed is not None and found.low is not None and found.high is not None:
            # An estimate that the rig cannot travel says little of where it should look.
            start = min(found.speed, rig.travel_max)
            return start, (min(found.low, UNKNOWN_RANGE[0] * start) if start < found.speed else found.low, found.high)
    own = process.travel_speed
    return own, (own * UNKNOWN_RANGE[0], own * UNKNOWN_RANGE[1])


def _window(shown: speed_window.Window) -> Message:
    """From where to where speeds are good, and how far either end may lie elsewhere."""
    low, high = shown.low, shown.high
    facts = Facts(
        low=speed_of(low.value), low_least=speed_of(low.low), low_most=speed_of(low.high),
        high=speed_of(high.value), high_least=speed_of(high.low), high_most=speed_of(high.high),
    )  # fmt: skip
    return Message("good_speeds", facts=facts)


def _next_cut(process: Process, rig: Rig, found: speed_window.NextTest) -> NextCut:
    facts = Facts(set=_set(rig, found.speed), why=found.why)
    if found.stop:
        return NextCut(
            process=process.name, standing="enough", speed=None, said=Message("cuts_enough", process.name, facts)
        )
    message = Message("next_cut", process.name, facts)
    return NextCut(process=process.name, standing="testing", speed=round(found.speed), said=message)


def _set(rig: Rig, wanted: float) -> Message:
    """A speed as it is set: with the mark of the dial where there is a dial."""
    mark = dial_for(rig, wanted)
    if mark is None:
        return Message("speed_set", facts=Facts(speed=speed_of(wanted)))
    return Message("speed_set", facts=Facts(speed=speed_of(wanted), mark=mark), says="speed_set_at_mark")


def _graph(process: Process, seen: Sequence[cut_signs.Observation], shown: speed_window.Window) -> Graph:
    judged = [(each.speed, cut_signs.verdict(each)) for each in seen]
    series = [
        Series(
            code=f"points_{level}", mark=_MARKS[level],
            at=tuple((at, float(LEVELS.index(level)), 0.0) for at, said in judged if said == level),
        )
        for level in LEVELS
        if any(said == level for _, said in judged)
    ]  # fmt: skip
    spans: tuple[tuple[float, float, str], ...] = ()
    if math.isfinite(shown.high.value) and shown.low.value < shown.high.value:
        spans = ((shown.low.value, shown.high.value, "span_good"),)
    return Graph(
        name=f"speed-{process.name}",
        title=Message("chart_speed", process.name),
        x=Axis("axis_speed", "speed"),
        y=Axis("axis_none"),
        series=tuple(series),
        spans=spans,
        levels=tuple(f"points_{level}" for level in LEVELS),
    )
