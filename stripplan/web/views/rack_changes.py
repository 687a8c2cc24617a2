"""What is changed on the rack from the page: pieces typed by hand or read from a list are put in, one is found by its
label, put right, reserved, given back, written off; each as `stripplan rack` does it, and refused in the same words.
"""

from __future__ import annotations

import asyncio
import base64
import binascii
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from itertools import groupby
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store.plan_store import PlanStore
from stripplan.web.store.stock_book import now, opened, usual
from stripplan.web.views.rack import LONGEST, System, age, named_pieces, refused
from stripplan.web.worker import Task
from stripplan.wording.message import Facts
from stripplan.wording.show import Units, worded

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.model.rack.piece import RackPiece

BARE = ("mm", "cm", "m", "in", "ft")
"""Units that bare numbers of a list may have."""
LISTS = (".csv", ".tsv", ".txt", ".xlsx")
MOST_LINES = 200
"""Lines of a list that are shown before it is put in."""
MOST_LETTERS = 2000
"""Letters of a field at the most: the corners of a piece are the longest."""
CALLED = {
    "size": "size",
    "cost": "worth",
    "place": "lies",
    "out_of_square": "out of square",
    "code": "label",
    "added": "here since",
    "outline": "corners",
    "rolling": "rolling direction",
}
"""What the page calls a field of a piece, where it is not called by its key."""


# --- put in ---------------------------------------------------------------------------------------------------------


async def add(request: Request) -> Response:
    """Put pieces in: size, material, and what else is known of them."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    said = await shared.once(given.get("once"), lambda: _put_in(_texts(given), _units(given)))
    return JSONResponse({"state": "done", "said": said})


def _put_in(texts: dict[str, str], units: System) -> str:
    from stripplan.book.pieces import add as put_in
    from stripplan.files.stock.typed import material_note, typed_piece

    faults, count = list[Fault](), texts.get("count", "") or "1"
    if re.fullmatch("[1-9][0-9]{0,2}", count) is None:
        said = f"{count} is no number of pieces from 1 to 999"
        faults.append(Fault("option", "how many", Facts(said=said), says="book.piece", place=("count",)))
    with _read_in(units):
        try:
            piece = typed_piece(texts, units, _called)
        except InputError as error:
            raise InputError((*error.faults, *faults)) from None
        if faults:
            raise InputError(faults)
    if piece.code and int(count) > 1:
        raise refused("code_on_several", code=piece.code, count=int(count))
    with opened(create=True) as book:
        put = put_in(book, [piece] * int(count), now())
    note = material_note(piece.material)
    if note is None:
        return _said_put_in(put)
    told = worded(note)
    return f"{_said_put_in(put)} Mind: {told.text} ({told.hint})."


async def listed(request: Request) -> Response:
    """A list of plates and offcuts as it is understood, to be looked at; with `take` all of it is put in, or none."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    name, raw = _list_sent(given)
    units = _units(given)
    how = _texts(given.get("how"))
    bare = how["units"] if how.get("units") in BARE else units
    pieces, notes = await shared.workers.do(Task("stock_listed", (name, raw, bare, units, how)))
    if given.get("take") is not True:
        return JSONResponse({"state": "listed", "notes": notes, **_lines(pieces, units)})

    def taken() -> str:
        from stripplan.book.pieces import add as put_in

        with opened(create=True) as book:
            return _said_put_in(put_in(book, pieces, now()))

    return JSONResponse({"state": "done", "said": await shared.once(given.get("once"), taken)})


def _list_sent(given: Mapping[str, Any]) -> tuple[str, bytes]:
    name, data = PurePath(str(given.get("name", "")).replace("\\", "/")).name[-60:], given.get("data")
    if not isinstance(data, str):
        raise InputError(Fault("request", "the page"))
    if not name.lower().endswith(LISTS):
        raise InputError(Fault("list", name, says="no_stock_list"))
    try:
        return name, base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        raise InputError(Fault("request", "the page")) from None


