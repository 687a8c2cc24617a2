"""The rack: what lies there, what it is worth, how old it is; pieces of it are taken into a new list to plan from."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState
from stripplan.web.store.stock_book import opened, usual
from stripplan.web.views.typed_list import PIECES
from stripplan.wording.message import Fact, Facts
from stripplan.wording.quantity import show_length

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


def plates_of(words: str) -> list[dict[str, Any]]:
    """Pieces of the rack as plates of a list, each named by its number, so that a part can be bound to it. Raises
    InputError.
    """
    with opened(writes=False) as book:
        found = named_pieces(book, re.split("[,\\s]+", words.strip()))
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


def refused(says: str, **facts: Fact) -> InputError:
    """What was asked of the rack and cannot be, as an error."""
    return InputError(Fault("option", "", Facts(**facts), says=f"book.{says}"))


def named_pieces(book: Database, words: list[Any]) -> tuple[RackPiece, ...]:
    """Pieces by what they are called. Raises InputError."""
    from stripplan.book.pieces import numbered
    from stripplan.model.rack.piece import piece_number

    numbers = list[int]()
    for word in words[:MOST]:
        number = piece_number(str(word))
        if number is None:
            raise refused("no_piece_name", given=str(word)[:40])
        numbers.append(number)
    if not numbers:
        raise refused("piece", said="choose a piece")
    with book.reading() as connection:
        return numbered(book, connection, list(dict.fromkeys(numbers)))


# --- what is shown --------------------------------------------------------------------------------------------------


def _shown(asked: Mapping[str, str], units: System) -> dict[str, Any]:
    from stripplan.book.pieces import Wanted, first_wanted, rack_worth
    from stripplan.book.plans import kept_plans
    from stripplan.sheets.rows.rack_piece import shape_shown, size_shown
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
        "batches": any(each.batch for each in found),
        "pieces": [
            {
                "piece": each,
                "size": size_shown(each, units),
                "shape": shape_shown(each, units),
                "mass": show_mass(each.mass, units),
                "age": age(each.added, today),
                "for": (each.job or names.get(each.plan, "")) + (", being cut" if each.cuts else ""),
            }
            for each in found
        ],
        "worth": [
            {
                "row": each,
                "thickness": show_length(each.thickness, units),
                "mass": show_mass(each.mass, units),
                "oldest": age(each.oldest, today),
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
    from stripplan.book.plans import kept_plans, plan_text_of, plates_there
    from stripplan.files.plan.read import plan_from
    from stripplan.model.rack.buying import to_buy

    texts = {each.id: plan_text_of(book, each.id) for each in kept_plans(book, done=False)}
    known = {tag: plan_from(text, name=f"plan {tag}") for tag, text in texts.items() if text is not None}
    return to_buy([(plan, plates_there(book, tag)) for tag, plan in known.items()])


def _least(text: str, units: System) -> tuple[float, float] | None:
    from stripplan.files.stock.cells import sides_in

    if not text:
        return None
    length, width = sides_in(text, "room for", units, (2,))
    return length, width


def age(day: str, today: date) -> str:
    """How long a piece has lain there."""
    try:
        days = (today - date.fromisoformat(day[:10])).days
    except ValueError:
        return ""
    return "today" if days <= 0 else "1 day" if days == 1 else f"{days} days"


routes = [Route("/rack", view)]
