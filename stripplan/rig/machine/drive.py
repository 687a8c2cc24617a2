"""The carriage's toothed belt: gearbox output, teeth, pitch and travel speed.

A belt does not slip, so one turn of the pulley moves the carriage by teeth times pitch: plane arithmetic, no published
source. Pitches by the belt's standard name lie in `data/belt_pitch.csv`, each with its source.
"""

from __future__ import annotations

import csv
import difflib
import functools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources

from stripplan.errors import FiguresError
from stripplan.wording.message import Fact, Facts, Message, Quantity, length
from stripplan.wording.message import speed as speed_of

_EPS = 1e-9


@dataclass(frozen=True)
class Belt:
    """A belt by its standard name: `pitch`, the standard ("" = none is held), where the pitch comes from, how sure it
    is.
    """

    name: str
    pitch: float
    standard: str
    source: str
    status: str


@functools.cache
def belts() -> tuple[Belt, ...]:
    """All belts that are known by name, in the order of the table."""
    text = resources.files(__package__).joinpath("data", "belt_pitch.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return tuple(
        Belt(row["belt"], float(row["pitch_mm"]), row["standard"], row["source"], row["status"]) for row in rows
    )


def belt(name: str) -> Belt:
    """The belt of that name; small letters, blanks, hyphens and a decimal comma are all the same.

    >>> belt("xl").pitch, belt("T 2,5").pitch, belt("5mm round-tooth").pitch
    (5.08, 2.5, 5.0)
    >>> belt("AT7")
    Traceback (most recent call last):
    stripplan.errors.FiguresError: belt 'AT7' is not known: did you mean AT5 or AT10? Or give the pitch in mm, \
measured over 10 teeth
    """
    wanted = _key(name)
    known = {_key(each.name): each for each in belts()}
    if wanted in known:
        return known[wanted]
    near = _near(wanted, known)
    offer = {"near": tuple(near)} if near else {"known": tuple(each.name for each in belts())}
    raise FiguresError(Message("belt_unknown", name, Facts(**offer)))


def _near(wanted: str, known: dict[str, Belt]) -> list[str]:
    """Names that may have been meant: the same letters with the nearest numbers, else that pitch,
    else a like spelling.
    """
    number = re.search(r"\d+(?:\.\d+)?", wanted)
    if number is not None:
        size, letters = float(number[0]), wanted.replace(number[0], "")
        kin = [each for key, each in known.items() if re.sub(r"[\d.]+", "", key) == letters]
        if kin:
            return [each.name for each in sorted(kin, key=lambda each: abs(each.pitch - size))[:2]]
        same = [each.name for each in known.values() if each.pitch == size]
        if same:
            return same
    return [known[key].name for key in difflib.get_close_matches(wanted, known, 2, 0.6)]


def _key(name: str) -> str:
    return re.sub(r"[\s_-]+", "", name.replace(",", ".")).lower()


def pitch_of(pitch: float | str) -> float:
    """A pitch given in mm, or that of a belt given by its name.

    >>> pitch_of("MXL"), pitch_of(5)
    (2.032, 5.0)
    """
    if isinstance(pitch, str):
        return belt(pitch).pitch
    return _above_zero("pitch", pitch, "mm")


def distance_per_turn(teeth: int, pitch: float | str) -> float:
    """Travel of the carriage for one turn of the pulley [mm]: z p.

    >>> round(distance_per_turn(10, "XL"), 3)
    50.8
    """
    return _whole_teeth(teeth) * pitch_of(pitch)


def travel_speed(rpm: float, teeth: int, pitch: float | str) -> float:
    """Travel speed [mm/min] from turns a minute of the pulley, which sits on the gearbox output: v = n z p.

    >>> round(travel_speed(15, 10, "XL"), 3)
    762.0
    """
    return _above_zero("gearbox output", rpm, "rpm") * distance_per_turn(teeth, pitch)


def rpm_for(speed: float, teeth: int, pitch: float | str) -> float:
    """Gearbox output [rpm] for a travel speed [mm/min]: n = v / (z p).

    >>> round(rpm_for(762, 12, "T5"), 3)
    12.7
    """
    return _above_zero("travel speed", speed, "mm/min") / distance_per_turn(teeth, pitch)


@dataclass(frozen=True)
class ServingOutput:
    """The gearbox output [rpm] that gives the greatest wanted speed [mm/min] at full turns of the motor.

    `per_turn` is the travel of one turn, `least_share` how far the motor must be turned down (0..1) for the least
    wanted speed, `ratio` the output over the one fitted now (None = not said), `said` the same as a message.
    """

    rpm: float
    speed: float
    per_turn: float
    least_share: float
    ratio: float | None
    said: Message


def serving_output(
    speeds: Sequence[float], teeth: int, pitch: float | str, *, rpm_now: float | None = None
) -> ServingOutput:
    """Which gearbox output would serve all the wanted travel speeds [mm/min], the greatest at full turns of the motor.

    >>> from stripplan.wording.show import worded
    >>> print(worded(serving_output([300, 762], 10, "XL", rpm_now=10).said).text)
    A gearbox output of 15 rpm gives 762 mm/min: 10 teeth of 5.08 mm pitch move the carriage 50.8 mm a turn. That is \
1.5 times the output fitted now (10 rpm, 508 mm/min). For 300 mm/min the motor then runs at 39 % of its turns.
    """
    if not speeds:
        raise ValueError("no travel speed is wanted: give at least one in mm/min")
    for row, each in enumerate(speeds, 1):
        if not (math.isfinite(each) and each > 0):
            raise ValueError(f"speed {row} is {each:g} mm/min: a wanted speed must be above 0")
    size, greatest, least = pitch_of(pitch), max(speeds), min(speeds)
    per_turn = distance_per_turn(teeth, size)
    rpm = rpm_for(greatest, teeth, size)
    ratio = None
    facts: dict[str, Fact] = {
        "rpm": rpm, "speed": speed_of(greatest), "teeth": teeth, "pitch": length(size), "turn": length(per_turn)
    }  # fmt: skip
    if rpm_now is not None:
        ratio = rpm / rpm_now
        facts |= {"ratio": ratio, "rpm_now": float(rpm_now), "now": speed_of(travel_speed(rpm_now, teeth, size))}
    if least < greatest:
        facts |= {"least": speed_of(least), "share": Quantity(100 * least / greatest, "percent")}
    said = Message("drive_serving", facts=Facts(**facts))
    return ServingOutput(rpm, greatest, per_turn, least / greatest, ratio, said)


def _above_zero(what: str, value: float, unit: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{what} {value:g} {unit} must be above 0")
    return float(value)


def _whole_teeth(teeth: int) -> int:
    if teeth < 1 or teeth != int(teeth):
        raise ValueError(f"{teeth:g} teeth: a pulley has a whole number of teeth, 1 or more")
    return int(teeth)
