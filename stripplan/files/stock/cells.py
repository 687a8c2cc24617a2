"""Figures and words about a piece of the rack, as people write them in a list or a form, one by one.

Each raises an InputError that names the place, here `where`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import cast, get_args

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.files.toml.quantities import refused_unit
from stripplan.model.plate import EdgeState, PlateRolling
from stripplan.model.rack.piece import CUT, MILL, Edges, PieceKind
from stripplan.wording.message import length as quantity
from stripplan.wording.quantity import UnitError, parse_sides

LONGEST, THICKEST = 20_000.0, 200.0
"""No plate of the trade is longer or thicker [mm]: common practice, no source."""
_WORDS: Mapping[PieceKind, tuple[str, ...]] = {
    "plate": ("plate", "sheet", "full", "full sheet", "new"),
    "offcut": ("offcut", "off-cut", "rest", "remnant", "drop"),
}
_KINDS = {word: kind for kind, words in _WORDS.items() for word in words}
_YES, _NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "-")
_MONEY = re.compile(r"[^0-9.,-]{0,4}?\s*([0-9]{1,9})(?:[.,]([0-9]{1,2}))?\s*[^0-9.,]{0,4}")
_DAYS = (re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})"), re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})"))


def kind_in(said: str, where: str) -> PieceKind:
    """Plate or offcut; a plate where nothing is said.

    >>> kind_in("Rest", "row 2"), kind_in("", "row 3")
    ('offcut', 'plate')
    """
    if said and said.lower() not in _KINDS:
        raise InputError(fault("stock.kind", where, said=shortened(said)))
    return _KINDS.get(said.lower(), "plate")


def money_in(said: str, where: str) -> float | None:
    """Money for one piece, None where nothing is said. What could be thousands or thousandths is refused.

    >>> money_in("113,50", "row 2"), money_in("EUR 45", "row 3"), money_in("", "row 4")
    (113.5, 45.0, None)
    """
    if not said:
        return None
    found = _MONEY.fullmatch(said)
    if found is None:
        raise InputError(fault("stock.cost", where, said=shortened(said)))
    return float(f"{found[1]}.{found[2] or 0}")


def edges_in(said: str, where: str, *, offcut: bool) -> Edges:
    """States of the four edges: one word for all, or four; left out: mill, of an offcut cut.

    >>> edges_in("mill, cut, cut, dressed", "row 2", offcut=True)
    ('mill', 'cut', 'cut', 'dressed')
    """
    words = re.split(r"[\s,;/]+", said.strip().lower()) if said.strip() else []
    if not words:
        return CUT if offcut else MILL
    known: Mapping[str, EdgeState] = {each: each for each in get_args(EdgeState)}
    states = [known[each] for each in words if each in known]
    if len(states) != len(words) or len(states) not in (1, 4):
        raise InputError(fault("stock.edges", where, said=shortened(said)))
    one, two, three, four = states * (4 if len(states) == 1 else 1)
    return one, two, three, four


def rolling_in(said: str, where: str) -> PlateRolling:
    """Rolling direction; none where nothing is said."""
    word = said.lower() or "none"
    if word not in get_args(PlateRolling):
        raise InputError(fault("stock.rolling", where, said=shortened(word)))
    return cast(PlateRolling, word)


def yes_or_no(said: str, where: str) -> bool:
    """Yes or no; no where nothing is said."""
    if said and said.lower() not in (*_YES, *_NO):
        raise InputError(fault("stock.yes_or_no", where, said=shortened(said)))
    return said.lower() in _YES


def day_in(said: str, where: str) -> str:
    """A day (ISO 8601), "" where nothing is said.

    >>> day_in("31.3.2026", "row 2"), day_in("", "row 3")
    ('2026-03-31', '')
    """
    if not said:
        return ""
    iso, german = (each.fullmatch(said) for each in _DAYS)
    year, month, day = (
        (iso[1], iso[2], iso[3]) if iso else (german[3], german[2], german[1]) if german else ("0", "0", "0")
    )
    try:
        return date(int(year), int(month), int(day)).isoformat()
    except ValueError:
        raise InputError(fault("stock.day", where, said=shortened(said))) from None


def sides_in(said: str, where: str, units: str, counts: tuple[int, ...]) -> list[float]:
    """Lengths with an x between them [mm], as many as are one of the counts, each above 0.

    >>> sides_in("600 x 400", "row 2", "mm", (2, 3))
    [600.0, 400.0]
    """
    try:
        found = list(parse_sides(said, units)) if said else []
    except UnitError as error:
        raise InputError(refused_unit(error).fault(where)) from None
    if len(found) not in counts or not all(each > 0 for each in found):
        if counts == (1,):
            raise InputError(fault("stock.thickness_alone", where, given=shortened(said)))
        if counts == (2,):
            raise InputError(fault("stock.two_sides", where, given=shortened(said)))
        if counts == (3,):
            raise InputError(fault("stock.three_sides", where, given=shortened(said)))
        raise InputError(fault("stock.two_or_three_sides", where, given=shortened(said)))
    return found


def likely(sides: Sequence[float], where: str) -> None:
    """Raises InputError for length, width and, where it is known, thickness that no plate has: a slip of the hand."""
    if max(sides[:2]) > LONGEST or any(each > min(THICKEST, *sides[:2]) for each in sides[2:]):
        raise InputError(fault("stock.unlikely", where, sides=tuple(map(quantity, sides))))
