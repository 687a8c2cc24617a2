"""Rig profiles: the built-in one, files, and named profiles in the person's own folder."""

from __future__ import annotations

import json
import math
import os
import re
import tomllib
from collections import Counter
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Literal

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.files.fault_words import capped, fault, meant, shortened
from stripplan.files.read_file import is_file
from stripplan.files.rig.nearby import rigs_nearby
from stripplan.files.rig.schema import ProcessTable, RigTable
from stripplan.files.toml.document import TomlFile, read_toml
from stripplan.files.toml.validate import Place, checked
from stripplan.model.notebook import Notebook
from stripplan.model.prices import Prices
from stripplan.model.rig import Process, Rig, Seconds
from stripplan.wording.message import Message
from stripplan.wording.show import Units

_OF_TILT = ("tilt_", "seconds.tilt")
"""What the figures of a tilted torch begin with: where it cannot be tilted none of them is missing."""
_APART = {"schema_", "units", "dial", "tilt_shift", "process", "seconds", "notebook", "prices"}
"""Keys of a rig file that are no field of Rig as they stand."""
RENAMED = {"dress_per_m": "scrape_per_m"}
"""Keys of [seconds] in the first edition, by what they are called now."""


@dataclass(frozen=True)
class RigFile:
    """What a rig file says, what its reader should know about how it was read (`notes`), and the file's own units."""

    rig: Rig
    notes: tuple[Fault, ...] = ()
    units: Literal["mm", "in"] = "mm"


def builtin_rig_text() -> str:
    """The built-in profile as a commented TOML text, to be shown and copied."""
    return resources.files(__package__).joinpath("data", "rig.toml").read_text(encoding="utf-8")


def load_rig(source: Path | str | None = None) -> Rig:
    """A rig from a file, or from a profile's name; None = the built-in profile, every key of it `assumed`.

    Raises InputError with every fault and its place.
    """
    return read_rig(source).rig


def read_rig(source: Path | str | None = None) -> RigFile:
    """As `load_rig`, with notes.

    A word without folder and ending that is no file here is a profile's name: NAME.toml in
    `profiles_folder()`. Raises InputError with every fault and its place.
    """
    if source is None:
        return RigFile(builtin_rig())
    path = Path(source)
    if len(path.parts) == 1 and not path.suffix and not is_file(path):
        path = _named_profile(str(source))
    try:
        file = read_toml(path)
    except InputError as error:
        if error.faults[0].says != "no_file.file":
            raise
        raise InputError(fault("no_file.rig", str(path), folder=path.parent.is_dir(), **rigs_nearby(path))) from None
    units = _units(file.data, "mm")
    rig = rig_from(file.data, file, units=units, name=path.stem)
    return RigFile(rig, renamed(file.data, file), units)


@cache
def builtin_rig() -> Rig:
    """The built-in profile; all its keys are `assumed`."""
    rig = _rig(_builtin_table(), Rig().name, {}, ())
    return replace(rig, assumed=_assumed(RigTable.model_validate({})))


@cache
def _builtin_table() -> RigTable:
    return RigTable.model_validate(tomllib.loads(builtin_rig_text()), context={"units": "mm"})


def rig_text_to_fill_in(name: str) -> str:
    """The built-in profile for a person's own figures: those of the rig are commented out, so that each goes on being
    marked as assumed until it is put in. Processes stay: their kerf is marked until it has a date.
    """
    rig, processes, rest = builtin_rig_text().partition("\n[[process]]")
    lines = [
        f"# {line}" if re.match(r"[a-z_]+ = ", line) and not line.startswith(_KEPT) else line
        for line in rig.split("\n")
    ]
    text = "\n".join(lines).replace('name = "built-in"', f"name = {json.dumps(name)}", 1)
    return text.replace(*_HOW_TO_FILL_IN) + processes + rest


_KEPT = ("schema", "name", "units")
_HOW_TO_FILL_IN = (
    "# Copy it, measure, and put your own figures in: what you leave out is taken from here and marked `assumed`.",
    "# Figures behind a # are guesses, marked `assumed` on the sheet. Measure, put your own in, take the # away.",
)


def rig_from(data: dict[str, Any], file: TomlFile, *, units: str, name: str, at: Place = ()) -> Rig:
    """The Rig that a table describes; keys left out come from the built-in profile and are named in `assumed`.

    `units` are those of bare numbers where the table names none, `at` the place of the table in its file.
    Raises InputError with every fault.
    """
    table, faults = checked(RigTable, data, file, units=_units(data, units), at=at)
    if table is None:
        raise InputError(capped(faults))
    where = file.where(at, ".".join(map(str, at)) or "the rig") if at else file.name
    faults = _contradictions(table, where)
    if faults:
        raise InputError(capped(faults))
    notebook = _notebook(file.folder / table.notebook) if table.notebook else None
    try:
        return replace(_rig(table, name, _processes_built_in(table), _assumed(table)), notebook=notebook)
    except ValueError as error:  # of its prices the model tells in words: they have no unit
        what = error.message.facts["what"] if isinstance(error, FiguresError) else str(error)
        keys = what.facts["keys"] if isinstance(what, Message) else ()
        left_out = tuple(key for key in _assumed(table) if isinstance(keys, tuple) and key in keys)
        contradiction = fault("rig.contradiction", where, what=what, built_in=left_out)
        raise InputError(contradiction, Units(_units(data, units))) from None


