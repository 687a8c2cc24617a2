"""Why a cut stands where it does: asked of a plan, whether it was made just now or comes from its file."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.planner.order.due import due_ranks
from stripplan.planner.order.order_constraints import weights_of
from stripplan.sequence import PlaceReason, RecordedOrder
from stripplan.wording.message import Fact, Facts, Message, Quantity


def reasons_for_cuts(made: Plan, cuts: Sequence[int] = ()) -> list[Message]:
    """A message for each of these cuts, counted from 1, or for all; InputError for one that there is not."""
    for number in cuts:
        if not 1 <= number <= len(made.cuts):
            raise InputError(Fault("no_cut", f"cut {number}", facts=Facts(count=len(made.cuts))))
    order = RecordedOrder(made, weights=weights_of(made.job.options), wishes=wishes(made))
    rests = any(cut.rest_before for cut in made.cuts)
    return [place_of_cut(order.reason(number), rests=rests) for number in cuts or range(1, len(made.cuts) + 1)]


def wishes(made: Plan) -> list[tuple[int, int]]:
    """Pairs of cuts that the person wanted in this order, by number: plates before plates, a plate in one go, parts
    first.
    """
    options = made.job.options
    by_plate: dict[str, list[int]] = {}
    for cut in made.cuts:
        by_plate.setdefault(cut.plate, []).append(cut.number)
    stock = {plate.id: plate.stock for plate in made.plates}
    row = list(by_plate)
    if options.aim == "plate_by_plate":
        pairs = [(one, other) for n, other in enumerate(row) for one in row[:n]]
    else:
        pairs = [(one, other) for one in row for other in row if (stock[one], stock[other]) in options.before]
    # The first cut of a plate comes before all others of it anyway, so the rest follows from these.
    found = [(number, by_plate[other][0]) for one, other in pairs for number in by_plate[one]]
    wanted = [set(options.first)]
    if made.together is not None and made.together.in_due_order:
        wanted += [wanted[0].union(*due_ranks(made.job)[: n + 1]) for n in range(len(due_ranks(made.job)))]
    for last in {max(_cuts_for(made, names), default=0) for names in wanted}:
        found += _stay_before(last, len(made.cuts))
    return found


def _stay_before(last: int, count: int) -> Iterator[tuple[int, int]]:
    """All cuts up to the last that a wanted part needs stay before all that come after it."""
    if 0 < last < count:
        yield from ((number, last + 1) for number in range(1, last + 1))
        yield from ((last, number) for number in range(last + 2, count + 1))


def _cuts_for(made: Plan, parts: Container[str]) -> Iterator[int]:
    """Cuts that must be made before all of these parts are there."""
    makers: Mapping[str, Cut] = {name: cut for cut in made.cuts for name in cut.makes if name is not None}
    for piece in made.pieces:
        if piece.part is not None and piece.part in parts and (maker := makers.get(piece.id)) is not None:
            yield maker.number


def place_of_cut(why: PlaceReason, *, rests: bool = False) -> Message:
    """What a reason says; `rests`: the power source rests in this plan, which another order may change.

    >>> from stripplan.wording.show import worded
    >>> print(worded(place_of_cut(PlaceReason(3, "P1-4", 2, (), False, True, False, True, (3, 3), 5, 95.0, 95.0))).text)
    Cut 3 must follow cut 2, because cut 2 makes its piece, P1-4. It stands here because cut 2 has left its piece on \
the bed and the end stop stands; at its next best place, straight after cut 5, the work would take 1 min 35 s longer.
    """
    facts: dict[str, Fact] = {
        "cut": why.cut,
        "before": why.cut - 1,
        "piece": why.piece,
        "wished": why.wished,
        "rests": rests,
        "piece_lies_there": why.ready,
        "fence_stands": why.same_reading,
        "end_stop_stands": why.same_stop,
    }
    if why.run[0] < why.run[1]:
        facts |= {"run_first": why.run[0], "run_last": why.run[1]}
    if why.made_by is not None:
        facts["made_by"] = why.made_by
    if why.cut_on_by:
        facts["cut_on_by"] = why.cut_on_by
    if why.elsewhere is not None:
        facts |= {
            "elsewhere": why.elsewhere,
            "longer": Quantity(round(why.longer, 3), "seconds"),
            "weighed": Quantity(round(why.weighed, 3), "seconds"),
        }
    return Message("place_of_cut", f"cut {why.cut}", Facts(**facts))
