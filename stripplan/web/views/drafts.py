"""Lists that are being typed: kept at every change and looked at at once, apart from any planning."""

from __future__ import annotations

import asyncio
import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState, fault_values, sent
from stripplan.web.store.draft_store import Draft
from stripplan.web.tasks import read_list
from stripplan.web.views.together import together as planned_together
from stripplan.web.views.typed_list import FROM_RACK, digest_of, job_of
from stripplan.wording.show import MM

MOST_TOGETHER = 50
"""Lists that are planned together at the most."""
DAYS = ("hours_a_day", "start")
NOTHING_YET = {"no_part.job": "part", "no_plate.job": "plate"}
"""A list in which nothing of that kind is typed yet: no fault, only the next thing to do."""


async def typed(request: Request) -> Response:
    """Keep what was typed, and say what is wrong with it; nothing is planned, and nothing that is planned is waited
    for.
    """
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    job, was = given.get("job"), given.get("edition")
    if not isinstance(job, dict) or not isinstance(was, int):
        raise InputError(Fault("request", "the page"))
    draft_id = request.path_params["id"]
    draft = await asyncio.to_thread(shared.drafts.keep, draft_id, job, was=was, now=now())
    return JSONResponse({"state": "kept", "edition": draft.edition, **await asyncio.to_thread(checked, job)})


async def jobs(request: Request) -> Response:
    """The jobs that were worked on last."""
    shared: SharedState = request.app.state.shared
    found, said = await asyncio.to_thread(shared.drafts.recent)
    return JSONResponse({"state": "listed", "jobs": [_line(each) for each in found], "said": said})


async def copy(request: Request) -> Response:
    """A second list like the first."""
    shared: SharedState = request.app.state.shared
    draft_id = request.path_params["id"]
    first = await asyncio.to_thread(shared.drafts.read, draft_id)
    name = f"{first.name or 'job'}, copy"
    made = await asyncio.to_thread(shared.drafts.copy, draft_id, secrets.token_hex(8), name=name, now=now())
    return JSONResponse({"state": "copied", "id": made.id})


async def delete(request: Request) -> Response:
    """Away with a list; it can be had back."""
    shared: SharedState = request.app.state.shared
    await asyncio.to_thread(shared.drafts.delete, request.path_params["id"])
    return JSONResponse({"state": "deleted"})


async def together(request: Request) -> Response:
    """Several lists as one that is planned together, kept as a list of its own: each with the day that it is due."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    asked, options = given.get("jobs"), given.get("options")
    if (
        not isinstance(asked, list)
        or not isinstance(options, dict)
        or not all(isinstance(each, dict) for each in asked)
        or not 2 <= len(asked) <= MOST_TOGETHER
    ):
        raise InputError(Fault("request", "the page", says="too_few_together"))

    def made() -> Draft:
        lists = [{**shared.drafts.read(str(each.get("id"))).job, "due": each.get("due") or None} for each in asked]
        joint = planned_together(lists)
        days = {key: str(options.get(key) or "").strip() for key in DAYS}
        joint["options"] = {**joint.get("options", {}), **{key: each for key, each in days.items() if each}}
        return shared.drafts.keep(secrets.token_hex(8), joint, was=0, now=now())

    draft = await asyncio.to_thread(made)
    return JSONResponse({"state": "together", "id": draft.id})


async def restore(request: Request) -> Response:
    """A deleted list back again."""
    shared: SharedState = request.app.state.shared
    await asyncio.to_thread(shared.drafts.restore, request.path_params["id"])
    return JSONResponse({"state": "restored"})


def checked(typed_job: dict[str, Any]) -> dict[str, Any]:
    """What tells the list from others, what is wrong with it, and what is still to be typed ("part", "plate")."""
    faults: tuple[Fault, ...] = ()
    units = MM
    try:
        job = job_of(typed_job)
        read_list(job, str(Path()), rack=bool(typed_job.get(FROM_RACK)))
    except InputError as error:
        faults, units = error.faults, error.units
    lacks = [NOTHING_YET[each.says] for each in faults if each.says in NOTHING_YET]
    wrong = tuple(each for each in faults if each.says not in NOTHING_YET)
    return {"list": digest_of(typed_job), "faults": fault_values(wrong, units), "lacks": lacks}


def now() -> str:
    """The time, as drafts carry it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def _line(each: Draft) -> dict[str, Any]:
    due = each.job.get("due")
    return {
        "id": each.id, "name": each.name, "parts": each.parts, "changed_at": each.changed_at,
        "due": due if isinstance(due, str) else "", "jobs": len(each.job.get("job") or ()),
    }  # fmt: skip


routes = [
    Route("/jobs", jobs),
    Route("/jobs/together", together, methods=["POST"]),
    Route("/jobs/{id}", typed, methods=["POST"]),
    Route("/jobs/{id}/copy", copy, methods=["POST"]),
    Route("/jobs/{id}/delete", delete, methods=["POST"]),
    Route("/jobs/{id}/restore", restore, methods=["POST"]),
]
