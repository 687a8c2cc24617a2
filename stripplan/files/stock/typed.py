"""A piece of the rack as it is typed field by field, in the shell as options and on the page in a form: texts in, what
the book keeps out, and the other way round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, fault_of, message, printable, shortened
from stripplan.files.job.in_units import System, shown_length
from stripplan.files.stock.cells import day_in, edges_in, kind_in, likely, money_in, rolling_in, sides_in, yes_or_no
from stripplan.files.stock.outline import read_outline
from stripplan.files.toml.quantities import ValueRefusedError, read_name, refused_unit
from stripplan.model.material import family_of, near_material
from stripplan.model.rack.piece import RackPiece, rectangle_in
from stripplan.wording.message import Message
from stripplan.wording.quantity import UnitError, parse_length

Called = Callable[[str], str]
"""What a person calls a field."""
_SIDES = ("length", "width", "thickness")
_PLAIN = ("batch", "place", "note", "code", "job")
_CHANGED = (
    "size", "material", "batch", "cost", "place", "edges", "rolling", "measured", "out_of_square", "note", "code",
)  # fmt: skip
"""What may be typed anew of a piece that is in the book."""


def typed_piece(texts: Mapping[str, str], units: System, called: Called = str) -> RackPiece:
    """A piece by its fields: size, material, kind, batch, cost, place, edges, outline, rolling, measured,
    out_of_square, note, code, job and added; all but size and material may be left out. With an outline the size is its
    thickness alone. Raises InputError with every fault, each with its field as place.

    >>> typed_piece({"size": "2000 x 1000 x 6", "material": "S235"}, "mm").width
    1000.0
    """
    faults, fields = list[Fault](), dict[str, Any]()

    def take(key: str, read: Callable[[str, str], Any]) -> None:
        with _gathered(faults, key):
            fields[key] = read(texts.get(key, "").strip(), called(key))

    take("outline", lambda said, where: _outline(said, where, units))
    take("kind", lambda said, where: "offcut" if fields.get("outline") else kind_in(said, where))
    take("size", lambda said, where: sides_in(said, where, units, (1,) if fields.get("outline") else (3,)))
    take("material", _material)
    take("cost", money_in)
    take("edges", lambda said, where: edges_in(said, where, offcut=fields.get("kind") == "offcut"))
    take("rolling", rolling_in)
    take("measured", yes_or_no)
    take("out_of_square", lambda said, where: _out_of_square(said, where, units))
    take("added", day_in)
    if faults:
        raise InputError(faults)
    size = fields.pop("size")
    length, width, thickness = (*rectangle_in(fields["outline"]), *size) if fields["outline"] else size
    with _gathered(faults, "size"):
        likely((length, width, thickness), called("size"))
    if faults:
        raise InputError(faults)
    fields |= {key: printable(texts.get(key, "")) for key in _PLAIN}
    return RackPiece(length=length, width=width, thickness=thickness, **fields)


def typed_change(texts: Mapping[str, str], units: System, called: Called = str) -> dict[str, Any]:
    """What is to be said of pieces from now on, by field of the book, of the fields that are typed: a text that is
    empty empties the field. A new size says that a piece with slanted edges was squared up. Raises InputError with
    every fault.

    >>> typed_change({"size": "610x410", "cost": "", "place": "bay 2"}, "mm")
    {'length': 610.0, 'width': 410.0, 'outline': (), 'cost': None, 'place': 'bay 2'}
    """
    faults, found = list[Fault](), dict[str, Any]()
    reads: dict[str, Callable[[str, str], Any]] = {
        "material": _material,
        "cost": money_in,
        "edges": _states,
        "rolling": rolling_in,
        "measured": yes_or_no,
        "out_of_square": lambda said, where: _out_of_square(said, where, units),
        **dict.fromkeys(_PLAIN, lambda said, _: printable(said)),
    }
    for key in _CHANGED:
        if key not in texts:
            continue
        with _gathered(faults, key):
            said = texts[key].strip()
            if key == "size":
                sides = sides_in(said, called(key), units, (2, 3))
                likely(sides, called(key))
                found |= dict(zip(_SIDES, sides, strict=False)) | {"outline": ()}
            else:
                found[key] = reads[key](said, called(key))
    if faults:
        raise InputError(faults)
    return found


def texts_of(piece: RackPiece, units: System) -> dict[str, str]:
    """What a form shows of a piece: its fields as they could be typed.

    >>> texts_of(RackPiece(length=609.6, width=200, thickness=6, material="S235"), "in")["size"]
    '24 x 200 mm x 6 mm'
    """
    one, *others = piece.edges
    edges = one if all(each == one for each in others) else ", ".join(piece.edges)
    return {
        "size": " x ".join(str(shown_length(each, units)) for each in (piece.length, piece.width, piece.thickness)),
        "material": piece.material,
        "cost": "" if piece.cost is None else f"{piece.cost:.2f}",
        "edges": edges,
        "rolling": piece.rolling,
        "measured": "yes" if piece.measured else "no",
        "out_of_square": str(shown_length(piece.out_of_square, units)) if piece.out_of_square else "",
        **{key: str(getattr(piece, key)) for key in _PLAIN if key != "job"},
    }


def material_note(material: str) -> Message | None:
    """What is to be said of a material that is none of the known ones, but like one."""
    near = near_material(material)
    if family_of(material) is not None or near is None:
        return None
    return message("stock.material", given=shortened(material), near=near)


@contextmanager
def _gathered(faults: list[Fault], key: str) -> Iterator[None]:
    """Faults of a field are kept, each with the field as its place."""
    try:
        yield
    except InputError as error:
        faults += [replace(each, place=(key,)) for each in error.faults]


def _outline(said: str, where: str, units: System) -> Any:
    try:
        return read_outline(said, where, lambda each: parse_length(each, units)) if said else ()
    except UnitError as error:
        raise InputError(refused_unit(error).fault(where)) from None


def _material(said: str, where: str) -> str:
    if not said:
        raise InputError(fault("stock.material_missing", where))
    try:
        return read_name(said)
    except ValueRefusedError as error:
        raise InputError(fault_of(error.message, where)) from None


def _states(said: str, where: str) -> Any:
    if not said:
        raise InputError(fault("stock.edges", where, said="none"))
    return edges_in(said, where, offcut=False)


def _out_of_square(said: str, where: str, units: System) -> float:
    return 0.0 if said in ("", "0") else sides_in(said, where, units, (1,))[0]
