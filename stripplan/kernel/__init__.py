"""The compiled twins of our searches in Python: found if they were built, left out if not.

They are built into one library when the package is installed and a C compiler is there; without it everything works the
same, slower. The name of the library carries a digest of its source, so that an outdated one is never loaded.
"""

from __future__ import annotations

import ctypes
import functools
import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

HERE = Path(__file__).parent
FLAGS = ("-O2", "-std=c99", "-fPIC", "-shared", "-ffp-contract=off")
SWITCH = "STRIPPLAN_KERNEL"
"""Environment variable: `off` = do without; a folder = look for the library there."""


def sources() -> list[Path]:
    """The C files, in order of name."""
    return sorted(HERE.glob("*.c"))


def library_name() -> str:
    """File name of the library for the sources as they are now; its ending is no module's."""
    digest = hashlib.sha256(b"\0".join([*(path.read_bytes() for path in sources()), " ".join(FLAGS).encode()]))
    return f"kernel-{digest.hexdigest()[:12]}.bin"


def build(folder: Path = HERE) -> Path | None:
    """Compile into a folder; the library, or None where there is no compiler or it fails."""
    compiler = os.environ.get("CC") or next(
        (found for name in ("cc", "gcc", "clang") if (found := shutil.which(name))), None
    )
    if compiler is None:
        return None
    target = folder / library_name()
    if target.exists():
        return target
    with tempfile.TemporaryDirectory() as room:
        made = Path(room) / target.name
        command = [*compiler.split(), *FLAGS, "-o", str(made), *map(str, sources())]
        if subprocess.run(command, capture_output=True, check=False).returncode != 0:
            return None
        folder.mkdir(parents=True, exist_ok=True)
        near = target.with_suffix(f".{os.getpid()}")
        shutil.copyfile(made, near)
        near.replace(target)  # whole or not at all, also when two build at once
    return target


@functools.cache
def library() -> ctypes.CDLL | None:
    """The compiled library, or None where there is none."""
    switch = os.environ.get(SWITCH, "")
    if switch == "off":
        return None
    path = (Path(switch) if switch else HERE) / library_name()
    try:
        return ctypes.CDLL(str(path)) if path.exists() else None
    except OSError:  # built for another machine
        return None


def numbers(values: Sequence[int]) -> ctypes.Array[ctypes.c_int64]:
    """Whole numbers as an array that the library reads."""
    return (ctypes.c_int64 * max(len(values), 1))(*values)
