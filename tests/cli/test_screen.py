"""What a person sees on a terminal: tables and texts within its width, colours only where they are wanted."""

from __future__ import annotations

import io
import re
from typing import Any
from unittest.mock import patch

import pytest

from stripplan.cli.screen import Items, Line, Table, show

BLOCKS = (
    Line("gate, sizes in mm"),
    Table(
        ("", "part", "width"), (("1", "rail [bold]", "50"), ("2", "hinge leaf of the left wing", "70")), right=(0, 2)
    ),
    Items("heed", ("a text that is longer than a narrow window is wide, and breaks in its own column",), "heed"),
    Table((), (("time", "1 h"),), name="figures"),
)


class Terminal(io.StringIO):
    """A stream that a person looks at."""

    def isatty(self) -> bool:
        """It is a terminal."""
        return True


def seen(monkeypatch: pytest.MonkeyPatch, *blocks: Any, **environment: str) -> str:
    """What a terminal of so many columns is sent."""
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    for name, value in ({"TERM": "xterm-256color", "COLUMNS": "40", "LINES": "20"} | environment).items():
        monkeypatch.setenv(name, value)
    with patch("sys.stdout", Terminal()) as stream:
        show(*blocks)
        return stream.getvalue()


def without_colour(text: str) -> str:
    """Text without the codes that set colours and weights."""
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


@pytest.mark.parametrize("columns", [30, 40, 200])
def test_the_width_of_the_window_is_kept(monkeypatch: pytest.MonkeyPatch, columns: int) -> None:
    """No line is wider than the window, and no letter is lost."""
    shown = without_colour(seen(monkeypatch, *BLOCKS, COLUMNS=str(columns)))
    assert max(map(len, shown.splitlines())) <= columns
    letters = "".join(shown.split())
    assert all(word in letters for word in ("gate,", "rail[bold]", "heed", "column", "1h"))


def test_a_text_that_breaks_stays_in_its_column(monkeypatch: pytest.MonkeyPatch) -> None:
    """What follows stands below the text, not below its name."""
    lines = without_colour(seen(monkeypatch, BLOCKS[2])).splitlines()
    assert len(lines) > 1
    assert [line[:12].strip() for line in lines] == ["heed", *[""] * (len(lines) - 1)]


def test_colours_only_where_they_are_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    """What needs heed has a colour; with NO_COLOR, or on a terminal that has none, nothing has."""
    colour = re.compile(r"\x1b\[[0-9;]*3[0-7]")
    assert colour.search(seen(monkeypatch, BLOCKS[2]))
    assert not colour.search(seen(monkeypatch, *BLOCKS, NO_COLOR="1"))
    assert "\x1b" not in seen(monkeypatch, *BLOCKS, TERM="dumb")


def test_a_name_cannot_steer_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters that a terminal obeys are written as their number, on a terminal and in a file."""
    evil = Items("left", ("a\x1b[2Jb",))
    assert "\x1b[2J" not in seen(monkeypatch, evil)
    with patch("sys.stdout", io.StringIO()) as stream:
        show(evil)
    assert stream.getvalue() == "  left      a\\x1b[2Jb\n"
