"""Rig profiles and their notebooks on disk, as the page changes them.

A notebook is a person's own text: a row goes to its end and every byte before it stays; a row that is left out gets one
line, or one word. What is to be written is read first and held against what was there, row for row; it must read, and
the rig must still be known from it. Nothing is written over that another program has changed since, and the text before
the change lies beside it as NAME.bak. No file outside the profiles' folder is read or written, whatever a name or a
link says.
"""

from __future__ import annotations

import copy
import hashlib
import re
import threading
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import nearest, shortened
from stripplan.files.notebook.read import KINDS, listed_rows, model_of, notebook_from
from stripplan.files.notebook.schema import NOTEBOOK_SCHEMA
from stripplan.files.rig.read import builtin_rig_text, load_rig, profiles_folder, rig_from
from stripplan.files.toml.document import TomlFile, read_toml
from stripplan.files.toml.key_lines import line_index
from stripplan.files.toml.validate import checked
from stripplan.model.notebook import Notebook
from stripplan.model.report import Section
from stripplan.model.rig import Rig
from stripplan.sheets.folder import write_file
from stripplan.web.views.notebook_forms import Typed, quoted
from stripplan.wording.show import worded

NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 _-]{0,58}[A-Za-z0-9_-])?")
"""Names of profiles that the page makes: the same on every machine."""
DEVICES = re.compile(r"(?i)con|prn|aux|nul|(com|lpt)[0-9]")
"""Names that mean a device to some machines."""
_BOM = b"\xef\xbb\xbf"
_MAY_WAIT = ("bow",)
"""Parts of the report whose rows stop no plan: until they make a figure, the model serves."""
_USED = "profile"
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
        raise InputError(Fault("no_plan", f"profile {shortened(name)}", "there is no such profile"))
    path = _inside(f"{name}.toml")
    file = read_toml(path, name=path.name)
    apart = {key: value for key, value in file.data.items() if key != "notebook"}
    if not isinstance(file.data.get("notebook", ""), str):
        raise InputError(Fault("value", path.name, "its notebook is no text", "write the file's name in quotes"))
    units = "in" if apart.get("units") == "in" else "mm"
    return Profile(name, path, file, rig_from(apart, replace(file, data=apart), units=units, name=name))


def notebook_of(each: Profile) -> Path | None:
    """Where the notebook lies that a profile names, None where it names none. Raises InputError where it lies elsewhere."""
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
    return each.rig if book is None else replace(each.rig, notebook=_read(book, book.raw))


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

    >>> _inside("../rig.toml")
    Traceback (most recent call last):
    stripplan.errors.InputError: '../rig.toml': it lies in another folder, and the page opens only what lies beside the profiles (put it there, or work on it in an editor)
    """
    folder = profiles_folder()
    plain = 0 < len(name) <= 200 and name.isprintable() and not set(name) & set("/\\:") and not name.startswith(".")
    if plain and (real := (folder / name).resolve()).parent == folder.resolve():
        return real  # a link within the folder stays a link
    words = "it lies in another folder, and the page opens only what lies beside the profiles"
    raise InputError(Fault("elsewhere", shortened(name), words, "put it there, or work on it in an editor"))


# --- new files ------------------------------------------------------------------------------------------------------


def copy_builtin(name: str) -> None:
    """The built-in profile as one of the person's own. Raises InputError for a name that cannot be, or is there."""
    if not NAME.fullmatch(name) or DEVICES.fullmatch(name):
        hint = "letters, digits, space, - and _, at most 60"
        raise InputError(Fault("name", "the profile", f"{shortened(name)} cannot be its name", hint, ("name",)))
    with _LOCK:
        file = _inside(f"{name}.toml")
        if file.exists():
            words = f"there is a profile {name} already"
            raise InputError(Fault("name", "the profile", words, "choose another", ("name",)))
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
        after = bom + line.encode() + _line_end(before) + before.removeprefix(bom)
        if _data(after) != {**found.file.data, "notebook": path.name}:
            raise InputError(_by_hand(found.path, "the notebook cannot be named in it safely", f"write {line}"))
        _replace(found.path, before, after)
        try:
            load_rig(found.path)
        except InputError:
            _put(found.path, before)
            raise


