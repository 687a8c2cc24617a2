"""What stands on a label: name, sizes, where the piece comes from, and the text of its code.

The code is a QR code (ISO/IEC 18004, level M, UTF-8) of the plain text `stripplan:<plan id>:<piece id>`: the plan id is
the one printed on the setup sheet, the piece id is all that follows the second colon.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from stripplan.model.job import Job
from stripplan.model.part import Part, Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PartLine, Plan
from stripplan.sheets.rows.forms import form_of, sides_of
from stripplan.sheets.rows.lookup import SAME, Bench
from stripplan.sheets.rows.part_notes import bevels_told, hole_sizes, holes_in_short, holes_told
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.sheets.rows.work.cuts import lifting
from stripplan.wording.figures import show_exact

Which = Literal["part", "offcut"]
HOLES_SHORT = "DRILL LATER"
"""What is left of a note on holes where a label has no room for more."""
BEVEL_SHORT, BY_HAND = "BEVEL, see sheet", "BEVEL BY HAND"
"""What is left of bevels where a label has no room for more; what is said where the rig does not cut some."""
KINDS: tuple[Which, ...] = ("part", "offcut")


@dataclass(frozen=True)
class Line:
    """One line: the fullest wording first, then shorter ones, as good if `as_good`. `whole` has figures that must not
    be cut: it is left out if no wording fits."""

    wordings: tuple[str, ...]
    bold: bool = False
    whole: bool = False
    as_good: bool = False


@dataclass(frozen=True)
class Label:
    """What one label says: name, the two sides of the size, and lines with what matters most first."""

    piece: str
    code: str
    name: str
    size: tuple[str, str]
    lines: tuple[Line, ...]
    drilled: Part | None = None
    """The part, where it has holes that are made later or is no rectangle: it is sketched where there is room."""
    holes: str = ""
    """Their sizes, to stand below it."""


def code_text(plan: str, piece: str) -> str:
    """What the code on a label says: the plan's id and the piece's.

    >>> code_text("0a1b2c3d", "P1-12")
    'stripplan:0a1b2c3d:P1-12'
    """
    return f"stripplan:{plan}:{piece}"


def label_list(
    plan: Plan, *, which: Sequence[Which] = KINDS, made_at: str | None = None, tag: str | None = None
) -> list[Label]:
    """One label for each part and offcut, in the order in which they fall; `made_at` in place of the plan's own date,
    `tag` the plan's id if known."""
    strange = [each for each in which if each not in KINDS]
    if strange or not which:
        raise ValueError(f"labels for {', '.join(map(repr, strange)) or 'nothing'}: must be part, offcut or both")
    bench, tag = Bench(plan), tag or plan_id(plan)
    parts, notes = (
        {line.name: line for line in plan.parts},
        {part.name: tuple(_notes(part, plan.job)) for part in plan.job.parts},
    )
    drilled = {part.name: part for part in plan.job.parts if part.holes or isinstance(part, Shape)}
    pieces = [piece for piece in plan.pieces if piece.kind in which]
    falling = sorted(pieces, key=lambda piece: bench.made_by.get(piece.id, 0))
    day = _day(made_at or plan.made_at)
    found = [
        _label(bench, piece, parts.get(piece.part or ""), notes.get(piece.part or "", ()), tag, day)
        for piece in falling
    ]
    sketched = ((each, drilled.get(piece.part or "")) for each, piece in zip(found, falling, strict=True))
    return [replace(each, drilled=part, holes=hole_sizes(part, plan.job)) if part else each for each, part in sketched]


