"""The nearest changes with which a part can be made: of a word, a size of part or plate, or the rig.

Each has been tried by the questions that refused the part (`Case.possible`). Cost: one such question for each change
that is offered or refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import groupby, product
from operator import itemgetter

from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.case import Case, mm_of
from stripplan.layout.unplaced.stopped_by import no_square, with_rule
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.wording.message import Fact, Facts, Message, mass
from stripplan.wording.show import worded

MOST_SIZES = 3
MOST_RIGS = 2
"""How many changes of a size, and of the rig, are offered at most: more choice against a message that is still read.
Set by trial, not studied."""
FAR = 0.75
"""A part or plate whose side is changed by a greater share of it is another one: no advice. Chosen, not tuned."""
FREE = 0.0
"""Nearness of a change that moves no size."""


@dataclass(frozen=True)
class Change:
    """Something that may be done: what, how far it is from what was asked [mm, or 0], and the case with it done.

    The case and not a promise: it is asked before the change is offered, by the questions that refused the part.
    """

    message: Message
    nearness: float
    case: Case

    @property
    def rank(self) -> tuple[float, str]:
        """The nearest first; of those as near the first by the alphabet, so that the same is always said."""
        return self.nearness, worded(self.message).text


def offers(case: Case, others: Sequence[tuple[Message, Sequence[Stock]]] = ()) -> list[Change]:
    """Changes that make the part possible, each tried: those that move no size, then of sizes, then of the rig.

    In the order of what they cost a person: a word, a size, a change of the machine. One change at a time, and both
    sides of a plate; pairs of unlike changes would be many, and few would be read.
    """
    given = [Change(message, FREE, replace(case, stocks=tuple(stocks))) for message, stocks in others]
    free = [change for change in (*given, *_permissions(case)) if change.case.possible()]
    free += _nearest_first([_tolerated(case)], 1)
    sizes = _nearest_first([*_part_changes(case), *_plate_changes(case)], MOST_SIZES)
    # A plate changed on both sides is offered only where it is nearer than every change of one size.
    least = min((each.nearness for each in sizes), default=math.inf)
    both = _nearest_first([_plate_of_both(case, least)], 1)
    return free + [*both, *sizes][:MOST_SIZES] + _nearest_first(_rig_changes(case), MOST_RIGS)


def _nearest_first(kinds: Sequence[Iterator[Change]], most: int) -> list[Change]:
    """The nearest change of each kind that helps, of so many kinds at most."""
    waiting = [(change.nearness, kind, change) for kind, changes in enumerate(kinds) for change in changes]
    found: list[Change] = []
    done: set[int] = set()
    # All kinds together by nearness, so that nothing farther than the last one offered is tried.
    for _, group in groupby(sorted(waiting, key=itemgetter(0)), key=itemgetter(0)):
        alike = [(kind, change) for _, kind, change in group if kind not in done]
        # Words are put together only for changes that are as near as one another.
        for kind, change in sorted(alike, key=lambda each: each[1].rank) if len(alike) > 1 else alike:
            if len(found) < most and kind not in done and change.case.possible():
                found.append(change)
                done.add(kind)
        if len(found) == most:
            break
    return found


def _permissions(case: Case) -> Iterator[Change]:
    """Changes by a word: turn, rolling direction, square edges, marking out, trim, a hoist, depth.

    Only limits that are set are offered to be dropped; whether that helps is asked by the caller.
    """
    part = case.part
    if isinstance(part, Rectangle) and not part.rotate:
        yield _free("let_it_turn", replace(case, part=replace(part, rotate=True)))
    if part.rolling != "free":
        yield _free("free_rolling", replace(case, part=replace(part, rolling="free")))
    if part.square != "none":
        yield _free("no_square_edges", no_square(case))
    if not all(stock.rules.marked for stock in case.stocks):
        yield _free("allow_marked_cuts", with_rule(marked=True)(case))
    if any(stock.rules.trim for stock in case.stocks):
        yield _free("no_trim", with_rule(trim=0.0)(case))
    if isinstance(part, Strip):
        yield from _in_lengths(case, part)
    if any(stock.rules.turn_over_mass_max is not None for stock in case.stocks):
        yield _free("a_hoist", with_rule(turn_over_mass_max=None)(case))
    # Two changes of direction free any rectangle, so no greater depth is ever offered.
    if case.depth == 1:
        yield _free("depth_of_two", replace(case, depth=2))


def _in_lengths(case: Case, part: Strip) -> Iterator[Change]:
    """A strip in pieces, two from the length of a plate that is cut across first: whole mm."""
    halves = [math.floor((stock.plate.length - 3 * stock.rules.kerf) / 2 - stock.rules.trim) for stock in case.stocks]
    length = float(min(halves, default=0))
    if length > part.width:
        shared = {each.name: getattr(part, each.name) for each in fields(part)}
        piece = replace(case, part=Rectangle(**shared, length=length))
        yield _change("say_a_length", FREE, piece, width=mm_of(part.width), length=mm_of(length))


def _free(says: str, case: Case) -> Change:
    """A change by a word, that moves no size."""
    return Change(Message("change", says=says), FREE, case)


def _change(says: str, nearness: float, case: Case, **facts: Fact) -> Change:
    """A change of a size, `nearness` [mm] away; of a mass [kg]."""
    return Change(Message("change", facts=Facts(**facts), says=says), nearness, case)


def _tidy(length: float) -> float:
    """Without what sums of doubles add: a size that is offered must read well, and be whole in a grid of its own.

    >>> _tidy(0.1 + 0.2)
    0.3
    """
    return round(length, 6)


def _targets(stock: Stock) -> Iterator[tuple[float, bool]]:
    """Sizes that a piece may have along an edge of the plate: all of it, or as much as leaves a legal rest; and which
    edge.

    And those that the fence's ends allow, with the piece on the fence or what comes off.
    """
    rules, plate = stock.rules, stock.plate
    for full, along, ends in ((plate.length, True, (1, 3)), (plate.width, False, (0, 2))):
        usable = full - sum(rules.trim + rules.kerf for end in ends if rules.trim and plate.edges[end] == "mill")
        least_rest = rules.kerf + rules.narrowest_offcut if rules.narrowest_offcut else 0.0
        yield usable, along
        yield usable - least_rest, along
        for offset in (rules.fence_min, rules.fence_max):
            yield offset - rules.kerf / 2, along
            yield usable - rules.kerf / 2 - offset, along


def _beside(part: Part, stock: Stock) -> list[float]:
    """What may lie round a part beside its own size: nothing, or scrap and kerf for square edges."""
    rules = stock.rules
    return [0.0] if part.square == "none" else [0.0, 2 * (rules.kerf + max(rules.kerf, rules.narrowest_offcut))]


def _part_changes(case: Case) -> list[Iterator[Change]]:
    """The part narrower, wider, shorter or longer."""
    kinds = [_resized(case, "width", sign) for sign in (-1, 1)]
    if isinstance(case.part, Rectangle):
        kinds += [_resized(case, "length", sign) for sign in (-1, 1)]
    return kinds


def _resized(case: Case, side: str, sign: int) -> Iterator[Change]:
    """The part with one side smaller (`sign` -1) or larger: to each size at which it might be cut.

    Finished sizes are changed, while targets are sizes as cut: the allowance stays.
    """
    as_cut = case.part.width_as_cut if side == "width" or isinstance(case.part, Strip) else case.part.length_as_cut
    word = {("width", -1): "narrower", ("width", 1): "wider", ("length", -1): "shorter", ("length", 1): "longer"}
    for stock in case.stocks:
        for target, _ in _targets(stock):
            for round_it in _beside(case.part, stock):
                change = _tidy(target - round_it - as_cut)
                size = _tidy(getattr(case.part, side) + change)
                if change * sign > 0 and size > 0 and abs(change) <= FAR * as_cut:
                    part = replace(case.part, **{side: size})  # type: ignore[arg-type]
                    yield _change(word[side, sign], abs(change), replace(case, part=part), by=mm_of(abs(change)))


def _tolerated(case: Case) -> Iterator[Change]:
    """The part allowed to stay over size by a sliver that cannot be cut off: no less, as then it would still be one.

    Parts with square edges have scrap beside them anyway, and no tolerance helps.
    """
    part = case.part
    sizes = [part.width_as_cut] + ([part.length_as_cut] if isinstance(part, Rectangle) else [])
    for stock in case.stocks if part.square == "none" else ():
        for target, _ in _targets(stock):
            for size in sizes:
                over = _tidy(target - size)
                if (part.tolerance or 0.0) < over < stock.rules.kerf + stock.rules.narrowest_offcut:
                    tolerant = replace(part, tolerance=over)
                    yield _change("a_tolerance", over, replace(case, part=tolerant), over=mm_of(over))


def _plate_changes(case: Case) -> list[Iterator[Change]]:
    """One plate longer, shorter, wider or narrower."""
    sides = [("length", 1, "longer"), ("length", -1, "shorter"), ("width", 1, "wider"), ("width", -1, "narrower")]
    return [_plate_resized(case, side, sign, word) for side, sign, word in sides]


def _plate_resized(case: Case, side: str, sign: int, word: str) -> Iterator[Change]:
    """Each plate with one side larger or smaller; a plate of which none is left is no plate to change."""
    for number, stock in enumerate(case.stocks):
        if stock.limit == 0:
            continue
        now = getattr(stock.plate, side)
        for size in sorted(_plate_sizes(case.part, stock, side)):
            change = _tidy(size - now)
            if change * sign > 0 and size > 0 and abs(change) <= FAR * now:
                resized = _with_plate(case, number, {side: size})
                says = "larger_plate" if sign > 0 else "smaller_plate"
                by = mm_of(abs(change))
                yield _change(says, abs(change), resized, plate=stock.plate.name, by=by, change=word)


def _with_plate(case: Case, number: int, sizes: dict[str, float]) -> Case:
    """The case with other sizes of one plate."""
    stock = case.stocks[number]
    plate = replace(stock.plate, **sizes)  # type: ignore[arg-type]
    stocks = (*case.stocks[:number], replace(stock, plate=plate), *case.stocks[number + 1 :])
    return replace(case, stocks=stocks)


def _plate_sizes(part: Part, stock: Stock, side: str) -> set[float]:
    """Sizes of a plate's side at which a part just fits it, just leaves a legal rest, or a cut becomes possible."""
    rules, plate = stock.rules, stock.plate
    ends = (1, 3) if side == "length" else (0, 2)
    lost = sum(rules.trim + rules.kerf for end in ends if rules.trim and plate.edges[end] == "mill")
    extents = [part.width_as_cut] + ([part.length_as_cut] if isinstance(part, Rectangle) else [])
    rest = rules.kerf + rules.narrowest_offcut
    found = {
        _tidy(extent + round_it + left + lost)
        for extent in extents
        for round_it in _beside(part, stock)
        for left in (0.0, rest, rules.fence_min + rules.kerf / 2, rules.fence_max + rules.kerf / 2)
    }
    found |= {_tidy(each) for each in (rules.longest_two_pass, rules.bed_length or 0.0) if math.isfinite(each)}
    found |= {_tidy(each + lost) for each in (rules.longest_two_pass, rules.bed_length or 0.0) if math.isfinite(each)}
    found |= {_tidy(each) for each in (rules.longest_one_pass, rules.longest_one_pass + lost) if math.isfinite(each)}
    # Rounded down to whole mm: a plate as heavy as may be, with the other side as it is.
    if rules.piece_mass_max is not None and rules.areal_mass:
        other = plate.width if side == "length" else plate.length
        found.add(math.floor(rules.piece_mass_max / rules.areal_mass / other))
    return found


