"""Which limit stops a part: all are put aside and brought back one by one; the first that leaves no plate is named.

Cost: each limit asks every plate once more (`Cutter.possible`). The order of `LIMITS` decides which of several causes
is named, no more: the others may stop the part as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from stripplan.layout.unplaced.case import Case, mm_of
from stripplan.model.part import Part, Rectangle
from stripplan.wording.message import Fact, Facts, Message, mass


def cannot_make(says: str, changes: tuple[Fact, ...] | None = None, **facts: Fact) -> Message:
    """What stops a part; `changes` are added later, but where nothing was tried."""
    return Message(
        "cannot_make", facts=Facts(**facts) if changes is None else Facts(**facts, changes=changes), says=says
    )


def _size(part: Part) -> Message:
    """The size of a part as it is cut; a strip has no length of its own."""
    width = mm_of(part.width_as_cut)
    if isinstance(part, Rectangle):
        return Message("size_as_cut", facts=Facts(width=width, length=mm_of(part.length_as_cut)))
    return Message("size_as_cut", facts=Facts(width=width), says="width_as_cut")


Limit = tuple[Callable[[Case], Case], Callable[[Case], Message]]
"""How a limit is put aside, and what is said where it stops a part."""


def stopped_by(case: Case) -> Message:
    """The first limit in the list that, brought back, leaves no plate.

    One limit after another and not each by itself: a part may pass every single limit and fail two of them together.
    With all of them back the part is not possible (the caller asked), so one of them is always found.
    """
    for number, (_, message) in enumerate(LIMITS):
        now = case
        # All limits after this one are put aside: those before it have been brought back and still left a plate.
        for aside, _ in LIMITS[number + 1 :]:
            now = aside(now)
        if not now.possible():
            return message(case)
    return LIMITS[-1][1](case)


def _same(case: Case) -> Case:
    """The size of the plates is no limit that can be put aside: it is asked when all others are."""
    return case


def _bigger_than_plates(case: Case) -> Message:
    """The part against the largest plate there is by area; or no plate is there at all."""
    there = [stock.plate for stock in case.stocks if stock.limit != 0]
    if not there:
        return cannot_make("no_plate_left", plates=tuple(stock.plate.name for stock in case.stocks))
    largest = max(there, key=lambda plate: plate.length * plate.width)
    return cannot_make(
        "bigger_than_plates",
        size=_size(case.part),
        largest_length=mm_of(largest.length),
        largest_width=mm_of(largest.width),
    )


def _trimmed_too_small(case: Case) -> Message:
    return cannot_make(
        "trimmed_too_small", size=_size(case.part), trim=mm_of(max(stock.rules.trim for stock in case.stocks))
    )


def _fits_only_turned(case: Case) -> Message:
    return cannot_make("fits_only_turned", size=_size(case.part))


def _cut_too_long(case: Case) -> Message:
    longest = max(stock.rules.longest_two_pass for stock in case.stocks)
    return cannot_make(
        "cut_too_long", longest=mm_of(longest), shortest=mm_of(min(stock.plate.length for stock in case.stocks))
    )


def _beyond_bed(case: Case) -> Message:
    return cannot_make("beyond_bed", bed=mm_of(min(stock.rules.bed_length or math.inf for stock in case.stocks)))


def _too_heavy(case: Case) -> Message:
    limit = min(stock.rules.piece_mass_max or math.inf for stock in case.stocks)
    return cannot_make("too_heavy", lightest=mass(min(stock.plate.mass for stock in case.stocks)), limit=mass(limit))


def _too_heavy_to_turn_over(case: Case) -> Message:
    """The lightest plate against the greatest mass that may be turned, and the cuts that it would be turned for."""
    rules = max((stock.rules for stock in case.stocks), key=lambda each: each.turn_over_mass_max or math.inf)
    return cannot_make(
        "too_heavy_to_turn_over",
        plate_mass=mass(min(stock.plate.mass for stock in case.stocks)),
        limit=mass(rules.turn_over_mass_max or 0.0),
        longest=mm_of(rules.longest_one_pass),
    )


def _out_of_reach(case: Case) -> Message:
    """The fence setting that the part's width asks for; to the torch line, hence the half kerf."""
    rules = case.stocks[0].rules
    offset = mm_of(case.part.width_as_cut + rules.kerf / 2)
    return cannot_make("out_of_reach", offset=offset, least=mm_of(rules.fence_min), most=mm_of(rules.fence_max))


def _no_room_beside(case: Case) -> Message:
    rules, far = case.stocks[0].rules, mm_of(min(stock.rules.far_max or math.inf for stock in case.stocks))
    if rules.marked:
        return cannot_make("no_room_beside", far=far)
    return cannot_make("no_room_beside_nor_reach", far=far, least=mm_of(rules.fence_min), most=mm_of(rules.fence_max))


def _sliver(case: Case) -> Message:
    """Two causes: no room beside the torch for the narrowest offcut, or a sliver that cannot be cut off."""
    rules = case.stocks[0].rules
    narrowest = mm_of(rules.narrowest_offcut)
    if rules.far_max is not None and rules.far_max < rules.narrowest_offcut:
        return cannot_make("no_room_for_offcut", narrowest=narrowest, far=mm_of(rules.far_max))
    return cannot_make("sliver_left", size=_size(case.part), narrowest=narrowest, kerf=mm_of(rules.kerf))


def _no_scrap_for_square_edges(case: Case) -> Message:
    return cannot_make("no_scrap_for_square_edges", size=_size(case.part))


def _too_shallow(case: Case) -> Message:
    return cannot_make("too_shallow", depth=case.depth or 0)


def with_rule(**values: object) -> Callable[[Case], Case]:
    """A limit put aside: the case with some values of its cut rules replaced."""
    return lambda case: case.with_rules(lambda rules: replace(rules, **values))  # type: ignore[arg-type]


def _turning(case: Case) -> Case:
    """The case with turning and any rolling direction allowed: both tell how a part may lie."""
    return replace(case, part=replace(case.part, rotate=True, rolling="free"))


def no_square(case: Case) -> Case:
    """The case with no edge asked to be square."""
    return replace(case, part=replace(case.part, square="none"))


def _any_depth(case: Case) -> Case:
    """The case with no limit on how often the direction changes."""
    return replace(case, depth=None)


# Both: beyond `longest_one_pass` a piece is turned over, and its mass would be asked about, which is another limit.
ANY_LENGTH = {"longest_one_pass": math.inf, "longest_two_pass": math.inf}

LIMITS: tuple[Limit, ...] = (
    (_same, _bigger_than_plates),
    (with_rule(trim=0.0), _trimmed_too_small),
    (_turning, _fits_only_turned),
    (with_rule(**ANY_LENGTH), _cut_too_long),
    (with_rule(bed_length=None), _beyond_bed),
    (with_rule(piece_mass_max=None), _too_heavy),
    (with_rule(turn_over_mass_max=None), _too_heavy_to_turn_over),
    (with_rule(marked=True), _out_of_reach),
    (with_rule(far_max=None), _no_room_beside),
    (with_rule(narrowest_offcut=0.0), _sliver),
    (no_square, _no_scrap_for_square_edges),
    (_any_depth, _too_shallow),
)
"""How each limit is put aside, and what is said where it stops a part, in the order in which they come back.

Sizes and turning, then length and mass, then fence and room, then slivers and square edges, last the depth: a part
larger than any plate is thus called that, and not out of reach, though it may be both.
"""
