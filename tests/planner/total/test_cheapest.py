"""The layout that is taken, and the order that comes with it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.planner.job_layout import JobLayout, job_layout
from stripplan.planner.order.order_of_work import OrderOfWork, order_of_work
from stripplan.planner.search_control import Search
from stripplan.planner.settled import Settled, settle
from stripplan.planner.total.cheapest import all_weighed, cheapest, cheapest_of
from tests.sequence.plates import PROCESS

JOB = Job(
    name="rails and feet",
    plates=(Plate(name="s", length=900, width=500, thickness=6, material="mild steel"),),
    parts=tuple(Rectangle(name=f"r{n}", width=90 + 11 * n, length=200 + 17 * n, quantity=5) for n in range(4)),
    options=Options(effort=Effort(steps=750), price_per_minute=1.0),
)


@pytest.fixture(scope="module")
def laid_out() -> tuple[Settled, JobLayout]:
    """The job with its layouts."""
    settled = settle(JOB, Rig(processes=(PROCESS,)))
    found = job_layout(settled, Search(JOB.options.effort))
    assert found.by_group[0].others
    return settled, found


def test_the_order_that_comes_with_a_layout_is_the_one_it_would_be_given(laid_out: tuple[Settled, JobLayout]) -> None:
    """Taken over, it makes the plan that a search of the order made."""
    settled, found = laid_out
    search = Search(JOB.options.effort)
    taken = cheapest(settled, found, search)
    assert taken.order is not None
    over, anew = (order_of_work(settled, taken.layout, search, known) for known in (taken.order, None))
    assert cuts(over) == cuts(anew)
    assert over.order.least_setup == anew.order.least_setup > 0


def test_no_layout_is_cheaper_by_a_light_order_than_the_one_taken(laid_out: tuple[Settled, JobLayout]) -> None:
    """An order in earnest begins with the round of a light one, so what is taken costs no more than any of these."""
    settled, found = laid_out
    search = Search(JOB.options.effort)
    light = cheapest_of(all_weighed(settled, found.by_group[0], found, [], search))
    in_earnest = cheapest_of(all_weighed(settled, found.by_group[0], found, [], search, in_earnest=True))
    assert in_earnest.total.sum <= light.total.sum
    assert cheapest(settled, found, search).layout.by_group[0].patterns == in_earnest.layout.patterns


def test_with_seconds_to_spend_the_order_is_searched_on(laid_out: tuple[Settled, JobLayout]) -> None:
    """Comparing takes none of them: its orders are those of a job without seconds."""
    settled, found = laid_out
    timed = replace(found, effort=Effort(seconds=600))
    one, other = (cheapest(settled, each, Search(Effort(steps=750))).order for each in (found, timed))
    assert one is not None
    assert other is not None
    assert cuts(one) == cuts(other)


def cuts(order: OrderOfWork) -> list[tuple[object, ...]]:
    """The cuts as they are made."""
    return [(cut.piece, cut.setup, cut.minutes) for cut in order.work.cuts]
