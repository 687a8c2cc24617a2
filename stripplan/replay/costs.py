"""What a job costs: every line of the quotation from the plan's own prices, minutes and masses, and each part's share
of it.

Written anew from what the guide says of a quotation; amounts are whole cents, shares add up, and each share lies within
a cent of its exact one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, zip_longest

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import PlanPlate
from stripplan.model.plan.quotation import CostLine, PartCost, Quotation, cents
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.model.rig import Process
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.sums import cut_edges

EFFICIENCY = 0.85
"""Of a power source whose efficiency is not given: assumed, from memory."""
LIFE = (200.0, 3.0)
"""Starts and arc hours that a tip stands: common practice."""
AIR = (
    (20.0, 113.0),
    (30.0, 113.0),
    (40.0, 142.0),
    (50.0, 142.0),
    (60.0, 170.0),
    (80.0, 170.0),
    (85.0, 227.0),
    (100.0, 227.0),
)
"""Current [A], free air [l/min]: 4, 5, 6 and 8 cubic feet a minute, a trade guide, common practice."""
TIME = ("process", "seconds", "return_speed", "pre_flow", "post_flow")
"""Figures of the rig that the time at the rig rests on; "seconds" stands for its table but for finishing, which is
priced apart."""

FINISH = "seconds.finish_per_m"

Shares = dict[str, float]
"""How the parts share something, by name."""


@dataclass(frozen=True)
class Want:
    """A line as it must be; `shares` in any unit."""

    what: str
    quantity: float
    unit: str
    price: float
    assumed: bool
    shares: Shares


def check_quotation(bench: Bench, time: Sequence[str] = TIME) -> Iterator[Finding]:
    """There is a quotation where there are prices; its lines, parts and sums are those of the plan. `time` is what
    minutes rest on."""
    prices, quoted = bench.plan.rig.prices, bench.plan.quotation
    asked = prices is not None and any(line.made for line in bench.plan.parts)
    if asked != (quoted is not None):
        words = "the rig has prices, but the plan no quotation" if asked else "the plan has a quotation without prices"
        yield Finding("quotation", "quotation", f"{words[0].upper()}{words[1:]}.")
    if quoted is None or prices is None:
        return
    wanted = list(lines(bench, prices, time))
    yield from _heads(bench, quoted)
    rounding = 5e-7 * (2 + len(bench.plan.arcs) + len(bench.plan.pieces))  # each figure stands to a millionth
    for line, want in zip_longest(quoted.lines, wanted):
        yield from _line(line, want, rounding)
    if sum(cents(line.amount) for line in quoted.lines) != cents(quoted.total):
        yield Finding("quotation", "quotation, total", f"The lines do not add up to the total, {quoted.total:.2f}.")
    if [line.what for line in quoted.lines] == [want.what for want in wanted]:
        yield from _parts(quoted, wanted)
    yield from _left_out(bench, quoted, prices)


def _heads(bench: Bench, quoted: Quotation) -> Iterator[Finding]:
    job = bench.plan.job
    names = ("job", quoted.job, job.name), ("currency", quoted.currency, job.currency)
    for key, named, asked in names:
        if named != asked:
            yield Finding("quotation", f"quotation, {key}", f"The quotation says {key} {named!r}; the job {asked!r}.")
    made = [(line.name, line.made) for line in bench.plan.parts]
    if [(part.name, part.made) for part in quoted.parts] != made:
        yield Finding("quotation", "quotation, parts", "The parts of the quotation are not those that are made.")


def _line(line: CostLine | None, want: Want | None, rounding: float) -> Iterator[Finding]:
    if line is None or want is None or line.what != want.what:
        there, due = (line.what if line else "nothing"), (want.what if want else "nothing")
        yield Finding("quotation", f"quotation, {due}", f"The quotation should have {due} where it has {there}.")
        return
    about = f"quotation, {line.what}"
    if line.unit != want.unit or line.assumed != want.assumed:
        text = (
            f"{line.what} is {'assumed' if want.assumed else 'not assumed'}, in {want.unit}; the plan says otherwise."
        )
        yield Finding("quotation", about, text)
    for key, said, right in (("quantity", line.quantity, want.quantity), ("price", line.price, want.price)):
        if not math.isclose(said, right, rel_tol=1e-6, abs_tol=rounding):
            true, given = figures(right, said)
            yield Finding("quotation", f"{about}, {key}", f"{line.what}: the {key} is {true}, not {given}.")
    slack = 0.00501 + rounding * (abs(want.quantity) + abs(want.price))
    if (
        abs(line.amount - want.quantity * want.price) > slack
        or abs(line.amount * 100 - round(line.amount * 100)) > 1e-6
    ):
        text = (
            f"{want.quantity:g} {line.unit} at {want.price:g} are {want.quantity * want.price:.2f}, not "
            f"{line.amount:.2f}."
        )
        yield Finding("quotation", about, text)


def _parts(quoted: Quotation, wanted: list[Want]) -> Iterator[Finding]:
    """Shares of each line add up to it, those of a part to its total, and none is more than a cent off."""
    names = [part.name for part in quoted.parts]
    for number, (line, want) in enumerate(zip(quoted.lines, wanted, strict=True)):
        amounts = [part.amounts[number] if number < len(part.amounts) else 0.0 for part in quoted.parts]
        if sum(map(cents, amounts)) != cents(line.amount):
            text = f"The parts' shares of {line.what} add up to {sum(amounts):.2f}, not {line.amount:.2f}."
            yield Finding("quotation", f"quotation, shares of {line.what}", text)
        whole = math.fsum(want.shares.values())
        for name, said in zip(names, amounts, strict=True):
            right = line.amount * want.shares.get(name, 0.0) / whole if whole else 0.0
            if abs(said - right) > 0.0201:  # a cent of rounding, and one carried from the line before
                text = f"{name}: its share of {line.what} is {right:.2f}, not {said:.2f}."
                yield Finding("quotation", f"quotation, {name}, {line.what}", text)
    for part in quoted.parts:
        yield from _part(part, len(wanted))


def _part(part: PartCost, lines: int) -> Iterator[Finding]:
    each = cents(cents(part.total) / part.made / 100) / 100 if part.made else None
    if len(part.amounts) != lines or sum(map(cents, part.amounts)) != cents(part.total) or part.each != each:
        text = f"{part.name}: its shares, their total {part.total:.2f} and the price of one do not go together."
        yield Finding("quotation", f"quotation, {part.name}", text)


_UNPRICED = {
    "power": ("no_price.power", "no_current"),
    "air": ("no_price.air", "no_flow"),
    "tips": ("no_price.tips",),
    "electrodes": ("no_price.electrodes",),
    "scrap brought back": ("no_price.scrap",),
    "markup": ("no_price.markup",),
    "time at the rig": ("no_price.time",),
    "finishing": ("no_price.finishing",),
    "plate": ("no_price.plate",),
    "offcuts kept": ("no_price.offcuts",),
}
"""Codes that say that a line is not in the sum."""


def _named(quoted: Quotation, what: str) -> bool:
    """Whether a line is named among what is left out; quotations of earlier editions know only sentences."""
    if quoted.missing:
        return any(each.code in _UNPRICED[what] for each in quoted.missing)
    return any(re.match(rf"{what}\b", each.lower()) for each in quoted.left_out)


def _short_named(quoted: Quotation, part: str) -> bool:
    """The same of a part of which fewer are made than wanted."""
    if quoted.missing:
        return any(each.code == "short_of_wanted" and each.about == part for each in quoted.missing)
    return any(each.startswith(f"{part}:") for each in quoted.left_out)


def _left_out(bench: Bench, quoted: Quotation, prices: Prices) -> Iterator[Finding]:
    """What has no line is named among what is left out."""
    if quoted.missing and len(quoted.missing) != len(quoted.left_out):
        yield Finding("quotation", "quotation, left out", "What is left out is not the same for programs and people.")
    there = {line.what.split(":")[0] for line in quoted.lines}
    finishing = ("finishing",) if bench.plan.job.options.finish else ()
    for what in ("power", "air", "tips", "electrodes", "scrap brought back", "markup", "time at the rig", *finishing):
        scrap = any(piece.kind == "scrap" for piece in bench.plan.pieces)
        due = what not in there and not (what == "scrap brought back" and not scrap)
        if due and not _named(quoted, what):
            yield Finding("quotation", f"quotation, {what}", f"The quotation has no {what}, and does not say so.")
    for line in bench.plan.parts:
        if line.made < line.wanted and not _short_named(quoted, line.name):
            yield Finding(
                "quotation", f"quotation, {line.name}", f"The quotation does not say that {line.name} is short."
            )
    priced = {each.name for each in bench.plan.job.plates if _priced(each)}
    bare = any(plate.stock not in priced for plate in bench.plan.plates)
    if bare and not _named(quoted, "plate"):
        yield Finding("quotation", "quotation, plate", "The quotation has plates without a price, and does not say so.")
    if bench.plan.hand_bevels and not any(each.code == "bevels_by_hand" for each in quoted.missing):
        yield Finding("quotation", "quotation, bevels", "The quotation does not say that bevels by hand are not in it.")
    offcuts = any(piece.kind == "offcut" for piece in bench.plan.pieces)
    if _named(quoted, "offcuts kept") != (offcuts and not prices.credit_offcuts):
        yield Finding("quotation", "quotation, offcuts", "The quotation is not right about the offcuts that are kept.")


def _priced(stock: Plate) -> bool:
    return stock.cost is not None or stock.price_per_kg is not None


# --- the lines ------------------------------------------------------------------------------------------------------


def lines(bench: Bench, prices: Prices, time: Sequence[str]) -> Iterator[Want]:
    """Every line in its order, the markup last."""
    split = _Split(bench)
    made = [*_plates(bench, split, prices), *_work(bench, split, prices, time)]
    yield from made
    if prices.markup is not None and bench.plan.quotation is not None:
        said = bench.plan.quotation.lines[
            : len(made)
        ]  # cents are rounded once, in the plan; whether rightly is seen above
        base = max(0, sum(cents(line.amount) for line in said)) / 100
        shares = _sum((line.amount, _fractions(want.shares)) for line, want in zip(said, made, strict=False))
        yield Want("markup", prices.markup, "%", base / 100, any(want.assumed for want in made), shares)


def _plates(bench: Bench, split: _Split, prices: Prices) -> Iterator[Want]:
    priced = {each.name for each in bench.plan.job.plates if _priced(each)}
    stocks: dict[str, list[PlanPlate]] = {}
    for plate in bench.plan.plates:
        if plate.stock in priced:
            stocks.setdefault(plate.stock, []).append(plate)
    for stock, plates in stocks.items():
        shares = _sum((plate.cost, split.of_plate(plate.id)) for plate in plates)
        price = math.fsum(plate.cost for plate in plates) / len(plates)
        yield Want(f"plate: {stock}", len(plates), "plate" if len(plates) == 1 else "plates", price, False, shares)
    for stock, plates in stocks.items() if prices.credit_offcuts else ():
        kept = {plate.id: split.area(plate.id, "offcut") for plate in plates}
        area = sum(kept.values()) * 1e-6
        if area:
            back = {plate.id: plate.cost * kept[plate.id] / (plate.length * plate.width) for plate in plates}
            shares = _sum((worth, split.of_plate(name)) for name, worth in back.items())
            yield Want(f"offcuts kept: {stock}", area, "m2", -sum(back.values()) / area, False, shares)


def _work(bench: Bench, split: _Split, prices: Prices, time: Sequence[str]) -> Iterator[Want]:
    """Time, power, air, wear, scrap: each from the cuts, so far as there is a price and a figure."""
    plan = bench.plan

    def of_cuts(each: Mapping[int, float]) -> Shares:
        return _sum((each[cut.number], split.of_cut(cut)) for cut in plan.arcs if cut.number in each)

    if prices.per_hour is not None:
        times = {cut.number: cut.minutes.total / 60 for cut in plan.arcs}
        assumed = _assumed(bench, *time)
        yield Want("time at the rig", sum(times.values()), "h", prices.per_hour, assumed, of_cuts(times))
        yield from _finishing(bench, prices.per_hour)
    energies = _energies(bench, prices)
    if prices.per_kwh is not None and (energies or not plan.arcs):
        yield Want("power", sum(energies.values()), "kWh", prices.per_kwh, True, of_cuts(energies))
    price = prices.per_m3_air
    if prices.compressor_kw_per_m3_min is not None and prices.per_kwh is not None:
        price = prices.compressor_kw_per_m3_min / 60 * prices.per_kwh
    airs, guessed = _airs(bench)
    if price is not None and (airs or not plan.arcs):
        assumed = guessed or _assumed(bench, "process", "pre_flow", "post_flow")
        yield Want("air", sum(airs.values()), "m3", price, assumed, of_cuts(airs))
    for what, key in (("tips", "tip"), ("electrodes", "electrode")):
        each, *given = (getattr(prices, f"{key}_{of}") for of in ("price", "starts", "hours"))
        if each is not None:
            worn = {cut.number: _worn(cut, given, prices.wear) for cut in plan.arcs}
            assumed = None in given or _assumed(bench, "process")
            yield Want(what, sum(worn.values()), what, each, assumed, of_cuts(worn))
    if prices.scrap_per_kg is not None:
        mass = {plate.id: split.mass(plate.id, "scrap") for plate in plan.plates}
        shares = _sum((kilograms, split.of_plate(name)) for name, kilograms in mass.items())
        yield Want("scrap brought back", sum(mass.values()), "kg", -prices.scrap_per_kg, False, shares)


def _finishing(bench: Bench, per_hour: float) -> Iterator[Want]:
    """Finishing the cut edges of the parts, where the job asks for it: each part bears its own."""
    if bench.plan.job.options.finish:
        seconds = bench.plan.rig.seconds.finish_per_m
        hours = {part: length / 1000 * seconds / 3600 for part, length in cut_edges(bench).items()}
        yield Want("finishing", sum(hours.values()), "h", per_hour, _assumed(bench, FINISH), hours)


def _energies(bench: Bench, prices: Prices) -> dict[int, float]:
    """kWh from the mains of each cut whose current is known: U = 80 + 0.4 I (IEC 60974-1, from memory), while the arc
    burns."""
    efficiency = EFFICIENCY if prices.efficiency is None else prices.efficiency
    found = {}
    for cut in bench.plan.arcs:
        process = _process(bench, cut)
        current = process.current if process is not None else None
        if current is not None:
            found[cut.number] = (80 + 0.4 * current) * current / efficiency / 1000 * cut.minutes.arc / 60
    return found


def _airs(bench: Bench) -> tuple[dict[int, float], bool]:
    """m3 of free air of each cut whose flow is known, and whether some flow goes by the current alone."""
    rig, found, guessed = bench.plan.rig, {}, False
    for cut in bench.plan.arcs:
        process = _process(bench, cut)
        flow = process.air_flow if process is not None else None
        if flow is None and process is not None:
            flow = _flow(process.current)
            guessed = guessed or flow is not None
        if flow is not None:
            returning = rig.post_flow_returning
            after = _lit(cut) * rig.post_flow / 60 if returning else cut.minutes.post_flow
            found[cut.number] = flow / 1000 * (cut.minutes.pre_flow + cut.minutes.arc + after)
    return found, guessed


def _flow(current: float | None) -> float | None:
    if current is None or not AIR[0][0] <= current <= AIR[-1][0]:
        return None
    for (low, one), (high, other) in pairwise(AIR):
        if low <= current <= high:
            return one + (other - one) * (current - low) / (high - low)
    return None


def _lit(cut: Cut | BevelCut) -> int:
    """How often the arc is lit."""
    return len(cut.passes) if isinstance(cut, Cut) else 1


def _worn(cut: Cut | BevelCut, life: Sequence[float | None], wear: str) -> float:
    starts, hours = (usual if given is None else given for given, usual in zip(life, LIFE, strict=True))
    both = _lit(cut) / starts, cut.minutes.arc / 60 / hours
    return sum(both) if wear == "sum" else max(both)


def _process(bench: Bench, cut: Cut | BevelCut) -> Process | None:
    name = cut.process if isinstance(cut, BevelCut) else bench.plates[cut.plate].process
    return next((each for each in bench.plan.rig.processes if each.name == name), None)


def _assumed(bench: Bench, *keys: str) -> bool:
    """Whether the rig says that one of these figures is assumed; "seconds" and what is in its table."""
    names = bench.plan.rig.assumed
    return any(name in keys or ("seconds" in keys and name.startswith("seconds.") and name != FINISH) for name in names)


def shares_of_parts(bench: Bench) -> tuple[Shares, Shares]:
    """How the parts share the minutes at the rig, and the mass of the plates [kg]."""
    split = _Split(bench)
    minutes = _sum((cut.minutes.total, split.of_cut(cut)) for cut in bench.plan.arcs)
    return minutes, _sum((plate.mass, split.of_plate(plate.id)) for plate in bench.plan.plates)


# --- how the parts share --------------------------------------------------------------------------------------------


class _Split:
    """Areas as drawn, by piece and part, and the shares that follow from them."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._parts = [line.name for line in bench.plan.parts]
        self._in_piece: dict[str, Shares] = {piece.id: {} for piece in bench.plan.pieces}
        self._on_plate: dict[str, Shares] = {plate.id: {} for plate in bench.plan.plates}
        self._on_all: Shares = {}
        for piece in bench.plan.pieces:
            shape = bench.shapes[piece.id]
            if piece.kind == "part" and piece.part is not None and shape is not None:
                for where in (*self._above(piece.id), self._on_plate[piece.plate], self._on_all):
                    where[piece.part] = where.get(piece.part, 0.0) + shape.area

    def _above(self, name: str) -> Iterator[Shares]:
        """The piece itself and all that it came out of."""
        here: str | None = name
        for _ in self._bench.plan.pieces:  # no longer than the plan, should it run in a circle
            if here is None or here not in self._in_piece:
                return
            yield self._in_piece[here]
            here = self._bench.pieces[here].parent

    def area(self, plate: str, kind: str) -> float:
        """Area of a plate's pieces of one kind [mm2]."""
        found = [self._bench.shapes[p.id] for p in self._bench.plan.pieces if (p.plate, p.kind) == (plate, kind)]
        return float(sum(shape.area for shape in found if shape is not None))

    def mass(self, plate: str, kind: str) -> float:
        """Mass of a plate's pieces of one kind [kg]."""
        return sum(p.mass for p in self._bench.plan.pieces if (p.plate, p.kind) == (plate, kind))

    def of_plate(self, plate: str) -> Shares:
        """By the area of its parts; by that of all parts where it makes none."""
        return _fractions(self._on_plate[plate]) or _fractions(self._on_all)

    def of_cut(self, cut: Cut | BevelCut) -> Shares:
        """Half and half to what it makes, all to one where there is no other; a bevel all to its part."""
        if isinstance(cut, BevelCut):
            return _fractions(self._in_piece[cut.piece]) or self.of_plate(cut.plate)
        made = [each for each in cut.makes if each is not None]
        if not made:
            return self.of_plate(cut.plate)
        return _sum((1 / len(made), _fractions(self._in_piece[each]) or self.of_plate(cut.plate)) for each in made)


def _fractions(weights: Shares) -> Shares:
    whole = math.fsum(weights.values())
    return {name: each / whole for name, each in weights.items()} if whole else {}


def _sum(each: Iterable[tuple[float, Shares]]) -> Shares:
    found: Shares = {}
    for figure, shares in each:
        for name, share in shares.items():
            found[name] = found.get(name, 0.0) + figure * share
    return found
