"""`stripplan rack add`, `read`, `scan`, `change`: pieces into the book."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from stripplan.cli.list_options import any_file
from stripplan.cli.rack.opening import book_option, now, opened, pieces_named, plan_named, refused, sizes, units_option
from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.model.rack.piece import RackPiece

_EDGES = "States of its edges: mill, cut or dressed; one for all, or four with commas (below, right, above, left)."
_OUTLINE = 'Corners of an offcut with slanted edges, as "0,0 400,0 0,300"; the size is then its thickness alone.'
_ROLLING = click.Choice(["length", "width", "none"])


@click.command(short_help="Put plates and offcuts into the book.")
@click.argument("size", metavar="LENGTHxWIDTHxTHICKNESS[*N]")
@click.option("--material", required=True, help="Material or grade.")
@click.option("--offcut", is_flag=True, help="It is an offcut; its edges are cut unless --edges says otherwise.")
@click.option("--batch", default="", help="Batch or heat.")
@click.option("--cost", type=click.FloatRange(0), help="What one piece costs or is worth.")
@click.option("--place", default="", help="Where it lies.")
@click.option("--edges", help=_EDGES)
@click.option("--outline", metavar="CORNERS", help=_OUTLINE)
@click.option("--rolling", type=_ROLLING, default="none", show_default=True, help="Rolling direction.")
@click.option("--measured", is_flag=True, help="It was measured: its own size may be relied on.")
@click.option("--out-of-square", metavar="LENGTH", help="How far an end is out of square over the width.")
@click.option("--note", default="", help="Anything else.")
@click.option("--label", default="", help="What the code of a label on it says.")
@click.option("--since", metavar="DAY", help="The day on which it came in, as 2026-03-31; left out: today.")
@click.option("--job", default="", help="Reserve it for a job.")
@units_option
@book_option
def add(size: str, units: Literal["mm", "in"], book_file: Path | None, **given: Any) -> None:
    """Put plates or offcuts into the book: 2000x1000x6, or 600x200x6*3 for three alike.

    An offcut with slanted edges is kept with its outline; plans use the largest rectangle in it.
    """
    from stripplan.book.pieces import add as put_in
    from stripplan.files.stock.typed import material_note, typed_piece
    from stripplan.wording.show import worded

    body, star, count = size.partition("*")
    if star and not re.fullmatch("[1-9][0-9]{0,3}", count.strip()):
        raise refused("size", given=size)
    several = int(count) if star else 1
    if given["label"] and several > 1:
        raise click.UsageError("one --label cannot be on several pieces: add them one by one")
    texts = _texts({"size": body, "kind": "offcut" if given["offcut"] else "", **given})
    piece = replace(typed_piece(texts, units, _called), cost=given["cost"])
    if (note := material_note(piece.material)) is not None:
        said = worded(note)
        say(f"note: {said.text} ({said.hint})", err=True)
    with opened(book_file, create=True) as book:
        _tell_put_in(put_in(book, [piece] * several, now()), units)


@click.command(short_help="Read plates and offcuts from a spreadsheet.")
@click.argument("file", type=click.Path(path_type=Path), shell_complete=any_file)
@click.option("--material", help="Material of rows that name none.")
@click.option("--thickness", metavar="LENGTH", help="Thickness of rows that name none.")
@click.option("--place", default="", help="Where rows lie that do not say.")
@click.option("--sheet", help="Sheet of a workbook.")
@click.option("--try", "only_try", is_flag=True, help="Show what would be put in, and put in nothing.")
@units_option
@book_option
def read(
    file: Path,
    material: str | None,
    thickness: str | None,
    place: str,
    sheet: str | None,
    only_try: bool,
    units: Literal["mm", "in"],
    book_file: Path | None,
) -> None:
    """Read plates and offcuts from a list: CSV or workbook (.xlsx), a row for each, or for several alike.

    All rows are put in, or none.
    """
    from stripplan.book.pieces import add as put_in
    from stripplan.cli.rack.rows import piece_table
    from stripplan.cli.screen import show
    from stripplan.files.stock.read import Given, read_stock

    thick = None if thickness is None else sizes(thickness, units, (1,))[0]
    listed = read_stock(file, Given(units, material, thick, place), sheet=sheet)
    for note in listed.notes:
        say(f"note: {note.sentence()}", err=True)
    if only_try:
        show(piece_table(listed.pieces, units))
        say(f"{len(listed.pieces)} pieces; nothing was put in")
        return
    with opened(book_file, create=True) as book:
        _tell_put_in(put_in(book, listed.pieces, now()), units)


@click.command(short_help="Put offcuts in by the codes of their labels.")
@click.argument("codes", nargs=-1, metavar="[CODE ...]")
@click.option(
    "--plan-file",
    type=click.Path(path_type=Path),
    metavar="PLAN.json",
    help="The plan of the labels, where the book does not know it.",
)
@click.option("--place", default="", help="Where they lie.")
@book_option
def scan(codes: tuple[str, ...], plan_file: Path | None, place: str, book_file: Path | None) -> None:
    """Put offcuts in by what the codes of their labels say; left out, a code a line is read, as a scanner types it.

    A code names a plan and a piece (`stripplan:PLAN:PIECE`); size and material come from the plan, which the book knows
    or --plan-file names. What is in the book already is told, with its place.
    """
    words = codes or tuple(line.strip() for line in sys.stdin if line.strip())
    with opened(book_file, create=True) as book:
        for word in words:
            _scanned(book, word, plan_file, place)


@click.command(short_help="Put right what the book says of a piece.")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE ...")
@click.option("--size", metavar="LENGTHxWIDTHxTHICKNESS", help="Size.")
@click.option("--material", help="Material or grade.")
@click.option("--batch", help="Batch or heat.")
@click.option("--cost", type=click.FloatRange(0), help="What one piece costs or is worth.")
@click.option("--place", help="Where it lies.")
@click.option("--edges", help=_EDGES)
@click.option("--rolling", type=_ROLLING, help="Rolling direction.")
@click.option("--measured/--not-measured", default=None, help="Whether it was measured.")
@click.option("--out-of-square", metavar="LENGTH", help="How far an end is out of square over the width.")
@click.option("--note", help="Anything else.")
@click.option("--label", help="What the code of a label on it says.")
@units_option
@book_option
def change(
    pieces: tuple[str, ...],
    units: Literal["mm", "in"],
    book_file: Path | None,
    **given: Any,
) -> None:
    """Put right what the book says of pieces: where they lie, what they cost, their measured size."""
    from stripplan.book.pieces import change as put_right
    from stripplan.files.stock.typed import typed_change

    values = typed_change(_texts(given), units, _called)
    if given["cost"] is not None:
        values["cost"] = given["cost"]
    if not values:
        raise click.UsageError("say what to change: --place, --size, --cost ...")
    with opened(book_file) as book:
        with book.reading() as connection:
            numbers = pieces_named(connection, pieces)
        _tell(put_right(book, numbers, values, now()), units)


def _scanned(book: Database, code: str, plan_file: Path | None, place: str) -> None:
    from stripplan.book.labels import label_of, labelled, offcut_of
    from stripplan.book.pieces import add as put_in

    there = labelled(book, code)
    if there is not None:
        say(f"{there.name} is in the book already: {there.place or there.state.replace('_', ' ')}")
        return
    label = label_of(code)
    if plan_file is None:
        from stripplan.book.plans import plan_text_of

        if plan_text_of(book, label.plan) is None:
            raise refused("code_no_plan", plan=label.plan)
    plan, whose, _ = plan_named(book, label.plan if plan_file is None else str(plan_file))
    if whose != label.plan:
        raise refused("other_plan", found=whose, plan=label.plan)
    _tell_put_in(put_in(book, [replace(offcut_of(plan, label), place=place)], now()), plan.job.units)


def _called(field: str) -> str:
    """What the options call a field of a piece."""
    return {"size": "", "added": "--since", "code": "--label"}.get(field, f"--{field.replace('_', '-')}")


def _texts(given: Mapping[str, Any]) -> dict[str, str]:
    """Options as they are typed, by field of a piece; the cost is a figure already."""
    names = {"label": "code", "since": "added"}
    return {
        names.get(key, key): ("yes" if value else "no") if isinstance(value, bool) else value
        for key, value in given.items()
        if value is not None and key not in ("cost", "offcut")
    }


def _tell_put_in(pieces: Iterable[RackPiece], units: str) -> None:
    some = tuple(pieces)
    _tell(some, units)
    say("Write its number on each piece." if len(some) > 1 else "Write the number on the piece.")


def _tell(pieces: Iterable[RackPiece], units: str) -> None:
    from stripplan.cli.rack.rows import piece_table
    from stripplan.cli.screen import show

    several = tuple(pieces)
    show(piece_table(several[:20], units))
    if len(several) > 20:
        say(f"and {len(several) - 20} more, up to {several[-1].name}")
