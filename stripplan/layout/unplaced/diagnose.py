"""Why a part cannot be made, and the nearest changes with which it could.

A part is tried alone on an empty plate, by the questions that layout asks. Limits are put aside and brought
back one after another; the first with which no plate is left is the one that stops it. Each change that is
offered has been tried by the same questions.

Cost: each limit asks every plate once more (`Cutter.possible`), each change offered or refused asks it again.
The order of `LIMITS` decides which of several causes is named, no more: the others
may stop the part as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from itertools import groupby, product
from operator import itemgetter

from stripplan.layout.grid import Grid, common_grid, exact
from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.one_part import Cutter
from stripplan.model.cut_rules import CutRules
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.wording.message import Fact, Facts, Message, Quantity, mass
from stripplan.wording.show import worded

MOST_SIZES = 3
MOST_RIGS = 2
"""How many changes of a size, and of the rig, are offered at most: more choice against a message that is still read.
Set by trial, not studied."""
FAR = 0.75
"""A part or plate whose side is changed by a greater share of it is another one: no advice."""
FREE = 0.0
"""Nearness of a change that moves no size."""


@dataclass(frozen=True)
class Case:
    """A part, its plates with their rules, and how often the direction of cutting may change.

    All that the answer depends on: a limit put aside and a change tried are both another case, asked the same question.
    """

    part: Part
    stocks: tuple[Stock, ...]
    depth: int | None = None

    def possible(self) -> bool:
        """Whether any plate can yield the part when nothing else is cut from it."""
        return any(can_be_made(self.part, stock, self.depth) for stock in self.stocks)

    def with_rules(self, change: Callable[[CutRules], CutRules]) -> Case:
        """The same with other cut rules, on every plate: a change of the rig is one of all that is cut on it."""
        return replace(self, stocks=tuple(replace(stock, rules=change(stock.rules)) for stock in self.stocks))


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


@lru_cache(4096)  # of several plates, a change of one leaves the answers of the others
def can_be_made(part: Part, stock: Stock, depth: int | None = None) -> bool:
    """Whether a part can be cut from one plate when nothing else is.

    The grid is of this part and plate alone, so that other sizes of the job cannot make it too fine.
    """
    grid = _grid(part, stock)
    return grid is not None and Cutter(stock.on(grid), depth).possible(part)


def _grid(part: Part, stock: Stock, *more: float) -> Grid | None:
    """The grid in which a part, its plate and its rules are whole; None where none is coarse enough.

    `more` are further lengths that must be whole in it [mm].
    """
    lengths = [
        stock.plate.length,
        stock.plate.width,
        *_sides(part),
        stock.rules.trim,
        stock.rules.narrowest_offcut,
        *more,
    ]
    return common_grid(lengths, [stock.rules.kerf], max(stock.plate.length, stock.plate.width))


def why_not(
    part: Part,
    stocks: Sequence[Stock],
    *,
    depth: int | None = None,
    others: Sequence[tuple[Message, Sequence[Stock]]] = (),
) -> Message:
    """What stops a part, and what would help; asked only for parts that no plate yields by itself.

    `others` are changes that only the caller can work out, with the plates and rules after them
    (two passes, say); they are offered where they help.

    >>> from stripplan.model.plate import Plate
    >>> rules = CutRules(kerf=2, longest_one_pass=999, longest_two_pass=999, narrowest_offcut=10, fence_min=0,
    ...                  fence_max=999, marked=True)
    >>> stock = Stock(0, Plate(name="p", length=100, width=50, thickness=5, material="steel"), rules, cost=1.0)
    >>> found = why_not(Rectangle(name="a", length=95, width=50), [stock])
    >>> found.says, [change.says for change in found.facts["changes"]]
    ('sliver_left', ['a_tolerance', 'longer', 'smaller_plate', 'shorter'])
    """
    if not stocks:
        return _cannot("no_plate_of_kind", (), material=part.material or "its material", thickness=_mm(part.thickness))
    case = Case(part, tuple(stocks), depth)
    stopped = _stopped_by(case)
    changes = tuple(change.message for change in offers(case, others))
    return replace(stopped, facts=Facts(**stopped.facts, changes=changes))


def _cannot(says: str, changes: tuple[Fact, ...] | None = None, **facts: Fact) -> Message:
    """What stops a part; `changes` are added later, but where nothing was tried."""
    return Message(
        "cannot_make", facts=Facts(**facts) if changes is None else Facts(**facts, changes=changes), says=says
    )


def _mm(value: float | None) -> Quantity:
    """A length as a fact of a message; none counts as 0."""
    return Quantity(value or 0.0, "length")


def excluded(
    part: Part, stocks: Sequence[Stock], *, depth: int | None, parts: Sequence[Part], rounding: float = 0.0
) -> bool:
    """Whether a part is shown to come from no plate, whatever else of `parts` is cut beside it.

    `rounding` is how much part and plates may have lost against each other before they came here [mm]. Where there was
    any, or no grid holds the sizes, only a part larger than every plate is excluded: a limit is met or missed by less.
    False proves nothing: the limits asked about are loosened (`Cutter.beside`). Without this question a part that only
    a neighbour makes possible would be called impossible: alone it leaves a sliver, beside another part it does not.
    """
    # A part stands beside others, and beside its own copies where more than one is wanted.
    beside = [side for each in parts if each is not part or part.quantity > 1 for side in _sides(each)]
    narrowest = min(beside, default=math.inf)
    for stock in stocks:
        if stock.limit == 0 or _larger(part, stock, rounding):
            continue
        grid = None if rounding else _grid(part, stock, *beside)
        if grid is None:
            return False
        if Cutter(stock.on(grid), depth).beside(min(narrowest, stock.rules.narrowest_offcut)).possible(part):
            return False
    return True


def _larger(part: Part, stock: Stock, rounding: float) -> bool:
    """Whether a part is larger than a plate, however it lies; exact, and asked in mm, so that it needs no grid."""
    room = [exact(stock.plate.width), exact(stock.plate.length)]
    sides = [exact(side) for side in _sides(part)]
    # A strip does not turn: its one side is compared with the plate's width.
    pairs = zip(sorted(sides), sorted(room) if len(sides) > 1 else room, strict=False)
    return any(side > most + exact(rounding) for side, most in pairs)


def _sides(part: Part) -> tuple[float, ...]:
    """Sides of a part as cut [mm]; a strip has its width alone."""
    return (part.width_as_cut, part.length_as_cut) if isinstance(part, Rectangle) else (part.width_as_cut,)


def used_up(part: Part, count: int, stocks: Sequence[Stock], missing: int) -> Message:
    """How many of a part have no place, where a bound shows `missing` plates too few for all parts.

    Shown, not guessed: no search however long would find a place, so buying plates is the only advice.
    """
    facts = Facts(count=count, wanted=part.quantity, stock=_limited(stocks), missing=missing)
    return Message("stock_used_up", facts=facts)


def not_found(part: Part, count: int, stocks: Sequence[Stock], steps: int, *, depth: int | None = None) -> Message:
    """How many of a part have no place and what was searched, where nothing shows that there is none.

    The steps are said because more of them may find it; a plate is named where more of it surely would.
    """
    serving = [stock.plate.name for stock in stocks if can_be_made(part, stock, depth)]
    facts = {"count": count, "wanted": part.quantity, "steps": steps}
    # No plate is known to yield it alone, so none can be named of which more would help.
    if not serving:
        return Message("not_found", facts=Facts(**facts), says="not_found_alone")
    return Message("not_found", facts=Facts(**facts, stock=_limited(stocks), more=serving[0]))


def _limited(stocks: Sequence[Stock]) -> tuple[Fact, ...]:
    """The plates of which there are only so many; one that is there without limit never stopped a part."""
    limited = ((stock.plate.name, stock.limit) for stock in stocks)
    return tuple(Message("plates_there", name, Facts(limit=limit)) for name, limit in limited if limit is not None)


def _size(part: Part) -> Message:
    """The size of a part as it is cut; a strip has no length of its own."""
    width = _mm(part.width_as_cut)
    if isinstance(part, Rectangle):
        return Message("size_as_cut", facts=Facts(width=width, length=_mm(part.length_as_cut)))
    return Message("size_as_cut", facts=Facts(width=width), says="width_as_cut")


Limit = tuple[Callable[[Case], Case], Callable[[Case], Message]]
"""How a limit is put aside, and what is said where it stops a part."""


def _stopped_by(case: Case) -> Message:
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
        return _cannot("no_plate_left", plates=tuple(stock.plate.name for stock in case.stocks))
    largest = max(there, key=lambda plate: plate.length * plate.width)
    return _cannot(
        "bigger_than_plates",
        size=_size(case.part),
        largest_length=_mm(largest.length),
        largest_width=_mm(largest.width),
    )


def _trimmed_too_small(case: Case) -> Message:
    return _cannot("trimmed_too_small", size=_size(case.part), trim=_mm(max(stock.rules.trim for stock in case.stocks)))


def _fits_only_turned(case: Case) -> Message:
    return _cannot("fits_only_turned", size=_size(case.part))


def _cut_too_long(case: Case) -> Message:
    longest = max(stock.rules.longest_two_pass for stock in case.stocks)
    return _cannot("cut_too_long", longest=_mm(longest), shortest=_mm(min(stock.plate.length for stock in case.stocks)))


def _beyond_bed(case: Case) -> Message:
    return _cannot("beyond_bed", bed=_mm(min(stock.rules.bed_length or math.inf for stock in case.stocks)))


def _too_heavy(case: Case) -> Message:
    limit = min(stock.rules.piece_mass_max or math.inf for stock in case.stocks)
    return _cannot("too_heavy", lightest=mass(min(stock.plate.mass for stock in case.stocks)), limit=mass(limit))


def _too_heavy_to_turn_over(case: Case) -> Message:
    """The lightest plate against the greatest mass that may be turned, and the cuts that it would be turned for."""
    rules = max((stock.rules for stock in case.stocks), key=lambda each: each.turn_over_mass_max or math.inf)
    return _cannot(
        "too_heavy_to_turn_over",
        plate_mass=mass(min(stock.plate.mass for stock in case.stocks)),
        limit=mass(rules.turn_over_mass_max or 0.0),
        longest=_mm(rules.longest_one_pass),
    )


def _out_of_reach(case: Case) -> Message:
    """The fence setting that the part's width asks for; to the torch line, hence the half kerf."""
    rules = case.stocks[0].rules
    offset = _mm(case.part.width_as_cut + rules.kerf / 2)
    return _cannot("out_of_reach", offset=offset, least=_mm(rules.fence_min), most=_mm(rules.fence_max))


