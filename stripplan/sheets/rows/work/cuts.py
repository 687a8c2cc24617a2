"""The cuts of a plan as rows: what to bring, set, cut, and what falls."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from stripplan.model.feasible import for_two
from stripplan.model.plan.cut import Cut, Mitre, Point, Segment
from stripplan.model.plan.piece import Piece
from stripplan.sheets.rows.forms import edges_of, form_of, is_box, least_corner
from stripplan.sheets.rows.lookup import EDGE_LETTERS, SAME, Bench, side
from stripplan.sheets.rows.row_types import HOIST, CutRow, Fall, Field, Lie, Step, StepKind, Whereto
from stripplan.sheets.rows.work.measure import measures
from stripplan.sheets.rows.work.torch import dry_run, timed, torch
from stripplan.wording.figures import show_fine, show_minutes
from stripplan.wording.quantity import show_speed


def cut_rows(bench: Bench, first: int = 1, last: int | None = None) -> tuple[CutRow, ...]:
    """Rows of the cuts in the order of work, from number `first` to `last`: at the first of them all is new."""
    rows: list[CutRow] = []
    before: Cut | None = None
    fence: float | None = None
    for cut in bench.plan.cuts[first - 1 : last]:
        rows.append(_cut(bench, cut, before, rows[-1] if rows else None, fence))
        fence = _fence_after(bench, cut, fence)
        before = cut
    return tuple(rows)


def _fence_after(bench: Bench, cut: Cut, fence: float | None) -> float | None:
    """Offset that the fence stands at after a cut; None once it had to make room for a marked cut [mm]."""
    if cut.located == "fence":
        return cut.fence_offset
    return None if _in_the_way(bench, cut, fence) else fence


def _in_the_way(bench: Bench, cut: Cut, fence: float | None) -> bool:
    """Whether the piece of a cut that is not set by the fence reaches to where that stands; a fence that stands nowhere
    must not either."""
    return fence is None or bench.lie(cut).on_fence + cut.kerf / 2 > fence - SAME


def _cut(bench: Bench, cut: Cut, before: Cut | None, last: CutRow | None, fence: float | None) -> CutRow:
    piece, lie = bench.pieces[cut.piece], bench.lie(cut)
    face = "TOP face up" if cut.passes[0].face_up else "UNDER face up"
    right = bench.edge(piece.id, lie.right) if cut.located == "fence" else _NO_EDGE[cut.located]
    leading = bench.edge(piece.id, lie.start)
    speed = show_speed(cut.travel_speed, bench.units)
    big_speed = f"{cut.dial:g}" if cut.dial is not None else speed.split()[0]
    measure = (*measures(bench, cut), None, None)
    length = f"{bench.long(cut.length)} long, {'one pass' if len(cut.passes) == 1 else 'TWO PASSES'}"

    def flagged(key: str, text: str) -> Field:
        return Field(text, last is None or getattr(last, key).text != text)

    return CutRow(
        number=cut.number,
        plate=flagged("plate", cut.plate),
        piece=cut.piece,
        size=bench.size(piece),
        mass=bench.mass(piece.mass),
        lifting=lifting(bench, piece),
        rest=show_minutes(cut.rest_before) if cut.rest_before > 0.5 / 60 else "",
        steps=_steps(bench, cut, before, lie),
        face=flagged("face", face),
        on_fence=flagged("on_fence", right),
        leading=flagged("leading", leading),
        located=cut.located,
        scribe=_scribe(bench, cut),
        scribe_from=bench.letter(piece, cut.marks.edge) if cut.marks else "",
        marks=_marks(bench, cut, fence),
        fence=_fence(bench, cut, fence),
        end_stop=Field(_stops(bench, cut), cut.setup.end_stop),
        dial=cut.dial is not None,
        speed=flagged("speed", big_speed),
        travel_speed=speed,
        length=flagged("length", length),
        passes=_passes(bench, cut, lie),
        hold=_hold(bench, cut, lie),
        passes_in_few=_passes_in_few(bench, cut, lie),
        right=_fall(bench, cut, cut.makes[0]),
        left=_fall(bench, cut, cut.makes[1]),
        measure=measure[0],
        lie=lie,
        also=measure[1],
        torch=torch(bench, cut, before),
        dry_run=dry_run(cut),
        timed=timed(bench, cut),
        aids=_aids(bench, cut, before, lie, fence),
        **_bar(bench, cut, before),
    )


_NO_EDGE = {"marked": "no edge: follow the marks", "mitre": "no edge: the mitre bar"}


def _bar(bench: Bench, cut: Cut, before: Cut | None) -> dict[str, Any]:
    """What is set at the mitre bar: its angle, its stop and the side of the travel that it is on."""
    if cut.mitre is None or cut.bar is None:
        return {}
    was = None if before is None else before.bar
    return {
        "angle": Field(_degrees(set_to(cut.mitre)), was is None or was[0] != cut.bar[0]),
        "bar_stop": Field(bench.long(cut.mitre.stop), was is None or was[1:] != cut.bar[1:]),
        "bar_side": "left" if cut.bar[2] else "right",
    }


BETWEEN = 0.005
"""An angle so far from a mark is told as one between two [deg]."""


def set_to(bar: Mitre) -> float:
    """What the bar is set to [deg]: the mark nearest to its angle, or that itself where no steps of marks are known."""
    return bar.angle if bar.reading is None else bar.reading


def _degrees(angle: float) -> str:
    return f"{round(angle, 2):g}°"


_ACROSS = {"mm": (500.0, "500"), "in": (508.0, "20")}
"""Over so much across the travel it is told how far the bar's end stands ahead: by units, in mm and in words."""


