"""Pieces in the book: put in, looked up, changed, written off."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from stripplan.book.database import Database, refused
from stripplan.book.history import write_entry
from stripplan.model.material import family_of, serves, word
from stripplan.model.plate import plate_mass
from stripplan.model.polygon import Outline
from stripplan.model.polygon import area as polygon_area
from stripplan.model.rack.keep import SAME_THICKNESS
from stripplan.model.rack.piece import Costs, Edges, RackPiece, piece_name

COLUMNS = (
    "kind", "length", "width", "thickness", "material", "batch", "cost", "place", "edges", "rolling", "measured",
    "out_of_square", "note", "code", "added", "state", "gone", "from_plan", "outline",
)  # fmt: skip
"""Columns of a piece, as fields of a `RackPiece`."""
CHANGEABLE = frozenset(
    ("length", "width", "thickness", "material", "batch", "cost", "place", "edges", "rolling", "measured",
     "out_of_square", "note", "code", "outline")
)  # fmt: skip
"""What may be put right afterwards."""
_FROM = "piece LEFT JOIN reservation ON reservation.piece = piece.number"
_SELECT = f"""SELECT piece.number, {", ".join(f"piece.{each}" for each in COLUMNS)},
    coalesce(reservation.job, '') AS job, coalesce(reservation.plan, '') AS plan,
    (SELECT count(*) FROM plan_plate JOIN cut ON cut.plan = plan_plate.plan AND cut.plate = plan_plate.plate
     WHERE plan_plate.plan = reservation.plan AND plan_plate.piece = piece.number) AS cuts FROM {_FROM}"""
_OF_WORTH = ", ".join(
    f"piece.{each}" for each in ("material", "thickness", "kind", "length", "width", "outline", "cost", "added")
)
_FIELDS = ("number", *COLUMNS, "job", "plan", "cuts")
MOST_AT_ONCE = 500
"""So many numbers are asked for in one statement."""


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Which pieces are looked for; what is left out holds for any.

    Of `materials` and `thicknesses` [mm] any serves; a material also finds the grades of a family and the qualities of
    a grade. `least` is a size that fits onto the piece either way round [mm], `text` stands in name, batch, place,
    note, code, material or job. `reserved` True or False; `gone` takes in what is not on the rack any more.
    """

    materials: tuple[str, ...] = ()
    thicknesses: tuple[float, ...] = ()
    least: tuple[float, float] | None = None
    text: str = ""
    kind: str | None = None
    reserved: bool | None = None
    job: str | None = None
    place: str | None = None
    gone: bool = False


def add(book: Database, pieces: Iterable[RackPiece], at: str) -> tuple[RackPiece, ...]:
    """Put pieces into the book and give them their numbers. Raises InputError, and then none is in it."""
    with book.changing() as connection:
        put = tuple(insert(book, connection, replace(each, added=each.added or at[:10])) for each in pieces)
        for each in put:
            if each.job:
                connection.execute("INSERT INTO reservation VALUES (?, ?, NULL, ?)", (each.number, each.job, at))
        write_entry(connection, at, "added", pieces=[each.number for each in put])
    return put


def insert(book: Database, connection: sqlite3.Connection, piece: RackPiece) -> RackPiece:
    """One more row; the piece with its number. Raises InputError where its label is in the book already."""
    if piece.code and (there := number_of_code(connection, piece.code)) is not None:
        raise refused(book.path, "code_there", code=piece.code, piece=piece_name(there))
    marks = ", ".join("?" * len(COLUMNS))
    row = connection.execute(f"INSERT INTO piece ({', '.join(COLUMNS)}) VALUES ({marks})", _row(piece))
    return replace(piece, number=int(row.lastrowid or 0))


def wanted_pieces(book: Database, wanted: Wanted = Wanted()) -> tuple[RackPiece, ...]:
    """The pieces that are looked for, in the order in which they came in."""
    with book.reading() as connection:
        return find(connection, wanted)


def first_wanted(book: Database, wanted: Wanted, most: int) -> tuple[tuple[RackPiece, ...], int]:
    """The first so many of the pieces that are looked for, and how many all of them are."""
    with book.reading() as connection:
        found = find(connection, wanted, most)
        if len(found) < most:
            return found, len(found)
        where, values = _where(connection, wanted)
        rows = connection.execute(f"SELECT count(*) FROM {_FROM} WHERE {where}", values)
        return found, int(rows.fetchone()[0])


def find(connection: sqlite3.Connection, wanted: Wanted, most: int | None = None) -> tuple[RackPiece, ...]:
    """The pieces that are looked for within a transaction, or the first so many of them."""
    where, values = _where(connection, wanted)
    rows = connection.execute(
        f"{_SELECT} WHERE {where} ORDER BY piece.number LIMIT :most", values | {"most": -1 if most is None else most}
    )
    return tuple(map(_piece, rows))


