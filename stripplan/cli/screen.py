"""What the person reads: tables, and texts under a name; on a terminal in its width, else plain lines, fit for a file.

What is to be seen is data (`Table`, `Items`, `Line`), so that a command says the same to a person, to a file and to a
pipe. On a terminal `rich` draws it: it breaks lines at the edge of the window and leaves colours out where NO_COLOR is
set. Elsewhere each text is one line, and no letter is there that is not in the text.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TextIO, TypeAlias

from stripplan.cli.streams import plain, say

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.text import Text

NAME = 10
"""Letters that the name of texts has, where they stand behind it."""
INDENT = 2
MOST = 100
"""Letters of a line that is to be taken in at a glance, with its name."""
ROOM = MOST - INDENT - NAME
"""Letters of a text in such a line."""

Tone = Literal["plain", "heed", "stop", "good"]
"""What a text is: said, to be heeded, what stands in the way, what is proven."""
TONES: dict[str, str] = {"plain": "", "heed": "yellow", "stop": "bold red", "good": "green"}
"""Each as the terminal shows it."""


@dataclass(frozen=True)
class Line:
    """One line as it stands; empty: a space between two blocks."""

    text: str = ""
    tone: Tone = "plain"


@dataclass(frozen=True)
class Items:
    """Texts under one name, which stands before the first only."""

    name: str
    texts: tuple[str, ...]
    tone: Tone = "plain"


@dataclass(frozen=True)
class Table:
    """Rows below their heads, under a name or none; columns in `right` are set flush right. No heads: rows alone."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    name: str = ""


Block: TypeAlias = Line | Items | Table


def show(*blocks: Block) -> None:
    """Blocks to stdout, one after the other."""
    if is_terminal(sys.stdout):
        _drawn(console(sys.stdout), blocks)
        return
    for each in blocks:
        for line in plain_lines(each):
            say(line)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether a person looks at a stream."""
    return stream is not None and stream.isatty()


def plain_lines(block: Block) -> list[str]:
    """A block as lines of text.

    >>> plain_lines(Items("left", ("one", "two")))
    ['  left      one', '            two']
    """
    if isinstance(block, Line):
        return [block.text]
    if isinstance(block, Items):
        return named(block.name, block.texts)
    rows = table([block.heads, *block.rows] if block.heads else block.rows, block.right)
    return named(block.name, rows) if block.name else [f"{' ' * INDENT}{row}" for row in rows]


def named(name: str, texts: Iterable[str]) -> list[str]:
    """Texts in line behind a name, which stands before the first only."""
    return [f"{' ' * INDENT}{'' if number else name:<{NAME}}{text}".rstrip() for number, text in enumerate(texts)]


def table(rows: Sequence[Sequence[str]], right: Iterable[int]) -> list[str]:
    """Rows as lines of even columns; columns in `right` are set flush right.

    >>> table([("width", "n"), ("50", "6")], right=(0, 1))
    ['width  n', '   50  6']
    """
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    flush = set(right)
    lines = []
    for row in rows:
        cells = [
            cell.rjust(w) if n in flush else cell.ljust(w) for n, (cell, w) in enumerate(zip(row, wide, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return lines


# --- on a terminal ------------------------------------------------------------------------------------------------


def console(stream: TextIO) -> Console:
    """A terminal as `rich` knows it: nothing in a text is taken for markup, a number or a picture."""
    from rich.console import Console

    return Console(file=stream, highlight=False, markup=False, emoji=False)


def _drawn(on: Console, blocks: Iterable[Block]) -> None:
    for each in blocks:
        if isinstance(each, Line):
            on.print(_text(each.text, each.tone), overflow="fold")
        elif isinstance(each, Items):
            on.print(_beside(each.name, [_text(text, each.tone) for text in each.texts]))
        else:
            drawn = _table(each)
            on.print(_beside(each.name, [drawn]) if each.name else _indented(drawn))


def _text(text: str, tone: Tone = "plain") -> Text:
    from rich.text import Text

    return Text(plain(text), style=TONES[tone])


def _beside(name: str, things: Sequence[RenderableType]) -> RenderableType:
    """Things one below the other, their name left of the first, each wrapped in its own column."""
    from rich.table import Table as Grid

    grid = Grid.grid(padding=0)
    grid.add_column(width=INDENT)
    grid.add_column(width=NAME, style="bold")
    grid.add_column(overflow="fold")
    for number, each in enumerate(things):
        grid.add_row("", "" if number else name, each)
    return grid


def _indented(thing: RenderableType) -> RenderableType:
    from rich.padding import Padding

    return Padding(thing, (0, 0, 0, INDENT), expand=False)


def _table(block: Table) -> RenderableType:
    from rich.table import Table as Drawn

    drawn = Drawn(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=bool(block.heads), header_style="bold")
    heads = block.heads or ("",) * len(block.rows[0])
    for number, head in enumerate(heads):
        drawn.add_column(_text(head), justify="right" if number in block.right else "left", overflow="fold")
    for row in block.rows:
        drawn.add_row(*map(_text, row))
    return drawn
