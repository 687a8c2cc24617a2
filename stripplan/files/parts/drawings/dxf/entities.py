"""Objects of a drawing as points: rings, strokes, texts and insertions, each in the coordinates of its block."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stripplan.files.parts.drawings.outlines import LONGEST_LABEL  # fmt: skip

if TYPE_CHECKING:
    pass


@dataclass(frozen=True)
class Item:
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


LETTER = 0.8
"""Width of a letter, in heights of capitals; and from line to line below."""
LINE = 1.6
_TEXTS = {"TEXT": "plain_text", "MTEXT": "plain_text"}
_NOT_READ = {"REGION", "3DSOLID", "3DFACE", "SOLID", "TRACE", "MLINE", "BODY", "SURFACE", "MESH"}


def item_of(entity: Any) -> Item:
    """What an object of the library is to us; one with impossible figures is listed."""
    try:
        return _item(entity)
    except Exception:  # whatever stops the library, this object is at fault
        layer = str(attribute_of(entity, "layer", ""))
        return Item("other", _plain(entity.dxftype()), "", layer, why="why.damaged")


def attribute_of(entity: Any, key: str, default: object) -> Any:
    """An attribute of an object, also of one whose kind the library does not know."""
    return entity.dxf.get(key, default) if entity.dxf.is_supported(key) else default


def _plain(word: str) -> str:
    """A word of the file as messages repeat it."""
    return re.sub(r"[^A-Za-z0-9_*]", "?", word)[:40]


def _item(entity: Any) -> Item:
    kind = entity.dxftype()
    handle = _plain(str(entity.dxf.handle or ""))
    layer = str(attribute_of(entity, "layer", ""))
    hidden = bool(attribute_of(entity, "invisible", 0))

    def item(
        what: str,
        *,
        points: Iterable[Any] = (),
        curved: bool = False,
        text: str = "",
        insert: Any = None,
        why: str = "",
    ) -> Item:
        return Item(what, _plain(kind), handle, layer, tuple(points), curved, text, insert, hidden, why)

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


def _polyline(entity: Any, item: Callable[..., Item]) -> Item:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return item("other", why="why.mesh")
    kind = "ring" if entity.is_closed else "stroke"
    points = list(entity.points_in_wcs())
    curved = bool(entity.dxf.flags & 6)  # 2 curve fit, 4 spline fit
    curved = curved or (entity.is_2d_polyline and any(each.dxf.get("bulge", 0) for each in entity.vertices))
    return item(kind, points=points, curved=curved) if points else item("other", why="why.no_points")


def _text(entity: Any, item: Callable[..., Item]) -> Item:
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


def _curve(kind: str, entity: Any, item: Callable[..., Item]) -> Item:
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
