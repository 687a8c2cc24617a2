"""Parts from a DXF drawing that somebody else has made: closed outlines in model space that are rectangles.

Blocks are taken apart with scale, rotation and arrays; how much that makes is counted before it is made. What is
no part is listed with its layer, its handle and its place, or counted where it is text, a dimension or the like.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, meant, message, shortened
from stripplan.files.parts.counts import counted
from stripplan.files.parts.drawings.drawn_parts import parts_of
from stripplan.files.parts.drawings.joined_lines import joined
from stripplan.files.parts.drawings.layers import AS_IT_SAYS, HowDrawn, Layers, asked_layers, of_layer
from stripplan.files.parts.drawings.outlines import (
    LONGEST_LABEL,
    DrawnParts,
    Label,
    Outline,
    Point,
    Reading,
    Skipped,
    Stroke,
    capped_count,
    checked_tolerance,
    no_rectangle,
    shown_point,
    where,
    within_reach,
)  # fmt: skip
from stripplan.files.read_file import read_bytes
from stripplan.wording.message import Fact, Message
from stripplan.wording.quantity import MM_PER

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.math import Matrix44

LARGEST_DRAWING = 50 * 2**20
"""Greatest size of a drawing [bytes]."""
MOST_TAGS = 1_500_000
"""Most pairs of lines, which is what a DXF file is made of."""
MOST_ENTITIES = 150_000
"""Most entities, table entries and vertices in a file."""
MOST_POINTS = 500_000
"""Most objects and points together once blocks are taken apart."""
DEEPEST = 32
"""Most blocks within one another."""

INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""Units by the drawing's $INSUNITS (DXF reference, header variables); others are refused, 0 means that it names none.
"""
OWN_LAYERS = {"plate", "part", "cut", "kerf", "offcut", "scrap"}
"""Layers of our own drawings, of which PART alone holds parts."""

_QUANTITY_TAGS = {"qty", "quantity", "count", "pcs", "pieces", "stk", "no_off"}
_NAME_TAGS = {"name", "part", "mark", "item", "part_name"}
_OWN_NUMBER = re.compile(r"[0-9]+|P[0-9]+-[0-9]+")
_OWN_SIZE = re.compile(r"\s\s[0-9.,/ \"]+ x [0-9.,/ \"]+$")


def read_dxf_parts(path: Path | str, how: HowDrawn = AS_IT_SAYS) -> DrawnParts:
    """Rectangles from the outlines in a drawing.

    A drawing that names no units is read in those of `how`. Raises InputError.
    """
    path = Path(path)
    checked_tolerance(how.tolerance)
    data = read_bytes(path, largest=LARGEST_DRAWING, instead="outlines")
    _check_text(data, path.name)
    document = _loaded(data, path.name)
    del data
    try:
        unit, notes = _units(document, how.units, path.name)
        asked, more = _asked(document, how.layers, path.name)
        notes += more
        said = of_layer(asked, layer_names=how.layer_names, notes=notes, name=path.name)
        scale = float(MM_PER[unit])
        reading = Reading(
            path.name, how.tolerance, how.first,
            place=lambda point: f"{shown_point((point[0] / scale, point[1] / scale))} {unit}",
            of_layer=said,
            wording=_own_wording(document) if asked is OWN else str, beside=asked is not OWN,
            drill_later=how.drill_later,
        )  # fmt: skip
        collected = _Collector(document, reading, scale, asked).collected()
        outlines, loose, open_strokes = joined(collected.strokes, reading)
        drawn, used = parts_of(collected.outlines + outlines, collected.labels, reading, loose)
    except InputError:
        raise
    except Exception:  # whatever stops the library, the drawing is at fault
        raise InputError(fault("dxf.unreadable", path.name)) from None
    for at in sorted(set(range(len(collected.labels))) - used):
        collected.counts["TEXT", collected.label_layers[at], message("why.no_part_around")] += 1
    skipped = (*drawn.skipped, *open_strokes, *collected.skipped, *_counted(collected.counts))
    if not drawn.parts:
        notes.append(no_rectangle(path.name, skipped))
    return DrawnParts(drawn.parts, skipped, (*notes, *drawn.notes), drawn.layers)


# --- the file -------------------------------------------------------------------------------------------------------

