"""What a job takes off the rack, for whichever face asks: the plates that it is planned with, what is told of them, and
the very pieces that its plan cuts.

A face looks up what there is for the job (`book.offered`) and hands it over; it says `said` in its own place.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stripplan.errors import PlanFaultError
from stripplan.model.job import Job
from stripplan.model.plan.plan import Plan
from stripplan.model.rack.keep import KeepRule, with_keep_rules
from stripplan.model.rack.piece import Costs, RackPiece
from stripplan.model.rig import Rig
from stripplan.planner.rack.named import named_pieces, of_pieces
from stripplan.planner.rack.with_rack import OnTheRack, with_rack
from stripplan.wording.message import Message
from stripplan.wording.show import Units, told


@dataclass(frozen=True)
class OffRack:
    """The rack as one job sees it. `kinds` are what it may take of any that are free, None where it may take none;
    `own` the numbers of pieces that it has as plates by their names, `there` all pieces that it may take, by number.
    """

    job: Job
    kinds: OnTheRack | None = None
    own: Mapping[str, Sequence[int]] = field(default_factory=dict)
    there: Mapping[int, RackPiece] = field(default_factory=dict)

    @property
    def said(self) -> tuple[str, ...]:
        """What is to be told of the choice, in the units of the job."""
        units = Units(self.job.units, self.job.inch_fraction)
        messages: tuple[Message, ...] = () if self.kinds is None else self.kinds.said
        return tuple(told(each, units) for each in messages)

    def taken(self, made: Plan) -> dict[str, int]:
        """Which piece each plate of a plan is, by its id; those that are bought are left out."""
        waiting = {name: iter(numbers) for name, numbers in self.own.items()}
        own = {each.id: next(waiting[each.stock]) for each in made.plates if each.stock in waiting}
        if self.kinds is None:
            return own
        return own | self.kinds.taken((each.id, each.stock) for each in made.plates if each.id not in own)

    def named(self, made: Plan) -> Plan:
        """The plan with the very pieces that its plates are, and where they lie. Raises PlanFaultError."""
        from stripplan.replay.verdict import replay  # it is heavy, and not every list takes something off the rack

        taken, places = self.taken(made), {number: each.place for number, each in self.there.items()}
        if self.kinds is None and not taken:
            return made
        own = {plate: number for plate, number in taken.items() if _stock_of(made, plate) in self.own}
        others = {plate: number for plate, number in taken.items() if plate not in own}
        made = of_pieces(named_pieces(made, others, places), own, places)
        if faults := [each.fault(each.about) for each in replay(made)]:
            raise PlanFaultError(faults)
        return made


def off_rack(
    job: Job,
    rig: Rig,
    pieces: Iterable[RackPiece],
    rules: Sequence[KeepRule],
    *,
    own: Mapping[str, Sequence[int]] | None = None,
    stay: Collection[int] = (),
    apart: str = "",
    costs: Sequence[Costs] = (),
) -> OffRack:
    """A job with what it may take of `pieces`, of which those that it has as plates of its `own` are there already;
    those of the numbers `stay` are taken in any case. Of the plan that it is the rest of nothing is taken that it was
    promised or left (`apart`), where its own plates say what that is. `costs` as of `with_rack`. Raises InputError.
    """
    there = {each.number: each for each in pieces}
    named = {number for numbers in (own or {}).values() for number in numbers}
    others = [
        each for each in there.values()
        if each.number not in named and not (apart and apart in (each.plan, each.from_plan))
    ]  # fmt: skip
    kinds = with_rack(with_keep_rules(job, rules), rig, others, stay, costs)
    return OffRack(kinds.job, kinds, own or {}, there)


def _stock_of(made: Plan, plate: str) -> str:
    return next(each.stock for each in made.plates if each.id == plate)
