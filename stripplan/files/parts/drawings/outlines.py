"""What readers of drawings hand on: outlines, lines and texts in mm, and what becomes of them.

Whatever the file, its outlines are judged alike: lines are joined (`joined_lines`), each outline is fitted by a
rectangle (`rectangle`), those that touch another are refused (`overlaps`), and the rest are parts (`drawn_parts`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, shortened
from stripplan.model.job import LeftOut, WhyLeftOut
from stripplan.model.part import Part
from stripplan.wording.message import Message, length
from stripplan.wording.show import worded

Point = tuple[float, float]

GREATEST_SIZE = 10.0**6
"""Greatest size, and greatest distance of a point from the origin of a drawing over 1000 [mm]."""
LONGEST_LABEL = 200
"""Longest text that is looked through for a name or a quantity."""
TOLERANCE = 0.05
"""How far an outline may be off a true rectangle where nothing is said [mm]."""
LEAST_TOLERANCE, MOST_TOLERANCE = 0.001, 2.0
"""Bounds of the tolerance [mm]: below is noise of the numbers, above a corner could be cut off unseen."""


_LEFT_OUT: dict[WhyLeftOut, tuple[str, ...]] = {
    "holes": ("why.hole",),
    "slanted": ("why.not_square",),
    "curved": ("why.curved", "why.curved_in_steps"),
    "corners": ("why.corners", "why.corner_inward"),
    "open": ("why.open", "why.curved_open", "why.loose_end", "why.fork"),
    "overlap": ("why.crosses", "why.within"),
    "frame": ("why.frame",),
    "doubtful": ("why.two_quantities", "why.two_thicknesses", "why.two_materials", "why.quantity", "why.attribute"),
    "text": ("why.count_nowhere", "why.count_between"),
}
_NOTED_ONLY = {
    "why.twice", "why.twice_over", "why.no_length", "why.no_outline", "why.hidden", "why.frozen", "why.off",
    "why.layer_not_asked", "why.line_within", "why.no_part_around", "why.paper_space", "why.long_text", "why.style",
}  # fmt: skip
"""Of these nothing is missing from the list that the drawing shows: they are told, and stop nothing."""


@dataclass(frozen=True)
class Skipped:
    """What was drawn and is no part: `what` it is, `where` it is drawn, and the `reason` why it was left out.

    `name` and `quantity` are what the drawing says of it.
    """

    what: str
    where: str
    reason: Message
    name: str = ""
    quantity: int = 1

    @property
    def missing(self) -> LeftOut | None:
        """What a list would lack without it; None where it is only worth a note."""
        key = self.reason.key
        if key in _NOTED_ONLY:
            return None
        unread: WhyLeftOut = "doubtful" if key.startswith("doubt.") else "unread"
        why = next((why for why, keys in _LEFT_OUT.items() if key in keys), unread)
        count = self.reason.facts.get("count", 0) if why in ("holes", "corners") else 0
        return LeftOut(name=self.name or self.what, quantity=self.quantity, why=why, count=int(str(count)))

    @property
    def why(self) -> str:
        """The reason in words, in mm."""
        return worded(self.reason).text


@dataclass(frozen=True)
class DrawnParts:
    """The parts of a drawing, what was left out, what its reader should know about how it was read (`notes`), and the
    layer of each part."""

    parts: tuple[Part, ...]
    skipped: tuple[Skipped, ...] = ()
    notes: tuple[Fault, ...] = ()
    layers: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outline:
    """A closed outline [mm], without its first point again at the end; `curved` where it has arcs, of which
    `points` are then a few. `name` and `quantity` are what the drawing says of it outside of texts, `refused` why it
    is no part whatever its shape."""

    points: tuple[Point, ...]
    what: str
    layer: str
    curved: bool = False
    name: str | None = None
    quantity: int | None = None
    refused: Message | None = None


@dataclass(frozen=True)
class Stroke:
    """A line, or several on end, that may be part of an outline [mm]; only strokes of one `group` join."""

    points: tuple[Point, ...]
    what: str
    layer: str
    group: int = 0
    curved: bool = False
    name: str | None = None
    quantity: int | None = None
    refused: Message | None = None


@dataclass(frozen=True)
class Label:
    """A text and its place [mm]; `corners` are those of the area that it covers, as nearly as letters can be told, and
    `height` is that of its capitals, 0 where it is not known."""

    text: str
    at: Point
    corners: tuple[Point, ...] = ()
    height: float = 0.0


@dataclass(frozen=True)
class Reading:
    """How a drawing is read: what messages call it, the tolerance [mm], how a point is written, what a layer says of
    thickness and material, what a text inside an outline says where it is not taken as it stands (None = nothing).
    `beside` looks for texts beside outlines too, `upside_down`: y runs down the page, `drill_later` takes a rectangle
    with holes for a part.
    """

    name: str
    tolerance: float
    first: int
    place: Callable[[Point], str]
    of_layer: Callable[[str], tuple[float | None, str | None]] = lambda _: (None, None)
    wording: Callable[[str], str | None] = lambda text: text
    beside: bool = True
    upside_down: bool = False
    drill_later: bool = False


def checked_tolerance(tolerance: float, called: str = "tolerance") -> None:
    """Raises InputError for a tolerance that is none; `called` is what messages call it."""
    if not LEAST_TOLERANCE <= tolerance <= MOST_TOLERANCE:
        least, most, left_out = map(length, (LEAST_TOLERANCE, MOST_TOLERANCE, TOLERANCE))
        says, given = "value.tolerance", length(tolerance)
        raise InputError(fault(says, called, given=given, least=least, most=most, left_out=left_out))


def no_rectangle(name: str, skipped: Sequence[Skipped]) -> Fault:
    """A note that the drawing called `name` holds no part, and of what was left out the first and why."""
    if not skipped:
        return fault("no_part.nothing", name)
    return fault("no_part.left_out", name, what=skipped[0].what, why=skipped[0].reason)


def capped_count(count: int) -> str:
    """A count that may have any number of digits."""
    return f"{count:,}" if count < 10**15 else "more than 10^15"


def within_reach(points: Sequence[Point]) -> bool:
    """Whether all points are finite and within a thousand kilometres, where a double still holds hundredths of a mm."""
    most = GREATEST_SIZE * 1000
    return all(-most <= x <= most and -most <= y <= most for x, y in points)


def shown_point(point: Point) -> str:
    """A point to three decimals without trailing zeros.

    >>> shown_point((1e-9, -12.5))
    '0, -12.5'
    """
    x, y = (f"{round(each, 3) + 0.0:.3f}".rstrip("0").rstrip(".") for each in point)
    return f"{x}, {y}"


def where(layer: str, point: Point, reading: Reading) -> str:
    """The place of a point, as messages name it."""
    on = f"layer {shortened(layer)}, " if layer else ""
    return f"{on}at {reading.place(point)}"
