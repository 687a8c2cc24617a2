"""Drawings as DXF: one for a plate, one for the whole job.

Units are said in the header ($INSUNITS), colours and line types belong to layers, dimensions are real
DIMENSION entities. Factors of dimensions stand in the style and in the header, because some programs read
the one and some the other. Same plan, same bytes: times and identifiers in the file are fixed.

In the drawing of a job each part is a block, inserted once for each piece with its name and size as attributes, so that
a program counts and lists the parts. In the drawing of a plate every outline is a closed polyline of its own.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any, get_args

from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.sheets.dxf.arrange import in_rows
from stripplan.sheets.dxf.blocks import ATTRIBUTES, add_blocks, turned
from stripplan.sheets.options import DxfVersion
from stripplan.sheets.picture.lettering import Reading, text_box
from stripplan.sheets.picture.on_plate.piece_labels import as_labelled, piece_size
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.polygons import crossed
from stripplan.sheets.picture.shapes import Angle, Drilled, Layer, Outline, Picture, Point, Text
from stripplan.sheets.rows.part_notes import notes_of
from stripplan.wording.quantity import show_length

if TYPE_CHECKING:
    from ezdxf.document import Drawing

"""R2000 is the one that most programs read. From R2007 on a file is UTF-8."""

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""

_CENTRE_LINE = [2.0, 1.25, -0.25, 0.25, -0.25]
"""Whole pattern, then dash, gap, short dash, gap: ISO 128-2, type long dash - short dash."""

# Layer: (colour index, line type, line width, what it holds); widths as ISO 128-2 pairs wide 0.5, narrow 0.25 mm.
# OFFCUT is continuous: with dots or dashes its hatching would fall apart.
_LAYERS: dict[Layer, tuple[int, str, int, str]] = {
    "PLATE": (7, "CONTINUOUS", 50, "Plates, as bought or kept"),
    "PART": (5, "CONTINUOUS", 50, "Parts, outlines as cut"),
    "CUT": (1, "CENTER", 25, "Torch centrelines from lead-in to end stop"),
    "KERF": (8, "CONTINUOUS", 25, "Metal that the cuts remove"),
    "OFFCUT": (3, "CONTINUOUS", 25, "Offcuts to keep, hatched"),
    "SCRAP": (8, "CONTINUOUS", 25, "Scrap, crossed"),
    "TEXT": (7, "CONTINUOUS", 25, "Names, sizes, numbers of cuts, holes to drill later"),
    "DIM": (6, "CONTINUOUS", 25, "Dimensions, and positions of torch lines from an edge"),
}

_BEVEL = (4, "CONTINUOUS", 25, "Bevelled edges: where each bevel ends on its face, angle and root face")
"""Layer of bevels, in drawings that have any."""

_HATCH = "ANSI31"
_HATCH_LINES = [[45.0, (0.0, 0.0), (-2.2450640303, 2.2450640303), []]]
_HATCH_PITCH = 3.175
"""A pattern that programs know by this name: lines at 45 degrees, so far apart at scale 1, in the drawing's units.

