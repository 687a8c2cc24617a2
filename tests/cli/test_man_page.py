"""The manual page is that of the command as it is, and a reader of such pages shows it without complaint."""

from __future__ import annotations

import doctest
import re
import shutil
import subprocess

import pytest

from tests import man_page
from tests.cli.test_snapshots import STALE
from tests.man_page import PAGE


def test_the_committed_page_is_fresh() -> None:
    """Help, options or version changed: the page changes with them."""
    assert PAGE.read_text(encoding="utf-8") == man_page.man_page(), STALE


@pytest.mark.skipif(shutil.which("groff") is None, reason="groff is not there")
def test_a_reader_of_such_pages_shows_it() -> None:
    """groff warns of nothing, and every command and long option is in what it shows."""
    command = ["groff", "-man", "-Tutf8", "-ww", "-rLL=100n", str(PAGE)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stderr == ""
    shown = re.sub(r"\x1b\[[0-9;]*m|.\x08", "", done.stdout)
    assert "stripplan plan [OPTIONS] [JOB.toml ... | PART ...]" in shown
    assert "stripplan rig copy [OPTIONS] FILE" in shown
    for word in ("--good-enough", "--choices", "--spoilt", "--unchecked", "NO_COLOR"):
        assert word in shown


def test_words_are_shown_as_they_are() -> None:
    """The example in the docstring holds."""
    assert doctest.testmod(man_page).failed == 0