_ENTITY = re.compile(rb"^[ \t]*[+-]?0+[ \t]*\r?\n[ \t]*[^0-9\s+-]", re.MULTILINE)


def _check_text(data: bytes, name: str) -> None:
    """Refuses what is no DXF text, is cut off, or would cost more than seconds."""
    if b" Binary DXF\r\n\x1a" in data[:30]:
        raise InputError(fault("binary.dxf", name))
    if data.startswith(b"AC10"):
        raise InputError(fault("binary.dwg", name))
    lines = [each.strip() for each in data[:4096].removeprefix(b"\xef\xbb\xbf").splitlines()]
    while lines[:1] == [b"999"]:
        del lines[:2]
    if lines[:2] != [b"0", b"SECTION"]:
        raise InputError(fault("dxf.other", name))
    if data[-200:].rstrip(b"\0\x1a \t\r\n").split()[-2:] != [b"0", b"EOF"]:
        raise InputError(fault("dxf.cut_off", name))
    tags = data.count(b"\n") // 2
    if tags > MOST_TAGS:
        raise InputError(fault("too_large.pairs", name, count=tags, most=MOST_TAGS))
    entities = sum(1 for _ in _ENTITY.finditer(data))
    if entities > MOST_ENTITIES:
        raise InputError(fault("too_large.entities", name, count=entities, most=MOST_ENTITIES))


def _loaded(data: bytes, name: str) -> Drawing:
    import logging

    from ezdxf.filemanagement import dxf_stream_info, read

    def stream(encoding: str) -> io.TextIOWrapper:
        return io.TextIOWrapper(io.BytesIO(data), encoding=encoding, errors="surrogateescape")

    log = logging.getLogger("ezdxf")
    before, log.disabled = log.disabled, True  # what it has to say of a file is no news for the shell
    try:
        encoding = dxf_stream_info(stream("latin-1")).encoding
        if b"\\U+" not in data:
            return read(stream(encoding))
        return read(io.StringIO(_ESCAPED.sub(_letter, stream(encoding).read())))
    except Exception:  # whatever stops the library, the drawing is at fault
        raise InputError(fault("dxf.damaged", name)) from None
    finally:
        log.disabled = before


_ESCAPED = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
"""A letter that the drawing's code page lacks, as drawings before R2007 write it."""


def _letter(escaped: re.Match[str]) -> str:
    """The letter meant; what could be taken for the end of a line or a control stays as it is written."""
    letter = chr(int(escaped[1], 16))
    return letter if letter.isprintable() and letter > "\x7f" else escaped[0]


def _units(document: Drawing, units: str | None, name: str) -> tuple[str, list[Fault]]:
    """The unit of the drawing, never guessed."""
    if units is not None and units not in MM_PER:
        raise InputError(fault("value.drawing_units", "units", said=shortened(units), **meant(units, MM_PER)))
    code = document.header.get("$INSUNITS", 0)
    named = INSUNITS.get(code)
    if units is None:
        if named is None:
            raise InputError(fault("no_units.dxf", name, unit_code=str(code)))
        return named, []
    if code != 0 and named != units:
        facts: dict[str, Fact] = {"named": named} if named else {"unit_code": str(code)}
        return units, [fault("units.others", name, units=units, **facts)]
    return units, []


OWN: Layers = {"part": (None, None)}
"""What is asked of our own drawings."""


def _asked(document: Drawing, layers: Layers | None, name: str) -> tuple[Layers | None, list[Fault]]:
    """Which layers are read, by small letters; None = all."""
    listed = [each.dxf.name for each in document.layers]
    if layers is None:
        if {each.lower() for each in listed} >= OWN_LAYERS:
            return OWN, [fault("own.drawing", name)]
        return None, []
    # A layer may be drawn on without being listed; among the blocks is model space.
    drawn = (str(_attribute(each, "layer", "0")) for block in document.blocks for each in block)
    return asked_layers(layers, list(dict.fromkeys([*listed, *drawn])), name), []


def _own_wording(document: Drawing) -> Callable[[str], str | None]:
    """What reads the name in a label of our own drawing; numbers of cuts and pieces say nothing.

    The size after a name is left out, and a name cut short for want of room is that of its block.
    """
    blocks = [block.name for block in document.blocks if not block.name.startswith("*")]

    def name(text: str) -> str | None:
        clean = _OWN_SIZE.sub("", text)
        if _OWN_NUMBER.fullmatch(clean):
            return None
        whole = [each for each in blocks if each.startswith(clean.removesuffix("..."))] if clean[-3:] == "..." else []
        return whole[0] if len(whole) == 1 else clean

    return name


