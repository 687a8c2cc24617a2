"""The batches of a plan: begun, named, gone on with, deleted; and what was measured in one, for the notebook."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store import profiles, stock_book
from stripplan.web.store.batches import Batch, arcs_in, batch_of
from stripplan.web.views.at_rig import shown_and_facts
from stripplan.web.views.notebook_forms import BY_KIND, typed_row
from stripplan.web.views.promises import standing
from stripplan.web.widths import read_width
from stripplan.wording.figures import show_about


async def view(request: Request) -> Response:
    """All batches of a plan, the newest first."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    shown, facts = await shown_and_facts(shared, plan_id)
    minutes = {cut["number"]: cut["minutes"] for cut in facts["cuts"]}

    def listed() -> tuple[list[Batch], tuple[str, ...], dict[str, str]]:
        stock_book.agree(shared.store, plan_id)
        numbers = shared.store.batches(plan_id)
        batches = [batch_of(each, shared.store.progress(plan_id, each), arcs_in(shown), minutes) for each in numbers]
        return batches[::-1], shared.store.happened(plan_id), standing(shared.store, [plan_id])

    batches, happened, on_rack = await asyncio.to_thread(listed)
    rows = [
        {"batch": each, "begun": _day(each.begun), "last": _day(each.last_at), **_minutes(each)} for each in batches
    ]
    planned = show_about(sum(minutes.values()))
    return shared.page(
        "batches.html",
        plan=shown,
        rows=rows,
        happened=happened,
        planned=planned,
        bevels=arcs_in(shown) - len(shown["cuts"]),
        on_rack=on_rack.get(plan_id),
    )


def _day(when: float) -> str:
    return datetime.fromtimestamp(when, UTC).astimezone().strftime("%Y-%m-%d %H:%M") if when else ""


def _minutes(batch: Batch) -> dict[str, str]:
    """Minutes taken and planned for the cuts done, in words; empty where they are not known."""
    told = {"taken": batch.taken, "planned": batch.planned}
    return {key: show_about(each) if each is not None else "" for key, each in told.items()}


async def begin(request: Request) -> Response:
    """Begin another batch: nothing in it is ticked."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    async with shared.lock(plan_id):
        await asyncio.to_thread(stock_book.agree, shared.store, plan_id)
        batch = await asyncio.to_thread(shared.store.begin, plan_id)
    return JSONResponse({"state": "begun", "to": f"/rig/{plan_id}/{batch}"})


async def rename(request: Request) -> Response:
    """Call a batch something."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = request.path_params["id"], request.path_params["batch"]
    name = (await sent(request)).get("name")
    if not isinstance(name, str):
        raise InputError(Fault("request", "the page"))
    async with shared.lock(plan_id):
        await asyncio.to_thread(shared.store.rename, plan_id, batch, name)
    return JSONResponse({"state": "named"})


async def delete(request: Request) -> Response:
    """Delete a batch with all that was noted in it, also in the stock book, unless the plan is ended there."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = request.path_params["id"], request.path_params["batch"]
    async with shared.lock(plan_id):
        await asyncio.to_thread(stock_book.leave, shared.store, plan_id, batch)
        await asyncio.to_thread(shared.store.delete, plan_id, batch)
    return JSONResponse({"state": "deleted"})


async def offered(request: Request) -> Response:
    """Widths of strips on the fence that were measured in a batch, and the notebooks that could hold them."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = request.path_params["id"], request.path_params["batch"]
    shown, facts = await shown_and_facts(shared, plan_id)
    now = await asyncio.to_thread(shared.store.progress, plan_id, batch)
    job = await asyncio.to_thread(_job, shared, plan_id)
    names = await asyncio.to_thread(_with_notebook)
    own = job.get("rig") if job.get("rig") in names else ""
    checks = [
        {"cut": each["cut"], "reading": each["reading"], "width": each["text"]}
        for each in _checks(now.measured, shown["units"], facts)
    ]
    return JSONResponse({"checks": checks, "rigs": names, "rig": own})


async def write_down(request: Request) -> Response:
    """Put widths that were measured into a notebook, each as a fence check. All of them, or those before the first that
    is refused; the answer says how many."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = request.path_params["id"], request.path_params["batch"]
    given = await sent(request)
    rig, cuts = given.get("rig"), given.get("cuts")
    if not isinstance(rig, str) or not isinstance(cuts, list):
        raise InputError(Fault("request", "the page"))
    shown, facts = await shown_and_facts(shared, plan_id)
    now = await asyncio.to_thread(shared.store.progress, plan_id, batch)
    rows = [each for each in _checks(now.measured, shown["units"], facts) if each["cut"] in cuts]
    day = datetime.fromtimestamp(now.last_at or now.begun, UTC).astimezone().date().isoformat()

    def written() -> int:
        for each in rows:
            _add(rig, each, day, f"plan {plan_id}, batch {batch}, cut {each['cut']}")
        return len(rows)

    return JSONResponse({"state": "written", "count": await asyncio.to_thread(written)})


def _add(rig: str, check: dict[str, Any], day: str, note: str) -> None:
    found = profiles.profile(rig)
    book = profiles.book_of(found)
    processes = {each.name for each in found.rig.processes}
    values = {"reading": f"{check['reading']:g} mm", "width": f"{check['width']:g} mm", "on": day, "note": note}
    if check["process"] in processes:
        values["process"] = check["process"]
    profiles.add(rig, "fence_check", typed_row(BY_KIND["fence_check"], values), book.seen if book else "")


def _checks(measured: dict[str, str], units: str, facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Of the widths measured those of strips that lay on the fence: their cut, the reading [mm of its scale], the width
    [mm] and as it was written, the process."""
    found = []
    for cut in facts["cuts"]:
        about, text = cut["measured"], measured.get(str(cut["number"]))
        if text is not None and about is not None and about["reading"] is not None:
            row = {"cut": cut["number"], "reading": about["reading"], "width": read_width(text, units), "text": text}
            found.append({**row, "process": about["process"]})
    return found


def _job(shared: SharedState, plan_id: str) -> dict[str, Any]:
    try:
        return shared.store.job(plan_id)
    except InputError:
        return {}


def _with_notebook() -> list[str]:
    """The profiles that have a notebook which can be read."""
    found = []
    for name in profiles.profiles():
        try:
            if profiles.book_of(profiles.profile(name)) is not None:
                found.append(name)
        except InputError:
            continue
    return found


routes = [
    Route("/rig/{id}/batches", view),
    Route("/rig/{id}/batches", begin, methods=["POST"]),
    Route("/rig/{id}/{batch:int}/name", rename, methods=["POST"]),
    Route("/rig/{id}/{batch:int}/delete", delete, methods=["POST"]),
    Route("/rig/{id}/{batch:int}/notebook", offered),
    Route("/rig/{id}/{batch:int}/notebook", write_down, methods=["POST"]),
]
