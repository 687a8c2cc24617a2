"""The small picture of a cut: how the piece lies on the rig, seen from above, carriage running up the page.

Not to scale: a strip 10 mm wide must still be seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from stripplan.sheets.paper.text import BOLD, DESK, NEAR, REGULAR, RIG, as_read, printable, width_of
from stripplan.sheets.picture.palette import BLUE, GREEN, VERMILLION
from stripplan.sheets.rows.row_types import CutRow, Fall

LEAST_SHARE = 0.4
BELOW = 16.0
"""Room under the piece for the letter of the edge at the start line [pt]."""
ABOVE = 16.0
"""Room over it for the end stop and a letter [pt]."""
FENCE, BESIDE = 14.0, 14.0
"""Width of the fence; room on the other side for a letter [pt]."""
LETTER = 13.0
"""Side of the box of a letter [pt]."""


@dataclass(frozen=True)
class Spot:
    """Where the piece and the torch line lie on paper [pt]."""

    x0: float
    y0: float
    x1: float
    y1: float
    torch: float


def draw_lie(canvas: Any, row: CutRow, x: float, y: float, width: float, height: float) -> None:
    """Draw the picture of a cut into a rectangle with its lower left corner at (x, y) [pt]."""
    spot = _spot(row, x, y, width, height)
    canvas.saveState()
    _falls(canvas, row, spot)
    _fence(canvas, row, x + width, y, height)
    _start_and_stop(canvas, row, spot, x)
    _torch(canvas, row, spot)
    _letters(canvas, row, spot)
    canvas.restoreState()


def _spot(row: CutRow, x: float, y: float, width: float, height: float) -> Spot:
    lie = row.lie
    across = lie.on_fence + lie.beside
    share = min(max(lie.on_fence / across if across else 0.5, LEAST_SHARE), 1 - LEAST_SHARE)
    shape = lie.along / across if across else 1.0
    wide = (width - FENCE - BESIDE) * (0.82 if shape > 3 else 1.0)
    high = (height - BELOW - ABOVE) * (0.78 if shape < 1 / 3 else 1.0)
    x1, y0 = x + width - FENCE, y + BELOW
    return Spot(x1 - wide, y0, x1, y0 + high, x1 - wide * share)


def _falls(canvas: Any, row: CutRow, spot: Spot) -> None:
    half = 1.6
    height = 0.5 if not row.passes else 0.72  # clear of the stop inside the metal
    _half(canvas, row.left, spot.x0, spot.y0, spot.torch - half, spot.y1)
    _half(canvas, row.right, spot.torch + half, spot.y0, spot.x1, spot.y1)
    _name(canvas, row.left, spot.x0, spot.torch - half, spot, height)
    _name(canvas, row.right, spot.torch + half, spot.x1 - (0 if row.passes else LETTER), spot, height)


def _half(canvas: Any, fall: Fall | None, x0: float, y0: float, x1: float, y1: float) -> None:
    """One side of the cut: a part is tinted, an offcut hatched, scrap crossed, a blank left white."""
    kind = fall.kind if fall is not None else "scrap"
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.2)
    if kind == "part":
        canvas.setFillColor("#DCEBF5")
        canvas.setStrokeColor(BLUE)
    else:
        canvas.setFillGray(1)
    canvas.rect(x0, y0, x1 - x0, y1 - y0, fill=1)
    if kind == "scrap":
        canvas.setLineWidth(0.6)
        canvas.setStrokeGray(0.45)
        canvas.line(x0, y0, x1, y1)
        canvas.line(x0, y1, x1, y0)
    if kind == "offcut":
        hatch(canvas, x0, y0, x1, y1, 7)


def hatch(canvas: Any, x0: float, y0: float, x1: float, y1: float, step: float) -> None:
    """Diagonal lines over a rectangle."""
    canvas.setStrokeColor(GREEN)
    canvas.setLineWidth(0.5)
    at = x0 - (y1 - y0) + step / 2
    while at < x1:
        start, end = max(at, x0), min(at + y1 - y0, x1)
        canvas.line(start, y0 + start - at, end, y0 + end - at)
        at += step


def _name(canvas: Any, fall: Fall | None, x0: float, x1: float, spot: Spot, height: float) -> None:
    """Name of a side (its id where the name is too long, smaller where that is) at a share of its height, level where
    it fits."""
    if fall is None:
        return
    room = spot.y1 - spot.y0
    text, middle = {"part": fall.name, "scrap": "scrap"}.get(fall.kind, fall.piece), (x0 + x1) / 2
    level, upright = x1 - x0 - 4, 2 * (1 - height) * room - 6
    if width_of(printable(text), RIG, bold=True) > max(level, upright):
        text = fall.piece
    sizes = (RIG, DESK, NEAR)
    size = next((each for each in sizes if width_of(printable(text), each, bold=True) <= max(level, upright)), NEAR)
    size *= min(
        1.0, max(level, upright, 8.0) / width_of(printable(text), size, bold=True)
    )  # half an id is another piece's
    across = width_of(printable(text), size, bold=True) <= level
    shown = as_read(printable(text))
    wide = width_of(shown, size, bold=True) + 4
    canvas.saveState()
    canvas.translate(middle, spot.y0 + height * room)
    if not across:
        canvas.rotate(90)
    canvas.setFillGray(1)
    if fall.kind != "part":
        canvas.rect(-wide / 2, -size * 0.5, wide, size, fill=1, stroke=0)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(0, -size * 0.36, shown)
    canvas.restoreState()


def _fence(canvas: Any, row: CutRow, right: float, y: float, height: float) -> None:
    x0, x1, y0, y1 = right - FENCE, right, y + 6, y + height - 6
    used = row.located == "fence"
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.2 if used else 0.6)
    canvas.setFillGray(0.82 if used else 1)
    canvas.setDash([] if used else [3, 2])
    canvas.rect(x0, y0, x1 - x0, y1 - y0, fill=1)
    canvas.setDash([])
    canvas.saveState()
    canvas.translate((x0 + x1) / 2, (y0 + y1) / 2)
    canvas.rotate(90)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, RIG)
    canvas.drawCentredString(0, -RIG * 0.36, "FENCE" if used else "no fence")
    canvas.restoreState()


def _start_and_stop(canvas: Any, row: CutRow, spot: Spot, x: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1)
    canvas.setDash([5, 2])
    canvas.line(x, spot.y0, spot.x1, spot.y0)
    canvas.setDash([])
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, RIG)
    canvas.drawString(x - 2, spot.y0 - 13, "start")
    top = spot.y1 + 10 if not row.passes else (spot.y0 + spot.y1) / 2 + 6
    canvas.setLineWidth(3)
    canvas.line(spot.torch - 10, top, spot.torch + 10, top)
    if not row.passes:
        canvas.drawString(x - 2, top - 3, "stop")


def _torch(canvas: Any, row: CutRow, spot: Spot) -> None:
    """Torch line with an arrow: whole, or half from each end with its number."""
    end = spot.y1 + 10
    canvas.setStrokeColor(VERMILLION)
    canvas.setFillColor(VERMILLION)
    canvas.setLineWidth(1.6)
    canvas.setDash([8, 2.5, 2, 2.5])
    if not row.passes:
        canvas.line(spot.torch, spot.y0 - 14, spot.torch, end)
        canvas.setDash([])
        _arrow(canvas, spot.torch, end - 3)
    else:
        middle = (spot.y0 + spot.y1) / 2
        canvas.line(spot.torch, spot.y0 - 14, spot.torch, middle + 4)
        canvas.setDash([2, 3])
        canvas.line(spot.torch, middle + 10, spot.torch, spot.y1)
        canvas.setDash([])
        _arrow(canvas, spot.torch, middle + 3)
        canvas.setFillGray(0)
        canvas.setFont(BOLD, RIG)
        canvas.drawString(spot.torch + 5, spot.y0 + 14, "1")
        canvas.drawString(spot.torch + 5, spot.y1 - 20, "2")
    if row.marks:
        for at in (spot.y0 + 0.2 * (spot.y1 - spot.y0), spot.y0 + 0.8 * (spot.y1 - spot.y0)):
            _mark(canvas, spot.torch, at)


def _arrow(canvas: Any, x: float, y: float) -> None:
    path = canvas.beginPath()
    path.moveTo(x, y)
    path.lineTo(x - 5, y - 11)
    path.lineTo(x + 5, y - 11)
    path.close()
    canvas.drawPath(path, fill=1, stroke=0)


def _mark(canvas: Any, x: float, y: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1.6)
    canvas.line(x - 6, y - 6, x + 6, y + 6)
    canvas.line(x - 6, y + 6, x + 6, y - 6)


def _letters(canvas: Any, row: CutRow, spot: Spot) -> None:
    """Letters of the edges: black where the edge goes on the fence or to the start line."""
    lie = row.lie
    wider = (spot.x0 + spot.torch) / 2 if spot.torch - spot.x0 >= spot.x1 - spot.torch else (spot.torch + spot.x1) / 2
    middle = (spot.y0 + spot.y1) / 2
    half = LETTER / 2
    _letter(canvas, lie.right, spot.x1 - half, middle, row.located == "fence")
    _letter(canvas, lie.left, spot.x0 - half - 1, middle, False)
    _letter(canvas, lie.start, wider, spot.y0 - half - 1, True)
    _letter(canvas, lie.end, wider, spot.y1 + half + 1, False)


def _letter(canvas: Any, letter: str, x: float, y: float, key: bool) -> None:
    canvas.setFillGray(0 if key else 1)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.6)
    canvas.rect(x - LETTER / 2, y - LETTER / 2, LETTER, LETTER, fill=1 if key else 0, stroke=1 if key else 0)
    canvas.setFillGray(1 if key else 0)
    canvas.setFont(BOLD, RIG)
    canvas.drawCentredString(x, y - RIG * 0.33, letter)
