"""Look-ups in published tolerance standards: sizes of thermal cuts, general tolerances.

| function | standard | what |
|---|---|---|
| `iso_9013_deviation` | ISO 9013:2017 | limit deviations of sizes, classes 1 and 2 |
| `iso_2768_linear` | ISO 2768-1:1989 table 1 | general tolerances f, m, c, v |
| `iso_2768_straightness` | ISO 2768-2:1989 (withdrawn 2021) | classes H, K, L |

No standard was read itself. Each figure carries its status: `seen` in a reproduction, or how sure the memory is. Tables
lie in `data/`.
"""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Literal, TypeVar

_K = TypeVar("_K")
_V = TypeVar("_V")

ThermalProcess = Literal["plasma", "flame", "laser"]

SCOPE: Mapping[ThermalProcess, tuple[float, float]] = {"flame": (3, 300), "plasma": (0.5, 150), "laser": (0.5, 32)}
"""Least and greatest thickness that ISO 9013:2017 is written for [mm]: seen in a standards catalogue."""

SLENDEREST = 4.0
"""Length to width up to which ISO 9013's limit deviations are meant to hold: from memory, fair."""

LEAST_OUTLINE = 350.0
"""Outline from which they are meant to hold [mm]: from memory, fair."""

_CLASS_2768_1 = ("f", "m", "c", "v")
_CLASS_2768_2 = ("H", "K", "L")
_EPS = 1e-9


@dataclass(frozen=True)
class Limit:
    """One figure of a standard: `value` (mm, um or degrees as its function says), None where there is none; `status`
    says where it was seen or how well it is remembered.

    `verified` is False where the figure rests on memory, or there is none. `outside_scope` is True where the standard
    does not mean its figures for such a part, None where the part was not given.
    """

    value: float | None
    status: str
    verified: bool = True
    outside_scope: bool | None = None


@dataclass(frozen=True)
class Classes:
    """Which classes a ± deviation meets, the finest of each standard: ISO 9013 1 or 2, ISO 2768-1 f, m, c or v; None =
    none.

    `outside_scope` is True where ISO 9013 does not mean its figures for such a part: a yardstick only.
    """

    iso_9013: int | None
    iso_2768: str | None
    outside_scope: bool | None = None

    @property
    def text(self) -> str:
        """In words: 'ISO 9013 class 2, ISO 2768-1 class c'."""
        beyond = " (outside its scope: a yardstick)" if self.outside_scope else ""
        first = f"ISO 9013 class {self.iso_9013}{beyond}" if self.iso_9013 is not None else "no class of ISO 9013"
        second = f"ISO 2768-1 class {self.iso_2768}" if self.iso_2768 is not None else "no class of ISO 2768-1"
        return f"{first}, {second}"


@dataclass(frozen=True)
class _Row:
    """A cell of a table in `data/`: bounds, figure, status."""

    bounds: tuple[float, ...]
    deviation: float | None
    status: str


# --- ISO 9013: sizes ------------------------------------------------------------------------------------------------


def iso_9013_deviation(
    cls: int,
    thickness: float,
    nominal: float,
    *,
    length: float | None = None,
    width: float | None = None,
    process: ThermalProcess | None = None,
) -> Limit:
    """Limit deviation ± [mm] of a size without its own tolerance: tolerance class 1 or 2 of ISO 9013:2017.

    A `nominal` on a bound belongs to the band above it, a `thickness` on a bound to the band below it. The figures are
    meant for parts of a length to width up to 4:1 and an outline of 350 mm or more (from memory), so for a long strip
    they are only a yardstick: `length` and `width` of the part set `outside_scope`, and so does a `process` whose
    thickness ends earlier. The edge's own perpendicularity is not inside them (from memory).

    >>> iso_9013_deviation(2, 6.3, 125).value, iso_9013_deviation(2, 8, 125).value
    (1.1, 1.4)
    >>> iso_9013_deviation(2, 8, 50, length=1000, width=50).outside_scope
    True
    """
    _choose("ISO 9013 tolerance class", cls, {1: "", 2: ""})
    _positive(thickness=thickness, nominal=nominal)
    outside = _outside_scope(thickness, length, width, process)
    found = [
        row
        for row in _table(f"iso_9013_class_{cls}.csv")
        if row.bounds[0] + _EPS < thickness <= row.bounds[1] + _EPS
        and row.bounds[2] - _EPS <= nominal < row.bounds[3] - _EPS
    ]
    if not found:
        return Limit(None, "outside the table", False, outside)
    row = found[0]
    return Limit(row.deviation, _STATUS[row.status], row.status == "seen", outside)


_STATUS = {
    "seen": "seen (reproduction on a metalworking information page)",
    "blank": "blank on that page",
    "row above": "memory, fair (the band below it in thickness, as in the 2002 edition)",
    "memory": "memory of the 2002 edition, fair",
    "not known": "neither seen nor remembered",
}


