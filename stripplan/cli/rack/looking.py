"""`stripplan rack list`, `value`, `history`, `plans`: what the book says."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Literal

import click

from stripplan.cli.rack.opening import book_option, json_option, now, opened, pieces_named, sizes, units_option
from stripplan.cli.streams import put, say

MOST_SHOWN = 200
"""Pieces that are shown where nobody says how many: as many as a person reads, and quickly there."""
ALL = 10**9
"""More pieces than a book has."""


@click.command("list", short_help="List what lies on the rack.")
@click.option("--material", help="Material, grade or family: S235 finds S235JR too.")
@click.option("--thickness", metavar="LENGTH", help="Thickness.")
@click.option("--least", metavar="LENGTHxWIDTH", help="Size that fits onto the piece, either way round.")
@click.option("--text", default="", help="What stands in name, material, batch, place, note, label or job.")
@click.option("--kind", type=click.Choice(["plate", "offcut"]), help="Plates or offcuts alone.")
@click.option("--place", help="Where it lies.")
@click.option("--job", help="What is reserved for a job.")
@click.option("--reserved/--free", default=None, help="What is reserved, or what is not.")
@click.option("--gone", is_flag=True, help="What is used up or written off too.")
@click.option(
    "--most",
    type=click.IntRange(1),
    help=f"So many lines, the first that came in.  [default: {MOST_SHOWN}; all with --csv and --json]",
)
@click.option("--csv", "as_csv", is_flag=True, help="Print a list that `stripplan rack read` reads.")
@units_option
@book_option
@json_option
def list_pieces(
    material: str | None,
    thickness: str | None,
    least: str | None,
    text: str,
    kind: str | None,
    place: str | None,
    job: str | None,
    reserved: bool | None,
    gone: bool,
    most: int | None,
    as_csv: bool,
    units: Literal["mm", "in"],
    book_file: Path | None,
    as_json: bool,
) -> None:
    """List what lies on the rack, and search it."""
    from stripplan.book.pieces import Wanted, first_wanted
    from stripplan.cli.rack.rows import piece_record, piece_table, pieces_csv
    from stripplan.cli.screen import show

    size = sizes(least, units, (2,)) if least is not None else None
    wanted = Wanted(
        materials=() if material is None else (material,),
        thicknesses=() if thickness is None else tuple(sizes(thickness, units, (1,))),
        least=None if size is None else (size[0], size[1]),
        text=text,
        kind=kind,
        place=place,
        job=job,
        reserved=reserved,
        gone=gone,
    )
    with opened(book_file, writes=False) as book:
        found, there = first_wanted(book, wanted, most or (ALL if as_json or as_csv else MOST_SHOWN))
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-list", pieces=[piece_record(each) for each in found])
    elif as_csv:
        put(pieces_csv(found).encode())
    elif found:
        show(piece_table(found, units))
        say(f"{there} pieces" if there != 1 else "1 piece")
        if there > len(found):
            say(f"these are the first {len(found)}; all of them: --most {there}")
    else:
        say("nothing of that kind lies there")


@click.command(short_help="Say what the rack is worth, and how old it is.")
@click.option("--material", help="Material, grade or family.")
@book_option
@json_option
def value(material: str | None, book_file: Path | None, as_json: bool) -> None:
    """Say what lies there by material and thickness: pieces, area, mass, money, age.

    Pieces without a cost are counted apart: they are in area and mass, not in the money.
    """
    from stripplan.book.pieces import Wanted, rack_worth
    from stripplan.cli.rack.rows import worth_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        found = rack_worth(book, Wanted(materials=() if material is None else (material,)))
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-value", rows=[asdict(each) for each in found])
        return
    if not found:
        say("nothing lies there")
        return
    show(worth_table(found, now()))
    bare = sum(each.without_cost for each in found)
    say(
        f"together {sum(each.mass for each in found):.0f} kg, worth {sum(each.cost for each in found):.2f}"
        + (f"; {bare} without a cost" if bare else "")
    )


@click.command(short_help="Say what happened to a piece or a plan.")
@click.argument("what", required=False, metavar="[PIECE | PLAN]")
@click.option("--most", type=click.IntRange(1), default=50, show_default=True, help="So many lines, the newest.")
@book_option
@json_option
def history(what: str | None, most: int, book_file: Path | None, as_json: bool) -> None:
    """Say what happened: to all, to a piece (R12), or with a plan by its id."""
    import re

    from stripplan.book.history import entries
    from stripplan.cli.rack.rows import entry_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        if what and re.fullmatch("[0-9a-f]{8}", what):
            found = entries(book, plan=what, most=most)
        elif what:
            with book.reading() as connection:
                (number, *_) = pieces_named(connection, [what])
            found = entries(book, piece=number, most=most)
        else:
            found = entries(book, most=most)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-history", entries=[asdict(each) for each in found])
    elif found:
        show(entry_table(found))
    else:
        say("nothing happened yet")


@click.command(short_help="Name the plans that the book knows.")
@click.option("--done/--not-done", default=None, help="Plans that are done, or not.")
@book_option
@json_option
def plans(done: bool | None, book_file: Path | None, as_json: bool) -> None:
    """Name the plans that the book knows: how far each is, minutes planned, left and taken, and its pieces."""
    from stripplan.book.plans import kept_plans
    from stripplan.cli.rack.rows import plan_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        found = kept_plans(book, done=done)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-plans", plans=[asdict(each) for each in found])
    elif found:
        show(plan_table(found))
    else:
        say("no plan is kept")
