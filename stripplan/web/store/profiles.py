"""Rig profiles and their notebooks on disk, as the page changes them.

A notebook is a person's own text: a row goes to its end and every byte before it stays; a row that is left out gets one
line, or one word. What is to be written is read first and held against what was there, row for row; it must read, and
the rig must still be known from it. Nothing is written over that another program has changed since, and the text before
the change lies beside it as NAME.bak. No file outside the profiles' folder is read or written, whatever a name or a
link says.
"""

from __future__ import annotations

import hashlib
import re
import threading
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.files.notebook.edit import added, check_row, ignored, notebook_in
from stripplan.files.notebook.read import listed_rows
from stripplan.files.notebook.schema import NOTEBOOK_SCHEMA
from stripplan.files.notebook.typed import Typed, quoted
from stripplan.files.rig.read import builtin_rig_text, load_rig, profiles_folder, rig_from
from stripplan.files.toml.document import TomlFile, read_toml
from stripplan.model.rig import Rig
from stripplan.sheets.folder import write_file
from stripplan.sheets.notebook_files import rewrite
from stripplan.wording.message import Facts

NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 _-]{0,58}[A-Za-z0-9_-])?")
"""Names of profiles that the page makes: the same on every machine."""
DEVICES = re.compile(r"(?i)con|prn|aux|nul|(com|lpt)[0-9]")
"""Names that mean a device to some machines."""
_BOM = b"\xef\xbb\xbf"
_LOCK = threading.RLock()


@dataclass(frozen=True)
class Profile:
    """A profile: its file, what was read from it, and the rig without what a notebook says."""

    name: str
    path: Path
    file: TomlFile
    rig: Rig

    @property
    def named(self) -> str | None:
        """The notebook that it names."""
        return self.file.data.get("notebook")


@dataclass(frozen=True)
class Book:
    """A notebook as it lies on disk."""

    path: Path
    raw: bytes
    file: TomlFile

    @cached_property
    def seen(self) -> str:
        """What tells this version from another."""
        return hashlib.sha256(self.raw).hexdigest()[:16]

    @property
    def units(self) -> str:
        """Units of bare numbers."""
        return "in" if self.file.data.get("units") == "in" else "mm"

    def rows(self, kind: str) -> list[dict[str, Any]]:
        """The rows of a kind in the file itself, as they were written."""
        found = self.file.data.get(kind)
        return [each for each in found if isinstance(each, dict)] if isinstance(found, list) else []

    def lists(self) -> dict[str, str]:
        """CSV lists of further rows by their kind."""
        found = self.file.data.get("lists")
        return {str(kind): str(name) for kind, name in found.items()} if isinstance(found, dict) else {}

    def listed(self, kind: str) -> list[dict[str, Any]]:
        """The rows of a kind in its list, lengths in mm. Raises InputError where the list cannot be read."""
        name = self.lists().get(kind)
        rows = listed_rows(_inside(name), kind, self.units) if name is not None else []
        return [each.model_dump(exclude_none=True, exclude_defaults=True) for each in rows]


# --- what is there --------------------------------------------------------------------------------------------------


def profiles() -> list[str]:
    """Names of the person's own profiles; notebooks in the same folder are none."""
    folder = profiles_folder()
    found = {path: _glance(path) for path in sorted(folder.glob("*.toml"))} if folder.is_dir() else {}
    named = {str(each.get("notebook")) for each in found.values()}
    return [path.stem for path, data in found.items() if path.name not in named and not _is_notebook(data)]


def profile(name: str) -> Profile:
    """A profile by its name. Raises InputError where there is none, or with every fault in it."""
    if name not in profiles():
        raise InputError(Fault("no_plan", f"profile {shortened(name)}", says="no_profile"))
    path = _inside(f"{name}.toml")
    file = read_toml(path, name=path.name)
    apart = {key: value for key, value in file.data.items() if key != "notebook"}
    if not isinstance(file.data.get("notebook", ""), str):
        raise InputError(Fault("value", path.name, says="notebook_no_text"))
    units = "in" if apart.get("units") == "in" else "mm"
    return Profile(name, path, file, rig_from(apart, replace(file, data=apart), units=units, name=name))


def notebook_of(each: Profile) -> Path | None:
    """Where the notebook lies that a profile names, None where it names none. Raises InputError where it lies
    elsewhere.
    """
    return None if each.named is None else _inside(each.named)


def book_of(each: Profile) -> Book | None:
    """The notebook that a profile names, None where it names none or there is no such file yet.

    Raises InputError where it, or a list that it names, lies elsewhere, or is no TOML.
    """
    path = notebook_of(each)
    if path is None or not path.exists():
        return None
    file = read_toml(path, name=path.name)
    book = Book(path, path.read_bytes(), file)
    for name in book.lists().values():
        _inside(name)
    return book


def rig_of(each: Profile, book: Book | None) -> Rig:
    """The rig with its notebook. Raises InputError with every fault in the notebook and its lists."""
    return each.rig if book is None else replace(each.rig, notebook=notebook_in(book.raw, book.file))


def _glance(path: Path) -> dict[str, Any]:
    """What a file of the folder holds; nothing where it cannot be read, so that its fault is told when it is opened."""
    try:
        return _data(_inside(path.name).read_bytes()) or {}
    except (OSError, InputError):
        return {}


def _is_notebook(data: Mapping[str, Any]) -> bool:
    return str(data.get("schema", "")).startswith("stripplan/notebook/")


