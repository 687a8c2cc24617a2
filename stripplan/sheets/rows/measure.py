"""What to measure after a cut: the pieces whose size matters, and the band that is good."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.part import Rectangle
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.size_chain import MARKED_BY_HAND, along_x, aslant
from stripplan.sheets.rows.lookup import KERF_AND_RAIL, SAME, Bench
from stripplan.sheets.rows.row_types import Measure
from stripplan.wording.figures import show_fine

SHORTEST = 5.0
"""Edges shorter than so are not measured [mm]."""


def measures(bench: Bench, cut: Cut) -> tuple[Measure, ...]:
    """What to measure, the piece that matters most first: the part that has come off, then a piece on whose size that
    of the next part hangs.

    Where no size hangs on either, the one that is kept.
    """
    if aslant(cut) or not bench.pieces[cut.piece].is_rectangle:
        return _edges_set(bench, cut)
    made = [bench.pieces[name] for name in cut.makes if name is not None and bench.pieces[name].kind != "scrap"]
    matter = [piece for piece in made if _hangs(bench, cut, piece)]
    matter.sort(key=lambda piece: piece.kind != "part")
    return tuple(_measure(bench, cut, piece) for piece in (matter or made[:1]))


def _edges_set(bench: Bench, cut: Cut) -> tuple[Measure, ...]:
    """What a cut at an angle, or of a piece that is no rectangle, sets: the edge between the bar's stop and the torch,
    or the width on the fence; nothing where it is marked, as its marks were measured."""
    if cut.mitre is not None and cut.bar is not None:
        piece = bench.pieces.get(cut.makes[1 if cut.bar[2] else 0] or "")
        long = cut.mitre.stop - cut.kerf / 2 / math.sin(math.radians(cut.mitre.angle))
        named = f"edge {bench.letter(bench.pieces[cut.piece], cut.mitre.edge)}"
        off = MARKED_BY_HAND + KERF_AND_RAIL
    elif cut.fence_offset is not None:
        piece, named = bench.pieces.get(cut.makes[0] or ""), "width"
        long = cut.fence_offset - cut.kerf / 2 + (cut.reading_error or 0.0)
        off = bench.plan.rig.fence_step * bench.plan.rig.fence_scale / 2 + KERF_AND_RAIL
    else:
        return ()
    if piece is None or piece.kind == "scrap" or long < SHORTEST:
        return ()
    expected, low, high = (show_fine(each, bench.units) for each in (long, max(0.0, long - off), long + off))
    return (Measure(piece.id, expected, low, high, named),)


def _hangs(bench: Bench, cut: Cut, piece: Piece) -> bool:
    """Whether a part takes its size across this cut from that of the piece: it is one, is as wide, or is left over by
    the next cut alongside."""
    return any(True for _ in _as_wide(bench, cut, piece)) or any(
        next(_as_wide(bench, cut, far), None) is not None for far in _left_over(bench, cut, piece)
    )


def _left_over(bench: Bench, cut: Cut, piece: Piece) -> Iterator[Piece]:
    """What the next cuts alongside leave of a piece on the side away from the fence."""
    for each in _whole_width(bench, cut, piece):
        then = bench.cut_in.get(each.id)
        if then is not None and along_x(then) == along_x(cut) and then.makes[1] is not None:
            yield bench.pieces[then.makes[1]]


def _measure(bench: Bench, cut: Cut, piece: Piece) -> Measure:
    """The width to expect across a cut, what the fence, kerf and rail may make of it, and no more than the parts
    allow."""
    width, off, _ = bench.sizes[piece.id].across(cut)
    band = off + KERF_AND_RAIL
    low, high = show_fine(max(0.0, width - band), bench.units), show_fine(width + band, bench.units)
    least, most = _asked(bench, cut, piece, width, band)
    if least > width - band:
        low = show_fine(least, bench.units, towards=1)
    if most < width + band:
        high = show_fine(most, bench.units, towards=-1)
    return Measure(piece.id, show_fine(width, bench.units), low, high)


def _asked(bench: Bench, cut: Cut, whole: Piece, width: float, band: float) -> tuple[float, float]:
    """What a piece may measure at most either way, where the width that this cut gives it is that of parts which say
    how true they must be.

    The parts are the piece itself, or those that are cut from it later and keep that width.
    """
    given = {each.name: each for each in bench.plan.job.parts}
    least, most = -math.inf, math.inf
    for piece in _as_wide(bench, cut, whole):
        part = given.get(piece.part or "")
        if part is None or part.plus_minus is None or part.allowance:
            continue
        asked, sizes = part.plus_minus, [part.width, part.length] if isinstance(part, Rectangle) else [part.width]
        wanted = min(sizes, key=lambda size: abs(size - width))
        if abs(width - wanted) <= asked + band:
            least, most = max(least, wanted - asked), min(most, wanted + asked)
    return least, most


def _as_wide(bench: Bench, cut: Cut, piece: Piece) -> Iterator[Piece]:
    """Parts in a piece that take its whole width across a cut: the piece itself, or what is cut from it."""
    return (each for each in _whole_width(bench, cut, piece) if each.kind == "part")


def _whole_width(bench: Bench, cut: Cut, piece: Piece) -> Iterator[Piece]:
    """A piece and all that is cut from it and keeps its whole width across a cut."""
    across = 1 if along_x(cut) else 0
    waiting = [piece]
    while waiting:
        each = waiting.pop()
        if any(abs(each.box[side] - piece.box[side]) > SAME for side in (across, across + 2)):
            continue
        yield each
        if each.id in bench.cut_in:
            waiting += [bench.pieces[made] for made in bench.cut_in[each.id].makes if made is not None]
