"""The rig view: one run a screen, its cuts counted, for a phone or an old tablet beside the rig."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.rig_facts import facts_without_plan, rig_facts
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store.batches import FIRST, batch_of
from stripplan.web.store.progress import Progress, blamed
from stripplan.web.store.stock_book import Agreed, agree
from stripplan.web.views.typed_list import AGAIN, FROM_RACK, PIECES
from stripplan.web.widths import expected, read_width, refuse_far, verdicts
from stripplan.wording.figures import show_about
from stripplan.wording.show import Units

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan, PlanPlate
    from stripplan.model.plan.progress import CutProgress

MOST = 200
"""Changes that a device sends at once at the most."""
WAIT, LOOK = 12.0, 0.4
"""A device that asks for news waits so long for it, and the store is looked at so often [s]."""


async def door(request: Request) -> Response:
    """The rig view of a plan: its batches to choose from; where nothing was begun yet, the first one at once."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    await asyncio.to_thread(shared.store.shown, plan_id)  # what cannot be cut is told before anything is begun
    await asyncio.to_thread(agree, shared.store, plan_id)
    numbers = await asyncio.to_thread(shared.store.batches, plan_id)
    newest = await asyncio.to_thread(shared.store.progress, plan_id, numbers[-1] if numbers else FIRST)
    if len(numbers) <= 1 and not newest.version:
        return RedirectResponse(f"/rig/{plan_id}/{numbers[0] if numbers else FIRST}", 303)
    return RedirectResponse(f"/rig/{plan_id}/batches", 303)


async def view(request: Request) -> Response:
    """All cuts of a batch; the script shows one at a time."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = _asked(request)
    shown, facts = await shown_and_facts(shared, plan_id)
    agreed = await asyncio.to_thread(agree, shared.store, plan_id)
    progress = await asyncio.to_thread(shared.store.progress, plan_id, batch)
    now = told(shared, (plan_id, batch), progress, shown, facts, agreed)
    data = {"id": plan_id, "batch": batch, "progress": now, **facts}
    return shared.page("rig.html", plan=shown, data=data, batch=batch)


async def shown_and_facts(shared: SharedState, plan_id: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """What the page shows of a kept plan, and what the rig view needs beside it. Raises InputError."""

    def both() -> tuple[dict[str, Any], dict[str, Any]]:
        shown = shared.store.shown(plan_id)
        try:
            return shown, rig_facts(shared.store.plan_text(plan_id))
        except InputError:  # the plan file is damaged, and told: what is shown of it is cut by all the same
            return shown, facts_without_plan(shown)

    return await asyncio.to_thread(both)


async def progress(request: Request) -> Response:
    """How far the batch has been cut; with `?since=VERSION` as soon as there is something newer, or after a while."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = _asked(request)
    since = request.query_params.get("since", "")
    loop = asyncio.get_running_loop()
    end = loop.time() + (WAIT if since.isdigit() and len(since) < 10 else 0.0)
    while True:
        agreed = await asyncio.to_thread(agree, shared.store, plan_id)
        now = await asyncio.to_thread(shared.store.progress, plan_id, batch)
        if str(now.version) != since or loop.time() > end or await request.is_disconnected():
            return JSONResponse(told(shared, (plan_id, batch), now, *await shown_and_facts(shared, plan_id), agreed))
        await asyncio.sleep(LOOK)


async def change(request: Request) -> Response:
    """Changes that a device made, all or none; the answer is how far the batch is for all devices."""
    shared: SharedState = request.app.state.shared
    changes = (await sent(request)).get("changes")
    if not isinstance(changes, list) or len(changes) > MOST or not all(isinstance(each, dict) for each in changes):
        raise InputError(Fault("change", "the change"))
    plan_id, batch = _asked(request)
    shown, facts = await shown_and_facts(shared, plan_id)
    for number, each in enumerate(changes):
        if each.get("what") == "measured" and str(each.get("text", "")).strip():
            with blamed(number):
                read_width(str(each["text"]), shown["units"])
                if _is_cut(each.get("cut"), shown):
                    refuse_far(str(each["text"]), each["cut"], shown)
        if each.get("what") == "wrong" and str(each.get("usable", "")).strip():
            with blamed(number):
                await asyncio.to_thread(_check_usable, shared, plan_id, each)
    async with shared.lock(plan_id):
        await asyncio.to_thread(shared.store.change, plan_id, changes, time.time(), batch)
        agreed = await asyncio.to_thread(agree, shared.store, plan_id)
        now = await asyncio.to_thread(shared.store.progress, plan_id, batch)
    return JSONResponse(told(shared, (plan_id, batch), now, shown, facts, agreed))


def _is_cut(number: object, shown: Mapping[str, Any]) -> bool:
    return isinstance(number, int) and not isinstance(number, bool) and 1 <= number <= len(shown["cuts"])


