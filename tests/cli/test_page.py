"""`stripplan page`: a server that answers, and ends."""

from __future__ import annotations

import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from tests.cli.running import SECONDS, begun, run


@pytest.mark.long
def test_the_page_is_served_until_it_is_ended(tmp_path: Path) -> None:
    """It says its address on the first line, answers there on this machine alone, and Ctrl-C ends it."""
    command = [sys.executable, "-m", "stripplan", "page", "kept", "--port", "0", "--no-browser"]
    with begun(*command, folder=tmp_path, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        address = server.stdout.readline().split()[2]
        assert address.startswith("http://127.0.0.1:")
        with urllib.request.urlopen(address, timeout=SECONDS) as answer:
            assert "Plan a job" in answer.read().decode()
        server.send_signal(signal.SIGINT)
        assert server.wait(SECONDS) in (0, 130, -2)


@pytest.mark.long
def test_a_port_that_is_taken_is_named(tmp_path: Path) -> None:
    """The fault names the port and the option that takes another."""
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        refused = run("page", "--port", port, "--no-browser", folder=tmp_path)
    assert refused.returncode == 2
    assert port in refused.stderr
    assert "--port" in refused.stderr
