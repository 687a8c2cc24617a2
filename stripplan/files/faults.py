"""Reading a file whole, and saying where in it something is wrong."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ..errors import Fault, InputError

LARGEST = 20 * 1024 * 1024
"""Greatest size of a file that is read [bytes]."""


def read_bytes(path: Path) -> bytes:
    """All of a file; InputError in plain words where that cannot be."""
    try:
        if path.is_dir():
            raise InputError(Fault("is_folder", str(path), "this is a folder, not a file", "name the file in it"))
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise InputError(Fault("no_file", str(path), "there is no such file", _near_files(path))) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(Fault("cannot_read", repr(str(path)[:200]), f"the file cannot be read: {reason}")) from None
    if len(data) > LARGEST:
        limit = f"{LARGEST // 2**20} MB"
        raise InputError(Fault("too_large", str(path), f"the file has more than {limit}", f"at most {limit} are read"))
    return data


def _near_files(path: Path) -> str:
    try:
        names = [each.name for each in path.parent.iterdir()]
    except OSError:
        return "check the folder's name"
    near = difflib.get_close_matches(path.name, names, 1)
    return f"did you mean {near[0]}?" if near else "check the name"


def read_toml(path: Path) -> tuple[dict[str, Any], str]:
    """A TOML file as a table, and its text."""
    data = read_bytes(path)
    if not data.strip():
        raise InputError(Fault("empty", str(path), "the file is empty", "see `stripplan guide reference`"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            Fault("encoding", f"{path} line {line}", "the file is not UTF-8 text", "save it as UTF-8")
        ) from None
    try:
        return tomllib.loads(text), text
    except tomllib.TOMLDecodeError as error:
        raise InputError(_syntax_fault(str(error), path)) from None
    except ValueError:  # the reader of whole numbers gives up on thousands of digits
        raise InputError(Fault("toml", str(path), "the file holds a number of thousands of digits")) from None
    except RecursionError:
        raise InputError(Fault("toml", str(path), "the file is nested too deeply")) from None


def _syntax_fault(words: str, path: Path) -> Fault:
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", words, re.DOTALL)
    if found is None:
        return Fault("toml", str(path), f"this is not TOML: {words}", "text needs quotes")
    place = f"line {found[2]}, column {found[3]}" if found[2] else "at its end"
    return Fault("toml", f"{path} {place}", f"this is not TOML: {found[1]}", "text needs quotes")


def line_of(text: str, table: str | None, number: int, key: str | None) -> int | None:
    """Line of a key in the `number`-th [[table]] (or [table]) of a TOML text; None where it is not certain."""
    if '"""' in text or "'''" in text:  # a text of several lines may look like tables and keys
        return None
    inside, seen = table is None, -1
    for at, line in enumerate(text.splitlines(), 1):
        header = re.match(r"^\s*(\[\[?)\s*([\w.-]+)\s*\]\]?", line)
        if header:
            if header[2] == table:
                seen += 1
            inside = header[2] == table and seen == number
            if inside and key is None:
                return at
        elif inside and key is not None and re.match(rf"^\s*[\"']?{re.escape(key)}[\"']?\s*=", line):
            return at
    return None


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or all of them."""
    words = sorted(known)
    near = difflib.get_close_matches(word, words, 1, 0.6)
    return f"did you mean {near[0]}?" if near else "known are " + ", ".join(words)


def capped(faults: list[Fault], most: int = 20) -> list[Fault]:
    """The first faults, and how many more there are."""
    if len(faults) <= most:
        return faults
    return [*faults[:most], Fault("more", "", f"and {len(faults) - most} more faults like these")]
