"""How true the root face of a bevelled edge comes out, and the width that is left on the face.

The face is left `top` wide, the bevel is D = (w - top) / tan(a) deep at the edge, and the root face is r = t - D. So an
error of the torch's line across the face, or of the part's own width w, counts 1 / tan(a) times in the root face; one
of the tilt D / (sin(a) cos(a)) times, in radians; one of the plate's thickness in full. How such parts are added up:
`tolerance`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stripplan.rig.accuracy.error_stack import Contribution, Stack
from stripplan.rig.accuracy.tolerance import FENCE_U, KERF, KERF_SHARE, MARK_HALF_WIDTH, MARKING, READING, ZERO

TILT = "tilt of the torch"
SHIFT = "where the tilted torch strikes"
THICKNESS = "thickness of the plate"
SIZE = "size of the part"

TILT_HALF_WIDTH = 1.0
"""A tilt set by a protractor, ± [deg]: assumed, no source."""
SHIFT_HALF_WIDTH = 1.0
"""Where a tilted torch strikes, by the height of its pivot, ± [mm]: assumed, no source."""
SHIFT_MEASURED = 0.25
"""The same where it was measured with a rule, ± [mm]: assumed, no source."""
THICKNESS_SHARE = 0.05
"""Hot-rolled plate may be so much of its thickness thicker or thinner, ±: common practice, no source; EN 10029 says
better, by thickness and class."""


@dataclass(frozen=True, kw_only=True)
class BevelErrors:
    """What a bevel's trueness rests on [mm, deg]; None = not measured. `half_step` of the fence's scale, None where the
    line is scribed; `size_likely` and `size_worst` of the part's own width across, None where no datum edge is used."""

    half_step: float | None
    fence_u: float | None
    kerf: float
    kerf_u: float | None
    shift_measured: bool
    tilt_u: float | None
    thickness: float
    size_likely: float | None = None
    size_worst: float | None = None


def root_per_line(angle: float) -> float:
    """By how much the root face changes for a mm that the torch's line is off across the face: 1 / tan(angle).

    >>> round(root_per_line(45), 3), round(root_per_line(30), 3)
    (1.0, 1.732)
    """
    return 1 / math.tan(math.radians(angle))


def root_per_degree(depth: float, angle: float) -> float:
    """By how much the root face changes for a degree that the tilt is off [mm]: depth / (sin cos), in radians.

    >>> round(root_per_degree(8, 30), 3)
    0.322
    """
    turn = math.radians(angle)
    return depth / (math.sin(turn) * math.cos(turn)) * math.pi / 180


def top_stack(angle: float, errors: BevelErrors) -> Stack:
    """What makes the line across the face untrue."""
    found = []
    if errors.half_step is None:
        found.append(Contribution.within(MARKING, MARK_HALF_WIDTH, assumed=True))
    else:
        found.append(Contribution.within(READING, errors.half_step))
        u = FENCE_U if errors.fence_u is None else errors.fence_u
        found.append(Contribution.known(ZERO, u, assumed=errors.fence_u is None))
        half = SHIFT_MEASURED if errors.shift_measured else SHIFT_HALF_WIDTH
        found.append(Contribution.within(SHIFT, half, assumed=True))
    across = 0.5 / math.cos(math.radians(angle))
    if errors.kerf_u is None:
        found.append(Contribution.within(KERF, KERF_SHARE * errors.kerf, times=across, assumed=True))
    else:
        found.append(Contribution.known(KERF, errors.kerf_u, times=across))
    return Stack(tuple(found))


def root_stack(depth: float, angle: float, errors: BevelErrors) -> Stack:
    """What makes the root face untrue.

    >>> errors = BevelErrors(half_step=0.25, fence_u=0.0, kerf=0.0, kerf_u=0.0, shift_measured=True, tilt_u=0.5,
    ...     thickness=10.0)
    >>> made = root_stack(8, 30, errors)  # 0.433, 0.433, 0.322 and 0.5 at the most
    >>> round(made.worst_case, 3), round(made.expanded, 3)
    (1.688, 0.968)
    """
    per = root_per_line(angle)
    found = [
        replace(each, half_width=per * each.half_width, u=per * each.u)
        for each in top_stack(angle, errors).contributions
    ]
    degree = root_per_degree(depth, angle)
    if errors.tilt_u is None:
        found.append(Contribution.within(TILT, TILT_HALF_WIDTH, times=degree, assumed=True))
    else:
        found.append(Contribution.known(TILT, errors.tilt_u, times=degree))
    found.append(Contribution.within(THICKNESS, THICKNESS_SHARE * errors.thickness, assumed=True))
    if errors.size_likely is not None and errors.size_worst is not None:
        found.append(Contribution(SIZE, per * errors.size_worst, per * errors.size_likely / 2))
    return Stack(tuple(found))
