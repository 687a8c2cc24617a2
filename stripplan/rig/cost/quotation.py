"""What a job costs: time at the rig, power, air, tips and electrodes beside the plate, line by line and part by part.

| figure | by | where from |
|---|---|---|
| plate | the job's own prices | given |
| time at the rig | minutes of the plan, all causes | the rig's speeds and seconds |
| finishing, where asked | cut edges of parts | the rig's seconds for a metre |
| power, air, tips, electrodes | `consumption` | see there |
| scrap, offcuts | mass brought back; share of the plate's area | arithmetic |

Nobody's price is known here: what has no price is left out of the sum, and the quotation says so. How the parts share
each line, `shares` tells; a markup follows what a part has cost before.

How it is rounded. Each line is a whole number of cents, the nearest; the total is their sum. Each line is then shared
in whole cents by the method of the largest remainder, what a part got too much or too little being carried to the next
line. So shares add up to their line, lines to the total, parts to the total, and each part lies within a cent of its
exact share.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.quotation import CostLine, LeftOut, PartCost, Quotation, cents
from stripplan.model.prices import Life, Prices, Wear, number_faults
from stripplan.rig.cost.consumption import EFFICIENCY, air_flow, air_litres, compressor_energy, cut_energy, wear_share
from stripplan.rig.cost.shares import Arc, Shares, Split, rounded_shares, scaled, starts_of, weighted
from stripplan.wording.message import Fact, Facts, Message, Quantity, facts_record, length, mass
from stripplan.wording.message import current as current_of
from stripplan.wording.show import Units, worded

_FINISH = "seconds.finish_per_m"
_TIME = (
    "process", "seconds", "seconds.", "return_speed", "travel_max", "pre_flow", "post_flow", "lead_in", "overrun",
    "end_stop_step",
)  # fmt: skip
"""Figures of the rig that move the minutes."""


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


@dataclass
class _Book:
    """A quotation while it is written: lines with their shares, and what is left out."""

    plan: Plan
    figures: _Figures
    lines: list[CostLine] = field(default_factory=list)
    shares: list[Shares] = field(default_factory=list)
    left_out: list[Message] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.split = Split(self.plan)
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
        self.shares.append(scaled(shares, cents(amount)))

    def by_cuts(self, of_cut: Callable[[Arc], float], cuts: Iterable[Arc] | None = None) -> tuple[float, Shares]:
        """The sum of a figure over cuts and bevels, and how the parts share it."""
        each = [(of_cut(cut), self.split.of_cut(cut)) for cut in (self.plan.arcs if cuts is None else cuts)]
        return math.fsum(figure for figure, _ in each), weighted(each, self.split.parts)

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
            weights = weighted([(plate.cost, self.split.of_plate(plate.id)) for plate in plates], self.split.parts)
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
            weights = weighted([(worth, self.split.of_plate(plate.id)) for worth, plate in back], self.split.parts)
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
        shares = weighted(each, self.split.parts)
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
