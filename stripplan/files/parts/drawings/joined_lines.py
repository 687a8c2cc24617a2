"""Lines that meet end to end, as outlines.

Ends are gathered into nodes within the tolerance, and lines are edges of a graph between them. A part of the graph
whose nodes all have two ends is a loop, and so an outline; any other is said to fork or to have a loose end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import chain
from typing import Any

from stripplan.files.fault_words import message
from stripplan.files.parts.drawings.outlines import Outline, Point, Reading, Skipped, Stroke, where
from stripplan.wording.message import Message

Ends = tuple[int, int]
"""The nodes at which a line starts and ends."""


def joined(strokes: Sequence[Stroke], reading: Reading) -> tuple[list[Outline], list[Outline], list[Skipped]]:
    """Closed outlines that strokes of one group make end to end, strokes that hang together and make none, as outlines
    that are refused, and those that are nothing."""
    import networkx  # many drawings have no loose lines

    graph: Any = networkx.MultiGraph()
    ends = _nodes(strokes, reading.tolerance)
    outlines: list[Outline] = []
    loose: list[Outline] = []
    skipped: list[Skipped] = []
    seen: set[Ends] = set()
    for at, (stroke, (one, other)) in enumerate(zip(strokes, ends, strict=True)):
        why = _useless(stroke, (min(one, other), max(one, other)), seen)
        if why is None:
            graph.add_edge(one, other, at)
        else:
            skipped.append(Skipped(stroke.what, where(stroke.layer, stroke.points[0], reading), why))
    degree = dict(graph.degree)
    for nodes in networkx.connected_components(graph):
        found = sorted(at for _, _, at in graph.edges(nodes, keys=True))
        first = strokes[found[0]]
        what = first.what + (f" and {len(found) - 1} more" if len(found) > 1 else "")
        if bad := _no_loop(found, strokes, ends, degree):
            stroke, point, why = bad
            points = (point, *chain.from_iterable(strokes[at].points for at in found))
            loose.append(Outline(points, what, stroke.layer, False, first.name, first.quantity, why))
            continue
        loop = networkx.find_cycle(graph, ends[found[0]][0])
        runs = (_run(strokes[at], forward=ends[at][0] == start) for start, _, at in loop)
        curved = any(strokes[at].curved for at in found)
        points = tuple(chain.from_iterable(runs))
        outlines.append(Outline(points, what, first.layer, curved, first.name, first.quantity, first.refused))
    return outlines, loose, skipped


def _useless(stroke: Stroke, ends: Ends, seen: set[Ends]) -> Message | None:
    """Why a straight line cannot be part of an outline: it has no length, or is drawn over another that was `seen`."""
    if len(stroke.points) != 2:
        return None
    if ends[0] == ends[1]:
        return message("why.no_length")
    if stroke.curved:
        return None
    if ends in seen:
        return message("why.twice")
    seen.add(ends)
    return None


def _nodes(strokes: Sequence[Stroke], tolerance: float) -> list[Ends]:
    """The numbers of the nodes at which each stroke starts and ends.

    A node is the first end of those within the tolerance. Nodes of a group are farther apart than the tolerance, so
    that a cell of a grid holds four at most.
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


def _no_loop(
    found: Sequence[int], strokes: Sequence[Stroke], ends: Sequence[Ends], degree: dict[int, int]
) -> tuple[Stroke, Point, Message] | None:
    """Where strokes that hang together fork, else where they end; None where they are a loop."""
    places = [(strokes[at], end, degree[ends[at][end]]) for at in found for end in (0, 1)]
    fork = next((place for place in places if place[2] > 2), None)
    loose = next((place for place in places if place[2] < 2), None)
    bad = fork or loose
    if bad is None:
        return None
    return bad[0], bad[0].points[-bad[1]], message("why.fork" if fork else "why.loose_end")


def _run(stroke: Stroke, *, forward: bool) -> Sequence[Point]:
    """The points of a stroke in the direction it is gone through, without the last, which is the first of the next."""
    return stroke.points[:-1] if forward else stroke.points[:0:-1]
