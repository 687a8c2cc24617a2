"""The bevels of a plan as rows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.cut import Segment
from stripplan.model.plan.plan import ExpectedBevel
from stripplan.sheets.rows.forms import edges_of
from stripplan.sheets.rows.lookup import SAME, Bench
from stripplan.sheets.rows.row_types import BevelGroup, BevelRow, EdgeSection, Field, HandRow, LieBevel
from stripplan.sheets.rows.work.bevel_lie import first_corner, lie_for_bevel, set_back_of
from stripplan.sheets.rows.work.cuts import lifting
from stripplan.sheets.rows.work.torch import PROVED, timed_at, torch_for
from stripplan.wording.figures import show_exact, show_fine, show_minutes
from stripplan.wording.quantity import show_speed

WHY = {
    "tilt": "the torch does not tilt so far",
    "process": "too much metal for any process",
    "stroke": "longer than one pass",
    "duty": "the power source does not burn so long",
    "reach": "out of the fence's reach",
    "thin": "too little to cut off",
    "turn_over": "too heavy to turn over",
    "bed": "longer than the bed carries",
}
"""Why a bevel is left for the hand."""
_TURNS = {1: "Quarter turn LEFT.", 2: "Half turn, end for end.", 3: "Quarter turn RIGHT."}


def bevel_groups(bench: Bench) -> tuple[BevelGroup, ...]:
    """Bevels that are set alike, one after the other."""
    groups = [list(some) for _, some in groupby(bench.plan.bevels, key=_set_alike)]
    before = [None, *(some[-1] for some in groups)]
    return tuple(_group(bench, some, last) for some, last in zip(groups, before, strict=False))


def _set_alike(cut: BevelCut) -> tuple[object, ...]:
    line = round(cut.axis, 3) if cut.located == "marked" else None
    figures = round(cut.depth, 3), round(cut.root_face, 3)
    return (cut.process, cut.angle, cut.fence_reading, line, cut.end_stop, cut.travel_speed, *figures)


def _group(bench: Bench, some: list[BevelCut], last: BevelCut | None) -> BevelGroup:
    first = some[0]
    speed = show_speed(first.travel_speed, bench.units)
    big = f"{first.dial:g}" if first.dial is not None else speed.split()[0]
    same_speed = last is not None and last.travel_speed == first.travel_speed
    torch = torch_for(bench, first.process, first.kerf, change=True) if first.setup.process else None
    return BevelGroup(
        rows=tuple(_rows(bench, some, last)),
        tilt=Field(f"{first.angle:g}°", first.setup.tilt),
        fence=Field("" if first.fence_reading is None else bench.reading(first.fence_reading), first.setup.fence),
        scribe=show_fine(first.axis, bench.units) if first.located == "marked" else "",
        end_stop=Field(bench.stop(first.end_stop), first.setup.end_stop),
        dial=first.dial is not None,
        speed=Field(big, not same_speed),
        travel_speed=speed,
        timed=timed_at(bench, first.travel_speed),
        estimated=first.estimated,
        dry_run=PROVED if first.setup.dry_run else "",
        torch=torch,
        facts=tuple(_facts(bench, first)),
        section=_section(bench, first),
    )


def _facts(bench: Bench, cut: BevelCut) -> Iterator[tuple[str, str]]:
    """Figures of the seam. What stays of the face is told where all of them are as wide: those on the fence."""
    thickness = bench.plates[cut.plate].thickness
    yield "bevel angle", f"{cut.angle:g}°"
    yield "root face", show_exact(cut.root_face, bench.units)
    yield "depth", f"{show_exact(cut.depth, bench.units)} of {show_exact(thickness, bench.units)}"
    yield "face set back", show_fine(set_back_of(cut), bench.units)
    if cut.located == "fence":
        yield "stays of the face", show_fine(_stays(cut), bench.units)
    yield "with an equal mate", f"included angle {2 * cut.angle:g}°"


def _stays(cut: BevelCut) -> float:
    """What stays of the upper face, from the edge on the fence [mm]: the axis less half the kerf across the face."""
    return cut.axis - cut.kerf / 2 / math.cos(math.radians(cut.angle))


def _section(bench: Bench, cut: BevelCut) -> EdgeSection:
    every: Iterable[BevelCut | HandBevel] = (*bench.plan.bevels, *bench.plan.hand_bevels)
    other = next(
        (
            each
            for each in every
            if each.piece == cut.piece and each.face_up != cut.face_up and _same(each.edge, cut.edge)
        ),
        None,
    )
    return EdgeSection(
        thickness=bench.plates[cut.plate].thickness,
        depth=cut.depth,
        angle=cut.angle,
        root_face=cut.root_face,
        other_depth=0.0 if other is None else other.depth,
        other_angle=0.0 if other is None else other.angle,
        axis_inward=set_back_of(cut) - cut.kerf / 2 / math.cos(math.radians(cut.angle)),
        kerf=cut.kerf,
    )


def _same(one: Segment, other: Segment) -> bool:
    return math.dist(one[0], other[0]) + math.dist(one[1], other[1]) <= SAME


def _rows(bench: Bench, some: list[BevelCut], last: BevelCut | None) -> Iterator[BevelRow]:
    face = "" if last is None else _face(last)
    seen: dict[LieBevel, int] = {}
    for cut in some:
        piece = bench.pieces[cut.piece]
        edge, leading = bench.letter(piece, cut.edge), bench.letter(piece, cut.leading)
        datum = "" if cut.edge_on_fence is None else bench.letter(piece, cut.edge_on_fence)
        lie = lie_for_bevel(bench, cut)
        first = seen.setdefault(lie, cut.number)
        yield BevelRow(
            number=cut.number,
            plate=cut.plate,
            piece=cut.piece,
            name=bench.name(piece),
            mass=bench.mass(piece.mass),
            lifting=lifting(bench, piece),
            edge=bench.edge(piece.id, edge),
            on_fence="" if not datum else bench.edge(piece.id, datum),
            leading=bench.edge(piece.id, leading),
            face=Field(_face(cut), face != _face(cut) or cut.setup.turn_over),
            steps=tuple(_steps(bench, cut)),
            corner=_corner(bench, cut),
            rest=show_minutes(cut.rest_before) if cut.rest_before > 0.5 / 60 else "",
            measure=_measure(bench, cut),
            lie=lie,
            lies_as=0 if first == cut.number else first,
        )
        face = _face(cut)


def _face(cut: BevelCut) -> str:
    return "TOP face up" if cut.face_up else "UNDER face up"


def _steps(bench: Bench, cut: BevelCut) -> Iterator[str]:
    setup, piece = cut.setup, bench.pieces[cut.piece]
    if setup.clear:
        yield "Clear the bed."
    if setup.fetch:
        yield f"Fetch {cut.piece}."
    if setup.turn_over:
        yield "TURN OVER."
    if setup.quarter_turns:
        yield _TURNS[setup.quarter_turns]
    letters = [bench.letter(piece, each.edge) for each in setup.dress]
    if letters:
        yield f"Scrape {' and '.join(letters)}."
    if cut.located == "marked":
        yield "Scribe the line, line it up under the torch."
    elif setup.push:
        yield "Push up."


def _corner(bench: Bench, cut: BevelCut) -> str:
    """Where the first corner lies, on the fence or of the bevelled edge, where that is not on the start line."""
    if abs(cut.corner_at) <= SAME:
        return ""
    piece = bench.pieces[cut.piece]
    corner = first_corner(cut)
    edges = [each for each in edges_of(piece.outline) if min(math.dist(end, corner) for end in each) <= SAME]
    name = "".join(sorted(bench.letter(piece, each) for each in edges))
    way = "beyond" if cut.corner_at > 0 else "before"
    return f"corner {name} {bench.long(abs(cut.corner_at))} {way} the start line"


def _measure(bench: Bench, cut: BevelCut) -> str:
    """Band that the root face is likely in; of an edge that is bevelled from both faces once both are cut."""
    row = _expected(bench, cut)
    if row is None:
        return ""
    low, high = max(0.0, row.root_face - row.likely), row.root_face + row.likely
    shown = [show_fine(each, bench.units) for each in (row.root_face, low, high)]
    return f"root face {shown[0]}, likely {shown[1]} to {shown[2]}"


def _expected(bench: Bench, cut: BevelCut) -> ExpectedBevel | None:
    """The row of the part that a bevel is like: by its angle and what is left."""
    part = bench.pieces[cut.piece].part
    line = next((each for each in bench.plan.parts if each.name == part), None)
    alike = [each for each in line.bevels if abs(each.angle - cut.angle) < 1e-6] if line is not None else []
    return min(alike, key=lambda each: abs(each.root_face - cut.root_face), default=None)


def hand_rows(bench: Bench) -> tuple[HandRow, ...]:
    """What is left for the hand, by part and figures."""
    found: dict[tuple[Any, ...], list[HandBevel]] = {}
    for each in bench.plan.hand_bevels:
        key = (bench.pieces[each.piece].part, each.angle, each.depth, each.root_face, each.face_up, each.why)
        found.setdefault(key, []).append(each)
    return tuple(_hand(bench, some) for some in found.values())


def _hand(bench: Bench, some: list[HandBevel]) -> HandRow:
    first = some[0]
    letters = dict.fromkeys(bench.letter(bench.pieces[each.piece], each.edge) for each in some)
    face = "" if first.face_up else ", from the UNDER face"
    figures = (
        f"{first.angle:g}°, root face {show_exact(first.root_face, bench.units)}, face set back "
        f"{show_fine(set_back_of(first), bench.units)}{face}"
    )
    return HandRow(
        part=bench.pieces[first.piece].part or "",
        edges=" and ".join(letters),
        count=len(some),
        figures=figures,
        pieces=tuple(dict.fromkeys(each.piece for each in some)),
        why=WHY[first.why],
    )


def bevel_totals(bench: Bench) -> list[tuple[str, str]]:
    """Rows of the totals: how many, how long, and what is left for the hand."""
    totals, plan = bench.plan.totals, bench.plan
    rows = []
    if plan.bevels:
        told = (
            f"{len(plan.bevels)}, {bench.metres(totals.bevel_metres)}, {show_minutes(totals.bevel_minutes)} of the time"
        )
        rows += [("bevels", told), ("tilt settings", str(totals.tilt_settings))]
        rows.append(("fence settings for bevels", str(totals.bevel_fence_settings)))
    if plan.hand_bevels:
        rows.append(("bevels by hand", bench.metres(totals.hand_bevel_metres)))
    return rows


def bevel_trueness(bench: Bench, part: str) -> tuple[str, ...]:
    """How true the root faces of a part will be, and what that comes from."""
    line = next((each for each in bench.plan.parts if each.name == part), None)
    told: dict[str, None] = {}
    for each in line.bevels if line is not None else ():
        most = [f"{doubt.cause}{' (assumed)' if doubt.assumed else ''}" for doubt in each.doubts[:2]]
        likely, worst = (show_fine(figure, bench.units) for figure in (each.likely, each.worst))
        told[
            f"bevel {each.angle:g}°: root face {show_fine(each.root_face, bench.units)} ±{likely} likely, ±{worst} at "
            f"worst; most of it from {' and '.join(most)}"
        ] = None
    return tuple(told)
