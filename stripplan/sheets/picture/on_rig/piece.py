"""The small picture of a cut: how the piece lies on the rig, seen from above, carriage running up the page.

To scale, but for a piece longer than 12 to 1, which is broken with a break line across it, and for a side too narrow to
be seen, which is drawn as a line. Names stand beside with a leader where they do not fit in.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

from stripplan.sheets.paper.text import BOLD, DESK, NEAR, REGULAR, RIG, as_read, printable, width_of
from stripplan.sheets.picture.on_rig.beside import LETTER, Edges, Places, places
from stripplan.sheets.picture.on_rig.shape import draw_shape
from stripplan.sheets.picture.palette import BLUE, GREEN, VERMILLION
from stripplan.sheets.rows.row_types import CutRow, Fall, Lie

SLENDER = 12.0
"""A piece is to scale up to so many times as long as wide."""
BELOW = 16.0
"""Room under the piece for the letter of the edge at the start line [pt]."""
ABOVE = 16.0
"""Room over it for the end stop and a letter [pt]."""
FENCE, BESIDE = 14.0, 14.0
"""Width of the fence; room on the other side for a letter [pt]."""
SEEN = 1.4
"""Nothing of a piece is narrower on paper [pt]."""
NAMED = 0.6
"""Share of the width that a piece takes at most where a name stands beside it."""
CHALK = 3.0
"""Half the size of the sign where a piece is chalked [pt]."""


@dataclass(frozen=True)
class Spot:
    """Where the piece and the torch line lie on paper [pt]; `left` is where names beside it may begin, `top` where they
    may end. `broken` = whether it is longer than it is drawn, along or across the travel."""

    x0: float
    y0: float
    x1: float
    y1: float
    torch: float
    left: float = 0.0
    top: float = 0.0
    broken: str = ""

    @property
    def kerf(self) -> float:
        """Half the gap between both sides [pt]."""
        return float(min(1.6, 0.2 * min(self.torch - self.x0, self.x1 - self.torch)))


def draw_lie(canvas: Any, row: CutRow, x: float, y: float, width: float, height: float) -> None:
    """Draw the picture of a cut into a rectangle with its lower left corner at (x, y) [pt]."""
    if row.lie.shape is not None:
        draw_shape(canvas, row, row.lie.shape, x, y, width, height)
        return
    spot = spot_of(row, x, y, width, height)
    canvas.saveState()
    _falls(canvas, row, spot)
    _fence(canvas, row, x + width, y, height)
    at = _places(row, spot, x)
    _start_and_stop(canvas, row, spot, x, at)
    _torch(canvas, row, spot)
    _letters(canvas, row, spot, y + height, at)
    canvas.restoreState()


def spot_of(row: CutRow, x: float, y: float, width: float, height: float) -> Spot:
    """Where the piece lies in a rectangle: as large as it fits; smaller where a name needs room beside it."""
    room, high = width - FENCE - BESIDE, height - BELOW - ABOVE
    spot = _placed(row.lie, x, y, width, room, high)
    if any(fall is not None and not _fits(fall, row, spot) for fall in (row.left, row.right)):
        spot = _placed(row.lie, x, y, width, NAMED * room, high if spot.broken else 0.8 * high)
    return spot


def _placed(lie: Lie, x: float, y: float, width: float, room: float, high: float) -> Spot:
    across, along, broken = lie.on_fence + lie.beside or 1.0, lie.along or 1.0, ""
    if along > SLENDER * across:
        along, broken = SLENDER * across, "along"
    elif across > SLENDER * along:
        across, broken = SLENDER * along, "across"
    scale = min(room / across, high / along)
    wide = max(across * scale, 2 * SEEN)
    x1, y0 = x + width - FENCE, y + BELOW
    near, far = lie.on_fence * scale, lie.beside * scale
    right = near if near <= far else wide - far  # where it is broken, the smaller side is to scale
    right = min(max(right, SEEN), wide - SEEN)
    return Spot(x1 - wide, y0, x1, y0 + max(along * scale, 2 * SEEN), x1 - right, x, y0 + high + ABOVE / 2, broken)


def _falls(canvas: Any, row: CutRow, spot: Spot) -> None:
    half = spot.kerf
    _half(canvas, row.left, spot.x0, spot.y0, spot.torch - half, spot.y1)
    _half(canvas, row.right, spot.torch + half, spot.y0, spot.x1, spot.y1)
    _break(canvas, spot)
    beside = 0
    for fall, x0, x1 in ((row.left, spot.x0, spot.torch - half), (row.right, spot.torch + half, spot.x1)):
        if fall is None:
            continue
        if "chalk" in fall.doing:
            _chalk(canvas, (x0 + x1) / 2, spot.y0, min(CHALK, max((x1 - x0) / 2, 1.5)))
        if _fits(fall, row, spot):
            _name(canvas, fall, x0, x1, spot, _height(row))
        else:
            _name_beside(canvas, fall, (x0 + x1) / 2, spot, beside, right=fall is row.right)
            beside += 1


def _height(row: CutRow) -> float:
    """Where along the piece a name stands: clear of the stop inside the metal."""
    return 0.72 if row.passes else 0.5


def _fits(fall: Fall, row: CutRow, spot: Spot) -> bool:
    """Whether its id goes into its side, level or upright, in letters that can be read."""
    wide = (spot.torch - spot.x0 if fall is row.left else spot.x1 - spot.torch) - spot.kerf - (14 if row.marks else 3)
    room = 2 * (1 - _height(row)) * (spot.y1 - spot.y0) - 4
    text = width_of(printable(_called(fall, short=True)), NEAR, bold=True)
    return (wide >= text and room >= NEAR) or (wide >= NEAR and room >= text)


def _called(fall: Fall, *, short: bool = False) -> str:
    """Name of a side: the part's, "scrap", or its id, which is `short` too."""
    if fall.kind == "scrap":
        return "scrap"
    return fall.name if fall.kind == "part" and not short else fall.piece