def _aids(bench: Bench, cut: Cut, before: Cut | None, lie: Lie, fence: float | None) -> tuple[str, ...]:
    """How a piece is laid that no square corner lays: on the mitre bar, or on the fence with an edge that slants."""
    piece = bench.pieces[cut.piece]
    if cut.mitre is not None:
        out = before is not None and before.mitre is not None and fence is None
        room = "FENCE OUT OF THE WAY. " if not out and _in_the_way(bench, cut, fence) else ""
        angle, corner = set_to(cut.mitre), _corner(bench, piece, cut.mitre.corner)
        across, shown = _ACROSS[bench.units]
        ahead = bench.long(round(abs(across / math.tan(math.radians(angle))), 0 if bench.units == "mm" else 3))
        way = f", its {'LEFT' if angle < 90 else 'RIGHT'} end ahead ({ahead} in {shown})"
        stands = f"{room}Mitre bar at {_degrees(angle)} to the travel{way if abs(angle - 90) > 0.005 else ''}."
        if abs(cut.mitre.angle - angle) > BETWEEN:
            stands += f" {_degrees(cut.mitre.angle)} is wanted and lies between marks."
        if before is not None and before.bar is not None and cut.bar is not None and before.bar[0] == cut.bar[0]:
            stands = ""  # it stands
        side = "LEFT" if cut.bar is not None and cut.bar[2] else "RIGHT"
        laid = f"Edge {bench.edge(piece.id, lie.start)} on the bar, corner {corner} at the stop on the {side}."
        return (stands, laid) if stands else (laid,)
    at = cut.passes[0].corner_at
    if cut.edge_on_fence is None or abs(at) < SAME:
        return ()
    corner = _corner(bench, piece, cut.edge_on_fence[0])
    where = f"{bench.long(abs(at))} {'AHEAD of' if at > 0 else 'BEHIND'} the start line"
    return (f"Corner {corner}, on the fence, {where}: the torch enters by edge {lie.start} on that line.",)


def lifting(bench: Bench, piece: Piece) -> str:
    """Who or what lifts a piece, by the rig's limits; empty where one person may.

    Beyond twice what one person may lift a hoist alone is named: two people lift less than twice as much as one, and
    what a person may lift is less still with arms out. Common practice, no source.
    """
    rig, (x0, y0, x1, y1) = bench.plan.rig, piece.box
    mass, length = rig.two_person_mass, rig.two_person_length
    if not for_two(piece.mass, max(x1 - x0, y1 - y0), mass_limit=mass, length_limit=length):
        return ""
    return "TWO PEOPLE or hoist" if piece.mass <= 2 * mass else HOIST


def _stops(bench: Bench, cut: Cut) -> str:
    stops = list(dict.fromkeys(bench.stop(each.end_stop) for each in cut.passes))
    return " / ".join(stops)


