"""Running the real program as a shell does, in a folder of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SECONDS = 600
"""No measure of how quick anything is: a program that hangs is ended after so long [s]."""


def clean_environment(folder: Path) -> dict[str, str]:
    """The environment without what could change an answer; the program under test is the one in this tree."""
    ours = {key: value for key, value in os.environ.items() if not key.startswith(("STRIPPLAN", "SOURCE_DATE", "XDG_"))}
    return ours | {
        "PYTHONPATH": str(ROOT),
        "HOME": str(folder.parent),
        "PYTHONWARNINGS": "error",
    }


def run(*words: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """`stripplan WORDS...` in `folder`."""
    return subprocess.run(
        [sys.executable, "-m", "stripplan", *words],
        cwd=folder,
        env=clean_environment(folder) | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        timeout=SECONDS,
        check=False,
    )


@contextmanager
def begun(*command: str, folder: Path, **how: Any) -> Iterator[subprocess.Popen[Any]]:
    """A command that goes on while the test does something else; it has ended when the test has, however that ended."""
    with subprocess.Popen(command, cwd=folder, env=clean_environment(folder), **how) as program:
        try:
            yield program
        finally:
            program.kill()


def files_in(folder: Path) -> set[str]:
    """Everything below a folder, hidden or not."""
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}
