"""A plan to the picture of one plate."""

from __future__ import annotations

import math

from ..model.cut import Cut
from ..model.piece import Piece
from ..model.plan import Plan, PlanPlate
from ..model.units import show_length
from .picture import Bubble, Dimension, Layer, Line, Outline, Picture, Point, Text

Reading = tuple[str, int]
"""Units that the person reads, and the fraction of an inch to show."""

EDGE_LETTERS = "ABCD"
"""Edges of the plate on paper: y = 0, x = length, y = width, x = 0."""

_USUAL = frozenset("abcdeghknopqrsuvxyz0123456789äöüßàáâãåçèéêëñòóôõøùúûýÿ")
_NARROW = frozenset(" .,:;'|!ijlIft()[]/-ìíîï")
"""Letters of DejaVu Sans at most 0.95 and 0.6 as wide as capitals are high; Latin at most 1.5, others 1.7."""


def plate_picture(plan: Plan, plate_id: str) -> Picture:
    """The picture of a plate: pieces, numbered cuts, names with sizes, outer dimensions."""
    plate = next(each for each in plan.plates if each.id == plate_id)
    units = (str(plan.job["units"]), int(plan.job.get("inch_fraction", 32)))
    cuts = [cut for cut in plan.cuts if cut.plate == plate_id]
    ends = [piece for piece in plan.pieces if piece.plate == plate_id and piece.kind not in ("blank", "plate")]
    size = max(plate.length, plate.width)
    margin = 0.09 * size
    outlines = [Outline("PLATE", _rectangle(0, 0, plate.length, plate.width))]
    outlines += [Outline("KERF", _kerf_band(cut)) for cut in cuts]
    outlines += [Outline(_layer(piece), piece.outline) for piece in ends]
    return Picture(
        title=f"{plan.job['name']}: plate {plate.id} ({plate.stock})",
        box=(-margin, -margin, plate.length + margin, plate.width + margin),
        outlines=tuple(outlines),
        lines=tuple(_torch_line(plan, cut) for cut in cuts),
        texts=tuple(
            [t for piece in ends if (t := _label(piece, size, units)) is not None] + _edge_letters(plate, size)
        ),
        bubbles=_bubbles(cuts, size),
        dimensions=_dimensions(plate, margin, units),
    )


def extent(piece: Piece) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of a piece [mm]."""
    xs, ys = [p[0] for p in piece.outline], [p[1] for p in piece.outline]
    return min(xs), min(ys), max(xs), max(ys)


def piece_size(piece: Piece, units: Reading) -> str:
    """Size of a piece to read, longer side first."""
    x0, y0, x1, y1 = extent(piece)
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    return f"{show_length(long, *units)} x {show_length(short, *units)}"


def _wide(text: str) -> float:
    """Greatest width of a text over the height of its capitals."""
    return sum(_letter_width(letter) for letter in text) or 1.0


def _letter_width(letter: str) -> float:
    if letter in _NARROW:
        return 0.6
    if letter in _USUAL:
        return 0.95
    if "A" <= letter <= "Z" and letter not in "MW":
        return 1.1
    return 1.5 if ord(letter) < 0x180 else 1.7


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _layer(piece: Piece) -> Layer:
    layers: dict[str, Layer] = {"part": "PART", "offcut": "OFFCUT", "scrap": "SCRAP"}
    return layers[piece.kind]


def _kerf_band(cut: Cut) -> tuple[Point, ...]:
    (x0, y0), (x1, y1) = cut.line
    half = cut.kerf / 2
    if y0 == y1:
        return _rectangle(min(x0, x1), y0 - half, max(x0, x1), y0 + half)
    return _rectangle(x0 - half, min(y0, y1), x0 + half, max(y0, y1))


def _torch_line(plan: Plan, cut: Cut) -> Line:
    """The centreline with its lead-in and the overrun that its end stop gives it."""
    (x0, y0), (x1, y1) = cut.line
    dx, dy = (x1 - x0) / cut.length, (y1 - y0) / cut.length
    lead = plan.rig["lead_in"]
    beyond = lead if len(cut.passes) == 2 else cut.passes[0].end_stop - lead - cut.length
    return Line("CUT", (x0 - dx * lead, y0 - dy * lead), (x1 + dx * beyond, y1 + dy * beyond))


def _label(piece: Piece, size: float, units: Reading) -> Text | None:
    """The fullest label that fits its piece: name and size, name, id."""
    x0, y0, x1, y1 = extent(piece)
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    measures = piece_size(piece, units)
    name = piece.part or piece.kind
    if piece.kind == "scrap":
        words = [measures] if short > 0.03 * size else []
    elif piece.kind == "offcut":
        words = [f"offcut {measures}", measures]
    else:
        words = [f"{name}  {measures}", name if len(name) <= 14 else name[:13] + "…", piece.id]
    least, most = size / 170, size / 55
    for text in words:
        height = min(0.55 * short, most, 0.95 * long / _wide(text))
        if height >= least:
            return Text("TEXT", ((x0 + x1) / 2, (y0 + y1) / 2), text, height, upright=(y1 - y0) > (x1 - x0))
    if piece.kind == "scrap":
        return None
    # A narrow strip limits the height whatever is written: then the fullest text that is not squeezed further.
    text = next((each for each in words if 0.95 * long / _wide(each) >= 0.6 * short), piece.id)
    height = min(0.6 * short, 0.95 * long / _wide(text))
    return Text("TEXT", ((x0 + x1) / 2, (y0 + y1) / 2), text, height, upright=(y1 - y0) > (x1 - x0))


def _edge_letters(plate: PlanPlate, size: float) -> list[Text]:
    off, height = size / 30, size / 45
    places = (
        (plate.length * 0.25, -off), (plate.length + off, plate.width * 0.25),
        (plate.length * 0.25, plate.width + off), (-off, plate.width * 0.25),
    )  # fmt: skip
    return [Text("TEXT", at, letter, height, bold=True) for at, letter in zip(places, EDGE_LETTERS, strict=True)]


def _bubbles(cuts: list[Cut], size: float) -> tuple[Bubble, ...]:
    """Numbers a little outside the entry of each cut, moved along it where they would lie on one another."""
    placed: list[Bubble] = []
    for cut in cuts:
        radius = min(size / 80, max(size / 140, 0.16 * cut.length))
        (x0, y0), (x1, y1) = cut.line
        dx, dy = (x1 - x0) / cut.length, (y1 - y0) / cut.length
        along = radius * 1.2
        for _ in range(40):
            at = (x0 + dx * along, y0 + dy * along)
            if (
                all(math.dist(at, other.at) > 1.05 * (radius + other.radius) for other in placed)
                or along > cut.length - radius
            ):
                break
            along += 1.1 * radius
        placed.append(Bubble(at, cut.number, radius))
    return tuple(placed)


def _dimensions(plate: PlanPlate, margin: float, units: Reading) -> tuple[Dimension, ...]:
    return (
        Dimension((0, 0), (plate.length, 0), margin * 0.7, show_length(plate.length, *units)),
        Dimension((plate.length, 0), (plate.length, plate.width), margin * 0.7, show_length(plate.width, *units)),
    )
