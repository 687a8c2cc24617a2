"""Rectangles among the outlines that somebody else has drawn, and why the other outlines are none.

Problem: closed outlines, some given whole and some as lines that meet end to end, are parts where they are
rectangles, at whatever angle. Method: ends are gathered into nodes within the tolerance; lines whose nodes all have two ends
are loops. Corners of a loop are the points that lie off the chord of their neighbours; four of them are fitted by the
true rectangle of the same middle, and every point must lie within the tolerance of it. Outlines that reach into one another are
found by boxes in grids of doubling size, from the smaller box to the larger. Exact within the tolerance; cost
grows with the points, and crossing outlines are counted and refused beyond `MOST_WORK`.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, message, shortened
from stripplan.files.toml.quantities import LONGEST_NAME, MOST_ENTRIES, MOST_PARTS
from stripplan.model.part import Part, Rectangle
from stripplan.wording.message import Fact, Facts, Message, length
from stripplan.wording.show import worded

Point = tuple[float, float]

STEP = Decimal("0.01")
"""Sizes are rounded to this [mm]."""
GREATEST_SIZE = 10.0**6
"""Greatest size, and greatest distance of a point from the origin of a drawing over 1000 [mm]."""
MOST_WORK = 20_000_000
"""Most comparisons of outlines near one another: 1 for two boxes, 10 for an edge with a rectangle."""
LONGEST_LABEL = 200
"""Longest text that is looked through for a name or a quantity."""
TOLERANCE = 0.05
"""How far an outline may be off a true rectangle where nothing is said [mm]."""
LEAST_TOLERANCE, MOST_TOLERANCE = 0.001, 2.0
"""Bounds of the tolerance [mm]: below is noise of the numbers, above a corner could be cut off unseen."""


@dataclass(frozen=True)
class Skipped:
    """What was drawn and is no part: `what` it is, `where` it is drawn, and the `reason` why it was left out."""

    what: str
    where: str
    reason: Message

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
    """A text and its place [mm]."""

    text: str
    at: Point


@dataclass(frozen=True)
class Reading:
    """How a drawing is read: what messages call it, the tolerance [mm], how a point is written, what a layer says
    of thickness and material, what a text inside an outline says where it is not taken as it stands (None = nothing)."""

    name: str
    tolerance: float
    first: int
    place: Callable[[Point], str]
    of_layer: Callable[[str], tuple[float | None, str | None]] = lambda _: (None, None)
    wording: Callable[[str], str | None] = lambda text: text


@dataclass(frozen=True)
class Fit:
    """The true rectangle nearest to an outline: middle, unit vector along the length, half sizes, and how far a point
    of the outline is off it at most [mm]. `length` >= `width`."""

    middle: Point
    along: Point
    half_length: float
    half_width: float
    off: float

    def local(self, point: Point) -> Point:
        """A point from the middle: along the length, and across it."""
        x, y = point[0] - self.middle[0], point[1] - self.middle[1]
        return x * self.along[0] + y * self.along[1], y * self.along[0] - x * self.along[1]


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


# --- one outline ----------------------------------------------------------------------------------------------------


def fitted(points: Sequence[Point], tolerance: float) -> Fit | Message:
    """The rectangle that an outline of straight edges is, or why it is none.

    >>> fit = fitted([(0, 0), (30, 40), (-10, 70), (-40, 30)], 0.05)
    >>> 2 * fit.half_length, 2 * fit.half_width, fit.middle
    (50.0, 50.0, (-5.0, 35.0))
    >>> fitted([(0, 0), (100, 0), (120, 50), (20, 50)], 0.05)
    Message(code='why', about='', facts=Facts(tolerance=Quantity(value=0.05, dimension='length')), says='why.not_square')
    """
    corners = _corners(points, tolerance)
    if len(corners) < 3:
        return message("why.nothing")
    if len(corners) != 4:
        return message("why.corners", count=len(corners))
    one, two, three, four = corners
    middle = (sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4)
    first = (two[0] - one[0] + three[0] - four[0], two[1] - one[1] + three[1] - four[1])
    second = (three[0] - two[0] + four[0] - one[0], three[1] - two[1] + four[1] - one[1])
    one_way, other_way = math.hypot(*first) / 2, math.hypot(*second) / 2
    along, long, width = (first, one_way, other_way) if one_way >= other_way else (second, other_way, one_way)
    if width <= tolerance:
        return message("why.nothing")
    fit = Fit(middle, (along[0] / 2 / long, along[1] / 2 / long), long / 2, width / 2, 0.0)
    off = max(_off_corner(fit, each) for each in corners)
    off = max(off, *(_off_edge(fit, each) for each in points))
    if off > tolerance:
        return message("why.not_square", tolerance=length(tolerance))
    if long > GREATEST_SIZE:
        return message("why.too_long")
    if width < STEP:
        return message("why.too_narrow", least=length(float(STEP)))
    return replace(fit, off=off)


def _off_corner(fit: Fit, corner: Point) -> float:
    x, y = fit.local(corner)
    return math.hypot(abs(x) - fit.half_length, abs(y) - fit.half_width)


def _off_edge(fit: Fit, point: Point) -> float:
    """Distance of a point from the outline of a rectangle."""
    x, y = (abs(each) for each in fit.local(point))
    beyond_x, beyond_y = x - fit.half_length, y - fit.half_width
    if beyond_x <= 0 and beyond_y <= 0:
        return min(-beyond_x, -beyond_y)
    return math.hypot(max(beyond_x, 0.0), max(beyond_y, 0.0))


def _corners(points: Sequence[Point], tolerance: float) -> list[Point]:
    """The points at which an outline turns. It begins at the point farthest from the middle, which surely is one."""
    apart: list[Point] = []
    for point in points:
        if not apart or math.dist(point, apart[-1]) > tolerance:
            apart.append(point)
    while len(apart) > 1 and math.dist(apart[0], apart[-1]) <= tolerance:
        apart.pop()
    if len(apart) < 3:
        return apart
    middle = (sum(x for x, _ in apart) / len(apart), sum(y for _, y in apart) / len(apart))
    start = max(range(len(apart)), key=lambda at: math.dist(apart[at], middle))
    ring = apart[start:] + apart[:start] + [apart[start]]
    kept = [ring[0]]
    for here, then in pairwise(ring[1:]):
        if _off_chord(here, kept[-1], then) > tolerance:
            kept.append(here)
    return kept


def _off_chord(point: Point, one: Point, other: Point) -> float:
    """Distance of a point from the line between two others, and from the nearer of them where it lies beyond."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    square = dx * dx + dy * dy
    share = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.hypot(point[0] - one[0] - share * dx, point[1] - one[1] - share * dy)


