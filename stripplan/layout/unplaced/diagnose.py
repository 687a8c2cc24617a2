"""Why a part cannot be made, and the nearest changes with which it could.

A part is tried alone on an empty plate, by the questions that layout asks. Limits are put aside and brought
back one after another; the first with which no plate is left is the one that stops it. Each change that is
offered has been tried by the same questions.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from stripplan.layout.grid import Grid, common_grid
from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.one_part import Cutter
from stripplan.model.cut_rules import CutRules
from stripplan.model.part import Part, Rectangle, Strip

MOST_SIZES = 3
MOST_RIGS = 2
"""How many changes of a size, and of the rig, are offered at most."""
FREE = 0.0
"""Nearness of a change that moves no size."""


@dataclass(frozen=True)
class Case:
    """A part, its plates with their rules, and how often the direction of cutting may change."""

    part: Part
    stocks: tuple[Stock, ...]
    depth: int | None = None

    def possible(self) -> bool:
        """Whether any plate can yield the part when nothing else is cut from it."""
        return any(can_be_made(self.part, stock, self.depth) for stock in self.stocks)

    def with_rules(self, change: Callable[[CutRules], CutRules]) -> Case:
        """The same with other cut rules."""
        return replace(self, stocks=tuple(replace(stock, rules=change(stock.rules)) for stock in self.stocks))


@dataclass(frozen=True)
class Change:
    """Something that may be done: in words, how far it is from what was asked [mm, or 0], and the case with it done."""

    words: str
    nearness: float
    case: Case


def can_be_made(part: Part, stock: Stock, depth: int | None = None) -> bool:
    """Whether a part can be cut from one plate when nothing else is."""
    grid = _grid(part, stock)
    return grid is not None and Cutter(stock.on(grid), depth).possible(part)


def _grid(part: Part, stock: Stock, *more: float) -> Grid | None:
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
    others: Sequence[tuple[str, Sequence[Stock]]] = (),
) -> tuple[str, str]:
    """(What stops a part, what would help); asked only for parts that no plate yields by itself.

    `others` are changes that only the caller can work out, in words, with the plates and rules after them
    (two passes, say); they are offered where they help.
    """
    if not stocks:
        return f"no plate of {_kind(part)}", "add a plate of that material and thickness"
    case = Case(part, tuple(stocks), depth)
    text, ways_out = _stopped_by(case)
    return text, _offer(case, others) or ways_out


def excluded(part: Part, stocks: Sequence[Stock], *, depth: int | None, parts: Sequence[Part]) -> bool:
    """Whether a part is shown to come from no plate, whatever else of `parts` is cut beside it."""
    beside = [side for each in parts if each is not part or part.quantity > 1 for side in _sides(each)]
    narrowest = min(beside, default=math.inf)
    return not any(
        stock.limit != 0
        and (grid := _grid(part, stock, *beside)) is not None
        and Cutter(stock.on(grid), depth).beside(min(narrowest, stock.rules.narrowest_offcut)).possible(part)
        for stock in stocks
    )


def _sides(part: Part) -> tuple[float, ...]:
    return (part.width_as_cut, part.length_as_cut) if isinstance(part, Rectangle) else (part.width_as_cut,)


def used_up(part: Part, count: int, stocks: Sequence[Stock], missing: int) -> tuple[str, str]:
    """(How many of a part have no place, what would help), where a bound shows `missing` plates too few for all parts."""
    text = f"{count} of {part.quantity} cannot be made: the stock is used up ({_numbers(stocks)})"
    return text, f"add plates (at least {missing} more for all parts), or make fewer"


def not_found(
    part: Part, count: int, stocks: Sequence[Stock], steps: int, *, depth: int | None = None
) -> tuple[str, str]:
    """(How many of a part have no place and what was searched, what would help), where nothing shows that there is none."""
    text = f"no place was found for {count} of {part.quantity}"
    searched = f"{steps} steps of the search, then plate by plate, part by part"
    serving = [stock.plate.name for stock in stocks if can_be_made(part, stock, depth)]
    if not serving:
        text = f"{text}: by itself it comes from no plate as far as was searched ({searched}). Beside others it might"
        return text, "more steps, another seed, or a plate of another size"
    text = f"{text} on the plates there are ({_numbers(stocks)}). Searched: {searched}. That there is none is not shown"
    return text, f"one more {serving[0]}, more steps, another seed, or make fewer"


def _numbers(stocks: Sequence[Stock]) -> str:
    return "; ".join(f"{stock.plate.name}: {stock.limit}" for stock in stocks if stock.limit is not None)


def _kind(part: Part) -> str:
    return f"{part.material or 'its material'} {part.thickness or 0:g} mm"


def _size(part: Part) -> str:
    width = f"{part.width_as_cut:g}"
    return f"{width} x {part.length_as_cut:g} mm" if isinstance(part, Rectangle) else f"{width} mm"


Limit = tuple[Callable[[Case], Case], Callable[[Case], tuple[str, str]]]


def _stopped_by(case: Case) -> tuple[str, str]:
    """The first limit in the list that, brought back, leaves no plate: (what stops it, what would help in general)."""
    for number, (_, words) in enumerate(LIMITS):
        now = case
        for aside, _ in LIMITS[number + 1 :]:
            now = aside(now)
        if not now.possible():
            return words(case)
    return LIMITS[-1][1](case)


def _same(case: Case) -> Case:
    return case


def _size_words(case: Case) -> tuple[str, str]:
    there = [stock.plate for stock in case.stocks if stock.limit != 0]
    if not there:
        none = ", ".join(stock.plate.name for stock in case.stocks)
        return f"there is none left of its plates ({none})", "add plates"
    largest = max(there, key=lambda plate: plate.length * plate.width)
    return (
        f"{_size(case.part)} as cut is bigger than any plate: the largest is {largest.length:g} x {largest.width:g} mm",
        "take a larger plate, or make the part smaller",
    )


def _trim_words(case: Case) -> tuple[str, str]:
    trim = max(stock.rules.trim for stock in case.stocks)
    return (
        f"{_size(case.part)} as cut is bigger than what a trim of {trim:g} mm and its kerf leave of any plate",
        "take a larger plate, or a plate with cut edges",
    )


def _turn_words(case: Case) -> tuple[str, str]:
    return (
        f"{_size(case.part)} fits only turned, and its rolling direction or rotate = false forbids that",
        "allow it to turn, or take a plate rolled the other way",
    )


def _length_words(case: Case) -> tuple[str, str]:
    rules = max((stock.rules for stock in case.stocks), key=lambda each: each.longest_two_pass)
    shortest = min(stock.plate.length for stock in case.stocks)
    return (
        f"no cut that it needs across its plates is within the {rules.longest_two_pass:.0f} mm that the rig can make at once",
        f"the plates are {shortest:g} mm long and more: take a shorter plate, a longer stroke, allow two passes, "
        "or give the power source more duty (less current, more speed)",
    )


def _bed_words(case: Case) -> tuple[str, str]:
    bed = min(stock.rules.bed_length or math.inf for stock in case.stocks)
    return (
        f"for a cut that it needs its plate lies farther along the travel than the bed's {bed:g} mm",
        "take a shorter plate",
    )


def _mass_words(case: Case) -> tuple[str, str]:
    heaviest = min(stock.rules.piece_mass_max or math.inf for stock in case.stocks)
    return (
        f"its plates weigh {min(stock.plate.mass for stock in case.stocks):.0f} kg and more, "
        f"above the greatest piece mass of {heaviest:g} kg",
        "take a smaller plate",
    )


def _turn_over_words(case: Case) -> tuple[str, str]:
    rules = max((stock.rules for stock in case.stocks), key=lambda each: each.turn_over_mass_max or math.inf)
    lightest = min(case.stocks, key=lambda stock: stock.plate.mass)
    return (
        f"for a cut that it needs its plate of {lightest.plate.mass:.0f} kg would be turned over between two passes, and above "
        f"{rules.turn_over_mass_max:g} kg that takes a hoist; the longest plate that one pass cuts is {rules.longest_one_pass:.0f} mm",
        f"cut the plate across first, to {rules.longest_one_pass:.0f} mm at most, and give the pieces as plates",
    )


def _reach_words(case: Case) -> tuple[str, str]:
    rules = case.stocks[0].rules
    return (
        f"its fence offset {case.part.width_as_cut + rules.kerf / 2:g} mm, or that of what lies beside it, lies outside "
        f"the fence's reach of {rules.fence_min:g} to {rules.fence_max:g} mm, and marking out is not allowed",
        "allow marked cuts, or change the fence's reach",
    )


def _far_words(case: Case) -> tuple[str, str]:
    far = min(stock.rules.far_max or math.inf for stock in case.stocks)
    rules, first = case.stocks[0].rules, "whatever comes off first, a cut that it needs"
    if rules.marked:
        return f"{first} has more than the {far:g} mm that may lie beside the torch on both sides", "another plate"
    return (
        f"{first} has no side within the fence's reach of {rules.fence_min:g} to {rules.fence_max:g} mm with the other "
        f"within the {far:g} mm that may lie beside the torch, and marking out is not allowed",
        "allow marked cuts, or take another plate",
    )


def _sliver_words(case: Case) -> tuple[str, str]:
    rules = case.stocks[0].rules
    if rules.far_max is not None and rules.far_max < rules.narrowest_offcut:
        return (
            f"what comes off must be at least the narrowest offcut, {rules.narrowest_offcut:g} mm wide, and at most "
            f"{rules.far_max:g} mm may lie beside the torch",
            "more room beside the torch, or a narrower narrowest_offcut",
        )
    return (
        f"beside {_size(case.part)} a sliver would be left on every plate: the narrowest offcut is "
        f"{rules.narrowest_offcut:g} mm behind a kerf of {rules.kerf:g} mm",
        "give the part a tolerance, change its size a little, or take another plate",
    )


def _square_words(case: Case) -> tuple[str, str]:
    return (
        f"its square edges need scrap beside them, and with that {_size(case.part)} cannot be cut from any plate",
        "ask for no square edges, or take a larger plate",
    )


def _depth_words(case: Case) -> tuple[str, str]:
    return f"it needs cuts in two directions, and depth = {case.depth} allows one", "depth = 2"


def _ruled(**values: object) -> Callable[[Case], Case]:
    return lambda case: case.with_rules(lambda rules: replace(rules, **values))  # type: ignore[arg-type]


def _turning(case: Case) -> Case:
    return replace(case, part=replace(case.part, rotate=True, rolling="free"))


def _no_square(case: Case) -> Case:
    return replace(case, part=replace(case.part, square="none"))


def _any_depth(case: Case) -> Case:
    return replace(case, depth=None)


ANY_LENGTH = {"longest_one_pass": math.inf, "longest_two_pass": math.inf}

LIMITS: tuple[Limit, ...] = (
    (_same, _size_words),
    (_ruled(trim=0.0), _trim_words),
    (_turning, _turn_words),
    (_ruled(**ANY_LENGTH), _length_words),
    (_ruled(bed_length=None), _bed_words),
    (_ruled(piece_mass_max=None), _mass_words),
    (_ruled(turn_over_mass_max=None), _turn_over_words),
    (_ruled(marked=True), _reach_words),
    (_ruled(far_max=None), _far_words),
    (_ruled(narrowest_offcut=0.0), _sliver_words),
    (_no_square, _square_words),
    (_any_depth, _depth_words),
)
"""How each limit is put aside, and what is said where it stops a part, in the order in which they come back."""


def _offer(case: Case, others: Sequence[tuple[str, Sequence[Stock]]]) -> str:
    """The nearest changes that make the part possible, in words; empty where no single change does."""
    return ", or ".join(change.words for change in offers(case, others))


def offers(case: Case, others: Sequence[tuple[str, Sequence[Stock]]] = ()) -> list[Change]:
    """Changes that make the part possible, each tried: those that move no size, then of sizes, then of the rig."""
    given = [Change(words, FREE, replace(case, stocks=tuple(stocks))) for words, stocks in others]
    free = [change for change in (*given, *_permissions(case)) if change.case.possible()]
    free += _nearest_first([_tolerated(case)])
    sizes = _nearest_first([*_part_changes(case), *_plate_changes(case)])
    both = _nearest(_plate_of_both(case))
    if both is not None and all(both.nearness < each.nearness for each in sizes):
        sizes.insert(0, both)
    rigs = _nearest_first(_rig_changes(case))
    return free + sizes[:MOST_SIZES] + rigs[:MOST_RIGS]


def _nearest_first(kinds: Sequence[Iterator[Change]]) -> list[Change]:
    """The nearest change of each kind that helps."""
    found = [change for change in map(_nearest, kinds) if change is not None]
    return sorted(found, key=lambda each: (each.nearness, each.words))


def _nearest(changes: Iterator[Change]) -> Change | None:
    """The nearest change that helps."""
    for change in sorted(changes, key=lambda each: (each.nearness, each.words)):
        if change.case.possible():
            return change
    return None


def _permissions(case: Case) -> Iterator[Change]:
    """Changes by a word: turn, rolling direction, square edges, marking out, trim, depth."""
    part = case.part
    if isinstance(part, Rectangle) and not part.rotate:
        yield Change("let it turn (rotate = true)", FREE, replace(case, part=replace(part, rotate=True)))
    if part.rolling != "free":
        yield Change("leave its rolling direction free", FREE, replace(case, part=replace(part, rolling="free")))
    if part.square != "none":
        yield Change("ask for no square edges", FREE, _no_square(case))
    if not all(stock.rules.marked for stock in case.stocks):
        yield Change("allow marked cuts", FREE, _ruled(marked=True)(case))
    if any(stock.rules.trim for stock in case.stocks):
        yield Change("trim nothing off (trim = 0)", FREE, _ruled(trim=0.0)(case))
    if any(stock.rules.turn_over_mass_max is not None for stock in case.stocks):
        yield Change("a hoist (hoist = true)", FREE, _ruled(turn_over_mass_max=None)(case))
    if case.depth == 1:
        yield Change("depth = 2", FREE, replace(case, depth=2))


def _tidy(length: float) -> float:
    return round(length, 6)


def _targets(stock: Stock) -> Iterator[tuple[float, bool]]:
    """Sizes that a piece may have along an edge of the plate: all of it, or as much as leaves a legal rest; and which edge."""
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
    as_cut = case.part.width_as_cut if side == "width" or isinstance(case.part, Strip) else case.part.length_as_cut
    word = {("width", -1): "narrower", ("width", 1): "wider", ("length", -1): "shorter", ("length", 1): "longer"}
    for stock in case.stocks:
        for target, _ in _targets(stock):
            for round_it in _beside(case.part, stock):
                change = _tidy(target - round_it - as_cut)
                size = _tidy(getattr(case.part, side) + change)
                if change * sign > 0 and size > 0:
                    part = replace(case.part, **{side: size})  # type: ignore[arg-type]
                    yield Change(f"{abs(change):g} mm {word[side, sign]}", abs(change), replace(case, part=part))


def _tolerated(case: Case) -> Iterator[Change]:
    part = case.part
    sizes = [part.width_as_cut] + ([part.length_as_cut] if isinstance(part, Rectangle) else [])
    for stock in case.stocks if part.square == "none" else ():
        for target, _ in _targets(stock):
            for size in sizes:
                over = _tidy(target - size)
                if (part.tolerance or 0.0) < over < stock.rules.kerf + stock.rules.narrowest_offcut:
                    tolerant = replace(part, tolerance=over)
                    yield Change(f"a tolerance of {over:g} mm, left on it", over, replace(case, part=tolerant))


def _plate_changes(case: Case) -> list[Iterator[Change]]:
    """One plate longer, shorter, wider or narrower."""
    sides = [("length", 1, "longer"), ("length", -1, "shorter"), ("width", 1, "wider"), ("width", -1, "narrower")]
    return [_plate_resized(case, side, sign, word) for side, sign, word in sides]


def _plate_resized(case: Case, side: str, sign: int, word: str) -> Iterator[Change]:
    for number, stock in enumerate(case.stocks):
        if stock.limit == 0:
            continue
        now = getattr(stock.plate, side)
        for size in sorted(_plate_sizes(case.part, stock, side)):
            change = _tidy(size - now)
            if change * sign > 0 and size > 0:
                words = f"a {'larger' if sign > 0 else 'smaller'} plate ({stock.plate.name} {abs(change):g} mm {word})"
                yield _with_plate(case, number, {side: size}, words, abs(change))


def _with_plate(case: Case, number: int, sizes: dict[str, float], words: str, nearness: float) -> Change:
    stock = case.stocks[number]
    plate = replace(stock.plate, **sizes)  # type: ignore[arg-type]
    stocks = (*case.stocks[:number], replace(stock, plate=plate), *case.stocks[number + 1 :])
    return Change(words, nearness, replace(case, stocks=stocks))


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
    if rules.piece_mass_max is not None and rules.areal_mass:
        other = plate.width if side == "length" else plate.length
        found.add(math.floor(rules.piece_mass_max / rules.areal_mass / other))
    return found


def _plate_of_both(case: Case) -> Iterator[Change]:
    """One plate changed on both sides."""
    for number, stock in enumerate(case.stocks):
        plate = stock.plate
        lengths = _plate_sizes(case.part, stock, "length") - {plate.length} if plate.limit != 0 else set()
        widths = _plate_sizes(case.part, stock, "width") - {plate.width}
        for length, width in product(sorted(lengths), sorted(widths)):
            if length > 0 and width > 0:
                far = abs(length - plate.length) + abs(width - plate.width)
                words = f"a plate of {length:g} x {width:g} mm"
                yield _with_plate(case, number, {"length": length, "width": width}, words, far)


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
    now = max(stock.rules.longest_two_pass for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            longer = _ruled(longest_one_pass=each, longest_two_pass=each)(case)
            words = f"a rig that cuts {each:g} mm at once (longer stroke, two passes, more duty)"
            yield Change(words, each - now, longer)


def _longer_bed(case: Case) -> Iterator[Change]:
    now = min(stock.rules.bed_length or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield Change(f"a bed of {each:g} mm", each - now, _ruled(bed_length=each)(case))


def _more_mass(case: Case) -> Iterator[Change]:
    now = min(math.inf if stock.rules.piece_mass_max is None else stock.rules.piece_mass_max for stock in case.stocks)
    for stock in case.stocks:
        mass = math.ceil(stock.plate.length * stock.plate.width * stock.rules.areal_mass)
        if mass > now:
            yield Change(f"a greatest piece mass of {mass} kg", mass - now, _ruled(piece_mass_max=float(mass))(case))


def _farther_fence(case: Case) -> Iterator[Change]:
    for stock in case.stocks if not all(each.rules.marked for each in case.stocks) else ():
        kerf = stock.rules.kerf
        for kept in _travels(case):
            for offset in (_tidy(kept + kerf / 2), _tidy(kept - kerf / 2)):
                if offset > stock.rules.fence_max:
                    yield Change(
                        f"a fence that reaches {offset:g} mm",
                        offset - stock.rules.fence_max,
                        _ruled(fence_max=offset)(case),
                    )


def _more_beside(case: Case) -> Iterator[Change]:
    now = min(stock.rules.far_max or math.inf for stock in case.stocks)
    for each in _travels(case):
        if each > now:
            yield Change(f"room for {each:g} mm beside the torch", each - now, _ruled(far_max=each)(case))