Some programs draw the lines that stand in the file, some those of their own pattern of that name, which are the
same at the same scale in millimetres; said like this, both come out alike in inch drawings too.
"""


def plate_drawing(plan: Plan, plate_id: str, *, version: DxfVersion = "R2000") -> bytes:
    """The drawing of one plate."""
    return _drawing(plan, [plate_id], version, repeated=False)


def job_drawing(plan: Plan, *, version: DxfVersion = "R2000") -> bytes:
    """All plates in rows, each with its title; parts are blocks."""
    return _drawing(plan, [plate.id for plate in plan.plates], version, repeated=True)


def _drawing(plan: Plan, plate_ids: list[str], version: DxfVersion, *, repeated: bool) -> bytes:
    if version not in get_args(DxfVersion):
        raise ValueError(f"{version!r} is no version of a drawing: {', '.join(get_args(DxfVersion))}")
    with _fixed_identity():
        return _bytes(_painted(plan, plate_ids, version, repeated=repeated))


@contextmanager
def _fixed_identity() -> Iterator[None]:
    """Fixed times and identifiers in what ezdxf makes and writes; its own setting comes back afterwards."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _painted(plan: Plan, plate_ids: list[str], version: DxfVersion, *, repeated: bool) -> Drawing:
    around = max((max(each.length, each.width) for each in plan.plates if each.id in plate_ids), default=None)
    pictures = [plate_picture(plan, each, around=around, broken=False, beside=True) for each in plate_ids]
    inches = plan.job.units == "in"
    scale = 1 / 25.4 if inches else 1.0
    size = max((max(p.box[2] - p.box[0], p.box[3] - p.box[1]) for p in pictures), default=1000.0)
    doc = _new_document(version, inches=inches, text=size * scale / 60)
    if any(picture.bevels for picture in pictures):
        _add_layer(doc, "BEVEL", _BEVEL)
    titles: list[tuple[Text, ...]] = [
        (*_title(plan, each, picture, size), *_part_notes(plan, each, picture, size))
        for each, picture in zip(plate_ids, pictures, strict=True)
    ]
    boxes = [_with_title(picture.box, title) for picture, title in zip(pictures, titles, strict=True)]
    shifts = _shifts(boxes, size / 20, 25.4 if inches else 10.0)
    blocks = add_blocks(doc, plan.pieces, scale) if repeated else {}
    views: list[Box] = []
    for plate_id, picture, title, box, shift in zip(plate_ids, pictures, titles, boxes, shifts, strict=True):
        painter = _Painter(doc, scale, shift, (plan.job.units, plan.job.inch_fraction))
        painter.paint(picture, _copies(plan, plate_id, blocks), size)
        for line in title:
            painter.text(line)
        corners = painter.at(box[:2]), painter.at(box[2:])
        views.append((*corners[0], *corners[1]))
    _set_views(doc, views or [(0.0, 0.0, 1.0, 1.0)], plate_ids)
    return doc


def _shifts(boxes: list[Box], gap: float, step: float) -> list[Point]:
    """How far each picture moves to lie in its place: the first stays, the others by whole steps, on round figures."""
    places = in_rows([(x1 - x0 + step, y1 - y0 + step) for x0, y0, x1, y1 in boxes], gap)
    moves = [(place[0] - box[0], place[1] - box[1]) for place, box in zip(places, boxes, strict=True)]
    return [(round((x - moves[0][0]) / step) * step, round((y - moves[0][1]) / step) * step) for x, y in moves]


def _copies(plan: Plan, plate_id: str, blocks: Mapping[str, str]) -> dict[tuple[Point, ...], tuple[str, Piece]]:
    """The block of each piece of a plate that has one, with the piece, by its outline."""
    return {
        each.outline: (blocks[each.id], replace(as_labelled(plan, each), part=each.part))
        for each in plan.pieces
        if each.plate == plate_id and each.id in blocks
    }


def _title(plan: Plan, plate_id: str, picture: Picture, size: float) -> tuple[Text, Text]:
    """Two lines above a picture: what it is, and the plate's size and material."""
    plate = next(each for each in plan.plates if each.id == plate_id)
    units = (plan.job.units, plan.job.inch_fraction)
    sizes = [show_length(each, *units) for each in (plate.length, plate.width)]
    sizes.append(show_length(plate.thickness, *units, unit=True))
    x0, _, x1, y1 = picture.box
    middle, high = (x0 + x1) / 2, size / 50
    name = Text("TEXT", (middle, 0.0), picture.title, high)
    wide = text_box(name)[2] - text_box(name)[0]
    high = max(
        size / 150, min(high, high * (x1 - x0) / wide)
    )  # a long name is smaller rather than wider than its plate
    sub = min(high, size / 70)
    return (
        Text("TEXT", (middle, y1 + 2.4 * sub + high), picture.title, high),
        Text("TEXT", (middle, y1 + sub), f"{' x '.join(sizes)}, {plate.material}", sub),
    )


