"""What is set on the rig for a cut at an angle: mitre bar, stop, end stop beyond a slanted edge.

Plane trigonometry of the rig, no published source.
"""

from __future__ import annotations

import math


def bar_angle(travel: tuple[float, float], edge: tuple[float, float]) -> float:
    """Angle from the direction of travel anticlockwise to an edge that lies on the bar [deg], above 0 and below 180.

    Both are directions as the piece lies, seen from above; which way along the edge does not matter.

    >>> round(bar_angle((1, 0), (0, 1)), 6), round(bar_angle((1, 0), (1, 1)), 6), round(bar_angle((1, 0), (1, -1)), 6)
    (90.0, 45.0, 135.0)
    """
    (ux, uy), (ex, ey) = travel, edge
    across, ahead = ux * ey - uy * ex, ux * ex + uy * ey
    return math.degrees(math.atan2(abs(across), ahead if across > 0 else -ahead))


def bar_reading(angle: float, step: float | None, least: float, most: float) -> float | None:
    """The mark of the mitre bar nearest to an angle, in steps between its least and its greatest [deg]; None where no
    step is known.

    >>> bar_reading(38.157, 0.5, 20, 160), bar_reading(158, 15.0, 20, 160), bar_reading(45, None, 20, 160)
    (38.0, 150.0, None)
    """
    if step is None:
        return None
    low, high = math.ceil(least / step - 1e-9), math.floor(most / step + 1e-9)
    return round(min(max(round(angle / step), low), max(low, high)) * step, 6)


def bar_stop(finished: float, kerf: float, angle: float) -> float:
    """Stop of the mitre bar for a finished length along the edge on it [mm]: d = length + k / (2 sin a).

    The torch's centre runs half a kerf off the finished edge at right angles, k / (2 sin a) along the bar.

    >>> round(bar_stop(100, 1.5, 90), 3), round(bar_stop(100, 1.5, 45), 3)
    (100.75, 101.061)
    """
    return finished + kerf / (2 * math.sin(math.radians(angle)))


def beyond_exit(kerf: float, angle: float) -> float:
    """How far the torch goes on until all of the kerf is out of an edge at an angle to the cut [mm]: k/2 |cot b|.

    `angle` [deg] above 0 and below 180.

    >>> beyond_exit(1.5, 90) < 1e-9, round(beyond_exit(1.5, 45), 3), round(beyond_exit(1.5, 150), 3)
    (True, 0.75, 1.299)
    """
    return abs(kerf / 2 / math.tan(math.radians(angle)))