def _lines(pieces: Iterable[RackPiece], units: System) -> dict[str, Any]:
    """What a list holds, a line for each row of it; what none of them says has no column."""
    from stripplan.sheets.rows.rack_piece import shape_shown, size_shown

    alike = [(piece, len(list(some))) for piece, some in groupby(pieces)]
    lines = [
        {
            "": str(count),
            "kind": piece.kind,
            f"size, {units}": size_shown(piece, units),
            "material": piece.material,
            "batch": piece.batch,
            "lies": piece.place,
            "worth": "" if piece.cost is None else f"{piece.cost:.2f}",
            "largest in": shape_shown(piece, units),
            "for": piece.job,
            "label": piece.code,
            "note": piece.note,
        }
        for piece, count in alike
    ]
    shown = lines[:MOST_LINES]
    heads = [head for head in (lines[0] if lines else ()) if any(each[head] for each in lines)]
    return {
        "count": sum(count for _, count in alike),
        "more": len(lines) - len(shown),
        "heads": heads,
        "rows": [[each[head] for head in heads] for each in shown],
    }


async def from_label(request: Request) -> Response:
    """Put in the offcut on which a label of ours is stuck: size and material come from its plan."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    texts = _texts(given)

    def put() -> str:
        from dataclasses import replace

        from stripplan.book.pieces import add as put_in

        offcut = _of_plan(shared.store, texts.get("code", ""))
        with opened(create=True) as book:
            return _said_put_in(put_in(book, [replace(offcut, place=texts.get("place", "")[:LONGEST])], now()))

    return JSONResponse({"state": "done", "said": await shared.once(given.get("once"), put)})


def _of_plan(store: PlanStore, code: str) -> RackPiece:
    """The offcut that a label is stuck on, by the plan that the book or the page knows. Raises InputError."""
    from stripplan.book.labels import label_of, offcut_of
    from stripplan.book.plans import plan_text_of
    from stripplan.files.plan.read import plan_from

    label, text = label_of(code), None
    if usual().exists():
        with opened(writes=False) as book:
            text = plan_text_of(book, label.plan)
    if text is None:
        try:
            text = store.plan_text(label.plan)
        except InputError:
            raise refused("code_no_plan", plan=label.plan) from None
    return offcut_of(plan_from(text, name=f"plan {label.plan}"), label)


def _said_put_in(put: Iterable[RackPiece]) -> str:
    from stripplan.model.rack.piece import numbers_said

    numbers = [each.number for each in put]
    where = "its number on each piece" if len(numbers) > 1 else "it on the piece"
    return f"{numbers_said(numbers)} put in: write {where}."


# --- found ----------------------------------------------------------------------------------------------------------


async def find(request: Request) -> Response:
    """The piece that carries a label or number, as it stands in the book; or what a label of ours is stuck on that is
    not in it yet."""
    shared: SharedState = request.app.state.shared
    named = request.query_params.get("named", "").strip()[:LONGEST]
    units = _units(request.query_params)
    return JSONResponse(await asyncio.to_thread(_found, shared.store, named, units))


def _found(store: PlanStore, named: str, units: System) -> dict[str, Any]:
    from stripplan.book.labels import labelled
    from stripplan.book.pieces import still_there
    from stripplan.files.stock.typed import texts_of
    from stripplan.model.rack.piece import piece_number
    from stripplan.sheets.rows.rack_piece import size_shown

    if not named:
        raise refused("piece", said="scan a label, or type the number of a piece")
    if usual().exists():
        with opened(writes=False) as book:
            piece = labelled(book, named)
            if piece is None and piece_number(named) is not None:
                (piece,) = named_pieces(book, [named])
            if piece is not None:
                still_there(book, [piece])
                return {
                    "state": "found",
                    "name": piece.name,
                    "texts": texts_of(piece, units),
                    "about": _about(piece, units),
                    "happened": _happened(book, piece),
                }
    if not named.startswith("stripplan:"):
        raise refused("no_label", given=named[:60])
    offcut = _of_plan(store, named)
    said = (
        f"{size_shown(offcut, units)} {offcut.material}, an offcut of plan {offcut.from_plan}, is not on the rack yet."
    )
    return {"state": "not there", "code": named, "said": said}


def _about(piece: RackPiece, units: System) -> list[str]:
    """What is known of a piece and is not typed."""
    from stripplan.sheets.rows.rack_piece import shape_shown
    from stripplan.wording.figures import show_mass

    lain = age(piece.added, datetime.now().astimezone().date())
    lines = [
        ", ".join(filter(None, (piece.kind, show_mass(piece.mass, units), f"on the rack: {lain}" if lain else "")))
    ]
    if piece.outline:
        shape = shape_shown(piece, units)
        lines.append(
            f"Slanted edges ({shape}): the size is the largest rectangle in it. A new size says that it was squared up."
        )
    if piece.from_plan:
        lines.append(f"An offcut of plan {piece.from_plan}.")
    if piece.promised:
        lines.append(f"Promised to {piece.promised}.")
    return lines


def _happened(book: Database, piece: RackPiece) -> list[str]:
    """What happened to a piece, the newest last."""
    from stripplan.book.history import entries
    from stripplan.sheets.rows.rack_piece import happened

    return [happened(each.made, each.what, each.plan, each.note) for each in entries(book, piece=piece.number, most=8)]


# --- changed --------------------------------------------------------------------------------------------------------


async def change(request: Request) -> Response:
    """Put right what the book says of pieces, reserve them for a job, give them back, or write them off."""
    given, what = await sent(request), request.path_params["what"]
    said = await asyncio.to_thread(_changed, what, given)
    return JSONResponse({"state": "done", "said": said})


def _changed(what: str, given: Mapping[str, Any]) -> str:
    from stripplan.book.pieces import change as put_right
    from stripplan.book.pieces import write_off
    from stripplan.book.reservations import release, reserve
    from stripplan.files.stock.typed import typed_change
    from stripplan.model.rack.piece import numbers_said

    words, texts, units = given.get("pieces"), _texts(given), _units(given)
    with opened() as book:
        numbers = [each.number for each in named_pieces(book, words if isinstance(words, list) else [])]
        named = numbers_said(numbers)
        if what == "change":
            with _read_in(units):
                values = typed_change(_texts(given.get("values")), units, _called)
            if not values:
                raise refused("piece", said="nothing was typed anew")
            put_right(book, numbers, values, now())
            return f"{named}: put right."
        if what == "reserve":
            job = texts.get("job", "")[:LONGEST]
            if not job:
                raise refused("piece", said="name the job that it is for")
            reserve(book, numbers, job, now())
            return f"{named}: reserved for {job}."
        if what == "release":
            release(book, numbers, now())
            return f"{named}: free."
        if what == "write-off":
            write_off(book, numbers, now(), texts.get("why", "")[:LONGEST])
            return f"{named}: off the rack."
    raise refused("piece", said=f"{what} is nothing that can be done with pieces")


def _texts(given: Any) -> dict[str, str]:
    """The fields of a form; none of what is no form."""
    if not isinstance(given, Mapping):
        return {}
    return {key: each.strip()[:MOST_LETTERS] for key, each in given.items() if isinstance(each, str)}


def _units(given: Mapping[str, Any]) -> System:
    return "in" if given.get("units") == "in" else "mm"


@contextmanager
def _read_in(units: System) -> Iterator[None]:
    """Faults are told in the units of the page."""
    try:
        yield
    except InputError as error:
        raise error.in_units(Units(units, exact=True)) from None


def _called(field: str) -> str:
    return CALLED.get(field, field)


routes = [
    Route("/rack/add", add, methods=["POST"]),
    Route("/rack/list", listed, methods=["POST"]),
    Route("/rack/label", from_label, methods=["POST"]),
    Route("/rack/piece", find),
    Route("/rack/pieces/{what}", change, methods=["POST"]),
]
