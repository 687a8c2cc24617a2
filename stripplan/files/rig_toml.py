"""Rig profiles: the built-in one, files, and named profiles in the person's own folder."""

from __future__ import annotations

import os
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from ..errors import Fault, InputError
from ..model.rig import Process, Rig, Seconds
from ..model.units import parse_length, parse_speed
from .checked import checked
from .faults import nearest, read_toml
from .schema import ProcessTable, RigTable, signed_length

_SPEEDS = ("travel_min", "travel_max", "return_speed")
_PLAIN = (
    "name", "fence_scale", "square_side", "two_pass", "marked", "mitre_min", "mitre_max", "piece_mass_max",
    "two_person_mass", "pre_flow", "post_flow", "pilot_limit",
)  # fmt: skip


def builtin_rig_text() -> str:
    """The built-in profile as a commented TOML text."""
    return resources.files(__package__).joinpath("data", "rig.toml").read_text(encoding="utf-8")


def load_rig(source: Path | str | None = None) -> Rig:
    """A rig from a file, or from a profile's name; None = the built-in profile, every key of it `assumed`.

    Raises InputError with every fault and its place.
    """
    if source is None:
        return builtin_rig()
    path = Path(source)
    if not path.suffix and len(path.parts) == 1 and not is_file(path):
        path = _named_profile(str(source))
    data, text = read_toml(path)
    return rig_from(checked(RigTable, data, text, str(path)), where=str(path))


def is_file(path: Path) -> bool:
    """Whether there is such a file; False too for what no file can be called."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def builtin_rig() -> Rig:
    """The built-in profile."""
    rig = rig_from(_builtin_table(), where="the built-in profile")
    return replace(rig, assumed=_assumed(RigTable.model_validate({}), {}))


@cache
def _builtin_table() -> RigTable:
    return RigTable.model_validate(tomllib.loads(builtin_rig_text()))


def profiles_folder() -> Path:
    """Where named profiles lie: rigs/ in the person's own stripplan folder."""
    base = os.environ.get("XDG_CONFIG_HOME") or os.environ.get("APPDATA") or str(Path.home() / ".config")
    return Path(base) / "stripplan" / "rigs"


def _named_profile(name: str) -> Path:
    folder = profiles_folder()
    path = folder / f"{name}.toml"
    if not is_file(path):
        known = sorted(each.stem for each in folder.glob("*.toml")) if folder.is_dir() else []
        hint = nearest(name, known) if known else "put a profile there, or name a file"
        raise InputError(
            Fault("no_profile", f"rig {name[:60]!r}", f"there is no such file, and no profile in {folder}", hint)
        )
    return path


def rig_from(table: RigTable, *, where: str, units: str = "mm") -> Rig:
    """A Rig from a checked table; keys left out come from the built-in profile and are named in `assumed`.

    `units` are those of bare numbers where the table names none.
    """
    try:
        given = _given(table, table.units or units)
        return replace(Rig(**(_builtin_processes(given) | given)), assumed=_assumed(table, given))
    except ValueError as error:
        hint = "keys left out come from the built-in profile"
        raise InputError(Fault("rig", where, str(error), hint)) from None


def _given(table: RigTable, units: str) -> dict[str, Any]:
    """The fields of Rig that a table gives, in mm, mm/min, s and kg."""
    given: dict[str, Any] = {}
    for key, value in table:
        if value is None or key in ("units", "schema_", "process", "seconds", "dial"):
            continue
        if key in _PLAIN:
            given[key] = value
        elif key in _SPEEDS:
            given[key] = parse_speed(value, units)
        else:
            given[key] = signed_length(value, units)
    if table.dial is not None:
        given["dial"] = tuple((float(mark), parse_speed(speed, units)) for mark, speed in table.dial)
    if table.process:
        given["processes"] = _processes(table.process, units)
    if table.seconds is not None:
        given["seconds"] = Seconds(**table.seconds.model_dump(exclude_none=True))
    return given


def _builtin_processes(given: Mapping[str, Any]) -> dict[str, Any]:
    """Processes of the built-in profile where a rig brings none of its own."""
    if "processes" in given:
        return {}
    table = _builtin_table()
    return {"processes": _processes(table.process or [], table.units or "mm")}


def _assumed(table: RigTable, given: Mapping[str, Any]) -> tuple[str, ...]:
    """Keys that a table leaves to the built-in profile: "process" where it has none, "seconds.fence" and so on."""
    keys = [each.name for each in fields(Rig) if each.name not in ("assumed", "name", "seconds")]
    names = ["process" if key == "processes" else key for key in keys if key not in given]
    timed = table.seconds.model_dump(exclude_none=True) if table.seconds is not None else {}
    return (*names, *(f"seconds.{each.name}" for each in fields(Seconds) if each.name not in timed))


def _processes(tables: Sequence[ProcessTable], units: str) -> tuple[Process, ...]:
    twice = [name for name, count in Counter(each.name for each in tables).items() if count > 1]
    if twice:
        raise ValueError(f"several processes are called {twice[0]!r}: give each its own name")
    return tuple(_process(each, units) for each in tables)


def _process(table: ProcessTable, units: str) -> Process:
    return Process(
        name=table.name,
        material=table.material,
        thickness=parse_length(table.thickness, units),
        kerf=parse_length(table.kerf, units),
        travel_speed=parse_speed(table.travel_speed, units),
        current=table.current,
        tip=table.tip,
        kerf_measured_on=table.kerf_measured_on,
        duty=tuple((point[0], point[1]) for point in table.duty),
    )
