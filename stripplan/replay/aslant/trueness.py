"""How true straight-sided shapes will be, worked out anew: what moves each of their edges, and what that makes of the
distance between two, of the length of one, of an angle.

An edge lies half a kerf beside the torch line that made it. It is moved at right angles by what set that line: a fence,
the stop and the angle of the mitre bar, or two marks; by half a kerf and the rail. Half-widths to standard
uncertainties, and these added up: JCGM 100:2008, 4.3.7, 5.1.2, 6.2, as in `replay.trueness`.
"""

from __future__ import annotations

import cmath
import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.model.part import Shape
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import ExpectedOfShape, PartLine
from stripplan.model.rig import Process
from stripplan.replay.aslant.bows import check_bow
from stripplan.replay.aslant.sides import FLAT, LIES_ON, SIZE, Side, process_of, sides_of
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.trueness import (
    BEVEL,
    DRESSED,
    FENCE_U,
    KERF_SHARE,
    MARK,
    NEAR,
    PARALLEL,
    RAIL,
)

STEP_OF_BAR = 0.5
"""The angle of a mitre bar is set in such steps where nobody says [deg]; common practice, no source."""
QUARTER, ABOUT = 0.25, 1e-3
"""Share of the longest edge that two parallel ones are long, for their distance to be told, and how near is near."""
BAR_STOP, BAR_ANGLE = "stop of the mitre bar", "angle of the mitre bar"
SOURCES_ALIKE = frozenset({"kerf", "fence parallel to travel", "bevel"})
"""One kerf, one fence, one torch: what these are off by is the same at every edge."""

Causes = dict[str, tuple[float, float, bool]]
"""For each cause its half-width, its standard uncertainty, and whether it is assumed."""


def check_shapes(bench: Bench, foretold: Callable[[Process], bool]) -> Iterator[Finding]:
    """The sizes, angles and bow of each shape are those of its least true piece; a plan of before that says nothing of
    any is not asked."""
    shapes = {part.name: part for part in bench.plan.job.parts if isinstance(part, Shape)}
    lines = [line for line in bench.plan.parts if line.name in shapes]
    if not any(line.shape or line.bow for line in lines):
        return
    by_piece = {cut.piece: cut for cut in bench.plan.cuts}
    pieces: dict[str, list[tuple[Piece, list[Side]]]] = defaultdict(list)
    for piece in bench.plan.pieces:
        if piece.kind == "part" and piece.part in shapes and piece.plate in bench.plates:
            pieces[piece.part].append((piece, sides_of(bench, piece, by_piece)))
    for line in lines:
        if len(pieces[line.name]) == line.made:
            yield from _sizes(bench, line, shapes[line.name], pieces[line.name])
            yield from check_bow(bench, line, shapes[line.name], pieces[line.name], foretold)


# --- sizes -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Worked:
    """A size with the known error and the causes of doubt in it."""

    of: str
    size: float
    shift: float
    causes: Causes
    due: bool = True
    """Whether it must be told; where edges are just about long enough it may be."""

    @property
    def likely(self) -> float:
        """About 95 in 100."""
        outside = set() if self.of == "angle" else {"fence parallel to travel", "bevel"}
        alike = sum(half for name, (half, _, _) in self.causes.items() if name in outside)
        free = sum(u * u for name, (_, u, _) in self.causes.items() if name not in outside)
        return self.shift + alike + 2 * math.sqrt(free)

    @property
    def worst(self) -> float:
        """All at once."""
        return max(self.shift + sum(half for half, _, _ in self.causes.values()), self.likely)


def _sizes(bench: Bench, line: PartLine, want: Shape, pieces: list[tuple[Piece, list[Side]]]) -> Iterator[Finding]:
    every = [each for piece, sides in pieces for each in _worked(bench, piece, sides) if each.causes]
    for said in line.shape:
        about = f"{line.name}, {said.of} {said.size:g}"
        same = [each for each in every if each.of == said.of and (said.of == "angle" or _near(each.size, said.size))]
        most = max((each.likely for each in same), default=0.0)
        if abs(most - said.likely) > NEAR:
            text = f"{line.name}: its size of {said.size:g} is likely within {most:.3f}, not {said.likely:.3f}."
            yield Finding("accuracy", about, text)
        elif not any(_tells(said, each) for each in same if most - each.likely <= NEAR):
            yield Finding("accuracy", about, f"{line.name}: the causes listed do not make {said.size:g} as untrue.")
        asked = None if said.of == "angle" or want.allowance else want.plus_minus
        near = asked is not None and abs(said.likely - asked) < NEAR
        if said.asked != asked or (said.met != (None if asked is None else said.likely <= asked) and not near):
            yield Finding("accuracy", f"{about}, asked", f"{line.name}: what is asked of {said.size:g} is not so.")
    told = [(each.of, each.size) for each in line.shape]
    for each in (each for each in every if each.due):
        if sum(of == each.of and (of == "angle" or _near(size, each.size)) for of, size in told) != 1:
            about = f"{line.name}, {each.of} {each.size:.2f}"
            yield Finding(
                "accuracy", about, f"{line.name}: how true its {each.of} of {each.size:.2f} is stands not once."
            )
            return


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= SIZE


