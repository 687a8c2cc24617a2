"""Rig profiles and their notebooks on disk, as the page changes them.

Rows are added at the end of the notebook's text, so that a person's own comments and order stay as they are. Nothing is
written that does not read, nothing is written over that another program has changed since, and the text before the
change lies beside it as NAME.bak. Only files of the profiles' folder are touched.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w

from ..errors import Fault, InputError
from ..files.notebook_toml import KINDS, notebook_from
from ..files.rig_toml import builtin_rig_text, load_rig, profiles_folder
from ..files.toml_file import TomlFile, read_toml
from ..sheets.folder import write_file

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,59}")
"""Names of profiles that the page makes: the same on every machine."""


def profiles() -> list[str]:
    """Names of the person's own profiles."""
    folder = profiles_folder()
    return sorted(each.stem for each in folder.glob("*.toml") if _is_profile(each)) if folder.is_dir() else []


def _is_profile(path: Path) -> bool:
    """Whether a file is no notebook; one that cannot be read counts, so that its fault is told."""
    try:
        schema = tomllib.loads(path.read_text(encoding="utf-8")).get("schema")
    except (OSError, ValueError):
        return True
    return not (isinstance(schema, str) and schema.startswith("stripplan/notebook/"))


def copy_builtin(name: str) -> None:
    """The built-in profile as one of the person's own. Raises InputError for a name that cannot be, or is there."""
    if not NAME.fullmatch(name):
        hint = "letters, digits, space, - and _, at most 60"
        raise InputError(Fault("name", "the profile", f"{name[:60]!r} cannot be its name", hint, ("name",)))
    folder = profiles_folder()
    file = folder / f"{name}.toml"
    if file.exists():
        raise InputError(
            Fault("name", "the profile", f"there is a profile {name} already", "choose another", ("name",))
        )
    folder.mkdir(parents=True, exist_ok=True)
    write_file(file, builtin_rig_text().encode())


def notebook_of(profile: str) -> Path | None:
    """The notebook that a profile names, None where it names none. Raises InputError where it lies elsewhere."""
    named = read_toml(_profile(profile)).data.get("notebook")
    if named is None:
        return None
    if not isinstance(named, str) or Path(named).name != named:
        hint = "put it beside the profile, or work on it in an editor"
        raise InputError(Fault("elsewhere", f"profile {profile}", "its notebook lies in another folder", hint))
    return profiles_folder() / named


def start(profile: str) -> None:
    """Begin a notebook beside a profile that names none. The profile gets one line, its first."""
    file = _profile(profile)
    if notebook_of(profile) is not None:
        return
    made = profiles_folder() / f"{profile}-notebook.toml"
    if not made.exists():
        write_file(made, f'# What was measured on {profile}.\nschema = "stripplan/notebook/1"\n'.encode())
    before = file.read_text(encoding="utf-8")
    after = f'notebook = "{made.name}"\n{before}'
    _kept(file, before)
    write_file(file, after.encode())
    try:
        load_rig(file)
    except InputError:
        write_file(file, before.encode())
        raise


def text_of(profile: str) -> str:
    """The text of a profile's notebook. Raises InputError where there is none."""
    path = notebook_of(profile)
    if path is None:
        raise InputError(Fault("no_notebook", f"profile {profile}", "it names no notebook", "begin one"))
    return read_toml(path, name=path.name).text


def seen(text: str) -> str:
    """What tells one text from another."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def rows(text: str) -> dict[str, list[dict[str, Any]]]:
    """The rows of a notebook's text by kind, as they were written."""
    data = tomllib.loads(text)
    return {kind: data[kind] for kind in KINDS if isinstance(data.get(kind), list)}


def add(profile: str, kind: str, values: Mapping[str, Any], was: str) -> None:
    """Add a row. Raises InputError with the fields at fault, or where the notebook has changed since it was `seen`."""
    text = _unchanged(profile, was)
    if kind not in KINDS:
        raise InputError(Fault("kind", "the row", "this is no kind of row"))
    end = "" if text.endswith("\n") else "\n"
    _write(profile, text, f"{text}{end}\n[[{kind}]]\n{tomli_w.dumps(dict(values))}")


def ignore(profile: str, kind: str, number: int, was: str) -> None:
    """Leave a row out of everything, or take it in again; `number` counts those of its kind from 0."""
    text = _unchanged(profile, was)
    heads = list(re.finditer(rf"(?m)^[ \t]*\[\[[ \t]*{kind}[ \t]*\]\][^\n]*\n?", text)) if kind in KINDS else []
    if not 0 <= number < len(heads):
        raise InputError(
            Fault("row", "the row", "there is no such row in the notebook itself", "rows of a list are changed there")
        )
    head = heads[number]
    rest = text[head.end() :]
    body = re.match(r"(?:(?![ \t]*\[)[^\n]*\n?)*", rest)
    own = body[0] if body else ""
    without = re.sub(r"(?m)^[ \t]*ignore[ \t]*=[^\n]*\n?", "", own)
    start_of_row = head[0] if head[0].endswith("\n") else f"{head[0]}\n"
    changed = without if without != own else f"ignore = true\n{own}"
    _write(profile, text, text[: head.start()] + start_of_row + changed + rest[len(own) :])


def _profile(name: str) -> Path:
    if name not in profiles():
        raise InputError(Fault("no_plan", f"profile {name[:40]!r}", "there is no such profile"))
    return profiles_folder() / f"{name}.toml"


def _unchanged(profile: str, was: str) -> str:
    text = text_of(profile)
    if seen(text) != was:
        hint = "load the page again; what you typed is still here until you do"
        raise InputError(Fault("changed", "the notebook", "it was changed elsewhere meanwhile", hint))
    return text


def _write(profile: str, before: str, after: str) -> None:
    """The new text in the old one's place, if it reads."""
    path = notebook_of(profile)
    assert path is not None
    notebook_from(TomlFile("the notebook", after, tomllib.loads(after), path.parent), name=path.stem)
    _kept(path, before)
    write_file(path, after.encode())


def _kept(path: Path, text: str) -> None:
    write_file(path.with_name(f"{path.name}.bak"), text.encode())
