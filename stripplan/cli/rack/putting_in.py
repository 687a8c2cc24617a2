"""`stripplan rack add`, `read`, `scan`, `change`: pieces into the book."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from stripplan.cli.list_options import any_file
from stripplan.cli.rack.opening import book_option, now, opened, pieces_named, plan_named, refused, sizes, units_option
from stripplan.cli.streams import say
from stripplan.wording.message import length as quantity

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.model.polygon import Outline
    from stripplan.model.rack.piece import Edges, RackPiece

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
    from stripplan.model.rack.piece import CUT, MILL, rectangle_in

    body, star, count = size.partition("*")
    if star and not re.fullmatch("[1-9][0-9]{0,3}", count.strip()):
        raise refused("size", given=size)
    outline = _outline(given["outline"], units) if given["outline"] else ()
    length, width, thickness = (
        (*rectangle_in(outline), *sizes(body, units, (1,))) if outline else sizes(body, units, (3,))
    )
    several = int(count) if star else 1
    if given["label"] and several > 1:
        raise click.UsageError("one --label cannot be on several pieces: add them one by one")
    offcut = given["offcut"] or bool(outline)
    piece = _made(
        kind="offcut" if offcut else "plate",
        length=length,
        width=width,
        thickness=thickness,
        material=given["material"],
        batch=given["batch"],
        cost=given["cost"],
        place=given["place"],
        edges=_edges(given["edges"]) if given["edges"] else CUT if offcut else MILL,
        rolling=given["rolling"],
        measured=given["measured"],
        out_of_square=_out_of_square(given["out_of_square"], units),
        note=given["note"],
        code=given["label"],
        added=_day(given["since"]),
        job=given["job"],
        outline=outline,
    )
    _doubted(piece)
    pieces: list[RackPiece] = [piece] * several
    with opened(book_file, create=True) as book:
        _tell_put_in(put_in(book, pieces, now()), units)


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
    size: str | None,
    edges: str | None,
    out_of_square: str | None,
    label: str | None,
    units: Literal["mm", "in"],
    book_file: Path | None,
    **given: Any,
) -> None:
    """Put right what the book says of pieces: where they lie, what they cost, their measured size."""
    from stripplan.book.pieces import change as put_right

    values: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
    if size is not None:
        values |= dict(zip(("length", "width", "thickness"), sizes(size, units, (2, 3)), strict=False))
        values["outline"] = ()  # it was squared up
    if edges is not None:
        values["edges"] = _edges(edges)
    if out_of_square is not None:
        values["out_of_square"] = _out_of_square(out_of_square, units)
    if label is not None:
        values["code"] = label
    if not values:
        raise click.UsageError("say what to change: --place, --size, --cost ...")
    with opened(book_file) as book:
        with book.reading() as connection:
            numbers = pieces_named(connection, pieces)
        _tell(put_right(book, numbers, values, now()), units)


def _scanned(book: Database, code: str, plan_file: Path | None, place: str) -> None:
    from stripplan.book.pieces import Wanted, number_of_code, wanted_pieces
    from stripplan.book.pieces import add as put_in
    from stripplan.model.rack.outcome import outcome
    from stripplan.model.rack.piece import piece_name

    found = re.fullmatch(r"stripplan:([0-9a-f]{8}):(.+)", code)
    if found is None:
        raise refused("code", given=code[:60])
    with book.reading() as connection:
        there = number_of_code(connection, code)
    if there is not None:
        known = wanted_pieces(book, Wanted(text=code, gone=True))
        lies = next((each.place or each.state.replace("_", " ") for each in known if each.number == there), "")
        say(f"{piece_name(there)} is in the book already: {lies}")
        return
    tag, piece = found[1], found[2]
    if plan_file is None:
        from stripplan.book.plans import plan_text_of

        if plan_text_of(book, tag) is None:
            raise refused("code_no_plan", plan=tag)
    plan, whose, _ = plan_named(book, tag if plan_file is None else str(plan_file))
    if whose != tag:
        raise refused("other_plan", found=whose, plan=tag)
    offcuts = {each.piece: each.offcut for each in outcome(plan, tag, _every()).left if each.offcut is not None}
    if piece not in offcuts:
        raise refused("code_no_piece", plan=tag, piece=piece, offcuts=tuple(offcuts))
    from dataclasses import replace

    _tell_put_in(put_in(book, [replace(offcuts[piece], place=place)], now()), plan.job.units)


def _every() -> tuple[Any, ...]:
    """A rule by which any offcut that has a label is worth keeping."""
    from stripplan.model.rack.keep import KeepRule

    return (KeepRule(size=(0.001, 0.001)),)


def _made(**fields: Any) -> RackPiece:
    from stripplan.model.rack.piece import RackPiece

    try:
        return RackPiece(**fields)
    except ValueError as error:
        raise refused("piece", said=str(error)) from None


LONGEST, THICKEST = 20_000.0, 200.0
"""No plate of the trade is longer or thicker [mm]: common practice, no source."""


def _doubted(piece: RackPiece) -> None:
    """Refuse what is a slip of the hand, and say where a material is one."""
    from stripplan.model.material import family_of, near_material

    if max(piece.length, piece.width) > LONGEST or piece.thickness > min(THICKEST, piece.length, piece.width):
        sides = (piece.length, piece.width, piece.thickness)
        raise refused("unlikely", sides=tuple(quantity(each) for each in sides))
    near = near_material(piece.material)
    if family_of(piece.material) is None and near is not None:
        say(
            f"note: {piece.material} is not known (did you mean {near}? `stripplan rack change` puts it right)",
            err=True,
        )


def _outline(text: str, units: str) -> Outline:
    from stripplan.files.stock.outline import read_outline
    from stripplan.wording.quantity import UnitError, parse_length

    try:
        return read_outline(text, "--outline", lambda each: parse_length(each, units))
    except UnitError as error:
        raise refused("piece", said=f"{error.said}: {error.hint}" if error.hint else error.said) from None


def _edges(text: str) -> Edges:
    known = {"mill": "mill", "cut": "cut", "dressed": "dressed"}
    words = [each.strip().lower() for each in re.split("[, ]+", text.strip())]
    if len(words) not in (1, 4) or not set(words) <= known.keys():
        raise click.UsageError("--edges is mill, cut or dressed: one word for all, or four with commas")
    one, two, three, four = words * (4 if len(words) == 1 else 1)
    return (one, two, three, four)  # type: ignore[return-value]


def _out_of_square(text: str | None, units: str) -> float:
    return 0.0 if text is None or text.strip() == "0" else sizes(text, units, (1,))[0]


def _day(text: str | None) -> str:
    if text is None:
        return ""
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise click.UsageError("--since is a day, as 2026-03-31") from None


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
