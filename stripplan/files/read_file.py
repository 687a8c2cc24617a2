"""Reading a file whole, within a limit, and saying in plain words why that cannot be."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import shortened

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


def read_bytes(path: Path, *, largest: int = LARGEST, instead: str = "") -> bytes:
    """All of a file of at most `largest` bytes; `instead` is the way out for one that is larger. Raises InputError where there is none, where it cannot be read, or where it is too large."""
    try:
        if path.is_dir():
            raise InputError(Fault("is_folder", str(path), "this is a folder, not a file", "name the file in it"))
        if path.exists() and not path.is_file():
            raise InputError(Fault("no_file", str(path), "this is a device or pipe, not a file", "save it as a file"))
        with path.open("rb") as stream:
            data = stream.read(largest + 1)
        if (files := _noted.get()) is not None:
            files.append(path)
    except FileNotFoundError:
        raise InputError(Fault("no_file", str(path), "there is no such file", _near_files(path))) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        words = f"the file cannot be read: {reason}"
        raise InputError(
            Fault("cannot_read", shortened(str(path)), words, "check its name and who may read it")
        ) from None
    if len(data) > largest:
        limit = f"{largest // 2**20} MB"
        hint = instead or f"at most {limit} are read"
        raise InputError(Fault("too_large", str(path), f"the file has more than {limit}", hint))
    return data


def is_file(path: Path) -> bool:
    """Whether there is such a file; False too for what no file can be called."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def read_text(path: Path, *, name: str, largest: int = LARGEST, instead: str = "") -> str:
    """All of a UTF-8 file, with or without byte-order mark. Raises InputError; `name` is what messages call it."""
    data = read_bytes(path, largest=largest, instead=instead)
    if not data.strip():
        raise InputError(Fault("empty", name, "the file is empty", "see `stripplan guide reference`"))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            Fault("encoding", f"{name} line {line}", "the file is not UTF-8 text", "save it as UTF-8")
        ) from None


def _near_files(path: Path) -> str:
    try:
        names = sorted(each.name for each in path.parent.iterdir())
    except OSError:
        return "there is no such folder either; check the name"
    near = difflib.get_close_matches(path.name, names, 1)
    return f"did you mean {near[0]}?" if near else "check the name"
