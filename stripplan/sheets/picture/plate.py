"""A plan to the picture of one plate.

Numbers of cuts find their place first, the shortest cuts before the others, then labels, each inside its piece:
each takes the free spot nearest to where it belongs, and shrinks where there is none. So nothing written lies on
anything else, however many cuts a plate has.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stripplan.model.part import Part
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.sheets.picture.holes import holes_of, parts_with_holes
from stripplan.sheets.picture.shapes import (
    Bubble,
    Dimension,
    Drilled,
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

Reading = tuple[str, int]
"""Units that the person reads, and the fraction of an inch to show."""

Lines = tuple[str, ...]
"""A label, line by line."""

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 [mm]."""

_USUAL = frozenset("abcdeghknopqrsuvxyz0123456789äöüßàáâãåçèéêëñòóôõøùúûýÿ")
_NARROW = frozenset(" .,:;'|!ijlIft()[]/-ìíîï")
"""Letters of DejaVu Sans at most 0.95 and 0.6 as wide as capitals are high; Latin at most 1.5, others 1.7."""

_PITCH = 1.6
"""From one line of a label to the next, over the height of capitals."""

_ALONG = sorted((each / 8 for each in range(-8, 9)), key=lambda share: (abs(share), share))
"""Shares of the room along a piece by which a label may move from the middle, the middle first."""