def renamed(data: dict[str, Any], file: TomlFile, at: Place = ()) -> tuple[Fault, ...]:
    """Notes on keys of a rig's table that are called otherwise now; `at` is its place in the file."""
    seconds = data.get("seconds")
    return tuple(
        fault("renamed.key", file.where((*at, "seconds", old), f"[seconds], {old}"), now=new)
        for old, new in RENAMED.items()
        if isinstance(seconds, dict) and old in seconds
    )


def _notebook(path: Path) -> Notebook:
    from stripplan.files.notebook.read import load_notebook  # few rigs have one

    return load_notebook(path)


def _units(data: dict[str, Any], default: str) -> Literal["mm", "in"]:
    """Units of a file; a wrong word for them is found when the table is checked."""
    units = data.get("units")
    return "in" if (units if units in ("mm", "in") else default) == "in" else "mm"


def _contradictions(table: RigTable, where: str) -> list[Fault]:
    """What no single key shows."""
    faults = []
    counts = Counter(each.name for each in table.process or ())
    for name in [name for name, count in counts.items() if count > 1]:
        faults.append(fault("same_name.processes", where, name=name))
    given = _seconds_given(table)
    for old, new in RENAMED.items():
        if old in given and new in given:
            faults.append(fault("rig.both_names", where, old=old, now=new))
    least = Rig().mitre_min if table.mitre_min is None else table.mitre_min
    most = Rig().mitre_max if table.mitre_max is None else table.mitre_max
    if least > most:
        faults.append(fault("rig.mitre", where, least=least, most=most))
    return faults


def _rig(table: RigTable, name: str, processes: dict[str, Any], assumed: tuple[str, ...]) -> Rig:
    given = {key: value for key, value in table if value is not None and key not in _APART}
    if table.dial is not None:
        given["dial"] = tuple(table.dial)
    if table.tilt_shift is not None:
        given["tilt_shift"] = tuple(table.tilt_shift)
    if table.process is not None:
        processes = {"processes": tuple(_process(each) for each in table.process)}
    if table.seconds is not None:
        given["seconds"] = Seconds(**{RENAMED.get(key, key): value for key, value in _seconds_given(table).items()})
    if table.prices is not None:
        given["prices"] = Prices(**table.prices.model_dump())
    return _first_stop_on_its_scale(Rig(**({"name": name} | processes | given), assumed=assumed))


def _first_stop_on_its_scale(rig: Rig) -> Rig:
    """Of an end stop with an inch scale the first place is a mark of that scale, whose marks are counted from 0: the
    next one at or beyond `end_stop_min`, which may well be a whole figure in mm, taken from a profile in mm."""
    step = rig.end_stop_step
    if _whole(2 * step) or not (_whole(step / 25.4 * 64) or _whole(step / 25.4 * 1000)):
        return rig  # a scale in mm, or none: places are counted from the first
    first = math.ceil(rig.end_stop_min / step - 1e-6) * step
    return rig if first > rig.stroke else replace(rig, end_stop_min=round(first, 9))


def _whole(value: float) -> bool:
    return abs(value - round(value)) < 1e-6


def _processes_built_in(table: RigTable) -> dict[str, Any]:
    return {} if table.process is not None else {"processes": builtin_rig().processes}


def _process(table: ProcessTable) -> Process:
    return Process(**(table.model_dump() | {"duty": tuple(table.duty)}))


def _assumed(table: RigTable) -> tuple[str, ...]:
    """Keys that a table leaves out: "process" where it has none, "seconds.fence" and so on; no limit is assumed too."""
    keys = ["process" if each.name == "processes" else each.name for each in fields(Rig)]
    apart = ("name", "seconds", "assumed", "notebook", "measured", "prices")
    names = [key for key in keys if key not in apart and getattr(table, key) is None]
    given = {RENAMED.get(key, key) for key in _seconds_given(table)}
    found = (*names, *(f"seconds.{each.name}" for each in fields(Seconds) if each.name not in given))
    return found if table.tilt_max else tuple(each for each in found if not each.startswith(_OF_TILT))


def _seconds_given(table: RigTable) -> dict[str, float]:
    return table.seconds.model_dump(exclude_none=True) if table.seconds is not None else {}


# --- named profiles -------------------------------------------------------------------------------------------------


def profiles_folder() -> Path:
    """Where named profiles lie: rigs/ in the person's own stripplan folder."""
    base = os.environ.get("XDG_CONFIG_HOME") or os.environ.get("APPDATA") or str(Path.home() / ".config")
    return Path(base) / "stripplan" / "rigs"


def _named_profile(name: str) -> Path:
    folder = profiles_folder()
    path = folder / f"{name}.toml"
    if not is_file(path):
        known = sorted(each.stem for each in folder.glob("*.toml")) if folder.is_dir() else []
        near = meant(name, known) if known else {}
        raise InputError(
            fault(
                "no_profile.folder",
                f"rig {shortened(name)}",
                folder=str(folder),
                **rigs_nearby(Path(name)),
                **near,
            )
        )
    return path
