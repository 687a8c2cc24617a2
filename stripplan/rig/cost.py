"""What a job costs beside the plate: time at the rig, power, air, tips and electrodes, and each part's share of it.

| figure | by | where from |
|---|---|---|
| plate | the job's own prices | given |
| time at the rig | minutes of the plan, all causes | the rig's speeds and seconds |
| finishing, where asked | cut edges of parts | the rig's seconds for a metre |
| power | U2 = 80 + 0.4 I over the source's efficiency | IEC 60974-1, from memory; efficiency assumed |
| air | flow by current, while it flows | a trade guide: common practice |
| tips, electrodes | starts / N + arc hours / H, or the greater | common practice |
| scrap, offcuts | mass brought back; share of the plate's area | arithmetic |

Nobody's price is known here: what has no price is left out of the sum, and the quotation says so.

How the parts share it. A plate is shared among its own parts by their area as cut, so that kerf, scrap and offcuts go
with it; so are the credits for scrap and offcuts. What a cut costs goes half and half to the two pieces that it makes,
all of it to one where there is no other, and down from each to the parts within it by their area; the half of a piece
without a part goes to the plate's parts by their area. A markup follows what a part has cost before. The rule is a
choice of this project: common practice, no source.

How it is rounded. Each line is a whole number of cents, the nearest; the total is their sum. Each line is then shared
in whole cents by the method of the largest remainder, what a part got too much or too little being carried to the next
line. So shares add up to their line, lines to the total, parts to the total, and each part lies within a cent of its
exact share.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut, Point
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.quotation import CostLine, LeftOut, PartCost, Quotation, cents
from stripplan.model.prices import ARC_HOURS, STARTS, Life, Prices, Wear, number_faults
from stripplan.rig.process.speed import arc_power
from stripplan.wording.message import Fact, Facts, Message, Quantity, facts_record, length, mass
from stripplan.wording.message import current as current_of
from stripplan.wording.show import Units, worded

EFFICIENCY = 0.85
"""Power at the arc over power from the mains, source with an inverter: assumed, from memory; the source's plate or
manual says better.
"""

_AIR = ((20.0, 30.0, 113.0), (40.0, 50.0, 142.0), (60.0, 80.0, 170.0), (85.0, 100.0, 227.0))
"""Current from, to [A], free air [l/min] at 90 psi (6.2 bar): 4, 5, 6 and 8 cubic feet a minute, a trade guide, common
practice.
"""

_EDGE = 1e-6
"""Nearer than so an edge of a piece lies on the edge of its plate [mm]."""
_FINISH = "seconds.finish_per_m"
_TIME = (
    "process", "seconds", "seconds.", "return_speed", "travel_max", "pre_flow", "post_flow", "lead_in", "overrun",
    "end_stop_step",
)  # fmt: skip
"""Figures of the rig that move the minutes."""


Arc = Cut | BevelCut
"""What the arc burns for."""


def starts_of(cut: Arc) -> int:
    """How often the arc is lit for it."""
    return 1 if isinstance(cut, BevelCut) else len(cut.passes)


def _checked(name: str, value: float, *, above: bool = False, most: float = math.inf) -> float:
    faults = number_faults(name, value, above=above, most=most)
    if faults:
        raise ValueError(faults[0])
    return value


# --- formulas -------------------------------------------------------------------------------------------------------


def mains_power(current: float, *, efficiency: float = EFFICIENCY) -> float:
    """Power that the source draws while the arc burns [W]: (80 + 0.4 I) I over its efficiency (0..1], current in A.

    The arc's power is the conventional one of IEC 60974-1 (from memory), made for rating sources: an estimate. The
    default efficiency is assumed. What the source draws between the cuts is not in it.

    >>> round(mains_power(40, efficiency=1)), round(mains_power(40))
    (3840, 4518)
    """
    return arc_power(_checked("current", current, above=True)) / _checked("efficiency", efficiency, above=True, most=1)


def cut_energy(current: float, arc_minutes: float, *, efficiency: float = EFFICIENCY) -> float:
    """Energy from the mains for one cut [kWh]: power while the arc burns times its minutes. An estimate, as
    `mains_power` is.

    Travel in air before and after the metal counts as arc, which is on the safe side.

    >>> round(cut_energy(40, 60, efficiency=0.8), 3)
    4.8
    """
    return mains_power(current, efficiency=efficiency) / 1000 * _checked("arc minutes", arc_minutes) / 60


def air_flow(current: float) -> float | None:
    """Free air that an air plasma torch takes at a current [A] [l/min]; straight between the rows, None outside 20 to
    100 A.

    20-30, 40-50, 60-80, 85-100 A: 113, 142, 170, 227 l/min, a trade guide, common practice. The torch's manual says
    better.

    >>> air_flow(25), air_flow(45), air_flow(35), air_flow(120)
    (113.0, 142.0, 127.5, None)
    """
    _checked("current", current, above=True)
    if not _AIR[0][0] <= current <= _AIR[-1][1]:
        return None
    below = max(row for row in _AIR if row[0] <= current)
    above = min(row for row in _AIR if row[1] >= current)
    share = 0.0 if below is above else (current - below[1]) / (above[0] - below[1])
    return below[2] + share * (above[2] - below[2])


def air_litres(flow: float, *, pre_flow: float, arc: float, post_flow: float) -> float:
    """Free air for one cut [l]: flow [l/min] times the seconds before, during and after the arc [s].

    >>> air_litres(120, pre_flow=0.5, arc=64, post_flow=3)
    135.0
    """
    seconds = {"pre-flow": pre_flow, "arc": arc, "post-flow": post_flow}
    return _checked("flow", flow) * sum(_checked(name, each) for name, each in seconds.items()) / 60


def compressor_energy(kw_per_m3_min: float) -> float:
    """Energy for a cubic metre of free air [kWh/m3], from the power that the compressor draws for a flow [kW per
    m3/min].

    >>> compressor_energy(7.5)
    0.125
    """
    return _checked("compressor power", kw_per_m3_min) / 60


def wear_share(
    starts: float, arc_hours: float, *, life_starts: float = STARTS, life_hours: float = ARC_HOURS, wear: Wear = "sum"
) -> float:
    """Share of a tip's or an electrode's life that some cuts take: starts / N + arc hours / H, or the greater of the
    two.

    The sum is linear damage, as if starts and arc time wore it apart from each other; a model. Each pass is a start.

    >>> wear_share(20, 0.3), wear_share(20, 0.3, wear="max")
    (0.2, 0.1)
    """
    shares = (
        _checked("starts", starts) / _checked("life in starts", life_starts, above=True),
        _checked("arc hours", arc_hours) / _checked("life in arc hours", life_hours, above=True),
    )
    return sum(shares) if wear == "sum" else max(shares)


def rounded_shares(exact: Sequence[float], total: int) -> list[int]:
    """Whole numbers that add up to `total`, each less than 1 from its exact share: the method of the largest remainder
    (Hamilton's).

    Shares are rounded down, and what is missing goes by one each to those that lost most, the earlier first. Shares may
    be below 0. Raises ValueError where the exact shares do not add up to the total.

    >>> rounded_shares([33.4, 33.3, 33.3], 100), rounded_shares([0.5, 0.5, -1.0], 0)
    ([34, 33, 33], [1, 0, -1])
    """
    if not math.isclose(math.fsum(exact), total, rel_tol=1e-9, abs_tol=1e-6):
        raise ValueError(f"shares of {math.fsum(exact):g} do not add up to {total}")
    whole = [math.floor(each) for each in exact]
    lost = sorted(range(len(exact)), key=lambda n: (-round(exact[n] - whole[n], 9), n))
    for n in lost[: total - sum(whole)]:
        whole[n] += 1
    return whole


# --- the quotation --------------------------------------------------------------------------------------------------


def quotation(
    plan: Plan,
    prices: Prices,
    *,
    current_of: Mapping[str, float] | None = None,
    flow_of: Mapping[str, float] | None = None,
    efficiency: float | None = None,
    credit_offcuts: bool = False,
) -> Quotation:
    """What the plan costs at these prices, and what each of its parts costs.

    `current_of` [A] and `flow_of` [l/min of free air] are by the name of a process. A current that is not given is the
    rig's; a flow that is not given goes by the current, and is then assumed. `efficiency` of the power source, 0.85
    assumed where None. With `credit_offcuts` the offcuts kept are taken off at their share of the plate's price. Plates
    without prices are left out, as all else without a price or without a figure, and `left_out` says so.

    Raises ValueError that names every figure that cannot be, and where a plan has costs but makes no part to bear them.
    """
    book = _Book(plan, _figures(plan, current_of or {}, flow_of or {}, efficiency))
    book.plates(credit_offcuts=credit_offcuts)
    book.time(prices)
    book.finishing(prices)
    book.power(prices)
    book.air(prices)
    book.wear("tips", prices.tip_price, prices.tip_life, prices.wear)
    book.wear("electrodes", prices.electrode_price, prices.electrode_life, prices.wear)
    book.scrap(prices)
    book.markup(prices)
    book.short_of()
    book.by_hand()
    return book.quotation()


def shares_of_work(plan: Plan) -> tuple[dict[str, float], dict[str, float]]:
    """By the name of a part, its share of the minutes at the rig and of the mass of the plates [kg], scrap and kerf
    with them: shared as a quotation shares them.
    """
    split, names = _Split(plan), [line.name for line in plan.parts]
    minutes = _weighted([(cut.minutes.total, split.of_cut(cut)) for cut in plan.arcs], split.parts)
    masses = _weighted([(plate.mass, split.of_plate(plate.id)) for plate in plan.plates], split.parts)
    return dict(zip(names, minutes, strict=True)), dict(zip(names, masses, strict=True))


@dataclass(frozen=True)
class _Figures:
    """Currents [A] and flows [l/min] by process, which flows are assumed,
    and the source's efficiency (None = assumed).
    """

    currents: Mapping[str, float]
    flows: Mapping[str, float]
    flows_assumed: frozenset[str]
    efficiency: float | None


def _figures(
    plan: Plan, current_of: Mapping[str, float], flow_of: Mapping[str, float], efficiency: float | None
) -> _Figures:
    listed = {each.name: each.current for each in plan.rig.processes}
    known = {*listed, *(plate.process for plate in plan.plates)}
    faults = [] if efficiency is None else number_faults("efficiency", efficiency, above=True, most=1)
    for name, given in (("current_of", current_of), ("flow_of", flow_of)):
        for process, value in given.items():
            if process not in known:
                faults.append(f"{name}: no process is called {process!r}; there are {', '.join(sorted(known))}")
            faults += number_faults(f"{name}: {process}", value, above=True)
    if faults:
        raise ValueError("quotation: " + "; ".join(faults))
    currents = {**{name: each for name, each in listed.items() if each is not None}, **current_of}
    by_current = {name: flow for name, each in currents.items() if (flow := air_flow(each)) is not None}
    return _Figures(currents, {**by_current, **flow_of}, frozenset(by_current) - set(flow_of), efficiency)


Shares = list[float]
"""A figure for each part, in the order of the plan's parts."""


@dataclass
class _Book:
    """A quotation while it is written: lines with their shares, and what is left out."""

    plan: Plan
    figures: _Figures
    lines: list[CostLine] = field(default_factory=list)
    shares: list[Shares] = field(default_factory=list)
    left_out: list[Message] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.split = _Split(self.plan)
        self.plate_of = {plate.id: plate for plate in self.plan.plates}
        self.assumed = frozenset(self.plan.rig.assumed)
        self.units = Units(self.plan.job.units, self.plan.job.inch_fraction)

    def add(
        self, what: str, quantity: float, unit: str, price: float, how: Message, *, assumed: bool, shares: Shares
    ) -> None:
        """A line and, in any unit, how the parts share it."""
        amount = cents(quantity * price) / 100
        line = CostLine(
            what=what, quantity=quantity, unit=unit, price=price, amount=amount, assumed=assumed,
            how=worded(how, self.units).text, code=how.code, facts=facts_record(how.facts),
        )  # fmt: skip
        self.lines.append(line)
        self.shares.append(_scaled(shares, cents(amount)))

    def by_cuts(self, of_cut: Callable[[Arc], float], cuts: Iterable[Arc] | None = None) -> tuple[float, Shares]:
        """The sum of a figure over cuts and bevels, and how the parts share it."""
        each = [(of_cut(cut), self.split.of_cut(cut)) for cut in (self.plan.arcs if cuts is None else cuts)]
        return math.fsum(figure for figure, _ in each), _weighted(each, self.split.parts)

    def rests_on(self, *keys: str) -> bool:
        """Whether any of these figures of the rig is assumed; a key that ends in a point stands for its table, but for
        finishing.
        """
        return any(
            name == key or (key.endswith(".") and name.startswith(key) and name != _FINISH)
            for name in self.assumed
            for key in keys
        )

    # --- lines --------------------------------------------------------------------------------------------------

    def plates(self, *, credit_offcuts: bool) -> None:
        """A line for each stock: the plates of it that are used, and the offcuts of it that are kept."""
        priced = {each.name for each in self.plan.job.plates if each.cost is not None or each.price_per_kg is not None}
        bare = [plate for plate in self.plan.plates if plate.stock not in priced]
        if bare:
            area = Quantity(sum(plate.length * plate.width for plate in bare), "area")
            self.left_out.append(Message("no_price.plate", facts=Facts(area=area)))
        stocks: dict[str, list[PlanPlate]] = {}
        for plate in self.plan.plates:
            if plate.stock in priced:
                stocks.setdefault(plate.stock, []).append(plate)
        for stock, plates in stocks.items():
            weights = _weighted([(plate.cost, self.split.of_plate(plate.id)) for plate in plates], self.split.parts)
            one = plates[0]
            sizes = {"length": length(one.length), "width": length(one.width), "thickness": length(one.thickness)}
            how = Message("cost_plate", stock, Facts(**sizes, mass=mass(one.mass)))
            price = math.fsum(plate.cost for plate in plates) / len(plates)
            unit = "plate" if len(plates) == 1 else "plates"
            self.add(f"plate: {stock}", len(plates), unit, price, how, assumed=False, shares=weights)
        self._offcuts(stocks, credit=credit_offcuts)

    def _offcuts(self, stocks: Mapping[str, list[PlanPlate]], *, credit: bool) -> None:
        kept = {plate.id: self.split.kept.get(plate.id, 0.0) for plate in self.plan.plates}
        if not credit:
            if any(kept.values()):
                area = Quantity(sum(kept.values()), "area")
                self.left_out.append(Message("no_price.offcuts", facts=Facts(area=area)))
            return
        for stock, plates in stocks.items():
            back = [(plate.cost * kept[plate.id] / (plate.length * plate.width), plate) for plate in plates]
            square_metres = sum(kept[plate.id] for plate in plates) * 1e-6
            if not square_metres:
                continue
            weights = _weighted([(worth, self.split.of_plate(plate.id)) for worth, plate in back], self.split.parts)
            how = Message("cost_offcuts", stock)
            price = -math.fsum(worth for worth, _ in back) / square_metres
            self.add(f"offcuts kept: {stock}", square_metres, "m2", price, how, assumed=False, shares=weights)

    def time(self, prices: Prices) -> None:
        """Minutes at the rig, all causes."""
        if prices.per_hour is None:
            self.left_out.append(Message("no_price.time"))
            return
        minutes, shares = self.by_cuts(lambda cut: cut.minutes.total)
        assumed = self.rests_on(*_TIME)
        how = Message("cost_time", facts=Facts(minutes=minutes, **self._bevelled()))
        self.add("time at the rig", minutes / 60, "h", prices.per_hour, how, assumed=assumed, shares=shares)

    def _bevelled(self) -> dict[str, Fact]:
        """Metres of bevel that the time holds, where it holds any."""
        return {"bevels": self.plan.totals.bevel_metres} if self.plan.bevels else {}

    def by_hand(self) -> None:
        """Bevels that the rig does not cut are in no line."""
        if self.plan.hand_bevels:
            self.left_out.append(Message("bevels_by_hand", facts=Facts(metres=self.plan.totals.hand_bevel_metres)))

    def finishing(self, prices: Prices) -> None:
        """Finishing the cut edges of parts, where the job asks for it: each part bears its own."""
        if not self.plan.job.options.finish:
            return
        if prices.per_hour is None:
            self.left_out.append(Message("no_price.finishing"))
            return
        totals, seconds = self.plan.totals, self.plan.rig.seconds.finish_per_m
        how = Message("cost_finishing", facts=Facts(metres=totals.finish_metres, seconds=float(seconds)))
        self.add(
            "finishing",
            totals.finish_minutes / 60,
            "h",
            prices.per_hour,
            how,
            assumed=self.rests_on(_FINISH),
            shares=self.split.cut_edges,
        )

    def power(self, prices: Prices) -> None:
        """Energy from the mains while the arc burns, of the cuts whose current is known."""
        if prices.per_kwh is None:
            self.left_out.append(Message("no_price.power"))
            return
        given = self.figures.efficiency
        efficiency, currents = EFFICIENCY if given is None else given, self.figures.currents
        cuts = self._with_figure(currents, "no_current")
        energy, shares = self.by_cuts(
            lambda cut: cut_energy(currents[self._process(cut)], cut.minutes.arc, efficiency=efficiency), cuts
        )
        each = tuple(
            Message("cost_current", name, Facts(current=current_of(currents[name]))) for name in self._used(cuts)
        )
        how = Message("cost_power", facts=Facts(each=each, efficiency=efficiency, assumed=given is None))
        if cuts or not self.plan.arcs:
            self.add("power", energy, "kWh", prices.per_kwh, how, assumed=True, shares=shares)

    def air(self, prices: Prices) -> None:
        """Free air of the cuts whose flow is known, by its own price or by that of the compressor's power."""
        draws, price = prices.compressor_kw_per_m3_min, prices.per_m3_air
        drawn: dict[str, Fact] = {}
        if draws is not None and prices.per_kwh is not None:
            price = compressor_energy(draws) * prices.per_kwh
            drawn = {"kilowatts": float(draws)}
        if price is None:
            self.left_out.append(Message("no_price.air"))
            return
        flows = self.figures.flows
        cuts = self._with_figure(flows, "no_flow")
        litres, shares = self.by_cuts(lambda cut: self._air_of(cut, flows[self._process(cut)]), cuts)
        guessed = any(self._process(cut) in self.figures.flows_assumed for cut in cuts)
        each = tuple(Message("cost_flow", name, Facts(flow=float(flows[name]))) for name in self._used(cuts))
        how = Message("cost_air", facts=Facts(each=each, by_current=guessed, **drawn))
        assumed = guessed or self.rests_on("process", "pre_flow", "post_flow")
        if cuts or not self.plan.arcs:
            self.add("air", litres / 1000, "m3", price, how, assumed=assumed, shares=shares)

    def _air_of(self, cut: Arc, flow: float) -> float:
        minutes, rig = cut.minutes, self.plan.rig
        # Air that flows on the way home takes no time of its own, but it is air all the same.
        returning = rig.post_flow_returning
        after = starts_of(cut) * rig.post_flow if returning else minutes.post_flow * 60
        return air_litres(flow, pre_flow=minutes.pre_flow * 60, arc=minutes.arc * 60, post_flow=after)

    def wear(self, what: Literal["tips", "electrodes"], price: float | None, life: Life, wear: Wear) -> None:
        """Share of tips or electrodes that the cuts wear."""
        if price is None:
            self.left_out.append(Message(f"no_price.{what}"))
            return

        def of_cut(cut: Arc) -> float:
            return wear_share(
                starts_of(cut), cut.minutes.arc / 60, life_starts=life.starts, life_hours=life.arc_hours, wear=wear
            )

        worn, shares = self.by_cuts(of_cut)
        starts, hours = (
            sum(starts_of(cut) for cut in self.plan.arcs),
            sum(cut.minutes.arc for cut in self.plan.arcs) / 60,
        )
        facts = Facts(
            starts=starts, life_starts=float(life.starts), starts_assumed=life.starts_assumed, hours=hours,
            life_hours=float(life.arc_hours), hours_assumed=life.hours_assumed, added=wear == "sum",
        )  # fmt: skip
        how = Message("cost_wear", facts=facts)
        assumed = life.starts_assumed or life.hours_assumed or self.rests_on("process")
        self.add(what, worn, what, price, how, assumed=assumed, shares=shares)

    def scrap(self, prices: Prices) -> None:
        """What the scrap brings back. Metal lost in the kerf brings nothing."""
        kilograms = math.fsum(self.split.scrap.values())
        if prices.scrap_per_kg is None:
            if kilograms:
                self.left_out.append(Message("no_price.scrap", facts=Facts(mass=mass(kilograms))))
            return
        each = [(kg, self.split.of_plate(plate)) for plate, kg in self.split.scrap.items()]
        how = Message("cost_scrap")
        shares = _weighted(each, self.split.parts)
        self.add("scrap brought back", kilograms, "kg", -prices.scrap_per_kg, how, assumed=False, shares=shares)

    def markup(self, prices: Prices) -> None:
        """Percent on all lines so far; nothing where they come to less than nothing."""
        if prices.markup is None:
            self.left_out.append(Message("no_price.markup"))
            return
        base = max(0, sum(cents(line.amount) for line in self.lines)) / 100
        shares = [math.fsum(each) for each in zip(*self.shares, strict=True)]
        how = Message("cost_markup", facts=Facts(percent=float(prices.markup), base=base))
        assumed = any(line.assumed for line in self.lines)
        self.add("markup", prices.markup, "%", base / 100, how, assumed=assumed, shares=shares)

    def short_of(self) -> None:
        """What is wanted but not in the plan is not in its cost."""
        for line in self.plan.parts:
            if line.made < line.wanted:
                facts = Facts(short=line.wanted - line.made, wanted=line.wanted)
                self.left_out.append(Message("short_of_wanted", line.name, facts))

    # --- the way out --------------------------------------------------------------------------------------------

    def quotation(self) -> Quotation:
        """Lines, total, and the parts' shares in whole cents."""
        total = sum(cents(line.amount) for line in self.lines)
        rows, carried = [], [0.0] * self.split.parts
        for line, shares in zip(self.lines, self.shares, strict=True):
            exact = [share + carry for share, carry in zip(shares, carried, strict=True)]
            if not math.isclose(math.fsum(shares), cents(line.amount), rel_tol=1e-9, abs_tol=1e-6):
                raise ValueError(
                    f"quotation: {line.what} costs {line.amount:.2f}, but the plan makes no part to bear it"
                )
            rows.append(rounded_shares(exact, cents(line.amount)))
            carried = [wanted - got for wanted, got in zip(exact, rows[-1], strict=True)]
        columns = list(zip(*rows, strict=True)) if rows else [()] * self.split.parts
        return Quotation(
            job=self.plan.job.name,
            currency=self.plan.job.currency,
            lines=tuple(self.lines),
            total=total / 100,
            parts=tuple(
                PartCost(
                    name=line.name,
                    made=line.made,
                    each=cents(sum(column) / line.made / 100) / 100 if line.made else None,
                    total=sum(column) / 100,
                    amounts=tuple(each / 100 for each in column),
                )
                for line, column in zip(self.plan.parts, columns, strict=True)
            ),
            left_out=tuple(worded(each, self.units).text for each in self.left_out),
            missing=tuple(
                LeftOut(code=each.code, about=each.about, facts=facts_record(each.facts)) for each in self.left_out
            ),
            how=worded(self._sharing(), self.units).text,
        )

    # --- helpers ------------------------------------------------------------------------------------------------

    def _sharing(self) -> Message:
        """How the parts share the cost."""
        sharing = Message("cost_sharing")
        finishing = any(line.what == "finishing" for line in self.lines)
        return Message("cost_sharing_finishing", facts=Facts(sharing=sharing)) if finishing else sharing

    def _process(self, cut: Arc) -> str:
        return cut.process if isinstance(cut, BevelCut) else self.plate_of[cut.plate].process

    def _with_figure(self, figures: Mapping[str, float], missing: str) -> list[Arc]:
        """The cuts whose process has that figure; what is said of the others is left out."""
        without = dict.fromkeys(self._process(cut) for cut in self.plan.arcs if self._process(cut) not in figures)
        self.left_out += [Message(missing, process) for process in without]
        return [cut for cut in self.plan.arcs if self._process(cut) not in without]

    def _used(self, cuts: Iterable[Arc]) -> list[str]:
        """The processes, in the order of work."""
        return list(dict.fromkeys(self._process(cut) for cut in cuts))


class _Split:
    """How the parts share a plate and a cut: fractions that add up to 1, by area as cut."""

    def __init__(self, plan: Plan) -> None:
        index = {line.name: n for n, line in enumerate(plan.parts)}
        parent = {piece.id: piece.parent for piece in plan.pieces}
        self.parts = len(index)
        self.within: dict[str, Shares] = {piece.id: [0.0] * self.parts for piece in plan.pieces}
        self.on_plate: dict[str, Shares] = {plate.id: [0.0] * self.parts for plate in plan.plates}
        self.kept: dict[str, float] = {}
        self.scrap: dict[str, float] = {}
        self.cut_edges: Shares = [0.0] * self.parts
        plates = {plate.id: plate for plate in plan.plates}
        for piece in plan.pieces:
            if piece.kind == "part" and piece.part is not None:
                area, part = _area(piece.outline), index[piece.part]
                self.on_plate[piece.plate][part] += area
                self.cut_edges[part] += _cut_edges(piece.outline, plates[piece.plate])
                above: str | None = piece.id
                while above is not None:
                    self.within[above][part] += area
                    above = parent[above]
            elif piece.kind == "offcut":
                self.kept[piece.plate] = self.kept.get(piece.plate, 0.0) + _area(piece.outline)
            elif piece.kind == "scrap":
                self.scrap[piece.plate] = self.scrap.get(piece.plate, 0.0) + piece.mass
        self.all_parts = [math.fsum(each) for each in zip(*self.on_plate.values(), strict=True)]

    def of_plate(self, plate: str) -> Shares:
        """Fractions of the plate's parts; of all parts where the plate makes none."""
        return _fractions(self.on_plate[plate]) or _fractions(self.all_parts) or [0.0] * self.parts

    def of_cut(self, cut: Arc) -> Shares:
        """Half of the fractions of each of the two pieces that a cut makes; a bevel goes to its part."""
        if isinstance(cut, BevelCut):
            return _fractions(self.within[cut.piece]) or self.of_plate(cut.plate)
        made = [each for each in cut.makes if each is not None]
        halves = [_fractions(self.within[each]) or self.of_plate(cut.plate) for each in made]
        return _weighted([(1 / len(made), half) for half in halves], self.parts) if made else self.of_plate(cut.plate)


def _area(outline: Sequence[Point]) -> float:
    """Area inside a closed outline [mm2]: the shoelace formula."""
    turned = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned)) / 2


def _cut_edges(outline: Sequence[Point], plate: PlanPlate) -> float:
    """Edges of a piece that are not the plate's own [mm]."""
    limits = (0.0, plate.length), (0.0, plate.width)
    turned = zip(outline, (*outline[1:], outline[0]), strict=True)
    return math.fsum(
        math.dist(one, other)
        for one, other in turned
        if not any(abs(one[n] - at) < _EDGE and abs(other[n] - at) < _EDGE for n in (0, 1) for at in limits[n])
    )


def _fractions(weights: Shares) -> Shares:
    """The weights as fractions of their sum; nothing where they are all 0."""
    total = math.fsum(weights)
    return [each / total for each in weights] if total else []


def _weighted(each: Sequence[tuple[float, Shares]], parts: int) -> Shares:
    """Sum of fractions times their figures, part by part."""
    return [math.fsum(figure * shares[n] for figure, shares in each) for n in range(parts)]


def _scaled(shares: Shares, total: int) -> Shares:
    """The same shares of another total; all 0 where there is nothing to share, or nobody."""
    whole = math.fsum(shares)
    return [each / whole * total for each in shares] if whole and total else [0.0] * len(shares)
