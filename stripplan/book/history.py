"""What happened in the book, line by line: nothing is taken out of it again."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from stripplan.book.database import Database


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One thing that happened: when (ISO 8601), what, of which plan, with which pieces by number."""

    made: str
    what: str
    plan: str = ""
    pieces: tuple[int, ...] = ()
    note: str = ""


def write_entry(
    connection: sqlite3.Connection, at: str, what: str, *, plan: str = "", pieces: Iterable[int] = (), note: str = ""
) -> None:
    """One more line, in the transaction that does it. `pieces` are kept as " 3 4 5 ", so that one can be looked for."""
    numbers = "".join(f" {each}" for each in pieces)
    connection.execute(
        "INSERT INTO entry (made, what, plan, pieces, note) VALUES (?, ?, ?, ?, ?)",
        (at, what, plan, numbers and f"{numbers} ", note),
    )


def entries(book: Database, *, plan: str = "", piece: int | None = None, most: int = 100) -> tuple[Entry, ...]:
    """The newest lines, of a plan or a piece where one is named, the oldest of them first."""
    where, values = "1", list[str]()
    if plan:
        where, values = "plan = ?", [plan]
    elif piece is not None:
        where, values = "instr(pieces, ?)", [f" {piece} "]
    with book.reading() as connection:
        rows = connection.execute(
            f"SELECT made, what, plan, pieces, note FROM entry WHERE {where} ORDER BY id DESC LIMIT ?", (*values, most)
        ).fetchall()
    return tuple(
        Entry(made=made, what=what, plan=of, pieces=tuple(map(int, numbers.split())), note=note)
        for made, what, of, numbers, note in reversed(rows)
    )
