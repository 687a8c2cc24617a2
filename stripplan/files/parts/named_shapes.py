"""Straight-sided shapes as people name them: by outline, right-angled triangle, angles of the ends, clipped corners."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal

from stripplan.errors import Fault
from stripplan.files.fault_words import fault
from stripplan.model.part import outline_fault
from stripplan.model.polygon import NEAR, Outline, real_corners
from stripplan.wording.message import length

LengthTo = Literal["long", "short", "middle"]
WAYS = ("outline", "shape", "ends", "corners")
"""Keys of a part that make it a shape; one of them at a time."""


@dataclass(frozen=True, kw_only=True)
class Named:
    """What was said of a part: its sizes [mm], and how it is shaped. `ends` [deg], `corners` along and across [mm]."""

    width: float | None
    length: float | None
    outline: Outline | None = None
    shape: Literal["triangle"] | None = None
    ends: tuple[float, float] | None = None
    length_to: LengthTo = "long"
    corners: tuple[tuple[float, float], ...] | None = None
    others: tuple[str, ...] = field(default=())
    """Keys that were given and that no shape has: square, fence."""

    @property
    def ways(self) -> list[str]:
        """Keys by which it is a shape."""
        return [key for key in WAYS if getattr(self, key) is not None]


def outline_of(named: Named, where: Callable[[str], str]) -> tuple[Outline | None, list[Fault]]:
    """The outline of a part that is a shape, and what is wrong with what was said; `where` gives the place of a key."""
    faults = list(_wrong(named, where))
    if faults:
        return None, faults
    if named.outline is not None:
        return named.outline, []
    assert named.width is not None
    assert named.length is not None
    if named.ends is not None:
        return mitred(named.length, named.width, named.ends, named.length_to), []
    if named.corners is not None:
        return clipped(named.length, named.width, named.corners), []
    return ((0.0, 0.0), (named.length, 0.0), (0.0, named.width)), []


def mitred(length: float, width: float, ends: tuple[float, float], to: LengthTo) -> Outline:
    """A piece with its ends at an angle to its lower edge [deg], left and right, measured inside the piece.

    The length is that between the points of the ends that lie farthest out, farthest in, or at half the width.

    >>> mitred(600, 50, (45, 45), "long")
    ((0.0, 0.0), (600.0, 0.0), (550.0, 50.0), (50.0, 50.0))
    >>> mitred(600, 50, (45, 135), "middle")
    ((-25.0, 0.0), (575.0, 0.0), (625.0, 50.0), (25.0, 50.0))
    """
    left, right = (width / math.tan(math.radians(each)) for each in ends)
    share = {"long": (min(0.0, left), min(0.0, right)), "short": (max(0.0, left), max(0.0, right))}
    from_left, from_right = share.get(to, (left / 2, right / 2))
    # The left end stands `from_left` further in than the corner below it, the right one `from_right`.
    x0, x1 = -from_left, length + from_right
    corners = (x0, 0.0), (x1, 0.0), (x1 - right, width), (x0 + left, width)
    return tuple((round(x, 6) + 0.0, float(y)) for x, y in corners)


def clipped(length: float, width: float, corners: tuple[tuple[float, float], ...]) -> Outline:
    """A rectangle without its corners, lower left, lower right, upper right, upper left: along and across of each.

    Where two take all of a side they meet in one corner.

    >>> clipped(100, 50, ((10, 10), (0, 0), (0, 0), (20, 5)))
    ((0.0, 10.0), (10.0, 0.0), (100.0, 0.0), (100.0, 50.0), (20.0, 50.0), (0.0, 45.0))
    """
    found: list[tuple[float, float]] = []
    square = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    for n, ((x, y), (along, across)) in enumerate(zip(square, corners, strict=True)):
        inward = 1.0 if x == 0 else -1.0, 1.0 if y == 0 else -1.0
        beside, above = (x + inward[0] * along, y), (x, y + inward[1] * across)
        ends = [above, beside] if n % 2 == 0 else [beside, above]
        found += ends if along and across else [(x, y)]
    return tuple((float(x), float(y)) for x, y in (found[n] for n in real_corners(found, near=0.0)))


def _wrong(named: Named, where: Callable[[str], str]) -> Iterator[Fault]:
    ways = named.ways
    if len(ways) > 1:
        yield fault("shape_twice.part", where(ways[1]), ways=tuple(ways))
        return
    (way,) = ways
    for key in named.others:
        yield fault("shape_without.part", where(key), key=key)
    if way == "outline":
        for key in ("width", "length"):
            if getattr(named, key) is not None:
                yield fault("shape_size.outline", where(key), key=key)
        assert named.outline is not None
        yield from outline_faults(named.outline, where("outline"))
        return
    if named.length is None:
        yield fault("shape_size.missing", where(way), way=way)
        return
    assert named.width is not None
    if named.ends is not None:
        yield from _ends_wrong(named.length, named.width, named.ends, named.length_to, where)
    if named.corners is not None:
        yield from _corners_wrong(named.length, named.width, named.corners, where("corners"))


def _ends_wrong(
    long: float, wide: float, ends: tuple[float, float], to: LengthTo, where: Callable[[str], str]
) -> Iterator[Fault]:
    if not all(0 < each < 180 for each in ends):
        yield fault("shape_ends.angle", where("ends"), angle=next(each for each in ends if not 0 < each < 180))
        return
    (x0, _), (x1, _), (x2, _), (x3, _) = mitred(long, wide, ends, to)
    if x1 - x0 <= NEAR or x2 - x3 <= NEAR:
        least = long - min(x1 - x0, x2 - x3)
        facts = {"length": length(long), "width": length(wide), "to": to, "least": length(round(least, 3))}
        yield fault("shape_ends.meet", where("ends"), one=ends[0], other=ends[1], **facts)


def _corners_wrong(long: float, wide: float, corners: tuple[tuple[float, float], ...], where: str) -> Iterator[Fault]:
    for n, (along, across) in enumerate(corners, 1):
        if (along > 0) != (across > 0):
            yield fault("shape_corners.half", where, corner=n)
    for n, m, place, size in ((0, 1, 0, long), (2, 3, 0, long), (1, 2, 1, wide), (3, 0, 1, wide)):
        taken = corners[n][place] + corners[m][place]
        if taken > size + NEAR:
            yield fault(
                "shape_corners.meet", where, one=n + 1, other=m + 1, taken=length(taken), size=length(size)
            )  # fmt: skip


def outline_faults(outline: Outline, where: str) -> Iterator[Fault]:
    """Why an outline of finite numbers is none that straight cuts can free, with its corners, counted from 1."""
    match outline_fault(outline):
        case "crosses", (one, other):
            yield fault("shape_outline.crosses", where, one=one, other=other)
        case "twice", (one, other):
            yield fault("shape_outline.twice", where, one=one, other=other)
        case "inward", (corner,):
            yield fault("shape_outline.inward", where, corner=corner)
        case "flat", _:
            yield fault("shape_outline.flat", where)
