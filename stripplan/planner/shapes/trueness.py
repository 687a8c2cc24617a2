"""How true straight-sided shapes will be: distances between parallel edges, lengths of edges, angles, bow.

Problem. A rectangle has a width and a length, each made by a chain of fence settings. The edges of a shape are set from
one another, at an angle by the stop and the angle of the mitre bar.

Method. Each edge was made by one cut, or is one of the plate. What sets a cut moves its edge at right angles: fence,
stop or marks, half a kerf, the rail; a bar that stands at a wrong angle moves a point of it by as much more as that
lies from where the torch enters. Between parallel edges both count, unless one lay on the fence when the other was cut;
a length has what its ends are moved by, seen along it, and nothing of the end that lay at the bar's stop. An angle has
what either edge is turned by. Added up as in `rig.accuracy.tolerance`.

Not exact: what a cut took over from the piece that it was made in is not followed, as both edges count anyway. Of what
is told each is that of the least true piece.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from stripplan.model.part import Shape
from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Doubt, ExpectedBow, ExpectedOfShape, Plan, PlanPlate
from stripplan.model.plan.size_chain import MARKED_BY_HAND
from stripplan.model.polygon import Outline, angles, cross, edges, line_of, minus
from stripplan.model.rig import Process
from stripplan.planner.accuracy import SLENDER, told_bow
from stripplan.rig.accuracy import tolerance
from stripplan.rig.accuracy.error_stack import Contribution, Stack
from stripplan.rig.accuracy.forecast import bow_known, expected_bow
from stripplan.wording.message import Message

STOP, ANGLE = "stop of the mitre bar", "angle of the mitre bar"
ORDER = ("across", "edge", "angle")
"""In which the sizes of a part are told."""
BAR_STEP = 0.5
"""Steps that the angle of a mitre bar is set in where the rig does not say [deg]: common practice for a protractor, no
source."""
ON = 0.02
"""Nearer than so an edge lies along the kerf of a cut, and a corner at the stop [mm]."""
PARALLEL = 1e-4
"""Sine of an angle that is none."""
SIDE = 0.25
"""Share of the longest edge that two parallel ones are long, for their distance to be told."""
ALIKE = 0.05
"""Sizes nearer to each other are one [mm]."""
SQUARE = 1e-3
"""Cosine of a right angle at the most."""
LEAST_SINE = 0.1
"""Edges that meet at less are taken to meet at that: their corner is a point that nobody measures."""


@dataclass(frozen=True)
class _Edge:
    """An edge of a piece, and the cut that made it; None where it is one of the plate's."""

    ends: Segment
    cut: Cut | None