def _steps(bench: Bench, cut: Cut, before: Cut | None, lie: Lie) -> tuple[Step, ...]:
    """What to do with pieces before a cut, in the order of doing it."""
    setup, steps = cut.setup, []
    if setup.clear:
        steps.append(_same("clear", "Clear the bed.") if setup.fetch else _CLEAR)
    if setup.fetch:
        steps.append(_fetch(bench, cut))
    if setup.turn_over:
        steps.append(_OVER)
    if setup.quarter_turns:
        steps.append(_turn(bench, cut))
    steps += [_scrape(bench, cut, bench.letter(bench.pieces[cut.piece], each.edge), lie) for each in setup.dress]
    if setup.push:
        steps.append(_push(bench, cut, before))
    if cut.edge_bow is not None:
        steps.append(_press(bench, cut.edge_bow))
    return tuple(steps)


def _same(kind: StepKind, words: str) -> Step:
    return Step(kind, words, words, words)


def _short(kind: StepKind, full: str, few: str) -> Step:
    return Step(kind, full, few, few)


def _turned(angle: str, way: str, sign: str) -> Step:
    words = f"{angle} ({way})."
    return Step("turn", words, words, f"{angle} {sign}.")


_TURNS = {
    1: _turned("Quarter turn LEFT", "anticlockwise", "↺"),
    2: _same("turn", "Half turn, end for end."),
    3: _turned("Quarter turn RIGHT", "clockwise", "↻"),
}
"""By `quarter_turns`, which counts anticlockwise as seen from above."""
_CLEAR = _short("clear", "Clear the other piece.", "Clear.")
_OVER = _short("turn_over", "Turn the piece over.", "TURN OVER.")
_LINE_UP = _same("push", "Line the marks up under the torch.")
_LEAVE = _short("push", "Leave it against the fence.", "Leave it.")
_UP = _short("push", "Push it up to the fence.", "Push up.")
_TO_BAR = _short("push", "Push it up to the bar and its stop.", "Push up to bar and stop.")


def _turn(bench: Bench, cut: Cut) -> Step:
    """How a piece is turned: by quarters, or until an edge lies where it is to."""
    lie = bench.lie(cut)
    if lie.shape is None or cut.setup.quarter_turns == 2:
        return _TURNS[cut.setup.quarter_turns]
    way, sign = ("LEFT (anticlockwise)", "LEFT ↺") if cut.setup.quarter_turns == 1 else ("RIGHT (clockwise)", "RIGHT ↻")
    if cut.located == "marked":
        where = " until the marks lie along the travel."
    else:
        edge, to = (lie.start, "bar") if cut.located == "mitre" else (lie.right, "fence")
        where = f", edge {edge} to the {to}."
    return Step("turn", f"Turn {way}{where}", f"Turn {way}{where}", f"Turn {sign}{where}")


def _fetch(bench: Bench, cut: Cut) -> Step:
    if bench.pieces[cut.piece].parent is None:
        plate = bench.plates[cut.plate]
        lies = f", {plate.lies}" if plate.lies else ""
        return _same("fetch_plate", f"Fetch plate {cut.plate} ({plate.piece or plate.stock}) from the rack{lies}.")
    made = bench.made_by[cut.piece]
    words = f"Fetch {cut.piece} (aside since cut {made})."
    return Step("fetch", words, words, f"Fetch it (from cut {made}).")


def _scrape(bench: Bench, cut: Cut, letter: str, lie: Lie) -> Step:
    start = "goes on the mitre bar" if cut.located == "mitre" else "goes to the start"
    where = {lie.right: "goes on the fence", lie.start: start, lie.end: "leads in pass 2"}
    edge = bench.edge(cut.piece, letter)
    full = f"Edge {edge}: it {where.get(letter, 'is used')}."
    return Step("scrape", full, f"Scrape {edge}.", f"Scrape {letter}.")


def _push(bench: Bench, cut: Cut, before: Cut | None) -> Step:
    if cut.located == "marked":
        return _LINE_UP
    if cut.located == "mitre":
        return _TO_BAR
    if before is not None and before.makes[0] == cut.piece and not cut.setup.fence:
        lie, old = bench.lie(cut), bench.lie(before)
        if len(before.passes) == 1 and (lie.right, lie.start) == (old.right, old.start):
            return _LEAVE
    return _UP


def _press(bench: Bench, bow: float) -> Step:
    """What makes an edge that has bowed as good as a straight one; how far it stands off is what a feeler would say."""
    few = "PRESS its middle to the fence."
    off = show_fine(bow, bench.units) + (" mm" if bench.units == "mm" else "")
    return Step("press", f"{few} That edge has bowed by about {off}.", few, few)