def _where(connection: sqlite3.Connection, wanted: Wanted) -> tuple[str, dict[str, Any]]:
    """What is looked for as a condition, with the values in it."""
    where, values = ["1"], dict[str, Any]()
    if not wanted.gone:
        where.append("piece.state = 'there'")
    if wanted.materials:
        names = [row[0] for row in connection.execute("SELECT DISTINCT material FROM piece")]
        fitting = [name for name in names if any(serves(name, each) for each in wanted.materials)]
        where.append(f"piece.material IN ({', '.join(f':material{n}' for n in range(len(fitting)))})")
        values |= {f"material{n}": each for n, each in enumerate(fitting)}
    if wanted.thicknesses:
        some = [f"abs(piece.thickness - :thickness{n}) <= :same" for n in range(len(wanted.thicknesses))]
        where.append(f"({' OR '.join(some)})")
        values |= {f"thickness{n}": each for n, each in enumerate(wanted.thicknesses)} | {"same": SAME_THICKNESS + 1e-9}
    if wanted.least is not None:
        where.append("min(piece.length, piece.width) >= :short AND max(piece.length, piece.width) >= :long")
        values |= {"short": min(wanted.least) - 1e-6, "long": max(wanted.least) - 1e-6}
    if wanted.text:
        fields = ("material", "batch", "place", "note", "code")
        where.append(
            f"({' OR '.join(f'instr(lower(piece.{each}), :text)' for each in fields)} "
            "OR instr(lower(coalesce(reservation.job, '')), :text) OR 'r' || piece.number = :text)"
        )
        values["text"] = wanted.text.lower()
    for key, column in (("kind", "piece.kind"), ("job", "reservation.job"), ("place", "piece.place")):
        if getattr(wanted, key) is not None:
            where.append(f"{column} = :{key}")
            values[key] = getattr(wanted, key)
    if wanted.reserved is not None:
        where.append(f"reservation.piece IS {'NOT ' * wanted.reserved}NULL")
    return " AND ".join(where), values


def numbered(book: Database, connection: sqlite3.Connection, numbers: Sequence[int]) -> tuple[RackPiece, ...]:
    """Pieces by their numbers, in that order. Raises InputError for numbers that no piece has."""
    found: dict[int, RackPiece] = {}
    for at in range(0, len(numbers), MOST_AT_ONCE):
        some = numbers[at : at + MOST_AT_ONCE]
        rows = connection.execute(f"{_SELECT} WHERE piece.number IN ({', '.join('?' * len(some))})", some)
        found |= {each.number: each for each in map(_piece, rows)}
    if missing := [each for each in numbers if each not in found]:
        raise refused(book.path, "no_piece", pieces=tuple(map(piece_name, missing[:10])))
    return tuple(found[each] for each in numbers)


def number_of_code(connection: sqlite3.Connection, code: str) -> int | None:
    """The piece that carries a label."""
    row = connection.execute("SELECT number FROM piece WHERE code = ?", (code,)).fetchone()
    return None if row is None else int(row[0])


def still_there(book: Database, pieces: Iterable[RackPiece]) -> None:
    """Raises InputError for the first piece that is not on the rack any more."""
    for each in pieces:
        if each.state != "there":
            raise refused(book.path, "gone", piece=each.name, state=each.state, day=each.gone)


def change(book: Database, numbers: Sequence[int], values: Mapping[str, Any], at: str) -> tuple[RackPiece, ...]:
    """Put right what the book says of pieces that are on the rack; `values` by field. Raises InputError.

    A size or material that a plan rests on cannot be changed under it, and a label is on one piece.
    """
    fields = {key: value for key, value in values.items() if key in CHANGEABLE}
    with book.changing() as connection:
        before = numbered(book, connection, numbers)
        still_there(book, before)
        if code := fields.get("code"):
            if len(numbers) > 1:
                raise refused(book.path, "code_on_several", code=code, count=len(numbers))
            if (there := number_of_code(connection, code)) not in (None, numbers[0]):
                raise refused(book.path, "code_there", code=code, piece=piece_name(there or 0))
        sizes = fields.keys() & {"length", "width", "thickness", "material"}
        for each in before:
            if sizes and each.plan:
                raise refused(book.path, "planned_size", piece=each.name, job=each.job, plan=each.plan)
        after = tuple(replace(each, **fields) for each in before)
        setting = ", ".join(f"{key} = ?" for key in fields)
        for each in after:
            row = dict(zip(COLUMNS, _row(each), strict=True))
            connection.execute(
                f"UPDATE piece SET {setting} WHERE number = ?", (*(row[key] for key in fields), each.number)
            )
        write_entry(connection, at, "changed", pieces=numbers, note=", ".join(sorted(fields)))
    return after


