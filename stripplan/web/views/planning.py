"""The planning view: a list is typed, plans appear beside it, and one is kept when it is good."""

from __future__ import annotations

import asyncio
import re
import secrets
import time
from datetime import UTC, datetime
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.files.job.write import job_text
from stripplan.sheets.file_names import plain_name
from stripplan.web.plans_in_progress import PlanInProgress, ShownPlan
from stripplan.web.shared_state import SharedState, fault_values, sent
from stripplan.web.store.profiles import profiles
from stripplan.web.store.stock_book import agree_all
from stripplan.web.views import promises
from stripplan.web.views.at_rig import rest_of
from stripplan.web.views.promises import asked_of, rest_asked
from stripplan.web.views.rack import plates_of
from stripplan.web.views.typed_list import digest_of, job_of
from stripplan.web.worker import DroppedError, RefusedError, Task
from stripplan.wording.message import Facts

AT_ONCE = 0.3
"""A plan that is made within this time is the answer; a longer one is asked for again, with its progress [s]."""
WAIT = 1.0
"""How long an asking waits for news [s]."""
LOOK = 0.03
"""How often it is looked for meanwhile [s]."""
FILES = {
    "pdf": "application/pdf", "json": "application/json", "csv": "text/csv; charset=utf-8", "dxf": "image/vnd.dxf",
    "svg": "image/svg+xml", "png": "image/png", "toml": "application/toml",
}  # fmt: skip
NAME = re.compile(
    r"plan\.json|setup-sheet\.pdf|cautions\.pdf|labels\.pdf|cut-list\.csv|job\.(dxf|toml)|plate-P\d{1,5}\.(dxf|svg|png)"
    r"|sequence-P\d{1,5}\.svg|quotation-\d{1,4}\.pdf"
)
"""Files of a plan."""
CHOICES = {
    "page": ("a4", "letter"),
    "form": ("full", "short"),
    "cautions": ("with", "once"),
    "dxf": ("R2000", "R2004", "R2007", "R2010", "R2013", "R2018"),
}
OWNER = re.compile(r"[0-9A-Za-z-]{8,64}")


async def view(request: Request) -> Response:
    """The page: the job that was worked on last, one of them (`?job=ID`), a new one (`?new`), or a new one that begins
    with the list of a plan that was kept (`?from=ID`) or with what is left of it (`?again=ID`).
    """
    shared: SharedState = request.app.state.shared
    asked = request.query_params
    job: dict[str, Any] = {}
    draft_id, edition = secrets.token_hex(8), 0
    if rest := asked.get("again"):
        job = await rest_of(request, rest)
    elif pieces := asked.get("rack"):
        job = {"units": "mm", "plate": await asyncio.to_thread(plates_of, pieces)}
    elif start := asked.get("from"):
        job = await asyncio.to_thread(shared.store.job, start)
    elif known := asked.get("job"):
        draft = await asyncio.to_thread(shared.drafts.read, known)
        job, draft_id, edition = dict(draft.job), draft.id, draft.edition
    elif "new" not in asked:
        recent, _ = await asyncio.to_thread(shared.drafts.recent)
        if recent:
            return RedirectResponse(f"/?job={recent[0].id}", 303)
    return shared.page(
        "planning.html", job=job, example=EXAMPLE, draft={"id": draft_id, "edition": edition}, rigs=profiles()
    )


