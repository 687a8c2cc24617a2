"""Parts from the outlines of a drawing: equal ones counted, each with a name of its own."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import chain

from stripplan.errors import Fault, InputError
from stripplan.files.fault_words import fault, message, shortened
from stripplan.files.parts.drawings.labels import Said, said_in
from stripplan.files.parts.drawings.outlines import DrawnParts, Label, Outline, Point, Reading, Skipped, where
from stripplan.files.parts.drawings.overlaps import Overlaps
from stripplan.files.parts.drawings.rectangle import STEP, Fit, fitted
from stripplan.files.toml.quantities import LONGEST_NAME, MOST_ENTRIES, MOST_PARTS
from stripplan.model.part import Part, Rectangle
from stripplan.wording.message import Fact, Facts, Message, length


@dataclass
class _Found:
    """Outlines of one size, layer and name."""

    length: float
    width: float
    layer: str
    name: str | None
    quantity: int


def parts_of(outlines: Sequence[Outline], labels: Sequence[Label], reading: Reading) -> tuple[DrawnParts, set[int]]:
    """The parts that outlines are, and numbers of the labels that stand in one of them."""
    skipped: list[Skipped] = []
    outlines = _once(outlines, reading, skipped)
    if len(outlines) > MOST_ENTRIES:
        raise InputError(fault("too_many.outlines", reading.name, count=len(outlines), most=MOST_ENTRIES))
    fits = [message("why.curved") if each.curved else fitted(each.points, reading.tolerance) for each in outlines]
    overlaps = Overlaps(outlines, fits, reading)
    reasons = overlaps.reasons()
    reasons |= {at: fit for at, fit in enumerate(fits) if isinstance(fit, Message)}
    reasons |= {at: each.refused for at, each in enumerate(outlines) if each.refused}
    inside = overlaps.texts_in(labels, reasons)
    found: dict[tuple[float, float, str, str | None], _Found] = {}
    notes: dict[Facts, Fault] = {}
    rounding = off = 0.0
    for at, outline in enumerate(outlines):
        fit = fits[at]
        middle = fit.middle if isinstance(fit, Fit) else _middle(outline.points)
        place = where(outline.layer, middle, reading)
        said = said_in([labels[each] for each in inside.get(at, ())], reading)
        count = _quantity(outline, said)
        why = reasons.get(at) or (count if isinstance(count, Message) else None)
        if why is not None or not isinstance(fit, Fit) or isinstance(count, Message):
            skipped.append(Skipped(outline.what, place, why or message("why.nothing")))
            continue
        name = _name(outline, said, place, notes)
        long, width = _rounded(2 * fit.half_length), _rounded(2 * fit.half_width)
        rounding = max(rounding, abs(long - 2 * fit.half_length), abs(width - 2 * fit.half_width))
        off = max(off, fit.off)
        key = (long, width, outline.layer, name)
        found.setdefault(key, _Found(long, width, outline.layer, name, 0)).quantity += count
    several = [*_figures(rounding, off, reading), *notes.values()]
    parts = _named(list(found.values()), reading, several)
    on = tuple(each.layer for each in found.values())
    return DrawnParts(tuple(parts), tuple(skipped), tuple(several), on), set(chain.from_iterable(inside.values()))


def _quantity(outline: Outline, said: Said) -> int | Message:
    """How many of an outline are wanted, or why that cannot be told."""
    quantities = sorted({*said.quantities, *([outline.quantity] if outline.quantity is not None else [])})
    if len(quantities) > 1:
        return message("why.two_quantities", one=quantities[0], other=quantities[1])
    count = quantities[0] if quantities else 1
    return count if 1 <= count <= MOST_PARTS else message("why.quantity", count=count, most=MOST_PARTS)


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


def _name(outline: Outline, said: Said, place: str, notes: dict[Facts, Fault]) -> str | None:
    """The name of an outline: of several texts the topmost that is more than a number. Each note is made once, at
    the first outline of which it is true."""
    for text in said.unsure:
        note = fault("unsure.name", place, text=shortened(text))
        notes.setdefault(note.message.facts, note)
    several = list(dict.fromkeys(said.names))
    named = next((each for each in several if not each.isdecimal()), several[0] if several else None)
    others = [each for each in several if each != named]
    if others:
        shown = tuple(shortened(each) for each in others[:3])
        note = fault("texts.others", place, name=shortened(named or ""), others=shown, all_said=len(others) <= 3)
        notes.setdefault(note.message.facts, note)
    return named or outline.name


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
        thickness, material = reading.of_layer(each.layer)
        parts.append(
            Rectangle(
                name=name, width=each.width, length=each.length, quantity=each.quantity,
                thickness=thickness, material=material,
            )
        )  # fmt: skip
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