def _no_room_beside(case: Case) -> Message:
    rules, far = case.stocks[0].rules, _mm(min(stock.rules.far_max or math.inf for stock in case.stocks))
    if rules.marked:
        return _cannot("no_room_beside", far=far)
    return _cannot("no_room_beside_nor_reach", far=far, least=_mm(rules.fence_min), most=_mm(rules.fence_max))


def _sliver(case: Case) -> Message:
    """Two causes: no room beside the torch for the narrowest offcut, or a sliver that cannot be cut off."""
    rules = case.stocks[0].rules
    narrowest = _mm(rules.narrowest_offcut)
    if rules.far_max is not None and rules.far_max < rules.narrowest_offcut:
        return _cannot("no_room_for_offcut", narrowest=narrowest, far=_mm(rules.far_max))
    return _cannot("sliver_left", size=_size(case.part), narrowest=narrowest, kerf=_mm(rules.kerf))


def _no_scrap_for_square_edges(case: Case) -> Message:
    return _cannot("no_scrap_for_square_edges", size=_size(case.part))


def _too_shallow(case: Case) -> Message:
    return _cannot("too_shallow", depth=case.depth or 0)


def _ruled(**values: object) -> Callable[[Case], Case]:
    """A limit put aside: the case with some values of its cut rules replaced."""
    return lambda case: case.with_rules(lambda rules: replace(rules, **values))  # type: ignore[arg-type]


