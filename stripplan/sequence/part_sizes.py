"""What it is worth to have parts come out as their own fence setting would make them, in seconds of set-up.

Problem. A fence is set to the nearest mark of its scale. A part that lies on the fence is off by what its
mark is off by, always the same; a part that takes what is left of its row is off by what all the marks before
it were off by. So the order of work decides whether parts of one width come out alike, and the search, which
counts seconds, must know what that is worth.

Method. The loss goes with the square of how far a size is from what its own fence setting would make it (G.
Taguchi's quadratic loss about a target, from memory), in units of one step of the scale: many small
differences are better than a great one. A size that is further off than the part may be costs an hour more,
so no order makes it so that need not. Loss is booked where a part is finished; for a row that is still to be
cut it is foreseen, by what is already certain (`row_loss`) and by a guess of what its last piece will take
(`last_piece_loss`).

Not exact where it foresees: guesses rank states and leave out options where nothing is at stake; bounds never use them.
Cost: linear in the siblings of a row.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.feasible import SAME, reaches
from stripplan.model.pattern import Leaf, Node, across
from stripplan.model.workpiece import Workpiece
from stripplan.sequence.conditions import CutConditions

Errors = tuple[float, float]
"""By how much the extents of a piece along x and y will be over what they are in the plan [mm]."""

UNEQUAL_SECONDS = 240.0
"""What it costs to let a part come out a step of the scale other than those beside it: more than a set-up spares.

Chosen, not measured: four minutes are more than the fence setting, scraping and push (about one minute
together) that an unequal part may spare, and less than an hour of them.
"""
BOW_SHARE = 0.25
"""Share of what a part may be off that the bow of the edge on the fence may take unheeded: a quarter leaves
the rest to reading, kerf and rail.

Set by judgement, not studied.
"""
WRONG_SECONDS = 3600.0
"""What it costs more where it is further off than the part may be: no order does so that need not, for an
hour is more than all set-ups of a plate.
"""


def asks_accuracy(conditions: CutConditions, node: Node) -> bool:
    """Whether a node is a part for which the job states how true its size must be."""
    return isinstance(node, Leaf) and node.part is not None and bool(conditions.asked) and conditions.asked[node.part]


def part_loss(conditions: CutConditions, workpiece: Workpiece, errors: Errors) -> float:
    """What the sizes of a finished part are worth less for being other than a fence setting of their own
    would make them; 0 for anything else.
    """
    node = workpiece.node
    if not isinstance(node, Leaf) or node.part is None:
        return 0.0
    return sum(size_loss(conditions, node, at, over) for at, over in enumerate(errors))


def size_loss(conditions: CutConditions, leaf: Leaf, at: int, over: float) -> float:
    """Seconds that it is worth to have the extent of a part along x (`at` 0) or y as its own fence setting
    would make it, where it is over by so much [mm].

    The loss goes with the square of how far it is off, as is usual for sizes about a target (G. Taguchi, from
    memory), and is `UNEQUAL_SECONDS` for one step of the scale: many small differences are better than a
    great one. Where the fence does not reach, the cut is marked out by hand, and over by nothing.
    """
    assert leaf.part is not None
    if not _sized(conditions, leaf)[at]:
        return 0.0
    extent = leaf.length if at == 0 else leaf.width
    off = over - (conditions.setting(extent).error if reaches(conditions.rules, extent) else 0.0)
    # Nearer than sizes are told apart at all, it is as its setting makes it.
    if abs(off) <= SAME:
        return 0.0
    limit = conditions.limits[leaf.part][at == leaf.turned] if conditions.limits else math.inf
    wrong = WRONG_SECONDS if abs(over) > limit + SAME else 0.0
    return UNEQUAL_SECONDS * (off / (conditions.rig.fence_step * conditions.rig.fence_scale)) ** 2 + wrong


def unmeasured_in_row(conditions: CutConditions, workpiece: Workpiece, unmeasured: tuple[bool, bool]) -> int:
    """How many parts of a row have a size at right angles to it that rests on the plate's own: no cut of the
    row mends that.
    """
    along = workpiece.direction == "along"
    if not unmeasured[0 if along else 1]:
        return 0
    return sum(_sized(conditions, leaf)[0 if along else 1] for leaf in _parts(workpiece))


def row_loss(conditions: CutConditions, workpiece: Workpiece, errors: Errors) -> float:
    """Seconds for parts of a row whose size at right angles to it is not as a fence setting of its own would
    make it: no cut of the row mends that, so the loss is certain before the parts are cut.
    """
    at = 0 if workpiece.direction == "along" else 1
    return sum(size_loss(conditions, leaf, at, errors[at]) for leaf in _parts(workpiece))


def last_piece_loss(conditions: CutConditions, workpiece: Workpiece, errors: Errors) -> float:
    """Seconds for a row that leaves nothing over: a part, or a blank, must take what is left, with all that
    the marks of the scale are off by.

    A guess: each part on the fence but the last, that being the best of them; or the rest on the fence each
    time, which takes a setting for each cut, and marks that are off by little.
    """
    at = 1 if workpiece.direction == "along" else 0
    siblings = [each for each in (*workpiece.children, workpiece.low, workpiece.high) if each is not None]
    if any(isinstance(each, Leaf) and each.part is None for each in siblings):
        return 0.0
    marks = {each: conditions.setting(across(each, workpiece.direction)).error for each in set(siblings)}
    spent = errors[at] - sum(marks[each] for each in siblings)
    # One of them gives way to all others: the one whose own loss is then least.
    last = min(_loss_of_next(conditions, each, at, spent + mark) for each, mark in marks.items())
    # Read from one edge each mark is off by at most half a step, at the mean a quarter: (1/4)² of a step's loss.
    return min(last, (len(siblings) - 1) * (conditions.rig.seconds.fence + UNEQUAL_SECONDS / 16))


def _loss_of_next(conditions: CutConditions, node: Node, at: int, over: float) -> float:
    """Seconds for a part, or for the parts that are next cut from a blank, whose extent along x (`at` 0) or y
    is over by so much [mm].
    """
    if isinstance(node, Leaf):
        return 0.0 if node.part is None else size_loss(conditions, node, at, over)
    return sum(
        size_loss(conditions, each, at, over)
        for each in node.children
        if isinstance(each, Leaf) and each.part is not None
    )


def _parts(workpiece: Workpiece) -> Iterator[Leaf]:
    """Finished parts among the siblings that are still to come off a row."""
    return (child for child in workpiece.children if isinstance(child, Leaf) and child.part is not None)


def _sized(conditions: CutConditions, leaf: Leaf) -> tuple[bool, bool]:
    """Whether the extents of a part along x and y are stated sizes."""
    assert leaf.part is not None
    width_sized, length_sized = conditions.sized[leaf.part]
    return (width_sized, length_sized) if leaf.turned else (length_sized, width_sized)


def unmeasured_sizes(conditions: CutConditions, node: Node, unmeasured: tuple[bool, bool]) -> int:
    """How many stated sizes of a part rest on the plate's own, where its extents do."""
    if not isinstance(node, Leaf) or node.part is None:
        return 0
    sized_x, sized_y = _sized(conditions, node)
    return (unmeasured[0] and sized_x) + (unmeasured[1] and sized_y)
