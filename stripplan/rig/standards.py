"""Look-ups in published tolerance standards: cut faces and sizes of thermal cuts, general tolerances.

| function | standard | what |
|---|---|---|
| `perpendicularity`, `rz5` | ISO 9013:2002 and 2017 | limits of the cut face, ranges 1 to 5 and 1 to 4 |
| `iso_9013_deviation` | ISO 9013:2017 | limit deviations of sizes, classes 1 and 2 |
| `iso_2768_linear`, `iso_2768_angle` | ISO 2768-1:1989 tables 1 and 3 | general tolerances f, m, c, v |
| `iso_2768_straightness`, `iso_2768_squareness` | ISO 2768-2:1989 (withdrawn 2021) | classes H, K, L |

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

_PERPENDICULARITY = {1: (0.05, 0.003), 2: (0.15, 0.007), 3: (0.4, 0.01), 4: (0.8, 0.02), 5: (1.2, 0.035)}
_PERPENDICULARITY_STATUS = {
    **dict.fromkeys((1, 2, 3), "seen (gives the inch figures of a tabulation of the 2002 edition)"),
    **dict.fromkeys((4, 5), "seen (quality-control document that prints the formula)"),
}
_RZ5 = {1: (10, 0.6), 2: (40, 0.8), 3: (70, 1.2), 4: (110, 1.8)}
_EDGE_STRIP = ((3, None), (6, 0.3), (10, 0.6), (20, 1.0), (40, 1.5), (100, 2.0))
_ANGLES = {
    "f": (60, 30, 20, 10, 5), "m": (60, 30, 20, 10, 5), "c": (90, 60, 30, 15, 10), "v": (180, 120, 60, 30, 20),
}  # fmt: skip
_ANGLE_BANDS = (10, 50, 120, 400)
_ANGLE_STATUS = {
    "f": "memory, high (the same as m)", "m": "seen (supplier page)", "c": "memory, high; partly seen garbled",
    "v": "memory, high; partly seen garbled",
}  # fmt: skip
_CLASS_2768_1 = ("f", "m", "c", "v")
_CLASS_2768_2 = ("H", "K", "L")
_EPS = 1e-9


@dataclass(frozen=True)
class Limit:
    """One figure of a standard: `value` (mm, um or degrees as its function says), None where there is none; `status`
    says where it was seen or how well it is remembered; `note` what to know.

    `verified` is False where the figure rests on memory, or there is none. `outside_scope` is True where the standard
    does not mean its figures for such a part, None where the part was not given.
    """

    value: float | None
    status: str
    note: str = ""
    verified: bool = True
    outside_scope: bool | None = None


@dataclass(frozen=True)
class Classes:
    """Which classes a ± deviation meets, the finest of each standard: ISO 9013 1 or 2, ISO 2768-1 f, m, c or v; None =
    none.

    `notes` say what to know of the figures compared with.
    """

    iso_9013: int | None
    iso_2768: str | None
    outside_scope: bool | None = None
    notes: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """In words: 'ISO 9013 class 2, ISO 2768-1 class c'."""
        first = f"ISO 9013 class {self.iso_9013}" if self.iso_9013 is not None else "no class of ISO 9013"
        second = f"ISO 2768-1 class {self.iso_2768}" if self.iso_2768 is not None else "no class of ISO 2768-1"
        return f"{first}, {second}"


@dataclass(frozen=True)
class _Row:
    """A cell of a table in `data/`: bounds, figure, status."""

    bounds: tuple[float, ...]
    deviation: float | None
    status: str


# --- ISO 9013: the cut face -----------------------------------------------------------------------------------------


def perpendicularity(range_: int, thickness: float) -> Limit:
    """Perpendicularity or angularity tolerance u [mm] of a cut face in range 1 to 5, `thickness` a [mm].

    u = 0.05 + 0.003 a; 0.15 + 0.007 a; 0.4 + 0.01 a; 0.8 + 0.02 a; 1.2 + 0.035 a: ISO 9013:2002 and 2017.

    >>> round(perpendicularity(4, 6).value, 3), round(perpendicularity(5, 10).value, 3)
    (0.92, 1.55)
    """
    _positive(thickness=thickness)
    start, slope = _choose("perpendicularity range", range_, _PERPENDICULARITY)
    return Limit(start + slope * thickness, _PERPENDICULARITY_STATUS[range_])


def edge_strip(thickness: float) -> Limit:
    """What is left out at top and bottom of the face when u is measured, together: da [mm] for a `thickness` [mm] up to
    100.

    ISO 9013 table 1, from memory (fair). A tabulation of the 2002 edition has 0.1 at 1.5 mm and 1.0 above 20 mm too.

    >>> edge_strip(12.7).value, edge_strip(2).value
    (1.0, 0.2)
    """
    _positive(thickness=thickness)
    for upper, strip in _EDGE_STRIP:
        if thickness <= upper + _EPS:
            note = "a tabulation of the 2002 edition has 1.0" if 20 < thickness <= 100 else ""
            return Limit(0.1 * thickness if strip is None else strip, "memory, fair", note, verified=False)
    return Limit(None, "not known", f"no figure is held above {_EDGE_STRIP[-1][0]} mm", verified=False)


def _measured_depth(thickness: float, strip: float | None) -> float:
    found = edge_strip(thickness).value if strip is None else strip
    if found is None:
        raise ValueError(f"thickness {thickness:g}: no da is held above {_EDGE_STRIP[-1][0]} mm, so give `strip`")
    if not 0 <= found < thickness:
        raise ValueError(f"strip {found:g}: must lie from 0 to below the thickness, {thickness:g} mm")
    return thickness - found


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
    outside, why = _outside_scope(thickness, length, width, process)
    found = [
        row
        for row in _table(f"iso_9013_class_{cls}.csv")
        if row.bounds[0] + _EPS < thickness <= row.bounds[1] + _EPS
        and row.bounds[2] - _EPS <= nominal < row.bounds[3] - _EPS
    ]
    if not found:
        text = f"ISO 9013 class {cls} has no figure for {nominal:g} mm in {thickness:g} mm plate: the table ends before"
        return Limit(None, "outside the table", _joined(text, *why), False, outside)
    row = found[0]
    doubt = () if row.status in ("seen", "blank") else (f"not verified: {_STATUS[row.status]}",)
    if row.deviation is None and row.status == "blank":
        doubt = (f"ISO 9013 class {cls} gives none for {nominal:g} mm in {thickness:g} mm plate",)
    return Limit(row.deviation, _STATUS[row.status], _joined(*doubt, *why), row.status == "seen", outside)


_STATUS = {
    "seen": "seen (reproduction on a metalworking information page)",
    "blank": "blank on that page",
    "row above": "memory, fair (the band below it in thickness, as in the 2002 edition)",
    "memory": "memory of the 2002 edition, fair",
    "not known": "neither seen nor remembered",
}


def _outside_scope(
    thickness: float, length: float | None, width: float | None, process: ThermalProcess | None
) -> tuple[bool | None, tuple[str, ...]]:
    """Whether ISO 9013 does not mean its figures for such a part, and why; None where the part was not given."""
    why: list[str] = []
    if process is not None:
        least, greatest = _choose("process", process, SCOPE)
        if not least <= thickness <= greatest:
            why.append(
                f"outside the scope: {process} cuts from {least:g} to {greatest:g} mm, and this is {thickness:g} mm"
            )
    if length is not None and width is not None:
        _positive(length=length, width=width)
        slender = max(length, width) / min(length, width)
        if slender > SLENDEREST + _EPS:
            why.append(f"outside the scope: meant for parts up to 4:1, and this is {slender:.3g}:1; a yardstick only")
        if 2 * (length + width) < LEAST_OUTLINE - _EPS:
            why.append(f"outside the scope: meant for outlines from 350 mm, and this is {2 * (length + width):g} mm")
    if why:
        return True, tuple(why)
    return (None, ()) if length is None or width is None else (False, ())


# --- ISO 2768 -------------------------------------------------------------------------------------------------------


def iso_2768_linear(cls: str, nominal: float) -> Limit:
    """General tolerance of a linear size ± [mm], class f, m, c or v: ISO 2768-1:1989 table 1. A bound belongs to the
    band below it.

    >>> iso_2768_linear("m", 400).value, iso_2768_linear("m", 401).value
    (0.5, 0.8)
    """
    wanted = _one_of("ISO 2768-1 class", cls, _CLASS_2768_1)
    return _banded("iso_2768_1_linear.csv", wanted, nominal, "ISO 2768-1", least=0.5)


def iso_2768_straightness(cls: str, length: float) -> Limit:
    """General tolerance of straightness and flatness [mm] over a `length` [mm], class H, K or L: ISO 2768-2:1989, up to
    3 m.

    >>> iso_2768_straightness("L", 1000).value, iso_2768_straightness("L", 2000).value
    (1.2, 1.6)
    """
    wanted = _one_of("ISO 2768-2 class", cls, _CLASS_2768_2)
    return _banded("iso_2768_2_straightness.csv", wanted, length, "ISO 2768-2")


def _banded(name: str, cls: str, size: float, standard: str, *, least: float = 0.0) -> Limit:
    """The figure of one class in the band that holds `size`."""
    _positive(size=size)
    rows = [row for row in _table(name) if row.status.startswith(f"{cls}:")]
    if size < least - _EPS:
        return Limit(None, "outside the table", f"{standard} begins at {least:g} mm: state the tolerance", False)
    for row in rows:
        if size <= row.bounds[1] + _EPS:
            status = row.status.partition(":")[2]
            if row.deviation is None:
                return Limit(None, "blank", f"{standard} gives none for class {cls} at {size:g} mm", False)
            return Limit(row.deviation, f"{status} (reproduction)")
    text = f"{standard} ends at {rows[-1].bounds[1]:g} mm, and this is {size:g} mm: state the tolerance"
    return Limit(None, "outside the table", text, False)


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
    notes = [compared.note] if compared.note else []
    if all(limit.value is None for limit in general.values()):
        notes.append(general["c"].note)
    return Classes(
        met,
        next((cls for cls, limit in general.items() if _met(deviation, limit)), None),
        compared.outside_scope,
        tuple(notes),
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


def _joined(*texts: str) -> str:
    return "; ".join(texts)
