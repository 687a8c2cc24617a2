"""The ways in which a cut at an angle can be set up: on the fence, on the mitre bar, or marked.

Problem. A line through a piece with slanted edges is to be cut. Which edge lies where, and what is set?

Method. Either direction of travel is looked at. On the fence lies an edge of the piece that runs along the cut, right
of the travel. On the mitre bar lies the edge that the torch enters through, one of its ends at the stop. Where neither
can be had, two points of the line are marked, each by its distance along an edge and from it.

Exact: every way that the rig allows is found; but fence and bar go before marks, as a mark scribed by hand is followed
to half a millimetre. Cost: two directions, an edge on the fence or two ends at the stop in each.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from stripplan.model.feasible import beside_is_legal
from stripplan.model.plan.cut import BarSetting, Located, Marks, Mitre, bar_as_set
from stripplan.model.polygon import Line, Point, Segment, chord, cross, dot, edges, kept_left, line_of, minus
from stripplan.model.shapes.block import Falls, Parted
from stripplan.rig.machine.aslant import bar_angle, bar_reading, beyond_exit
from stripplan.rig.machine.setting import FenceSetting, greatest_end_stop, settable_end_stop
from stripplan.rig.machine.timing import scrape_seconds
from stripplan.sequence.aslant.piece import SlantedPiece

FENCE_EDGE = 100.0
"""An edge on the fence is at least so long, or half as long as the cut [mm]: common practice, no source."""
SHORT_EDGE = 1 / 3
"""An edge on the fence is at least such a share of what lies between it and the torch, and one on the mitre bar of how
far the piece reaches from it, if there is any other way: half a millimetre of dross turns a piece by half a degree on
an edge of 60, by nothing that can be measured on one of 800. Common practice, no source."""
BAR_EDGE = 30.0
"""An edge on the mitre bar is at least so long [mm]: common practice, no source."""
STOP_CLEAR = 15.0
"""The stop of the mitre bar stands so far from the torch's line at least, or the torch would cut it [mm]: common
practice, no source."""
FROM_ENDS = 30.0
"""Marks lie so far from the ends of a cut, on a short one a quarter of it [mm]: common practice, no source."""
ALONG = 1e-6
"""Sine of the angle between lines that run alike."""
NO_FENCE = FenceSetting(0.0, 0.0, 0.0)
"""In place of a fence setting where there is none."""


@dataclass(frozen=True, eq=False)
class SlantedCut:
    """One cut at an angle, set up in one way. `of` is the piece as it lies, `piece` the same with the edges clean that
    have to be; `line` the torch's centre inside the metal, entry to exit; `leading` the edge it enters through.
    """

    of: SlantedPiece
    piece: SlantedPiece
    line: Segment
    located: Located
    leading: Segment
    least_stop: float
    dress: tuple[Segment, ...]
    setting: FenceSetting = NO_FENCE
    edge_on_fence: Segment | None = None
    corner_at: float = 0.0
    mitre: Mitre | None = None
    bar: BarSetting | None = None
    marks: Marks | None = None

    @property
    def length(self) -> float:
        """Length of the torch's line inside the metal [mm]."""
        return math.dist(*self.line)

    @cached_property
    def travel(self) -> float:
        """Direction of the travel in the plate frame, in quarter turns anticlockwise from x."""
        dx, dy = minus(self.line[1], self.line[0])
        return round(math.degrees(math.atan2(dy, dx)) / 90, 9) % 4

    @property
    def travel_after(self) -> float:
        """The same: there is one pass."""
        return self.travel

    @cached_property
    def dress_seconds(self) -> float:
        """Scraping edges before the cut."""
        return sum(scrape_seconds(self.piece.conditions.rig, round(math.dist(*edge), 6)) for edge in self.dress)

    @cached_property
    def right(self) -> SlantedPiece | None:
        """The product on the fence side."""
        return self._product(right=True)

    @cached_property
    def left(self) -> SlantedPiece | None:
        """The product on the far side."""
        return self._product(right=False)

    def _product(self, *, right: bool) -> SlantedPiece | None:
        node = self.piece.node
        assert isinstance(node, Parted)
        # The node's own line may run the other way, and a piece that lies face down has its sides changed.
        alike = (dot(node.line.along, minus(self.line[1], self.line[0])) > 0) == self.piece.face_up
        found = node.right if right == alike else node.left
        return None if found is None else self.piece.product(found)


