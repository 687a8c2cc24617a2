"""The log of test cuts and the speeds that a rig can travel, checked: every faulty figure is named at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from numbers import Real
from typing import TypeAlias

from stripplan.errors import FiguresError
from stripplan.rig.notebook.cut_signs import Observation, verdict
from stripplan.wording.message import Facts, Message
from stripplan.wording.message import speed as speed_of

ANSWERS = ("slow", "good", "fast", "not slow", "not fast")
"""Words for the answer of a cut; the last two are one-sided: good or fast, and slow or good."""

Entry: TypeAlias = "Observation | tuple[float, str | None]"
"""One row of the log: what was seen at the cut, or (speed [mm/min], one of ANSWERS; None where it could not be judged).
"""


def above_0(name: str, value: float) -> list[Message]:
    """The fault of a speed that is none [mm/min], or nothing."""
    if isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value) and value > 0:
        return []
    return [Message("speed_above_0", facts=Facts(name=name, speed=speed_of(value)))]


def refuse(faults: Sequence[Message]) -> None:
    """All faults at once."""
    if faults:
        raise FiguresError(*faults)


def check_rig(
    start: float, start_range: tuple[float, float], v_min: float, v_max: float, dial_step: float | None
) -> None:
    """The estimate within its range, the rig's speeds in order, a step that lets at least one speed be set."""
    given = {
        "starting speed": start,
        "least speed of the range of the estimate": start_range[0],
        "greatest speed of the range of the estimate": start_range[1],
        "least travel speed": v_min,
        "greatest travel speed": v_max,
        "step of the dial": 1.0 if dial_step is None else dial_step,
    }
    refuse([fault for name, value in given.items() for fault in above_0(name, value)])
    faults = []
    travelled = {"least": speed_of(v_min), "most": speed_of(v_max)}
    if not start_range[0] <= start <= start_range[1]:
        least, most = map(speed_of, start_range)
        faults.append(Message("start_outside_range", facts=Facts(speed=speed_of(start), least=least, most=most)))
    if v_min > v_max:
        faults.append(Message("speeds_turned", facts=Facts(**travelled)))
    elif dial_step is not None and math.floor(v_max / dial_step + 1e-9) < math.ceil(v_min / dial_step - 1e-9):
        faults.append(Message("step_too_coarse", facts=Facts(step=speed_of(dial_step), **travelled)))
    refuse(faults)


def judged(log: Sequence[Entry], v_min: float, v_max: float) -> tuple[list[tuple[float, str]], int]:
    """(speed, answer) of every row that gives one, and how many do not; every faulty row is named at once."""
    answers: list[tuple[float, str]] = []
    faults: list[Message] = []
    left = 0
    for row, entry in enumerate(log, 1):
        wrong = list(_entry_faults(entry, v_min, v_max))
        faults += [Message("of_row", facts=Facts(row=row, what=fault)) for fault in wrong]
        if wrong:
            continue
        speed, answer = _answer(entry)
        if answer is None:
            left += 1
        else:
            answers.append((float(speed), answer))
    refuse(faults)
    return answers, left


def _answer(entry: Entry) -> tuple[float, str | None]:
    return (entry.speed, verdict(entry)) if isinstance(entry, Observation) else entry


def _entry_faults(entry: Entry, v_min: float, v_max: float) -> Iterator[Message]:
    if not isinstance(entry, Observation) and not (isinstance(entry, tuple | list) and len(entry) == 2):
        yield Message("no_entry", facts=Facts(entry=repr(entry)))
        return
    speed, answer = _answer(entry)
    wrong = above_0("speed", speed)
    yield from wrong
    if not wrong and not v_min / 1.1 <= speed <= v_max * 1.1:
        travelled = {"least": speed_of(v_min), "most": speed_of(v_max)}
        yield Message("speed_not_travelled", facts=Facts(speed=speed_of(speed), **travelled))
    if answer is not None and answer not in ANSWERS:
        yield Message("answer_unknown", facts=Facts(answer=answer, known=ANSWERS))