def _label(text: str, points: Sequence[Point]) -> Label:
    """A text with the area that it covers."""
    place, *corners, above = points
    return Label(text, place, tuple(corners), math.dist(place, above))


def _counted(counts: Mapping[tuple[str, str, Message], int]) -> Iterator[Skipped]:
    for (what, layer, why), count in counts.items():
        yield Skipped(f"{count} {what}", f"layer {shortened(layer)}" if layer else "model space", why)


# --- what is drawn --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Item:
    """An object of a block, in the block's own coordinates: a "ring", "stroke", "text", "insert", or "other", and then
    why it is.
    """

    kind: str
    what: str
    handle: str
    layer: str
    points: tuple[Any, ...] = ()
    curved: bool = False
    text: str = ""
    insert: Any = None
    hidden: bool = False
    why: str = ""


@dataclass(frozen=True)
class _Frame:
    """Where the objects of a block are drawn: `instance` tells one insertion from another."""

    block: str
    matrix: Matrix44 | None
    layer: str
    name: str | None
    quantity: int | None
    refused: Message | None
    instance: int
    frozen: bool = False


@dataclass
class _Collected:
    outlines: list[Outline] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    label_layers: list[str] = field(default_factory=list)
    skipped: list[Skipped] = field(default_factory=list)
    counts: Counter[tuple[str, str, Message]] = field(default_factory=Counter)


