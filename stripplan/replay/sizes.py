"""The sizes that come out: what the marks of the scale leave a part to measure, and what it rests on.

A piece on the fence is as wide as the fence stands: what the reading is off by makes it wider or
narrower, and the far piece the other way. A chain of far pieces gathers the errors of its settings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from stripplan.model.part import Part, Rectangle, Shape
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PartLine
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench, Step
from stripplan.replay.parts_made import lies

ROUNDED = 0.002
"""Slack for sizes that are printed to a thousandth [mm]."""

SCRIBED = 0.5
"""What scribing and lining up one cut is taken to be off by, +- [mm]; common practice, no source."""


@dataclass(frozen=True)
class Extent:
    """One size of a piece: what settings make it differ from its outline, how far they may be off, what it rests on.

    `spread` is the least and greatest plus-or-minus [mm] (scribing is not on any scale); `rests` says
    that no setting was ever measured across it, so that it is what the plate happens to be.
    """

    off: float = 0.0
    spread: tuple[float, float] = (0.0, 0.0)
    rests: bool = True


Extents = tuple[Extent, Extent]
"""Along x and along y."""


def extents(bench: Bench) -> dict[str, Extents]:
    """Both sizes of every piece that the bench could follow."""
    found: dict[str, Extents] = {piece.id: (Extent(), Extent()) for piece in bench.plan.pieces if piece.parent is None}
    for step in bench.steps:
        before = found.get(step.cut.piece)
        if before is None or not step.cut.passes or _misread(bench, step.cut):
            continue  # nothing is known of what comes out; said already
        if m.aslant(step.torch):
            continue  # what comes out has no one size along x or y
        dx, dy = m.direction(step.torch)
        axis = 1 if abs(dx) > abs(dy) else 0
        for side, product in enumerate(step.cut.makes):
            if product is not None:
                after = _after(bench, step, before[axis], fence_side=side == 0)
                found[product] = (before[0], after) if axis else (after, before[1])
    return found


def _after(bench: Bench, step: Step, before: Extent, *, fence_side: bool) -> Extent:
    cut, rig = step.cut, bench.plan.rig
    if cut.located != "fence":
        if fence_side == marked_from_the_right(step):
            return Extent(0.0, (SCRIBED, SCRIBED), rests=False)
        return replace(before, spread=(before.spread[0] + SCRIBED, before.spread[1] + SCRIBED))
    error, half = _error(bench, cut), rig.fence_step * rig.fence_scale / 2
    if fence_side:
        return Extent(error, (half, half), rests=False)
    return Extent(before.off - error, (before.spread[0] + half, before.spread[1] + half), before.rests)


def _error(bench: Bench, cut: Cut) -> float:
    """What the reading is off by, from the scale itself [mm]; 0 where no fence is set."""
    rig = bench.plan.rig
    if cut.located != "fence" or cut.fence_reading is None or cut.fence_offset is None:
        return 0.0
    return float(rig.fence_zero + rig.fence_scale * cut.fence_reading - cut.fence_offset)


def _misread(bench: Bench, cut: Cut) -> bool:
    return bool(abs(_error(bench, cut)) > bench.plan.rig.fence_step * bench.plan.rig.fence_scale / 2 + 1e-6)


def marked_from_the_right(step: Step) -> bool:
    """Whether the edge that the marks are measured from lies on the fence side."""
    cut = step.cut
    if cut.marks is None:
        return True
    return (m.leftward(step.torch, cut.marks.edge[0]) < 0) == cut.passes[0].face_up


def check_expected(bench: Bench) -> Iterator[Finding]:
    """Each part's list of sizes is what comes out, with the readings as they are; its tolerance is that of the
    settings."""
    known = extents(bench)
    for line in bench.plan.parts:
        want = next((part for part in bench.plan.job.parts if part.name == line.name), None)
        pieces = [piece for piece in bench.plan.pieces if piece.kind == "part" and piece.part == line.name]
        if isinstance(want, Shape):
            yield from _of_shape(line)
            continue
        if want is None or not all(bench.shape(piece) for piece in pieces):
            continue
        if not all(piece.id in known for piece in pieces):
            yield from _about_as_large(bench, line, want, pieces)
            continue
        yield from _sizes(bench, line, want, pieces, known)
        yield from _spreads(bench, line, want, pieces, known)


def _about_as_large(bench: Bench, line: PartLine, want: Part, pieces: list[Piece]) -> Iterator[Finding]:
    """Where some rectangles come out of what falls beside shapes nobody follows each size; but none is off its outline
    by more than some marks of the scale, and no size stands there that no piece has about.
    """
    off = 3 * bench.plan.rig.fence_step * bench.plan.rig.fence_scale + ROUNDED
    nothing = Extent(), Extent()
    sizes = [
        [_finished(bench, piece, want, nothing, turned=way) for way in _ways(bench, piece, want)] for piece in pieces
    ]

    def near(one: tuple[float, float], other: tuple[float, float]) -> bool:
        return all(abs(a - b) <= off for a, b in zip(one, other, strict=True))

    for piece, ways in zip(pieces, sizes, strict=True):
        if ways and not any(near(size, each) for size in ways for each in line.size_expected):
            text = f"{line.name} ({piece.id}) will measure about {ways[0][0]:.2f} x {ways[0][1]:.2f} mm; the list of "
            yield Finding("size_expected", piece.id, text + "parts does not say so.")
    for number, each in enumerate(line.size_expected):
        if not any(near(size, each) for ways in sizes for size in ways):
            text = f"{line.name}: the list of parts speaks of {each[0]:g} x {each[1]:g} mm, but no piece is so large."
            yield Finding("size_expected", f"{line.name}, size {number + 1}", text)


def _of_shape(line: PartLine) -> Iterator[Finding]:
    """Of a straight-sided shape no list says a width and a length: its edges are set from one another."""
    if line.size_expected or any(line.tolerance_expected) or line.accuracy:
        text = f"{line.name} is no matter of a width and a length; the list of parts speaks of what they will be."
        yield Finding("size_expected", line.name, text)


def _ways(bench: Bench, piece: Piece, want: Part) -> list[bool]:
    shape = bench.shape(piece)
    return [] if shape is None else lies(bench, shape.bounds, want, bench.plates[piece.plate])


def _turned(pair: tuple[Any, Any], *, turned: bool) -> tuple[Any, Any]:
    """(along x, along y) of a piece as (across, along) of the part."""
    return pair if turned else (pair[1], pair[0])


def _sizes(
    bench: Bench, line: PartLine, want: Part, pieces: list[Piece], known: Mapping[str, Extents]
) -> Iterator[Finding]:
    met: set[int] = set()
    for piece in pieces:
        ways = [_finished(bench, piece, want, known[piece.id], turned=way) for way in _ways(bench, piece, want)]
        listed = {number for number, each in enumerate(line.size_expected) for size in ways if _same(size, each)}
        if ways and not listed:
            wide, long = ways[0]
            text = (
                f"{line.name} ({piece.id}) will measure {wide:.3f} x {long:.3f} mm; the list of parts does not say so."
            )
            yield Finding("size_expected", piece.id, text)
        met |= listed
    if not all(_ways(bench, piece, want) for piece in pieces):
        return
    for number, (wide, long) in enumerate(line.size_expected):
        if number not in met:
            text = f"{line.name}: the list of parts speaks of {wide:g} x {long:g} mm, but no piece will measure that."
            yield Finding("size_expected", f"{line.name}, size {number + 1}", text)


def _same(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return all(abs(a - b) <= ROUNDED for a, b in zip(one, other, strict=True))


def _finished(bench: Bench, piece: Piece, want: Part, known: Extents, *, turned: bool) -> tuple[float, float]:
    """Width and length once the allowances are dressed off [mm]; a strip has none on its ends."""
    shape = bench.shape(piece)
    assert shape is not None
    x0, y0, x1, y1 = shape.bounds
    wide, long = _turned((x1 - x0 + known[0].off, y1 - y0 + known[1].off), turned=turned)
    off = 2 * want.allowance
    return wide - off, long - (off if isinstance(want, Rectangle) else 0.0)


def _spreads(
    bench: Bench, line: PartLine, want: Part, pieces: list[Piece], known: Mapping[str, Extents]
) -> Iterator[Finding]:
    lain = [(known[piece.id], _ways(bench, piece, want)) for piece in pieces]
    for side, size in enumerate(("width", "length")):
        least = most = 0.0
        for both, ways in lain:
            spreads = [_turned(both, turned=way)[side].spread for way in ways] or [(0.0, 0.0)]
            least, most = max(least, min(s[0] for s in spreads)), max(most, max(s[1] for s in spreads))
        said = line.tolerance_expected[side]
        if not least - ROUNDED <= said <= most + ROUNDED:
            right, given = figures(least if said < least else most, said)
            text = f"{line.name}: settings make the {size} uncertain by {right} mm, not {given} mm."
            yield Finding("tolerance", f"{line.name}, {size}", text)


def check_rests(bench: Bench) -> Iterator[Finding]:
    """A part that takes a size from the plate itself is warned of, unless the plate was measured."""
    known = extents(bench)
    for piece in bench.plan.pieces:
        want = next((part for part in bench.plan.job.parts if part.name == piece.part), None)
        if piece.kind != "part" or want is None or piece.id not in known or bench.plates[piece.plate].measured:
            continue
        ways = _ways(bench, piece, want)
        if ways and all(_rests(want, known[piece.id], turned=way) for way in ways) and not _warned(bench, piece):
            text = f"{piece.part} ({piece.id}) takes a size from a plate that was not measured, and no warning says so."
            yield Finding("rests_on_plate_size", piece.id, text)


def _rests(want: Part, known: Extents, *, turned: bool) -> bool:
    wide, long = _turned(known, turned=turned)
    return bool(wide.rests or (long.rests and isinstance(want, Rectangle)))


def _warned(bench: Bench, piece: Piece) -> bool:
    about = (piece.id, piece.part)
    return any(each.code == "rests_on_plate_size" and each.about in about for each in bench.plan.warnings)