class Trueness:
    """How true the shapes of a plan will be."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._pieces = {piece.id: piece for piece in plan.pieces}
        self._plates = {plate.id: plate for plate in plan.plates}
        self._cut_of = {cut.piece: cut for cut in plan.cuts}
        self._made: dict[str, list[Piece]] = defaultdict(list)
        for piece in plan.pieces:
            if piece.kind == "part":
                self._made[piece.part or ""].append(piece)

    def of(self, part: Shape) -> tuple[ExpectedOfShape, ...]:
        """Each size of a part at its least true piece."""
        sizes = _sizes(part.outline_as_cut)
        found: dict[tuple[str, float], ExpectedOfShape] = {}
        for piece in self._made[part.name]:
            own = [_Edge(edge, self._maker(piece, edge)) for edge in edges(piece.outline)]
            for each in self._of_piece(part, self._plates[piece.plate], own):
                size = each.size if each.of == "angle" else _nearest(sizes[each.of], each.size)
                key = each.of, 0.0 if each.of == "angle" else size
                if key not in found or each.likely > found[key].likely:
                    found[key] = replace(each, size=size)
        return tuple(found[key] for key in sorted(found, key=lambda key: (ORDER.index(key[0]), -key[1])))

    def bow(self, part: Shape) -> tuple[ExpectedBow | None, list[Message]]:
        """The bow of a part that is long for its width between two parallel edges, at its most bowed piece, and what is
        said where it is more than it may be; None where neither was cut, or nobody knows.
        """
        longest = _longest_pair(part.outline_as_cut)
        if longest is None or longest[1] < SLENDER * longest[0]:
            return None, []
        width, length = longest
        some = []
        for piece in self._made[part.name]:
            process = self._process(self._plates[piece.plate])
            own = [_Edge(edge, self._maker(piece, edge)) for edge in edges(piece.outline)]
            pair = max(
                ((a, b) for a, b in combinations(own, 2) if _parallel(a.ends, b.ends)),
                key=lambda two: sum(math.dist(*each.ends) for each in two),
                default=None,
            )
            hot = () if pair is None else tuple(sorted(each.cut is not None for each in pair))
            if any(hot) and bow_known(process):
                some.append((expected_bow(process, length=length, width=width, hot=hot), piece.id, process, hot))
        if not some:
            return None, []
        most, name, process, hot = max(some, key=lambda each: each[0].bow)
        return told_bow(part, most, piece=name, process=process, length=length, width=width, hot=hot)

    # --- of one piece ---

    def _of_piece(self, part: Shape, plate: PlanPlate, own: Sequence[_Edge]) -> Iterator[ExpectedOfShape]:
        asked = None if part.allowance else part.plus_minus
        longest = max(math.dist(*each.ends) for each in own)
        for one, other in combinations(own, 2):
            if _are_sides(one.ends, other.ends, longest):
                stack = self._between(plate, one, other)
                yield from _told("across", _apart(one.ends, other.ends), stack, asked)
        for n in _measured([each.ends for each in own]):
            stack = self._along(plate, own[n - 1], own[n], own[(n + 1) % len(own)])
            yield from _told("edge", math.dist(*own[n].ends), stack, asked)
        corners = list(angles([each.ends[0] for each in own]))
        for n, each in enumerate(own):
            turned = [self._turned(it) for it in (own[n - 1], each)]
            off = sum(abs(_off_mark(it.cut)) for it in (own[n - 1], each))
            yield from _told("angle", round(corners[n], 2), Stack(tuple(_merged(turned)), off), None)

    def _between(self, plate: PlanPlate, one: _Edge, other: _Edge) -> Stack:
        cuts = [each for each in (one, other) if each.cut is not None]
        for each, datum in ((one, other), (other, one)):
            if each.cut is not None and each.cut.edge_on_fence is not None and _on(datum.ends, each.cut.edge_on_fence):
                cuts = [each]
                break
        moved = [self._moved(plate, each, each.ends) for each in cuts]
        return Stack((*_merged(moved), *self._bevel(plate, cuts)), sum(_shift(each, each.ends) for each in cuts))

    def _along(self, plate: PlanPlate, before: _Edge, own: _Edge, after: _Edge) -> Stack:
        """The length of an edge between the two that it meets."""
        ends = [(own.ends[0], before), (own.ends[1], after)]
        for (_, here), (there, _) in (ends, ends[::-1]):
            bar = None if here.cut is None else here.cut.mitre
            if bar is not None and _on(own.ends, bar.edge) and math.dist(bar.corner, there) <= ON:
                ends = [each for each in ends if each[1] is here]
                break
        moved, shift = [], 0.0
        for point, end in ends:
            sine = max(abs(cross(line_of(end.ends).along, line_of(own.ends).along)), LEAST_SINE)
            scaled = [_times(each, 1 / sine) for each in self._moved(plate, end, (point,))]
            moved.append(scaled)
            shift += _shift(end, (point,)) / sine
        return Stack((*_merged(moved), *self._bevel(plate, [end for _, end in ends])), shift)

    def _moved(self, plate: PlanPlate, edge: _Edge, points: Sequence[tuple[float, float]]) -> list[Contribution]:
        """What moves an edge at right angles to itself, at the farthest of some of its points."""
        cut, rig = edge.cut, self._plan.rig
        if cut is None:
            return []
        process = self._process(plate)
        found = [Contribution.within(tolerance.RAIL, tolerance.RAIL_HALF_WIDTH, assumed=True)]
        if process.kerf_u is not None:
            found.append(Contribution.known(tolerance.KERF, process.kerf_u, times=0.5))
        else:
            found.append(Contribution.within(tolerance.KERF, tolerance.KERF_SHARE * cut.kerf / 2, assumed=True))
        if cut.setup.dress:
            found.append(Contribution.within(tolerance.DRESSING, tolerance.DRESSING_HALF_WIDTH, assumed=True))
        if cut.mitre is not None:
            seen = math.sin(math.radians(cut.mitre.angle))
            far = max(math.dist(cut.line[0], point) for point in points)
            found.append(Contribution.within(STOP, MARKED_BY_HAND * seen, assumed=True))
            half, assumed = self._half_step()
            found.append(Contribution.within(ANGLE, far * math.tan(math.radians(half)), assumed=assumed))
        elif cut.located == "fence":
            step = rig.fence_step * rig.fence_scale / 2
            half = step if rig.fence_repeat is None else math.sqrt(3) * rig.fence_repeat
            zero = tolerance.FENCE_U if rig.fence_u is None else rig.fence_u
            found.append(Contribution.within(tolerance.READING, half))
            found.append(Contribution.known(tolerance.ZERO, zero, assumed=rig.fence_u is None))
            out = math.tan(math.radians(self._fence_turns(cut))) * cut.length
            found.append(Contribution.within(tolerance.PARALLEL, out, systematic=True, assumed=rig.fence_angle is None))
        else:
            found.append(Contribution.within(tolerance.MARKING, MARKED_BY_HAND, assumed=True))
        return found

    def _turned(self, edge: _Edge) -> list[Contribution]:
        """What turns an edge [deg]."""
        cut = edge.cut
        if cut is None:
            return []
        if cut.mitre is not None:
            half, assumed = self._half_step()
            return [Contribution.within(ANGLE, half, assumed=assumed)]
        if cut.located == "fence":
            out = self._fence_turns(cut)
            return [Contribution.within(tolerance.PARALLEL, out, assumed=self._plan.rig.fence_angle is None)]
        apart = max(cut.length / 2 if cut.marks is None else abs(cut.marks.along[1] - cut.marks.along[0]), 1.0)
        return [
            Contribution.within(tolerance.MARKING, math.degrees(math.atan(2 * MARKED_BY_HAND / apart)), assumed=True)
        ]

    def _half_step(self) -> tuple[float, bool]:
        """Half a step of the mitre bar [deg], and whether it is assumed."""
        step = self._plan.rig.mitre_step
        return (BAR_STEP if step is None else step) / 2, step is None

    def _fence_turns(self, cut: Cut) -> float:
        """By how much the fence may be out of parallel to a cut [deg]."""
        known = self._plan.rig.fence_angle
        return math.degrees(math.atan(tolerance.PARALLEL_OVER_CUT / cut.length)) if known is None else abs(known)

    def _bevel(self, plate: PlanPlate, some: Sequence[_Edge]) -> Iterator[Contribution]:
        bevel = self._process(plate).bevel
        wedge = math.tan(math.radians(abs(tolerance.BEVEL_ANGLE if bevel is None else bevel))) * plate.thickness
        if wedge and any(each.cut is not None for each in some):
            yield Contribution.within(tolerance.BEVEL, wedge, systematic=True, assumed=bevel is None)

    def _process(self, plate: PlanPlate) -> Process:
        return next(each for each in self._plan.rig.processes if each.name == plate.process)

    def _maker(self, piece: Piece, edge: Segment) -> Cut | None:
        """The cut along which an edge lies."""
        at: str | None = piece.parent
        while at is not None:
            cut = self._cut_of[at]
            if _beside_kerf(cut, edge):
                return cut
            at = self._pieces[at].parent
        return None


def _told(of: str, size: float, stack: Stack, asked: float | None) -> Iterator[ExpectedOfShape]:
    """A size, unless no cut makes it."""
    if not stack.contributions:
        return
    likely = round(stack.deviation, 3)
    doubts = sorted(stack.contributions, key=lambda each: -(each.half_width if each.systematic else 2 * each.u))
    yield ExpectedOfShape(
        of="across" if of == "across" else "edge" if of == "edge" else "angle",
        size=size,
        likely=likely,
        worst=round(max(abs(stack.shift) + stack.worst_case, stack.deviation), 3),
        doubts=tuple(
            Doubt(cause=each.name, plus_minus=round(each.half_width, 3), assumed=each.assumed) for each in doubts
        ),
        asked=asked,
        met=None if asked is None else likely <= asked,
    )


def _merged(some: Sequence[Sequence[Contribution]]) -> Iterator[Contribution]:
    """What moves several edges: settings are independent of each other, one kerf and one fence are alike in all."""
    found: dict[str, Contribution] = {}
    for each in (each for one in some for each in one if each.half_width > 0):
        known = found.get(each.name)
        if known is None:
            found[each.name] = each
            continue
        alike = each.systematic or each.name == tolerance.KERF
        u = known.u + each.u if alike else math.hypot(known.u, each.u)
        found[each.name] = replace(known, half_width=known.half_width + each.half_width, u=u)
    yield from found.values()


def _times(one: Contribution, factor: float) -> Contribution:
    return replace(one, half_width=one.half_width * factor, u=one.u * factor)


def _shift(edge: _Edge, points: Sequence[tuple[float, float]]) -> float:
    """What is known to be wrong with the setting of an edge, at the farthest of some of its points [mm]."""
    cut = edge.cut
    if cut is None:
        return 0.0
    far = max(math.dist(cut.line[0], point) for point in points)
    return abs(cut.reading_error or 0.0) + far * math.tan(math.radians(abs(_off_mark(cut))))


def _off_mark(cut: Cut | None) -> float:
    """By how much the mark of the mitre bar is off the angle of a cut [deg]."""
    bar = None if cut is None else cut.mitre
    return 0.0 if bar is None or bar.reading is None else bar.reading - bar.angle


def _measured(own: Sequence[Segment]) -> list[int]:
    """The edges whose length a shape is known by: the legs of a right-angled triangle, else the longest."""
    if len(own) == 3:
        for n in range(3):
            one, other = line_of(own[n - 1]).along, line_of(own[n]).along
            if abs(one[0] * other[0] + one[1] * other[1]) <= SQUARE:
                return [(n - 1) % 3, n]
    most = max(math.dist(*each) for each in own)
    return [n for n, each in enumerate(own) if math.dist(*each) > most - ALIKE]


def _apart(one: Segment, other: Segment) -> float:
    return abs(line_of(one).beside(other[0]))


def _sizes(outline: Outline) -> dict[str, list[float]]:
    """Sizes of an outline that are told, of those alike the greatest [mm]."""
    own = list(edges(outline))
    longest = max(math.dist(*each) for each in own)
    across = [_apart(one, other) for one, other in combinations(own, 2) if _are_sides(one, other, longest)]
    return {"across": _unlike(across), "edge": _unlike([math.dist(*own[n]) for n in _measured(own)])}


def _unlike(sizes: Sequence[float]) -> list[float]:
    found: list[float] = []
    for each in sorted(sizes, reverse=True):
        if not found or found[-1] - each > ALIKE:
            found.append(round(each, 3))
    return found


def _nearest(sizes: Sequence[float], size: float) -> float:
    """The size that a piece has, which is the greatest of those alike."""
    return next((each for each in reversed(sizes) if each > size - ALIKE / 2), sizes[0])


def _longest_pair(outline: Outline) -> tuple[float, float] | None:
    """Distance and longer length of the two parallel edges that are longest together; None where there are none."""
    pairs = [
        (math.dist(*a) + math.dist(*b), abs(line_of(a).beside(b[0])), max(math.dist(*a), math.dist(*b)))
        for a, b in combinations(list(edges(outline)), 2)
        if _parallel(a, b)
    ]
    return max(pairs)[1:] if pairs else None


def _parallel(one: Segment, other: Segment) -> bool:
    return abs(cross(line_of(one).along, line_of(other).along)) <= PARALLEL


def _are_sides(one: Segment, other: Segment, longest: float) -> bool:
    """Whether two edges are parallel, and neither is short beside the longest, as clipped corners are."""
    return _parallel(one, other) and min(math.dist(*one), math.dist(*other)) >= SIDE * longest


def _on(edge: Segment, other: Segment) -> bool:
    """Whether an edge lies on the line of another."""
    line = line_of(other)
    return max(abs(line.beside(point)) for point in edge) <= ON


def _beside_kerf(cut: Cut, edge: Segment) -> bool:
    """Whether an edge lies along one side of the kerf of a cut, where that runs."""
    line = line_of(cut.line)
    off = [abs(abs(line.beside(point)) - cut.kerf / 2) for point in edge]
    one, other = (line.beside(point) for point in edge)
    along = [line.ahead(point) for point in edge]
    reach = cut.kerf / 2 + ON
    dx, dy = minus(edge[1], edge[0])
    beside = abs(cross((dx, dy), line.along)) <= 10 * ON and one * other > 0
    return max(off) <= ON and beside and max(along) > -reach and min(along) < cut.length + reach