def _outside_scope(
    thickness: float, length: float | None, width: float | None, process: ThermalProcess | None
) -> bool | None:
    """Whether ISO 9013 does not mean its figures for such a part; None where the part was not given."""
    if process is not None:
        least, greatest = _choose("process", process, SCOPE)
        if not least <= thickness <= greatest:
            return True
    if length is None or width is None:
        return None
    _positive(length=length, width=width)
    slender = max(length, width) / min(length, width)
    return slender > SLENDEREST + _EPS or 2 * (length + width) < LEAST_OUTLINE - _EPS


# --- ISO 2768 -------------------------------------------------------------------------------------------------------


def iso_2768_linear(cls: str, nominal: float) -> Limit:
    """General tolerance of a linear size ± [mm], class f, m, c or v: ISO 2768-1:1989 table 1. A bound belongs to the
    band below it.

    >>> iso_2768_linear("m", 400).value, iso_2768_linear("m", 401).value
    (0.5, 0.8)
    """
    wanted = _one_of("ISO 2768-1 class", cls, _CLASS_2768_1)
    return _banded("iso_2768_1_linear.csv", wanted, nominal, least=0.5)


def iso_2768_straightness(cls: str, length: float) -> Limit:
    """General tolerance of straightness and flatness [mm] over a `length` [mm], class H, K or L: ISO 2768-2:1989, up to
    3 m.

    >>> iso_2768_straightness("L", 1000).value, iso_2768_straightness("L", 2000).value
    (1.2, 1.6)
    """
    wanted = _one_of("ISO 2768-2 class", cls, _CLASS_2768_2)
    return _banded("iso_2768_2_straightness.csv", wanted, length)


def _banded(name: str, cls: str, size: float, *, least: float = 0.0) -> Limit:
    """The figure of one class in the band that holds `size`."""
    _positive(size=size)
    rows = [row for row in _table(name) if row.status.startswith(f"{cls}:")]
    if size >= least - _EPS:
        for row in rows:
            if size <= row.bounds[1] + _EPS:
                status = row.status.partition(":")[2]
                known = row.deviation is not None
                return Limit(row.deviation, f"{status} (reproduction)" if known else "blank", known)
    return Limit(None, "outside the table", False)


# --- which class ----------------------------------------------------------------------------------------------------


def class_met(
    deviation: float,
    thickness: float,
    nominal: float,
    *,
    length: float | None = None,
    width: float | None = None,
    process: ThermalProcess | None = None,
) -> Classes:
    """The finest class of ISO 9013 and of ISO 2768-1 that a ± `deviation` [mm] of a size meets.

    `length`, `width` and `process` say whether ISO 9013 means its figures for such a part at all.

    >>> class_met(0.9, 6, 100).text
    'ISO 9013 class 2, ISO 2768-1 class v'
    """
    if not (math.isfinite(deviation) and deviation >= 0):
        raise ValueError(f"deviation {deviation}: must not be below 0 mm")
    shape = {"length": length, "width": width}
    thermal = {cls: iso_9013_deviation(cls, thickness, nominal, **shape, process=process) for cls in (1, 2)}
    general = {cls: iso_2768_linear(cls, nominal) for cls in _CLASS_2768_1}
    met = next((cls for cls, limit in thermal.items() if _met(deviation, limit)), None)
    compared = thermal[met if met is not None else 2]
    return Classes(
        met,
        next((cls for cls, limit in general.items() if _met(deviation, limit)), None),
        compared.outside_scope,
    )


def _met(deviation: float, limit: Limit) -> bool:
    return limit.value is not None and deviation <= limit.value + _EPS


# --- tables and words -----------------------------------------------------------------------------------------------


@functools.cache
def _table(name: str) -> tuple[_Row, ...]:
    """The rows of a table in `data/`, its first line, a comment, left out; a class goes before the status."""
    text = resources.files(__package__).joinpath("data", name).read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    keys = ("over", "up_to", "from", "below")
    return tuple(
        _Row(
            tuple(float(row[key]) for key in keys if key in row),
            float(row["deviation"]) if row["deviation"] else None,
            f"{row['class']}:{row['status']}" if "class" in row else row["status"],
        )
        for row in rows
    )


def _positive(**values: float) -> None:
    """Raise ValueError that names each value that is not above 0."""
    faults = [
        f"{name.replace('_', ' ')} {value}: must be above 0 mm"
        for name, value in values.items()
        if not (math.isfinite(value) and value > 0)
    ]
    if faults:
        raise ValueError("; ".join(faults))


def _choose(what: str, wanted: _K, known: Mapping[_K, _V]) -> _V:
    if wanted not in known:
        raise ValueError(f"{what} {wanted!r} is not known; known are {', '.join(str(each) for each in known)}")
    return known[wanted]


def _one_of(what: str, wanted: str, known: tuple[str, ...]) -> str:
    """The class as the standard writes it, whatever letter size was given."""
    letters = {each.lower(): each for each in known}
    return _choose(what, letters.get(wanted.lower(), wanted), {each: each for each in known})
