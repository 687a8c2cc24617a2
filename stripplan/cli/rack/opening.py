"""What all commands of the stock book share: which book, today's date, and pieces as they are named."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.source_date import made_at
from stripplan.cli.streams import say
from stripplan.errors import Fault, InputError
from stripplan.wording.message import Fact, Facts

if TYPE_CHECKING:
    import sqlite3

    from stripplan.book.database import Database
    from stripplan.model.plan.plan import Plan

book_option = click.option(
    "--book",
    "book_file",
    type=click.Path(path_type=Path),
    metavar="BOOK",
    help="Stock book; left out: the one of STRIPPLAN_BOOK, else rack.db in your own data folder.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print data for other programs.")
units_option = click.option(
    "--units", type=click.Choice(["mm", "in"]), default="mm", help="Units of what is typed, and of what is shown."
)
MOST_NAMED = 10_000
"""So many pieces one word may name."""


def opened(book_file: Path | None, *, create: bool = False, writes: bool = True) -> Database:
    """The book that is meant; a new one is told. Raises InputError."""
    from stripplan.book.database import Database, usual_book

    path = book_file if book_file is not None else usual_book()
    book = Database(path, create=create, writes=writes)
    if book.new:
        say(f"note: a new stock book: {path}", err=True)
    return book


def now() -> str:
    """Date and time for the book: SOURCE_DATE_EPOCH, where it is set, else the clock."""
    from datetime import datetime

    return made_at() or datetime.now().astimezone().isoformat(timespec="seconds")


def refused(says: str, **facts: Fact) -> InputError:
    """What was typed and cannot be, as an error."""
    return InputError(Fault("option", "", Facts(**facts), says=f"book.{says}"))


def pieces_named(connection: sqlite3.Connection, words: Iterable[str]) -> list[int]:
    """Numbers of pieces as they are named: R12, 12, R12-R15, or what the code of a label says. Raises InputError."""
    from stripplan.book.pieces import number_of_code
    from stripplan.model.rack.piece import piece_number

    found: list[int] = []
    for word in words:
        one, other = (piece_number(each) for each in (word.partition("-")[0], word.partition("-")[2] or "0"))
        number = piece_number(word) if "-" not in word else None
        if (number is None and "-" not in word) or word.startswith("stripplan:"):
            number = number_of_code(connection, word.strip())
        if number is not None:
            found.append(number)
        elif one and other and one <= other < one + MOST_NAMED:
            found += range(one, other + 1)
        else:
            raise refused("no_piece_name", given=word)
    return list(dict.fromkeys(found))


def sizes(text: str, units: str, counts: Sequence[int]) -> list[float]:
    """Lengths of a word like 2000x1000x6, in mm. Raises InputError."""
    from stripplan.wording.quantity import UnitError, parse_sides

    try:
        found = list(parse_sides(text, units))
    except UnitError as error:
        raise refused("piece", said=f"{error.said}: {error.hint}" if error.hint else error.said) from None
    if len(found) not in counts or not all(found):
        raise refused("size", given=text)
    return found


def plan_named(book: Database, plan: str) -> tuple[Plan, str, str]:
    """A plan, its id and its file's text, from a plan file or from the book by its id, or by as much of its id as tells
    it from others, at least four letters; sound by the replay. Raises InputError.
    """
    from stripplan.book.database import refused as no_plan
    from stripplan.book.plans import plan_text_of, whole_id
    from stripplan.cli.replayed_plan import checked_plan
    from stripplan.files.plan.read import plan_from
    from stripplan.sheets.plan_json import plan_text
    from stripplan.sheets.rows.plan_rows import plan_id

    if re.fullmatch("[0-9a-f]{4,8}", plan) and not Path(plan).exists():
        plan = whole_id(book, plan)
        text = plan_text_of(book, plan)
        if text is None:
            raise no_plan(book.path, "no_plan", plan=plan)
        return plan_from(text, name=f"plan {plan}"), plan, text
    made = checked_plan(Path(plan))
    return made, plan_id(made), plan_text(made)
