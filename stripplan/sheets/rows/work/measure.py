"""What to measure after a cut: the pieces whose size matters, and the band that is good.

After a cut at an angle, or of a piece that is no rectangle, edges are measured from the corner at the new edge on: the
bar's stop or the fence sets one; the edges of a finished part that end at its new edge are told too, a triangle's both,
of others the longest, as it is what the part is known by. What such a length may be off by is what sets the new edge,
seen along the edge that is measured, and what set the edge at its other end; how true the bar's angle stands is not in
it, as nobody foretells that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from stripplan.model.part import Rectangle, Shape
from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.size_chain import MARKED_BY_HAND, along_x, aslant
from stripplan.sheets.rows.forms import edges_of
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
        return _measured_edges(bench, cut)
    made = [bench.pieces[name] for name in cut.makes if name is not None and bench.pieces[name].kind != "scrap"]
    matter = [piece for piece in made if _hangs(bench, cut, piece)]
    matter.sort(key=lambda piece: piece.kind != "part")
    return tuple(_measure(bench, cut, piece) for piece in (matter or made[:1]))


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


# --- at an angle -----------------------------------------------------------------------------------------------------


def _measured_edges(bench: Bench, cut: Cut) -> tuple[Measure, ...]:
    """What is measured after such a cut, first what the bar's stop or the fence sets; nothing of scrap."""
    parts = [bench.pieces[name] for name in cut.makes if name is not None and bench.pieces[name].kind == "part"]
    sets = _set_by_the_rig(bench, cut)
    found = {} if sets is None else {sets.piece: [sets]}
    for part in parts:
        known = found.setdefault(part.id, [])
        known += [each for each in _of_part(bench, cut, part) if each.of not in {one.of for one in known}]
    return tuple(_as_one(each) for each in found.values() if each)


def _as_one(told: list[Measure]) -> Measure:
    first, *further = told
    return replace(first, further=tuple(further))


def _set_by_the_rig(bench: Bench, cut: Cut) -> Measure | None:
    """The edge between the bar's stop and the torch, or the width on the fence; None where the cut is marked, as its
    marks were measured."""
    if cut.mitre is not None and cut.bar is not None:
        piece = bench.pieces.get(cut.makes[1 if cut.bar[2] else 0] or "")
        long = cut.mitre.stop - cut.kerf / 2 / math.sin(math.radians(cut.mitre.angle))
        named = f"edge {bench.letter(bench.pieces[cut.piece], cut.mitre.edge)}"
        off = MARKED_BY_HAND + KERF_AND_RAIL
    elif cut.fence_offset is not None:
        piece, named = bench.pieces.get(cut.makes[0] or ""), "width"
        long = cut.fence_offset - cut.kerf / 2 + (cut.reading_error or 0.0)
        off = _fence_off(bench) + KERF_AND_RAIL
    else:
        return None
    if piece is None or piece.kind == "scrap" or long < SHORTEST:
        return None
    return _told(bench, piece, named, long, off)


def _of_part(bench: Bench, cut: Cut, part: Piece) -> Iterator[Measure]:
    """The edges of a finished part that end at its new edge: of a triangle both, else the longest, or the first of two
    alike."""
    edges = edges_of(part.outline)
    new = next((n for n, each in enumerate(edges) if _along(cut, each)), None)
    if new is None:
        return
    beside = [edges[new - 1], edges[(new + 1) % len(edges)]]
    beside.sort(key=lambda each: -round(math.dist(*each), 2))
    for edge in beside if len(edges) == 3 else beside[:1]:
        if math.dist(*edge) >= SHORTEST:
            across = _off_across(bench, cut) / max(_sine(edges[new], edge), 0.1)
            off = across + _off_at_other_end(bench, part, edge, edges[new]) + KERF_AND_RAIL
            yield _told(bench, part, f"edge {bench.letter(part, edge)}", math.dist(*edge), off)


def _told(bench: Bench, piece: Piece, of: str, long: float, off: float) -> Measure:
    """A length with the band that is good, which is no wider than the part may be off."""
    least, most = long - off, long + off
    given = next((each for each in bench.plan.job.parts if each.name == piece.part), None)
    asked = given.plus_minus if isinstance(given, Shape) and not given.allowance else None
    if asked is not None:
        least, most = max(least, long - asked), min(most, long + asked)
    low = show_fine(max(0.0, least), bench.units, towards=1 if asked is not None else 0)
    high = show_fine(most, bench.units, towards=-1 if asked is not None else 0)
    return Measure(piece.id, show_fine(long, bench.units), low, high, of)


def _off_across(bench: Bench, cut: Cut) -> float:
    """What sets a cut may be off by, at right angles to it [mm]."""
    if cut.mitre is not None:
        return MARKED_BY_HAND * math.sin(math.radians(cut.mitre.angle))
    if cut.located == "fence":
        return _fence_off(bench) + abs(cut.reading_error or 0.0)
    return MARKED_BY_HAND


def _off_at_other_end(bench: Bench, part: Piece, edge: Segment, new: Segment) -> float:
    """What the edge at the end of `edge` away from the new one may be off by, seen along it [mm]; a mill edge is where
    it is."""
    far = next(end for end in edge if end not in new)
    other = next(each for each in edges_of(part.outline) if far in each and set(each) != set(edge))
    made = next((each for each in bench.plan.cuts if each.plate == part.plate and _along(each, other)), None)
    return 0.0 if made is None else _off_across(bench, made) / max(_sine(other, edge), 0.1)


def _fence_off(bench: Bench) -> float:
    return bench.plan.rig.fence_step * bench.plan.rig.fence_scale / 2


def _sine(one: Segment, other: Segment) -> float:
    """Sine of the angle between two lines, above 0."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    return abs((bx - ax) * (dy - cy) - (by - ay) * (dx - cx)) / (math.dist(*one) * math.dist(*other))


def _along(cut: Cut, edge: Segment) -> bool:
    """Whether an edge lies on a side of the kerf of a cut."""
    (ax, ay), (bx, by) = cut.line
    ux, uy = (bx - ax) / cut.length, (by - ay) / cut.length
    off = [abs(ux * (y - ay) - uy * (x - ax)) for x, y in edge]
    on = [ux * (x - ax) + uy * (y - ay) for x, y in edge]
    reach = cut.kerf / 2 + 10 * SAME
    return (
        all(abs(each - cut.kerf / 2) <= 10 * SAME for each in off) and max(on) > -reach and min(on) < cut.length + reach
    )