def _scribe(bench: Bench, cut: Cut) -> str:
    """Distance of the torch line from the edge it is measured from; two where it slants."""
    if cut.marks is None:
        return ""
    return " / ".join(dict.fromkeys(bench.long(each) for each in cut.marks.distance))


def _fence(bench: Bench, cut: Cut, fence: float | None) -> Field:
    """The reading to set; also flagged where the plan keeps it, but the fence had to make room for a marked cut."""
    if cut.fence_reading is None:
        return Field("marks" if cut.mitre is None else "bar", False)
    return Field(bench.reading(cut.fence_reading), cut.setup.fence or fence is None)


def _marks(bench: Bench, cut: Cut, fence: float | None) -> tuple[str, ...]:
    """Where to scribe the torch line of a marked cut, and whether the fence must make room."""
    if cut.marks is None:
        return ()
    piece, marks = bench.pieces[cut.piece], cut.marks
    edge, corner = bench.edge(piece.id, bench.letter(piece, marks.edge)), _corner(bench, piece, marks.from_)
    near, far = (bench.long(each) for each in marks.along)
    one, two = (bench.long(each) for each in marks.distance)
    if one == two:
        where = f"Scribe two marks {one} from edge {edge}, at {near} and {far} from corner {corner}."
    else:
        from_edge = [
            f"{each} from" if off > SAME else "ON" for each, off in zip((one, two), marks.distance, strict=True)
        ]
        where = (
            f"Scribe the first mark {from_edge[0]} edge {edge}, at {near} along it from corner {corner}; "
            f"the second {from_edge[1]} it, at {far}."
        )
    room = "FENCE OUT OF THE WAY. " if _in_the_way(bench, cut, fence) else ""
    return (f"{room}{where} Torch centre over both.",)


def _corner(bench: Bench, piece: Piece, point: Point) -> str:
    """Letters of the two edges that meet nearest to a point."""
    if not is_box(piece.outline):
        near = sorted(edges_of(piece.outline), key=lambda edge: min(math.dist(end, point) for end in edge))
        return "".join(sorted(bench.letter(piece, edge) for edge in near[:2]))
    off = {each: abs(side(piece, each) - (point[0] if each in "BD" else point[1])) for each in EDGE_LETTERS}
    upright, level = min("BD", key=lambda each: off[each]), min("AC", key=lambda each: off[each])
    return "".join(sorted(level + upright))


def _passes(bench: Bench, cut: Cut, lie: Lie) -> tuple[str, ...]:
    if len(cut.passes) == 1:
        return ()
    first, second = (bench.stop(each.end_stop) for each in cut.passes)
    held = f"edge {lie.right} stays on the fence" if cut.located == "fence" else "scribe the marks on this face too"
    return (
        f"Pass 1: cut in to the stop at {first}; it ends inside the metal. Let it cool, scrape the dross.",
        f"Turn over end for end: {held}, edge {lie.end} to the start line. Letter the new face.",
        f"Pass 2: end stop {second}; cut back to meet pass 1.",
    )


def _passes_in_few(bench: Bench, cut: Cut, lie: Lie) -> str:
    """The same in one sentence, for who knows how it is done."""
    if len(cut.passes) == 1:
        return ""
    first, second = (bench.stop(each.end_stop) for each in cut.passes)
    held = f"{lie.right} stays on the fence" if cut.located == "fence" else "scribe this face too"
    over = f"TURN OVER end for end, {held}, {lie.end} to the start line"
    return f"Pass 1 to stop {first}, scrape; {over}; pass 2 to stop {second}."


SHORT_EDGE = 1 / 3
"""An edge on the fence or the bar that is shorter than this share of what lies across it lets the piece swing: common
practice, no source."""


def _hold(bench: Bench, cut: Cut, lie: Lie) -> str:
    """How to hold a piece that rests on a short edge: the long one, at right angles to it, shows whether it lies
    square."""
    if cut.mitre is not None:
        rests, out = math.dist(*cut.mitre.edge), _reach_from(cut.mitre.edge, bench.pieces[cut.piece])
        return "" if rests >= SHORT_EDGE * out else f"HOLD: only {bench.long(rests)} on the bar: {_gauged(bench, cut)}"
    if cut.located != "fence" or cut.edge_on_fence is None:
        return ""
    rests = lie.along if lie.shape is None else math.dist(*cut.edge_on_fence)
    if rests >= SHORT_EDGE * (lie.on_fence + lie.beside):
        return ""
    if lie.shape is not None:
        return f"HOLD: only {bench.long(rests)} on the fence: clamp it."
    return f"HOLD: only {bench.long(lie.along)} on the fence; edge {lie.start} along the start line, clamp it."


