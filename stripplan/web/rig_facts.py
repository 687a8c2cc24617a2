"""What the rig view needs of a plan beside the rows of its sheet: runs, clocks, minutes, what comes of each piece.

All of it comes from the plan file, so that plans that earlier releases kept are cut like those of today.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.work.measure import measures
from stripplan.sheets.rows.work.runs import run_rows
from stripplan.web.rest_before_arc import clock

SIDES = ("right", "left")
"""The sides of a cut as its pieces stand in the plan."""


@lru_cache(maxsize=8)
def rig_facts(plan_text: str) -> dict[str, Any]:
    """The facts of a plan by its file's text. Raises InputError for what is no plan.

    `cuts`, in the order of work: number, wait [s], run (number from 0, at, of, parts), minutes, piece, and for each
    side the piece that falls, its kind and part, and the later cuts that it is for; then the bevels, whose part stands
    where a piece falls on the right. `parts`: name, wanted, filler.
    `whole`: parts that no cut makes, their plate is one. `post_flow` [s].
    """
    from stripplan.files.plan.read import plan_from

    return facts_of(plan_from(plan_text, name="the plan"))


def facts_of(plan: Plan) -> dict[str, Any]:
    """The same of a plan that was read."""
    bench = Bench(plan)
    clocks = clock(plan.arcs, plan.rig)
    runs = _runs(bench)
    later = _later(plan)
    cuts = [
        {
            "number": cut.number,
            "wait": wait,
            "run": runs[cut.number],
            "minutes": round(cut.minutes.total, 3),
            "plate": cut.plate,
            "piece": cut.piece,
            "falls": {side: _fall(bench, name, later) for side, name in zip(SIDES, cut.makes, strict=True)},
            "measured": _measured(bench, cut),
        }
        for cut, wait in zip(plan.cuts, clocks["waits"], strict=False)  # those of the bevels come after them
    ]
    cuts += [
        {
            "number": bevel.number,
            "bevel": True,
            "wait": wait,
            "run": {"number": 0, "at": 1, "of": 1, "parts": ""},
            "minutes": round(bevel.minutes.total, 3),
            "plate": bevel.plate,
            "piece": bevel.piece,
            "falls": {"right": _bevelled(bench, bevel, later), "left": None},
            "measured": None,
        }
        for bevel, wait in zip(plan.bevels, clocks["waits"][len(plan.cuts) :], strict=True)
    ]
    made = {name for cut in plan.cuts for name in cut.makes}
    whole = [each.part for each in plan.pieces if each.kind == "part" and each.id not in made]
    parts = [{"name": each.name, "wanted": each.wanted, "filler": each.filler} for each in plan.parts]
    return {"cuts": cuts, "parts": parts, "whole": whole, "post_flow": clocks["post_flow"], "units": plan.job.units}


def facts_without_plan(shown: Mapping[str, Any]) -> dict[str, Any]:
    """What can be told of a plan whose file is damaged, from what the page shows of it: no minutes, no widths to come,
    and of what a spoilt piece was for only its own cut."""
    opened = {cut["piece"]: cut["number"] for cut in shown["cuts"]}
    waits = shown.get("clock", {"waits": [0.0] * len(shown["cuts"]), "post_flow": 0.0})
    counts = shown.get("runs", [{"at": 1, "of": 1, "parts": ""}] * len(shown["cuts"]))

    def fall(given: Mapping[str, Any] | None) -> dict[str, Any] | None:
        if given is None:
            return None
        later = [opened[given["piece"]]] if given["piece"] in opened else []
        part = given["name"].partition(",")[0] or None
        told = given["name"] or given["piece"]
        return {"piece": given["piece"], "kind": given["kind"], "part": part, "told": told, "later": later}

    cuts = [
        {
            "number": cut["number"],
            "wait": wait,
            "run": {"number": 0, **count},
            "minutes": 0.0,
            "plate": cut["plate"]["text"],
            "piece": cut["piece"],
            "falls": {side: fall(cut[side]) for side in SIDES},
            "measured": None,
        }
        for cut, wait, count in zip(shown["cuts"], waits["waits"], counts, strict=True)
    ]
    for bevel in (row for group in shown.get("bevels", ()) for row in group["rows"]):
        part = bevel["name"].partition(",")[0]
        falls = {"piece": bevel["piece"], "kind": "part", "part": part, "told": bevel["name"] or part, "later": []}
        cuts.append(
            {
                "number": bevel["number"], "bevel": True, "wait": 0.0,
                "run": {"number": 0, "at": 1, "of": 1, "parts": ""}, "minutes": 0.0, "plate": bevel["plate"],
                "piece": bevel["piece"], "falls": {"right": falls, "left": None}, "measured": None,
            }
        )  # fmt: skip
    parts = [{"name": each["name"], "wanted": each["wanted"], "filler": each["filler"]} for each in shown["parts"]]
    return {
        "cuts": cuts, "parts": parts, "whole": [], "post_flow": waits["post_flow"], "units": shown.get("units", "mm")
    }  # fmt: skip


def _runs(bench: Bench) -> dict[int, dict[str, Any]]:
    """Where in its run each cut stands."""
    from stripplan.sheets.rows.work.cuts import cut_rows

    found = {}
    for number, run in enumerate(run_rows(bench, cut_rows(bench))):
        for at, cut in enumerate(run.cuts, 1):
            found[cut.number] = {"number": number, "at": at, "of": len(run.cuts), "parts": run.parts}
    return found


def _later(plan: Plan) -> dict[str, list[int]]:
    """For each piece the cuts and bevels that it, and what is cut from it, is for."""
    bevels: dict[str, list[int]] = {}
    for bevel in plan.bevels:
        bevels.setdefault(bevel.piece, []).append(bevel.number)
    opened = {cut.piece: cut for cut in plan.cuts}

    def of(piece: str) -> list[int]:
        found, waiting = list[int](), [piece]
        while waiting:
            here = waiting.pop()
            found += bevels.get(here, ())
            cut = opened.get(here)
            if cut is not None:
                found.append(cut.number)
                waiting += [name for name in cut.makes if name is not None]
        return sorted(found)

    return {piece.id: of(piece.id) for piece in plan.pieces}


def _fall(bench: Bench, name: str | None, later: Mapping[str, list[int]]) -> dict[str, Any] | None:
    if name is None:
        return None
    piece = bench.pieces[name]
    told = bench.name(piece) or ("offcut" if piece.kind == "offcut" else name)
    return {"piece": name, "kind": piece.kind, "part": piece.part, "told": told, "later": later[name]}


def _bevelled(bench: Bench, bevel: BevelCut, later: Mapping[str, list[int]]) -> dict[str, Any] | None:
    """The part of a bevel, and the bevels that are still to come on it."""
    found = _fall(bench, bevel.piece, later)
    return None if found is None else {**found, "later": [each for each in found["later"] if each > bevel.number]}


def _measured(bench: Bench, cut: Cut) -> dict[str, Any] | None:
    """What is measured after a cut: how wide it should be [mm], what its size is made of, so that widths made alike are
    expected to be off alike, and the reading of the fence, where the width is that of a strip on it."""
    found = measures(bench, cut)
    if not found or found[0].of:  # what a cut at an angle sets is no width across it
        return None
    width, _, chain = bench.sizes[found[0].piece].across(cut)
    process = bench.plates[cut.plate].process
    on_fence = cut.located == "fence" and found[0].piece == cut.makes[0]
    return {
        "width": width,
        "made_of": [process, chain.zero, chain.kerfs, chain.fence, chain.marked, cut.plate if chain.plate else None],
        "reading": cut.fence_reading if on_fence else None,
        "process": process,
    }
