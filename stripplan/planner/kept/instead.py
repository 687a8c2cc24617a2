"""What if a cut were not made: another in its place, the same set another way, none at all; and what each would take.

Asked of a plan, whether it was made just now or comes from its file. The answers are orders that the engine of orders
has worked out on the plates of the plan; where these cannot be laid on the bench again, as with cuts at an angle, the
cuts of the plan are moved about as they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stripplan.errors import CannotMakeError, Fault, InputError
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.planner.assemble import assemble
from stripplan.planner.kept.layout import KeptLayout, kept_layout
from stripplan.planner.kept.order import recorded_cuts
from stripplan.planner.order.bench_plates import BenchPlate, bench_plates
from stripplan.planner.order.order_constraints import constraints_of, weights_of
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.order.why import wishes
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Group, Settled, settle
from stripplan.sequence import CutOrder, Instead, RecordedOrder, pieces_and_cuts, what_if_not
from stripplan.wording.message import Fact, Facts, Message, Quantity, length

SAME = 0.01
"""Sizes closer than this are one [mm]."""
JUST = 1.0
"""Parts that are worth so much less for their sizes are as good [s]."""
NAMED = 7
"""Kinds of parts that are named at the most."""
LETTERS = "ABCD"
"""Of the edges y = 0, x = length, y = width, x = 0."""


def instead_of_cut(made: Plan, number: int) -> list[Message]:
    """What could be done in place of cut `number`, from 1: a message each for another cut, another setting, no cut.

    InputError where the plan has no such cut.
    """
    if not 1 <= number <= len(made.cuts):
        raise InputError(Fault("no_cut", f"cut {number}", facts=Facts(count=len(made.cuts))))
    record = RecordedOrder(made, weights=weights_of(made.job.options), wishes=wishes(made))
    found = _worked_out(made, number)
    if not found:  # nothing, or nothing that the replay passes: the plan's own cuts can be moved in any case
        found = [_moved(made, record, number)]
    return [*found, _without(made, record, number)]


# --- another cut, another setting -----------------------------------------------------------------------------------


def _worked_out(made: Plan, number: int) -> list[Message] | None:
    """What the engine of orders finds; None where the plan cannot be laid on the bench again."""
    on_bench = _on_bench(made)
    if on_bench is None:
        return None
    settled, layout, plates = on_bench
    recorded = recorded_cuts(made, layout)
    if len(recorded) != len(made.cuts):
        return None
    options = made.job.options
    found = what_if_not(
        settled.rig,
        [each.to_cut.piece for each in plates],
        recorded,
        number - 1,
        weights=weights_of(options),
        effort=options.effort,
        constraints=constraints_of(settled, plates),
    )
    if found is None:
        return None
    told = _Telling(made, settled, layout, plates, found.plan, number)
    if found.another is None:
        return [_no_other(number), *told.messages("set_otherwise", found.otherwise)]
    return [*told.messages("another_cut", found.another), *told.messages("set_otherwise", found.otherwise)]


def _on_bench(made: Plan) -> tuple[Settled, KeptLayout, tuple[BenchPlate, ...]] | None:
    if not all(isinstance(part, (Rectangle, Strip)) for part in made.job.parts):
        return None

    def nothing_more(_: Group) -> None:
        return None

    try:
        settled = settle(made.job, made.rig)
        layout = kept_layout(settled, made, nothing_more, pinned=True)
    except (InputError, CannotMakeError):  # an older plan, of a job that is read otherwise today
        return None
    return None if layout is None else (settled, layout, tuple(bench_plates(settled, layout.layout)))


class _Telling:
    """What an order that begins otherwise at a cut takes beside the plan's own."""

    def __init__(
        self,
        made: Plan,
        settled: Settled,
        layout: KeptLayout,
        plates: Sequence[BenchPlate],
        own: CutOrder,
        number: int,
    ) -> None:
        self.made, self.settled, self.plates, self.number, self.own = made, settled, plates, number, own
        self.layout = layout.layout
        self.ids = {n: each.id for n, each in layout.plates.items()}
        self.takes = self._takes(own)

    def _takes(self, order: CutOrder) -> tuple[float, int, int]:
        """Seconds, fence settings and end stop settings of an order."""
        names = [part.name for part in self.settled.job.parts]
        cuts = pieces_and_cuts(self.settled.rig, names, [each.to_cut for each in self.plates], order).cuts
        return (
            60 * sum(cut.minutes.total for cut in cuts),
            sum(cut.setup.fence for cut in cuts),
            sum(cut.setup.end_stop for cut in cuts),
        )

    def messages(self, says: str, found: Instead | None) -> Iterator[Message]:
        """What is said of an order, if there is one, and the replay passes it."""
        if found is not None and self._is_sound(found.order):
            yield self._message(says, found)

    def _is_sound(self, order: CutOrder) -> bool:
        from stripplan.replay.verdict import replay  # it is heavy, and not every door leads to it

        names = [part.name for part in self.settled.job.parts]
        work = pieces_and_cuts(self.settled.rig, names, [each.to_cut for each in self.plates], order)
        best = OrderOfWork(self.layout, tuple(self.plates), order, work, None)
        made = assemble(self.settled, best, Search(self.settled.job.options.effort))
        return all(each.code == "quotation" for each in replay(made))  # no costs are worked out for it

    def _message(self, says: str, found: Instead) -> Message:
        first, (seconds, fence, stop) = found.first, self._takes(found.order)
        facts: dict[str, Fact] = {
            "cut": self.number,
            "piece": self._piece(first.plate, (first.piece.workpiece.x0, first.piece.workpiece.y0)),
            "edge": LETTERS[first.option.datum_side],
            "longer": Quantity(round(seconds - self.takes[0], 3), "seconds"),
            "weighed": Quantity(round(_judged(found.order) - _judged(self.own), 3), "seconds"),
            "fence_settings": fence - self.takes[1],
            "end_stop_settings": stop - self.takes[2],
            "wrong": max(0, found.order.wrong_sizes - self.own.wrong_sizes),
            "less_alike": found.order.size_loss > self.own.size_loss + JUST,
        }
        if first.option.located == "fence":
            facts["reading"] = length(first.option.setting.reading)
        if says == "another_cut" and found.own is not None:
            facts["other"] = found.own + 1
        return Message("instead", f"cut {self.number}", Facts(**facts), says)

    def _piece(self, plate: int, low: tuple[float, float]) -> str:
        """The piece of the plan that lies there: it has no other with that corner that is still to be cut then."""
        done = {cut.piece for cut in self.made.cuts[: self.number - 1]}
        there = {name for cut in self.made.cuts[: self.number - 1] for name in cut.makes if name is not None}
        for each in self.made.pieces:
            waits = each.id not in done and (each.parent is None or each.id in there)
            if waits and each.plate == self.ids[plate] and _near(each, low):
                return each.id
        raise AssertionError(f"no piece of {self.ids[plate]} lies at {low}")


