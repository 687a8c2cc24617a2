"""Running the real program as a shell does, in a folder of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
SECONDS = 120


def clean_environment(folder: Path) -> dict[str, str]:
    """The environment without what could change an answer; the program under test is the one in this tree."""
    ours = {key: value for key, value in os.environ.items() if not key.startswith(("STRIPPLAN", "SOURCE_DATE", "XDG_"))}
    return ours | {
        "PYTHONPATH": str(ROOT),
        "HOME": str(folder.parent),
        "PYTHONDONTWRITEBYTECODE": "1",
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


def files_in(folder: Path) -> set[str]:
    """Everything below a folder, hidden or not."""
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}
