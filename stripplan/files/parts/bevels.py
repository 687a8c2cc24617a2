"""Bevels as people say them: "long 30/2", "right 45 both", "upper 30 deep 4 other", or a table for each; and which
edges of the part are meant.

Sides are named as the part is read with its length along the lower edge: lower, right, upper, left; `long` is lower and
upper, `ends` are left and right, `all` is every edge. Edges of other shapes have numbers, from each corner to the next.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from stripplan.errors import Fault
from stripplan.files.fault_words import fault, meant, shortened
from stripplan.files.toml.quantities import ValueRefusedError
from stripplan.model.bevel import Bevel, BevelFace
from stripplan.model.part import Part, Shape
from stripplan.model.polygon import SHORTEST_EDGE, Outline, Segment, cross, edges, from_edge, line_of
from stripplan.wording.message import length

SIDES = ("lower", "right", "upper", "left")
SEVERAL = {"long": ("lower", "upper"), "ends": ("right", "left"), "all": SIDES}
BETWEEN = re.compile(r"\s*[;|]\s*")
"""What stands between bevels in one text."""
_ENTRY = re.compile(
    r"(?P<edge>[a-z]+|[0-9]{1,3})(?P<more>(?:\s*\+\s*(?:[a-z]+|[0-9]{1,3}))*)\s+"
    r"(?P<angle>[0-9]{1,3}(?:[.,][0-9]{1,6})?)\s*(?:°|deg)?"
    r"(?:\s*/\s*(?P<root>\S.*?)|\s+deep\s+(?P<depth>\S.*?))?(?:\s+(?P<face>first|other|both))?",
    re.IGNORECASE,
)
_LENGTHS = {"root": "root_face", "depth": "depth"}
"""Lengths in such a text by what they are called in a table."""
_NEAR = 1e-6
_LIKE = 0.2
"""Sine between an edge as it was said and as it is made: it is turned by no more where one beside it is left out."""


@dataclass(frozen=True)
class Asked:
    """One bevel as it was said: edge by word or number, angle [deg], root face or depth [mm], face."""

    edge: str
    angle: float
    root_face: float = 0.0
    depth: float | None = None
    face: BevelFace = "first"


def entries(text: str) -> list[dict[str, Any]]:
    """Bevels in a text, a table for each edge that it names; root face and depth are the texts that they are.

    Raises ValueRefusedError for a text that says none.

    >>> entries("long 30/2; right 45 both")  # doctest: +NORMALIZE_WHITESPACE
    [{'edge': 'long', 'angle': 30.0, 'root_face': '2'}, {'edge': 'right', 'angle': 45.0, 'face': 'both'}]
    >>> entries('long 30/1/16" both')[0]["root_face"]
    '1/16"'
    """
    found: list[dict[str, Any]] = []
    for each in BETWEEN.split(text.strip().strip(";|").strip()):
        match = _ENTRY.fullmatch(each)
        if match is None:
            raise ValueRefusedError("bevels", said=shortened(each))
        said: dict[str, Any] = {"angle": float(match["angle"].replace(",", "."))}
        said |= {key: match[group].strip() for group, key in _LENGTHS.items() if match[group] is not None}
        if match["face"] is not None:
            said["face"] = match["face"].lower()
        for edge in (match["edge"], *re.findall(r"[a-z]+|[0-9]+", match["more"], re.IGNORECASE)):
            found.append({"edge": edge.lower(), **said})
    return found


def with_roots(text: str, turned: Callable[[str], str]) -> str:
    """The text with each root face and depth as `turned` has it; as it is where it says no bevels.

    >>> with_roots("long 30/2; left 45 deep 3 both", lambda said: said + " mm")
    'long 30/2 mm; left 45 deep 3 mm both'
    """
    several = BETWEEN.split(text.strip())
    found = []
    for each in several:
        match = _ENTRY.fullmatch(each)
        group = None if match is None else next((name for name in _LENGTHS if match[name] is not None), None)
        if match is None or group is None:
            found.append(each)
        else:
            start, end = match.span(group)
            found.append(each[:start] + turned(each[start:end]) + each[end:])
    return "; ".join(found)


def read_bevels(text: str, read: Callable[[str], float]) -> tuple[Asked, ...]:
    """Bevels in a cell of a list; `read` gives the mm of a length. Raises ValueRefusedError, and what `read` raises.

    >>> read_bevels("lower+upper 30/2", float)[1]
    Asked(edge='upper', angle=30.0, root_face=2.0, depth=None, face='first')
    """
    found = []
    for each in entries(text):
        if not 0 < each["angle"] <= 60:
            raise ValueRefusedError("bevel_angle", angle=each["angle"])
        given: dict[str, Any] = {key: read(said) if key in _LENGTHS.values() else said for key, said in each.items()}
        found.append(Asked(**given))
    return tuple(found)


def bevels_of(
    asked: Sequence[Asked], part: Part, given: Outline | None, where: str, *, ends: bool = False
) -> tuple[tuple[Bevel, ...], list[Fault]]:
    """The bevels of a part, and what is wrong with the edges that were named; `given` is the outline of a shape as it
    was said, `ends` whether that is a piece with ends at an angle, which are its right and left.
    """
    bevels: list[Bevel] = []
    faults: list[Fault] = []
    for each in asked:
        numbers = _numbers(each.edge, part, given, ends=ends)
        if not numbers:
            faults.append(_unknown(each.edge, part, given, where))
        if each.depth is not None and each.root_face:
            faults.append(fault("bevel_depth.both", where))
            continue
        bevels += [
            Bevel(edge=n, angle=each.angle, root_face=each.root_face, depth=each.depth, face=each.face) for n in numbers
        ]
    return tuple(bevels), faults


def _unknown(edge: str, part: Part, given: Outline | None, where: str) -> Fault:
    count = len(given) if isinstance(part, Shape) and given is not None else 4
    if edge.isdigit():
        if isinstance(part, Shape) and given is not None and 1 <= int(edge) <= count:
            size = math.dist(*list(edges(given))[int(edge) - 1])
            return fault("bevel_edge.short", where, number=int(edge), size=length(size))
        says = "bevel_edge.number" if isinstance(part, Shape) else "bevel_edge.side"
        return fault(says, where, number=int(edge), count=count)
    if isinstance(part, Shape) and edge in (*SIDES, *SEVERAL):
        return fault("bevel_edge.no_side", where, said=edge, count=count)
    return fault("bevel_edge.word", where, said=shortened(edge), **meant(edge, (*SIDES, *SEVERAL)))


def _numbers(edge: str, part: Part, given: Outline | None, *, ends: bool) -> list[int]:
    """Edges of the part's outline by number from 0; none where the word or number fits no edge."""
    if not isinstance(part, Shape):
        return [SIDES.index(each) for each in SEVERAL.get(edge, (edge,)) if each in SIDES]
    if given is None:
        return []
    said = list(edges(given))
    if edge == "all":
        return list(range(len(part.outline)))
    if edge.isdigit():
        chosen = [said[int(edge) - 1]] if 1 <= int(edge) <= len(said) else []
    elif ends:
        chosen = [said[SIDES.index(each)] for each in SEVERAL.get(edge, (edge,)) if each in SIDES]
    else:
        sides = [each for each in SEVERAL.get(edge, (edge,)) if each in SIDES]
        chosen = [one for each in sides for one in said if _faces(one, given, each)]
    return [n for one in chosen for n in _same(one, given, part.outline)]


def _faces(edge: Segment, outline: Outline, side: str) -> bool:
    """Whether an edge is the one that runs along a side of the outline's box."""
    at, pick = {"lower": (1, min), "right": (0, max), "upper": (1, max), "left": (0, min)}[side]
    far = pick(point[at] for point in outline)
    return all(abs(point[at] - far) <= _NEAR for point in edge)


def _same(edge: Segment, given: Outline, outline: Outline) -> Iterator[int]:
    """The edge of a part's outline that an edge of the outline as it was said lies on, as near as what is finer than a
    torch cuts leaves it; none of one that is taken for a corner.
    """
    if math.dist(*edge) <= SHORTEST_EDGE:
        return
    x0, y0 = min(x for x, _ in given), min(y for _, y in given)
    a, b = ((x - x0, y - y0) for x, y in edge)
    middle, along = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), line_of(edge).along
    off = [
        (from_edge(other, middle), n)
        for n, other in enumerate(edges(outline))
        if abs(cross(line_of(other).along, along)) <= _LIKE
    ]
    if off and min(off)[0] <= 4 * SHORTEST_EDGE:
        yield min(off)[1]
