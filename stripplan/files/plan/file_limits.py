"""What a plan file may hold: sizes, counts, names and references, looked at before anything works with them.

Whether the plan is sound is for the replay to say. Here it is made sure that what is read can be worked with at all: no
text that takes minutes to set, no coordinate that no plate has, no piece that comes out of itself.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from stripplan.files.fault_words import message, shortened
from stripplan.files.toml.quantities import LONGEST_NAME
from stripplan.model.plan.bevel import BevelCut, HandBevel
from stripplan.model.plan.cut import Cut, Point
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.wording.message import Message

LONGEST_SENTENCE = 4_000
"""Most letters of a sentence: of a warning, of how something was got. So many fit on a page."""
MOST_ENTRIES = 100_000
"""Most entries of any list, and pieces and cuts of a plan."""
MOST_CORNERS = 100
"""Most corners of a piece, edges dressed for a cut, causes that make a size untrue."""
GREATEST = 1e6
"""Greatest figure [mm, mm/min, ...]: as the files of jobs and rigs have it."""
GREATEST_SUM = 1e15
"""Greatest sum: areas in mm2, money."""
DEEPEST = 12
"""Most tables and lists within each other."""
SHORTEST = 0.01
"""A line shorter than so has no direction [mm]."""
OVER_THE_EDGE = 1.0
"""How far a point may lie outside its plate [mm]: what is truly wrong with it is for the replay to say."""

_SHORT = {"outline", "passes", "dress", "accuracy", "doubts", "duty"}
_SENTENCES = {"text", "how", "advice", "remedy", "classes", "cause", "left_out"}
_SUMS = {
    "cost", "minutes", "arc_minutes", "offcut_area", "scrap_area", "found", "bound", "quantity", "amount",
    "amounts", "total", "each",
    "price", "price_per_minute", "seed", "steps", "steps_done", "stop_after", "seconds",
    "plates", "hands", "offcuts", "minute", "used_area", "area", "plate_mass", "finished_minutes", "alone", "quoted",
}  # fmt: skip

Said = Iterator[Message]


def raw_faults(data: Any) -> Said:
    """What is too long, too many, too great or too deep in the plain data of a plan file, before any record is made of
    it."""
    yield from _walked(data, "plan", "", 0)


def _walked(value: Any, where: str, key: str, depth: int) -> Said:
    if isinstance(value, str):
        yield from _text(value, where, key)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        most = GREATEST_SUM if key in _SUMS else GREATEST
        if abs(value) > most:
            yield message("plan.too_great", at=where, figure=shortened(str(value)).strip(chr(39)), most=most)
    elif isinstance(value, (dict, list)):
        yield from _several(value, where, key, depth)


def _several(value: Mapping[str, Any] | Sequence[Any], where: str, key: str, depth: int) -> Said:
    most = MOST_CORNERS if key in _SHORT else MOST_ENTRIES
    if depth > DEEPEST:
        yield message("plan.too_deep", at=where, most=DEEPEST)
    elif len(value) > most:
        yield message("plan.too_many", at=where, count=len(value), most=most)
    elif isinstance(value, Mapping):
        for name, each in value.items():
            if len(name) > LONGEST_NAME:
                yield message("plan.long_key", at=where, count=len(name), most=LONGEST_NAME)
            else:
                yield from _walked(each, f"{where}.{name}", _kind(value, name), depth + 1)
    else:
        for number, each in enumerate(value):
            yield from _walked(each, f"{where}[{number}]", key, depth + 1)


def _kind(table: Mapping[str, Any], key: str) -> str:
    """What a figure is by its key, and in facts by its dimension."""
    return "area" if key == "value" and table.get("dimension") == "area" else key


def _text(value: str, where: str, key: str) -> Said:
    most = LONGEST_SENTENCE if key in _SENTENCES else LONGEST_NAME
    if len(value) > most:
        yield message("plan.long_text", at=where, count=len(value), most=most)
    elif max(map(len, value.split()), default=0) > LONGEST_NAME + 50:
        yield message("plan.long_word", at=where, most=LONGEST_NAME + 50)
    elif not value.isprintable():
        yield message("plan.unprintable", at=where, words=shortened(value))


def reference_faults(plan: Plan) -> Said:
    """What names something that is not there, twice there, or in a circle."""
    yield from _twice("plates", (plate.id for plate in plan.plates))
    yield from _twice("pieces", (piece.id for piece in plan.pieces))
    yield from _twice("parts", (line.name for line in plan.parts))
    plates = {plate.id: plate for plate in plan.plates}
    pieces = {piece.id: piece for piece in plan.pieces}
    yield from _numbers(plan.cuts)
    yield from _plates(plan)
    yield from _pieces(plan, plates, pieces)
    for cut in plan.cuts:
        yield from _cut(cut, plates, pieces)
    yield from _tree(plan, pieces)
    yield from _bevels(plan, plates, pieces)


def _bevels(plan: Plan, plates: Mapping[str, PlanPlate], pieces: Mapping[str, Piece]) -> Said:
    """Bevels are of plates and pieces that there are, along edges that have a length."""
    first = len(plan.cuts) + 1
    if [cut.number for cut in plan.bevels] != list(range(first, first + len(plan.bevels))):
        yield message("plan.numbers")
    every: tuple[BevelCut | HandBevel, ...] = (*plan.bevels, *plan.hand_bevels)
    for number, each in enumerate(every, first):
        plate = plates.get(each.plate)
        if plate is None:
            yield message("plan.cut_no_plate", cut=number, plate=each.plate)
        elif not _on(plate, each.edge):
            yield message("plan.cut_over_edge", cut=number, plate=each.plate)
        if each.piece not in pieces:
            yield message("plan.cut_no_piece", cut=number, piece=each.piece)
        if math.dist(*each.edge) < SHORTEST or not 0 < each.angle < 90 or each.depth <= 0:
            yield message("plan.no_length", cut=number)
    for cut in plan.bevels:
        edges = (cut.leading, cut.edge_on_fence, *(each.edge for each in cut.setup.dress))
        if any(edge is not None and math.dist(*edge) < SHORTEST for edge in edges):
            yield message("plan.no_length", cut=cut.number)
        if not (cut.travel_speed > 0 and cut.kerf > 0):
            yield message("plan.cut_size", cut=cut.number)
        if not 0 <= cut.setup.quarter_turns <= 3:
            yield message("plan.turns", cut=cut.number, count=cut.setup.quarter_turns)
        fence = (cut.edge_on_fence, cut.fence_offset, cut.fence_reading, cut.reading_error)
        if cut.located == "fence" and None in fence:
            yield message("plan.fence", cut=cut.number)


def _twice(what: str, names: Iterable[str]) -> Said:
    for name, count in Counter(names).items():
        if count > 1:
            yield message("plan.same_name", count=count, what=what, name=name)
        if not name.strip():
            yield message("plan.no_name", what=what)


def _numbers(cuts: Sequence[Cut]) -> Said:
    if [cut.number for cut in cuts] != list(range(1, len(cuts) + 1)):
        yield message("plan.numbers")


def _plates(plan: Plan) -> Said:
    stocks = {each.name for each in plan.job.plates}
    processes = {each.name for each in plan.rig.processes}
    roots = Counter(piece.plate for piece in plan.pieces if piece.parent is None)
    for plate in plan.plates:
        if not (plate.length > 0 and plate.width > 0 and plate.thickness > 0 and plate.kerf > 0):
            yield message("plan.plate_size", plate=plate.id)
        if plate.stock not in stocks:
            yield message("plan.no_stock", plate=plate.id, stock=plate.stock)
        if plate.process not in processes:
            yield message("plan.no_process", plate=plate.id, process=plate.process)
        if roots[plate.id] != 1:
            yield message("plan.roots", plate=plate.id, count=roots[plate.id])


def _pieces(plan: Plan, plates: Mapping[str, PlanPlate], pieces: Mapping[str, Piece]) -> Said:
    parts = {line.name for line in plan.parts}
    for piece in plan.pieces:
        plate, parent = plates.get(piece.plate), pieces.get(piece.parent or "")
        if plate is None:
            yield message("plan.piece_no_plate", piece=piece.id, plate=piece.plate)
        elif not _on(plate, piece.outline):
            yield message("plan.piece_over_edge", piece=piece.id, plate=plate.id)
        if len(piece.outline) < 3:
            yield message("plan.corners", piece=piece.id, count=len(piece.outline))
        if piece.parent is not None and parent is None:
            yield message("plan.no_parent", piece=piece.id, parent=piece.parent)
        elif parent is not None and parent.plate != piece.plate:
            yield message(
                "plan.parent_elsewhere", piece=piece.id, plate=piece.plate, parent=parent.id, other=parent.plate
            )
        if piece.part is not None and piece.part not in parts:
            yield message("plan.no_part", piece=piece.id, part=piece.part)
        if (piece.kind == "part") != (piece.part is not None):
            yield message("plan.kind", piece=piece.id, kind=piece.kind, part=piece.part or "none")


def _on(plate: PlanPlate, points: Iterable[Point]) -> bool:
    over = OVER_THE_EDGE
    return all(-over <= x <= plate.length + over and -over <= y <= plate.width + over for x, y in points)


def _cut(cut: Cut, plates: Mapping[str, PlanPlate], pieces: Mapping[str, Piece]) -> Said:
    plate = plates.get(cut.plate)
    if plate is None:
        yield message("plan.cut_no_plate", cut=cut.number, plate=cut.plate)
    elif not _on(plate, _points(cut)):
        yield message("plan.cut_over_edge", cut=cut.number, plate=plate.id)
    if cut.piece not in pieces:
        yield message("plan.cut_no_piece", cut=cut.number, piece=cut.piece)
    for each in cut.makes:
        if each is not None and each not in pieces:
            yield message("plan.makes_unknown", cut=cut.number, piece=each)
        elif each is not None and pieces[each].parent != cut.piece:
            yield message(
                "plan.makes_other", cut=cut.number, piece=each, of=cut.piece, named=pieces[each].parent or "nothing"
            )
    if cut.makes[0] == cut.makes[1]:
        yield message("plan.both_sides", cut=cut.number, piece=cut.makes[0] or "nothing")
    if not 1 <= len(cut.passes) <= 2:
        yield message("plan.passes", cut=cut.number, count=len(cut.passes))
    if not (cut.travel_speed > 0 and cut.kerf > 0):
        yield message("plan.cut_size", cut=cut.number)
    if not 0 <= cut.setup.quarter_turns <= 3:
        yield message("plan.turns", cut=cut.number, count=cut.setup.quarter_turns)
    set_from = (cut.edge_on_fence, *(each.edge for each in (cut.mitre, cut.marks) if each is not None))
    edges = (cut.line, *(each.leading for each in cut.passes), *set_from)
    if any(each is not None and math.dist(*each) < SHORTEST for each in edges):
        yield message("plan.no_length", cut=cut.number)
    yield from _located(cut)


def _located(cut: Cut) -> Said:
    fence = (cut.edge_on_fence, cut.fence_offset, cut.fence_reading, cut.reading_error)
    if cut.located == "fence" and None in fence:
        yield message("plan.fence", cut=cut.number)
    if cut.located == "marked" and cut.marks is None:
        yield message("plan.marks", cut=cut.number)
    if cut.located == "mitre" and cut.mitre is None:
        yield message("plan.mitre", cut=cut.number)


def _points(cut: Cut) -> Iterator[Point]:
    yield from cut.line
    yield from cut.edge_on_fence or ()
    for one in cut.passes:
        yield from one.leading
    for each in cut.setup.dress:
        yield from each.edge
    if cut.marks is not None:
        yield from (*cut.marks.edge, cut.marks.from_)
    if cut.mitre is not None:
        yield from (*cut.mitre.edge, cut.mitre.corner)


def _tree(plan: Plan, pieces: Mapping[str, Piece]) -> Said:
    """Each piece but the first of a plate comes out of one cut, is cut once at most, and not before it is there."""
    there = {piece.id for piece in plan.pieces if piece.parent is None}
    cut_up: set[str] = set()
    for cut in plan.cuts:
        if cut.piece in cut_up:
            yield message("plan.cut_up", cut=cut.number, piece=cut.piece)
        elif cut.piece not in there:
            yield message("plan.not_there", cut=cut.number, piece=cut.piece)
        cut_up.add(cut.piece)
        for each in cut.makes:
            if each in there:
                yield message("plan.made_twice", cut=cut.number, piece=each)
        there |= {each for each in cut.makes if each is not None}
    for name in pieces:
        if name not in there:
            yield message("plan.not_made", piece=name)
