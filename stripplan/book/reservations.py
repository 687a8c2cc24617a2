"""Whom pieces are promised to: by hand to a job, or by a plan that uses them."""

from __future__ import annotations

import sqlite3
from collections.abc import Container, Mapping, Sequence

from stripplan.book.database import Database, refused
from stripplan.book.history import write_entry
from stripplan.book.pieces import numbered, still_there
from stripplan.model.rack.piece import RackPiece


def reserve(book: Database, numbers: Sequence[int], job: str, at: str) -> tuple[RackPiece, ...]:
    """Promise pieces to a job by hand. Raises InputError for one that is promised to another, and then none is."""
    with book.changing() as connection:
        pieces = numbered(book, connection, numbers)
        still_there(book, pieces)
        for each in pieces:
            if each.job and each.job != job:
                raise refused(book.path, "promised", piece=each.name, job=each.job, plan=each.plan)
        free = [each.number for each in pieces if not each.job]
        connection.executemany("INSERT INTO reservation VALUES (?, ?, NULL, ?)", [(each, job, at) for each in free])
        write_entry(connection, at, "reserved", pieces=numbers, note=job)
    return pieces


def release(book: Database, numbers: Sequence[int], at: str) -> tuple[RackPiece, ...]:
    """Take back what was promised by hand. Raises InputError for a piece that is not promised, or that a plan uses."""
    with book.changing() as connection:
        pieces = numbered(book, connection, numbers)
        for each in pieces:
            if not each.job:
                raise refused(book.path, "not_promised", piece=each.name)
            if each.plan:
                raise refused(book.path, "used_by_plan", piece=each.name, job=each.job, plan=each.plan)
        connection.executemany("DELETE FROM reservation WHERE piece = ?", [(each,) for each in numbers])
        write_entry(connection, at, "released", pieces=numbers)
    return pieces


def reserve_for_plan(
    book: Database,
    connection: sqlite3.Connection,
    plan: str,
    names: Container[str],
    plates: Mapping[str, int],
    jobs: Mapping[str, str],
    at: str,
) -> None:
    """Promise to a plan the pieces that its `plates` are, each to what `jobs` says of its plate, within the caller's
    transaction; one that was promised by hand to one of its jobs, by their `names`, becomes the plan's. Raises
    InputError for a piece that is gone or another's.
    """
    pieces = numbered(book, connection, list(plates.values()))
    still_there(book, pieces)
    for each in pieces:
        if each.plan or not (each.job == "" or each.job in names):
            raise refused(book.path, "taken_meanwhile", piece=each.name, job=each.job, plan=each.plan)
    connection.executemany(
        "INSERT OR REPLACE INTO reservation VALUES (?, ?, ?, ?)",
        [(each, jobs[plate], plan, at) for plate, each in plates.items()],
    )
    connection.executemany(
        "INSERT INTO plan_plate VALUES (?, ?, ?, ?)",
        [(plan, plate, each, jobs[plate]) for plate, each in plates.items()],
    )


def release_of_plan(connection: sqlite3.Connection, plan: str) -> tuple[int, ...]:
    """Take back all that a plan was promised, within the caller's transaction; which pieces those were."""
    numbers = [row[0] for row in connection.execute("SELECT piece FROM reservation WHERE plan = ?", (plan,))]
    connection.execute("DELETE FROM reservation WHERE plan = ?", (plan,))
    return tuple(numbers)


def reserved_again(connection: sqlite3.Connection, plan: str, job: str, at: str) -> None:
    """Promise to a plan what it had before, within the caller's transaction."""
    connection.execute(
        """INSERT INTO reservation SELECT piece, CASE job WHEN '' THEN ? ELSE job END, plan, ? FROM plan_plate
        WHERE plan = ? ORDER BY rowid""",
        (job, at, plan),
    )