def _turning(case: Case) -> Case:
    """The case with turning and any rolling direction allowed: both tell how a part may lie."""
    return replace(case, part=replace(case.part, rotate=True, rolling="free"))


def _no_square(case: Case) -> Case:
    """The case with no edge asked to be square."""
    return replace(case, part=replace(case.part, square="none"))


def _any_depth(case: Case) -> Case:
    """The case with no limit on how often the direction changes."""
    return replace(case, depth=None)


# Both: beyond `longest_one_pass` a piece is turned over, and its mass would be asked about, which is another limit.
ANY_LENGTH = {"longest_one_pass": math.inf, "longest_two_pass": math.inf}

LIMITS: tuple[Limit, ...] = (
    (_same, _bigger_than_plates),
    (_ruled(trim=0.0), _trimmed_too_small),
    (_turning, _fits_only_turned),
    (_ruled(**ANY_LENGTH), _cut_too_long),
    (_ruled(bed_length=None), _beyond_bed),
    (_ruled(piece_mass_max=None), _too_heavy),
    (_ruled(turn_over_mass_max=None), _too_heavy_to_turn_over),
    (_ruled(marked=True), _out_of_reach),
    (_ruled(far_max=None), _no_room_beside),
    (_ruled(narrowest_offcut=0.0), _sliver),
    (_no_square, _no_scrap_for_square_edges),
    (_any_depth, _too_shallow),
)
"""How each limit is put aside, and what is said where it stops a part, in the order in which they come back.

Sizes and turning, then length and mass, then fence and room, then slivers and square edges, last the depth: a part
larger than any plate is thus called that, and not out of reach, though it may be both.
"""


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
        yield _free("no_square_edges", _no_square(case))
    if not all(stock.rules.marked for stock in case.stocks):
        yield _free("allow_marked_cuts", _ruled(marked=True)(case))
    if any(stock.rules.trim for stock in case.stocks):
        yield _free("no_trim", _ruled(trim=0.0)(case))
    if isinstance(part, Strip):
        yield from _in_lengths(case, part)
    if any(stock.rules.turn_over_mass_max is not None for stock in case.stocks):
        yield _free("a_hoist", _ruled(turn_over_mass_max=None)(case))
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
        yield _change("say_a_length", FREE, piece, width=_mm(part.width), length=_mm(length))


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
                    yield _change(word[side, sign], abs(change), replace(case, part=part), by=_mm(abs(change)))


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
                    yield _change("a_tolerance", over, replace(case, part=tolerant), over=_mm(over))


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
                by = _mm(abs(change))
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
                yield _change("plate_of_size", far, resized, length=_mm(length), width=_mm(width))


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
            longer = _ruled(longest_one_pass=each, longest_two_pass=each)(case)
            yield _change("longer_cut", each - now, longer, longest=_mm(each))