class _Collector:
    """Walks model space and its blocks."""

    def __init__(self, document: Drawing, reading: Reading, scale: float, asked: Layers | None) -> None:
        self._document, self._reading, self._scale, self._asked = document, reading, scale, asked
        self._items: dict[str, list[_Item]] = {}
        self._weights: dict[str, int] = {}
        self._groups: dict[tuple[int, str, int], int] = {}
        self._states = {each.dxf.name.lower(): _state(each) for each in document.layers}
        self._found = _Collected()

    def collected(self) -> _Collected:
        """All that is drawn in model space, in mm."""
        total = self._weight("", ())
        if total > MOST_POINTS:
            raise InputError(fault("too_large.blocks", self._reading.name, count=capped_count(total), most=MOST_POINTS))
        frames = deque([_Frame("", None, "0", None, None, None, 0)])
        instances = 0
        while frames:
            frame = frames.popleft()
            for item in self._block(frame.block.lower()):
                if item.kind != "insert":
                    self._draw(item, frame)
                    continue
                if not self._shown(item, frame):
                    continue
                inner = list(self._inserted(item, frame, instances))
                instances += len(inner)
                frames += inner
        self._paper()
        return self._found

    # blocks

    def _block(self, name: str) -> list[_Item]:
        """The objects of a block, "" = of model space."""
        if name not in self._items:
            layout: Iterable[Any] = self._document.blocks.get(name) if name else self._document.modelspace()
            self._items[name] = [_item_or_other(each) for each in layout or ()]
        return self._items[name]

    def _weight(self, name: str, path: tuple[str, ...]) -> int:
        """How many objects and points a block makes when taken apart."""
        if name in path:
            raise InputError(fault("blocks.circle", self._reading.name, block=shortened(name)))
        if len(path) > DEEPEST:
            raise InputError(fault("blocks.deep", self._reading.name, most=DEEPEST))
        if name not in self._weights:
            total = 0
            for item in self._block(name):
                total += 1 + len(item.points)
                if item.kind == "insert" and self._known(item):
                    inner = self._weight(item.insert.dxf.name.lower(), (*path, name))
                    total += _times(item.insert) * (1 + inner)
            self._weights[name] = total
        return self._weights[name]

    def _known(self, item: _Item) -> bool:
        block = self._document.blocks.get(item.insert.dxf.name)
        return block is not None and block.block is not None and not block.block.is_xref

    def _inserted(self, item: _Item, frame: _Frame, instances: int) -> Iterator[_Frame]:
        """The frames of an insertion, one for each place of its array."""
        insert = item.insert
        if not self._known(item):
            what = f"block {shortened(insert.dxf.name)}"
            self._found.counts[what, item.layer, message("why.no_block")] += 1
            return
        layer = self._layer(item, frame)
        name, quantity, refused = _attributes(insert)
        block = insert.dxf.name
        plain = None if block.startswith("*") or not block.isprintable() else block[:LONGEST_LABEL]
        frozen = frame.frozen or self._states.get(layer.lower()) == _FROZEN
        matrix = insert.matrix44()
        for number, offset in enumerate(_offsets(insert)):
            placed = matrix.copy()
            x, y, z = (one + other for one, other in zip(matrix.get_row(3)[:3], offset, strict=True))
            placed.set_row(3, (x, y, z))
            if frame.matrix is not None:
                placed *= frame.matrix
            yield _Frame(
                block, placed, layer, name or plain or frame.name,
                quantity if quantity is not None else frame.quantity,
                refused or frame.refused, instances + number + 1, frozen,
            )  # fmt: skip

    # objects

    def _layer(self, item: _Item, frame: _Frame) -> str:
        """What is on layer 0 of a block is on the layer of the insertion."""
        return frame.layer if frame.block and item.layer == "0" else item.layer

    def _shown(self, item: _Item, frame: _Frame) -> bool:
        """Whether an object is shown on a layer that is read; counts it where it is not."""
        layer = self._layer(item, frame)
        state = self._states.get(layer.lower(), "")
        if item.kind == "text":  # names may stand on any layer; in our own drawings they stand on TEXT
            asked = self._asked is not OWN or layer.lower() == "text"
        else:
            asked = self._asked is None or item.kind == "insert" or layer.lower() in self._asked
        if item.kind == "insert" and state != _FROZEN:
            state = ""  # a layer that is off hides what is on it, and not what a block has on other layers
        why = (
            "why.hidden" if item.hidden
            else _FROZEN if frame.frozen
            else state or ("" if asked else "why.layer_not_asked")
        )  # fmt: skip
        if why:
            self._found.counts[item.what, layer, message(why)] += 1
        return not why

    def _draw(self, item: _Item, frame: _Frame) -> None:
        if not self._shown(item, frame):
            return
        layer = self._layer(item, frame)
        if item.kind == "other":
            self._found.counts[item.what, layer, message(item.why or "why.no_outline")] += 1
            return
        points = item.points if frame.matrix is None else tuple(frame.matrix.transform_vertices(item.points))
        flat: tuple[Point, ...] = tuple((each.x * self._scale, each.y * self._scale) for each in points)
        what = f"{item.what} {item.handle}" + (f" in block {shortened(frame.block)}" if frame.block else "")
        if not flat or not within_reach(flat):
            on = f"layer {shortened(layer)}"
            self._found.skipped.append(Skipped(what, on, message("why.too_far")))
            return
        if item.kind == "text":
            several = [each.strip() for each in item.text.split("\n") if each.strip()]
            self._found.labels += [_label(each, flat) for each in several]
            self._found.label_layers += [layer] * len(several)
            return
        levels = [each.z * self._scale for each in points]
        if not max(levels) - min(levels) <= self._reading.tolerance:
            place = where(layer, flat[0], self._reading)
            self._found.skipped.append(Skipped(what, place, message("why.not_flat")))
            return
        if item.kind == "ring":
            self._found.outlines.append(
                Outline(flat, what, layer, item.curved, frame.name, frame.quantity, frame.refused)
            )
            return
        key = (frame.instance, layer.lower(), round(levels[0]))
        group = self._groups.setdefault(key, len(self._groups))
        closes = len(flat) > 2 and math.dist(flat[0], flat[-1]) <= self._reading.tolerance
        if closes:
            self._found.outlines.append(
                Outline(flat[:-1], what, layer, item.curved, frame.name, frame.quantity, frame.refused)
            )
        else:
            self._found.strokes.append(
                Stroke(flat, what, layer, group, item.curved, frame.name, frame.quantity, frame.refused)
            )

    def _paper(self) -> None:
        for layout in self._document.layouts:
            count = sum(each.dxftype() != "VIEWPORT" for each in layout)
            if layout.name != "Model" and count:
                words = f"paper space {shortened(layout.name)}"
                self._found.skipped.append(Skipped(f"{count} objects", words, message("why.paper_space")))


_FROZEN = "why.frozen"


def _state(layer: Any) -> str:
    return _FROZEN if layer.is_frozen() else "why.off" if layer.is_off() else ""


