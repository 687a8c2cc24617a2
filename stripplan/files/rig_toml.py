"""Rig profiles: the built-in one, files, and named profiles in the person's own folder."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import fields
from importlib import resources
from pathlib import Path
from typing import Any

from ..errors import Fault, InputError
from ..model.rig import Process, Rig, Seconds
from ..model.units import parse_length, parse_speed
from .checked import checked
from .faults import nearest, read_toml
from .schema import ProcessTable, RigTable

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
    if not path.exists() and path.suffix == "" and len(path.parts) == 1:
        path = _named_profile(str(source))
    data, text = read_toml(path)
    return rig_from(checked(RigTable, data, text, str(path)), where=str(path))


def builtin_rig() -> Rig:
    """The built-in profile."""
    import tomllib

    table = RigTable.model_validate(tomllib.loads(builtin_rig_text()))
    rig = rig_from(table, where="the built-in profile")
    return _with_assumed(rig, {})


def profiles_folder() -> Path:
    """Where named profiles lie: rigs/ in the person's own stripplan folder."""
    base = os.environ.get("XDG_CONFIG_HOME") or os.environ.get("APPDATA") or str(Path.home() / ".config")
    return Path(base) / "stripplan" / "rigs"


def _named_profile(name: str) -> Path:
    folder = profiles_folder()
    path = folder / f"{name}.toml"
    if not path.is_file():
        known = sorted(each.stem for each in folder.glob("*.toml")) if folder.is_dir() else []
        hint = nearest(name, known) if known else f"put {name}.toml there, or name a file"
        raise InputError(
            Fault("no_profile", f"rig {name!r}", f"there is no such file, and no profile in {folder}", hint)
        )
    return path


def rig_from(table: RigTable, *, where: str) -> Rig:
    """A Rig from a checked table; keys left out come from the built-in profile and are named in `assumed`."""
    units = table.units
    given: dict[str, Any] = {}
    for key, value in table:
        if value is None or key in ("units", "schema_", "process", "seconds", "dial"):
            continue
        if key in _PLAIN:
            given[key] = value
        elif key in _SPEEDS:
            given[key] = parse_speed(value, units)
        else:
            given[key] = _signed_length(value, units)
    try:
        if table.dial is not None:
            given["dial"] = tuple((float(pair[0]), parse_speed(pair[1], units)) for pair in table.dial)
        if table.process is not None:
            given["processes"] = tuple(_process(each, units) for each in table.process)
        if table.seconds is not None:
            given["seconds"] = Seconds(**{key: value for key, value in table.seconds if value is not None})
        rig = _with_assumed(Rig(**(_builtin_base(given) | given)), given)
    except (ValueError, IndexError) as error:
        raise InputError(Fault("rig", where, str(error))) from None
    return rig


def _builtin_base(given: Mapping[str, Any]) -> dict[str, Any]:
    """Processes of the built-in profile where a rig brings none of its own."""
    if "processes" in given:
        return {}
    import tomllib

    table = RigTable.model_validate(tomllib.loads(builtin_rig_text()))
    return {"processes": tuple(_process(each, table.units) for each in table.process or [])}


def _with_assumed(rig: Rig, given: Mapping[str, Any]) -> Rig:
    from dataclasses import replace

    keys = [each.name for each in fields(Rig) if each.name not in ("assumed", "name", "seconds")]
    assumed = tuple("process" if key == "processes" else key for key in keys if key not in given)
    return replace(rig, assumed=assumed + (() if "seconds" in given else ("seconds",)))


def _signed_length(value: Any, units: str) -> float:
    text = str(value).strip()
    if text.startswith("-"):
        return -parse_length(text[1:], units)
    return parse_length(value, units)


def _process(table: ProcessTable, units: str) -> Process:
    if any(len(point) != 2 for point in table.duty):
        raise ValueError(f"process {table.name}: duty is a list of [current, percent]")
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
