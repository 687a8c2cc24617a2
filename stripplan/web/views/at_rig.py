"""The rig view: one cut a screen, for a phone or an old tablet beside the rig."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Sequence
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.model.plan.plan import Plan
from stripplan.web.place_in_run import counts_of
from stripplan.web.rest_before_arc import clock
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store.progress import Progress, blamed
from stripplan.wording.message import Facts
from stripplan.wording.quantity import UnitError, parse_length

MOST = 200
"""Changes that a device sends at once at the most."""
WAIT, LOOK = 12.0, 0.4
"""A device that asks for news waits so long for it, and the store is looked at so often [s]."""


async def view(request: Request) -> Response:
    """All cuts of a kept plan; the script shows one at a time."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    shown = await asyncio.to_thread(shared.store.shown, plan_id)
    progress = await asyncio.to_thread(shared.store.progress, plan_id)
    runs = shown["clock"] if "clock" in shown else await asyncio.to_thread(_clock_of, shared, plan_id)
    counts = shown["runs"] if "runs" in shown else await asyncio.to_thread(_counts_of, shared, plan_id)
    cuts = [
        {"number": cut["number"], "wait": wait, "run": count}
        for cut, wait, count in zip(shown["cuts"], runs["waits"], counts, strict=True)
    ]
    now = told(progress, shown, shared.store.happened(plan_id))
    data = {"id": plan_id, "cuts": cuts, "post_flow": runs["post_flow"], "progress": now}
    return shared.page("rig.html", plan=shown, data=data)


def _clock_of(shared: SharedState, plan_id: str) -> dict[str, Any]:
    """The clock of a plan that an earlier release kept, from its plan file."""
    plan = _kept(shared, plan_id)
    return clock(plan.cuts, plan.rig)


def _counts_of(shared: SharedState, plan_id: str) -> list[dict[str, Any]]:
    """Where in its run each cut stands, of a plan that an earlier release kept."""
    return counts_of(_kept(shared, plan_id).runs)


def _kept(shared: SharedState, plan_id: str) -> Plan:
    from stripplan.files.plan.read import plan_from

    return plan_from(shared.store.plan_text(plan_id), name="the plan")


async def progress(request: Request) -> Response:
    """How far the plan has been cut; with `?since=VERSION` as soon as there is something newer, or after a while."""
    shared: SharedState = request.app.state.shared
    plan_id, since = request.path_params["id"], request.query_params.get("since", "")
    shown = await asyncio.to_thread(shared.store.shown, plan_id)
    loop = asyncio.get_running_loop()
    end = loop.time() + (WAIT if since.isdigit() and len(since) < 10 else 0.0)
    while True:
        now = await asyncio.to_thread(shared.store.progress, plan_id)
        if str(now.version) != since or loop.time() > end or await request.is_disconnected():
            return JSONResponse(told(now, shown, shared.store.happened(plan_id)))
        await asyncio.sleep(LOOK)


async def change(request: Request) -> Response:
    """Changes that a device made, all or none; the answer is how far the plan is for all devices."""
    shared: SharedState = request.app.state.shared
    changes = (await sent(request)).get("changes")
    if not isinstance(changes, list) or len(changes) > MOST or not all(isinstance(each, dict) for each in changes):
        raise InputError(Fault("change", "the change"))
    plan_id = request.path_params["id"]
    shown = await asyncio.to_thread(shared.store.shown, plan_id)
    for number, each in enumerate(changes):
        if each.get("what") == "measured" and str(each.get("text", "")).strip():
            with blamed(number):
                read_width(str(each["text"]), shown["units"])
    async with shared.lock(plan_id):
        now = await asyncio.to_thread(shared.store.change, plan_id, changes, time.time())
    return JSONResponse(told(now, shown, shared.store.happened(plan_id)))


async def seen(request: Request) -> Response:
    """Somebody has seen what happened to the plan's files."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    await asyncio.to_thread(shared.store.seen, plan_id)
    return JSONResponse({"happened": shared.store.happened(plan_id)})


def told(progress: Progress, shown: dict[str, Any], happened: Sequence[str]) -> dict[str, Any]:
    """How far a plan is, for a device: with what is to be said of each width, how long ago the last cut was made [s],
    and what happened to the plan's files.
    """
    verdicts = {}
    for number, text in progress.measured.items():
        measure = shown["cuts"][int(number) - 1]["measure"]
        if measure is not None:
            low, width, high = (read_width(each, shown["units"]) for each in (measure["low"], text, measure["high"]))
            verdicts[number] = "go" if low - 1e-9 <= width <= high + 1e-9 else "out"
    kept = {key: each for key, each in vars(progress).items() if key not in ("seen", "last_at")}
    since = max(0.0, time.time() - progress.last_at) if progress.last_at else None
    return {**kept, "verdicts": verdicts, "since_last": since, "happened": list(happened)}


def read_width(text: str, units: str) -> float:
    """A width as a person writes it [mm]. Raises InputError with what would be understood."""
    try:
        return parse_length(text, "in" if units == "in" else "mm", comma=True)
    except UnitError as error:
        raise InputError(Fault("measured", "the measured width", facts=Facts(said=str(error)))) from None


async def rest_of(request: Request, plan_id: str) -> dict[str, Any]:
    """The job for what is still wanted of a plan that was begun."""
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import rest_of_job

    shared: SharedState = request.app.state.shared

    def made() -> dict[str, Any]:
        plan = plan_from(shared.store.plan_text(plan_id), name="the plan")
        return rest_of_job(plan, shared.store.job(plan_id), shared.store.progress(plan_id).of_cuts())

    return await asyncio.to_thread(made)


routes = [
    Route("/rig/{id}", view),
    Route("/rig/{id}/progress", progress),
    Route("/rig/{id}/progress", change, methods=["POST"]),
    Route("/rig/{id}/seen", seen, methods=["POST"]),
]