def _times(insert: Any) -> int:
    return int(max(1, insert.dxf.row_count) * max(1, insert.dxf.column_count))


def _offsets(insert: Any) -> Iterator[tuple[float, float, float]]:
    """The places of an array: along the rotated axes of the block reference, spacings not scaled."""
    from ezdxf.math import Vec3

    ocs = insert.ocs()
    places: dict[tuple[float, float, float], None] = {}
    for row in range(max(1, insert.dxf.row_count)):
        for column in range(max(1, insert.dxf.column_count)):
            offset = Vec3(column * insert.dxf.column_spacing, row * insert.dxf.row_spacing)
            places[ocs.to_wcs(offset.rotate_deg(insert.dxf.rotation)).xyz] = None
    yield from places  # a spacing of 0 puts several in one place: once is enough


def _attributes(insert: Any) -> tuple[str | None, int | None, Message | None]:
    """Name and quantity in the attributes of an insertion, and why its outlines are refused where one is unreadable."""
    name, quantity = None, None
    for each in insert.attribs:
        tag, text = str(each.dxf.tag).strip().lower(), " ".join(str(each.dxf.text).split())[: LONGEST_LABEL + 1]
        if not text or len(text) > LONGEST_LABEL or not text.isprintable():
            continue
        if tag in _QUANTITY_TAGS:
            read = int(text) if re.fullmatch("[0-9]{1,7}", text) else counted(text).count
            if read is None:
                return name, None, message("why.attribute", attribute=tag.upper(), text=shortened(text))
            quantity = read
        elif tag in _NAME_TAGS:
            name = name or text
    return name, quantity, None


# --- objects of the library to items --------------------------------------------------------------------------------

LETTER = 0.8
"""Width of a letter, in heights of capitals; and from line to line below."""
LINE = 1.6
_TEXTS = {"TEXT": "plain_text", "MTEXT": "plain_text"}
_NOT_READ = {"REGION", "3DSOLID", "3DFACE", "SOLID", "TRACE", "MLINE", "BODY", "SURFACE", "MESH"}


def _item_or_other(entity: Any) -> _Item:
    """What an object of the library is to us; one with impossible figures is listed."""
    try:
        return _item(entity)
    except Exception:  # whatever stops the library, this object is at fault
        layer = str(_attribute(entity, "layer", ""))
        return _Item("other", _plain(entity.dxftype()), "", layer, why="why.damaged")


def _attribute(entity: Any, key: str, default: object) -> Any:
    """An attribute of an object, also of one whose kind the library does not know."""
    return entity.dxf.get(key, default) if entity.dxf.is_supported(key) else default


def _plain(word: str) -> str:
    """A word of the file as messages repeat it."""
    return re.sub(r"[^A-Za-z0-9_*]", "?", word)[:40]


def _item(entity: Any) -> _Item:
    kind = entity.dxftype()
    handle = _plain(str(entity.dxf.handle or ""))
    layer = str(_attribute(entity, "layer", ""))
    hidden = bool(_attribute(entity, "invisible", 0))

    def item(
        what: str,
        *,
        points: Iterable[Any] = (),
        curved: bool = False,
        text: str = "",
        insert: Any = None,
        why: str = "",
    ) -> _Item:
        return _Item(what, _plain(kind), handle, layer, tuple(points), curved, text, insert, hidden, why)

    if kind == "LINE":
        return item("stroke", points=(entity.dxf.start, entity.dxf.end))
    if kind == "LWPOLYLINE":
        points, curved = _bulged(entity.get_points("xyb"))
        elevation = float(entity.dxf.elevation)  # the library of some releases takes no whole number
        placed = entity.ocs().points_to_wcs([each.replace(z=elevation) for each in points])
        return item("ring" if entity.closed else "stroke", points=placed, curved=curved)
    if kind == "POLYLINE":
        return _polyline(entity, item)
    if kind == "INSERT":
        return item("insert", insert=entity)
    if kind in _TEXTS:
        return _text(entity, item)
    return _curve(kind, entity, item)