# --- lines end to end -----------------------------------------------------------------------------------------------


def joined(strokes: Sequence[Stroke], reading: Reading) -> tuple[list[Outline], list[Skipped]]:
    """Closed outlines that strokes of one group make end to end, and those strokes that make none."""
    nodes = _nodes(strokes, reading.tolerance)
    skipped: list[Skipped] = []
    kept: list[int] = []
    seen: dict[tuple[int, int], int] = {}
    at_node: dict[int, list[int]] = {}
    for at, (one, other) in enumerate(nodes):
        stroke = strokes[at]
        if one == other and len(stroke.points) == 2:
            skipped.append(
                Skipped(stroke.what, where(stroke.layer, stroke.points[0], reading), message("why.no_length"))
            )
            continue
        straight = len(stroke.points) == 2 and not stroke.curved
        if straight and seen.setdefault((min(one, other), max(one, other)), at) != at:
            skipped.append(Skipped(stroke.what, where(stroke.layer, stroke.points[0], reading), message("why.twice")))
            continue
        kept.append(at)
        at_node.setdefault(one, []).append(at)
        at_node.setdefault(other, []).append(at)
    outlines: list[Outline] = []
    done: set[int] = set()
    for start in kept:
        if start not in done:
            found = _component(start, nodes, at_node)
            done.update(found)
            _sorted_out(found, strokes, nodes, at_node, reading, outlines, skipped)
    return outlines, skipped


def _nodes(strokes: Sequence[Stroke], tolerance: float) -> list[tuple[int, int]]:
    """The numbers of the nodes at which each stroke starts and ends: a node is the first end of those within the tolerance.

    Nodes of a group are farther apart than the tolerance, so that a cell of a grid holds four at most.
    """
    grid: dict[tuple[int, int, int], list[int]] = {}
    places: list[Point] = []

    def node(point: Point, group: int) -> int:
        x, y = math.floor(point[0] / tolerance), math.floor(point[1] / tolerance)
        near = [
            each
            for i in (x - 1, x, x + 1)
            for j in (y - 1, y, y + 1)
            for each in grid.get((group, i, j), ())
            if math.dist(places[each], point) <= tolerance
        ]
        if near:
            return min(near, key=lambda each: math.dist(places[each], point))
        places.append(point)
        grid.setdefault((group, x, y), []).append(len(places) - 1)
        return len(places) - 1

    return [(node(each.points[0], each.group), node(each.points[-1], each.group)) for each in strokes]


