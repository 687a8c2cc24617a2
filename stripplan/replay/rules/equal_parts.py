"""Equal parts come out equal, and within what is asked of them, or a warning names them.

Sizes are those to be expected with the readings as they are, worked out from the scale; every doubt beside that is left
out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.piece import Piece
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.parts_made import lies
from stripplan.replay.sizes import Extents, extents

CODES = ("unequal", "size_class", "coarse_marks")

ALIKE = 0.02
"""Sizes that differ by no more are alike [mm]: less than callipers tell on a cut edge (common practice, no source)."""
CLOSE = 2e-5
"""So near to where a warning begins to be due, it may stand there or not [mm]: figures stand in the file to a
millionth."""

UP_TO = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
CLASSES: Mapping[str, tuple[float, ...]] = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, math.inf),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (math.inf, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}
"""ISO 2768-1:1989, table 1: limit deviations of linear sizes up to so many mm, the bound included, from 0.5 mm on; as
in several reproductions, not seen in the standard itself. Infinite where the standard has none."""


def general(name: str, size: float) -> float:
    """Limit deviation of a class for a size [mm]; infinite where there is none.

    >>> general("c", 50), general("m", 120), general("m", 120.5), general("c", 0.4)
    (0.8, 0.3, 0.5, inf)
    """
    if not UP_TO[0] / 6 <= size <= UP_TO[-1]:
        return math.inf
    return next(limit for most, limit in zip(UP_TO, CLASSES[name], strict=True) if size <= most)


def check_even(bench: Bench) -> Iterator[Finding]:
    """A part is warned of where its pieces differ, and where one is not within what is asked; and only there."""
    said = {(each.code, each.about) for each in bench.plan.warnings if each.code in CODES}
    wants = {part.name: part for part in bench.plan.job.parts}
    known = extents(bench)
    for line in bench.plan.parts:
        if line.name not in wants or isinstance(wants[line.name], Shape):
            continue
        made = [each for each in bench.plan.pieces if each.kind == "part" and each.part == line.name]
        if not all(each.id in known and each.plate in bench.plates and bench.shape(each) for each in made):
            continue  # said already
        sizes = _sizes(bench, wants[line.name], made, known)
        if sizes is None:
            continue
        beyond = _beyond(bench, wants[line.name], sizes)
        off = None if beyond is None else not beyond and _off(bench, wants[line.name], sizes)
        for code, due in zip(CODES, (_unequal(bench, sizes), beyond, off), strict=True):
            if code == "coarse_marks" and due:
                continue  # plans were made that did not say it
            if due is not None and due != ((code, line.name) in said):
                words = "differ and no warning says so" if due else "are warned of as unequal, but are alike"
                if code == "coarse_marks":
                    words = "are warned of as off by the marks of the fence, but are not"
                if code == "size_class":
                    words = (
                        "are not all within what is asked, and no warning says so"
                        if due
                        else "are warned of, but within what is asked"
                    )
                yield Finding("warning", f"{line.name}, {code}", f"Pieces of {line.name} {words}.")
    for code, about in sorted(said - {(code, name) for code in CODES for name in wants}):
        yield Finding(
            "warning", f"{about}, {code}", f"{about} is warned of ({code.replace('_', ' ')}), but is no part."
        )


Sized = Mapping[str, list[list[tuple[float, ...]]]]
"""By plate, for each piece the sizes that it may be said to have: width and, of a part with a length, that too."""


def _sizes(bench: Bench, want: Part, made: list[Piece], known: Mapping[str, Extents]) -> Sized | None:
    """Sizes that will be measured; None where some piece is not the part at all, which is said already."""
    found: dict[str, list[list[tuple[float, ...]]]] = defaultdict(list)
    for piece in made:
        shape = bench.shape(piece)
        assert shape is not None
        x0, y0, x1, y1 = shape.bounds
        along, across = x1 - x0 + known[piece.id][0].off, y1 - y0 + known[piece.id][1].off
        ways = lies(bench, shape.bounds, want, bench.plates[piece.plate])
        if not ways:
            return None
        both = [(along, across) if turned else (across, along) for turned in ways]
        found[piece.plate].append([pair if isinstance(want, Rectangle) else pair[:1] for pair in both])
    return found


def _unequal(bench: Bench, sizes: Sized) -> bool | None:
    """Whether pieces differ: on a plate by more than can be told, over all plates by more than a step of the scale.
    None: either is right."""
    everywhere = [each for pieces in sizes.values() for each in pieces]
    if not everywhere:
        return False
    if any(len(ways) > 1 and ways[0] != ways[1] for ways in everywhere):
        return None  # called wide and long either way: the plan alone does not tell which
    step = float(bench.plan.rig.fence_step * bench.plan.rig.fence_scale)
    over = [_spread(pieces) - ALIKE for pieces in sizes.values()] + [_spread(everywhere) - step - ALIKE]
    return None if abs(max(over)) <= CLOSE else max(over) > 0


def _spread(pieces: list[list[tuple[float, ...]]]) -> float:
    """By how much the pieces differ at the most, in width or in length."""
    columns = list(zip(*(ways[0] for ways in pieces), strict=True))
    return float(max(max(column) - min(column) for column in columns))


def _beyond(bench: Bench, want: Part, sizes: Sized) -> bool | None:
    """Whether a piece is not within what the part asks, else its general class. None: either is right."""
    if want.allowance:
        return False  # it is dressed to size
    asked = (want.width, want.length) if isinstance(want, Rectangle) else (want.width,)
    name = bench.plan.job.options.general_class
    limits = [general(name, size) if want.plus_minus is None else want.plus_minus for size in asked]
    spare = want.tolerance or 0.0  # a surplus that the person puts up with
    over: list[list[float]] = []
    for ways in (each for pieces in sizes.values() for each in pieces):
        over.append(
            [
                max(max(a - b - spare, b - a) - most for a, b, most in zip(way, asked, limits, strict=True))
                for way in ways
            ]
        )
    least, most = (max((pick(each) for each in over), default=-math.inf) for pick in (min, max))
    if least > CLOSE or most < -CLOSE:
        return least > CLOSE
    return None


FROM_STEP, SEEN = 1.0, 0.4
"""A scale with no finer steps, and by how much sizes are off before that has to be said [mm]."""


def _off(bench: Bench, want: Part, sizes: Sized) -> bool | None:
    """Whether a size that is within what is asked is off by more than is passed over. None: either is right."""
    step = bench.plan.rig.fence_step * bench.plan.rig.fence_scale
    if want.allowance or step < FROM_STEP - 1e-9:
        return False
    asked = (want.width, want.length) if isinstance(want, Rectangle) else (want.width,)
    spare = want.tolerance or 0.0
    found: list[list[float]] = []
    for ways in (each for pieces in sizes.values() for each in pieces):
        off = [[a - b for a, b in zip(way, asked, strict=True)] for way in ways]
        found.append([max(0.0 if 0 < each <= spare + CLOSE else abs(each) for each in way) for way in off])
    least, most = (max((pick(each) for each in found), default=0.0) for pick in (min, max))
    if least > SEEN + CLOSE or most < SEEN - CLOSE:
        return least > SEEN
    return None
