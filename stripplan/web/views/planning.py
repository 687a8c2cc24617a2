"""The planning view: a list is typed, the plan appears beside it, and is kept when it is good."""

from __future__ import annotations

import asyncio
import json
import re
import time
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.files.job.write import job_text
from stripplan.files.toml.document import toml_from
from stripplan.web.plans_in_progress import PlanInProgress, ShownPlan
from stripplan.web.shared_state import SharedState, fault_values, sent
from stripplan.web.store.profiles import profiles
from stripplan.web.views.at_rig import rest_of
from stripplan.web.worker import DroppedError, RefusedError, Task

AT_ONCE = 0.3
"""A plan that is made within this time is the answer; a longer one is asked for again, with its progress [s]."""
WAIT = 1.0
"""How long an asking waits for news [s]."""
FILES = {
    "pdf": "application/pdf", "json": "application/json", "csv": "text/csv; charset=utf-8", "dxf": "image/vnd.dxf",
    "svg": "image/svg+xml", "png": "image/png", "toml": "application/toml",
}  # fmt: skip
NAME = re.compile(
    r"plan\.json|setup-sheet\.pdf|labels\.pdf|cut-list\.csv|job\.(dxf|toml)|plate-P\d{1,5}\.(dxf|svg|png)|sequence-P\d{1,5}\.svg"
)
"""Files of a plan."""
CHOICES = {
    "page": ("a4", "letter"),
    "form": ("full", "short"),
    "dxf": ("R2000", "R2004", "R2007", "R2010", "R2013", "R2018"),
}


async def view(request: Request) -> Response:
    """The page itself; `?from=ID` begins with the list of a plan that was kept."""
    shared: SharedState = request.app.state.shared
    start, rest = request.query_params.get("from"), request.query_params.get("again")
    job = EXAMPLE
    if rest:
        job = await rest_of(request, rest)
    elif start:
        job = await asyncio.to_thread(shared.store.job, start)
    return shared.page("planning.html", job=job, rigs=profiles())


async def opened(request: Request) -> Response:
    """The list of a job file that a person chose, to go on with on the page; what cannot be used here is told."""
    given = await sent(request)
    name, text = str(given.get("name", ""))[:60], given.get("text")
    if not isinstance(text, str):
        raise InputError(Fault("request", "the page"))
    job = (await asyncio.to_thread(toml_from, text, name=name or "the file", folder=Path())).data
    rows = [job.get(key) for key in ("part", "plate")]
    if not all(
        each is None or (isinstance(each, list) and all(isinstance(row, dict) for row in each)) for each in rows
    ):
        raise InputError(Fault("job", name, says="no_job_file"))
    notes = []
    if "cut_list" in job:
        notes.append("Its cut list lies in another file: copy the rows and paste them into the parts.")
    if "rig" in job and "rig" not in without_paths(job):
        notes.append("Its rig is none of the profiles here: choose one.")
    return JSONResponse(
        {"state": "opened", "job": json.loads(json.dumps(without_paths(job), default=str)), "notes": notes}
    )


async def begin(request: Request) -> Response:
    """Begin a plan of what is typed; an older one of the same page is dropped."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    owner, job = given.get("owner"), given.get("job")
    if not isinstance(owner, str) or not 8 <= len(owner) <= 64 or not isinstance(job, dict):
        raise InputError(Fault("request", "the page"))
    shared.planning.drop(owner)
    job = without_paths(job)
    task = Task("planned", (job, str(shared.store.folder)))
    doing = asyncio.create_task(shared.workers.do(task))
    doing.add_done_callback(_seen)
    shared.planning.running[owner] = PlanInProgress(task, doing, job)
    return await _news(shared, owner, AT_ONCE)


async def news(request: Request) -> Response:
    """How a plan gets on, or the plan."""
    shared: SharedState = request.app.state.shared
    return await _news(shared, request.path_params["owner"], WAIT)


async def drop(request: Request) -> Response:
    """Stop a plan that is on its way."""
    shared: SharedState = request.app.state.shared
    shared.planning.drop(request.path_params["owner"])
    return JSONResponse({"state": "dropped"})


async def keep(request: Request) -> Response:
    """Keep a plan that was shown: it can be cut from now on."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    plan_id = str(given.get("id", ""))
    made = shared.planning.made.get(plan_id)
    if made is None:
        raise InputError(Fault("no_plan", f"plan {plan_id[:20]!r}", says="plan_forgotten"))
    now = datetime.now(UTC).isoformat(timespec="seconds")
    job = await asyncio.to_thread(job_text, made.job)
    await asyncio.to_thread(shared.store.keep, plan_id, made.text, job, made.shown, now)
    return JSONResponse({"state": "kept", "id": plan_id})


