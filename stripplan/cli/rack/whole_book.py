"""`stripplan rack backup`, `restore`, `check`: the book as a whole."""

from __future__ import annotations

from pathlib import Path

import click

from stripplan.cli.rack.opening import book_option, now, opened
from stripplan.cli.streams import say


@click.command(short_help="Make a copy of the book.")
@click.argument("copy", type=click.Path(path_type=Path))
@click.option("--over", is_flag=True, help="In place of a file that is there.")
@book_option
def backup(copy: Path, over: bool, book_file: Path | None) -> None:
    """Make a whole copy of the book, also while others work on it. Do not copy the file by hand: its last changes may
    lie in the file beside it.
    """
    with opened(book_file, writes=False) as book:
        book.copied_to(copy, over=over)
    say(f"Wrote {copy}")


@click.command(short_help="Put a copy in place of the book.")
@click.argument("copy", type=click.Path(path_type=Path))
@book_option
def restore(copy: Path, book_file: Path | None) -> None:
    """Put a copy in place of the book. What was there before stays beside it, also where it was damaged."""
    from stripplan.book.copies import restore as put_back
    from stripplan.book.database import usual_book

    path = book_file if book_file is not None else usual_book()
    aside = put_back(path, copy, now())
    say(f"{path} is as {copy} was" + (f"; before it was what lies in {aside}" if aside is not None else ""))


@click.command("check", short_help="Look whether the book is sound.")
@book_option
def check_book(book_file: Path | None) -> None:
    """Look through the whole file. Exit status 2: something is wrong with it."""
    from stripplan.book.copies import faults_of
    from stripplan.book.database import refused, usual_book

    path = book_file if book_file is not None else usual_book()
    if faults := faults_of(path):
        raise refused(path, "faults", said=faults[0])
    say(f"{path} is sound")
