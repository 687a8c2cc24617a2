"""Why a cut stands where it does: every cut has an answer, and the replay bears each of them out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.errors import CannotMakeError, InputError
from stripplan.files.plan.read import load_plan
from stripplan.model.job import Job
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.planner.order.order_constraints import weights_of
from stripplan.planner.order.why import reasons_for_cuts, wishes
from stripplan.replay.verdict import replay
from stripplan.sequence import PlaceReason, RecordedOrder
from stripplan.sequence.changeover import CAUSES, Changeover, RigState
from stripplan.sheets.plan_json import as_filed
from stripplan.wording.show import worded
from tests.checking import examples, few
from tests.planner.order.test_order_constraints import made_with
from tests.renew_examples import ROOT
from tests.strategies import jobs, rigs

NAMES = ("bench", "brackets", "strips", "workshop")
SUMS = {"totals", "total", "proof", "duty", "runs", "quotation"}
"""Codes of what the replay says of the sums of a plan whose cuts were put in another order."""


@cache
def example(name: str) -> Plan:
    """The plan of an example, as it is committed."""
    return load_plan(ROOT / "output" / name / "plan.json")


def recorded(made: Plan) -> RecordedOrder:
    """Its order, as `why` reads it."""
    return RecordedOrder(made, weights=weights_of(made.job.options), wishes=wishes(made))


def in_order(made: Plan, order: Sequence[int]) -> Plan:
    """The plan with its cuts in another order, by index, and nothing else changed but their numbers."""
    cuts = tuple(replace(made.cuts[at], number=number) for number, at in enumerate(order, 1))
    return replace(made, cuts=cuts, runs=())


def worked(made: Plan, order: Sequence[int]) -> Plan:
    """The same with what is then done before each cut, as `why` sums it."""
    moved, proved = in_order(made, order), set[tuple[str, float]]()
    cuts = []
    for cut, (change, _) in zip(moved.cuts, recorded(made).walked(order, RigState()), strict=True):
        new = {(cut.plate, each.end_stop) for each in cut.passes} - proved
        proved |= new
        rig = made.rig
        dry = sum(stop / rig.travel_max + stop / rig.return_speed for _, stop in new)
        cuts.append(_set_up(cut, change, dry, two=_for_two(made, cut.piece)))
    return replace(moved, cuts=tuple(cuts))


def _for_two(made: Plan, name: str) -> bool:
    """Whether a piece is lifted by two people, by its mass and its longest side."""
    rig, piece = made.rig, next(each for each in made.pieces if each.id == name)
    x0, y0, x1, y1 = piece.box
    long = max(x1 - x0, y1 - y0) > rig.two_person_length
    return piece.mass > rig.two_person_mass * (0.6 if long else 1.0)


def _set_up(cut: Cut, change: Changeover, dry: float, *, two: bool) -> Cut:
    """The cut with what is done before it in its new place; two people are asked for where it is lifted or turned."""
    lifted = change.fetch or change.quarter_turns > 0 or len(cut.passes) == 2
    minutes = dict(zip(CAUSES, (each / 60 for each in change.seconds), strict=True))
    setup = replace(
        cut.setup, fence=change.fence, end_stop=change.end_stop, quarter_turns=change.quarter_turns, fetch=change.fetch,
        push=change.push, clear=change.clear, process=change.process, dry_run=dry > 0, two_person=two and lifted,
    )  # fmt: skip
    return replace(cut, setup=setup, minutes=replace(cut.minutes, dry_run=dry, **minutes))


def wrong(made: Plan) -> set[str]:
    """Codes of what the replay finds in a plan, its sums apart."""
    return {each.code for each in replay(made)} - SUMS


@pytest.mark.parametrize("name", NAMES)
def test_the_record_is_read_as_it_was_planned(name: str) -> None:
    """What is done before each cut takes what the plan says, cause by cause."""
    made = example(name)
    for cut, (change, _) in zip(made.cuts, recorded(made).walked(range(len(made.cuts)), RigState()), strict=True):
        told = [60 * getattr(cut.minutes, cause) for cause in CAUSES]
        assert list(change.seconds) == pytest.approx(told, abs=1e-3), cut.number


@pytest.mark.parametrize("name", few(2, NAMES))
def test_every_cut_has_an_answer_with_what_it_waits_for(name: str) -> None:
    """It names the cut that makes its piece, and those that cut what it makes."""
    made = example(name)
    said = [worded(each).text for each in reasons_for_cuts(made)]
    makers = {each: cut.number for cut in made.cuts for each in cut.makes}
    for cut, text in zip(made.cuts, said, strict=True):
        maker = makers.get(cut.piece)
        begins = f"Cut {cut.number} must follow cut {maker}, because" if maker else f"Cut {cut.number} waits for no cut"
        assert text.startswith(begins)
        takers = [other.number for other in made.cuts if other.piece in cut.makes]
        run = next(each for each in made.runs if each.cuts[0] <= cut.number <= each.cuts[1])
        assert (f"Cuts {run.cuts[0]} to {run.cuts[1]} are one run" in text) is (run.count > 1)
        named = re.search(r"come before cuts? ([0-9 and]+),", text)
        assert [int(each) for each in re.findall(r"\d+", named[1])] == takers if named else takers == []


@pytest.mark.parametrize("at", few(4, range(1, 26)))
def test_a_cut_before_the_one_that_it_must_follow_breaks_the_plan(at: int) -> None:
    """The replay, which knows nothing of reasons, finds that the piece is not there yet."""
    made = example("bench")
    maker = recorded(made).reason(at + 1).made_by
    assert maker is not None
    others = [n for n in range(len(made.cuts)) if n != at]
    before = others.index(maker - 1)
    assert "no_piece" not in wrong(made)
    assert "no_piece" in wrong(in_order(made, [*others[:before], at, *others[before:]]))


def takes_as_much_longer(made: Plan, why: PlaceReason) -> None:
    """A cut in its next best place passes the replay, and takes as much longer as is said."""
    others = [n for n in range(len(made.cuts)) if n != why.cut - 1]
    place = others.index(why.elsewhere - 1) + 1 if why.elsewhere else 0
    there = worked(made, [*others[:place], why.cut - 1, *others[place:]])
    assert wrong(there) == set()
    minutes = sum(cut.minutes.total for cut in there.cuts) - sum(cut.minutes.total for cut in made.cuts)
    assert 60 * minutes == pytest.approx(why.longer, abs=0.01)


@pytest.mark.long
@pytest.mark.parametrize("name", few(2, NAMES))
def test_the_next_best_place_takes_as_much_longer_as_is_said(name: str) -> None:
    """The replay finds nothing wrong with the work done there, each minute and each thing that is set or lifted; the
    sum of its minutes is what was said; and no other place that the cut may have takes less.
    """
    made = example(name)
    order, count = recorded(made), len(made.cuts)
    reasons = [order.reason(cut.number) for cut in made.cuts]
    free = [each for each in reasons if each.elsewhere is not None]
    assert free or name == "strips"  # there each cut takes what the one before has left
    for why in free[:: max(1, len(free) // 4)]:
        takes_as_much_longer(made, why)
        last = min([count, *(each - 1 for each in why.cut_on_by)])
        for other in range(why.made_by or 0, last):
            if other != why.cut - 1:
                weighed, _ = order.moved(why.cut - 1, other)
                assert weighed >= why.weighed - 1e-6


@examples(2, deadline=None, suppress_health_check=list(HealthCheck))
@given(job=jobs(), rig=rigs(), data=st.data())
def test_on_any_rig_what_is_said_of_another_place_holds(job: Job, rig: Rig, data: st.DataObject) -> None:
    """Marked out, in two passes, of several plates: the order is read as it was planned, and the work done in the next
    best place passes the replay and takes as much longer as is said.
    """
    try:
        made = as_filed(plan(job, rig))
    except (InputError, CannotMakeError):
        return
    order, count = recorded(made), len(made.cuts)
    assert order.seconds == pytest.approx(
        [sum(60 * getattr(cut.minutes, cause) for cause in (*CAUSES, "mitre")) for cut in made.cuts], abs=1e-2
    )
    if any(cut.located == "mitre" for cut in made.cuts):
        return  # the order put together below knows no bar
    free = [why for why in map(order.reason, range(1, count + 1)) if why.elsewhere is not None]
    if not free:
        return
    why = data.draw(st.sampled_from(free))
    takes_as_much_longer(made, why)


def test_one_place_further_is_the_sum_of_all_changeovers() -> None:
    """What is left out of a sum because it stays as it was is the same when it is summed."""
    made = example("brackets")
    order, count = recorded(made), len(made.cuts)
    for at, place in ((3, 40), (40, 3), (20, 21), (0, count - 1), (count - 1, 0), (50, 70)):
        others = [n for n in range(count) if n != at]
        moved = [*others[:place], at, *others[place:]]
        whole = sum(sum(change.seconds) for change, _ in order.walked(moved, RigState()))
        assert order.moved(at, place)[1] == pytest.approx(whole - sum(order.seconds)), (at, place)


@pytest.mark.parametrize(
    "options",
    [{"before": (("two", "one"),)}, {"aim": "plate_by_plate"}, {"first": ("tall",)}],
    ids=lambda each: next(iter(each)),
)
def test_wishes_hold_a_cut_too(options: dict[str, object]) -> None:
    """The last cut of what was wanted first has no place behind what comes after, and is told so."""
    made = made_with(**options)
    held = [each for each in map(recorded(made).reason, range(1, len(made.cuts) + 1)) if each.wished]
    assert held
    said = [worded(each).text for each in reasons_for_cuts(made, [held[0].cut])]
    assert "Your wishes for the order hold it as well." in said[0]
    pairs = wishes(made)
    for why in held:
        for one, other in pairs:
            if why.elsewhere is not None and one == why.cut:
                assert why.elsewhere < other
            if why.elsewhere is not None and other == why.cut:
                assert why.elsewhere >= one


def test_a_cut_that_is_not_there() -> None:
    """It is refused, with how many there are."""
    made = example("bench")
    with pytest.raises(InputError, match=f"cut 99: the plan has no such cut: it has {len(made.cuts)}"):
        reasons_for_cuts(made, [99])