async def seen(request: Request) -> Response:
    """Somebody has seen what happened to the plan's files."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    await asyncio.to_thread(shared.store.seen, plan_id)
    return JSONResponse({"happened": shared.store.happened(plan_id)})


OWN = frozenset(("seen", "last_at", "ticked", "elsewhere", "begun", "key", "told", "untold"))
"""Of a progress what no device needs to know."""


def told(
    shared: SharedState,
    which: tuple[str, int],
    progress: Progress,
    shown: Mapping[str, Any],
    facts: Mapping[str, Any],
    agreed: Agreed,
) -> dict[str, Any]:
    """How far a batch of a plan is, for a device: with what is to be said of each width, what is to be expected of
    widths to come now, how long ago the last cut was made [s], what happened to the plan's files, and what there is to
    say of the stock book.
    """
    plan_id, number = which
    kept = {key: each for key, each in vars(progress).items() if key not in OWN}
    since = max(0.0, time.time() - progress.last_at) if progress.last_at else None
    batch = batch_of(FIRST, progress, len(facts["cuts"]), {cut["number"]: cut["minutes"] for cut in facts["cuts"]})
    minutes = None
    if batch.taken is not None and batch.planned is not None:
        minutes = {"taken": show_about(batch.taken), "planned": show_about(batch.planned)}
    return {
        **kept,
        "verdicts": verdicts(progress.measured, shown),
        "expected": expected(progress.measured, shown, facts),
        "since_last": since,
        "minutes": minutes,
        "happened": list(shared.store.happened(plan_id)),
        "book": agreed.said if agreed.batch == number else "",
    }


def _check_usable(shared: SharedState, plan_id: str, change: Mapping[str, Any]) -> None:
    """Raises InputError where what is said to be still good of a spoilt piece does not lie on that. Of a plan whose
    file is damaged no size is known."""
    from stripplan.files.plan.read import plan_from
    from stripplan.model.rack.salvage import not_salvaged

    try:
        plan = plan_from(shared.store.plan_text(plan_id), name="the plan")
    except InputError:
        return
    number, text = str(change.get("cut")), str(change.get("text", ""))
    if not number.isdecimal() or not 1 <= int(number) <= len(plan.arcs):
        return  # what it is of is refused where it is taken over
    asked = Progress(wrong={number: text}, usable={number: str(change["usable"])}).of_cuts(plan.job.units)
    if wrong := [Fault.of(each) for each in not_salvaged(plan, asked)]:
        raise InputError(wrong, Units(plan.job.units, plan.job.inch_fraction))


def _asked(request: Request) -> tuple[str, int]:
    """The plan and the batch that an address names; one without a batch, as earlier releases had it, means the
    first."""
    return request.path_params["id"], int(request.path_params.get("batch", FIRST))


async def rest_of(request: Request, plan_id: str) -> dict[str, Any]:
    """The job for what is still wanted of a plan that was begun, in the batch that the address names."""
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import rest_of_job

    shared: SharedState = request.app.state.shared
    asked = request.query_params.get("batch", "")
    batch = int(asked) if asked.isdecimal() and len(asked) < 4 else FIRST

    def made() -> dict[str, Any]:
        agree(shared.store, plan_id)
        plan = plan_from(shared.store.plan_text(plan_id), name="the plan")
        table, progress = shared.store.job(plan_id), shared.store.progress(plan_id, batch).of_cuts(plan.job.units)
        rest = rest_of_job(plan, table, progress)
        again = {**_off_the_rack(plan, table, rest, progress), AGAIN: {"plan": plan_id, "batch": batch}}
        plain: dict[str, Any] = json.loads(json.dumps(again, default=str))  # days are texts on the page
        return plain

    return await asyncio.to_thread(made)


def _off_the_rack(plan: Plan, table: Mapping[str, Any], rest: dict[str, Any], progress: CutProgress) -> dict[str, Any]:
    """The rest of a job with the pieces of the rack that its plan was promised and has not touched, as plates; where
    that plan took what it wanted off the rack, so may the rest."""
    from stripplan.model.plan.lying import cuts_made

    begun = {cut.plate for cut in cuts_made(plan, progress)}
    kinds: dict[str, list[PlanPlate]] = {}
    for plate in plan.plates:
        if plate.piece and plate.id not in begun:
            kinds.setdefault(plate.stock, []).append(plate)
    listed = {row.get("name") or f"plate {number}": row for number, row in enumerate(table.get("plate", ()), 1)}
    priced = (key for row in listed.values() for key in ("cost", "price_per_kg") if row.get(key) is not None)
    way = next(priced, "")
    offered = {each.name for each in plan.job.plates} - listed.keys() - kinds.keys()  # off the rack, and not taken
    rows = {row["name"]: dict(row) for row in rest["plate"] if row["name"] not in offered}
    for row in rows.values():
        if way and row.get(way) is None:
            row[way] = 0.0  # what lies on the bench was paid for
    for name, plates in kinds.items():
        row = rows.setdefault(name, _as_row(plan, plates[0], way))
        row |= {"quantity": len(plates), PIECES: ", ".join(each.piece for each in plates)}
    takes_any = any(plate.piece and plate.stock not in listed for plate in plan.plates)
    return {**rest, "plate": list(rows.values())} | ({FROM_RACK: True} if takes_any else {})


def _as_row(plan: Plan, plate: PlanPlate, way: str) -> dict[str, Any]:
    """A plate of a plan that its list does not name, as a row of one; `way` is how plates are priced there."""
    given = next(each for each in plan.job.plates if each.name == plate.stock)
    sizes = {key: f"{getattr(plate, key):g} mm" for key in ("length", "width", "thickness")}
    prices = {"cost": plate.cost, "price_per_kg": plate.cost / plate.mass} if plate.mass else {}
    return {
        "name": plate.stock, **sizes, "material": plate.material, "offcut": given.offcut, "measured": given.measured,
        "edges": list(given.edges), "rolling": given.rolling, **({way: round(prices[way], 4)} if way in prices else {}),
    }  # fmt: skip


routes = [
    Route("/rig/{id}", door),
    Route("/rig/{id}/progress", progress),
    Route("/rig/{id}/progress", change, methods=["POST"]),
    Route("/rig/{id}/seen", seen, methods=["POST"]),
    Route("/rig/{id}/{batch:int}", view),
    Route("/rig/{id}/{batch:int}/progress", progress),
    Route("/rig/{id}/{batch:int}/progress", change, methods=["POST"]),
]