def write_off(book: Database, numbers: Sequence[int], at: str, why: str = "") -> tuple[RackPiece, ...]:
    """Take pieces off the rack that no plan uses: sold, scrapped, not found. Raises InputError for one that is
    promised.
    """
    with book.changing() as connection:
        pieces = numbered(book, connection, numbers)
        still_there(book, pieces)
        for each in pieces:
            if each.job:
                raise refused(book.path, "promised", piece=each.name, job=each.job, plan=each.plan)
        connection.executemany(
            "UPDATE piece SET state = 'written_off', gone = ? WHERE number = ?", [(at[:10], each) for each in numbers]
        )
        write_entry(connection, at, "written_off", pieces=numbers, note=why)
    return pieces


def _row(piece: RackPiece) -> tuple[Any, ...]:
    values = {each: getattr(piece, each) for each in COLUMNS}
    return tuple(
        (
            values
            | {"edges": " ".join(piece.edges), "measured": int(piece.measured), "outline": points_text(piece.outline)}
        ).values()
    )


def _piece(row: Sequence[Any]) -> RackPiece:
    of = dict(zip(_FIELDS, row, strict=True))
    of["edges"], of["measured"], of["outline"] = _edges(of["edges"]), bool(of["measured"]), _points(of["outline"])
    return RackPiece(**of)


def points_text(outline: Outline) -> str:
    """Corners as "x,y x,y ..." [mm]."""
    return " ".join(f"{x:g},{y:g}" for x, y in outline)


@cache
def _points(text: str) -> Outline:
    return tuple((float(x), float(y)) for x, _, y in (each.partition(",") for each in text.split()))


@cache
def _edges(text: str) -> Edges:
    one, two, three, four = text.split()
    return one, two, three, four  # type: ignore[return-value]


# --- what pieces cost -------------------------------------------------------------------------------------------------


def costs_of(book: Database, names: Sequence[str]) -> tuple[Costs, ...]:
    """What pieces with a cost came to, of those that are free or promised to one of these jobs, by material and kind.

    No piece is made of a row: of ten thousand that takes longer than all else that is asked of the book.
    """
    with book.reading() as connection:
        rows = connection.execute(
            f"""SELECT piece.material, piece.kind, piece.length, piece.width, piece.thickness, piece.outline, piece.cost
            FROM {_FROM} WHERE piece.state = 'there' AND piece.cost IS NOT NULL
            AND coalesce(reservation.job, '') IN ('', {", ".join("?" * len(names))}) ORDER BY piece.number""",
            tuple(names),
        ).fetchall()
    found: dict[tuple[str, str], tuple[float, float]] = {}
    for material, kind, length, width, thickness, outline, cost in rows:
        metal = polygon_area(_points(outline)) if outline else length * width
        money, volume = found.get((material, kind), (0.0, 0.0))
        found[material, kind] = money + cost, volume + metal * thickness
    return tuple(
        Costs(material=material, kind=kind, cost=money, mass=plate_mass(volume, 1.0, 1.0, material))
        for (material, kind), (money, volume) in found.items()
    )


# --- what the rack is worth -----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Worth:
    """What lies there of one material and thickness: pieces, area [mm2], mass [kg], money of those whose cost is known,
    how many of them have none, and the days on which the oldest and the middle one came in.
    """

    material: str
    thickness: float
    plates: int
    offcuts: int
    area: float
    mass: float
    cost: float
    without_cost: int
    oldest: str
    middle: str


def rack_worth(book: Database, wanted: Wanted = Wanted()) -> tuple[Worth, ...]:
    """What pieces that are looked for are worth, by material and thickness; grades of one family stand together.

    No piece is made of a row: of ten thousand that takes longer than all the sums.
    """
    with book.reading() as connection:
        where, values = _where(connection, wanted)
        rows = connection.execute(
            f"SELECT {_OF_WORTH} FROM {_FROM} WHERE {where} ORDER BY piece.number", values
        ).fetchall()
    written: dict[tuple[str, float], list[tuple[Any, ...]]] = {}
    for row in rows:
        written.setdefault(row[:2], []).append(row[2:])
    alike: dict[tuple[str, str, float], tuple[str, list[tuple[Any, ...]]]] = {}
    for (material, thickness), some in written.items():
        key = (family_of(material) or "", word(material), thickness)
        alike.setdefault(key, (material, []))[1].extend(some)
    return tuple(_worth(material, key[2], some) for key, (material, some) in sorted(alike.items()))


def _worth(material: str, thickness: float, rows: Sequence[tuple[Any, ...]]) -> Worth:
    """Of rows of kind, length, width, outline, cost and the day on which a piece came in."""
    kinds, lengths, widths, outlines, costs, added = zip(*rows, strict=True)
    days, offcuts = sorted(added), kinds.count("offcut")
    metal = sum(
        polygon_area(_points(outline)) if outline else length * width
        for length, width, outline in zip(lengths, widths, outlines, strict=True)
    )
    return Worth(
        material=material,
        thickness=thickness,
        plates=len(rows) - offcuts,
        offcuts=offcuts,
        area=metal,
        mass=plate_mass(metal, 1.0, thickness, material),
        cost=sum(each or 0.0 for each in costs),
        without_cost=costs.count(None),
        oldest=days[0],
        middle=days[len(days) // 2],
    )