def _component(start: int, nodes: Sequence[tuple[int, int]], at_node: dict[int, list[int]]) -> list[int]:
    """All strokes that hang together with one, in the order in which they are met."""
    met, queue, passed = {start: None}, [start], set()
    while queue:
        for node in nodes[queue.pop()]:
            if node in passed:
                continue
            passed.add(node)
            for each in at_node[node]:
                if each not in met:
                    met[each] = None
                    queue.append(each)
    return list(met)


def _sorted_out(
    found: list[int],
    strokes: Sequence[Stroke],
    nodes: Sequence[tuple[int, int]],
    at_node: dict[int, list[int]],
    reading: Reading,
    outlines: list[Outline],
    skipped: list[Skipped],
) -> None:
    """One outline of strokes that hang together, or why they are none."""
    first = strokes[min(found)]
    what = first.what + (f" and {len(found) - 1} more" if len(found) > 1 else "")
    ends = [(node, at) for at in found for node in nodes[at]]
    forks = next((pair for pair in ends if len(at_node[pair[0]]) > 2), None)
    loose = next((pair for pair in ends if len(at_node[pair[0]]) < 2), None)
    if forks or loose:
        node, at = forks or loose  # type: ignore[misc]
        stroke = strokes[at]
        place = stroke.points[0] if nodes[at][0] == node else stroke.points[-1]
        why = message("why.fork" if forks else "why.loose_end")
        skipped.append(Skipped(what, where(stroke.layer, place, reading), why))
        return
    points: list[Point] = []
    at, node = found[0], nodes[found[0]][0]
    for _ in found:
        forward = nodes[at][0] == node
        run = strokes[at].points
        points += run[:-1] if forward else run[:0:-1]
        node = nodes[at][1] if forward else nodes[at][0]
        at = next((each for each in at_node[node] if each != at), at)
    curved = any(strokes[each].curved for each in found)
    outlines.append(Outline(tuple(points), what, first.layer, curved, first.name, first.quantity, first.refused))


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


# --- outlines beside one another ------------------------------------------------------------------------------------

Box = tuple[float, float, float, float]


class _Boxes:
    """Boxes in grids of doubling cells: each lies in at most four cells of the grid that suits its size.

    Work is counted, and refused beyond `MOST_WORK`; messages call the drawing `name`.
    """

    def __init__(self, boxes: Sequence[Box], name: str) -> None:
        self.boxes = boxes
        self._name, self._work = name, 0
        self.levels = [_level(box) for box in boxes]
        self._cells: dict[tuple[int, int, int], list[int]] = {}
        for at, box in enumerate(boxes):
            for key in _cells(box, self.levels[at]):
                self._cells.setdefault(key, []).append(at)
        self._known = sorted(set(self.levels))

    def met(self, box: Box) -> Iterator[int]:
        """Boxes at least about as large as a box that meet it, each once."""
        least, seen = _level(box), set()
        for level in self._known:
            if level < least:
                continue
            for key in _cells(box, level):
                cell = self._cells.get(key, ())
                self.count(len(cell))
                for at in cell:
                    if at not in seen:
                        seen.add(at)
                        other = self.boxes[at]
                        if box[0] <= other[2] and other[0] <= box[2] and box[1] <= other[3] and other[1] <= box[3]:
                            yield at

    def count(self, work: int) -> None:
        """Counts work. Raises InputError beyond the most."""
        self._work += work
        if self._work > MOST_WORK:
            raise InputError(fault("too_many.overlaps", self._name))


def _level(box: Box) -> int:
    return math.frexp(max(box[2] - box[0], box[3] - box[1], 1e-3))[1]


def _cells(box: Box, level: int) -> Iterator[tuple[int, int, int]]:
    size = math.ldexp(1.0, level)
    for x in range(math.floor(box[0] / size), math.floor(box[2] / size) + 1):
        for y in range(math.floor(box[1] / size), math.floor(box[3] / size) + 1):
            yield level, x, y


