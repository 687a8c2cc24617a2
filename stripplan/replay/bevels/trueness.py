"""How true root faces will be, by laying the section again with each figure a little off."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.part import Part, Shape
from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.plan import ExpectedBevel, PartLine
from stripplan.replay import metal as m
from stripplan.replay.bevels.cuts import across, axis_of, process_named
from stripplan.replay.bevels.section import Section, section
from stripplan.replay.bevels.wanted import asked
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.metal import NEAR

A_LITTLE = 0.02
"""A line is laid so much off, and a tilt [mm, deg]: small enough for a slope."""
ALIKE = 0.05
"""Edges of a shape whose length, and reach of the piece from them, differ by no more may be one edge [mm]."""
Doubted = dict[str, tuple[float, float, bool]]
"""By cause: half-width, standard uncertainty, whether it is assumed."""


def check_expected(bench: Bench) -> Iterator[Finding]:
    """A row for each slanted face that is cut of a part, at its least true piece, with each cause of doubt."""
    parts = {part.name: part for part in bench.plan.job.parts}
    cuts: dict[str, list[BevelCut]] = {}
    for cut in bench.plan.bevels:
        cuts.setdefault(bench.pieces[cut.piece].part or "", []).append(cut)
    for line in bench.plan.parts:
        part, some = parts.get(line.name), cuts.get(line.name, [])
        if part is None:
            continue
        thick = part.thickness or (bench.plates[some[0].plate].thickness if some else 0.0)
        faces = {face[:2]: face[2:] for face in asked(part.bevels, thick)}
        if bool(line.bevels) != bool(some) or len({(e.edge, e.first) for e in line.bevels}) != len(line.bevels):
            yield Finding(
                "bevel_trueness", line.name, f"{line.name}: what its bevels will be like is not told of each."
            )
        for said in line.bevels:
            face = faces.get((said.edge, said.first))
            if face is None or abs(face[0] - said.angle) > 1e-6:
                yield Finding("bevel_trueness", line.name, f"{line.name}: a bevel is told of that is not asked for.")
                continue
            alike = [cut for cut in some if _is_edge(bench, part, said, cut, face)]
            yield from _one(bench, line, part, said, alike)


def _is_edge(bench: Bench, part: Part, said: ExpectedBevel, cut: BevelCut, face: tuple[float, float]) -> bool:
    """Whether a bevel may be the one that a row is about: by its figures, and by which way across the part it is."""
    if abs(cut.angle - face[0]) > 1e-5 or abs(cut.depth - face[1]) > 2e-3:
        return False
    shape = bench.shape(bench.pieces[cut.piece])
    if shape is None:
        return True
    if isinstance(part, Shape):
        edge = part.outline[said.edge], part.outline[(said.edge + 1) % len(part.outline)]
        far = max(abs(m.leftward(edge, corner)) for corner in part.outline)
        return abs(math.dist(*edge) - math.dist(*cut.edge)) <= ALIKE and abs(far - across(cut, shape)) <= ALIKE
    reaches, runs = (across(cut, shape), math.dist(*cut.edge))[:: 1 if said.edge % 2 == 0 else -1]
    return abs(reaches - part.width) <= abs(runs - part.width) + NEAR  # lower and upper edge lie across the width


def _one(bench: Bench, line: PartLine, part: Part, said: ExpectedBevel, cuts: list[BevelCut]) -> Iterator[Finding]:
    """A row tells of one of its bevels, and of none that is truer than another."""
    axis = None if isinstance(part, Shape) else said.edge % 2
    about = f"{line.name}, edge {said.edge + 1}"
    if not any(_tells(bench, line, said, cut, axis) for cut in cuts):
        text = f"{line.name}: no bevel of it comes out as its row for edge {said.edge + 1} says."
        yield Finding("bevel_trueness", about, text)
        return
    most = max(_off(bench, cut) + _likely(_doubts(bench, line, cut, axis)) for cut in cuts)
    told = said.likely + max(abs(said.root_face - cut.root_face) for cut in cuts)
    if most > told + 2 * NEAR:
        right, given = figures(most, told)
        yield Finding("bevel_trueness", about, f"{line.name}: a root face is likely within {right} mm, not {given} mm.")


def _off(bench: Bench, cut: BevelCut) -> float:
    """By how much a root face is known to be off."""
    return abs((cut.reading_error or 0.0) * _per_line(bench, cut))


def _likely(doubts: Doubted) -> float:
    return 2 * math.sqrt(sum(u * u for _, u, _ in doubts.values()))


def _tells(bench: Bench, line: PartLine, said: ExpectedBevel, cut: BevelCut, axis: int | None) -> bool:
    doubts = {name: each for name, each in _doubts(bench, line, cut, axis).items() if each[0] > 0}
    likely = _likely(doubts)
    worst = max(sum(half for half, _, _ in doubts.values()), likely)
    off = (cut.reading_error or 0.0) * _per_line(bench, cut)
    pairs = (
        (likely, said.likely),
        (worst, said.worst),
        (cut.root_face + off, said.root_face),
        (_top(bench, cut), said.top_likely),
    )
    causes = {each.cause: (each.plus_minus, each.assumed) for each in said.doubts}
    return (
        all(abs(right - given) <= NEAR for right, given in pairs)
        and len(causes) == len(said.doubts)
        and causes.keys() == doubts.keys()
        and all(
            abs(causes[name][0] - half) <= NEAR and causes[name][1] == assumed
            for name, (half, _, assumed) in doubts.items()
        )
    )


def _laid(bench: Bench, cut: BevelCut, *, axis: float = 0.0, angle: float = 0.0) -> Section:
    """The section with the axis and the tilt off by a little."""
    shape = bench.shape(bench.pieces[cut.piece])
    assert shape is not None
    at, wide = axis_of(cut, across(cut, shape))
    thick = bench.plates[cut.plate].thickness + 50.0  # deep enough that no bevel goes right through
    return section(wide, thick, at + axis, cut.angle + angle, cut.kerf)


def _per_line(bench: Bench, cut: BevelCut) -> float:
    """Root face gained for a mm that the line is farther out."""
    one, other = _laid(bench, cut, axis=-A_LITTLE), _laid(bench, cut, axis=A_LITTLE)
    return (one.depth - other.depth) / (2 * A_LITTLE)


def _per_degree(bench: Bench, cut: BevelCut) -> float:
    """Depth lost for a degree more of tilt, the width left on the face staying what it is."""
    now = _laid(bench, cut)

    def deep(angle: float) -> float:
        made = _laid(bench, cut, angle=angle)
        return _laid(bench, cut, angle=angle, axis=now.top - made.top).depth

    return (deep(-A_LITTLE) - deep(A_LITTLE)) / (2 * A_LITTLE)


def _across(bench: Bench, cut: BevelCut) -> Doubted:
    """What makes the line across the face untrue."""
    rig = bench.plan.rig
    found: Doubted = {}
    if cut.located == "marked":
        found["marking by hand"] = _within(0.5)
    else:
        half = rig.fence_step * rig.fence_scale / 2 if rig.fence_repeat is None else math.sqrt(3) * rig.fence_repeat
        found["fence reading"] = (half, half / math.sqrt(3), False)
        u = 0.1 if rig.fence_u is None else rig.fence_u
        found["fence zero"] = (2 * u, u, rig.fence_u is None)
        measured = any(angle >= cut.angle - 1e-9 for angle, _ in rig.tilt_shift)
        found["where the tilted torch strikes"] = _within(0.25 if measured else 1.0)
    process = process_named(bench, cut.process)
    half_across = 0.5 / math.sin(math.radians(90.0 - cut.angle))
    if process is None or process.kerf_u is None:
        found["kerf"] = _within(0.1 * cut.kerf * half_across)
    else:
        u = process.kerf_u * half_across
        found["kerf"] = (2 * u, u, False)
    return found


def _within(half: float) -> tuple[float, float, bool]:
    return half, half / math.sqrt(3), True


def _top(bench: Bench, cut: BevelCut) -> float:
    return 2 * math.sqrt(sum(u * u for _, u, _ in _across(bench, cut).values())) + abs(cut.reading_error or 0.0)


def _doubts(bench: Bench, line: PartLine, cut: BevelCut, across_axis: int | None) -> Doubted:
    rig, per, degree = bench.plan.rig, _per_line(bench, cut), _per_degree(bench, cut)
    found: Doubted = {name: (per * half, per * u, a) for name, (half, u, a) in _across(bench, cut).items()}
    if rig.tilt_u is None:
        found["tilt of the torch"] = _within(degree)
    else:
        found["tilt of the torch"] = (2 * degree * rig.tilt_u, degree * rig.tilt_u, False)
    found["thickness of the plate"] = _within(0.05 * bench.plates[cut.plate].thickness)
    of = None if across_axis is None or cut.located != "fence" else ("width", "length")[across_axis]
    size = next((each for each in line.accuracy if each.of == of), None)
    if size is not None:
        found["size of the part"] = (per * size.worst, per * size.likely / 2, False)
    return found
