"""What a plan file may hold: sizes, counts, names and references, looked at before anything works with them.

Whether the plan is sound is for the replay to say. Here it is made sure that what is read can be worked with at all: no text that takes minutes
to set, no coordinate that no plate has, no piece that comes out of itself.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from stripplan.files.fault_words import shortened
from stripplan.files.toml.quantities import LONGEST_NAME
from stripplan.model.plan.cut import Cut, Point
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate

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
    "cost", "minutes", "arc_minutes", "offcut_area", "scrap_area", "found", "bound", "quantity", "amount", "amounts", "total", "each",
    "price", "price_per_minute", "seed", "steps", "steps_done", "stop_after", "seconds",
}  # fmt: skip

Said = Iterator[str]


def raw_faults(data: Any) -> Said:
    """What is too long, too many, too great or too deep in the plain data of a plan file, before any record is made of it."""
    yield from _walked(data, "plan", "", 0)


def _walked(value: Any, where: str, key: str, depth: int) -> Said:
    if isinstance(value, str):
        yield from _text(value, where, key)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        most = GREATEST_SUM if key in _SUMS else GREATEST
        if abs(value) > most:
            yield f"{where}: {shortened(str(value)).strip(chr(39))} is beyond anything a plan holds; {most:g} is the most"
    elif isinstance(value, (dict, list)):
        yield from _several(value, where, key, depth)


def _several(value: Mapping[str, Any] | Sequence[Any], where: str, key: str, depth: int) -> Said:
    most = MOST_CORNERS if key in _SHORT else MOST_ENTRIES
    if depth > DEEPEST:
        yield f"{where}: tables and lists lie more than {DEEPEST} deep in each other"
    elif len(value) > most:
        yield f"{where}: {len(value)} entries; {most} are the most"
    elif isinstance(value, Mapping):
        for name, each in value.items():
            if len(name) > LONGEST_NAME:
                yield f"{where}: a key has {len(name)} letters; {LONGEST_NAME} are the most"
            else:
                yield from _walked(each, f"{where}.{name}", name, depth + 1)
    else:
        for number, each in enumerate(value):
            yield from _walked(each, f"{where}[{number}]", key, depth + 1)


def _text(value: str, where: str, key: str) -> Said:
    most = LONGEST_SENTENCE if key in _SENTENCES else LONGEST_NAME
    if len(value) > most:
        yield f"{where}: the text has {len(value)} letters; {most} are the most"
    elif max(map(len, value.split()), default=0) > LONGEST_NAME + 50:
        yield f"{where}: the text has a word of more than {LONGEST_NAME + 50} letters"
    elif not value.isprintable():
        yield f"{where}: {shortened(value)} holds letters that cannot be printed"


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


def _twice(what: str, names: Iterable[str]) -> Said:
    for name, count in Counter(names).items():
        if count > 1:
            yield f"{count} {what} are called {name}"
        if not name.strip():
            yield f"one of the {what} has no name"


def _numbers(cuts: Sequence[Cut]) -> Said:
    if [cut.number for cut in cuts] != list(range(1, len(cuts) + 1)):
        yield "the cuts are not numbered 1, 2, 3 ... in the order of work"


def _plates(plan: Plan) -> Said:
    stocks = {each.name for each in plan.job.plates}
    processes = {each.name for each in plan.rig.processes}
    roots = Counter(piece.plate for piece in plan.pieces if piece.parent is None)
    for plate in plan.plates:
        if not (plate.length > 0 and plate.width > 0 and plate.thickness > 0 and plate.kerf > 0):
            yield f"plate {plate.id}: its length, width, thickness and kerf must be above 0"
        if plate.stock not in stocks:
            yield f"plate {plate.id} is taken from {plate.stock}, which the job does not have"
        if plate.process not in processes:
            yield f"plate {plate.id} is cut by {plate.process}, which the rig does not have"
        if roots[plate.id] != 1:
            yield f"plate {plate.id} begins as {roots[plate.id]} pieces, not as one whole plate"


def _pieces(plan: Plan, plates: Mapping[str, PlanPlate], pieces: Mapping[str, Piece]) -> Said:
    parts = {line.name for line in plan.parts}
    for piece in plan.pieces:
        plate, parent = plates.get(piece.plate), pieces.get(piece.parent or "")
        if plate is None:
            yield f"piece {piece.id} lies on {piece.plate}, which is no plate of the plan"
        elif not _on(plate, piece.outline):
            yield f"piece {piece.id} reaches over the edge of plate {plate.id}"
        if len(piece.outline) < 3:
            yield f"piece {piece.id} has {len(piece.outline)} corners"
        if piece.parent is not None and parent is None:
            yield f"piece {piece.id} comes out of {piece.parent}, which the plan does not have"
        elif parent is not None and parent.plate != piece.plate:
            yield f"piece {piece.id} is on plate {piece.plate}, and {parent.id}, which it comes out of, on {parent.plate}"
        if piece.part is not None and piece.part not in parts:
            yield f"piece {piece.id} is called {piece.part}, which is no part of the plan"
        if (piece.kind == "part") != (piece.part is not None):
            yield f"piece {piece.id} is {piece.kind}, which does not go with its part, {piece.part or 'none'}"


def _on(plate: PlanPlate, points: Iterable[Point]) -> bool:
    over = OVER_THE_EDGE
    return all(-over <= x <= plate.length + over and -over <= y <= plate.width + over for x, y in points)


def _cut(cut: Cut, plates: Mapping[str, PlanPlate], pieces: Mapping[str, Piece]) -> Said:
    title, plate = f"cut {cut.number}", plates.get(cut.plate)
    if plate is None:
        yield f"{title} is made on {cut.plate}, which is no plate of the plan"
    elif not _on(plate, _points(cut)):
        yield f"{title} has a point that lies over the edge of plate {plate.id}"
    if cut.piece not in pieces:
        yield f"{title} is made in {cut.piece}, which the plan does not have"
    for each in cut.makes:
        if each is not None and each not in pieces:
            yield f"{title} makes {each}, which the plan does not have"
        elif each is not None and pieces[each].parent != cut.piece:
            yield f"{title} makes {each} out of {cut.piece}, but {each} names {pieces[each].parent or 'nothing'}"
    if cut.makes[0] == cut.makes[1]:
        yield f"{title} makes {cut.makes[0] or 'nothing'} on both sides"
    if not 1 <= len(cut.passes) <= 2:
        yield f"{title} has {len(cut.passes)} passes; one or two can be made"
    if not (cut.travel_speed > 0 and cut.kerf > 0):
        yield f"{title}: its travel speed and kerf must be above 0"
    if not 0 <= cut.setup.quarter_turns <= 3:
        yield f"{title} asks for {cut.setup.quarter_turns} quarter turns; 0 to 3 make sense"
    edges = (cut.line, *(each.leading for each in cut.passes), *([cut.edge_on_fence] if cut.edge_on_fence else []))
    if any(math.dist(*each) < SHORTEST for each in edges):
        yield f"{title} has a line or an edge without length"
    yield from _located(cut, title)


def _located(cut: Cut, title: str) -> Said:
    fence = (cut.edge_on_fence, cut.fence_offset, cut.fence_reading, cut.reading_error)
    if cut.located == "fence" and None in fence:
        yield f"{title} is set by the fence, but lacks a figure of it"
    if cut.located == "marked" and cut.marks is None:
        yield f"{title} is marked out, but has no marks"
    if cut.located == "mitre" and cut.mitre is None:
        yield f"{title} is set by the mitre bar, but has no figures of it"


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
            yield f"cut {cut.number} is made in {cut.piece}, which an earlier cut has cut up already"
        elif cut.piece not in there:
            yield f"cut {cut.number} is made in {cut.piece}, which is not there yet"
        cut_up.add(cut.piece)
        for each in cut.makes:
            if each in there:
                yield f"cut {cut.number} makes {each}, which is there already"
        there |= {each for each in cut.makes if each is not None}
    for name in pieces:
        if name not in there:
            yield f"piece {name} comes out of no cut"