async def begin(request: Request) -> Response:
    """Begin a plan of what is typed, or the plans to choose from; what the same page had on its way is dropped."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    owner, typed = given.get("owner"), given.get("job")
    if not isinstance(owner, str) or not OWNER.fullmatch(owner) or not isinstance(typed, dict):
        raise InputError(Fault("request", "the page"))
    shared.planning.drop(owner)
    job, digest = await asyncio.to_thread(lambda: (_begun_today(job_of(typed)), digest_of(typed)))
    name = "chosen" if given.get("want") == "choices" else "planned"
    rack = await asyncio.to_thread(asked_of, typed)
    keep = shared.planning.made.get(str(given.get("keep"))) if name == "planned" else None
    again = name == "planned" and keep is None and given.get("afresh") is not True
    rest = await asyncio.to_thread(rest_asked, shared.store, typed) if again else None
    known = shared.planning.last_of(digest) if name == "planned" and keep is None and rest is None else None
    if known is not None and known.job == job and not rack.get("any"):
        return JSONResponse({"state": "made", "news": [_plan_values(shared, known)]})
    more = (rack,) if name == "chosen" else (keep.text if keep is not None else "", rack, rest)
    task = Task(name, (job, str(shared.store.folder), *more))
    doing = asyncio.create_task(shared.workers.do(task))
    doing.add_done_callback(_seen)
    shared.planning.running[owner] = PlanInProgress(
        task, doing, job, list=digest, kept=keep is not None or rest is not None
    )
    return await _news(shared, owner, AT_ONCE)


def _begun_today(job: dict[str, Any]) -> dict[str, Any]:
    """The job with the day on which its work begins, where days are counted: today, if nothing is said."""
    options = job.get("options") or {}
    if not job.get("job") or not options.get("hours_a_day") or options.get("start"):
        return job
    return {**job, "options": {**options, "start": datetime.now().astimezone().date().isoformat()}}


async def news(request: Request) -> Response:
    """How a plan gets on, and what there is already."""
    shared: SharedState = request.app.state.shared
    return await _news(shared, request.path_params["owner"], WAIT)


async def drop(request: Request) -> Response:
    """Drop a plan that is on its way: nobody wants it any more."""
    shared: SharedState = request.app.state.shared
    shared.planning.drop(request.path_params["owner"])
    return JSONResponse({"state": "dropped"})


async def enough(request: Request) -> Response:
    """End the search of a plan: the best so far is made ready, and is the answer."""
    shared: SharedState = request.app.state.shared
    found = shared.planning.running.get(request.path_params["owner"])
    if found is not None:
        found.task.end()
    return JSONResponse({"state": "ending" if found is not None else "dropped"})


async def keep(request: Request) -> Response:
    """Keep a plan that was shown: it can be cut from now on. It must be one of the list that is on the screen."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    plan_id, typed = str(given.get("id", "")), given.get("job")
    made = shared.planning.made.get(plan_id)
    if made is None:
        raise InputError(Fault("no_plan", f"plan {plan_id[:20]!r}", says="plan_forgotten"))
    if not isinstance(typed, dict) or await asyncio.to_thread(digest_of, typed) != made.list:
        raise InputError(Fault("stale_plan", f"plan {plan_id}"))
    now = datetime.now(UTC).isoformat(timespec="seconds")
    job = await asyncio.to_thread(job_text, made.job)

    def store() -> None:
        shared.store.keep(plan_id, made.text, job, made.shown, now)

    await asyncio.to_thread(promises.keep, shared.store, plan_id, made.text, typed, store)
    return JSONResponse({"state": "kept", "id": plan_id})


async def download(request: Request) -> Response:
    """A file of a plan, made as the command line makes it, its name that of the job.

    With `?job=ID` it must be a plan of the list that was typed there last.
    """
    shared: SharedState = request.app.state.shared
    plan_id, name = request.path_params["id"], request.path_params["name"]
    made = shared.planning.made.get(plan_id)
    if not NAME.fullmatch(name):
        raise InputError(Fault("no_plan", name[:40], says="no_such_file"))
    draft_id = request.query_params.get("job")
    if made is not None and draft_id is not None:
        draft = await asyncio.to_thread(shared.drafts.read, draft_id)
        if await asyncio.to_thread(digest_of, draft.job) != made.list:
            raise InputError(Fault("stale_plan", f"plan {plan_id}"))
    job_name = made.shown["job"] if made else await asyncio.to_thread(_name_of_kept, shared, plan_id)
    if name == "job.toml":
        asked = (job_text, made.job) if made else (shared.store.job_text, plan_id)
        text = await asyncio.to_thread(*asked)
        return _file(text.encode(), name, job_name)
    text = made.text if made else await asyncio.to_thread(shared.store.plan_text, plan_id)
    choices = {key: each for key, each in request.query_params.items() if each in CHOICES.get(key, ())}
    if cuts := request.query_params.get("cuts"):
        choices["cuts"] = cuts
    data = await shared.workers.do(Task("written", (text, name, choices)))
    return _file(data, f"cuts-{_plainly(cuts)}.pdf" if cuts and name == "setup-sheet.pdf" else name, job_name)


async def lie(request: Request) -> Response:
    """How the piece lies for a cut: the small picture of the sheet."""
    made = await _shown(request)
    number = request.path_params["cut"]
    found = next((each for each in made["cuts"] if each["number"] == number), None)
    if found is None:
        raise InputError(Fault("no_cut", f"cut {number}", facts=Facts(count=len(made["cuts"]))))
    return Response(found["svg"], media_type="image/svg+xml", headers={"cache-control": "private, max-age=600"})


async def why(request: Request) -> Response:
    """Why a cut stands where it does, and what its next best place would cost."""
    return await _asked_of_cut(request, "reasons")


async def instead(request: Request) -> Response:
    """What could be done in place of a cut: another, the same set another way, none; and what each would take."""
    return await _asked_of_cut(request, "instead")


async def _asked_of_cut(request: Request, task: str) -> Response:
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    made = shared.planning.made.get(plan_id)
    text = made.text if made else await asyncio.to_thread(shared.store.plan_text, plan_id)
    said = await shared.workers.do(Task(task, (text, request.path_params["cut"])))
    return JSONResponse({"state": "said", "said": said})


async def kept(request: Request) -> Response:
    """All plans that were kept."""
    shared: SharedState = request.app.state.shared
    await asyncio.to_thread(agree_all, shared.store)
    found = await asyncio.to_thread(shared.store.kept)
    on_rack = await asyncio.to_thread(promises.standing, shared.store, [each.id for each in found])
    return shared.page("kept.html", kept=found, on_rack=on_rack)


