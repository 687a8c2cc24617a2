"""What the command says goes out if it can; where it cannot, the work goes on, and the files are written."""

from __future__ import annotations

import io
import os
import sys
import unicodedata
from typing import Any, TextIO

import click


class Outlet(io.TextIOWrapper):
    """A stream of the system's that never stops the program: after the first failure what is said goes nowhere."""

    failed: OSError | None = None

    def write(self, text: str, /) -> int:
        """All of it, or nothing any more."""
        try:
            return super().write(text)
        except OSError as error:
            self.give_up(error)
            return len(text)

    def flush(self) -> None:
        """What was written, out."""
        try:
            super().flush()
        except OSError as error:
            self.give_up(error)

    def give_up(self, error: OSError) -> None:
        """From now on into nothing, also what waits to be written."""
        self.failed = self.failed or error
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, self.fileno())
        os.close(nothing)


def guarded(stream: TextIO | Any) -> TextIO | Any:
    """The stream as an outlet; letters that it cannot show are written as their number. As it is where it is none of
    the system's.
    """
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    encoding, lines, through = stream.encoding, stream.line_buffering, stream.write_through
    return Outlet(
        stream.detach(), encoding=encoding, errors="backslashreplace", line_buffering=lines, write_through=through
    )


def guard_streams() -> None:
    """Put outlets in place of stdout and stderr."""
    sys.stdout, sys.stderr = guarded(sys.stdout), guarded(sys.stderr)


def trouble() -> OSError | None:
    """Why not all could be said on stdout, once everything is."""
    if sys.stdout is not None:
        sys.stdout.flush()
    return sys.stdout.failed if isinstance(sys.stdout, Outlet) else None


def put(data: bytes) -> None:
    """Bytes to stdout as they are, whatever letters the terminal can show."""
    out = sys.stdout
    if out is None:
        return
    out.flush()
    try:
        out.buffer.write(data)
        out.buffer.flush()
    except OSError as error:
        if not isinstance(out, Outlet):
            raise
        out.give_up(error)


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
