"""One step: the plate as it lies before a cut, what is cut, what is set for it in words.

It stands on the picture of the plate and the rows of the sheet, and computes no figure of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from stripplan.model.plan.cut import Cut, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.sheets.picture.lettering import Box, Taken, text_box, text_width
from stripplan.sheets.picture.on_plate.piece_labels import (
    as_labelled,
    fitted_label,
    greatest_height,
    piece_label,
    piece_size,
)
from stripplan.sheets.picture.on_plate.plate import edge_letters, kerf_band, layer_of, torch_line
from stripplan.sheets.picture.order_of_work.signs import (
    datum_of,
    frame_of,
    head_length,
    teeth_of,
    tooth_length,
    torch_signs,
)
from stripplan.sheets.picture.order_of_work.stage import Stage, facts_before, stage_of
from stripplan.sheets.picture.shapes import Outline, Picture, Text
from stripplan.sheets.picture.svg import paint
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.work.cuts import cut_rows


def step_svgs(plan: Plan) -> Iterator[tuple[int, str]]:
    """Number and SVG of every step, plate by plate."""
    for number, words, picture in step_pictures(plan):
        yield number, paint(picture, description=words)


def step_pictures(plan: Plan) -> Iterator[tuple[int, str, Picture]]:
    """Every step, plate by plate: its number, what is done in words,
    the plate as it lies before the cut and what is cut.
    """
    bench = Bench(plan)
    rows = cut_rows(bench)
    for plate in plan.plates:
        stage = stage_of(bench, rows, plate.id)
        for cut in stage.cuts:
            words, picture = _step(stage, cut)
            yield cut.number, words, picture


def _step(stage: Stage, cut: Cut) -> tuple[str, Picture]:
    """The description in words and the picture of one step."""
    plan = stage.plan
    facts = facts_before(stage, stage.cuts.index(cut))
    lying = pieces_before(plan, cut)
    now = next(each for each in lying if each.id == cut.piece)
    taken = Taken(stage.size / 20)
    bubble, signs = torch_signs(stage, cut, taken)
    frame = frame_of(now, stage.size) + teeth_of(cut, stage.size, taken)
    letters = _letters(stage, taken)
    beside = _beside(stage, cut, facts[1], taken)
    done = [each for each in stage.cuts if each.number < cut.number]
    picture = Picture(
        title=f"{plan.job.name}: plate {cut.plate} ({stage.plate.stock}) before cut {cut.number}",
        box=stage.box,
        outlines=(
            *(Outline("PLATE", each.outline) for each in lying if waits(each) and each is not now),
            *(Outline("KERF", kerf_band(each)) for each in done),
            *(Outline(layer_of(each), each.outline) for each in lying if not waits(each)),
            *frame,
            Outline("PLATE", now.outline),
            *signs,
        ),
        lines=(torch_line(plan, cut),),
        texts=(*_names(stage, cut, lying, taken), *letters, *beside, *stage.caption(facts), *stage.foot()),
        bubbles=(bubble,),
        dimensions=(),
    )
    return _told(facts, lying), picture


def pieces_before(plan: Plan, cut: Cut) -> tuple[Piece, ...]:
    """Pieces of the cut's plate that lie there before it: made by an earlier cut, and not yet cut."""
    made = {name: each.number for each in plan.cuts for name in each.makes if name is not None}
    spent = {each.piece: each.number for each in plan.cuts}
    return tuple(
        each
        for each in plan.pieces
        if each.plate == cut.plate and made.get(each.id, 0) < cut.number <= spent.get(each.id, cut.number)
    )


def _told(facts: tuple[str, ...], lying: tuple[Piece, ...]) -> str:
    """A step in a sentence, for a person who does not see it."""
    counts = {kind: sum(each.kind == kind for each in lying) for kind in ("part", "offcut", "scrap")}
    ends = ", ".join(
        f"{count} {kind}{'s' if count > 1 and kind != 'scrap' else ''}" for kind, count in counts.items() if count
    )
    return (
        f"{', '.join(facts)}. Lying apart already: {ends or 'no finished piece'}; {sum(map(waits, lying))} still "
        "to be cut."
    )


def waits(piece: Piece) -> bool:
    """Whether a piece is still to be cut."""
    return piece.kind in ("plate", "blank")