def _name_beside(canvas: Any, fall: Fall, x: float, spot: Spot, number: int, *, right: bool) -> None:
    """A name left of the piece or, where that is wide, over it, with a leader to its side."""
    column = spot.x0 - LETTER - 2 - spot.left
    above = spot.top - spot.y1 > column
    room = spot.x1 - spot.left if above else column
    size, text = (NEAR if above else DESK), _called(fall)
    text = text if width_of(printable(text), size, bold=True) <= room else fall.piece
    shown = as_read(printable(text))
    size *= min(1.0, room / width_of(shown, size, bold=True))
    half = width_of(shown, size, bold=True) / 2
    if above:
        middle = spot.x1 - half if right else spot.left + half
        at, end = (middle, spot.y1 + ABOVE + (1.7 - 1.1 * number) * NEAR), (x, (spot.y0 + spot.y1) / 2)
        start = min(max(x, middle - half), middle + half), at[1]
    else:
        apart = max(0.22 * (spot.y1 - spot.y0), 0.5 * size)  # both names of a low piece stand clear of each other
        at = spot.left + half, (spot.y0 + spot.y1) / 2 + (apart if number == 0 else -apart)
        start, end = (at[0] + half + 1, at[1]), (x, at[1])
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.5)
    canvas.line(*start, *end)
    canvas.setFillGray(1)
    canvas.rect(at[0] - half - 1, at[1] - size * 0.5, 2 * half + 2, size, fill=1, stroke=0)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(at[0], at[1] - size * 0.36, shown)


def _break(canvas: Any, spot: Spot) -> None:
    """Two zigzag lines across a piece that is longer than it is drawn; what is between them is left out."""
    if not spot.broken:
        return
    if spot.broken == "along":
        middle = spot.y0 + 0.32 * (spot.y1 - spot.y0)
        ways = [(spot.x0 - 4 + (spot.x1 - spot.x0 + 8) * k / 4, middle + (2.0 if k % 2 else -2.0)) for k in range(5)]
        shift = (0.0, 4.0)
    else:
        widest = (spot.x0, spot.torch) if spot.torch - spot.x0 > spot.x1 - spot.torch else (spot.torch, spot.x1)
        middle = widest[0] + 0.3 * (widest[1] - widest[0])
        ways = [(middle + (2.0 if k % 2 else -2.0), spot.y0 - 4 + (spot.y1 - spot.y0 + 8) * k / 4) for k in range(5)]
        shift = (4.0, 0.0)
    path = canvas.beginPath()
    back = [(px + shift[0], py + shift[1]) for px, py in reversed(ways)]
    path.moveTo(*ways[0])
    for point in [*ways[1:], *back]:
        path.lineTo(*point)
    path.close()
    canvas.setFillGray(1)
    canvas.drawPath(path, fill=1, stroke=0)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.6)
    for line in (ways, back):
        for one, other in itertools.pairwise(line):
            canvas.line(*one, *other)


