"""Running the real program as a shell does, in a folder of its own."""

from __future__ import annotations

import gc
import io
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import chdir, contextmanager
from pathlib import Path
from typing import Any, TextIO
from unittest.mock import patch

import pytest

from stripplan import kernel
from stripplan.cli import main

ROOT = Path(__file__).parents[2]
SECONDS = 600
"""No measure of how quick anything is: a program that hangs is ended after so long [s]."""


def clean_environment(folder: Path) -> dict[str, str]:
    """The environment without what could change an answer;
    the program under test is the one in this tree, compiled search and all.
    """
    ours = {key: value for key, value in os.environ.items() if not key.startswith(("STRIPPLAN", "SOURCE_DATE", "XDG_"))}
    compiled = {kernel.SWITCH: os.environ[kernel.SWITCH]} if kernel.SWITCH in os.environ else {}
    return (
        ours
        | compiled
        | {
            "PYTHONPATH": str(ROOT),
            "HOME": str(folder.parent),
            "PYTHONWARNINGS": "error",
        }
    )


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


def called(*words: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """The same within this process, for tests of what is said and made:
    all of the command but the start of another Python.
    """
    encoding = environment.get("PYTHONIOENCODING", "utf-8")
    errors = {"stdout": "strict", "stderr": "backslashreplace"}
    outlets = {name: io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors=how) for name, how in errors.items()}
    below = {name: stream.buffer for name, stream in outlets.items()}
    streams = {"argv": ["stripplan", *words], "stdin": io.StringIO(), **outlets}
    seldom = gc.get_threshold()
    try:
        with (
            chdir(folder),
            patch.dict(os.environ, clean_environment(folder) | environment, clear=True),
            patch.multiple(sys, **streams),
        ):
            with pytest.raises(SystemExit) as left:
                main.run()
            said = [_all_of(stream, below[name]) for name, stream in (("stdout", sys.stdout), ("stderr", sys.stderr))]
    finally:
        gc.set_threshold(*seldom)
    return subprocess.CompletedProcess(words, int(left.value.code or 0), *said)


def _all_of(stream: TextIO, buffer: io.BytesIO) -> str:
    stream.flush()
    return buffer.getvalue().decode("utf-8", "replace")


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