async def download(request: Request) -> Response:
    """A file of a plan, made as the command line makes it."""
    shared: SharedState = request.app.state.shared
    plan_id, name = request.path_params["id"], request.path_params["name"]
    made = shared.planning.made.get(plan_id)
    if not NAME.fullmatch(name):
        raise InputError(Fault("no_plan", name[:40], says="no_such_file"))
    if name == "job.toml":
        asked = (job_text, made.job) if made else (shared.store.job_text, plan_id)
        text = await asyncio.to_thread(*asked)
        return _file(text.encode(), name)
    text = made.text if made else await asyncio.to_thread(shared.store.plan_text, plan_id)
    choices = {key: each for key, each in request.query_params.items() if each in CHOICES.get(key, ())}
    return _file(await shared.workers.do(Task("written", (text, name, choices))), name)


async def kept(request: Request) -> Response:
    """All plans that were kept."""
    shared: SharedState = request.app.state.shared
    return shared.page("kept.html", kept=await asyncio.to_thread(shared.store.kept))


def without_paths(job: Mapping[str, Any]) -> dict[str, Any]:
    """The job without what names files: a page may not read the machine's files; empty fields are left out."""

    def cleaned(value: Any) -> Any:
        if isinstance(value, dict):
            inside = {key: cleaned(each) for key, each in value.items()}
            return {key: each for key, each in inside.items() if each not in ("", None, {}, [])}
        if isinstance(value, list):
            return [cleaned(each) for each in value]
        return value

    rig = job.get("rig")
    named = {"rig": rig} if isinstance(rig, str) and rig in profiles() else {}
    made: dict[str, Any] = cleaned({key: each for key, each in job.items() if key not in ("cut_list", "rig")})
    return {**made, **named}


def _seen(doing: asyncio.Task[Any]) -> None:
    """Take note of how it ended, so that nothing is said of one that nobody asked for any more."""
    if not doing.cancelled():
        doing.exception()


async def _news(shared: SharedState, owner: str, wait: float) -> Response:
    found = shared.planning.running.get(owner)
    if found is None:
        return JSONResponse({"state": "dropped"})
    found.asked = time.monotonic()
    try:
        made = await asyncio.wait_for(asyncio.shield(found.doing), wait)
    except TimeoutError:
        return JSONResponse({"state": "working", "told": found.task.told})
    except DroppedError:
        return JSONResponse({"state": "dropped"})
    except RefusedError as error:
        shared.planning.running.pop(owner, None)
        return JSONResponse({"state": "refused", "faults": fault_values(error.faults, error.units)})
    if shared.planning.running.get(owner) is found:
        shared.planning.running.pop(owner)
    plan_id = made["shown"]["id"]
    shared.planning.remember(plan_id, ShownPlan(made["text"], made["shown"], found.job))
    html = shared.pages.get_template("plan.html").render(plan=made["shown"])
    return JSONResponse(
        {"state": "made", "id": plan_id, "html": html, "notes": made["notes"], "compare": made["shown"]["compare"]}
    )


def _file(data: bytes, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=FILES[name.rpartition(".")[2]], headers=headers)


EXAMPLE: dict[str, Any] = {
    "name": "my first job",
    "units": "mm",
    "plate": [{"name": "sheet", "length": 1250, "width": 1000, "thickness": 6}],
    "part": [
        {"name": "rail", "width": 50, "quantity": 6},
        {"name": "shelf", "width": 120, "length": 300, "quantity": 4},
    ],
}
"""What a new page begins with."""

routes = [
    Route("/", view),
    Route("/planning", begin, methods=["POST"]),
    Route("/planning/keep", keep, methods=["POST"]),
    Route("/planning/open", opened, methods=["POST"]),
    Route("/planning/{owner}", news),
    Route("/planning/{owner}/drop", drop, methods=["POST"]),
    Route("/plans", kept),
    Route("/plans/{id}/{name}", download),
]
