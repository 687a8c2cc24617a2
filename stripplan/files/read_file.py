"""Reading a file whole, within a limit, and saying in plain words why that cannot be."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Literal

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.wording.message import Fact

Instead = Literal["", "list", "outlines", "drawing"]
"""What there is to do instead where a file is too large."""
LARGEST = 20 * 1024 * 1024
"""Greatest size of a file that is read [bytes]."""


_noted: ContextVar[list[Path] | None] = ContextVar("noted", default=None)


@contextmanager
def noted() -> Iterator[list[Path]]:
    """Every file that is read meanwhile, whoever names it: the job, its rig, its lists."""
    files: list[Path] = []
    token = _noted.set(files)
    try:
        yield files
    finally:
        _noted.reset(token)


def read_bytes(path: Path, *, largest: int = LARGEST, instead: Instead = "") -> bytes:
    """All of a file of at most `largest` bytes; `instead` is the way out for one that is larger.

    Raises InputError where there is none, where it cannot be read, or where it is too large.
    """
    try:
        if path.is_dir():
            raise InputError(fault("is_folder.file", str(path)))
        if path.exists() and not path.is_file():
            raise InputError(fault("no_file.device", str(path)))
        with path.open("rb") as stream:
            data = stream.read(largest + 1)
        if (files := _noted.get()) is not None:
            files.append(path)
    except FileNotFoundError:
        raise InputError(fault("no_file.file", str(path), **_near_file(path))) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(fault("cannot_read.file", shortened(str(path)), reason=reason)) from None
    if len(data) > largest:
        raise InputError(fault("too_large.file", str(path), most=largest // 2**20, instead=instead))
    return data


def is_file(path: Path) -> bool:
    """Whether there is such a file; False too for what no file can be called."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def read_text(path: Path, *, name: str, largest: int = LARGEST, instead: Instead = "") -> str:
    """All of a UTF-8 file, with or without byte-order mark. Raises InputError; `name` is what messages call it."""
    data = read_bytes(path, largest=largest, instead=instead)
    if not data.strip():
        raise InputError(fault("empty.file", name))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(fault("encoding.file", f"{name} line {line}")) from None


def _near_file(path: Path) -> dict[str, Fact]:
    """The file that may have been meant, and whether there is such a folder."""
    try:
        names = sorted(each.name for each in path.parent.iterdir())
    except OSError:
        return {"folder": False}
    near = difflib.get_close_matches(path.name, names, 1)
    return {"folder": True, "near": near[0]} if near else {"folder": True}
