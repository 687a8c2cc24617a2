"""How a bevel of one edge is set up on the rig, or why it is left for the hand.

The edge that runs alike on the other side of the piece lies on the fence; where there is none, where it is too short to
hold the piece, or where the fence does not reach, a line is scribed on the upper face.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stripplan.model.bevel import Flank
from stripplan.model.plan.bevel import BevelFor
from stripplan.model.plan.piece import Piece
from stripplan.model.plate import Plate
from stripplan.model.polygon import Line, Segment, dot, edges, kept_left, line_of, minus
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.bevel import (
    BevelSpeed,
    axis_from_datum,
    axis_inward,
    bevel_speed,
    metal_through,
    set_back,
    tilt_shift,
)
from stripplan.rig.machine.limits import longest_by_duty, turn_over_limit
from stripplan.rig.machine.setting import FenceSetting, fence_setting, greatest_end_stop, settable_end_stop

SHORT_EDGE = 1 / 3
"""An edge on the fence is at least such a share of what lies between it and the torch, if there is any other way:
common practice, no source."""
ON_LINE = 0.01
"""Corners so near to the farthest one lie on one edge with it [mm]."""


@dataclass(frozen=True)
class BevelWay:
    """One bevel as it is set up; as in `BevelCut`, `least_stop` the nearest end stop that serves."""

    piece: Piece
    edge: Segment
    flank: Flank
    root_face: float
    located: Literal["fence", "marked"]
    edge_on_fence: Segment | None
    axis: float
    shift: float
    setting: FenceSetting | None
    leading: Segment
    corner_at: float
    length: float
    least_stop: float
    through: float
    speed: BevelSpeed

    @property
    def travel(self) -> float:
        """Direction of the travel in the plate frame, in quarter turns anticlockwise from x."""
        dx, dy = travel_of(self.edge, first=self.flank.first).along
        return round(math.degrees(math.atan2(dy, dx)) / 90, 9) % 4


def travel_of(edge: Segment, *, first: bool) -> Line:
    """Along a bevelled edge as the carriage runs: the part lies right of it, seen from the face that is up.

    `edge` is one of an outline that runs counter-clockwise as the first face shows it.
    """
    return line_of((edge[1], edge[0])) if first else line_of(edge)


def way_of(
    rig: Rig, piece: Piece, plate: Plate, process: Process, edge: Segment, flank: Flank, root_face: float
) -> BevelWay | BevelFor:
    """How a bevel is set up; a word for why it is left for the hand."""
    if flank.angle > rig.tilt_max + 1e-9:
        return "tilt"
    limit = turn_over_limit(rig)
    if not flank.first and limit is not None and piece.mass > limit + 1e-9:
        return "turn_over"
    through = metal_through(flank.depth, flank.angle)
    speed = bevel_speed(rig, process, plate, through)
    if speed is None:
        return "process"
    kerf, line = speed.process.kerf, travel_of(edge, first=flank.first)
    if axis_inward(flank.depth, flank.angle, kerf) <= 0:
        return "thin"
    start, end = _reach(piece, line, flank)
    low, high = _extent(piece, line)
    if rig.bed_length is not None and high - low > rig.bed_length + 1e-6:
        return "bed"
    if rig.bed_before is not None and start - low > rig.bed_before + 1e-6:
        return "bed"
    length = end - start
    if rig.lead_in + length + rig.overrun > greatest_end_stop(rig) + 1e-6:
        return "stroke"
    if length > longest_by_duty(rig, _at_speed(speed)) + 1e-6:
        return "duty"
    found = _located(rig, piece, line, flank, kerf)
    if found is None:
        return "reach"
    located, datum, axis, setting = found
    corner = line.ahead(datum[0] if datum is not None else (edge[1] if flank.first else edge[0])) - start
    return BevelWay(
        piece=piece,
        edge=edge,
        flank=flank,
        root_face=root_face,
        located=located,
        edge_on_fence=datum,
        axis=round(axis, 6),
        shift=tilt_shift(rig, flank.angle).mm,
        setting=setting,
        leading=_leading(piece, edge, first=flank.first),
        corner_at=round(corner, 6) + 0.0,
        length=round(length, 6),
        least_stop=settable_end_stop(rig, rig.lead_in + length + rig.overrun),
        through=round(through, 6),
        speed=speed,
    )


def _at_speed(speed: BevelSpeed) -> Process:
    return replace(speed.process, travel_speed=speed.speed)


def _reach(piece: Piece, line: Line, flank: Flank) -> tuple[float, float]:
    """From where to where along the travel there is metal that the bevel takes: as far in as the face is set back."""
    inner = line.moved(set_back(flank.depth, flank.angle) if flank.first else -set_back(flank.depth, flank.angle))
    # The piece lies right of the travel as it lies; seen from the first face that is left where it is turned over.
    band = kept_left(piece.outline, inner if flank.first else inner.back)
    places = [line.ahead(point) for point in band]
    return min(places), max(places)


def _extent(piece: Piece, line: Line) -> tuple[float, float]:
    places = [line.ahead(point) for point in piece.outline]
    return min(places), max(places)


def _located(
    rig: Rig, piece: Piece, line: Line, flank: Flank, kerf: float
) -> tuple[Literal["fence", "marked"], Segment | None, float, FenceSetting | None] | None:
    """By what the torch's axis is located: what lies on the fence, how far the axis is from there, and the setting."""
    wide, datum = _datum(piece, line, first=flank.first)
    inward = axis_inward(flank.depth, flank.angle, kerf)
    marked: tuple[Literal["fence", "marked"], None, float, None] | None = (
        ("marked", None, inward, None) if rig.marked else None
    )
    if datum is None:
        return marked
    axis = axis_from_datum(wide, flank.depth, flank.angle, kerf)
    offset = axis - tilt_shift(rig, flank.angle).mm
    if not rig.fence_min - 1e-9 <= offset <= rig.fence_max + 1e-9:
        return marked
    if marked is not None and math.dist(*datum) < SHORT_EDGE * offset:
        return marked
    return "fence", datum, axis, fence_setting(rig, offset, 0.0)


def _datum(piece: Piece, line: Line, *, first: bool) -> tuple[float, Segment | None]:
    """How far the piece reaches from the bevelled edge, and the whole edge there in the direction of travel, if any."""
    side = 1.0 if first else -1.0
    wide = max(side * line.beside(point) for point in piece.outline)
    for one, other in edges(piece.outline):
        if all(abs(side * line.beside(point) - wide) <= ON_LINE for point in (one, other)):
            along = dot(minus(other, one), line.along) > 0
            return wide, (one, other) if along else (other, one)
    return wide, None


def _leading(piece: Piece, edge: Segment, *, first: bool) -> Segment:
    """The edge beside the bevelled one that the carriage comes to first."""
    several: Sequence[Segment] = list(edges(piece.outline))
    at = min(range(len(several)), key=lambda n: math.dist(several[n][0], edge[0]) + math.dist(several[n][1], edge[1]))
    return several[(at + 1) % len(several)] if first else several[at - 1]
