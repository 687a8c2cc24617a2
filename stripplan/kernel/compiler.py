"""The C files made into one library. Stands alone, so that the build hook can run it before the package is there.

It is a plain shared library without any Python in it, which `ctypes` opens: so one build serves every version of
Python, and anything that compiles C can make it. The digest of the sources is compiled in, so that an outdated one is
known.
"""

from __future__ import annotations

import functools
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

HERE = Path(__file__).parent
FLAGS = ("-O2", "-std=c99", "-fPIC", "-shared", "-ffp-contract=off", "-fvisibility=hidden")
"""Without contraction, as a product and a sum rounded in one would differ from Python's."""
ENDINGS = {"win32": ".dll", "darwin": ".dylib"}
LIBRARY = f"_kernel{ENDINGS.get(sys.platform, '.so')}"
"""File name of the library."""


class BuildError(Exception):
    """There is no compiler, or it failed."""


def sources() -> list[Path]:
    """The C files, in order of name."""
    return sorted(HERE.glob("*.c"))


@functools.cache
def digest() -> str:
    """Digest of the sources as they are now, and of how they are compiled."""
    parts = [*(path.read_bytes() for path in [*sources(), *sorted(HERE.glob("*.h"))]), " ".join(FLAGS).encode()]
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def is_current(library: Path) -> bool:
    """Whether a library is made of the sources as they are now. Looked up in the file: an outdated one is not even
    opened.
    """
    return digest().encode() in library.read_bytes()


def build(folder: Path = HERE) -> Path:
    """Compile into a folder; the library. BuildError where there is no compiler or it fails."""
    compiler = find_compiler()
    if compiler is None:
        raise BuildError("no C compiler found: install one, or `pip install ziglang`")
    with tempfile.TemporaryDirectory() as room:
        made = Path(room) / LIBRARY
        _compile(compiler, [f'-DKERNEL_DIGEST="{digest()}"', "-o", str(made), *map(str, sources())])
        folder.mkdir(parents=True, exist_ok=True)
        near = folder / f"{LIBRARY}.{os.getpid()}"
        shutil.copyfile(made, near)
        return near.replace(folder / LIBRARY)  # whole or not at all, also when two build at once


def find_compiler() -> tuple[str, ...] | None:
    """Command of the first compiler that makes a library of a line of C; None = none does.

    That one is found is not enough: some machines have a `cc` that only tells where to get one, or no headers.
    """
    return next((each for each in _candidates() if _works(each)), None)


def _candidates() -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = [(path,) for name in ("cc", "gcc", "clang") if (path := shutil.which(name))]
    if "CC" in os.environ:
        found = [tuple(os.environ["CC"].split())]
    if importlib.util.find_spec("ziglang"):
        # It compiles for the very processor that it runs on, unless told; a wheel must run on others.
        found.append((sys.executable, "-m", "ziglang", "cc", "-mcpu=baseline"))
    return found


@functools.cache
def _works(compiler: tuple[str, ...]) -> bool:
    with tempfile.TemporaryDirectory() as room:
        source = Path(room) / "trial.c"
        source.write_text("#include <stdlib.h>\nvoid *trial(void) { return malloc(1); }\n", encoding="ascii")
        try:
            _compile(compiler, ["-o", str(source.with_suffix(".so")), str(source)])
        except BuildError:
            return False
    return True


def _compile(compiler: Sequence[str], arguments: Sequence[str]) -> None:
    command = [*compiler, *FLAGS, *arguments]
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        raise BuildError(f"{command[0]}: {error.strerror}") from error
    if done.returncode != 0:
        raise BuildError(f"{' '.join(command[:4])} ... failed: {done.stderr.strip() or done.returncode}")