def _part_notes(plan: Plan, plate_id: str, picture: Picture, size: float) -> Iterator[Text]:
    """Lines below a picture: the notes of the parts that lie on the plate."""
    there = {piece.part for piece in plan.pieces if piece.plate == plate_id and piece.kind == "part"}
    told = [f"{name}: {note}" for name, notes in notes_of(plan.job).items() if name in there for note in notes]
    x0, y0, x1, _ = picture.box
    high = size / 100
    for number, each in enumerate(told, 1):
        line = Text("TEXT", ((x0 + x1) / 2, y0 - 2 * high * number), each, high)
        wide = text_box(line)[2] - text_box(line)[0]
        yield line if wide <= x1 - x0 else replace(line, height=max(size / 250, high * (x1 - x0) / wide))


def _with_title(box: Box, title: tuple[Text, ...]) -> Box:
    """A box and the lines above it."""
    boxes = [box, *map(text_box, title)]
    return (
        min(each[0] for each in boxes), min(each[1] for each in boxes),
        max(each[2] for each in boxes), max(each[3] for each in boxes),
    )  # fmt: skip


def _new_document(version: DxfVersion, *, inches: bool, text: float) -> Drawing:
    from ezdxf import units
    from ezdxf.filemanagement import new

    doc = new(version)
    doc.linetypes.add("CENTER", _CENTRE_LINE, description="Centre line: long dash, short dash")
    doc.units = units.IN if inches else units.MM
    doc.header["$MEASUREMENT"] = 0 if inches else 1
    paper = (420 / 25.4, 297 / 25.4) if inches else (420.0, 297.0)  # A3; programs read it in the drawing's units
    for layout in doc.layouts:
        layout.reset_limits((0, 0), paper)
    doc.header["$LTSCALE"] = text / 3
    for name, look in _LAYERS.items():
        _add_layer(doc, name, look)
    doc.styles.add("STRIPPLAN", font="txt.shx")
    style = doc.dimstyles.add("STRIPPLAN")
    figures = {
        "dimlfac": 1.0, "dimtxt": text, "dimasz": text * 0.8, "dimexe": text * 0.4, "dimexo": text * 0.4,
        "dimgap": text * 0.3, "dimscale": 1.0, "dimdec": 3 if inches else 2, "dimzin": 8, "dimtad": 1,
        "dimdsep": ord("."), "dimlunit": 2,
    }  # fmt: skip
    for key, value in figures.items():
        style.set_dxf_attrib(key, value)
        doc.header[f"${key.upper()}"] = value
    style.set_dxf_attrib("dimtxsty", "STRIPPLAN")
    doc.header["$DIMTXSTY"] = doc.header["$DIMSTYLE"] = "STRIPPLAN"
    return doc


def _add_layer(doc: Drawing, name: str, look: tuple[int, str, int, str]) -> None:
    colour, line_type, weight, holds = look
    layer = doc.layers.add(name, color=colour, linetype=line_type, lineweight=weight)
    layer.description = holds