def _letters(stage: Stage, taken: Taken) -> list[Text]:
    """Letters of the edges of the plate, each moved along its edge where a number stands in its place."""
    plate, found = stage.plate, []
    for letter in edge_letters(plate, stage.size):
        (x, y), level = letter.at, 0 <= letter.at[0] <= plate.length
        moved = [
            replace(letter, at=(plate.length * share, y) if level else (x, plate.width * share))
            for share in (0.25, 0.4, 0.1, 0.6, 0.75, 0.9)
        ]
        found.append(next((each for each in moved if taken.free(text_box(each))), letter))
        taken.add(text_box(found[-1]))
    return found


def _beside(stage: Stage, cut: Cut, reading: str, taken: Taken) -> list[Text]:
    """The reading beside the torch line, and the word FENCE beside the teeth where it has room."""
    size = stage.size
    heights = (size / 50, size / 65, size / 85)
    tries = [
        each for height in heights for each in _spots(cut.line, reading, height, head_length(size) / 2 + 0.8 * height)
    ]
    inside = [each for each in tries if _within(stage.around, text_box(each))]
    home = stage.bench.pieces[cut.piece].box
    inside.sort(key=lambda each: each.height < heights[1] or not _within(home, text_box(each)))
    found = [next((each for each in inside if taken.free(text_box(each))), tries[-1])]
    datum = datum_of(cut)
    if datum is not None:
        height = size / 75
        name = "FENCE" if cut.mitre is None else "BAR"
        words = _spots(datum, name, height, -tooth_length(size) - 0.9 * height, both=False)
        found += [each for each in words if _within(stage.around, text_box(each)) and taken.free(text_box(each))][:1]
    for each in found:
        x0, y0, x1, y1 = text_box(each)
        air = 0.3 * each.height
        taken.add((x0 - air, y0 - air, x1 + air, y1 + air))
    return found


def _spots(line: Segment, words: str, height: float, aside: float, *, both: bool = True) -> list[Text]:
    """Words beside a segment, the best spot first: along it from the middle outwards, level where it is short and
    upright.

    `aside` is from the segment to the middle of the words, to its left if positive; `both` sides may serve.
    """
    (ax, ay), (bx, by) = line
    length, long = math.dist(*line), text_width(words) * height
    dx, dy = (bx - ax) / length, (by - ay) / length
    upright = abs(dy) > abs(dx)
    ways = [(upright, aside), (upright, 1.5 * aside)]  # the second clears the number at the tail of a short line
    if upright and long > length:
        ways = [(False, math.copysign(long / 2 + abs(aside) - height / 2, aside)), *ways]
    return [
        Text(
            "TEXT",
            (ax + dx * length * share - dy * off, ay + dy * length * share + dx * off),
            words,
            height,
            upright=turned,
            bold=True,
        )
        for turned, far in ways
        for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
        for off in ((far, -far) if both else (far,))
    ]


def _within(outer: Box, box: Box) -> bool:
    return box[0] >= outer[0] and box[1] >= outer[1] and box[2] <= outer[2] and box[3] <= outer[3]


def _names(stage: Stage, cut: Cut, lying: tuple[Piece, ...], taken: Taken) -> Iterator[Text]:
    """Names of all pieces; the one to cut has its id and size beside the torch line, in the larger half."""
    units = (stage.plan.job.units, stage.plan.job.inch_fraction)
    halves = [stage.bench.pieces[name] for name in cut.makes if name is not None]
    larger = max(halves, key=lambda each: each.mass, default=stage.bench.pieces[cut.piece])
    size = piece_size(stage.bench.pieces[cut.piece], units)
    for lines in ((f"{cut.piece}  {size}",), (cut.piece, size), (cut.piece,)):
        height, least = min(stage.size / 55, greatest_height(larger, lines)), stage.size / 130
        found = fitted_label(larger, lines, height, least, taken) if height >= least else []
        if found:
            yield from found
            break
    for piece in lying:
        if piece.id != cut.piece:
            named = replace(piece, part=piece.id) if waits(piece) else as_labelled(stage.plan, piece)
            label = piece_label(named, stage.size, units, taken)
            if all(taken.free(text_box(text)) for text in label):  # a small piece may lie under what the cut says
                yield from label
