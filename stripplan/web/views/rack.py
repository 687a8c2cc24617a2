"""The rack: what lies there, what it is worth and how old it is; pieces are put in, reserved, given back, written off,
and taken into a new list to plan from."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store.stock_book import now, opened, usual
from stripplan.web.views.typed_list import PIECES
from stripplan.wording.message import Facts
from stripplan.wording.quantity import UnitError, parse_length, show_length

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.model.rack.piece import RackPiece

System = Literal["mm", "in"]
MOST = 500
"""Pieces that one request names at the most, and that one page shows."""
LONGEST = 200
"""Letters of a text at the most."""


async def view(request: Request) -> Response:
    """The rack, searched."""
    shared: SharedState = request.app.state.shared
    asked = {key: value.strip()[:LONGEST] for key, value in request.query_params.items()}
    units: System = "in" if asked.get("units") == "in" else "mm"
    return shared.page("rack.html", **await asyncio.to_thread(_shown, asked, units))


async def add(request: Request) -> Response:
    """Put pieces in: size, material, and what else is known of them."""
    given = await sent(request)
    put = await asyncio.to_thread(_put_in, given)
    return JSONResponse({"state": "done", "said": f"{put} put in."})


async def change(request: Request) -> Response:
    """Reserve pieces for a job, give them back, or write them off."""
    given, what = await sent(request), request.path_params["what"]
    said = await asyncio.to_thread(_changed, what, given)
    return JSONResponse({"state": "done", "said": said})


def plates_of(words: str) -> list[dict[str, Any]]:
    """Pieces of the rack as plates of a list, each named by its number, so that a part can be bound to it. Raises
    InputError.
    """
    with opened(writes=False) as book:
        found = _named(book, re.split("[,\\s]+", words.strip()))
    costs = all(each.cost is not None for each in found)
    return [_plate(each, costs=costs) for each in found]


def _plate(piece: RackPiece, *, costs: bool) -> dict[str, Any]:
    plate: dict[str, Any] = {
        "name": piece.name,
        PIECES: piece.name,
        "length": piece.length,
        "width": piece.width,
        "thickness": piece.thickness,
        "material": piece.material,
        "quantity": 1,
        "offcut": piece.kind == "offcut",
        "measured": piece.measured,
        "edges": list(piece.edges),
    }
    if costs:  # a list has prices for all of its plates or for none
        plate["cost"] = piece.cost
    return {key: value for key, value in plate.items() if value is not False}


def _refused(says: str, **facts: str) -> InputError:
    return InputError(Fault("option", "", Facts(**facts), says=f"book.{says}"))


# --- what is shown --------------------------------------------------------------------------------------------------


def _shown(asked: Mapping[str, str], units: System) -> dict[str, Any]:
    from stripplan.book.pieces import Wanted, first_wanted, rack_worth
    from stripplan.book.plans import kept_plans
    from stripplan.wording.figures import show_mass

    base = {"asked": asked, "units": units, "book": str(usual())}
    if not usual().exists():
        return {**base, "pieces": [], "worth": [], "buying": [], "empty": True}
    today = datetime.now().astimezone().date()
    with opened(writes=False) as book:
        worth = rack_worth(book)
        least = _least(asked.get("least", ""), units)
        reserved = {"free": False, "reserved": True}.get(asked.get("state", ""))
        kind = asked.get("kind") if asked.get("kind") in ("plate", "offcut") else None
        wanted = Wanted(text=asked.get("text", ""), least=least, kind=kind, reserved=reserved)
        found, there = first_wanted(book, wanted, MOST)
        names = {each.id: each.job for each in kept_plans(book)}
        buying = _to_buy(book)
    return {
        **base,
        "empty": not worth,
        "there": there,
        "pieces": [
            {
                "piece": each,
                "size": " × ".join(show_length(one, units) for one in (each.length, each.width, each.thickness)),
                "mass": show_mass(each.mass, units),
                "age": _age(each.added, today),
                "for": (each.job or names.get(each.plan, "")) + (", being cut" if each.cuts else ""),
            }
            for each in found
        ],
        "worth": [
            {
                "row": each,
                "thickness": show_length(each.thickness, units),
                "mass": show_mass(each.mass, units),
                "oldest": _age(each.oldest, today),
            }
            for each in worth
        ],
        "buying": [
            {
                "row": each,
                "size": " × ".join(show_length(one, units) for one in (each.length, each.width, each.thickness)),
                "mass": show_mass(each.mass, units),
            }
            for each in buying
        ],
    }


def _to_buy(book: Database) -> tuple[Any, ...]:
    """What the plans of the book that are not done need and the rack has not."""
    from stripplan.book.plans import kept_plans, plan_text_of
    from stripplan.files.plan.read import plan_from
    from stripplan.model.rack.buying import to_buy

    plans = [(each, plan_text_of(book, each.id)) for each in kept_plans(book, done=False)]
    return to_buy([(plan_from(text, name=f"plan {each.id}"), each.plates) for each, text in plans if text is not None])


def _least(text: str, units: System) -> tuple[float, float] | None:
    if not text:
        return None
    length, width = _sizes(text, units, 2)
    return length, width


def _age(day: str, today: date) -> str:
    """How long a piece has lain there."""
    try:
        days = (today - date.fromisoformat(day[:10])).days
    except ValueError:
        return ""
    return "today" if days <= 0 else "1 day" if days == 1 else f"{days} days"


# --- what is changed ------------------------------------------------------------------------------------------------


def _sizes(text: str, units: System, count: int) -> list[float]:
    """Lengths of a word like 2000 x 1000 x 6 [mm]. Raises InputError."""
    try:
        found = [parse_length(each.strip(), units) for each in re.split("[xX×]", text)]
    except UnitError as error:
        raise _refused("piece", said=f"{error.said}: {error.hint}" if error.hint else error.said) from None
    if len(found) != count or not all(each > 0 for each in found):
        wanted = "length x width, as 600x400" if count == 2 else "length x width x thickness, as 2000x1000x6"
        raise _refused("piece", said=f"{text!r} is no size: write {wanted}")
    return found


def _put_in(given: Mapping[str, Any]) -> str:
    from stripplan.book.pieces import add as put_in
    from stripplan.model.rack.piece import CUT, MILL, RackPiece, numbers_said

    text = {key: str(value).strip()[:LONGEST] for key, value in given.items()}
    units: System = "in" if text.get("units") == "in" else "mm"
    length, width, thickness = _sizes(text.get("size", ""), units, 3)
    offcut, cost = text.get("kind") == "offcut", text.get("cost", "")
    if cost and re.fullmatch(r"\d+([.,]\d+)?", cost) is None:
        raise _refused("piece", said=f"the cost {cost} is no number")
    count = text.get("count", "") or "1"
    if re.fullmatch("[1-9][0-9]{0,2}", count) is None:
        raise _refused("piece", said=f"{count} is no number of pieces from 1 to 999")
    try:
        piece = RackPiece(
            kind="offcut" if offcut else "plate",
            length=length,
            width=width,
            thickness=thickness,
            material=text.get("material", ""),
            cost=float(cost.replace(",", ".")) if cost else None,
            place=text.get("place", ""),
            edges=CUT if offcut else MILL,
            measured=given.get("measured") is True,
            note=text.get("note", ""),
        )
    except ValueError as error:
        raise _refused("piece", said=str(error).partition(": ")[2] or str(error)) from None
    with opened(create=True) as book:
        put = put_in(book, [replace(piece)] * int(count), now())
    return numbers_said([each.number for each in put])


def _changed(what: str, given: Mapping[str, Any]) -> str:
    from stripplan.book.pieces import write_off
    from stripplan.book.reservations import release, reserve
    from stripplan.model.rack.piece import numbers_said

    words = given.get("pieces")
    with opened() as book:
        numbers = [each.number for each in _named(book, words if isinstance(words, list) else [])]
        named = numbers_said(numbers)
        if what == "reserve":
            job = str(given.get("job", "")).strip()[:LONGEST]
            if not job:
                raise _refused("piece", said="name the job that it is for")
            reserve(book, numbers, job, now())
            return f"{named}: reserved for {job}."
        if what == "release":
            release(book, numbers, now())
            return f"{named}: free."
        if what == "write-off":
            write_off(book, numbers, now(), str(given.get("why", "")).strip()[:LONGEST])
            return f"{named}: off the rack."
    raise _refused("piece", said=f"{what} is nothing that can be done with pieces")


def _named(book: Database, words: list[Any]) -> tuple[RackPiece, ...]:
    """Pieces by what they are called. Raises InputError."""
    from stripplan.book.pieces import numbered
    from stripplan.model.rack.piece import piece_number

    numbers = list[int]()
    for word in words[:MOST]:
        number = piece_number(str(word))
        if number is None:
            raise _refused("no_piece_name", given=str(word)[:40])
        numbers.append(number)
    if not numbers:
        raise _refused("piece", said="choose a piece")
    with book.reading() as connection:
        return numbered(book, connection, list(dict.fromkeys(numbers)))


routes = [
    Route("/rack", view),
    Route("/rack/add", add, methods=["POST"]),
    Route("/rack/pieces/{what}", change, methods=["POST"]),
]
