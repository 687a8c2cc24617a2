"""Fillers through the whole planner: nothing else changes, limits hold, the replay agrees."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given

from stripplan import plan
from stripplan.errors import InputError
from stripplan.model.job import Fill, Job, Options
from stripplan.model.part import AS_MANY_AS_FIT, Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig
from stripplan.replay.verdict import replay
from tests.checking import examples
from tests.planned import planned
from tests.planner.test_front_door import JOB, RIG, SHEET
from tests.strategies import jobs, rigs

PAD = Rectangle(name="pad", width=40, length=40, quantity=AS_MANY_AS_FIT, filler=True)


OPTIONS = replace(JOB.options, aim="plate")
"""The plates that are cheapest and leave one large offcut: something to spare or to fill."""


@cache
def made_with(*fillers: Rectangle, fill: Fill = "offcuts") -> Plan:
    """The plan of the job with fillers in front of its parts."""
    return plan(replace(JOB, parts=(*fillers, *JOB.parts), options=replace(OPTIONS, fill=fill)), RIG)


def made_of(made: Plan, name: str) -> int:
    """How many of a part a plan makes."""
    return next(line.made for line in made.parts if line.name == name)


def test_the_wanted_parts_lie_as_they_would_without_fillers() -> None:
    """Plates, cost, proof and the places of wanted parts and of the spared offcut are those of the job without
    fillers.
    """
    plain, made = planned(replace(JOB, options=OPTIONS), RIG), made_with(PAD)
    assert made_of(made, "pad") > 0
    assert (made.proof.plates, made.proof.cost) == (plain.proof.plates, plain.proof.cost)
    assert [(line.name, line.wanted, line.made) for line in made.parts[:2]] == [("a", 9, 9), ("b", 14, 14)]
    largest = [
        max(piece.box[2] - piece.box[0] for piece in each.pieces if piece.kind == "offcut") for each in (plain, made)
    ]
    assert largest[0] == largest[1]


def test_a_filler_is_listed_as_none_wanted() -> None:
    """Its line says that it is one, that none is wanted, and how many are made; pieces carry its name as parts do."""
    made = made_with(PAD)
    line = made.parts[-1]
    assert (line.name, line.filler, line.wanted) == ("pad", True, 0)
    assert line.made == sum(piece.kind == "part" and piece.part == "pad" for piece in made.pieces)
    assert made.fillers == {"pad"}


def test_at_most_its_quantity_is_made() -> None:
    """With two allowed, no more than two."""
    assert made_of(made_with(replace(PAD, quantity=2), fill="all"), "pad") == 2


@pytest.mark.slow
def test_more_is_taken_for_more() -> None:
    """Scrap alone gives no more than scrap and offcuts, and these no more than everything."""
    counts = [made_of(made_with(PAD, fill=fill), "pad") for fill in ("scrap", "offcuts", "all")]  # type: ignore[arg-type]
    assert counts == sorted(counts)
    assert counts[0] < counts[2]
    assert not [piece for piece in made_with(PAD, fill="all").pieces if piece.kind == "offcut"]


def test_a_filler_opens_no_plate() -> None:
    """A filler that fits nowhere is not made, and nothing is said to be short."""
    made = made_with(replace(PAD, width=500, length=900))
    assert (made.totals.plates, made_of(made, "pad")) == (planned(JOB, RIG).totals.plates, 0)
    assert {warning.code for warning in made.warnings} == {warning.code for warning in planned(JOB, RIG).warnings}


def test_fillers_alone_are_no_job() -> None:
    """Nothing would open a plate."""
    with pytest.raises(InputError, match="all parts are fillers"):
        plan(replace(JOB, parts=(PAD,)), RIG)


def test_fillers_go_to_plates_of_their_material() -> None:
    """A filler of another material stays out; one of the plate's own does not."""
    other = replace(SHEET, name="other", material="stainless")
    rig = replace(RIG, processes=(*RIG.processes, replace(RIG.processes[0], name="q", material="stainless")))
    parts = (
        Rectangle(name="a", width=120, length=300, quantity=9, material="mild steel"),
        replace(PAD, material="mild steel", quantity=3),
        replace(PAD, name="bright", material="stainless"),
    )
    made = plan(Job(name="two", plates=(SHEET, other), parts=parts, options=Options(fill="all")), rig)
    assert [made_of(made, name) for name in ("a", "pad", "bright")] == [9, 3, 0]


def test_a_strip_may_be_a_filler() -> None:
    """Strips as long as the plate come out of what stays beside strips."""
    parts = (Strip(name="bar", width=100, quantity=4), Strip(name="slat", width=30, quantity=2, filler=True))
    made = plan(Job(name="s", plates=(SHEET,), parts=parts, options=Options(fill="all")), RIG)
    assert made_of(made, "slat") == 2


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"wanted": 3}, "wanted"),
        ({"filler": False}, "filler"),
        ({"made": 1}, "made"),
    ],
)
def test_the_replay_sees_a_false_line(change: dict[str, int], code: str) -> None:
    """A filler that is called wanted, a wanted part that is called filler, a count that is not there."""
    made = made_with(PAD)
    spoilt = replace(made, parts=(*made.parts[:-1], replace(made.parts[-1], **change)))  # type: ignore[arg-type]
    assert code in {finding.code for finding in replay(spoilt)}
    assert replay(made) == ()


def test_the_replay_counts_fillers() -> None:
    """More fillers than the job allows are a fault; a wanted part cannot be passed off as a filler."""
    made = made_with(PAD)
    few = tuple(replace(part, quantity=1) if part.name == "pad" else part for part in made.job.parts)
    assert "too_many" in {finding.code for finding in replay(replace(made, job=replace(made.job, parts=few)))}
    line = replace(made.parts[0], filler=True, wanted=0)
    assert {"wanted", "filler"} <= {each.code for each in replay(replace(made, parts=(line, *made.parts[1:])))}


@pytest.mark.slow
@examples(8)
@given(job=jobs(), rig=rigs())
def test_fillers_change_nothing_about_wanted_parts(job: Job, rig: Rig) -> None:
    """On random jobs and rigs: same plates, same proof of plates, same wanted parts with fillers and without."""
    pads = tuple(replace(PAD, name=f"pad {n}", width=15 + 10 * n, length=20 + 7 * n) for n in range(3))
    wanted = tuple(part for part in job.parts if not part.filler)
    without = plan(replace(job, parts=wanted), rig)
    made = plan(replace(job, parts=(*wanted, *pads)), rig)
    if {"rounded"} & {warning.code for warning in (*made.warnings, *without.warnings)}:
        return
    assert [(line.name, line.made) for line in made.parts[: len(wanted)]] == [
        (each.name, each.made) for each in without.parts
    ]
    assert [plate.stock for plate in made.plates] == [plate.stock for plate in without.plates]
    assert (made.proof.plates, made.proof.cost) == (without.proof.plates, without.proof.cost)
