"""`stripplan rack reserve`, `release`, `write-off`, `keep`: whom pieces are for, and what is kept at all."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from stripplan.cli.rack.opening import book_option, json_option, now, opened, pieces_named, sizes, units_option
from stripplan.cli.streams import say


@click.command(short_help="Reserve pieces for a job.")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE ...")
@click.option("--job", required=True, help="Name of the job, as its job file has it.")
@book_option
def reserve(pieces: tuple[str, ...], job: str, book_file: Path | None) -> None:
    """Reserve pieces for a job: no plan of another job takes them. All of them, or none."""
    from stripplan.book.reservations import reserve as promise
    from stripplan.model.rack.piece import numbers_said

    with opened(book_file) as book:
        with book.reading() as connection:
            numbers = pieces_named(connection, pieces)
        promise(book, numbers, job, now())
    say(f"{numbers_said(numbers)}: reserved for {job}")


@click.command(short_help="Take a reservation back.")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE ...")
@book_option
def release(pieces: tuple[str, ...], book_file: Path | None) -> None:
    """Take back what `stripplan rack reserve` did. What a plan uses is given back with `stripplan undo`."""
    from stripplan.book.reservations import release as take_back
    from stripplan.model.rack.piece import numbers_said

    with opened(book_file) as book:
        with book.reading() as connection:
            numbers = pieces_named(connection, pieces)
        take_back(book, numbers, now())
    say(f"{numbers_said(numbers)}: free")


@click.command("write-off", short_help="Take pieces off the rack: sold, scrapped, not found.")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE ...")
@click.option("--why", default="", help="What became of them.")
@book_option
def write_off(pieces: tuple[str, ...], why: str, book_file: Path | None) -> None:
    """Take pieces off the rack that no plan has used: sold, scrapped, not found. They stay in the history."""
    from stripplan.book.pieces import write_off as take_off
    from stripplan.model.rack.piece import numbers_said

    with opened(book_file) as book:
        with book.reading() as connection:
            numbers = pieces_named(connection, pieces)
        take_off(book, numbers, now(), why)
    say(f"{numbers_said(numbers)}: written off")


@click.command(short_help="Say what is worth keeping.")
@click.argument("size", required=False, metavar="[LENGTHxWIDTH]")
@click.option("--material", default="", help="Of this material, grade or family alone.")
@click.option("--thickness", metavar="LENGTH", help="Of this thickness alone.")
@click.option("--forget", is_flag=True, help="Take the rule for this material and thickness out.")
@units_option
@book_option
@json_option
def keep(
    size: str | None,
    material: str,
    thickness: str | None,
    forget: bool,
    units: Literal["mm", "in"],
    book_file: Path | None,
    as_json: bool,
) -> None:
    """Say which offcuts are worth keeping, by material and thickness, or show what was said.

    It decides what `stripplan done` puts on the rack, and is the `keep` of a job that is planned with --rack and says
    none. The closest rule counts: for the very material before one for its family, either before one for any.
    """
    from stripplan.book.keep import forget_rule, keep_rules, set_rule
    from stripplan.model.rack.keep import NOTHING_SAID, KeepRule

    thick = None if thickness is None else sizes(thickness, units, (1,))[0]
    with opened(book_file, create=size is not None) as book:
        if forget:
            forget_rule(book, material, thick, now())
        elif size is not None:
            length, width = sizes(size, units, (2,))
            set_rule(book, KeepRule(material=material, thickness=thick, size=(length, width)), now())
        rules = keep_rules(book)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json(
            "rack-keep",
            rules=[{"material": each.material, "thickness": each.thickness, "size": each.size} for each in rules],
        )
        return
    from stripplan.cli.screen import Table, show
    from stripplan.wording.quantity import show_length

    rows = [
        (
            each.material or "any",
            "any" if each.thickness is None else show_length(each.thickness, units),
            " × ".join(show_length(side, units) for side in each.size),
        )
        for each in rules
    ]
    if not any(not each.material and each.thickness is None for each in rules):
        rows.append(("any", "any", " × ".join(show_length(side, units) for side in NOTHING_SAID)))
    show(Table(("material", "thickness", f"least, {units}"), tuple(rows)))
