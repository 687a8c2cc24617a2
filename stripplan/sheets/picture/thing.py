"""A thing to the picture of its views, to check it by: how its pieces butt, what each is, and its outer sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from string import ascii_uppercase

from stripplan.sheets.picture.lettering import Box
from stripplan.sheets.picture.shapes import Dimension, Outline, Picture, Point, Text
from stripplan.sheets.picture.svg import paint
from stripplan.things.thing import Axis, Solid, Thing, View
from stripplan.wording.message import Facts, Message, length
from stripplan.wording.show import Units, worded

_MARGIN = 0.1
"""Room round a view for its dimensions and its title, as a share of the picture's height."""
_LETTER = 0.016
"""Height of capitals, as a share of it."""
_ACROSS: dict[Axis, tuple[int, int]] = {"above": (0, 1), "front": (0, 2), "side": (1, 2)}
"""Axes that a view shows to the right and upwards."""


def thing_picture(thing: Thing, *, name: str, units: Units) -> Picture:
    """The views one below the other and the list under them; `name` is the thing's. Lengths are mm."""
    high = _height(thing)
    margin, letter = high * _MARGIN, high * _LETTER
    outlines: list[Outline] = []
    texts: list[Text] = []
    dimensions: list[Dimension] = []
    top, wide = 0.0, max(thing.outer[_ACROSS[each.seen_from][0]] for each in thing.views)
    for view in thing.views:
        right, up = (thing.outer[axis] for axis in _ACROSS[view.seen_from])
        base = top - margin - up
        left = (wide - right) / 2
        texts.append(Text("TEXT", (wide / 2, base + up + margin / 2), _title(view, name), letter))
        drawn, letters = _view(thing, view, (left, base), letter)
        outlines += drawn
        texts += letters
        dimensions += _outer((left, base), right, up, margin, units)
        top = base - margin
    rows = [_row(thing, number, units) for number in range(len(thing.pieces))]
    for row in rows:
        top -= 2 * letter
        texts.append(Text("TEXT", (wide / 2, top), row, letter))
    half = max(wide / 2 + margin, max(len(each.text) for each in texts) * letter * 0.5)
    box: Box = (wide / 2 - half, top - 2 * letter, wide / 2 + half, 0.0)
    return Picture(name, box, tuple(outlines), (), tuple(texts), (), tuple(dimensions))


def thing_svg(thing: Thing, *, name: str, units: Units) -> str:
    """SVG of a thing, with its list as words for who does not see it."""
    rows = tuple(_row(thing, number, units) for number in range(len(thing.pieces)))
    size = " x ".join(_length(each, units) for each in thing.outer)
    words = worded(Message("thing.described", facts=Facts(pieces=rows, size=size))).text
    return paint(thing_picture(thing, name=name, units=units), description=words)


def _height(thing: Thing) -> float:
    """What the picture will be high, or wide where that is more: its letters go by it [mm]."""
    views = sum(thing.outer[_ACROSS[each.seen_from][1]] for each in thing.views)
    written = 2 * _MARGIN * len(thing.views) + 2 * _LETTER * (len(thing.pieces) + 1)
    return max(views / (1 - written), max(thing.outer))


def _view(thing: Thing, view: View, at: Point, letter: float) -> tuple[list[Outline], list[Text]]:
    """Outlines of what is seen, the farthest first, and a letter on one piece of each kind.

    What the plane cuts is filled as a part, what lies behind it grey. Letters stand on what was drawn last of a kind.
    """
    outlines, places = [], dict[int, Point]()
    for solid, cut in _seen(thing, view):
        points = tuple((at[0] + x, at[1] + y) for x, y in _flat(solid, view.seen_from))
        outlines.append(Outline("PART" if cut or view.at is None else "KERF", points))
        places[solid.piece] = _middle(points)
    letters = [
        Text("TEXT", place, ascii_uppercase[piece], letter, bold=True)
        for piece, place in places.items()
        if not _covered(place, piece, thing, view, at)
    ]
    return outlines, letters


def _seen(thing: Thing, view: View) -> Iterator[tuple[Solid, bool]]:
    """Solids that are not cut away, the farthest first, and whether the plane cuts them."""

    def near_and_far(solid: Solid) -> tuple[float, float]:
        """Along the way one looks: what is nearer has the smaller figure."""
        if solid.level:
            return _level_span(solid, view.seen_from)
        if view.seen_from == "front":
            return solid.near, solid.far
        axis = 0 if view.seen_from == "side" else 1
        values = [-point[axis] for point in solid.outline]
        return min(values), max(values)

    plane = None if view.at is None else view.at if view.seen_from == "front" else -view.at
    spans = [(solid, near_and_far(solid)) for solid in thing.solids]
    left = [(solid, span) for solid, span in spans if plane is None or span[1] > plane]
    for solid, (near, _) in sorted(left, key=lambda each: (-each[1][0], -each[1][1])):
        yield solid, plane is not None and near < plane


def _level_span(solid: Solid, seen_from: Axis) -> tuple[float, float]:
    """From where to where a level solid reaches along the way one looks."""
    if seen_from == "above":
        return -solid.far, -solid.near
    values = [point[1] if seen_from == "front" else -point[0] for point in solid.outline]
    return min(values), max(values)


def _flat(solid: Solid, seen_from: Axis) -> Sequence[Point]:
    """The outline of a solid as it is seen."""
    if solid.level:
        if seen_from == "above":
            return solid.outline
        across = [point[0 if seen_from == "front" else 1] for point in solid.outline]
        low, high = min(across), max(across)
        return ((low, solid.near), (high, solid.near), (high, solid.far), (low, solid.far))
    if seen_from == "front":
        return solid.outline
    values = [point[0 if seen_from == "above" else 1] for point in solid.outline]
    low, high = min(values), max(values)
    if seen_from == "above":
        return ((low, solid.near), (high, solid.near), (high, solid.far), (low, solid.far))
    return ((solid.near, low), (solid.far, low), (solid.far, high), (solid.near, high))


def _covered(place: Point, piece: int, thing: Thing, view: View, at: Point) -> bool:
    """Whether a piece of another kind, drawn later, lies over a point."""
    last = None
    for solid, _ in _seen(thing, view):
        xs, ys = zip(*_flat(solid, view.seen_from), strict=True)
        if min(xs) < place[0] - at[0] < max(xs) and min(ys) < place[1] - at[1] < max(ys):
            last = solid.piece
    return last is not None and last != piece


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _outer(at: Point, right: float, up: float, margin: float, units: Units) -> list[Dimension]:
    x, y = at
    return [
        Dimension((x, y), (x + right, y), margin * 0.35, _length(right, units)),
        Dimension((x + right, y), (x + right, y + up), margin * 0.35, _length(up, units)),
    ]


def _title(view: View, name: str) -> str:
    code = f"thing.{view.seen_from}{'' if view.at is None else '_cut'}"
    return worded(Message(code, facts=Facts(thing=name))).text


def _row(thing: Thing, number: int, units: Units) -> str:
    each = thing.pieces[number]
    facts = Facts(
        letter=ascii_uppercase[number], name=each.name, count=each.quantity, width=length(each.width.mm),
        length=length(each.length.mm), thickness=length(each.thickness),
    )  # fmt: skip
    return worded(Message("thing.row_mitred" if each.ends else "thing.row", facts=facts), units).text


def _length(mm: float, units: Units) -> str:
    return worded(Message("thing.size", facts=Facts(size=length(mm))), units).text