def _label(bench: Bench, piece: Piece, part: PartLine | None, notes: Sequence[Line], tag: str, day: str) -> Label:
    plate = bench.plates[piece.plate]
    thickness = show_exact(plate.thickness, bench.units) + (" mm" if bench.units == "mm" else "")
    material = Line((f"{thickness} {plate.material}",))
    cut = bench.made_by.get(piece.id)
    after = f"after cut {cut}" if cut else "no cut"
    fell = Line((f"plate {piece.plate}, {after}", after), as_good=True)  # the piece's id has the plate too
    of_job, own = bench.plan.job.own_name(part.name) if part is not None else (bench.plan.job.name, "")
    job = Line((of_job,), bold=bool(bench.plan.job.jobs) and part is not None)
    made = Line((f"{day}, plan {tag}", day) if day else (f"plan {tag}",))
    mass = Line(_mass(bench, piece), bold=bool(lifting(bench, piece)), whole=True, as_good=True)
    if piece.kind == "offcut" or part is None:
        name = "OFFCUT" if piece.kind == "offcut" else piece.part or "part"
        told = (Line((piece.id,), bold=True), mass, material, job, made, fell)
        return Label(piece.id, code_text(tag, piece.id), name, _sides(bench, *_spans(piece)), told)
    shape = next((each for each in bench.plan.job.parts if each.name == part.name and isinstance(each, Shape)), None)
    if isinstance(shape, Shape):
        finished, as_cut = sides_of(shape.outline), sides_of(shape.outline_as_cut)
    else:
        finished, as_cut = _sizes(piece, part)
    count = f", {bench.count[piece.id]} of {part.made}" if part.made > 1 else ""
    kind = " (filler)" if part.filler else ""
    more = [mass] if lifting(bench, piece) else []
    if any(abs(a - b) > SAME for a, b in zip(finished, as_cut, strict=True)):
        sides = " × ".join(_sides(bench, *as_cut))
        more.append(Line((f"as cut {sides}", f"cut {sides}"), whole=True))
    first = Line((f"{piece.id}{count}{kind}", f"{piece.id}{count}", piece.id), bold=True)
    more += notes
    if any(each.piece == piece.id for each in bench.plan.hand_bevels):
        more.append(Line((BY_HAND,), bold=True))
    lines = (first, *more, material, fell, job, made)
    if bench.plan.job.jobs:  # to whom a part goes matters more than what it is of
        lines = (first, job, *more, material, fell, made)
    return Label(piece.id, code_text(tag, piece.id), own, _sides(bench, *finished), lines)


def _notes(part: Part, job: Job) -> Iterator[Line]:
    """Lines for the form of a part that is no rectangle, for its note and for its holes."""
    if isinstance(part, Shape):
        yield Line((form_of(part.outline).word,))
    if part.note:
        yield Line((part.note,))
    if part.bevels:
        yield Line((bevels_told(part, job), BEVEL_SHORT), whole=True)
    if part.holes:
        yield Line((holes_told(part, job), holes_in_short(part, job), HOLES_SHORT), whole=True)


def _mass(bench: Bench, piece: Piece) -> tuple[str, ...]:
    mass, by = bench.mass(piece.mass), lifting(bench, piece)
    return tuple(dict.fromkeys((f"{mass}: {by}", f"{mass}: {by.removesuffix(' or hoist')}", mass))) if by else (mass,)


def _spans(piece: Piece) -> tuple[float, float]:
    """Sizes along x and y of the plate [mm]."""
    x0, y0, x1, y1 = piece.box
    return x1 - x0, y1 - y0


def _sizes(piece: Piece, part: PartLine) -> tuple[tuple[float, float], tuple[float, float]]:
    """Length and width of a part, finished and as cut [mm]: of both sides the one nearer to the wanted width is the
    width."""
    width, length = part.size_wanted
    x, y = _spans(piece)
    wanted_x = x if length is None else length
    wanted_y = y if length is None else length
    along_x = abs(y - width) + abs(x - wanted_x) <= abs(x - width) + abs(y - wanted_y)
    as_cut = (x, y) if along_x else (y, x)
    return (as_cut[0] if length is None else length, width), as_cut


def _sides(bench: Bench, length: float, width: float) -> tuple[str, str]:
    """Both sides of a size in the job's units; mm are named once, inches carry their sign."""
    return bench.long(length), bench.long(width) + ("" if bench.units == "in" else " mm")


def _day(made_at: str | None) -> str:
    """The day of a date and time; anything else as it is."""
    try:
        return datetime.fromisoformat(made_at).date().isoformat() if made_at else ""
    except ValueError:
        return made_at or ""
