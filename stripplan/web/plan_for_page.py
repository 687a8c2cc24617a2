"""A plan as plain values for the page: the rows of the sheet, and a picture of each plate and of each cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from stripplan.model.job import Job
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import to_record
from stripplan.sheets.picture.lettering import Reading, Taken
from stripplan.sheets.picture.on_plate.piece_labels import piece_label
from stripplan.sheets.picture.on_plate.plate import layer_of
from stripplan.sheets.picture.shapes import Outline, Picture
from stripplan.sheets.picture.svg import paint, plain_number, plate_picture
from stripplan.sheets.picture.svg_canvas import bevel_svg, lie_svg, section_svg
from stripplan.sheets.rows.job.summary import no_hoist
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.sheets.rows.row_types import Sheet
from stripplan.web.place_in_run import counts_of
from stripplan.web.rest_before_arc import clock

if TYPE_CHECKING:
    from stripplan.planner.first_sight import PlateInSight


def shown(made: Plan) -> dict[str, Any]:
    """What the page shows of a plan; all figures are texts in the job's units, made where the sheet's are."""
    rows = sheet(made)
    counts = Counter(cut.plate for cut in made.cuts)
    return {
        "id": rows.plan,
        "job": rows.job,
        "units": rows.units,
        "totals": [list(each) for each in rows.totals],
        "proof": list(rows.proof),
        "first": list(rows.first),
        "other_order": rows.other_order,
        "warnings": [_warning(made, text) for text in _to_mind(made, rows)],
        "stock": [to_record(each) for each in rows.stock],
        "plates": [
            {
                "id": each.id,
                "stock": each.stock,
                "svg": with_pieces(plate_picture(made, each.id), _ends(made, each.id)),
                "cuts": counts[each.id],
            }
            for each in made.plates
        ],
        "cuts": [{**to_record(each), "doing": list(each.doing), "svg": lie_svg(each)} for each in rows.cuts],
        "runs": counts_of(made.runs),
        "run_list": [
            {"name": run.name, "parts": run.parts, "size": run.size, "cuts": [cut.number for cut in run.cuts]}
            for run in rows.runs
        ],
        "bevels": [
            {
                **to_record(each),
                "rows": [{**to_record(row), "svg": bevel_svg(row)} for row in each.rows],
                "name": each.name,
                "told": each.told,
                "svg": section_svg(each),
                "torch_title": "" if each.torch is None else each.torch.title,
            }
            for each in rows.bevels
        ],
        "by_hand": [to_record(each) for each in rows.by_hand],
        "parts": [to_record(each) for each in rows.parts],
        "jobs": [to_record(each) for each in rows.jobs],
        "together": rows.together,
        "offcuts": [to_record(each) for each in rows.offcuts],
        "settings": [to_record(each) for each in (*rows.settings, *rows.measured)],
        "clock": clock(made.cuts, made.rig),
        "quoted": to_record(rows.quoted) if rows.quoted is not None else None,
        "compare": {
            "plates": made.totals.plates,
            "cost": made.totals.cost,
            "minutes": made.totals.minutes,
            "offcut_area": made.totals.offcut_area,
            "units": made.job.units,
        },
        "gap": _gap(made),
    }


def _to_mind(made: Plan, rows: Sheet) -> tuple[str, ...]:
    return (*rows.first, *filter(None, [no_hoist(made, rows.cuts)]), *rows.warnings)


def sketched(job: Job, plates: Sequence[PlateInSight]) -> list[dict[str, Any]]:
    """Plates of a first layout as pictures: the pieces with names and sizes, no cuts."""
    units = (job.units, job.inch_fraction)
    return [
        {"id": f"P{number}", "stock": each.stock, "count": each.count, "svg": _sketch(each, f"P{number}", units)}
        for number, each in enumerate(plates, 1)
    ]


def _sketch(plate: PlateInSight, name: str, units: Reading) -> str:
    size = max(plate.length, plate.width)
    taken, margin = Taken(size / 20), 0.03 * size
    corners = ((0.0, 0.0), (plate.length, 0.0), (plate.length, plate.width), (0.0, plate.width))
    labels = [text for piece in plate.pieces for text in piece_label(piece, size, units, taken, broken=True)]
    picture = Picture(
        title=f"Plate {name} ({plate.stock}), first layout",
        box=(-margin, -margin, plate.length + margin, plate.width + margin),
        outlines=(Outline("PLATE", corners), *(Outline(layer_of(piece), piece.outline) for piece in plate.pieces)),
        lines=(), texts=tuple(labels), bubbles=(), dimensions=(),
    )  # fmt: skip
    count = sum(piece.kind == "part" for piece in plate.pieces)
    return with_pieces(paint(picture, description=f"{count} parts on the plate, no cuts yet."), plate.pieces)


def with_pieces(svg: str, pieces: Iterable[Piece]) -> str:
    """The picture with an outline on each piece that a page can point at, below its cuts and names."""
    areas = "".join(_area(each) for each in pieces)
    over = [at for at in map(svg.find, ("<line data-cut=", "<text")) if at >= 0]
    at = min(over, default=svg.rfind("</svg>"))
    return f'{svg[:at]}<g class="pieces">{areas}</g>{svg[at:]}'


def _area(piece: Piece) -> str:
    points = " ".join(f"{plain_number(x)},{plain_number(-y)}" for x, y in piece.outline)
    part = f' data-part="{escape(piece.part)}"' if piece.part is not None else ""
    named = f' data-piece="{escape(piece.id)}"' if piece.id else ""
    return f'<polygon{named} data-kind="{piece.kind}"{part} points="{points}" fill="none" pointer-events="all"/>'


def _ends(made: Plan, plate: str) -> list[Piece]:
    return [each for each in made.pieces if each.plate == plate and each.kind in ("part", "offcut", "scrap")]


def _gap(made: Plan) -> float | None:
    """By what share of its total a plan could be better at the most; None where that is not known."""
    if made.total is None or made.total.bound <= 0 or made.total.total <= 0:
        return None
    return round(max(0.0, 1 - made.total.bound / made.total.total), 4)


def _warning(made: Plan, text: str) -> dict[str, Any]:
    """A warning with its kind, and the part and the cut that it is about where it is about one."""
    found = next((each for each in made.warnings if text.startswith(each.text)), None)
    kind = found.code if found is not None else ""
    cut = found.about.removeprefix("cut ") if found is not None and found.about.startswith("cut ") else ""
    return {"text": text, "part": _part_of(made, text), "kind": kind, "cut": cut}


def _part_of(made: Plan, text: str) -> str:
    """Name of the part that a warning is about; empty where it is about something else."""
    about = next((each.about for each in made.warnings if text.startswith(each.text)), "")
    piece = next((each for each in made.pieces if each.id == about), None)
    name = piece.part if piece is not None else about
    return name if name is not None and name in {line.name for line in made.parts} else ""
