"""What the command says goes out if it can; where it cannot, the work goes on, and the files are written."""

from __future__ import annotations

import io
import sys
import unicodedata
from typing import Any, TextIO

import click


class Outlet(io.RawIOBase):
    """A stream of the system's that never stops the program: after the first failure it takes all and says nothing."""

    def __init__(self, raw: Any) -> None:
        super().__init__()
        self._raw = raw
        self.failed: OSError | None = None

    def write(self, data: Any, /) -> int | None:
        """All of it, or nothing any more."""
        if self.failed is None:
            try:
                written: int | None = self._raw.write(data)
            except OSError as error:
                self.failed = error
            else:
                return written
        return len(data)

    def writable(self) -> bool:
        """It is one to write to."""
        return True

    def fileno(self) -> int:
        """The system's number."""
        number: int = self._raw.fileno()
        return number

    def isatty(self) -> bool:
        """Whether a person looks at it."""
        return bool(self._raw.isatty())


def guarded(stream: TextIO | None) -> tuple[TextIO | None, Outlet | None]:
    """The stream behind an outlet; letters that it cannot show are written as their number. As it is where it is none of the system's."""
    below = getattr(stream, "buffer", None)
    raw = getattr(below, "raw", below)
    if stream is None or raw is None:
        return stream, None
    outlet = Outlet(raw)
    text = io.TextIOWrapper(
        io.BufferedWriter(outlet),
        encoding=stream.encoding,
        errors="backslashreplace",
        line_buffering=getattr(stream, "line_buffering", False),
        write_through=getattr(stream, "write_through", False),
    )
    return text, outlet


def guard_streams() -> Outlet | None:
    """Put outlets in place of stdout and stderr; that of stdout, where it has one."""
    sys.stderr, _ = guarded(sys.stderr)
    sys.stdout, outlet = guarded(sys.stdout)
    return outlet


def say(text: str, *, err: bool = False) -> None:
    """One line to the person, which may hold names of theirs."""
    click.echo(plain(text), err=err)


def plain(text: str) -> str:
    r"""A text in one line that does nothing to a terminal: what is no letter is written as its number.

    >>> plain("a\x1b[2Jb\nc\u202ed")
    'a\\x1b[2Jb\\nc\\u202ed'
    """
    return "".join(_spelt(letter) for letter in text)


def _spelt(letter: str) -> str:
    unsafe = (
        unicodedata.category(letter) in ("Cc", "Zl", "Zp")
        or letter in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    )
    return letter.encode("unicode_escape").decode() if unsafe else letter
