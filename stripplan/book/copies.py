"""Copies of the book: made while others work on it, looked at, and put back in its place."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from stripplan.book.database import Database, refused, told
from stripplan.book.history import write_entry
from stripplan.book.schema import APPLICATION, MIGRATIONS
from stripplan.errors import InputError

MOST_TOLD = 20


def faults_of(path: Path) -> tuple[str, ...]:
    """What is wrong with the file of a book, in SQLite's own words; nothing where it is sound. Raises InputError for
    what is no book or cannot be read."""
    if not path.is_file():
        raise refused(path, "missing")
    with told(path), closing(_to_read(path)) as connection:
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION:
            raise refused(path, "not_ours")
        said = [str(row[0]) for row in connection.execute(f"PRAGMA integrity_check({MOST_TOLD})")]
        said += [f"{row[0]} row {row[1]} names a {row[2]} that is not there"
                 for row in connection.execute("PRAGMA foreign_key_check")][:MOST_TOLD]  # fmt: skip
    return tuple(each for each in said if each != "ok")


def restore(path: Path, copy: Path, at: str) -> Path | None:
    """Put a copy in place of the book. What was there before lies beside it, and its path is given back; None where
    nothing was there. Raises InputError where the copy is not sound, and then nothing has changed.
    """
    if faults := faults_of(copy):
        raise refused(copy, "copy_damaged", said=faults[0])
    with told(copy), closing(_to_read(copy)) as source:
        version = int(source.execute("PRAGMA user_version").fetchone()[0])
        if version > len(MIGRATIONS):
            raise refused(copy, "newer", version=version, known=len(MIGRATIONS))
        aside = _over_the_sound(path, source) if path.exists() else None
        if aside is None:
            aside = _set_aside(path) if path.exists() else None
            with Database(path, create=True) as book:
                book.take_from(source)
    with Database(path) as book, book.changing() as connection:
        write_entry(connection, at, "restored", note=copy.name)
    return aside


def _over_the_sound(path: Path, source: sqlite3.Connection) -> Path | None:
    """The copy into a book that can be opened, which other programs may have open too; None where it cannot."""
    with suppress(InputError):
        if not faults_of(path):
            with Database(path) as book:
                aside = _free_name(path, "before")
                book.copied_to(aside)
                book.take_from(source)
                return aside
    return None


def _set_aside(path: Path) -> Path:
    """A damaged book with its log, under another name: it is never thrown away."""
    aside = _free_name(path, "damaged")
    for ending in ("-wal", "-shm", ""):
        with suppress(FileNotFoundError):
            path.with_name(path.name + ending).rename(aside.with_name(aside.name + ending))
    return aside


def _free_name(path: Path, word: str) -> Path:
    number = 1
    while (found := path.with_name(f"{path.name}.{word}-{number}")).exists():
        number += 1
    return found


def _to_read(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
