"""Bevels in a plan: further cuts of finished parts with the torch tilted, and those that are left for the hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.model.plan.cut import Minutes, Segment, SetUp

BevelFor = Literal["tilt", "process", "stroke", "duty", "reach", "thin", "turn_over", "bed"]
"""Why an edge is left for the hand: the torch does not tilt so far, no process cuts so much metal, the carriage does
not travel so far, the power source does not burn so long, the fence does not reach and nothing may be marked, the torch
would miss the metal, the piece is too heavy to turn over, the bed is too short."""


@dataclass(frozen=True, kw_only=True)
class BevelSetUp(SetUp):
    """What changes before a bevel is cut; `tilt`: the torch is tilted to another angle."""

    tilt: bool = False


@dataclass(frozen=True, kw_only=True)
class BevelMinutes(Minutes):
    """Time of one bevel by cause [min]."""

    tilt: float = 0.0


@dataclass(frozen=True, kw_only=True)
class BevelCut:
    """A bevel that is cut along an edge of a finished part, after all cuts; numbers go on from those. Points in the
    plate frame, first face up. Outlines stay those of the part's largest extent.

    `edge` is the bevelled one in the order of the part's outline, counter-clockwise; `face_up` whether the first face
    lies up, `angle` the tilt from the vertical [deg], `depth` how deep it goes, `root_face` what stays of the edge once
    all its bevels are made. The torch leans over the part, so that its axis leaves the part below.

    `located` "fence": `edge_on_fence` lies there, in the direction of travel, and the axis meets the upper face at
    `axis` from it; `fence_offset` is what the scale must mean for that: less `shift`, by which a tilted torch strikes
    farther from the fence than an upright one. `marked`: the axis is lined up with a line on the upper face, `axis` in
    from the bevelled edge; all of the fence are None.

    `leading` and `corner_at` as in `Pass`: that corner is the first one on the fence, or of the bevelled edge. `length`
    of metal along the travel, `through` of metal along the axis [mm]. `process` by name; `travel_speed` may be lower
    than its own, as there is more metal to go through: `estimated`.
    """

    number: int
    plate: str
    piece: str
    edge: Segment
    face_up: bool
    angle: float
    depth: float
    root_face: float
    located: Literal["fence", "marked"]
    edge_on_fence: Segment | None
    axis: float
    shift: float
    fence_offset: float | None
    fence_reading: float | None
    reading_error: float | None
    leading: Segment
    corner_at: float
    length: float
    end_stop: float
    through: float
    process: str
    kerf: float
    travel_speed: float
    estimated: bool
    dial: float | None
    rest_before: float
    setup: BevelSetUp
    minutes: BevelMinutes


@dataclass(frozen=True, kw_only=True)
class HandBevel:
    """A bevel that the rig cannot cut: to be ground, or cut by hand; `why` in a word."""

    plate: str
    piece: str
    edge: Segment
    face_up: bool
    angle: float
    depth: float
    root_face: float
    why: BevelFor
