"""Labels of pieces: name and size where they have room, smaller or shorter where they do not; sizes of holes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stripplan.model.part import Part
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.lettering import Box, Reading, Taken, text_box, text_width, within
from stripplan.sheets.picture.on_plate.holes import holes_of
from stripplan.sheets.picture.polygons import room_in
from stripplan.sheets.picture.shapes import Drilled, Point, Text
from stripplan.sheets.rows.forms import form_of, is_box
from stripplan.sheets.rows.lookup import shape_sides
from stripplan.wording.quantity import show_length

Lines = tuple[str, ...]
"""A label, line by line."""


_PITCH = 1.6
"""From one line of a label to the next, over the height of capitals."""


_ALONG = sorted((each / 8 for each in range(-8, 9)), key=lambda share: (abs(share), share))
"""Shares of the room along a piece by which a label may move from the middle, the middle first."""


@dataclass(frozen=True, kw_only=True)
class Labelled(Piece):
    """A piece with the sides that are `told` of it, where these are not those of its box."""

    told: tuple[float, float] | None = None


def piece_size(piece: Piece, units: Reading) -> str:
    """Size of a piece to read, longer side first."""
    x0, y0, x1, y1 = piece.box
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    if isinstance(piece, Labelled) and piece.told is not None:
        short, long = sorted(piece.told)
    elif not is_box(piece.outline):
        form = form_of(piece.outline)
        long, short = form.long, form.short
    return f"{show_length(long, *units)} x {show_length(short, *units)}"


def as_labelled(plan: Plan, piece: Piece) -> Piece:
    """The piece with what its label says: a filler is called one, a shape has the size of its part, however it lies."""
    name = f"{piece.part} (filler)" if piece.part in plan.fillers else piece.part
    told = shape_sides(plan).get(piece.part or "") if piece.kind == "part" else None
    return Labelled(
        id=piece.id, plate=piece.plate, parent=piece.parent, kind=piece.kind, part=name, outline=piece.outline,
        mass=piece.mass, told=told,
    )  # fmt: skip


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
        found = next(
            (each for each in tries if within(text_box(each), room_in(piece.outline)) and taken.free(text_box(each))),
            None,
        )
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


def piece_label(piece: Piece, size: float, units: Reading, taken: Taken, *, broken: bool = False) -> list[Text]:
    """The fullest label that has room in its piece: name and size on one line or two, name, id. Small scrap has
    none."""
    labels, most = _labels(piece, units, broken), size / (80 if piece.kind == "scrap" else 55)
    number: Lines = (piece.id,)
    paper, screen = size / 100, size / 170  # what can be read on a sheet of paper, and zoomed in on a screen
    tries = [(each, least) for least in (paper, size / 130, screen) for each in labels]
    if not broken and piece.kind != "scrap":  # a drawing that is zoomed into tells the size of every piece
        sized = [each for each in labels if piece_size(piece, units) in each[-1]]
        tries = [
            (each, least) for least in (paper, size / 130, screen, size / 260, size / 400) for each in sized
        ] + tries
        whole = [each for each in sized if not each[0].endswith("…")]  # what a name ends in may tell it from others
        tries = [(each, least) for least in (paper, size / 130, screen) for each in whole] + tries
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
    x0, y0, x1, y1 = room_in(piece.outline)
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
    """Where a label may lie: the middle of its piece, or of the largest box within one that is no rectangle, its sides,
    longest first, the widths of its lines over their height."""

    middle: Point
    long: float
    short: float
    upright: bool
    widths: tuple[float, ...]

    @classmethod
    def of(cls, piece: Piece, lines: Lines) -> _Room:
        x0, y0, x1, y1 = room_in(piece.outline)
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