def ways(piece: SlantedPiece) -> tuple[SlantedCut, ...]:
    """All ways to make the next cut of a piece; none for one that is not cut any more, or that the rig cannot cut.

    A piece that would swing is laid otherwise, if there is any other way, whatever setting of the bar that costs. Those
    on the fence come first, then those on the mitre bar: with edges that lie there well, and the nearer corner at
    the stop, as a clip is then set once for all corners.
    """
    node = piece.node
    if isinstance(node, Falls):
        return ()
    lines = node.line, node.line.back
    found = [way for line in lines for way in (*_on_fence(piece, line), *_on_bar(piece, line))]
    if not found and piece.conditions.rules.marked:
        found = [way for line in lines for way in _marked(piece, line)]
        found = sorted(found, key=lambda each: max(each.marks.distance) if each.marks else 0.0)[:1]
    steady = [way for way in found if not _swings(way)]
    return tuple(sorted(steady or found, key=_unhandy))


def _swings(way: SlantedCut) -> bool:
    """Whether so little of a piece lies on the fence or on the bar that nobody can hold it true, whatever setting of
    the bar that saves: any other way goes before that.
    """
    if way.mitre is not None:
        on = line_of(way.mitre.edge)
        reach = max(abs(on.beside(point)) for point in way.piece.outline)
        return math.dist(*way.mitre.edge) < SHORT_EDGE * reach
    return way.edge_on_fence is not None and math.dist(*way.edge_on_fence) < SHORT_EDGE * way.setting.offset


def awkward(way: SlantedCut) -> tuple[bool, bool]:
    """Whether a cut can only be marked out, and whether its piece is hard to hold true."""
    return way.located == "marked", _swings(way)


def first_ways(piece: SlantedPiece) -> Iterator[tuple[SlantedPiece, SlantedCut | None]]:
    """All that is still to be cut of a piece, each with the first way to make its next cut, and on with what that
    makes; None where there is no way.
    """
    waiting = [piece]
    while waiting:
        each = waiting.pop()
        if not each.still_to_cut:
            continue
        way = next(iter(ways(each)), None)
        yield each, way
        if way is not None:
            waiting += [part for part in (way.right, way.left) if part is not None]


def _unhandy(way: SlantedCut) -> tuple[float, ...]:
    stop, edge = (0.0, FENCE_EDGE) if way.mitre is None else (way.mitre.stop, math.dist(*way.mitre.edge))
    short = float(edge < FENCE_EDGE)
    return float(way.located != "fence"), float(len(way.dress)), short, round(stop, 3), round(way.setting.offset, 3)


@dataclass(frozen=True)
class _Run:
    """A line through a piece: inside it, entry and exit edges by their numbers, and its least end stop."""

    line: Line
    inside: Segment
    entry: int
    exit: int
    stop: float


def _run(piece: SlantedPiece, line: Line) -> _Run | None:
    """The line as the torch runs along it; None where the rig cannot."""
    found = chord(piece.outline, line)
    if found is None:
        return None
    inside, entry, leaves = found
    rig, rules = piece.conditions.rig, piece.conditions.rules
    long = math.dist(*inside)
    need = rig.lead_in + long + _beyond(piece, line, inside[1], leaves) + rig.overrun
    stop = settable_end_stop(rig, round(need, 6))
    along = [line.ahead(point) for point in piece.outline]
    hand = 1.0 if piece.face_up else -1.0
    far = -min(hand * line.beside(point) for point in piece.outline) - rules.kerf / 2
    if long > rules.longest_one_pass + 1e-9 or stop > greatest_end_stop(rig) + 1e-9:
        return None
    if rules.bed_length is not None and max(along) - min(along) > rules.bed_length + 1e-9:
        return None
    return _Run(line, inside, entry, leaves, stop) if beside_is_legal(rules, far) else None


def _beyond(piece: SlantedPiece, line: Line, leaves: Point, number: int) -> float:
    """How far the kerf still runs in metal once the torch's centre is out: by the edge's angle, near a corner by the
    metal itself.
    """
    kerf = piece.conditions.rules.kerf
    taken = kept_left(kept_left(piece.outline, line.moved(kerf / 2)), line.moved(-kerf / 2).back)
    metal = max((line.ahead(point) - line.ahead(leaves) for point in taken), default=0.0)
    edge = line_of(list(edges(piece.outline))[number]).along
    angle = math.degrees(math.atan2(abs(cross(line.along, edge)), dot(line.along, edge)))
    return max(metal, beyond_exit(kerf, angle))