def _tells(said: ExpectedOfShape, right: Worked) -> bool:
    doubts: Mapping[str, tuple[float, float, bool]] = right.causes
    return (
        abs(said.worst - right.worst) <= NEAR
        and abs(said.size - right.size) <= SIZE
        and len(said.doubts) == len(doubts)
        and all(
            each.cause in doubts
            and abs(each.plus_minus - doubts[each.cause][0]) <= NEAR
            and each.assumed == doubts[each.cause][2]
            for each in said.doubts
        )
    )


def _worked(bench: Bench, piece: Piece, sides: list[Side]) -> Iterator[Worked]:
    count = len(sides)
    long = [abs(side.end - side.start) for side in sides]
    for n, one in enumerate(sides):
        for m, other in enumerate(sides[n + 1 :], n + 1):
            share = min(long[n], long[m]) / max(long)
            if abs((one.way * other.way.conjugate()).imag) <= FLAT and share > QUARTER - ABOUT:
                yield replace(_across(bench, piece, one, other), due=share > QUARTER + ABOUT)
    for n in _known_by(sides):
        yield _long(bench, piece, sides[n - 1], sides[n], sides[(n + 1) % count])
    for n, side in enumerate(sides):
        before = sides[n - 1]
        turned = _together([_turning(bench, before), _turning(bench, side)], alike=frozenset())
        corner = 180 - abs(math.degrees(cmath.phase(side.way / before.way)))
        yield Worked("angle", corner, _mark_off(before) + _mark_off(side), turned)


def _known_by(sides: list[Side]) -> list[int]:
    """A right-angled triangle by its legs, all else by the longest edge."""
    if len(sides) == 3:
        square = [n for n in range(3) if abs((sides[n].way * sides[n - 1].way.conjugate()).real) <= 1e-3]
        if square:
            return sorted({square[0], (square[0] - 1) % 3})
    long = [abs(side.end - side.start) for side in sides]
    return [n for n, each in enumerate(long) if each > max(long) - SIZE]


def _across(bench: Bench, piece: Piece, one: Side, other: Side) -> Worked:
    counted = [side for side in (one, other) if side.cut is not None]
    for side, datum in ((one, other), (other, one)):
        on = None if side.cut is None else side.cut.edge_on_fence
        if on is not None and max(_off_line(on, point) for point in (datum.start, datum.end)) <= LIES_ON:
            counted = [side]
            break
    causes = _together([_moving(bench, piece, side, (side.start, side.end), 1.0) for side in counted])
    return Worked(
        "across",
        one.off(other.start),
        sum(_reading(side, (side.start, side.end)) for side in counted),
        causes | _bevelled(bench, piece, counted),
    )


def _long(bench: Bench, piece: Piece, before: Side, side: Side, after: Side) -> Worked:
    ends = [(before, side.start), (after, side.end)]
    for (here, _), (_, there) in (ends, ends[::-1]):
        bar = here.cut.mitre if here.cut is not None else None
        if bar is None or max(_off_line(bar.edge, point) for point in (side.start, side.end)) > LIES_ON:
            continue
        if abs(complex(*bar.corner) - there) <= LIES_ON:
            ends = [each for each in ends if each[0] is here]
            break
    moved, shift = [], 0.0
    for end, point in ends:
        seen = 1 / max(abs((end.way * side.way.conjugate()).imag), 0.1)
        moved.append(_moving(bench, piece, end, (point,), seen))
        shift += _reading(end, (point,)) * seen
    causes = _together(moved) | _bevelled(bench, piece, [end for end, _ in ends])
    return Worked("edge", abs(side.end - side.start), shift, causes)


def _off_line(edge: tuple[tuple[float, float], tuple[float, float]], point: complex) -> float:
    start, end = (complex(*each) for each in edge)
    return Side(start, end, None).off(point)