def _box(points: Sequence[Point]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _alone(
    outlines: Sequence[Outline], fits: Sequence[Fit | Message], boxes: _Boxes, reading: Reading
) -> dict[int, Message]:
    """Which rectangles reach into another outline, lie in one or hold one, and which of the three."""
    reasons: dict[int, Message] = {}
    for at, outline in enumerate(outlines):
        for other in boxes.met(boxes.boxes[at]):
            if other == at or (boxes.levels[other] == boxes.levels[at] and other < at):
                continue
            boxes.count((len(outline.points) + len(outlines[other].points)) * 10)
            one_fit, other_fit = fits[at], fits[other]
            if isinstance(one_fit, Fit) and isinstance(other_fit, Fit) and _same(one_fit, other_fit, reading.tolerance):
                later, before = max(at, other), min(at, other)
                reasons.setdefault(later, message("why.twice_over", other=outlines[before].what))
                continue
            for one, two in ((at, other), (other, at)):
                fit = fits[one]
                if isinstance(fit, Fit) and one not in reasons:
                    said = _relation(fit, outlines[two], reading.tolerance)
                    if said:
                        reasons[one] = message(said, other=outlines[two].what)
    return reasons


def _relation(fit: Fit, other: Outline, tolerance: float) -> str:
    """What another outline is to a rectangle, as the key of a sentence; "" = nothing."""
    points = [fit.local(each) for each in other.points]
    across, up = fit.half_length - 2 * tolerance, fit.half_width - 2 * tolerance
    if across > 0 and up > 0:
        ends = list(zip(points, points[1:] + points[:1], strict=True))
        if any(_enters(one, two, across, up) for one, two in ends):
            if all(abs(x) <= fit.half_length + tolerance and abs(y) <= fit.half_width + tolerance for x, y in points):
                return "why.hole"
            return "why.crosses"
    return "why.within" if _inside((0.0, 0.0), points) else ""


def _same(one: Fit, other: Fit, tolerance: float) -> bool:
    corners = [(x * other.half_length, y * other.half_width) for x, y in ((1, 1), (-1, 1))]
    (ax, ay), (mx, my) = other.along, other.middle
    return math.dist(one.middle, other.middle) <= tolerance and all(
        _off_corner(one, (mx + x * ax - y * ay, my + x * ay + y * ax)) <= 2 * tolerance for x, y in corners
    )


def _enters(one: Point, two: Point, across: float, up: float) -> bool:
    """Whether a line between two points meets the box -across..across, -up..up (clipping by Liang and Barsky)."""
    start, end = 0.0, 1.0
    for begin, delta, half in ((one[0], two[0] - one[0], across), (one[1], two[1] - one[1], up)):
        if delta == 0.0:
            if not -half < begin < half:
                return False
            continue
        low, high = sorted(((-half - begin) / delta, (half - begin) / delta))
        start, end = max(start, low), min(end, high)
    return start < end


def _inside(point: Point, ring: Sequence[Point]) -> bool:
    """Whether a point lies within an outline: a ray from it crosses an odd number of edges."""
    x, y = point
    inside = False
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
            inside = not inside
    return inside


# --- what is written in an outline ----------------------------------------------------------------------------------

_COUNT = r"([0-9]{1,7})"
_WORD = r"(?:off|pcs?|pieces?|nos?|stk|stück|st)\.?"
_QUANTITY = re.compile(
    rf"(?:(?:qty|quantity|pcs|stk|no\.?\s*off)\.?\s*[:=]?\s*{_COUNT}|{_COUNT}\s*{_WORD}|{_COUNT}[x×]|[x×]\s?{_COUNT})",
    re.I,
)
_TRAILING = re.compile(
    rf"(.+?)[\s,;:/-]+(?:qty|quantity)\.?\s*[:=]?\s*{_COUNT}|(.+?)[\s,;:/-]+{_COUNT}\s*(?:off|pcs)\.?", re.I
)
_LEADING = re.compile(rf"{_COUNT}\s*(?:off|pcs)\.?[\s,;:/-]+(.+)", re.I)
_SIZE = re.compile(r"[0-9.,/ \"'-]+(?:mm|in|\"|')?(?:\s*[x×*]\s*[0-9.,/ \"'-]+(?:mm|in|\"|')?)+", re.I)
_UNSURE = re.compile(r"[0-9]{1,7}\s*[x×]\s+[^0-9]|.*[^0-9\s]\s+[x×]\s?[0-9]{1,7}$", re.I)


def quantity_and_name(text: str) -> tuple[int | None, str | None]:
    """What a text in an outline says: "qty 4", "4x", "x4", "4 off", "4 pcs", "Stk 4" a quantity, alone or (the first, "off"
    and "pcs") beside a name. A size alone says neither. "4x M8" is no quantity: it may count holes.

    >>> [quantity_and_name(text) for text in ("4x", "FOOT qty 4", "2 off RAIL", "300 x 80", "4x M8")]
    [(4, None), (4, 'FOOT'), (2, 'RAIL'), (None, None), (None, '4x M8')]
    """
    clean = " ".join(text.split())
    alone = _QUANTITY.fullmatch(clean)
    if alone:
        return int(next(each for each in alone.groups() if each)), None
    trailing, leading = _TRAILING.fullmatch(clean), _LEADING.fullmatch(clean)
    if trailing:
        return int(trailing[2] or trailing[4]), trailing[1] or trailing[3]
    if leading:
        return int(leading[1]), leading[2]
    return None, None if not clean or _SIZE.fullmatch(clean) else clean


@dataclass
class _Said:
    """What the texts in an outline say together."""

    quantities: list[int]
    names: list[str]
    unsure: list[str]


def _said(labels: Sequence[Label], reading: Reading) -> _Said:
    said = _Said([], [], [])
    for label in sorted(labels, key=lambda each: (-each.at[1], each.at[0])):
        worded = reading.wording(label.text)
        quantity, name = quantity_and_name(worded or "")
        if quantity is not None:
            said.quantities.append(quantity)
        if name is not None and len(name) <= LONGEST_NAME and name.isprintable():
            said.names.append(name)
            if _UNSURE.match(name):
                said.unsure.append(name)
    return said


# --- parts ----------------------------------------------------------------------------------------------------------


@dataclass
class _Found:
    """Outlines of one size, layer and name."""

    length: float
    width: float
    layer: str
    name: str | None
    quantity: int


def parts_of(outlines: Sequence[Outline], labels: Sequence[Label], reading: Reading) -> tuple[DrawnParts, list[int]]:
    """The parts that outlines are, and which of the labels stand in one of them."""
    skipped: list[Skipped] = []
    outlines = _once(outlines, reading, skipped)
    if len(outlines) > MOST_ENTRIES:
        raise InputError(fault("too_many.outlines", reading.name, count=len(outlines), most=MOST_ENTRIES))
    fits = [message("why.curved") if each.curved else fitted(each.points, reading.tolerance) for each in outlines]
    boxes = _Boxes([_box(each.points) for each in outlines], reading.name)
    reasons = _alone(outlines, fits, boxes, reading)
    reasons |= {at: fit for at, fit in enumerate(fits) if isinstance(fit, Message)}
    reasons |= {at: each.refused for at, each in enumerate(outlines) if each.refused}
    inside, used = _labels_inside(labels, fits, reasons, boxes)
    found: dict[tuple[float, float, str, str | None], _Found] = {}
    notes: dict[Facts, Fault] = {}
    rounding = off = 0.0
    for at, outline in enumerate(outlines):
        fit = fits[at]
        middle = fit.middle if isinstance(fit, Fit) else _middle(outline.points)
        place = where(outline.layer, middle, reading)
        said = _said([labels[each] for each in inside.get(at, ())], reading)
        quantities = sorted({*said.quantities, *([outline.quantity] if outline.quantity is not None else [])})
        if at not in reasons:
            bad = next((each for each in quantities if not 1 <= each <= MOST_PARTS), None)
            if len(quantities) > 1:
                reasons[at] = message("why.two_quantities", one=quantities[0], other=quantities[1])
            elif bad is not None:
                reasons[at] = message("why.quantity", count=bad, most=MOST_PARTS)
        if at in reasons or not isinstance(fit, Fit):
            skipped.append(Skipped(outline.what, place, reasons[at]))
            continue
        name = _name(outline, said, place, notes)
        long, width = _rounded(2 * fit.half_length), _rounded(2 * fit.half_width)
        rounding = max(rounding, abs(long - 2 * fit.half_length), abs(width - 2 * fit.half_width))
        off = max(off, fit.off)
        key = (long, width, outline.layer, name)
        count = quantities[0] if quantities else 1
        if key in found:
            found[key].quantity += count
        else:
            found[key] = _Found(long, width, outline.layer, name, count)
    several = [*_figures(rounding, off, reading), *notes.values()]
    parts = _named(list(found.values()), reading, several)
    on = tuple(each.layer for each in found.values())
    return DrawnParts(tuple(parts), tuple(skipped), tuple(several), on), used


def _once(outlines: Sequence[Outline], reading: Reading, skipped: list[Skipped]) -> list[Outline]:
    """Each outline once: one drawn again from the same points is listed. Which point is first does not matter."""
    kept: dict[tuple[Point, ...], Outline] = {}
    for outline in outlines:
        key = tuple(sorted((round(x, 6), round(y, 6)) for x, y in outline.points))
        if key in kept and kept[key].curved == outline.curved:
            place = where(outline.layer, _middle(outline.points), reading)
            skipped.append(Skipped(outline.what, place, message("why.twice_over", other=kept[key].what)))
        else:
            kept[key] = outline
    return list(kept.values())


def _labels_inside(
    labels: Sequence[Label], fits: Sequence[Fit | Message], reasons: dict[int, Message], boxes: _Boxes
) -> tuple[dict[int, list[int]], list[int]]:
    """Which labels stand in which rectangle, and which of them in any."""
    inside: dict[int, list[int]] = {}
    used = []
    for number, label in enumerate(labels):
        x, y = label.at
        for at in boxes.met((x, y, x, y)):
            fit = fits[at]
            if isinstance(fit, Fit) and at not in reasons:
                u, v = fit.local(label.at)
                if abs(u) <= fit.half_length and abs(v) <= fit.half_width:
                    inside.setdefault(at, []).append(number)
                    used.append(number)
                    break
    return inside, used


def _name(outline: Outline, said: _Said, place: str, notes: dict[Facts, Fault]) -> str | None:
    """The name of an outline: of several texts the topmost that is more than a number. Each note is made once, at
    the first outline of which it is true."""
    for text in said.unsure:
        note = fault("unsure.name", place, text=shortened(text))
        notes.setdefault(note.message.facts, note)
    several = list(dict.fromkeys(said.names))
    named = next((each for each in several if not each.isdecimal()), several[0] if several else None)
    others = [each for each in several if each != named]
    if others:
        shown = tuple(shortened(each) for each in others[:3])
        note = fault("texts.others", place, name=shortened(named or ""), others=shown, all_said=len(others) <= 3)
        notes.setdefault(note.message.facts, note)
    return named or outline.name


def _named(found: Sequence[_Found], reading: Reading, notes: list[Fault]) -> list[Part]:
    """Parts with names that no other has: where several sizes share one, the size is added to each, then a number."""
    shared = {name for name, count in Counter(each.name for each in found).items() if name is not None and count > 1}
    parts: list[Part] = []
    taken: set[str] = set()
    numbers: Counter[str] = Counter()
    for at, each in enumerate(found):
        name = each.name or f"part {reading.first + at}"
        if each.name in shared:
            name = f"{name[: LONGEST_NAME - 40]} {each.length:g} x {each.width:g}"
        base = name
        while name in taken:
            numbers[base] += 1
            name = f"{base[: LONGEST_NAME - 10]} ({numbers[base] + 1})"
        taken.add(name)
        if each.quantity > MOST_PARTS:
            facts: dict[str, Fact] = {"count": each.quantity, "name": shortened(name), "most": MOST_PARTS}
            raise InputError(fault("too_many.drawn", reading.name, **facts))
        thickness, material = reading.of_layer(each.layer)
        parts.append(
            Rectangle(
                name=name, width=each.width, length=each.length, quantity=each.quantity,
                thickness=thickness, material=material,
            )
        )  # fmt: skip
    for name in sorted(shared)[:10]:
        notes.append(fault("same_name.outlines", reading.name, name=shortened(name)))
    return parts


def _figures(rounding: float, off: float, reading: Reading) -> list[Fault]:
    """Notes on how far parts are off what is drawn. What is below a millionth of a mm is noise of the numbers."""
    notes = []
    if rounding > 1e-6:
        notes.append(fault("rounded.sizes", reading.name, step=length(float(STEP)), most=length(_up(rounding))))
    if off > 1e-6:
        facts = {"most": length(_up(off)), "tolerance": length(reading.tolerance)}
        notes.append(fault("off_square.corners", reading.name, **facts))
    return notes


def _up(value: float) -> float:
    """A figure in hundred-thousandths of a mm, not below what it was."""
    return math.ceil(round(value * 1e5, 3)) / 1e5


def _rounded(size: float) -> float:
    return float(Decimal(repr(round(size, 7))).quantize(STEP, ROUND_HALF_UP))


def _middle(points: Sequence[Point]) -> Point:
    box = _box(points)
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