def _inside(name: str) -> Path:
    """A file of the profiles' folder by its plain name. Raises InputError for what leads out of it.

    >>> _inside("../rig.toml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    stripplan.errors.InputError: '../rig.toml': it lies in another folder, and the page opens only what lies beside ...
    """
    folder = profiles_folder()
    plain = 0 < len(name) <= 200 and name.isprintable() and not set(name) & set("/\\:") and not name.startswith(".")
    if plain and (real := (folder / name).resolve()).parent == folder.resolve():
        return real  # a link within the folder stays a link
    raise InputError(Fault("elsewhere", shortened(name)))


# --- new files ------------------------------------------------------------------------------------------------------


def copy_builtin(name: str) -> None:
    """The built-in profile as one of the person's own. Raises InputError for a name that cannot be, or is there."""
    if not NAME.fullmatch(name) or DEVICES.fullmatch(name):
        facts = Facts(name=shortened(name))
        raise InputError(Fault("name", "the profile", facts, says="profile_name", place=("name",)))
    with _LOCK:
        file = _inside(f"{name}.toml")
        if file.exists():
            facts = Facts(name=name)
            raise InputError(Fault("name", "the profile", facts, says="profile_there", place=("name",)))
        file.parent.mkdir(parents=True, exist_ok=True)
        _put(file, builtin_rig_text().encode())


def start(name: str) -> None:
    """Begin the notebook of a profile, the one that it names or a new one, which it then names in its first line.

    Raises InputError.
    """
    with _LOCK:
        found = profile(name)
        path = notebook_of(found) or _inside(f"{name}-notebook.toml")
        if not path.exists():
            units = "in" if found.file.data.get("units") == "in" else "mm"
            _put(path, f'# What was measured on {name}.\nschema = "{NOTEBOOK_SCHEMA}"\nunits = "{units}"\n'.encode())
        if found.named is not None:
            return
        before = found.path.read_bytes()
        line = f"notebook = {quoted(path.name)}"
        bom = _BOM if before.startswith(_BOM) else b""
        after = bom + line.encode() + (b"\r\n" if b"\r\n" in before else b"\n") + before.removeprefix(bom)
        if _data(after) != {**found.file.data, "notebook": path.name}:
            raise InputError(fault("by_hand.name_notebook", found.path.name, line=line))
        _rewrite(found.path, before, after)
        try:
            load_rig(found.path)
        except InputError:
            _put(found.path, before)
            raise


# --- rows -----------------------------------------------------------------------------------------------------------


def add(name: str, kind: str, row: Typed, was: str, *, anyway: bool = False) -> None:
    """Put a row at the end of a profile's notebook; one that would take a figure of the rig away only if `anyway`.

    Raises InputError with the faults of the row, each with its place in the form, or where the notebook is not any more
    what was `seen`.
    """
    with _LOCK:
        found, book = _unchanged(name, was)
        try:
            check_row(kind, row.text, [each.name for each in found.rig.processes], units=book.units)
        except InputError as error:
            raise InputError(replace(each, place=_in_form(each.place, row.typed_in)) for each in error.faults) from None
        _change(found, book, added(book.raw, kind, row.text, name=book.path.name), keeps=not anyway)


def ignore(name: str, kind: str, number: int, was: str) -> None:
    """Leave a row out of everything, or take it in again; `number` counts those of its kind from 0.
    Raises InputError.
    """
    with _LOCK:
        found, book = _unchanged(name, was)
        _change(found, book, ignored(book.raw, kind, number, name=book.path.name))


def _unchanged(name: str, was: str) -> tuple[Profile, Book]:
    found = profile(name)
    book = book_of(found)
    if book is None:
        raise InputError(Fault("no_notebook", f"profile {name}"))
    if book.seen != was:
        raise InputError(Fault("changed", "the notebook"))
    return found, book


def _in_form(place: tuple[str | int, ...], typed_in: Mapping[str, tuple[int, ...]]) -> tuple[str | int, ...]:
    """The place in the form of a figure's place in the row."""
    if len(place) == 2 and isinstance(place[1], int) and place[1] < len(typed_in.get(str(place[0]), ())):
        return place[0], typed_in[str(place[0])][place[1]]
    return (*place, 0) if len(place) == 1 and place[0] in typed_in else place


def _change(found: Profile, book: Book, new: bytes, *, keeps: bool = False) -> None:
    """Write a changed notebook. Raises InputError where it does not read, or the rig is not known from it any more, or
    where it `keeps` what is known and a figure would go.
    """
    from stripplan.planner.notebook_change import check_change, check_kept

    try:
        before, after = notebook_in(book.raw, book.file), notebook_in(new, book.file)
        check_change(found.rig, before, after)
        if keeps:
            check_kept(found.rig, before, after)
    except InputError as error:
        raise InputError(replace(each, place=()) for each in error.faults) from None  # older rows have no field here
    _rewrite(book.path, book.raw, new)


# --- bytes ----------------------------------------------------------------------------------------------------------


def _data(raw: bytes) -> dict[str, Any] | None:
    """The values of a TOML file; None for what is none."""
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None


def _line_end(raw: bytes) -> bytes:
    return b"\r\n" if b"\r\n" in raw else b"\n"


def _rewrite(path: Path, before: bytes, after: bytes) -> None:
    """The new text in place of the one that was read, which is kept beside it."""
    kept = _inside(f"{path.name}.bak")
    with _put_down(path):
        rewrite(path, before, after, kept=kept)


def _put(path: Path, data: bytes) -> None:
    with _put_down(path):
        write_file(path, data)


@contextmanager
def _put_down(path: Path) -> Iterator[None]:
    """What cannot be written is said of the file's plain name."""
    try:
        yield
    except InputError as error:
        said = [Facts(what=each.worded().text) for each in error.faults]
        raise InputError(Fault("cannot_write", path.name, each, says="profile_not_written") for each in said) from None
