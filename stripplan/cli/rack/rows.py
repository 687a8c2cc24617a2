"""Pieces, plans and entries of the book as rows and as data."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Any

from stripplan.cli.screen import Table

if TYPE_CHECKING:
    from stripplan.book.history import Entry
    from stripplan.book.pieces import Worth
    from stripplan.book.plans import KeptPlan
    from stripplan.model.rack.piece import RackPiece

CSV_COLUMNS = (
    "number", "kind", "length", "width", "thickness", "material", "quantity", "batch", "cost", "place", "edges",
    "rolling", "measured", "note", "code", "job", "added", "outline",
)  # fmt: skip


def piece_table(pieces: Iterable[RackPiece], units: str) -> Table:
    """Pieces, one a row; what no piece of them has gets no column."""
    from stripplan.sheets.rows.rack_piece import shape_shown, size_shown

    heads = ("piece", "", f"size, {units}", "material", "batch", "lies", "cost", "since", "largest in", "for", "")
    rows = [
        (
            each.name if each.number else "",
            each.kind,
            size_shown(each, units),
            each.material,
            each.batch,
            each.place,
            "" if each.cost is None else f"{each.cost:.2f}",
            each.added,
            shape_shown(each, units),
            each.promised,
            "" if each.state == "there" else f"{each.state.replace('_', ' ')} {each.gone}",
        )
        for each in pieces
    ]
    kept = [at for at in range(len(heads)) if any(row[at] for row in rows)]
    return Table(
        tuple(heads[at] for at in kept),
        tuple(tuple(row[at] for at in kept) for row in rows),
        right=tuple(n for n, at in enumerate(kept) if heads[at] == "cost"),
    )


def piece_record(piece: RackPiece) -> dict[str, Any]:
    """A piece as data; lengths in mm, mass in kg."""
    record = asdict(piece)
    return {"piece": piece.name, **record, "edges": list(piece.edges), "mass": round(piece.mass, 3)}


def pieces_csv(pieces: Iterable[RackPiece]) -> str:
    """Pieces as a list that `stripplan rack read` reads; lengths in mm."""
    from stripplan.book.pieces import points_text

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for each in pieces:
        values = piece_record(each) | {
            "number": each.name,
            "quantity": 1,
            "edges": " ".join(each.edges),
            "measured": "yes" if each.measured else "no",
            "outline": points_text(each.outline),
            "cost": "" if each.cost is None else f"{each.cost:.2f}",
        }
        values |= {key: _plain_mm(values[key]) for key in ("length", "width", "thickness")}
        writer.writerow([values[key] for key in CSV_COLUMNS])
    return out.getvalue()


def _plain_mm(length: float) -> str:
    """A length to the thousandth, without zeros at its end."""
    return f"{length:.3f}".rstrip("0").rstrip(".")


def worth_table(found: Iterable[Worth], today: str) -> Table:
    """What lies there by material and thickness."""
    heads = ("material", "mm", "plates", "offcuts", "m²", "kg", "worth", "without cost", "oldest", "half older than")
    rows = tuple(
        (
            each.material,
            f"{each.thickness:g}",
            str(each.plates),
            str(each.offcuts),
            f"{each.area * 1e-6:.2f}",
            f"{each.mass:.0f}",
            f"{each.cost:.2f}",
            str(each.without_cost or ""),
            _age(each.oldest, today),
            _age(each.middle, today),
        )
        for each in found
    )
    return Table(heads, rows, right=tuple(range(1, len(heads))))


def _age(day: str, today: str) -> str:
    days = age_in_days(day, today)
    return "" if days is None else f"{days} days" if days != 1 else "1 day"


def age_in_days(day: str, today: str) -> int | None:
    """Days from one to the other (ISO 8601); None where one is none.

    >>> age_in_days("2026-03-30", "2026-04-02")
    3
    """
    try:
        return (date.fromisoformat(today[:10]) - date.fromisoformat(day[:10])).days
    except ValueError:
        return None


def entry_table(found: Iterable[Entry]) -> Table:
    """What happened, line by line."""
    from stripplan.model.rack.piece import numbers_said
    from stripplan.sheets.rows.rack_piece import WHAT

    rows = tuple(
        (
            each.made[:16].replace("T", " "),
            WHAT.get(each.what, each.what),
            each.plan,
            numbers_said(each.pieces),
            each.note,
        )
        for each in found
    )
    return Table(("when", "what", "plan", "pieces", ""), rows)


def plan_table(found: Iterable[KeptPlan]) -> Table:
    """Plans of the book."""
    from stripplan.model.rack.piece import numbers_said

    rows = tuple(
        (
            each.id,
            each.job,
            f"done {each.done_at[:10]}"
            if each.done
            else f"cut {each.ticked} of {each.cuts}"
            if each.ticked
            else "planned",
            f"{each.minutes:.0f}",
            "" if each.done else f"{each.left:.0f}",
            "" if each.taken is None else f"{each.taken:.0f}",
            numbers_said(each.plates.values()),
        )
        for each in found
    )
    return Table(("plan", "job", "", "min", "left", "taken", "pieces of the rack"), rows, right=(3, 4, 5))
