"""An order of before, kept: its cuts stay as they were made and in their order, and new ones find places among them.

Problem. A list changes after its plan was looked at, or hung at the rig. Planned afresh, all cuts may come out
otherwise for the sake of a minute.

Method. The record is followed cut by cut on the plates as they are now: a cut stays where its piece lies there and can
be cut along the same line, off the same edge. What is left to cut after that is put in order by the search as if it
were all; then both are one order, in which the new cuts are moved about, and the kept ones keep their order.

Not exact: kept cuts are not weighed against others, that is what they are kept for. Cost: the search of the new cuts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stripplan.model.effort import Effort
from stripplan.model.pattern import leaves
from stripplan.model.plan.cut import Cut, Point
from stripplan.model.rig import Rig
from stripplan.sequence.bench import Bench
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut, CutOption, all_ways
from stripplan.sequence.cut_order import CutOrder, simulate
from stripplan.sequence.search.best_order import TRIES, best_order, rated
from stripplan.sequence.search.reorder import reordered

SAME = 0.01
"""Points closer than this are one [mm]."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class RecordedCut:
    """A cut of before: the number of its plate among those on the bench, its piece's box there [mm], its record, and
    the parts that come out of what it makes right and left of the travel.
    """

    plate: int
    box: Box
    cut: Cut
    right: Counter[int]
    left: Counter[int]


def kept_order(
    rig: Rig,
    roots: Sequence[BenchPiece],
    recorded: Sequence[RecordedCut],
    *,
    weights: Mapping[str, float],
    effort: Effort,
    end_stop: float | None = None,
) -> CutOrder:
    """The order of all cuts of these plates with the recorded ones in theirs, and what bounds it; an `end_stop` that
    the person has set stands for every cut that it serves.
    """
    wishes = OrderConstraints(end_stop=end_stop)
    bench = Bench(rig, roots, weights, constraints=wishes)
    kept, left = followed(roots, recorded, end_stop)
    new: list[ChosenCut] = []
    if left:
        light = replace(effort, steps=0, seconds=None)
        found = best_order(
            rig, [piece for _, piece in left], effort=light, weights=weights, constraints=wishes, bounds=False
        )
        new = [replace(cut, plate=left[cut.plate][0]) for cut in found.cuts]
    cuts = [*kept, *new]
    if kept and new:
        in_row = list(pairwise(range(len(kept))))
        tries = min(len(cuts), MOST_MOVED) * TRIES
        moved = simulate(bench, reordered(bench, cuts, seed=effort.seed, tries=tries, also=in_row))
        plain = simulate(bench, cuts)
        return rated(bench, roots, min(moved, plain, key=lambda each: each.seconds + each.extra))
    return rated(bench, roots, simulate(bench, cuts))


MOST_MOVED = 150
"""New cuts are moved about by so many times the tries of a cut at the most."""


def followed(
    roots: Sequence[BenchPiece], recorded: Sequence[RecordedCut], end_stop: float | None
) -> tuple[list[ChosenCut], list[tuple[int, BenchPiece]]]:
    """The recorded cuts that can be made as they were, and the pieces that are left to be cut, each with its plate."""
    lying = [(plate, piece) for plate, piece in enumerate(roots) if not piece.workpiece.done]
    made = []
    for each in recorded:
        at = next((n for n, (plate, piece) in enumerate(lying) if plate == each.plate and _is(piece, each.box)), None)
        option = None if at is None else _same_way(lying[at][1], each)
        if at is None or option is None:
            continue
        plate, piece = lying.pop(at)
        made.append(ChosenCut(plate, piece, option, _stops(option, each.cut, end_stop)))
        products = (option.right, option.left)
        lying += [(plate, one) for one in products if one is not None and not one.workpiece.done]
    return made, lying


def _is(piece: BenchPiece, box: Box) -> bool:
    lies = piece.workpiece
    sides = zip((lies.x0, lies.y0, lies.x1, lies.y1), box, strict=True)
    return all(abs(one - other) < SAME for one, other in sides)


def _same_way(piece: BenchPiece, recorded: RecordedCut) -> CutOption | None:
    """The option of a piece that is cut as it was before; None where there is none.

    Siblings of one width leave the same line, so what comes out on both sides is held against the record too: there may
    be more than was, as new parts lie in what was left.
    """
    cut = recorded.cut
    for option in (*piece.options, *all_ways(piece)):
        same = option.located == cut.located and len(option.stops) == len(cut.passes)
        if same and all(_near(one, other) for one, other in zip(option.line, cut.line, strict=True)):
            sides = ((recorded.right, option.right), (recorded.left, option.left))
            if all(parts <= _parts_in(made) for parts, made in sides):
                return option
    return None


def _parts_in(piece: BenchPiece | None) -> Counter[int]:
    """The parts that come out of a piece, by their index in the job."""
    if piece is None:
        return Counter()
    lies = piece.workpiece
    nodes = (lies.node,) if lies.done else (*lies.children, lies.low, lies.high)
    return Counter(leaf.part for node in nodes if node is not None for leaf in leaves(node) if leaf.part is not None)


def _near(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) < SAME and abs(one[1] - other[1]) < SAME


def _stops(option: CutOption, cut: Cut, asked: float | None) -> tuple[float, ...]:
    """The end stop for each pass: that of before, or one that is `asked`, where it may stand there."""
    least, stood = max(option.least_stops), max(each.end_stop for each in cut.passes)
    if asked is not None and least <= asked <= option.longest_stop:
        stood = asked
    return (stood if least <= stood <= option.longest_stop else least,) * len(option.stops)
