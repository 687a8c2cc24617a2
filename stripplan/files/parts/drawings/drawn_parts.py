"""Parts from the outlines of a drawing: equal ones counted, each with a name of its own."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, message, printable, shortened
from stripplan.files.parts.drawings.holes import holes_of
from stripplan.files.parts.drawings.labels import Said, said_in
from stripplan.files.parts.drawings.outlines import DrawnParts, Label, Outline, Point, Reading, Skipped, where
from stripplan.files.parts.drawings.overlaps import Overlaps
from stripplan.files.parts.drawings.rectangle import STEP, Fit, fitted
from stripplan.files.parts.drawings.straight_sided import Sided, sided
from stripplan.files.parts.drawings.text_places import TextPlaces, text_places
from stripplan.files.parts.lists.counts import Counted, counted, numbered, quantity_of
from stripplan.files.toml.quantities import LONGEST_NAME, MOST_ENTRIES, MOST_PARTS
from stripplan.model.material import word
from stripplan.model.part import Hole, Part, Rectangle, Shape
from stripplan.model.polygon import Outline as Sides
from stripplan.model.polygon import box
from stripplan.wording.message import Fact, Facts, Message, length

Stock = tuple[float | None, str | None]
"""Thickness [mm] and material; None = nothing says it."""


@dataclass
class _Found:
    """Outlines of one size, layer, name, note, holes and stock; `sides` are those of the first that is no rectangle."""

    length: float
    width: float
    layer: str
    name: str | None
    note: str
    holes: tuple[Hole, ...]
    stock: Stock
    quantity: int
    sides: Sides | None = None


@dataclass(frozen=True)
class _Made:
    """An outline as a part: its rectangle or shape, how many, thickness [mm] and material, holes."""

    fit: Fit | Sided
    count: int
    stock: Stock
    holes: tuple[Hole, ...]


@dataclass
class _Drawn:
    """What is drawn and what is said of it: closed outlines with the rectangles that they are, then open ones."""

    outlines: list[Outline]
    fits: list[Fit | Sided | Message]
    overlaps: Overlaps
    reasons: dict[int, Message]
    said: dict[int, Said]
    holes: dict[int, tuple[int, ...]]


def parts_of(
    outlines: Sequence[Outline], labels: Sequence[Label], reading: Reading, loose: Sequence[Outline] = ()
) -> tuple[DrawnParts, set[int]]:
    """The parts that outlines are, and numbers of the labels that tell something of an outline; `loose` are those that
    do not close, with why they are refused."""
    skipped: list[Skipped] = []
    closed = _once(outlines, reading, skipped)
    if len(closed) > MOST_ENTRIES:
        raise InputError(fault("too_many.outlines", reading.name, count=len(closed), most=MOST_ENTRIES))
    drawn, places = _looked_at(closed, loose, labels, reading)
    told = numbered(each for said in drawn.said.values() for each in said.named)
    within = {each for at, held in drawn.holes.items() if drawn.reasons[at].key == "why.hole" for each in held}
    found: dict[tuple[object, ...], _Found] = {}
    notes: dict[Facts, Fault] = {}
    rounding = off = 0.0
    for at, outline in enumerate(drawn.outlines):
        if at in within:  # told with the outline around it
            continue
        said, own, place = drawn.said.get(at, Said()), _own_name(outline), _place(drawn, at, reading)
        made = _made(drawn, at, own, told, reading)
        if isinstance(made, Message):
            count = _quantity(outline, said, own, told)
            quantity = 1 if isinstance(count, Message) else count
            skipped.append(Skipped(outline.what, place, made, _name(said, own, place, {}) or "", quantity))
            continue
        name = _name(said, own, place, notes)
        others = [each for each in _texts(said) if each != name and not each.isdecimal()]
        note = printable("; ".join([*said.notes, *others]))
        sides, exact = (made.fit.outline, made.fit.exact) if isinstance(made.fit, Sided) else (None, None)
        true_long, true_width = _extents(made.fit)
        long, width = _rounded(true_long), _rounded(true_width)
        if sides is None:
            rounding = max(rounding, abs(long - true_long), abs(width - true_width))
        off = max(off, made.fit.off)
        key = (long, width, outline.layer, name, note, made.holes, made.stock, sides)
        one = _Found(long, width, outline.layer, name, note, made.holes, made.stock, 0, exact)
        found.setdefault(key, one).quantity += made.count
    several = [*_figures(rounding, off, reading), *notes.values()]
    parts = _named(list(found.values()), reading, several)
    skipped += _uncounted(labels, places, reading)
    used = {number for numbers in places.of.values() for number in numbers}
    used |= {number for number in places.nowhere if _counts(labels[number], reading)}
    on = tuple(each.layer for each in found.values())
    return DrawnParts(tuple(parts), tuple(skipped), tuple(several), on), used


def _extents(fit: Fit | Sided) -> tuple[float, float]:
    """Length and width of what an outline is."""
    if isinstance(fit, Sided):
        _, _, long, width = box(fit.outline)
        return long, width
    return 2 * fit.half_length, 2 * fit.half_width


def _place(drawn: _Drawn, at: int, reading: Reading) -> str:
    """Where an outline lies: its middle, or of an open one its loose end."""
    outline = drawn.outlines[at]
    if at >= len(drawn.fits):
        return where(outline.layer, outline.points[0], reading)
    fit = drawn.fits[at]
    return where(outline.layer, _middle(outline.points) if isinstance(fit, Message) else fit.middle, reading)


def _made(drawn: _Drawn, at: int, own: Counted, told: Collection[tuple[str, int]], reading: Reading) -> _Made | Message:
    """What an outline is as a part, or why it is none."""
    outline, said = drawn.outlines[at], drawn.said.get(at, Said())
    fit = drawn.fits[at] if at < len(drawn.fits) else message("why.nothing")
    why = drawn.reasons.get(at)
    bare = why is None or (why.key == "why.hole" and reading.drill_later and isinstance(fit, Fit))
    if why is not None and not bare:
        return why
    count, stock = _quantity(outline, said, own, told), _stock(outline, said, reading)
    for each in (fit, count, stock):
        if isinstance(each, Message):
            return each
    assert isinstance(fit, (Fit, Sided))
    assert isinstance(count, int)
    assert isinstance(stock, tuple)
    inner = [drawn.outlines[each] for each in drawn.holes.get(at, ())]
    holes = holes_of(fit, inner, upside_down=reading.upside_down) if inner and isinstance(fit, Fit) else ()
    return _Made(fit, count, stock, holes)


def _looked_at(
    closed: list[Outline], loose: Sequence[Outline], labels: Sequence[Label], reading: Reading
) -> tuple[_Drawn, TextPlaces]:
    """What lies over what, which texts belong to which outline, and which outlines are holes of others."""
    fits = [message("why.curved") if each.curved else _fit(each.points, reading.tolerance) for each in closed]
    overlaps = Overlaps(closed, fits, reading)
    reasons = overlaps.reasons()
    holes = {at: overlaps.outermost(held) for at, held in overlaps.inner.items() if reasons[at].key == "why.hole"}
    reasons |= {at: message("why.hole", count=len(held)) for at, held in holes.items()}
    reasons |= {at: fit for at, fit in enumerate(fits) if isinstance(fit, Message)}
    several = [*closed, *loose]
    reasons |= {at: each.refused for at, each in enumerate(several) if each.refused}
    lines = (at for at, each in enumerate(several) if at >= len(closed) and overlaps.line_within(each.points))
    reasons |= {at: message("why.line_within") for at in lines}
    passed = {at for at, why in reasons.items() if why.key == "why.twice_over"}
    inside = {each for held in overlaps.inner.values() for each in held}
    places = text_places(several, overlaps, labels, reading, passed=passed, holes=inside)
    for at, held in holes.items():
        for each in held:
            if closed[each].curved:  # what stands in a round hole is said of the part around it
                places.of.setdefault(at, []).extend(places.of.pop(each, ()))
    said = {at: said_in([labels[each] for each in numbers], reading) for at, numbers in places.of.items()}
    for at, held in holes.items():
        if any(_may_be_part(each, said, fits) for each in held):
            reasons[at] = message("why.frame")
    return _Drawn(several, fits, overlaps, reasons, said, holes), places


def _fit(points: Sequence[Point], tolerance: float) -> Fit | Sided | Message:
    """The rectangle or the straight-sided shape that an outline is, or why it is neither."""
    found = fitted(points, tolerance)
    if isinstance(found, Message) and found.key in ("why.corners", "why.not_square"):
        return sided(points, tolerance)
    return found


def _may_be_part(at: int, said: Mapping[int, Said], fits: Sequence[Fit | Sided | Message]) -> bool:
    """Whether an outline within another may be a part itself, and the other a frame: it is a rectangle, or has a name
    or a count."""
    words = said.get(at, Said())
    return isinstance(fits[at], Fit) or bool(words.named or words.quantities)


def _own_name(outline: Outline) -> Counted:
    """What the drawing says of an outline outside of texts: a number in it is part of the name, but for a plain
    count."""
    own = counted(outline.name or "")
    return own if own.count is not None and own.name else Counted(name=outline.name)


def _quantity(outline: Outline, said: Said, own: Counted, told: Collection[tuple[str, int]]) -> int | Message:
    """How many of an outline are wanted, or why that cannot be told."""
    stated = [*said.quantities, *([outline.quantity] if outline.quantity is not None else [])]
    count = quantity_of([*said.named, *([] if said.named else [own])], stated, told)
    if isinstance(count, Message):
        return count
    count = 1 if count is None else count
    return count if 1 <= count <= MOST_PARTS else message("why.quantity", count=count, most=MOST_PARTS)


def _stock(outline: Outline, said: Said, reading: Reading) -> Stock | Message:
    """Thickness and material by layer and texts, or that they contradict each other."""
    thickness, material = reading.of_layer(outline.layer)
    thick = sorted({each for each, _ in said.stock} | ({thickness} if thickness is not None else set()))
    if len(thick) > 1:
        return message("why.two_thicknesses", one=length(thick[0]), other=length(thick[-1]))
    named = list(dict.fromkeys([*([material] if material else []), *(each for _, each in said.stock if each)]))
    if len({word(each) for each in named}) > 1:
        return message("why.two_materials", one=named[0], other=named[1])
    return (thick[0] if thick else None), (named[0] if named else None)


def _counts(label: Label, reading: Reading) -> bool:
    return counted(reading.wording(label.text) or "").count is not None


def _uncounted(labels: Sequence[Label], places: TextPlaces, reading: Reading) -> Iterator[Skipped]:
    """Texts that count and belong to no outline: somebody wants more than is drawn."""
    for number in places.nowhere:
        label = labels[number]
        if _counts(label, reading):
            key = "why.count_between" if number in places.between else "why.count_nowhere"
            yield Skipped("text", where("", label.at, reading), message(key), shortened(label.text))


def _once(outlines: Sequence[Outline], reading: Reading, skipped: list[Skipped]) -> list[Outline]:
    """Each outline once: one drawn again from the same points is listed. Which point is first does not matter."""
    kept: dict[tuple[Point, ...], Outline] = {}
    for outline in outlines:
        key = tuple(sorted((round(x, 6), round(y, 6)) for x, y in outline.points))
        if key in kept and kept[key].curved == outline.curved:
            place = where(outline.layer, _middle(outline.points), reading)
            skipped.append(Skipped(outline.what, place, message("why.twice_over", other=kept[key].what)))
        else:
            kept[key] = outline
    return list(kept.values())


def _name(said: Said, own: Counted, place: str, notes: dict[Facts, Fault]) -> str | None:
    """The name of an outline: of several texts the topmost that is more than a number. Each note is made once, at
    the first outline of which it is true."""
    several = _texts(said)
    named = next((each for each in several if not each.isdecimal()), several[0] if several else None)
    others = [each for each in several if each != named]
    if others:
        shown = tuple(shortened(each) for each in others[:3])
        note = fault("texts.others", place, name=shortened(named or ""), others=shown, all_said=len(others) <= 3)
        notes.setdefault(note.message.facts, note)
    return named or own.name


def _texts(said: Said) -> list[str]:
    """The names that texts say, each once."""
    return list(dict.fromkeys(each.name for each in said.named if each.name))


def _named(found: Sequence[_Found], reading: Reading, notes: list[Fault]) -> list[Part]:
    """Parts with names that no other has: where several sizes share one, the size is added to each, then a number."""
    shared = {name for name, count in Counter(each.name for each in found).items() if name is not None and count > 1}
    parts: list[Part] = []
    taken: set[str] = set()
    numbers: Counter[str] = Counter()
    for at, each in enumerate(found):
        name = each.name or f"part {reading.first + at}"
        if each.name in shared:
            name = f"{name[: LONGEST_NAME - 40]} {each.length:g} x {each.width:g}"
        base = name
        while name in taken:
            numbers[base] += 1
            name = f"{base[: LONGEST_NAME - 10]} ({numbers[base] + 1})"
        taken.add(name)
        if each.quantity > MOST_PARTS:
            facts: dict[str, Fact] = {"count": each.quantity, "name": shortened(name), "most": MOST_PARTS}
            raise InputError(fault("too_many.drawn", reading.name, **facts))
        thickness, material = each.stock
        given: dict[str, Any] = {
            "name": name, "quantity": each.quantity, "thickness": thickness, "material": material, "note": each.note,
            "holes": each.holes,
        }  # fmt: skip
        if each.sides is None:
            parts.append(Rectangle(**given, width=each.width, length=each.length))
        else:
            parts.append(Shape(**given, outline=each.sides))
    for name in sorted(shared)[:10]:
        notes.append(fault("same_name.outlines", reading.name, name=shortened(name)))
    return parts


def _figures(rounding: float, off: float, reading: Reading) -> list[Fault]:
    """Notes on how far parts are off what is drawn. What is below a millionth of a mm is noise of the numbers."""
    notes = []
    if rounding > 1e-6:
        notes.append(fault("rounded.sizes", reading.name, step=length(float(STEP)), most=length(_up(rounding))))
    if off > 1e-6:
        facts = {"most": length(_up(off)), "tolerance": length(reading.tolerance)}
        notes.append(fault("off_square.corners", reading.name, **facts))
    return notes


def _up(value: float) -> float:
    """A figure in hundred-thousandths of a mm, not below what it was."""
    return math.ceil(round(value * 1e5, 3)) / 1e5


def _rounded(size: float) -> float:
    return float(Decimal(repr(round(size, 7))).quantize(STEP, ROUND_HALF_UP))


def _middle(points: Sequence[Point]) -> Point:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