def _seen(doing: asyncio.Task[Any]) -> None:
    """Take note of how it ended, so that nothing is said of one that nobody asked for any more."""
    if not doing.cancelled():
        doing.exception()


async def _shown(request: Request) -> dict[str, Any]:
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]
    made = shared.planning.made.get(plan_id)
    return made.shown if made else await asyncio.to_thread(shared.store.shown, plan_id)


async def _news(shared: SharedState, owner: str, wait: float) -> Response:
    """What is new of a plan on its way: state, how far it is, and what there is already, the oldest first."""
    found = shared.planning.running.get(owner)
    if found is None:
        return JSONResponse({"state": "dropped", "news": []})
    found.asked = time.monotonic()
    end = found.asked + wait
    while not found.doing.done() and not found.task.given_so_far and time.monotonic() < end:
        await asyncio.sleep(LOOK)
    state, faults = "working", list[dict[str, Any]]()
    given = list[Any]()
    if found.doing.done():
        try:
            given = [found.doing.result()]
            state = "made"
        except DroppedError:
            state = "dropped"
        except RefusedError as error:
            # Where it was ended before it was ready, the best that was shown stays.
            state = "made" if found.best is not None and found.task.enough else "refused"
            faults = fault_values(error.faults, error.units) if state == "refused" else []
        if shared.planning.running.get(owner) is found:
            shared.planning.running.pop(owner)
    given = [*_taken(found.task), *given]
    return JSONResponse(
        {
            "state": state,
            "told": found.task.told,
            "faults": faults,
            "news": [value for each in given if (value := _value(shared, found, each)) is not None],
        }
    )


def _taken(task: Task) -> list[Any]:
    """What a task has given so far, once."""
    return [task.given_so_far.popleft() for _ in range(len(task.given_so_far))]


def _value(shared: SharedState, found: PlanInProgress, given: dict[str, Any]) -> dict[str, Any] | None:
    """Something that was given, for the page; a plan among it is remembered."""
    kind = given["kind"]
    if kind == "all chosen":
        return None
    if kind == "choices":
        return {"kind": kind, "html": shared.pages.get_template("choices.html").render(choices=given)}
    if kind == "sketch":
        return {**given, "list": found.list}
    notes = tuple(given["notes"])
    if kind == "afresh":  # beside the plan that keeps one of before: ready where it is asked for
        beside = ShownPlan(given["text"], given["shown"], found.job, found.list, notes, True, False)
        shared.planning.remember(given["shown"]["id"], beside)
        return None
    last = kind == "plan" and given["last"]
    found.best = ShownPlan(given["text"], given["shown"], found.job, found.list, notes, last, found.kept)
    shared.planning.remember(given["shown"]["id"], found.best)
    return {
        **_plan_values(shared, found.best),
        "kind": kind,
        "number": given.get("number"),
        "afresh": given.get("afresh", False),
    }


def _plan_values(shared: SharedState, made: ShownPlan) -> dict[str, Any]:
    """A plan for the page: `list` tells which list it belongs to."""
    template = shared.pages.get_template("plan.html")
    return {
        "kind": "plan", "id": made.shown["id"], "html": template.render(plan=made.shown), "notes": list(made.notes),
        "compare": made.shown["compare"], "gap": made.shown["gap"], "list": made.list, "last": made.last,
    }  # fmt: skip


def _name_of_kept(shared: SharedState, plan_id: str) -> str:
    """Name of the job of a kept plan; a damaged record of it keeps no file back that is whole."""
    try:
        return str(shared.store.shown(plan_id)["job"])
    except InputError as error:
        if any(each.code == "no_plan" for each in error.faults):
            raise
        return "job"


def _plainly(cuts: str) -> str:
    return plain_name(cuts, instead="some")


def _file(data: bytes, name: str, job: str) -> Response:
    """A file to be saved, named after its job."""
    stem = plain_name(job, instead="job")
    full = f"{stem}{name.removeprefix('job')}" if name.startswith("job.") else f"{stem}-{name}"
    plain = full.encode("ascii", "replace").decode().replace("?", "-")
    headers = {"content-disposition": f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(full)}"}
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
"""What a new page offers to look at."""

routes = [
    Route("/", view),
    Route("/planning", begin, methods=["POST"]),
    Route("/planning/keep", keep, methods=["POST"]),
    Route("/planning/{owner}", news),
    Route("/planning/{owner}/drop", drop, methods=["POST"]),
    Route("/planning/{owner}/enough", enough, methods=["POST"]),
    Route("/plans", kept),
    Route("/plans/{id}/lie/{cut:int}", lie),
    Route("/plans/{id}/why/{cut:int}", why),
    Route("/plans/{id}/instead/{cut:int}", instead),
    Route("/plans/{id}/{name}", download),
]
