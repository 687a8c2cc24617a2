"""A plan to the picture of one plate.

Numbers of cuts find their place first, the shortest cuts before the others, then labels, each inside its piece:
each takes the free spot nearest to where it belongs, and shrinks where there is none. So nothing written lies on
anything else, however many cuts a plate has.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.sheets.picture.lettering import Box, Reading, Taken, text_box, text_width, within
from stripplan.sheets.picture.on_plate.bevel_lines import bevel_lines
from stripplan.sheets.picture.on_plate.holes import holes_of, parts_with_holes
from stripplan.sheets.picture.on_plate.piece_labels import as_labelled, holes_and_label
from stripplan.sheets.picture.polygons import angles_of
from stripplan.sheets.picture.shapes import (
    Bubble,
    Dimension,
    Frame,
    Layer,
    Line,
    Outline,
    Picture,
    Point,
    Text,
)
from stripplan.sheets.rows.lookup import EDGE_LETTERS
from stripplan.sheets.worked_out_once import once_a_plan
from stripplan.wording.quantity import show_length


@once_a_plan
def plate_picture(
    plan: Plan,
    plate_id: str,
    *,
    around: float | None = None,
    broken: bool = True,
    written: float | None = None,
    regions: tuple[Region, ...] = (),
    beside: bool = False,
) -> Picture:
    """The picture of a plate: pieces, numbered cuts, names with sizes, outer dimensions, holes that are made later.

    What is written around the plate is sized for a plate of `around` [mm], so that several plates may share
    a drawing, and what is written on it for one of `written`; None = for this plate's own longer side. Names of several
    words may be `broken` into lines, but where a program is to read them. `regions` are drawn larger elsewhere: here
    they are framed, with their letter in place of what is written there. Numbers stand on the lines of their cuts,
    which a painter breaks there, or `beside` them where a line must stay whole.
    """
    plate = next(each for each in plan.plates if each.id == plate_id)
    units = (plan.job.units, plan.job.inch_fraction)
    cuts = [cut for cut in plan.cuts if cut.plate == plate_id]
    ends = [
        as_labelled(plan, each)
        for each in plan.pieces
        if each.plate == plate_id and each.kind not in ("blank", "plate")
    ]
    size = written or max(plate.length, plate.width)
    taken = Taken(size / 20)
    frames = tuple(_frame(region, size) for region in regions)
    for frame in frames:
        taken.add(text_box(frame.letter))
    here = [cut for cut in cuts if not any(within(line_box(cut), each.box) for each in regions)]
    named = [piece for piece in ends if not any(within(piece.box, each.box) for each in regions)]
    bubbles, arrows = numbers(here, size, taken, beside=beside)
    slanted = [cut for cut in here if _slants(cut)]
    angles = tuple(angles_of(slanted, size, taken))
    bevels = tuple(bevel_lines(plan, plate_id, size))
    for bevel in bevels:
        taken.add(text_box(bevel.text))
    parts = parts_with_holes(plan)
    holes = tuple(each for piece in ends for each in holes_of(parts, piece))
    labels = [text for piece in named for text in holes_and_label(piece, parts, size, units, taken, broken=broken)]
    outlines = [Outline("PLATE", _rectangle(0, 0, plate.length, plate.width))]
    outlines += [Outline("KERF", kerf_band(cut)) for cut in cuts]
    outlines += [Outline(layer_of(piece), piece.outline) for piece in ends]
    lines = tuple(torch_line(plan, cut) for cut in cuts)
    margin = 0.09 * (around or size)
    pairs = list(zip(cuts, lines, strict=True))
    positions = tuple(_positions(plate, pairs, (around or size) / 100, units))
    dimensions = _dimensions(plate, margin, units)
    figures = [_figure_of(each, (around or size) / 60) for each in dimensions]
    letters = edge_letters(plate, around or size, clear_of=[*positions, *figures])
    return Picture(
        title=f"{plan.job.name}: plate {plate.id} ({plate.stock})",
        box=_box(plate, margin, lines, (*positions, *letters)),
        outlines=tuple(outlines + arrows),
        lines=lines,
        texts=tuple(labels + letters),
        bubbles=bubbles,
        dimensions=dimensions,
        positions=positions,
        holes=holes,
        frames=frames,
        angles=angles,
        bevels=bevels,
    )


@dataclass(frozen=True)
class Region:
    """A part of a plate that is drawn larger elsewhere, and its letter there."""

    letter: str
    box: Box


def _frame(region: Region, size: float) -> Frame:
    x0, y0, x1, y1 = region.box
    return Frame(Text("TEXT", ((x0 + x1) / 2, (y0 + y1) / 2), region.letter, size / 40, bold=True), region.box)


def line_box(cut: Cut) -> Box:
    """The box of a torch line inside the metal."""
    return _around(cut.line)


def _around(points: tuple[Point, ...]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _box(plate: PlanPlate, margin: float, lines: tuple[Line, ...], positions: tuple[Text, ...]) -> Box:
    """The plate with a margin, wider where a lead-in, an overrun, a position or a letter would leave it."""
    ends = [point for line in lines for point in (line.start, line.end)]
    corners = [point for box in map(text_box, positions) for point in (box[:2], box[2:])]
    x0, y0, x1, y1 = _around(((0.0, 0.0), (plate.length, plate.width), *ends, *corners))
    air = margin / 6
    return (
        min(-margin, x0 - air), min(-margin, y0 - air),
        max(plate.length + margin, x1 + air), max(plate.width + margin, y1 + air),
    )  # fmt: skip


def layer_of(piece: Piece) -> Layer:
    layers: dict[str, Layer] = {"part": "PART", "offcut": "OFFCUT", "scrap": "SCRAP"}
    return layers[piece.kind]


def kerf_band(cut: Cut) -> tuple[Point, ...]:
    (x0, y0), (x1, y1) = cut.line
    half = cut.kerf / 2
    if y0 == y1:
        return _rectangle(min(x0, x1), y0 - half, max(x0, x1), y0 + half)
    if x0 != x1:  # aslant
        return tuple(point_along(cut, along, aside) for along, aside in _corners_of_band(cut.length, half))
    return _rectangle(x0 - half, min(y0, y1), x0 + half, max(y0, y1))


def _corners_of_band(length: float, half: float) -> tuple[Point, ...]:
    return (0.0, -half), (length, -half), (length, half), (0.0, half)


def torch_line(plan: Plan, cut: Cut) -> Line:
    """The centreline with its lead-in and the overrun that its end stop gives it."""
    lead = plan.rig.lead_in
    beyond = lead if len(cut.passes) == 2 else cut.passes[0].end_stop - lead - cut.length
    return Line("CUT", point_along(cut, -lead), point_along(cut, cut.length + beyond))


def point_along(cut: Cut, distance: float, aside: float = 0.0) -> Point:
    """The point at a distance from the entry along a torch line, and to the left of it."""
    (x0, y0), (x1, y1) = cut.line
    dx, dy = (x1 - x0) / cut.length, (y1 - y0) / cut.length
    return x0 + dx * distance - dy * aside, y0 + dy * distance + dx * aside


def numbers(
    cuts: list[Cut], size: float, taken: Taken, *, beside: bool = False
) -> tuple[tuple[Bubble, ...], list[Outline]]:
    """Numbers near the entry of each cut, an arrowhead behind each; a second one where a second pass enters. On their
    lines, or `beside` them and clear of all that lie along the plate."""
    bubbles: dict[int, Bubble] = {}
    arrows: dict[int, list[Outline]] = {}
    lines = _LinesOfCuts(cuts, size)
    for cut in sorted(cuts, key=lambda each: (each.length, each.number)):
        radius, at, side = _spot_beside(cut, size, taken, lines) if beside else (*_spot_on(cut, size, taken), 0)
        taken.add(_number_box(cut, at, radius, side))
        bubbles[cut.number] = Bubble(point_along(cut, at, side * ASIDE * radius), cut.number, radius)
        arrows[cut.number] = [arrowhead(cut, at + radius, radius)]
        if len(cut.passes) == 2:
            arrows[cut.number].append(_second_arrow(cut, radius, at + 2 * radius, taken))
    return tuple(bubbles[key] for key in sorted(bubbles)), [each for key in sorted(arrows) for each in arrows[key]]


ASIDE = 1.25
"""How far the middle of a number that stands beside its line is off that, over its radius."""
SMALLER_BESIDE = 5
"""Sizes of a number that are tried beside its line, each a fifth smaller: among hair strips one that is smaller still
is read no better there than on the line, and would be looked for along all of it.
"""


def _slants(cut: Cut) -> bool:
    (ax, ay), (bx, by) = cut.line
    return ax != bx and ay != by


class _LinesOfCuts:
    """Lines of cuts, and whether a number stands clear of all of them."""

    def __init__(self, cuts: Sequence[Cut], size: float) -> None:
        self._slanted = [cut for cut in cuts if _slants(cut)]
        self._along = Taken(size / 20)
        for cut in cuts:
            if not _slants(cut):
                self._along.add(_around(cut.line))

    def clear(self, box: Box, middle: Point, radius: float) -> bool:
        """Whether no line runs through a box, or nearer to its middle than the radius."""
        return self._along.free(box) and not any(_off(each, middle) < 1.06 * radius for each in self._slanted)


def _spot_beside(cut: Cut, size: float, taken: Taken, lines: _LinesOfCuts) -> tuple[float, float, int]:
    """Radius, distance from the entry and side of a number beside its line (1 left, -1 right), the largest that is near
    the entry if it may shrink a little, else anywhere; on the line (0) where there is none."""
    for radius, at in _spots(cut, size, smaller=SMALLER_BESIDE):
        for side in (1, -1):
            box = _number_box(cut, at, radius, side)
            if taken.free(box) and lines.clear(box, point_along(cut, at, side * ASIDE * radius), radius):
                return radius, at, side
    return (*_spot_on(cut, size, taken), 0)


def _off(cut: Cut, point: Point) -> float:
    """How far a point is off the line of a cut, or off its nearer end [mm]."""
    (ax, ay), (bx, by) = cut.line
    share = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / cut.length**2
    x, y = point_along(cut, min(1.0, max(0.0, share)) * cut.length)
    return math.dist((x, y), point)


def _spot_on(cut: Cut, size: float, taken: Taken) -> tuple[float, float]:
    """Radius and distance from the entry of a number on its line: near the entry if it may shrink a little, else the
    largest."""
    smallest = size
    for radius, at in _spots(cut, size):
        smallest = radius
        if taken.free(_number_box(cut, at, radius, 0)):
            return radius, at
    return smallest, 1.2 * smallest


def _spots(cut: Cut, size: float, *, smaller: int = 16) -> Iterator[tuple[float, float]]:
    """Radii of a number and distances of its middle from the entry, those that are to be tried first before others."""
    greatest = min(size / 80, max(size / 140, 0.16 * cut.length), 0.3 * cut.length)
    near = [(greatest * 0.8**each, 9 * greatest) for each in range(3)]
    anywhere = [(greatest * 0.8**each, cut.length) for each in range(smaller)]
    for radius, reach in near + anywhere:
        for step in range(int((min(reach, cut.length) - 3.2 * radius) / (0.5 * radius)) + 1):
            yield radius, (1.2 + 0.5 * step) * radius


def _number_box(cut: Cut, at: float, radius: float, side: int) -> Box:
    """What a number and its arrowhead fill, with a little air; beside the line, what the number does."""
    air = 1.06 * radius
    if side:
        x, y = point_along(cut, at, side * ASIDE * radius)
        return x - air, y - air, x + air, y + air
    return _around((point_along(cut, at - air, air), point_along(cut, at + 2 * radius, -air)))


def _second_arrow(cut: Cut, length: float, first: float, taken: Taken) -> Outline:
    """The arrowhead of the second pass, pointing back: the free spot nearest to the far end, `first` at the least."""
    for size in (length, length / 2, length / 4):
        for step in range(max(1, int((cut.length - first) / size) - 1)):
            start = cut.length - (0.5 + step) * size
            box = _around((point_along(cut, start - size, size / 2), point_along(cut, start, -size / 2)))
            if taken.free(box):
                taken.add(box)
                return arrowhead(cut, start, -size)
    return arrowhead(cut, cut.length, -size)


def arrowhead(cut: Cut, start: float, length: float) -> Outline:
    """An arrowhead on the torch line from `start` on; a negative length points back."""
    half = abs(length) * 0.45
    return Outline(
        "TEXT", (point_along(cut, start, half), point_along(cut, start, -half), point_along(cut, start + length))
    )


_LETTER_AT = (0.25, 0.2, 0.3, 0.15, 0.35, 0.1, 0.4, 0.45, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9)
"""Shares of an edge where its letter may stand, the first that is free."""


def edge_letters(plate: PlanPlate, size: float, *, clear_of: Sequence[Text] = ()) -> list[Text]:
    """The letters of the edges, each beside its edge; a letter gives way to a figure, and stands behind a row of them
    that leaves it no room."""
    off, height = size / 30, size / 45
    taken = Taken(10 * height)
    for each in clear_of:
        taken.add(text_box(each))
    found = []
    for number in range(len(EDGE_LETTERS)):
        tries = [_letter(plate, number, share, far * off, height) for far in (1, 2.4, 3.8) for share in _LETTER_AT]
        found.append(next((each for each in tries if taken.free(text_box(each))), tries[0]))
    return found


def _letter(plate: PlanPlate, number: int, share: float, off: float, height: float) -> Text:
    places = (
        (plate.length * share, -off), (plate.length + off, plate.width * share),
        (plate.length * share, plate.width + off), (-off, plate.width * share),
    )  # fmt: skip
    return Text("TEXT", places[number], EDGE_LETTERS[number], height, bold=True)


def _positions(plate: PlanPlate, cuts: list[tuple[Cut, Line]], height: float, units: Reading) -> Iterator[Text]:
    """How far torch lines that leave the plate lie from edge A or D, written at edges D and C, where there is room."""
    taken = Taken(10 * height)
    for cut, line in sorted(cuts, key=lambda pair: (-pair[0].length, pair[0].number)):
        text = _position(plate, cut, line, height, units)
        if text is not None and taken.free(text_box(text)):
            taken.add(text_box(text))
            yield text


def _position(plate: PlanPlate, cut: Cut, line: Line, height: float, units: Reading) -> Text | None:
    """The position of one torch line beyond the end that leaves the plate; None if neither end does."""
    level = cut.line[0][1] == cut.line[1][1]
    if not level and cut.line[0][0] != cut.line[1][0]:
        return None  # a line that slants has no one distance from an edge
    axis = 0 if level else 1
    low, high = sorted(point[axis] for point in cut.line)
    if (level and low > cut.kerf) or (not level and high < plate.width - cut.kerf):
        return None
    shown = f"{'A' if level else 'D'} {show_length(cut.line[0][1 - axis], *units)}"
    half = text_width(shown) * height / 2 + height / 2
    if level:
        return Text("DIM", (min(line.start[0], line.end[0]) - half, cut.line[0][1]), shown, height)
    return Text("DIM", (cut.line[0][0], max(line.start[1], line.end[1]) + half), shown, height, upright=True)


def _figure_of(each: Dimension, height: float) -> Text:
    """Where the figure of a dimension stands at most: between its line and the plate."""
    (ax, ay), (bx, by) = each.start, each.end
    middle, off = ((ax + bx) / 2, (ay + by) / 2), each.offset - 0.8 * height
    if ay == by:
        return Text("DIM", (middle[0], middle[1] - off), each.text, height)
    return Text("DIM", (middle[0] + off, middle[1]), each.text, height, upright=True)


def _dimensions(plate: PlanPlate, margin: float, units: Reading) -> tuple[Dimension, ...]:
    return (
        Dimension((0, 0), (plate.length, 0), margin * 0.7, show_length(plate.length, *units)),
        Dimension((plate.length, 0), (plate.length, plate.width), margin * 0.7, show_length(plate.width, *units)),
    )