def _cut(piece: SlantedPiece, run: _Run, on: frozenset[int], **given: object) -> SlantedCut:
    """The cut, with the edges `on` something and the one that leads scraped where they are fresh."""
    all_edges = list(edges(piece.outline))
    fresh = frozenset(n for n in {run.entry, *on} if piece.states[n] == "fresh")
    return SlantedCut(
        of=piece,
        piece=piece.scraped(fresh),
        line=run.inside,
        leading=all_edges[run.entry],
        least_stop=run.stop,
        dress=tuple(all_edges[n] for n in sorted(fresh)),
        **given,  # type: ignore[arg-type]
    )


def _on_fence(piece: SlantedPiece, line: Line) -> Iterator[SlantedCut]:
    """The cut with an edge on the fence that runs along it on the right of the travel."""
    run, conditions = _run(piece, line), piece.conditions
    if run is None:
        return
    hand = 1.0 if piece.face_up else -1.0
    rules = conditions.rules
    for number, edge in enumerate(edges(piece.outline)):
        if abs(cross(line_of(edge).along, line.along)) > ALONG or hand * line.beside(edge[0]) <= 0:
            continue
        offset = round(hand * (line.beside(edge[0]) + line.beside(edge[1])) / 2, 6)
        if not rules.fence_min - 1e-9 <= offset <= rules.fence_max + 1e-9:
            continue
        if math.dist(*edge) < min(FENCE_EDGE, math.dist(*run.inside) / 2) or not piece.is_sure(_middle(edge)):
            continue
        ahead = edge if line.ahead(edge[1]) > line.ahead(edge[0]) else (edge[1], edge[0])
        yield _cut(
            piece,
            run,
            frozenset({number}),
            located="fence",
            setting=conditions.setting(round(offset - rules.kerf / 2, 6)),
            edge_on_fence=ahead,
            corner_at=round(line.ahead(ahead[0]) - line.ahead(run.inside[0]), 6) + 0.0,
        )


def _on_bar(piece: SlantedPiece, line: Line) -> Iterator[SlantedCut]:
    """The cut with the edge that the torch enters through on the mitre bar, either end of it at the stop."""
    run, rig = _run(piece, line), piece.conditions.rig
    if run is None:
        return
    edge = list(edges(piece.outline))[run.entry]
    if math.dist(*edge) < BAR_EDGE or not piece.is_sure(_middle(edge)):
        return
    hand = 1.0 if piece.face_up else -1.0
    direction = minus(edge[1], edge[0])
    angle = round(bar_angle(_seen(line.along, hand), _seen(direction, hand)), 6)
    if not rig.mitre_min <= angle <= rig.mitre_max:
        return
    reading = bar_reading(angle, rig.mitre_step, rig.mitre_min, rig.mitre_max)
    for corner in edge:
        stop = round(math.dist(corner, run.inside[0]), 6)
        if max(rig.mitre_stop_zero, STOP_CLEAR) <= stop <= rig.mitre_stop_max and piece.is_sure(corner):
            on_left = hand * line.beside(corner) < 0
            mitre = Mitre(edge=edge, corner=corner, angle=angle, stop=stop, reading=reading)
            bar = bar_as_set(mitre, left=on_left)
            yield _cut(piece, run, frozenset(), located="mitre", mitre=mitre, bar=bar)


def _middle(edge: Segment) -> Point:
    (ax, ay), (bx, by) = edge
    return (ax + bx) / 2, (ay + by) / 2


def _seen(direction: Point, hand: float) -> Point:
    """A direction of the plate frame as it is seen from above."""
    return direction[0], hand * direction[1]


def _marked(piece: SlantedPiece, line: Line) -> Iterator[SlantedCut]:
    """The cut by two marks that lie beside an edge of the piece."""
    run = _run(piece, line)
    if run is None:
        return
    near = min(FROM_ENDS, math.dist(*run.inside) / 4)
    start, far = run.inside[0], math.dist(*run.inside) - near
    points = [(start[0] + at * line.along[0], start[1] + at * line.along[1]) for at in (near, far)]
    for edge in edges(piece.outline):
        along = line_of(edge)
        places = tuple(round(along.ahead(point), 6) for point in points)
        away = tuple(round(-along.beside(point), 6) for point in points)
        if min(places) >= 0 and max(places) <= math.dist(*edge) and piece.is_sure(edge[0], _middle(edge)):
            marks = Marks(edge=edge, from_=edge[0], along=(places[0], places[1]), distance=(away[0], away[1]))
            yield _cut(piece, run, frozenset(), located="marked", marks=marks)