# --- rows -----------------------------------------------------------------------------------------------------------


def add(name: str, kind: str, row: Typed, was: str) -> None:
    """Put a row at the end of a profile's notebook.

    Raises InputError with the faults of the row, each with its place in the form, or where the notebook is not any more
    what was `seen`.
    """
    with _LOCK:
        found, book = _unchanged(name, was)
        values = tomllib.loads(row.text)[kind][0]
        _check_row(found, book, kind, values, row.typed_in)
        if kind == "parallel_check" and kind in book.lists():
            words = f"the last check counts, and the rows of {book.lists()[kind]} come after those of the notebook"
            raise InputError(_by_hand(book.path, words, "write it into that list"))
        new, before = _appended(book.raw, row.text), book.file.data.get(kind, [])
        if not isinstance(before, list) or _data(new) != {**book.file.data, kind: [*before, values]}:
            words = f"the rows of {kind} stand in it as one list in brackets, to which none can be added here"
            raise InputError(_by_hand(book.path, words, f"write each under a header of its own, [[{kind}]]"))
        _check_rig(found, book, new)
        _replace(book.path, book.raw, new)


def ignore(name: str, kind: str, number: int, was: str) -> None:
    """Leave a row out of everything, or take it in again; `number` counts those of its kind from 0. Raises InputError."""
    with _LOCK:
        found, book = _unchanged(name, was)
        if kind not in KINDS or not 0 <= number < len(book.rows(kind)):
            hint = "rows of a list are changed there"
            raise InputError(Fault("row", "the row", "there is no such row in the notebook itself", hint))
        new = _with_ignore(book.raw, kind, number)
        if new is None:
            out = book.rows(kind)[number].get("ignore") is True
            words = f"row {number + 1} of {kind} cannot be marked safely, as it is written"
            raise InputError(_by_hand(book.path, words, f"write ignore = {str(not out).lower()} into it"))
        _check_rig(found, book, new)
        _replace(book.path, book.raw, new)


def _unchanged(name: str, was: str) -> tuple[Profile, Book]:
    found = profile(name)
    book = book_of(found)
    if book is None:
        raise InputError(Fault("no_notebook", f"profile {name}", "it has no notebook", "begin one"))
    if book.seen != was:
        hint = "load the page again; what you typed is still here until you do"
        raise InputError(Fault("changed", "the notebook", "it was changed elsewhere meanwhile", hint))
    return found, book


def _check_row(
    found: Profile, book: Book, kind: str, values: dict[str, Any], typed_in: Mapping[str, tuple[int, ...]]
) -> None:
    """InputError with every fault of a row that no other row need be asked about, at its field."""
    row, faults = checked(model_of(kind), values, TomlFile("", "", values), units=book.units)
    processes, named = [each.name for each in found.rig.processes], values.get("process")
    if isinstance(named, str) and named not in processes:
        words = f"the rig has no process {shortened(named)}"
        faults.append(Fault("no_process", "", words, nearest(named, processes), ("process",)))
    if row is not None and kind == "kerf_test":
        read = row.model_dump()
        if sum(read["after"]) >= read["before"]:
            words = f"the pieces add to {sum(read['after']):g} mm, no less than the {read['before']:g} mm before"
            faults.append(Fault("value", "", words, "a cut takes metal away: measure again", ("before",)))
    if faults:
        raise InputError(replace(each, where="", place=_in_form(each.place, typed_in)) for each in faults)


def _in_form(place: tuple[str | int, ...], typed_in: Mapping[str, tuple[int, ...]]) -> tuple[str | int, ...]:
    """The place in the form of a figure's place in the row."""
    if len(place) == 2 and isinstance(place[1], int) and place[1] < len(typed_in.get(str(place[0]), ())):
        return place[0], typed_in[str(place[0])][place[1]]
    return (*place, 0) if len(place) == 1 and place[0] in typed_in else place


