"""Drawings as DXF, R2000: one for a plate, one for the whole job.

Units are said in the header ($INSUNITS), colours and line types belong to layers, dimensions are real
DIMENSION entities. Factors of dimensions stand in the style and in the header, because some programs read
the one and some the other. Same plan, same bytes: times and identifiers in the file are fixed.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from ..model.plan import Plan
from .draw import plate_picture
from .picture import Layer, Picture, Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_CENTRE_LINE = [2.0, 1.25, -0.25, 0.25, -0.25]
"""Whole pattern, then dash, gap, short dash, gap: ISO 128-2, type long dash - short dash."""

# Layer: (colour index, line type); line widths by layer as ISO 128-2 pairs wide 0.5, narrow 0.25 mm.
_LAYERS: dict[Layer, tuple[int, str, int]] = {
    "PLATE": (7, "CONTINUOUS", 50),
    "PART": (5, "CONTINUOUS", 50),
    "CUT": (1, "CENTER", 25),
    "KERF": (8, "CONTINUOUS", 25),
    "OFFCUT": (3, "CONTINUOUS", 25),
    "SCRAP": (8, "CONTINUOUS", 25),
    "TEXT": (7, "CONTINUOUS", 25),
    "DIM": (6, "CONTINUOUS", 25),
}


def plate_drawing(plan: Plan, plate_id: str) -> bytes:
    """The drawing of one plate."""
    return _drawing(plan, [plate_id], titled=False)


def job_drawing(plan: Plan) -> bytes:
    """All plates above one another, each with its title."""
    return _drawing(plan, [plate.id for plate in plan.plates], titled=True)


def _drawing(plan: Plan, plate_ids: list[str], *, titled: bool) -> bytes:
    with _fixed_identity():
        around = max((max(each.length, each.width) for each in plan.plates if each.id in plate_ids), default=None)
        pictures = [plate_picture(plan, each, around=around) for each in plate_ids]
        return _bytes(_painted(pictures, plan, titled=titled))


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


def _painted(pictures: list[Picture], plan: Plan, *, titled: bool) -> Drawing:
    inches = plan.job["units"] == "in"
    scale = 1 / 25.4 if inches else 1.0
    size = max((max(p.box[2] - p.box[0], p.box[3] - p.box[1]) for p in pictures), default=1000.0) * scale
    doc = _new_document(inches=inches, text=size / 60)
    space, top = doc.modelspace(), 0.0
    boxes: list[tuple[float, float, float, float]] = []
    for picture in pictures:
        x0, y0, x1, y1 = (each * scale for each in picture.box)
        shift = top - y1 if titled else 0.0
        _paint(space, picture, scale, shift)
        if titled:
            _text(space, picture.title, (x0 + (x1 - x0) / 2, shift + y1), size / 50, upright=False)
        boxes.append((x0, y0 + shift, x1, y1 + shift + (size / 25 if titled else 0)))
        top = y0 + shift - size / 20
    _set_view(doc, boxes or [(0.0, 0.0, 1.0, 1.0)])
    return doc


def _new_document(*, inches: bool, text: float) -> Drawing:
    from ezdxf import units
    from ezdxf.filemanagement import new

    doc = new("R2000")
    doc.linetypes.add("CENTER", _CENTRE_LINE, description="Centre line: long dash, short dash")
    doc.units = units.IN if inches else units.MM
    doc.header["$MEASUREMENT"] = 0 if inches else 1
    paper = (420 / 25.4, 297 / 25.4) if inches else (420.0, 297.0)  # A3; programs read it in the drawing's units
    for layout in doc.layouts:
        layout.reset_limits((0, 0), paper)
    doc.header["$LTSCALE"] = text / 3
    for name, (colour, line_type, weight) in _LAYERS.items():
        doc.layers.add(name, color=colour, linetype=line_type, lineweight=weight)
    doc.styles.add("STRIPPLAN", font="txt.shx")
    style = doc.dimstyles.add("STRIPPLAN")
    figures = {
        "dimlfac": 1.0, "dimtxt": text, "dimasz": text * 0.8, "dimexe": text * 0.4, "dimexo": text * 0.4,
        "dimgap": text * 0.3, "dimscale": 1.0, "dimdec": 3 if inches else 2, "dimzin": 8, "dimtad": 1,
    }  # fmt: skip
    for key, value in figures.items():
        style.set_dxf_attrib(key, value)
        doc.header[f"${key.upper()}"] = value
    style.set_dxf_attrib("dimtxsty", "STRIPPLAN")
    doc.header["$DIMSTYLE"] = "STRIPPLAN"
    return doc


def _paint(space: Any, picture: Picture, scale: float, shift: float) -> None:
    def at(point: Point) -> Point:
        return round(point[0] * scale, 9), round(point[1] * scale + shift, 9)

    for outline in picture.outlines:
        space.add_lwpolyline([at(p) for p in outline.points], close=True, dxfattribs={"layer": outline.layer})
        if outline.layer == "SCRAP":
            for one, other in ((0, 2), (1, 3)):
                space.add_line(at(outline.points[one]), at(outline.points[other]), dxfattribs={"layer": "SCRAP"})
    for line in picture.lines:
        space.add_line(at(line.start), at(line.end), dxfattribs={"layer": "CUT"})
    for text in picture.texts + picture.positions:
        _text(space, text.text, at(text.at), text.height * scale, upright=text.upright, layer=text.layer)
    for bubble in picture.bubbles:
        space.add_circle(at(bubble.at), bubble.radius * scale, dxfattribs={"layer": "TEXT"})
        _text(space, str(bubble.number), at(bubble.at), bubble.radius * scale * 0.8, upright=False)
    for each in picture.dimensions:
        (ax, ay), (bx, by) = at(each.start), at(each.end)
        level = ay == by
        base = (ax, ay - each.offset * scale) if level else (ax + each.offset * scale, ay)
        dimension = space.add_linear_dim(
            base=base, p1=(ax, ay), p2=(bx, by), angle=0 if level else 90, dimstyle="STRIPPLAN",
            dxfattribs={"layer": "DIM"},
        )  # fmt: skip
        dimension.render()


def _text(space: Any, text: str, at: Point, height: float, *, upright: bool, layer: Layer = "TEXT") -> None:
    from ezdxf.enums import TextEntityAlignment

    entity = space.add_text(
        plain(text), height=height, rotation=90 if upright else 0, dxfattribs={"layer": layer, "style": "STRIPPLAN"}
    )
    entity.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER)


def plain(text: str) -> str:
    """One line of text as every drawing program shows it: `%%` and `^` are commands there, controls have no shape.

    Many fonts of drawing programs have no ellipsis, so it becomes three dots.

    Letters beyond four hex digits (U+10000 and up) cannot be escaped in R2000 and become `?`.
    """
    clean = "".join(letter if letter.isprintable() and ord(letter) <= 0xFFFF else "?" for letter in text)
    return clean.replace("…", "...").replace("%%", "% %").replace("^", "^ ").replace("\\U+", "\\ U+")


def _set_view(doc: Drawing, boxes: list[tuple[float, float, float, float]]) -> None:
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (x0, y0, 0), (x1, y1, 0)
    doc.modelspace().reset_extents((x0, y0, 0), (x1, y1, 0))
    doc.set_modelspace_vport(height=(y1 - y0) * 1.05, center=((x0 + x1) / 2, (y0 + y1) / 2))


def _bytes(doc: Drawing) -> bytes:
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode(doc.output_encoding, errors="dxfreplace")
