"""Crowded regions of a plate, to be drawn larger: where they lie, how large, and their pictures.

A piece is crowded where its name cannot be read in the drawing of the plate, or its size neither there nor on another
piece of its part, then one of them; a number where its figures cannot. Crowded things that touch make a region; one
that would be drawn over more than its room, or mostly empty, is parted, and regions that take less room together than
apart are put together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.lettering import Box, Reading, Taken, meet, within
from stripplan.sheets.picture.on_plate.holes import holes_of, parts_with_holes
from stripplan.sheets.picture.on_plate.piece_labels import (
    as_labelled,
    greatest_height,
    holes_and_label,
    in_two,
    piece_size,
)
from stripplan.sheets.picture.on_plate.plate import (
    Region,
    kerf_band,
    layer_of,
    line_box,
    numbers,
    plate_picture,
    torch_line,
)
from stripplan.sheets.picture.shapes import Bubble, Outline, Picture, Text

LETTERS = "EFGHJKLMNPQRSTUVWXYZ"
"""Of details: A to D are those of the edges, I and O are taken for figures (ISO 128-3 leaves them out too)."""
MORE = 2.0
"""A region is drawn larger than its plate by this factor at least: less says nothing that the eye did not have."""
NAMES = 1.25
"""The same for a region that does not go into its room so large and holds a name that can be read nowhere else."""
AIR = 1.2
"""Room for a label beside the numbers of cuts: over what it takes where there are none."""
WRITTEN = 500.0
"""What is written is sized as on a drawing so large [pt]."""
LARGER = (1.0, 1.2, 1.45)
"""A region is drawn so much larger than it takes where more of it can be read then: numbers take room too."""
AROUND = 50.0
"""What a detail takes on paper on each axis beyond its region [pt]."""
OVERLAP = 1.5
"""Two regions that overlap are put together where that takes no more than this times their room."""
PARTED = 0.8
"""A region is parted where its halves take less than this share of its room on paper."""


@dataclass(frozen=True)
class Detail:
    """A region, the points on paper for a mm of it, and its picture."""

    region: Region
    scale: float
    picture: Picture


@dataclass(frozen=True)
class _Crowded:
    """A box that is to be drawn at a scale at least [pt a mm]; `alone`: no list tells what cannot be read there, a name
    or a number."""

    box: Box
    scale: float
    alone: bool = False


def details_of(
    plan: Plan,
    plate_id: str,
    picture: Picture,
    *,
    scale: float,
    least: float,
    room: tuple[float, float],
    most: tuple[float, float],
) -> tuple[Detail, ...]:
    """The crowded regions of a plate that is drawn at a scale [pt a mm], the first at its left.

    `picture` is how it is drawn without them, `least` the height of capitals that can be read, `room` what a
    detail should fill along x and y of the plate, and `most` what it may fill where more of it can be read then [pt].
    """
    crowded = [
        replace(each, scale=max(each.scale, MORE * scale)) for each in _crowded(plan, plate_id, picture, scale, least)
    ]
    found = [each for group in _touching(crowded, 6.0 / scale) for each in _parted(group, room)]
    regions = _together(found, room)[: len(LETTERS)]
    grown = [replace(each, box=_grown(each.box, 1.5 / scale)) for each in regions]
    useful = [each for each in grown if _most(each.box, most) >= (NAMES if each.alone else MORE) * scale]
    ordered = sorted(useful, key=lambda each: (each.box[0], -each.box[3]))
    return tuple(
        _detail(plan, plate_id, Region(letter, each.box), each.scale, least, most)
        for letter, each in zip(LETTERS, ordered, strict=False)
    )


def _detail(plan: Plan, plate_id: str, region: Region, takes: float, least: float, room: tuple[float, float]) -> Detail:
    """A region at the scale that it takes, or a little larger where more of it can be read then."""
    tries = [min(takes * more, _most(region.box, room)) for more in LARGER]
    drawn = [Detail(region, each, _picture(plan, plate_id, region, WRITTEN / each)) for each in dict.fromkeys(tries)]
    lacking = [len(_crowded(plan, plate_id, each.picture, each.scale, least, region.box)) for each in drawn]
    return drawn[lacking.index(min(lacking))]


def _most(box: Box, room: tuple[float, float]) -> float:
    """The largest scale at which a region stays in a room [pt a mm]."""
    return min(room[0] / (box[2] - box[0]), room[1] / (box[3] - box[1]))


def _picture(plan: Plan, plate_id: str, region: Region, written: float) -> Picture:
    """A region alone. What reaches out of it is not named and not numbered: that stands in the drawing of the plate."""
    units = (plan.job.units, plan.job.inch_fraction)
    ends = [as_labelled(plan, each) for each in _ends(plan, plate_id) if meet(each.box, region.box)]
    cuts = [each for each in plan.cuts if each.plate == plate_id and meet(_wide(each), region.box)]
    taken = Taken(written / 20)
    bubbles, arrows = numbers([each for each in cuts if _begins_in(each, region.box)], written, taken)
    parts = parts_with_holes(plan)
    texts = [
        text
        for each in ends
        if within(each.box, region.box)
        for text in holes_and_label(each, parts, written, units, taken, broken=True)
    ]
    return Picture(
        title=f"{plan.job.name}: plate {plate_id}, detail {region.letter}",
        box=region.box,
        outlines=(
            *(Outline("KERF", kerf_band(each)) for each in cuts),
            *(Outline(layer_of(each), each.outline) for each in ends),
            *arrows,
        ),
        lines=tuple(torch_line(plan, each) for each in cuts),
        texts=tuple(texts),
        bubbles=tuple(each for each in bubbles if within((*each.at, *each.at), region.box)),
        dimensions=(),
        holes=tuple(hole for each in ends for hole in holes_of(parts, each)),
    )


def _ends(plan: Plan, plate_id: str) -> list[Piece]:
    return [each for each in plan.pieces if each.plate == plate_id and each.kind not in ("blank", "plate")]


def _begins_in(cut: Cut, box: Box) -> bool:
    """Whether the torch enters in a region and goes on there for long enough to be numbered."""
    (x, y), (far_x, far_y) = cut.line
    return within((x, y, x, y), box) and within(((x + far_x) / 2, (y + far_y) / 2) * 2, _grown(box, cut.length / 4))


def _wide(cut: Cut) -> Box:
    return _grown(line_box(cut), cut.kerf / 2)


# --- what is crowded ----------------------------------------------------------------------------------------------


def _crowded(
    plan: Plan, plate_id: str, picture: Picture, scale: float, least: float, box: Box | None = None
) -> list[_Crowded]:
    """What cannot be read in a picture at a scale, in a box of the plate or all of it."""
    units = (plan.job.units, plan.job.inch_fraction)
    ends = [each for each in _ends(plan, plate_id) if each.kind != "scrap" and (box is None or within(each.box, box))]
    found = list(_pieces(ends, picture, units, scale, least))
    for bubble in picture.bubbles:
        if bubble.radius * scale * _digits(bubble) < least * 0.55:
            reach = 2.5 * bubble.radius
            (x, y) = bubble.at
            needs = scale * min(2.5, 0.6 * least / (bubble.radius * scale * _digits(bubble)))
            found.append(_Crowded((x - reach, y - reach, x + reach, y + reach), needs, alone=True))
    return found


def _digits(bubble: Bubble) -> float:
    """Height of the figures of a number over its radius."""
    return 0.72 * min(1.3, 2.6 / len(str(bubble.number)))


def _pieces(ends: Sequence[Piece], picture: Picture, units: Reading, scale: float, least: float) -> Iterator[_Crowded]:
    """Pieces whose name, or the size of whose part, cannot be read."""
    readable = [each for each in picture.texts if each.height * scale >= 0.98 * least]
    told = {each.id: _spaced(" ".join(text.text for text in readable if _lies_in(text, each))) for each in ends}
    sized = {_kind(each, units) for each in ends if piece_size(each, units) in told[each.id]}
    for each in sorted(ends, key=lambda piece: _called(piece) in told[piece.id]):  # one without its name tells its size
        named = each.kind != "part" or _called(each) in told[each.id]
        if not named or _kind(each, units) not in sized:
            sized.add(_kind(each, units))
            yield _Crowded(each.box, AIR * least / _best_height(each, units), alone=not named)


def _kind(piece: Piece, units: Reading) -> tuple[str, str]:
    """Pieces of a part that are of one size tell it once; each offcut tells its own."""
    return piece.part or piece.id, piece_size(piece, units)


def _lies_in(text: Text, piece: Piece) -> bool:
    x0, y0, x1, y1 = piece.box
    return x0 <= text.at[0] <= x1 and y0 <= text.at[1] <= y1


def _called(piece: Piece) -> str:
    return _spaced(piece.part) if piece.kind == "part" and piece.part else "offcut"


def _spaced(words: str) -> str:
    return " ".join(words.split())


def _best_height(piece: Piece, units: Reading) -> float:
    """Greatest height of capitals at which name and size go into a piece [mm]."""
    name, size = _called(piece), piece_size(piece, units)
    ways = [(f"{name}  {size}",), (name, size), (*in_two(name), size)]
    return max(greatest_height(piece, each) for each in ways)


# --- regions ------------------------------------------------------------------------------------------------------


def _touching(crowded: Sequence[_Crowded], gap: float) -> list[list[_Crowded]]:
    """Groups of what is nearer to each other than a gap."""
    left, groups = list(crowded), []
    while left:
        group, at = [left.pop()], 0
        while at < len(group):
            reach = _grown(group[at].box, gap)
            group += [each for each in left if meet(each.box, reach)]
            left = [each for each in left if not meet(each.box, reach)]
            at += 1
        groups.append(group)
    return groups


def _parted(group: list[_Crowded], room: tuple[float, float]) -> list[_Crowded]:
    """A group as one region, or as several where that takes less paper or the room needs it."""
    whole = _whole(group)
    if len(group) == 1:
        return [whole]
    halves = min(_halves(group), key=lambda pair: sum(_paper(_whole(half)) for half in pair), default=None)
    if halves is None:
        return [whole]
    saves = sum(_paper(_whole(half)) for half in halves) < PARTED * _paper(whole)
    if _fits(whole, room) and not saves:
        return [whole]
    return [each for half in halves for each in _parted(half, room)]


def _halves(group: list[_Crowded]) -> Iterator[tuple[list[_Crowded], list[_Crowded]]]:
    """Ways to part a group along one of the axes, by the middles of its boxes."""
    for axis in (0, 1):
        middles = sorted({round(each.box[axis] + each.box[axis + 2], 3) for each in group})
        for low, high in pairwise(middles):
            at = (low + high) / 2
            one = [each for each in group if each.box[axis] + each.box[axis + 2] < at]
            other = [each for each in group if each.box[axis] + each.box[axis + 2] >= at]
            if one and other:
                yield one, other


def _together(regions: list[_Crowded], room: tuple[float, float]) -> list[_Crowded]:
    """Regions put together, two at a time, while that takes less paper, or not much more where they overlap."""
    found = list(regions)
    while True:
        pairs = [
            (_paper(whole) - (OVERLAP if meet(one.box, other.box) else 1.0) * (_paper(one) + _paper(other)), at, beside)
            for at, one in enumerate(found)
            for beside, other in enumerate(found[:at])
            if _fits(whole := _whole([one, other]), room)
        ]
        gain, at, beside = min(pairs, default=(0.0, 0, 0))
        if gain >= 0:
            return found
        whole = _whole([found[at], found[beside]])
        found = [each for number, each in enumerate(found) if number not in (at, beside)] + [whole]


def _whole(group: Sequence[_Crowded]) -> _Crowded:
    boxes = [each.box for each in group]
    x0, y0 = min(each[0] for each in boxes), min(each[1] for each in boxes)
    x1, y1 = max(each[2] for each in boxes), max(each[3] for each in boxes)
    return _Crowded((x0, y0, x1, y1), max(each.scale for each in group), any(each.alone for each in group))


def _paper(region: _Crowded) -> float:
    """Room that a region takes on paper [pt2]."""
    x0, y0, x1, y1 = region.box
    return ((x1 - x0) * region.scale + AROUND) * ((y1 - y0) * region.scale + AROUND)


def _fits(region: _Crowded, room: tuple[float, float]) -> bool:
    x0, y0, x1, y1 = region.box
    return (x1 - x0) * region.scale <= room[0] and (y1 - y0) * region.scale <= room[1]


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def framed_picture(plan: Plan, plate_id: str, details: Sequence[Detail], *, around: float, written: float) -> Picture:
    """The picture of a plate with the frames of its details."""
    regions = tuple(each.region for each in details)
    return plate_picture(plan, plate_id, around=around, written=written, regions=regions)