def _judged(order: CutOrder) -> float:
    return order.seconds + order.extra


def _near(piece: Piece, low: tuple[float, float]) -> bool:
    return all(abs(one - other) < SAME for one, other in zip(piece.box[:2], low, strict=True))


def _no_other(number: int) -> Message:
    return Message("instead", f"cut {number}", Facts(cut=number), "no_other_cut")


def _moved(made: Plan, record: RecordedOrder, number: int) -> Message:
    """The best cut of the plan to come first, all as they are."""
    found = record.best_in_place(number)
    if found is None:
        return _no_other(number)
    other, longer = found
    facts = Facts(
        cut=number, other=other, piece=made.cuts[other - 1].piece, longer=Quantity(round(longer, 3), "seconds")
    )
    return Message("instead", f"cut {number}", facts, "moved_cut")


# --- no cut at all --------------------------------------------------------------------------------------------------


def _without(made: Plan, record: RecordedOrder, number: int) -> Message:
    """What is not made without a cut, or stays larger, and what is saved."""
    away, seconds = record.without(number)
    cut = made.cuts[number - 1]
    pieces = {each.id: each for each in made.pieces}
    ends = [pieces[name] for each in away for name in made.cuts[each - 1].makes if name is not None]
    parts = [each for each in ends if each.kind == "part"]
    facts: dict[str, Fact] = {
        "cut": number,
        "piece": cut.piece,
        "cuts": len(away),
        "less": Quantity(round(seconds, 3), "seconds"),
    }
    kept = [each for each in ends if each.kind == "offcut"]
    if len(parts) == 1 and not kept and (over := _over(pieces[cut.piece], parts[0])) is not None:
        facts |= {"part": parts[0].part or "", "wider": length(over[0]), "longer_by": length(over[1])}
        return Message("instead", f"cut {number}", Facts(**facts), "left_larger")
    lost = tuple(_counted(parts))
    facts |= {"lost": lost[:NAMED], "kinds_more": max(0, len(lost) - NAMED)}
    return Message("instead", f"cut {number}", Facts(**facts), "left_out" if parts else "left_whole")


def _over(whole: Piece, part: Piece) -> tuple[float, float] | None:
    """By how much a part stays larger along x and y where its piece is left as it is; None for what is no rectangle."""
    if not (whole.is_rectangle and part.is_rectangle):
        return None
    (x0, y0, x1, y1), (px0, py0, px1, py1) = whole.box, part.box
    return round((x1 - x0) - (px1 - px0), 3), round((y1 - y0) - (py1 - py0), 3)


def _counted(parts: Sequence[Piece]) -> Iterator[Message]:
    names = [each.part or "" for each in parts]
    for name in dict.fromkeys(names):
        yield Message("part_times", name, Facts(count=names.count(name)))