def _bulged(vertices: Iterable[tuple[float, float, float]]) -> tuple[list[Any], bool]:
    """Points, with the middle of each arc between them, and whether there is an arc."""
    from ezdxf.math import Vec3

    several = list(vertices)
    points, curved = [], False
    for (x, y, bulge), (then_x, then_y, _) in zip(several, [*several[1:], *several[:1]], strict=True):
        points.append(Vec3(x, y))
        if bulge:
            curved = True
            points.append(Vec3((x + then_x - bulge * (y - then_y)) / 2, (y + then_y + bulge * (x - then_x)) / 2))
    return points, curved


def _polyline(entity: Any, item: Callable[..., _Item]) -> _Item:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return item("other", why="why.mesh")
    kind = "ring" if entity.is_closed else "stroke"
    points = list(entity.points_in_wcs())
    curved = bool(entity.dxf.flags & 6)  # 2 curve fit, 4 spline fit
    curved = curved or (entity.is_2d_polyline and any(each.dxf.get("bulge", 0) for each in entity.vertices))
    return item(kind, points=points, curved=curved) if points else item("other", why="why.no_points")


def _text(entity: Any, item: Callable[..., _Item]) -> _Item:
    raw = entity.dxf.text if entity.dxftype() == "TEXT" else entity.text
    if len(raw) > 5 * LONGEST_LABEL:
        return item("other", why="why.long_text")
    lines = str(entity.plain_text()).strip().split("\n")
    if entity.dxftype() == "MTEXT":
        place, high = entity.dxf.insert, float(entity.dxf.get("char_height", 0) or 0)
        column, row = (
            (int(entity.dxf.get("attachment_point", 1)) - 1) % 3,
            (entity.dxf.get("attachment_point", 1) - 1) // 3,
        )
        share, turn = (column / 2, 1 - row / 2), float(entity.get_rotation())
    else:
        align, one, other = entity.get_placement()
        place = entity.ocs().to_wcs(one if other is None else one.lerp(other))
        high, turn = float(entity.dxf.get("height", 0) or 0), float(entity.dxf.get("rotation", 0) or 0)
        share = _share(align.name)
    wide, tall = LETTER * high * max(map(len, lines)), high * (1 + LINE * (len(lines) - 1))
    return item(
        "text",
        points=_text_area(place, (wide, tall), share, turn, high),
        text="\n".join(lines)[: LONGEST_LABEL + 1],
    )


def _share(align: str) -> tuple[float, float]:
    """How much of a text lies left of its point, and below it."""
    right = 1.0 if "RIGHT" in align else 0.0 if "LEFT" in align else 0.5
    return right, 1.0 if "TOP" in align else 0.5 if "MIDDLE" in align else 0.0


def _text_area(
    place: Any, size: tuple[float, float], share: tuple[float, float], turn: float, high: float
) -> tuple[Any, ...]:
    """The point of a text, the corners of the area that it covers, and a point as high above the first as its
    letters."""
    from ezdxf.math import Vec3

    (wide, tall), (left, below) = size, share
    ends = ((-left, -below), (1 - left, -below), (1 - left, 1 - below), (-left, 1 - below))
    moves = [*((x * wide, y * tall) for x, y in ends), (0.0, high)]
    return (place, *(place + Vec3(x, y).rotate_deg(turn) for x, y in moves))


def _curve(kind: str, entity: Any, item: Callable[..., _Item]) -> _Item:
    """Curves are never parts, but a rectangle around one has a hole, and lines that meet one have a rounded corner."""
    turn = [math.tau * each / 16 for each in range(16)]
    if kind == "CIRCLE":
        return item("ring", points=entity.vertices([math.degrees(each) for each in turn]), curved=True)
    if kind == "ARC":
        return item("stroke", points=entity.vertices(entity.angles(9)), curved=True)
    if kind == "ELLIPSE":
        start, end = entity.dxf.start_param, entity.dxf.end_param
        if abs(abs(end - start) - math.tau) < 1e-6:
            return item("ring", points=entity.vertices(turn), curved=True)
        span = (end - start) % math.tau
        return item("stroke", points=entity.vertices([start + span * each / 8 for each in range(9)]), curved=True)
    if kind == "SPLINE":
        from ezdxf.math import Vec3

        points = [Vec3(each) for each in (entity.control_points if len(entity.control_points) else entity.fit_points)]
        if not points:
            return item("other", why="why.no_points")
        return item("ring" if entity.closed else "stroke", points=points, curved=True)
    return item("other", why="why.not_read" if kind in _NOT_READ else "")
