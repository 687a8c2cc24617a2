"""Plates to fetch and offcuts that are kept, as rows; plates to be measured first."""

from __future__ import annotations

from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PlanPlate
from stripplan.sheets.rows.forms import is_box
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import OffcutRow, StockRow
from stripplan.sheets.rows.work.cuts import lifting
from stripplan.wording.figures import show_exact


def stock_row(bench: Bench, plate: PlanPlate) -> StockRow:
    root = next(piece for piece in bench.pieces.values() if piece.plate == plate.id and piece.parent is None)
    given = next((each for each in bench.plan.job.plates if each.name == plate.stock), None)
    notes = [plate.piece] if plate.piece not in ("", plate.stock) else []
    notes += [f"lies: {plate.lies}"] if plate.lies else []
    notes += ["to be bought"] if not plate.piece and any(each.piece for each in bench.plan.plates) else []
    notes += ["offcut"] if given is not None and given.offcut else []
    notes += [] if plate.measured else ["nominal size, not measured"]
    notes += [given.note] if given is not None and given.note else []
    if root.id not in bench.cut_in:
        notes.append(f"no cut: it is {bench.name(root) or root.kind} as it stands")
    return StockRow(
        plate=plate.id,
        stock=plate.stock,
        size=f"{bench.long(plate.length)} × {bench.long(plate.width)} × {show_exact(plate.thickness, bench.units)}",
        material=plate.material,
        mass=bench.mass(plate.mass),
        lifting=lifting(bench, root),
        note="; ".join(notes),
    )


def kept_from(bench: Bench) -> str:
    """What goes to the scrap bin, and which setting says so; nothing where no piece is scrap."""
    if not any(piece.kind == "scrap" for piece in bench.plan.pieces):
        return ""
    long, short = sorted(bench.plan.job.options.keep, reverse=True)
    size = f"{bench.long(long)} × {bench.long(short)}"
    return f"What is left below {size} goes to the scrap bin: `keep` in [options], or `stripplan rack keep`, sets it."


def offcut_row(bench: Bench, piece: Piece) -> OffcutRow:
    """What is left, by its longer side first, as it is named on the rack and in the picture."""
    plate, size = bench.plates[piece.plate], bench.size(piece)
    if is_box(piece.outline):
        short, long = sorted((piece.box[2] - piece.box[0], piece.box[3] - piece.box[1]))
        size = f"{bench.long(long)} × {bench.long(short)}"
    return OffcutRow(
        piece=piece.id,
        size=f"{size} × {show_exact(plate.thickness, bench.units)}",
        material=plate.material,
        mass=bench.mass(piece.mass),
    )


def measure_first(bench: Bench) -> tuple[str, ...]:
    """A line for each plate whose own size some part takes over."""
    resting = {each.about.split("-")[0] for each in bench.plan.warnings if each.code == "rests_on_plate_size"}
    return tuple(
        f"Plate {plate.id} ({plate.stock}): the plan counts on {bench.long(plate.length)} × {bench.long(plate.width)}."
        for plate in bench.plan.plates
        if plate.id in resting
    )
