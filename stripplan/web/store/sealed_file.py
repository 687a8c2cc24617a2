"""Small files that know whether they are whole, and what becomes of one that is not: it is set aside, never deleted."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.sheets.folder import write_file
from stripplan.wording.message import Facts

CHECK = "check"
"""The key under which a file carries the digest of all else that is in it."""


class DamagedError(Exception):
    """A file that does not hold what was written into it; says why."""


def sealed(record: Mapping[str, Any]) -> bytes:
    """A record as a file that carries its own digest.

    >>> unsealed(sealed({"done": [1, 2]}))
    {'done': [1, 2]}
    """
    return json.dumps({**record, CHECK: _digest(record)}).encode()


def unsealed(data: bytes) -> dict[str, Any]:
    """What was sealed; a file without a digest, as earlier releases wrote it, is taken as it is.
    Raises DamagedError.
    """
    read = table(data)
    check = read.pop(CHECK, None)
    if check is not None and check != _digest(read):
        raise DamagedError("it is not what was written")
    return read


def table(data: bytes) -> dict[str, Any]:
    """A JSON object. Raises DamagedError."""
    try:
        read = json.loads(data.decode("utf-8"))
    except UnicodeDecodeError:
        raise DamagedError("it is no text") from None
    except (ValueError, RecursionError):
        raise DamagedError("it breaks off or is garbled") from None
    if not isinstance(read, dict):
        raise DamagedError("it holds something else")
    return read


def _digest(record: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(record).encode()).hexdigest()


def bytes_of(file: Path) -> bytes:
    """All of a file. Raises DamagedError where it is gone or empty, InputError where it cannot be read now."""
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        raise DamagedError("it is not there any more") from None
    except OSError as error:
        facts = Facts(file=file.name, why=error.strerror or str(error), path=str(file))
        raise InputError(
            Fault("cannot_read", f"plan {file.parent.name}", facts=facts, says="kept_unreadable")
        ) from None
    if not data.strip(b"\0 \t\r\n"):  # a machine that lost its power leaves noughts
        raise DamagedError("it is empty")
    return data


def aside_of(file: Path) -> Path:
    """Where a file is set aside: a name beside it that is free, or that holds the very same already."""
    number = 1
    while True:
        beside = file.with_name(f"{file.stem}-damaged-{number}{file.suffix}")
        if not beside.exists() or _same(beside, file):
            return beside
        number += 1


def _same(one: Path, two: Path) -> bool:
    try:
        return one.read_bytes() == two.read_bytes()
    except OSError:
        return False


def set_aside_unless_list(file: Path) -> Path | None:
    """Rename a file that holds no list of texts, where there is one: where to; None where it is whole, or not there."""
    try:
        read = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, RecursionError):
        read = None
    if isinstance(read, list) and all(isinstance(each, str) for each in read):
        return None
    aside = aside_of(file)
    move_aside(file)
    return aside


def replace_kept(file: Path, data: bytes) -> None:
    """Write a file anew; what lay there is first copied to `aside_of`, so that at no moment anything is missing."""
    if file.exists():
        write_file(aside_of(file), file.read_bytes())
    write_file(file, data)


def move_aside(file: Path) -> None:
    """Rename a file to `aside_of`, where there is one. Raises InputError."""
    try:
        if file.exists():
            file.rename(aside_of(file))
            flush(file.parent)
    except OSError as error:
        facts = Facts(file=file.name, why=error.strerror or str(error), path=str(file))
        raise InputError(
            Fault("cannot_write", f"plan {file.parent.name}", facts=facts, says="kept_not_aside")
        ) from None


def flush(folder: Path) -> None:
    """Names in a folder reach the disk, where the machine can tell it so."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