def _longer_bed(case: Case) -> Iterator[Change]:
    now = min(stock.rules.bed_length or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield _change("longer_bed", each - now, _ruled(bed_length=each)(case), bed=_mm(each))


def _more_mass(case: Case) -> Iterator[Change]:
    now = min(math.inf if stock.rules.piece_mass_max is None else stock.rules.piece_mass_max for stock in case.stocks)
    for stock in case.stocks:
        heavy = math.ceil(stock.plate.length * stock.plate.width * stock.rules.areal_mass)
        if heavy > now:
            yield _change("greater_mass", heavy - now, _ruled(piece_mass_max=float(heavy))(case), mass=mass(heavy))


def _farther_fence(case: Case) -> Iterator[Change]:
    """A fence set farther out, with the piece or what comes off on it; no matter where all cuts may be marked."""
    for stock in case.stocks if not all(each.rules.marked for each in case.stocks) else ():
        kerf = stock.rules.kerf
        for kept in _travels(case):
            for offset in (_tidy(kept + kerf / 2), _tidy(kept - kerf / 2)):
                if offset > stock.rules.fence_max:
                    farther = _ruled(fence_max=offset)(case)
                    yield _change("farther_fence", offset - stock.rules.fence_max, farther, reach=_mm(offset))


def _more_beside(case: Case) -> Iterator[Change]:
    now = min(stock.rules.far_max or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield _change("more_room_beside", each - now, _ruled(far_max=each)(case), room=_mm(each))
