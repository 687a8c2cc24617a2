"""A cut went wrong: what is still wanted, and what it can be made from, as a new job.

Counted from what lies in the workshop: pieces that the cuts done so far have made and that no cut has taken apart. Parts
among them are made; blanks and offcuts are plates now; what was spoilt is neither. Plates that were not begun stay on the
rack.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from ..model.cut import Cut
from ..model.piece import Piece
from ..model.plan import Plan, PlanPlate
from .store import Progress

SPOILT = ("left", "right", "both")
"""What a cut that went wrong has spoilt, as seen along the travel."""
SAME = 0.01
"""Two coordinates closer than this are one [mm]."""


def again(plan: Plan, job: Mapping[str, Any], progress: Progress) -> dict[str, Any]:
    """The job for the rest, as a table of a job file; sizes are in mm and say so. `job` is the table that the plan came from."""
    there = _there(plan, progress)
    made = Counter(piece.part for piece in there if piece.kind == "part")
    begun = Counter(plate.stock for plate in plan.plates if _begun(plan, plate, progress))
    parts = [part for number, each in enumerate(job.get("part", ()), 1) if (part := _wanted(plan, each, number, made))]
    stock = [
        plate for number, each in enumerate(job.get("plate", ()), 1) if (plate := _on_the_rack(each, number, begun))
    ]
    priced = {key for each in job.get("plate", ()) for key in ("cost", "price_per_kg") if each.get(key) is not None}
    plates = {plate.id: plate for plate in plan.plates}
    rest = [_as_plate(each, plates[each.plate], priced) for each in there if each.kind in ("blank", "offcut")]
    kept = {key: each for key, each in job.items() if key not in ("part", "plate", "name", "cut_list")}
    return {**kept, "name": f"{job.get('name', 'job')}, again", "plate": [*rest, *stock], "part": parts}


def _there(plan: Plan, progress: Progress) -> list[Piece]:
    """Pieces that lie in the workshop, of plates that were begun."""
    pieces = {piece.id: piece for piece in plan.pieces}
    made: set[str] = set()
    gone: set[str] = set()
    for cut in plan.cuts:
        spoilt = _spoilt(progress, cut)
        if cut.number not in progress.done and not spoilt:
            continue
        gone.add(cut.piece)
        right, left = cut.makes
        made |= {name for name, side in ((right, "right"), (left, "left")) if name is not None and side not in spoilt}
    return [pieces[name] for name in sorted(made - gone, key=list(pieces).index) if _whole_line(pieces, name, made)]


def _whole_line(pieces: Mapping[str, Piece], name: str, made: Iterable[str]) -> bool:
    """Whether every piece that a piece was cut from was there to be cut: what was spoilt gives nothing any more."""
    parent = pieces[name].parent
    while parent is not None and pieces[parent].parent is not None:
        if parent not in made:
            return False
        parent = pieces[parent].parent
    return True


def _spoilt(progress: Progress, cut: Cut) -> tuple[str, ...]:
    """The sides that a cut has spoilt; a cut that went wrong in a way nobody has told has spoilt both."""
    told = progress.wrong.get(str(cut.number))
    if told is None:
        return ()
    side = told.partition(":")[0]
    return (side,) if side in ("left", "right") else ("left", "right")


def _begun(plan: Plan, plate: PlanPlate, progress: Progress) -> bool:
    """Whether any cut was made in a plate."""
    touched = {*progress.done, *map(int, progress.wrong)}
    return any(cut.plate == plate.id and cut.number in touched for cut in plan.cuts)


def _wanted(plan: Plan, part: Mapping[str, Any], number: int, made: Mapping[str | None, int]) -> dict[str, Any] | None:
    """A part with as many as are still wanted; None where all are made. Fillers stay: they are always useful.

    A strip as long as its plate gets the length that it had: what it is made from now may be of any length.
    """
    if part.get("filler"):
        return dict(part)
    name = part.get("name") or f"part {number}"
    left = int(part.get("quantity", 1)) - made.get(name, 0)
    if left <= 0:
        return None
    wanted = {**part, "name": name, "quantity": left}
    box = next((each.box for each in plan.pieces if each.kind == "part" and each.part == name), None)
    if part.get("length") is None and box is not None:
        wanted["length"] = _mm(max(box[2] - box[0], box[3] - box[1]))
    return wanted


def _mm(length: float) -> str:
    """A length that says its unit, whatever that of the job is."""
    return f"{length:.6f}".rstrip("0").rstrip(".") + " mm"


def _on_the_rack(plate: Mapping[str, Any], number: int, begun: Mapping[str, int]) -> dict[str, Any] | None:
    """A plate of the stock with as many as were not begun; None where none is left."""
    name = plate.get("name") or f"plate {number}"
    count = plate.get("quantity", 1 if plate.get("offcut") else None)
    if count is None:
        return {**plate, "name": name}
    left = int(count) - begun.get(name, 0)
    return {**plate, "name": name, "quantity": left} if left > 0 else None


def _as_plate(piece: Piece, plate: PlanPlate, priced: Iterable[str]) -> dict[str, Any]:
    """A piece as a plate of its own: it costs nothing any more, and its edges are what they are."""
    x0, y0, x1, y1 = piece.box
    own = (y0, plate.length - x1, plate.width - y1, x0)  # how far its edges A to D lie inside the plate's
    edges = [state if off < SAME else "cut" for state, off in zip(plate.edges, own, strict=True)]
    made = {
        "name": f"{piece.id} of the plan before",
        "length": _mm(x1 - x0),
        "width": _mm(y1 - y0),
        "thickness": _mm(plate.thickness),
        "material": plate.material,
        "offcut": True,
        "edges": edges,
    }
    return {**made, **dict.fromkeys(priced, 0.0)}