class _Painter:
    """Paints pictures, moved by `shift` [mm], in the drawing's units."""

    def __init__(self, doc: Drawing, scale: float, shift: Point, units: Reading) -> None:
        self._units = units
        self._space: Any = doc.modelspace()
        self._scale, self._shift = scale, shift
        self._escaped = doc.dxfversion < "AC1021"

    def at(self, point: Point) -> Point:
        """A point of the picture in the drawing."""
        x, y = point[0] + self._shift[0], point[1] + self._shift[1]
        return round(x * self._scale, 9), round(y * self._scale, 9)

    def paint(self, picture: Picture, copies: Mapping[tuple[Point, ...], tuple[str, Piece]], size: float) -> None:
        """A picture, what is to be seen above the rest last; `copies` are blocks by the outline that they stand for."""
        kept = [each for each in picture.outlines if each.layer == "OFFCUT"]
        for outline in kept:
            self._hatch(outline, picture, size / 64)
        for outline in picture.outlines:
            self._outline(outline, copies)
        for hole in picture.holes:
            self._hole(hole)
        for line in picture.lines:
            self._space.add_line(self.at(line.start), self.at(line.end), dxfattribs={"layer": "CUT"})
        for bevel in picture.bevels:
            self._space.add_line(self.at(bevel.start), self.at(bevel.end), dxfattribs={"layer": "BEVEL"})
            self.text(bevel.text)
        for text in picture.texts + picture.positions:
            self.text(text)
        for bubble in picture.bubbles:
            self._space.add_circle(self.at(bubble.at), bubble.radius * self._scale, dxfattribs={"layer": "TEXT"})
            self.text(Text("TEXT", bubble.at, str(bubble.number), bubble.radius * 0.8))
        for each in picture.dimensions:
            self._dimension(self.at(each.start), self.at(each.end), each.offset * self._scale)
        for angle in picture.angles:
            self._angle(angle)

    def _hole(self, hole: Drilled) -> None:
        """A hole that is made later, on the layer of what is written: no torch goes there."""
        if hole.round:
            self._space.add_circle(self.at(hole.at), hole.wide / 2 * self._scale, dxfattribs={"layer": "TEXT"})
            return
        x0, y0, x1, y1 = hole.box
        corners = [self.at(each) for each in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        self._space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "TEXT"})

    def text(self, text: Text) -> None:
        """One line of text, its middle on its point."""
        from ezdxf.enums import TextEntityAlignment

        entity = self._space.add_text(
            plain(text.text, escaped=self._escaped), height=text.height * self._scale,
            rotation=90 if text.upright else 0, dxfattribs={"layer": text.layer, "style": "STRIPPLAN"},
        )  # fmt: skip
        entity.set_placement(self.at(text.at), align=TextEntityAlignment.MIDDLE_CENTER)

    def _outline(self, outline: Outline, copies: Mapping[tuple[Point, ...], tuple[str, Piece]]) -> None:
        points = [self.at(point) for point in outline.points]
        if outline.layer == "TEXT":  # the corners of a SOLID are said in the order of a Z
            self._space.add_solid([*points[:3], points[2]], dxfattribs={"layer": "TEXT"})
            return
        if outline.layer == "PART" and outline.points in copies:
            self._copy(*copies[outline.points])
            return
        self._space.add_lwpolyline(points, close=True, dxfattribs={"layer": outline.layer})
        if outline.layer == "SCRAP":
            for one, other in crossed(points):
                self._space.add_line(one, other, dxfattribs={"layer": "SCRAP"})

    def _copy(self, block: str, piece: Piece) -> None:
        """A block in place of an outline: its origin is the lower left corner, or the lower right one if it is
        turned."""
        x0, y0, x1, _ = piece.box
        on_side = turned(piece)
        copy = self._space.add_blockref(
            block, self.at((x1 if on_side else x0, y0)),
            dxfattribs={"layer": "PART", "rotation": 90 if on_side else 0},
        )  # fmt: skip
        said = (piece.part or piece.id, piece_size(piece, self._units), piece.id)
        values = {tag: plain(text, escaped=self._escaped) for tag, text in zip(ATTRIBUTES, said, strict=True)}
        copy.add_auto_attribs(values)

    def _hatch(self, outline: Outline, picture: Picture, pitch: float) -> None:
        """Lines at 45 degrees, clear of what is written: as lettering on hatched areas is kept free on paper (ISO
        128-50)."""
        x0, y0, x1, y1 = _around(outline.points)
        pitch = min(pitch, min(x1 - x0, y1 - y0) / 3)
        hatch = self._space.add_hatch(dxfattribs={"layer": "OFFCUT"})
        hatch.set_pattern_fill(_HATCH, color=256, scale=pitch * self._scale / _HATCH_PITCH, definition=_HATCH_LINES)
        hatch.paths.add_polyline_path([self.at(point) for point in outline.points], is_closed=True, flags=1)
        for box in _clear(outline, picture):
            corners = (box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])
            hatch.paths.add_polyline_path([self.at(point) for point in corners], is_closed=True, flags=16)

    def _dimension(self, start: Point, end: Point, offset: float) -> None:
        (ax, ay), (bx, by) = start, end
        level = ay == by
        base = (ax, ay - offset) if level else (ax + offset, ay)
        dimension = self._space.add_linear_dim(
            base=base, p1=(ax, ay), p2=(bx, by), angle=0 if level else 90, dimstyle="STRIPPLAN",
            dxfattribs={"layer": "DIM"},
        )  # fmt: skip
        dimension.render()
        dimension.dimension.dxf.actual_measurement = bx - ax if level else by - ay

    def _angle(self, angle: Angle) -> None:
        """An angle between a cut and the edge that it enters by, its figure as small as it is on paper."""
        figure = angle.text.height * self._scale
        dimension = self._space.add_angular_dim_cra(
            center=self.at(angle.at), radius=angle.radius * self._scale, start_angle=angle.start, end_angle=angle.end,
            distance=0.0, dimstyle="STRIPPLAN", dxfattribs={"layer": "DIM"},
            override={"dimtxt": figure, "dimasz": 0.6 * figure, "dimgap": 0.3 * figure, "dimadec": 2, "dimazin": 2},
        )  # fmt: skip
        dimension.render()


