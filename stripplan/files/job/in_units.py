"""The bare lengths and speeds of a job's table in other units, exactly.

A length that names its unit keeps it. A bare fraction, which has no meaning among mm, becomes its mm. What is no whole
64th of an inch keeps its mm, and says so: 50 mm are not 1.9685 in, and a list that was turned to and fro must be the
list that it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any, Literal

from stripplan.files.parts.bevels import with_roots
from stripplan.wording.quantity import UnitError, parse_length

System = Literal["mm", "in"]

_TABLES = {
    "part": "PartTable", "plate": "PlateTable", "options": "OptionsTable", "holes": "HoleTable", "bevels": "BevelTable",
    "rig": "RigTable",
    "process": "ProcessTable",
}  # fmt: skip
"""Tables of a job by their keys, as its schema calls them."""
_LENGTHS = tuple(f'"#/$defs/{kind}"' for kind in ("size", "length", "offset"))
_SPEEDS = ('"#/$defs/speed"',)


def in_units(job: Mapping[str, Any], to: System) -> dict[str, Any]:
    """The table of a job whose bare figures are in its own `units`, with bare figures in others.

    >>> in_units({"units": "in", "part": [{"name": "2", "width": 2.5, "length": "1/2", "quantity": 2}]}, "mm")
    {'units': 'mm', 'part': [{'name': '2', 'width': 63.5, 'length': 12.7, 'quantity': 2}]}
    >>> in_units({"part": [{"width": 12.7, "length": 50}], "options": {"trim": 6.35}}, "in")
    {'part': [{'width': '1/2', 'length': '50 mm'}], 'options': {'trim': '1/4'}, 'units': 'in'}
    """
    given: System = "in" if job.get("units") == "in" else "mm"
    if given == to:
        return dict(job)
    turned: dict[str, Any] = {**_turned(job, "JobTable", given, to), "units": to}
    return turned


def _turned(table: Mapping[str, Any], name: str, given: System, to: System) -> dict[str, Any]:
    lengths, speeds = _keys()[name]
    made: dict[str, Any] = {}
    for key, value in table.items():
        inner = _TABLES.get(key)
        if key == "rig" and isinstance(value, dict) and "units" in value:
            made[key] = value  # its figures are in its own
        elif inner and isinstance(value, dict):
            made[key] = _turned(value, inner, given, to)
        elif inner and isinstance(value, list):
            made[key] = [_turned(each, inner, given, to) if isinstance(each, dict) else each for each in value]
        elif key == "bevels" and isinstance(value, str):
            made[key] = with_roots(value, lambda root: str(_length(root, given, to)))
        elif key in lengths:
            made[key] = _lengths(value, given, to)
        else:
            made[key] = _speed(value, given, to) if key in speeds else value
    return made


@cache
def _keys() -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Keys of each table that hold lengths, and those that hold speeds, by the job's schema."""
    import json

    from stripplan.files.job.schema import job_schema

    schema = job_schema()
    tables = {"JobTable": schema, **schema["$defs"]}

    def of_kind(properties: Mapping[str, Any], kinds: tuple[str, ...]) -> frozenset[str]:
        return frozenset(key for key, each in properties.items() if any(kind in json.dumps(each) for kind in kinds))

    return {
        name: (of_kind(tables[name]["properties"], _LENGTHS), of_kind(tables[name]["properties"], _SPEEDS))
        for name in ("JobTable", *_TABLES.values())
    }


def shown_length(mm: float, to: System) -> float | int | str:
    """A length as it is typed in a list of these units, exactly.

    >>> shown_length(63.5, "in"), shown_length(50, "in"), shown_length(63.5, "mm")
    ('2 1/2', '50 mm', 63.5)
    """
    plain = _plain(round(mm, 6))
    if to == "mm":
        return plain
    sixty_fourths = round(mm / 25.4 * 64)
    if abs(sixty_fourths * 25.4 / 64 - mm) > 1e-6:
        return f"{plain} mm"
    whole, rest = divmod(Fraction(sixty_fourths, 64), 1)
    return " ".join(filter(None, (str(whole) if whole or not rest else "", str(rest) if rest else "")))


def _lengths(value: Any, given: System, to: System) -> Any:
    """A length, or lists of them."""
    if isinstance(value, list):
        return [_lengths(each, given, to) for each in value]
    return _length(value, given, to)


def _length(value: Any, given: System, to: System) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return value
    mm, other = (_read(str(value), units) for units in (given, to))
    if mm is None:
        return value  # who reads the list says what is wrong with it
    return value if mm == other and mm else shown_length(mm, to)


def _read(text: str, units: System) -> float | None:
    """A length in a list of these units [mm]; None where it is none there, as a bare fraction among mm."""
    try:
        return parse_length(text, units, comma=True)
    except UnitError:
        return None


def _speed(value: Any, given: System, to: System) -> Any:
    if isinstance(value, list):  # a dial: marks with their speeds
        return [[each[0], _speed(each[1], given, to)] if _is_pair(each) else each for each in value]
    try:
        bare = float(value)
    except (TypeError, ValueError):
        return value
    turned = bare / 25.4 if to == "in" else bare * 25.4
    return _plain(round(turned, 3))


def _is_pair(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2


def _plain(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value