@once_a_plan
def plate_picture(
    plan: Plan,
    plate_id: str,
    *,
    around: float | None = None,
    broken: bool = True,
    written: float | None = None,
    regions: tuple[Region, ...] = (),
) -> Picture:
    """The picture of a plate: pieces, numbered cuts, names with sizes, outer dimensions, holes that are made later.

    What is written around the plate is sized for a plate of `around` [mm], so that several plates may share
    a drawing, and what is written on it for one of `written`; None = for this plate's own longer side. Names of several
    words may be `broken` into lines, but where a program is to read them. `regions` are drawn larger elsewhere: here
    they are framed, with their letter in place of what is written there.
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
    bubbles, arrows = numbers(here, size, taken)
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
    )


@dataclass(frozen=True)
class Region:
    """A part of a plate that is drawn larger elsewhere, and its letter there."""

    letter: str
    box: Box


def _frame(region: Region, size: float) -> Frame:
    x0, y0, x1, y1 = region.box
    return Frame(Text("TEXT", ((x0 + x1) / 2, (y0 + y1) / 2), region.letter, size / 40, bold=True), region.box)


def within(inner: Box, outer: Box) -> bool:
    """Whether a box lies in another, edges included."""
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def line_box(cut: Cut) -> Box:
    """The box of a torch line inside the metal."""
    return _around(cut.line)


def holes_and_label(
    piece: Piece, parts: Mapping[str, Part], size: float, units: Reading, taken: Taken, *, broken: bool
) -> list[Text]:
    """What is written on a piece: sizes of its holes, each once and with how many there are, its name and size. A size
    of a hole that finds no place is told below."""
    holes = holes_of(parts, piece)
    for each in holes:
        taken.add(each.box)
    sizes = Counter(_hole_size(each, units) for each in holes)
    texts = []
    for shown, count in sizes.items():
        words = f"{count} × {shown}" if count > 1 else shown
        tries = (each for hole in holes if _hole_size(hole, units) == shown for each in _beside_hole(hole, words, size))
        found = next((each for each in tries if within(text_box(each), piece.box) and taken.free(text_box(each))), None)
        if found is not None:
            taken.add(text_box(found))
            texts.append(found)
    return [*texts, *piece_label(piece, size, units, taken, broken=broken)]


def _hole_size(hole: Drilled, units: Reading) -> str:
    if hole.round:
        return f"⌀ {show_length(hole.wide, *units)}"
    return f"{show_length(max(hole.wide, hole.high), *units)} × {show_length(min(hole.wide, hole.high), *units)}"


def _beside_hole(hole: Drilled, words: str, size: float) -> Iterator[Text]:
    """Places of a text on the four sides of a hole, as large as can be read on paper, then on a screen."""
    (x, y) = hole.at
    for height in (size / 100, size / 170):
        half, off = text_width(words) * height / 2, 0.9 * height
        yield Text("TEXT", (x + hole.wide / 2 + half + off, y), words, height)
        yield Text("TEXT", (x - hole.wide / 2 - half - off, y), words, height)
        yield Text("TEXT", (x, y + hole.high / 2 + off), words, height)
        yield Text("TEXT", (x, y - hole.high / 2 - off), words, height)


def piece_size(piece: Piece, units: Reading) -> str:
    """Size of a piece to read, longer side first."""
    x0, y0, x1, y1 = piece.box
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    return f"{show_length(long, *units)} x {show_length(short, *units)}"


class Taken:
    """Boxes in which something is written, found again by the cells of a coarse grid."""

    def __init__(self, cell: float) -> None:
        self._cell = cell
        self._boxes: dict[tuple[int, int], list[Box]] = {}

    def add(self, box: Box) -> None:
        """Take a box."""
        for key in self._cells(box):
            self._boxes.setdefault(key, []).append(box)

    def free(self, box: Box) -> bool:
        """Whether nothing that was taken reaches into a box."""
        return not any(meet(box, other) for key in self._cells(box) for other in self._boxes.get(key, ()))

    def near(self, box: Box) -> list[Box]:
        """What was taken and reaches into a box."""
        found = {other for key in self._cells(box) for other in self._boxes.get(key, ()) if meet(box, other)}
        return list(found)

    def _cells(self, box: Box) -> list[tuple[int, int]]:
        x0, y0, x1, y1 = (math.floor(each / self._cell) for each in box)
        return [(x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)]


def meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def text_box(text: Text) -> Box:
    """The box that a text fills at most."""
    return _line_box(text.at, text_width(text.text) * text.height / 2, text.height, text.upright)


def _line_box(at: Point, half_wide: float, height: float, upright: bool) -> Box:
    half_high = height * 0.62
    dx, dy = (half_high, half_wide) if upright else (half_wide, half_high)
    return at[0] - dx, at[1] - dy, at[0] + dx, at[1] + dy


@lru_cache(maxsize=4096)
def text_width(text: str) -> float:
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


def as_labelled(plan: Plan, piece: Piece) -> Piece:
    """The piece with what its label says: a filler is called one."""
    return replace(piece, part=f"{piece.part} (filler)") if piece.part in plan.fillers else piece


def layer_of(piece: Piece) -> Layer:
    layers: dict[str, Layer] = {"part": "PART", "offcut": "OFFCUT", "scrap": "SCRAP"}
    return layers[piece.kind]


def kerf_band(cut: Cut) -> tuple[Point, ...]:
    (x0, y0), (x1, y1) = cut.line
    half = cut.kerf / 2
    if y0 == y1:
        return _rectangle(min(x0, x1), y0 - half, max(x0, x1), y0 + half)
    return _rectangle(x0 - half, min(y0, y1), x0 + half, max(y0, y1))


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


def numbers(cuts: list[Cut], size: float, taken: Taken) -> tuple[tuple[Bubble, ...], list[Outline]]:
    """Numbers near the entry of each cut, an arrowhead behind each; a second one where a second pass enters."""
    bubbles: dict[int, Bubble] = {}
    arrows: dict[int, list[Outline]] = {}
    for cut in sorted(cuts, key=lambda each: (each.length, each.number)):
        radius, at = _number_spot(cut, size, taken)
        taken.add(_number_box(cut, at, radius))
        bubbles[cut.number] = Bubble(point_along(cut, at), cut.number, radius)
        arrows[cut.number] = [arrowhead(cut, at + radius, radius)]
        if len(cut.passes) == 2:
            arrows[cut.number].append(_second_arrow(cut, radius, at + 2 * radius, taken))
    return tuple(bubbles[key] for key in sorted(bubbles)), [each for key in sorted(arrows) for each in arrows[key]]


def _number_spot(cut: Cut, size: float, taken: Taken) -> tuple[float, float]:
    """Radius and distance from the entry of a number: near the entry if it may shrink a little, else the largest."""
    greatest = min(size / 80, max(size / 140, 0.16 * cut.length), 0.3 * cut.length)
    near = [(greatest * 0.8**each, 9 * greatest) for each in range(3)]
    anywhere = [(greatest * 0.8**each, cut.length) for each in range(16)]
    for radius, reach in near + anywhere:
        for step in range(int((min(reach, cut.length) - 3.2 * radius) / (0.5 * radius)) + 1):
            at = (1.2 + 0.5 * step) * radius
            if taken.free(_number_box(cut, at, radius)):
                return radius, at
    return radius, 1.2 * radius


def _number_box(cut: Cut, at: float, radius: float) -> Box:
    """What a number and its arrowhead fill, with a little air."""
    air = 1.06 * radius
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


def piece_label(piece: Piece, size: float, units: Reading, taken: Taken, *, broken: bool = False) -> list[Text]:
    """The fullest label that has room in its piece: name and size on one line or two, name, id. Small scrap has
    none."""
    labels, most = _labels(piece, units, broken), size / (80 if piece.kind == "scrap" else 55)
    number: Lines = (piece.id,)
    paper, screen = size / 100, size / 170  # what can be read on a sheet of paper, and zoomed in on a screen
    tries = [(each, least) for least in (paper, size / 130, screen) for each in labels]
    tries += [] if piece.kind == "scrap" else [(number, screen)]
    for lines, least in tries:
        height = min(greatest_height(piece, lines), 1.4 * least if lines == number else most)
        if height >= least and (found := fitted_label(piece, lines, height, least, taken)):
            return found
    return [] if piece.kind == "scrap" else _squeezed(piece, [labels[0], number], screen, taken)


def _labels(piece: Piece, units: Reading, in_lines: bool) -> list[Lines]:
    measures = piece_size(piece, units)
    if piece.kind == "scrap":
        return [(measures,)]
    if piece.kind == "offcut":
        return [(f"offcut {measures}",), ("offcut", measures), (measures,)]
    name = piece.part or piece.kind
    short = name if len(name) <= 14 else name[:13] + "…"
    several = in_two(name) if in_lines else ()
    broken: list[Lines] = [(*several, measures), several] if several else []
    return [(f"{name}  {measures}",), (name, measures), *broken, (short, measures), (short,)]


def in_two(name: str) -> Lines:
    """A name of several words in two lines, as even as can be; nothing where it is one word.

    >>> in_two("gusset blank left"), in_two("foot")
    (('gusset', 'blank left'), ())
    """
    words = name.split()
    ways = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    return min(ways, key=lambda way: max(map(len, way))) if ways and len(name) <= 40 else ()


def greatest_height(piece: Piece, lines: Lines) -> float:
    """Greatest height of a label that stays in its piece."""
    x0, y0, x1, y1 = piece.box
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    return min(0.55 * short / (1 + _PITCH * (len(lines) - 1)), 0.95 * long / max(map(text_width, lines)))


def _squeezed(piece: Piece, labels: list[Lines], most: float, taken: Taken) -> list[Text]:
    """A label smaller than can be read at arm's length: on a narrow strip, or in a corner between numbers."""
    narrow = [lines for lines in labels if greatest_height(piece, lines) >= min(most, greatest_height(piece, ("",)))]
    for lines in [*narrow, (piece.id,)]:
        height = min(most, greatest_height(piece, lines))
        if found := fitted_label(piece, lines, height, 0.2 * height, taken):
            return found
    return _Room.of(piece, (piece.id,)).texts((piece.id,), 0.2 * height, 0.0, 0.0)