def _around(points: tuple[Point, ...]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _clear(outline: Outline, picture: Picture) -> Iterator[Box]:
    """Boxes inside an outline that hatching leaves free: its label, and numbers of cuts that reach into it."""
    x0, y0, x1, y1 = _around(outline.points)
    edge = 0.001 * min(x1 - x0, y1 - y0)  # a hole never shares an edge with the outline
    boxes = [text_box(text) for text in picture.texts]
    boxes += [(x - r, y - r, x + r, y + r) for (x, y), r in ((each.at, each.radius) for each in picture.bubbles)]
    for bx0, by0, bx1, by1 in boxes:
        box = max(bx0, x0 + edge), max(by0, y0 + edge), min(bx1, x1 - edge), min(by1, y1 - edge)
        if box[0] < box[2] and box[1] < box[3]:
            yield box


def plain(text: str, *, escaped: bool = True) -> str:
    """One line of text as every drawing program shows it: `%%` and `^` are commands there, controls have no shape.

    Many fonts of drawing programs have no ellipsis, so it becomes three dots.

    Letters beyond four hex digits (U+10000 and up) become `?` where letters are `escaped`, as before R2007.
    """
    most = 0xFFFF if escaped else 0x10FFFF
    clean = "".join(letter if letter.isprintable() and ord(letter) <= most else "?" for letter in text)
    return (
        re.sub("%(?=%)", "% ", clean.replace("…", "..."))
        .replace("^", "^ ")
        .replace("\\U+", "\\ U+")
        .replace("\\M+", "\\ M+")
    )


def _set_views(doc: Drawing, boxes: list[Box], plate_ids: list[str]) -> None:
    """Extents and opening view of the whole, which fits screens that are 4 : 3 or wider; a named view of each plate."""
    x0, y0, x1, y1 = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (x0, y0, 0), (x1, y1, 0)
    doc.modelspace().reset_extents((x0, y0, 0), (x1, y1, 0))
    doc.set_modelspace_vport(height=_view_height((x0, y0, x1, y1)), center=((x0 + x1) / 2, (y0 + y1) / 2))
    for plate_id, box in zip(plate_ids, boxes, strict=False):
        middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        high = _view_height(box)
        doc.views.new(plate_id, dxfattribs={"height": high, "width": high * 4 / 3, "center": middle})


def _view_height(box: Box) -> float:
    return max(box[3] - box[1], (box[2] - box[0]) * 3 / 4) * 1.05


def _bytes(doc: Drawing) -> bytes:
    stream = io.StringIO()
    doc.write(stream)
    text = stream.getvalue()
    if doc.dxfversion < "AC1021":
        return text.encode(doc.output_encoding, errors="dxfreplace")
    # From R2007 on the file is UTF-8 whatever page it names; readers that go by the page need the number of UTF-8.
    return text.replace("$DWGCODEPAGE\n  3\nANSI_1252\n", "$DWGCODEPAGE\n  3\nANSI_65001\n", 1).encode()