def _check_rig(found: Profile, book: Book, new: bytes) -> None:
    """InputError where a notebook does not read, or a part of the report that could be worked out cannot be any more."""
    try:
        after = _problems(found, _read(book, new))
        before = _problems(found, _read(book, book.raw))
    except InputError as error:
        raise InputError(replace(each, place=()) for each in error.faults) from None  # older rows have no field here
    spoilt = {key: part for key, part in after.items() if key not in before and part.code not in _MAY_WAIT}
    if len(spoilt) > 1:
        spoilt.pop((_USED, ""), None)  # it says again what the other parts have said
    if spoilt:
        hint = "measure again, or first leave out the row that is wrong"
        raise InputError(
            Fault("does_not_fit", worded(part.title).text, worded(part.problem).text, hint)
            for part in spoilt.values()
            if part.problem is not None
        )


def _problems(found: Profile, notebook: Notebook) -> dict[tuple[str, str], Section]:
    """The parts of the report that cannot be worked out, by code and process."""
    from stripplan.planner import report

    parts = report(replace(found.rig, notebook=notebook))
    return {(each.code, each.about): each for each in parts if each.problem is not None}


def _read(book: Book, raw: bytes) -> Notebook:
    """The notebook in a text. Raises InputError."""
    text = raw.decode("utf-8-sig")
    return notebook_from(replace(book.file, text=text, data=_data(raw) or {}), name=book.path.stem)


# --- bytes ----------------------------------------------------------------------------------------------------------


def _appended(raw: bytes, text: str) -> bytes:
    """A file with a text at its end, a blank line between, in its own line ends.

    >>> _appended(b"a = 1  # mine", "[[b]]\\nc = 2\\n")
    b'a = 1  # mine\\n\\n[[b]]\\nc = 2\\n'
    """
    end = _line_end(raw)
    gap = b"" if raw.endswith(b"\n") else end
    return raw + gap + end + text.encode().replace(b"\n", end)


def _with_ignore(raw: bytes, kind: str, number: int) -> bytes | None:
    """A notebook with one row left out that was not, or the other way round; None where that is not sure to change this alone."""
    data = _data(raw) or {}
    lines = line_index(raw.decode("utf-8-sig"), data)
    wanted = copy.deepcopy(data)
    row = wanted[kind][number]
    out = row.get("ignore") is True
    header, there = lines.get((kind, number)), lines.get((kind, number, "ignore"))
    parts = raw.split(b"\n")
    if header is None:
        return None
    if there is None:
        row["ignore"] = True
        parts.insert(header, b"ignore = true" + (b"\r" if parts[header - 1].endswith(b"\r") else b""))
    elif out and parts[there - 1].rstrip(b"\r") == b"ignore = true" and there == header + 1:  # a line of ours
        del row["ignore"], parts[there - 1]
    else:
        row["ignore"] = not out
        now, then = (b"true", b"false") if out else (b"false", b"true")
        line = parts[there - 1]
        parts[there - 1] = re.sub(rb"""^(\s*(["']?)ignore\2\s*=\s*)""" + now + rb"\b", rb"\g<1>" + then, line)
    new = b"\n".join(parts)
    return new if _data(new) == wanted else None


def _data(raw: bytes) -> dict[str, Any] | None:
    """The values of a TOML file; None for what is none."""
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None


def _line_end(raw: bytes) -> bytes:
    return b"\r\n" if b"\r\n" in raw else b"\n"


def _by_hand(path: Path, words: str, hint: str) -> Fault:
    return Fault("by_hand", path.name, words, f"{hint} in an editor")


def _replace(path: Path, before: bytes, after: bytes) -> None:
    """The new text in place of the one that was read, which is kept beside it."""
    if path.read_bytes() != before:
        raise InputError(Fault("changed", path.name, "it was changed elsewhere just now", "load the page again"))
    _put(_inside(f"{path.name}.bak"), before)
    _put(path, after)


def _put(path: Path, data: bytes) -> None:
    try:
        write_file(path, data)
    except InputError as error:
        hint = "who may write in the folder of profiles?"
        raise InputError(replace(each, where=path.name, hint=hint) for each in error.faults) from None