def fitted_label(piece: Piece, lines: Lines, height: float, least: float, taken: Taken) -> list[Text]:
    """The label where its piece has room, not below `least`: along the middle if it may shrink a little, else aside."""
    heights = [height]
    while heights[-1] > least:
        heights.append(max(least, 0.85 * heights[-1]))
    room = _Room.of(piece, lines)
    near = taken.near(room.reach(height))
    if not near:
        return room.texts(lines, height, 0.0, 0.0)
    for each, asides in [(each, (0.0,)) for each in heights[:4]] + [(each, (0.0, 0.8, -0.8)) for each in heights]:
        for aside in asides:
            along = room.free(each, aside, near)
            if along is not None:
                return room.texts(lines, each, along, aside)
    return []


@dataclass(frozen=True)
class _Room:
    """Where a label may lie: the middle of its piece, its sides, longest first, the widths of its lines over their
    height."""

    middle: Point
    long: float
    short: float
    upright: bool
    widths: tuple[float, ...]

    @classmethod
    def of(cls, piece: Piece, lines: Lines) -> _Room:
        x0, y0, x1, y1 = piece.box
        wide, high = x1 - x0, y1 - y0
        widths = tuple(map(text_width, lines))
        return cls(((x0 + x1) / 2, (y0 + y1) / 2), max(wide, high), min(wide, high), high > wide, widths)

    def reach(self, height: float) -> Box:
        """All that the label reaches, wherever it lies, up to a height of its letters."""
        dx, dy = max(self.long, max(self.widths) * height) / 2, max(self.short, _PITCH * len(self.widths) * height) / 2
        dx, dy = (dy, dx) if self.upright else (dx, dy)
        (x, y) = self.middle
        return x - dx, y - dy, x + dx, y + dy

    def middles(self, height: float, along: float, aside: float) -> list[tuple[Point, float]]:
        """Middle of each line, and how far it is below that of the label; moved by shares of the room along and across
        the piece."""
        x, y = self.middle
        last = len(self.widths) - 1
        room_along = along * (max(0.0, self.long - max(self.widths) * height) / 2)
        room_aside = aside * (max(0.0, self.short - (1.24 + _PITCH * last) * height) / 2)
        found = []
        for number in range(last + 1):
            below = (number - last / 2) * _PITCH * height
            down = below + room_aside
            dx, dy = (down, room_along) if self.upright else (room_along, -down)
            found.append(((x + dx, y + dy), below))
        return found

    def free(self, height: float, aside: float, near: list[Box]) -> float | None:
        """The first share of the room along the piece at which no line of the label meets a box; None where there is
        none."""
        shut = []
        u, v = (1, 0) if self.upright else (0, 1)
        for ((*middle,), _), wide in zip(self.middles(height, 0.0, aside), self.widths, strict=True):
            low, high = middle[v] - 0.62 * height, middle[v] + 0.62 * height
            half = wide * height / 2
            shut += [(box[u] - half, box[u + 2] + half) for box in near if low < box[v + 2] and box[v] < high]
        room = max(0.0, self.long - max(self.widths) * height) / 2
        return next(
            (along for along in _ALONG if not any(one < self.middle[u] + along * room < other for one, other in shut)),
            None,
        )

    def texts(self, lines: Lines, height: float, along: float, aside: float) -> list[Text]:
        """The label."""
        middles = self.middles(height, along, aside)
        return [
            Text("TEXT", at, line, height, upright=self.upright, below=below)
            for line, (at, below) in zip(lines, middles, strict=True)
        ]


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