def _chalk(canvas: Any, x: float, y: float, half: float) -> None:
    """The sign at the end where a piece is chalked: a black lozenge."""
    path = canvas.beginPath()
    path.moveTo(x, y)
    for point in ((x + half, y + CHALK), (x, y + 2 * CHALK), (x - half, y + CHALK)):
        path.lineTo(*point)
    path.close()
    canvas.setFillGray(0)
    canvas.drawPath(path, fill=1, stroke=0)


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


def _name(canvas: Any, fall: Fall, x0: float, x1: float, spot: Spot, height: float) -> None:
    """Name of a side (its id where the name is too long, smaller where that is) at a share of its height, level where
    it fits."""
    room = spot.y1 - spot.y0
    text, middle = _called(fall), (x0 + x1) / 2
    level, upright = x1 - x0 - 3, 2 * (1 - height) * room - 4
    level, upright = level if room >= NEAR else 0.0, upright if x1 - x0 >= NEAR else 0.0
    if width_of(printable(text), RIG, bold=True) > max(level, upright):
        text = _called(fall, short=True)
    sizes = (RIG, DESK, NEAR)
    size = next((each for each in sizes if width_of(printable(text), each, bold=True) <= max(level, upright)), NEAR)
    size *= min(
        1.0, max(level, upright, 8.0) / width_of(printable(text), size, bold=True)
    )  # half an id is another piece's
    across = width_of(printable(text), size, bold=True) <= level
    size = min(size, room if across else x1 - x0)
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
    canvas.translate((x0 + x1) / 2, (y0 + y1 - (LETTER if used else 0)) / 2)
    canvas.rotate(90)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, DESK)
    canvas.drawCentredString(0, -DESK * 0.36, "FENCE" if used else "no fence")
    canvas.restoreState()


def _start_and_stop(canvas: Any, row: CutRow, spot: Spot, x: float, at: Places) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(1)
    canvas.setDash([5, 2])
    canvas.line(x, spot.y0, spot.x1, spot.y0)
    canvas.setDash([])
    canvas.setFillGray(0)
    canvas.setFont(REGULAR, at.size)
    canvas.drawString(*at.word, "start")
    top = _stop(row, spot)
    canvas.setLineWidth(3)
    canvas.line(max(spot.torch - 10, spot.x0 - 1), top, min(spot.torch + 10, spot.x1), top)
    if at.stop is not None:
        canvas.drawString(*at.stop, "stop")


def _stop(row: CutRow, spot: Spot) -> float:
    """Height of the bar of the stop: past the piece, or inside it where two passes meet [pt]."""
    return (spot.y0 + spot.y1) / 2 + 6 if row.passes else spot.y1 + 10


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
        beside = spot.torch + 4 if spot.torch + 4 + width_of("2", RIG, bold=True) <= spot.x1 else spot.torch - 12
        canvas.drawString(beside, spot.y0 - 12, "1")  # no fence stands over it
        canvas.drawString(beside, spot.y1 + 3, "2")
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


def _places(row: CutRow, spot: Spot, x: float) -> Places:
    edges = Edges(
        spot.x0, spot.y0, spot.x1, spot.y1, spot.torch, _stop(row, spot), row.located == "fence", not row.passes
    )
    return places(edges, x)


def _letters(canvas: Any, row: CutRow, spot: Spot, top: float, at: Places) -> None:
    """Letters of the edges: black where the edge goes on the fence or to the start line."""
    lie = row.lie
    if at.right is None:
        _letter(canvas, lie.right, spot.x1 + FENCE / 2, top - LETTER / 2 - 7, True)
    else:
        _letter(canvas, lie.right, *at.right, False)
    _letter(canvas, lie.left, *at.left, False)
    _letter(canvas, lie.start, *at.start, True)
    _letter(canvas, lie.end, *at.end, False)


def _letter(canvas: Any, letter: str, x: float, y: float, key: bool) -> None:
    canvas.setFillGray(0 if key else 1)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.6)
    canvas.rect(x - LETTER / 2, y - LETTER / 2, LETTER, LETTER, fill=1 if key else 0, stroke=1 if key else 0)
    canvas.setFillGray(1 if key else 0)
    canvas.setFont(BOLD, RIG)
    canvas.drawCentredString(x, y - RIG * 0.33, letter)