def _gauged(bench: Bench, cut: Cut) -> str:
    """How a piece that rests on a short edge is laid true: by the angle of its longest edge to the travel, which a
    little dross on the short one turns it out of.
    """
    piece, (start, end) = bench.pieces[cut.piece], cut.line
    longest = max(edges_of(piece.outline), key=lambda edge: round(math.dist(*edge), 3))
    ways = (math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in ((start, end), longest))
    turned = abs(math.degrees(next(ways) - next(ways))) % 180
    angle = round(min(turned, 180 - turned), 2)
    return f"edge {bench.letter(piece, longest)} at {_degrees(angle)} to the travel, by the bevel gauge; clamp it."


def _reach_from(edge: Segment, piece: Piece) -> float:
    """How far a piece reaches at right angles to one of its edges [mm]."""
    (ax, ay), (bx, by) = edge
    return max(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for x, y in piece.outline) / math.dist(*edge)


def _fall(bench: Bench, cut: Cut, name: str | None) -> Fall | None:
    if name is None:
        return None
    piece = bench.pieces[name]
    size = bench.size_kept(piece) if piece.kind == "offcut" else bench.size(piece)
    return Fall(name, piece.kind, bench.name(piece), size, *_becomes(bench, cut, piece))


SHARP, SMALL = 60.0, 150.0
"""A piece with a corner sharper than so [deg], no longer than so [mm], is told to be taken up with tongs: common
practice, no source."""


def _sharp(piece: Piece) -> str:
    """What to say of a small piece with a sharp point."""
    if is_box(piece.outline) or least_corner(piece.outline) >= SHARP or form_of(piece.outline).long > SMALL:
        return ""
    return ", small and SHARP: tongs"


def _becomes(bench: Bench, cut: Cut, piece: Piece) -> tuple[str, Whereto, str]:
    """What to do with a piece that falls, what becomes of it so, and what to do in few words."""
    if piece.kind == "part":
        words = f"part, done{_sharp(piece)}"
        return words, "done", words
    if piece.kind == "offcut":
        return "OFFCUT, chalk it, to the rack", "rack", "OFFCUT, to the rack"
    if piece.kind == "scrap":
        words = f"scrap bin{_sharp(piece)}"
        return words, "bin", words
    then = bench.cut_in[piece.id]
    if then.number == cut.number + 1 and not then.setup.fetch:
        words = f"stays on the bed for cut {then.number}"
        return words, "bed", words
    letter = _new_letter(bench, cut, piece)
    few = f"{f'{letter} on its new edge, ' if letter else ''}PUT ASIDE for cut {then.number}"
    return f"chalk it, {few}", "aside", few


def _new_letter(bench: Bench, cut: Cut, piece: Piece) -> str:
    """Letter of the edge that a cut at an angle makes, where a later cut of the piece names it: what lies aside must
    bear it. Empty where it is of no use."""
    (ax, ay), (bx, by) = cut.line
    if ax == bx or ay == by:  # along a side of the plate: its edges face a side too
        return ""
    off = [
        (max(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / cut.length for x, y in edge), edge)
        for edge in edges_of(piece.outline)
    ]
    away, edge = min(off, key=lambda each: each[0])
    letter = bench.letter(piece, edge)
    if letter in EDGE_LETTERS or away > cut.kerf:
        return ""
    return letter if letter in set(_letters_named(bench, piece)) else ""


def _letters_named(bench: Bench, piece: Piece) -> Iterator[str]:
    """Letters of edges that the cuts of a piece, and of all that comes out of it, are set by."""
    then = bench.cut_in.get(piece.id)
    if then is not None:
        lie = bench.lie(then)
        yield from (lie.right, lie.start) if then.located != "mitre" else (lie.start,)
        if then.mitre is not None:
            yield from _corner(bench, piece, then.mitre.corner)
        for each in filter(None, then.makes):
            yield from _letters_named(bench, bench.pieces[each])
