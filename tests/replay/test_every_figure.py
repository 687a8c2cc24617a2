"""Every figure of a plan file, changed one at a time: the check finds it, or says that it does not look at it."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stripplan import plan
from stripplan.errors import InputError
from stripplan.files.plan.read import plan_from
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import OtherOrder
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.planner import joined
from stripplan.replay.unchecked import not_checked
from stripplan.replay.verdict import replay
from stripplan.sheets.plan_json import plan_text
from tests.checking import few

SHED = Path(__file__).parents[2] / "examples" / "shed-rig" / "rig.toml"


@cache
def priced() -> str:
    """A plan with prices, finishing asked for, offcuts credited, a two-pass cut, a mill edge trimmed,
    a bar that will bow.
    """
    prices = Prices(
        per_hour=45, per_kwh=0.31, compressor_kw_per_m3_min=7.5, tip_price=3.3, electrode_price=4.1,
        electrode_starts=150, scrap_per_kg=0.22,
        markup=12.5, credit_offcuts=True,
    )  # fmt: skip
    plate = Plate(
        name="sheet",
        length=1500,
        width=700,
        thickness=6,
        material="mild steel",
        cost=96.13,
        out_of_square=12,
        edges=("cut", "cut", "mill", "dressed"),
    )
    parts = (
        Strip(name="bar", width=50, plus_minus=0.2, straightness=0.5),
        Rectangle(name="plate", width=120, length=300, rolling="length", allowance=0.5),
    )
    options = Options(trim=10, finish=True, effort=Effort(steps=2))
    return plan_text(
        plan(
            Job(name="priced", plates=(plate,), parts=parts, options=options, currency="EUR"),
            replace(load_rig(), prices=prices, stroke=1203),
        )
    )


@cache
def measured() -> str:
    """A plan on a rig with a notebook and a dial, where the fence does not reach everything: some cuts are marked."""
    plate = Plate(name="sheet", length=900, width=500, thickness=6, material="mild steel", measured=True)
    parts = (Strip(name="rail", width=40), Rectangle(name="foot", width=350, length=420))
    return plan_text(plan(Job(name="measured", plates=(plate,), parts=parts), replace(load_rig(SHED), fence_max=300.0)))


@cache
def two_processes() -> str:
    """A plan of two thicknesses, so that the tip is changed;
    one part is too wide for the class that is asked, and the order not taken is told.
    """
    plates = tuple(
        Plate(name=f"sheet {t}", length=700, width=300, thickness=t, material="mild steel", quantity=1, measured=True)
        for t in (6, 10)
    )
    parts = (
        Rectangle(name="lug", width=25, length=700, thickness=6, quantity=6),
        Rectangle(name="foot", width=80, length=140, thickness=10, quantity=3),
    )
    options = Options(general_class="f", effort=Effort(steps=2))
    made = plan(Job(name="two", plates=plates, parts=parts, options=options), load_rig())
    return plan_text(replace(made, other_order=OtherOrder(fence_settings=9, minutes=50.0, differ=0.5)))


@cache
def together() -> str:
    """A plan of two jobs, of which one is due before the other and late; they share a plate."""
    rig = replace(load_rig(), prices=Prices(per_hour=45))
    plate = Plate(name="sheet", length=900, width=500, thickness=6, material="mild steel", cost=40.0)
    options = Options(effort=Effort(steps=2), hours_a_day=0.2, start="2026-12-04")
    jobs = [
        Job(name=name, plates=(plate,), parts=(Rectangle(name="lug", width=wide, length=300, quantity=2),),
            options=options, due=due)
        for name, wide, due in (("gate", 60, "2026-12-04"), ("shelf", 70, "2026-12-11"))
    ]  # fmt: skip
    return plan_text(plan(*joined([(f"{job.name}.toml", job, rig) for job in jobs])))


PLANS = {"priced": priced, "measured": measured, "two processes": two_processes, "together": together}


def leaves(tree: Any, place: str = "") -> Iterator[tuple[str, Any, Any]]:
    """Place, table or list, and key of everything in a plan that is neither; of lists also each entry as a whole."""
    for key in tree if isinstance(tree, dict) else range(len(tree)):
        at = f"{place}[{key}]" if isinstance(tree, list) else f"{place}.{key}".lstrip(".")
        if isinstance(tree[key], (dict, list)):
            yield from leaves(tree[key], at)
        else:
            yield at, tree, key
        if isinstance(tree, list) and isinstance(tree[key], (dict, list, str)):
            yield f"{at} dropped", tree, key


def changed(value: Any) -> list[Any]:
    """What stands in a leaf's place: a figure more and less, a flag turned over, other words,
    something where nothing was.
    """
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, (int, float)):
        return [value + 1, value * 0.98 - 0.05, value * 1.02 + 0.02]
    return ["x" if value is None else f"{value}x", 1.0] if value is None else [f"{value}x"]


def found(text: str) -> bool:
    """Whether the check finds anything wrong."""
    try:
        return bool(replay(plan_from(text, name="plan.json")))
    except InputError:
        return True


def of_each_kind(places: list[str], most: int) -> set[str]:
    """Of places that differ in numbers alone at most so many, evenly from the first to the last."""
    kinds: dict[str, list[str]] = {}
    for at in places:
        kinds.setdefault(re.sub(r"\d+", "", at), []).append(at)
    return {each[n * len(each) // most] for each in kinds.values() for n in range(most)}


def missed(good: str, most: int) -> list[str]:
    """Places whose change goes unseen; of several changes that a leaf may suffer each has its turn."""
    data, lost, turn = json.loads(good), [], 0
    del data["job"], data["rig"]  # inputs
    whole = json.loads(good)
    every = list(leaves(data))
    tried = of_each_kind([at for at, *_ in every], most)
    for at, here, key in every:
        if at not in tried:
            continue
        kept = copy.deepcopy(here[key])
        if at.endswith(" dropped"):
            del here[key]
            if not found(json.dumps({**whole, **data})):
                lost.append(at)
            here.insert(key, kept)
            continue
        several, turn = changed(kept), turn + 1
        here[key] = several[turn % len(several)]
        if not found(json.dumps({**whole, **data})):
            lost.append(f"{at}: {kept!r} -> {here[key]!r}")
        here[key] = kept
    return lost


@pytest.mark.parametrize("most", [1, pytest.param(10**4, marks=pytest.mark.slow)], ids=["one of a kind", "all"])
@pytest.mark.parametrize("name", few(1, ("together", "measured", "priced", "two processes")))
def test_every_figure_is_checked_or_named(name: str, most: int) -> None:
    """A figure more or less, a flag turned over, other words, an entry dropped:
    seen, or in the list that `check` prints.
    """
    good = PLANS[name]()
    made = plan_from(good, name="plan.json")
    assert not replay(made)
    named = not_checked(made)
    unseen = [
        each
        for each in missed(good, most)
        if not any(it.covers(each.split(":")[0].removesuffix(" dropped")) for it in named)
    ]
    assert unseen == []