def _plate_of_both(case: Case, farthest: float) -> Iterator[Change]:
    """One plate changed on both sides, by less than `farthest` [mm] together.

    Cost: all pairs of sizes, some hundreds a plate; the nearest is asked first.
    """
    for number, stock in enumerate(case.stocks):
        plate = stock.plate
        lengths, widths = (_sizes_near(case.part, stock, side) for side in ("length", "width"))
        for length, width in product(sorted(lengths), sorted(widths)):
            far = abs(length - plate.length) + abs(width - plate.width)
            if length > 0 and width > 0 and far < farthest:
                resized = _with_plate(case, number, {"length": length, "width": width})
                yield _change("plate_of_size", far, resized, length=mm_of(length), width=mm_of(width))


def _sizes_near(part: Part, stock: Stock, side: str) -> set[float]:
    """Other sizes of a plate's side that are not too far off; none of a plate of which there are none."""
    now = getattr(stock.plate, side)
    sizes = _plate_sizes(part, stock, side) if stock.plate.limit != 0 else set[float]()
    return {each for each in sizes if 0 < abs(each - now) <= FAR * now}


def _rig_changes(case: Case) -> list[Iterator[Change]]:
    """A longer cut, a longer bed, a greater mass, a fence that reaches farther, more room beside the torch."""
    return [_longer_cut(case), _longer_bed(case), _more_mass(case), _farther_fence(case), _more_beside(case)]