def _reading(side: Side, points: tuple[complex, ...]) -> float:
    if side.cut is None:
        return 0.0
    swing = math.tan(math.radians(_mark_off(side))) * max(abs(point - complex(*side.cut.line[0])) for point in points)
    return abs(side.cut.reading_error or 0.0) + swing


def _mark_off(side: Side) -> float:
    """How far the mark that the bar is set to lies from its angle [deg]."""
    bar = side.cut.mitre if side.cut is not None else None
    return 0.0 if bar is None or bar.reading is None else abs(bar.angle - bar.reading)


def _moving(bench: Bench, piece: Piece, side: Side, points: tuple[complex, ...], seen: float) -> Causes:
    """What moves an edge at the farthest of some points, `seen` so many times larger."""
    cut, rig = side.cut, bench.plan.rig
    if cut is None:
        return {}
    process = process_of(bench, piece)
    found = {"rail straightness": _within(RAIL)}
    if process.kerf_u is None:
        found["kerf"] = _within(KERF_SHARE * cut.kerf / 2)
    else:
        found["kerf"] = process.kerf_u, process.kerf_u / 2, False
    if cut.setup.dress:
        found["dressing of the datum edge"] = _within(DRESSED)
    if cut.mitre is not None:
        enters = complex(*cut.line[0])
        found[BAR_STOP] = _within(MARK * math.sin(math.radians(cut.mitre.angle)))
        far = max(abs(point - enters) for point in points)
        half, assumed = _half_of_step(bench)
        found[BAR_ANGLE] = far * math.tan(half), far * math.tan(half) / math.sqrt(3), assumed
    elif cut.located == "fence":
        half = rig.fence_step * rig.fence_scale / 2 if rig.fence_repeat is None else rig.fence_repeat * math.sqrt(3)
        u = FENCE_U if rig.fence_u is None else rig.fence_u
        out = PARALLEL if rig.fence_angle is None else cut.length * math.tan(math.radians(abs(rig.fence_angle)))
        found["fence reading"] = half, half / math.sqrt(3), False
        found["fence zero"] = 2 * u, u, rig.fence_u is None
        found["fence parallel to travel"] = out, out / math.sqrt(3), rig.fence_angle is None
    else:
        found["marking by hand"] = _within(MARK)
    return {name: (seen * half, seen * u, assumed) for name, (half, u, assumed) in found.items()}


def _turning(bench: Bench, side: Side) -> Causes:
    """What turns an edge [deg]."""
    cut, angle = side.cut, bench.plan.rig.fence_angle
    if cut is None:
        return {}
    if cut.mitre is not None:
        half, assumed = _half_of_step(bench)
        return {BAR_ANGLE: (math.degrees(half), math.degrees(half) / math.sqrt(3), assumed)}
    if cut.located == "fence":
        out = math.degrees(math.atan2(PARALLEL, cut.length)) if angle is None else abs(angle)
        return {"fence parallel to travel": (out, out / math.sqrt(3), angle is None)}
    apart = cut.length / 2 if cut.marks is None else abs(cut.marks.along[0] - cut.marks.along[1])
    return {"marking by hand": _within(math.degrees(math.atan2(2 * MARK, max(apart, 1.0))))}


def _half_of_step(bench: Bench) -> tuple[float, bool]:
    """Half a step of the bar [rad], and whether nobody has said it."""
    given = bench.plan.rig.mitre_step
    return math.radians(STEP_OF_BAR if given is None else given) / 2, given is None


def _within(half: float) -> tuple[float, float, bool]:
    return half, half / math.sqrt(3), True


def _together(some: list[Causes], alike: frozenset[str] = SOURCES_ALIKE) -> Causes:
    """Causes of several edges; what is alike in all of them adds up, the rest as the root of squares."""
    found: Causes = {}
    for name in dict.fromkeys(name for each in some for name in each):
        met = [each[name] for each in some if name in each]
        us = [u for _, u, _ in met]
        u = sum(us) if name in alike else math.sqrt(sum(each * each for each in us))
        found[name] = sum(half for half, _, _ in met), u, met[0][2]
    return {name: each for name, each in found.items() if each[0] > 0}


def _bevelled(bench: Bench, piece: Piece, sides: list[Side]) -> Causes:
    given = process_of(bench, piece).bevel
    wedge = bench.plates[piece.plate].thickness * math.tan(math.radians(abs(BEVEL if given is None else given)))
    cut = any(side.cut is not None for side in sides)
    return {"bevel": (wedge, 0.0, given is None)} if wedge > 0 and cut else {}
