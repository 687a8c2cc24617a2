"""Ctrl-C while a plan is sought, and the line on a terminal."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from stripplan.cli.search_watch import NOTE
from tests.checking import few
from tests.cli.running import SECONDS, begun, called

LONG = ("plan", "--plate", "1000x600x6", "120x300x9", "70x90x14", "--steps", "1000000000", "--seconds", str(SECONDS))
"""A search that does not end by itself for as long as anything is waited for."""


def started(*words: str, folder: Path, stderr: int) -> AbstractContextManager[subprocess.Popen[bytes]]:
    """The program, begun."""
    command = (sys.executable, "-m", "stripplan", *words)
    return begun(*command, folder=folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=stderr)


def wait_for(terminal: int, words: bytes, seconds: float = SECONDS) -> bytes:
    """What a terminal shows, up to these words."""
    shown, end = b"", time.monotonic() + seconds
    while words not in shown and time.monotonic() < end:
        if select.select([terminal], [], [], 0.2)[0]:
            try:
                shown += os.read(terminal, 4096)
            except OSError:  # the other side is closed
                break
    return shown


@pytest.fixture
def terminal() -> tuple[int, int]:
    """Two ends of a terminal: what a person sees, what the program writes to."""
    return pty.openpty()


@pytest.mark.long
def test_ctrl_c_gives_the_best_plan_so_far(tmp_path: Path, terminal: tuple[int, int]) -> None:
    """The search ends, a note says so, the plan is checked and written, and says what ended it."""
    seen, written = terminal
    with started(*LONG, "--out", "o", folder=tmp_path, stderr=written) as program:
        told = wait_for(seen, b" s")
        assert re.match(rb"\r\x1b\[K\[#*-+\] ", told)
        assert any(words in told for words in (b"laying out", b"comparing layouts", b"ordering the cuts"))
        program.send_signal(signal.SIGINT)
        shown = wait_for(seen, NOTE.encode())
        out, _ = program.communicate(timeout=SECONDS)
    assert NOTE.encode() in shown
    assert program.returncode == 0, shown
    assert "at the rig" in out.decode()
    settings = json.loads((tmp_path / "o" / "plan.json").read_text())["settings"]
    assert settings["stopped"] == "interrupt"


@pytest.mark.long
def test_the_line_goes_when_the_search_is_done(tmp_path: Path, terminal: tuple[int, int]) -> None:
    """One line is rewritten in place, and wiped at the end."""
    seen, written = terminal
    at_once = "from stripplan.cli import main, search_watch; search_watch.QUIET_SECONDS = 0.0; main.run()"
    command = (sys.executable, "-c", at_once, *LONG[:-1], "0.5")
    with begun(*command, folder=tmp_path, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=written) as program:
        program.communicate(timeout=SECONDS)
    os.close(written)
    shown = wait_for(seen, b"\xff")  # all of it: the program has ended, so this comes to its end
    assert shown.startswith(b"\r\x1b[K")
    assert shown.endswith(b"\r\x1b[K")
    assert b"\n" not in shown


@pytest.mark.parametrize("how", few(1, ((), ("--quiet",), ("--json",))))
def test_no_line_where_nobody_looks(how: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither with --quiet nor with --json, nor where stderr is no terminal; elsewhere it would be there at once."""
    monkeypatch.setattr("stripplan.cli.search_watch.QUIET_SECONDS", 0.0)
    done = called(*LONG[:-1], "0.3", *how, folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