def _travels(case: Case) -> list[float]:
    """Lengths that cuts of this part may have: those of the plates, and of the part itself."""
    part = case.part
    own = [part.width_as_cut] + ([part.length_as_cut] if isinstance(part, Rectangle) else [])
    plates = [side for stock in case.stocks for side in (stock.plate.length, stock.plate.width)]
    usable = [target for stock in case.stocks for target, _ in _targets(stock)]
    return sorted({_tidy(each) for each in (*own, *plates, *usable) if each > 0})


def _longer_cut(case: Case) -> Iterator[Change]:
    """A rig that makes longer cuts, in one pass: then nothing has to be turned over for them either."""
    now = max(stock.rules.longest_two_pass for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            longer = with_rule(longest_one_pass=each, longest_two_pass=each)(case)
            yield _change("longer_cut", each - now, longer, longest=mm_of(each))


def _longer_bed(case: Case) -> Iterator[Change]:
    now = min(stock.rules.bed_length or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield _change("longer_bed", each - now, with_rule(bed_length=each)(case), bed=mm_of(each))


def _more_mass(case: Case) -> Iterator[Change]:
    now = min(math.inf if stock.rules.piece_mass_max is None else stock.rules.piece_mass_max for stock in case.stocks)
    for stock in case.stocks:
        heavy = math.ceil(stock.plate.length * stock.plate.width * stock.rules.areal_mass)
        if heavy > now:
            yield _change("greater_mass", heavy - now, with_rule(piece_mass_max=float(heavy))(case), mass=mass(heavy))


def _farther_fence(case: Case) -> Iterator[Change]:
    """A fence set farther out, with the piece or what comes off on it; no matter where all cuts may be marked."""
    for stock in case.stocks if not all(each.rules.marked for each in case.stocks) else ():
        kerf = stock.rules.kerf
        for kept in _travels(case):
            for offset in (_tidy(kept + kerf / 2), _tidy(kept - kerf / 2)):
                if offset > stock.rules.fence_max:
                    farther = with_rule(fence_max=offset)(case)
                    yield _change("farther_fence", offset - stock.rules.fence_max, farther, reach=mm_of(offset))


def _more_beside(case: Case) -> Iterator[Change]:
    now = min(stock.rules.far_max or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield _change("more_room_beside", each - now, with_rule(far_max=each)(case), room=mm_of(each))
