"""What comes onto the page from elsewhere: job files, lists and drawings, the settings of a rig, other units."""

from __future__ import annotations

import asyncio
import base64
import binascii
import json
import tomllib
from pathlib import Path, PurePath
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.files.job.in_units import System, in_units, shown_length
from stripplan.files.rig.read import builtin_rig_text
from stripplan.files.toml.document import toml_from
from stripplan.sheets.picture.thing import thing_svg
from stripplan.things.typed import allowance_of, times_of, typed_thing
from stripplan.web.shared_state import SharedState, sent, too_deep
from stripplan.web.store.profiles import profile
from stripplan.web.views.typed_list import without_paths
from stripplan.web.worker import Task
from stripplan.wording.show import Units, worded

LISTS = (".csv", ".tsv", ".txt", ".xlsx", ".dxf", ".svg")
HOW = {"units": str, "sheet": str, "leave_out": bool, "drill_later": bool, "layer_names": bool}
"""How a list is read: what the page may ask, as the command has it."""


async def opened(request: Request) -> Response:
    """The list of a job file that a person chose, to go on with on the page; what cannot be used here is told."""
    given = await sent(request)
    name, text = str(given.get("name", ""))[:60], given.get("text")
    if not isinstance(text, str):
        raise InputError(Fault("request", "the page"))
    job = (await asyncio.to_thread(toml_from, text, name=name or "the file", folder=Path())).data
    rows = [job.get(key) for key in ("part", "plate")]
    plain = all(
        each is None or (isinstance(each, list) and all(isinstance(row, dict) for row in each)) for each in rows
    )
    if not plain or too_deep(job):
        raise InputError(Fault("job", name, says="no_job_file"))
    notes = []
    if "cut_list" in job:
        notes.append("Its cut list lies in another file: open that file here too, its parts are added.")
    if "rig" in job and "rig" not in without_paths(job):
        notes.append("Its rig is none of the profiles here: choose one.")
    return JSONResponse(
        {"state": "opened", "job": json.loads(json.dumps(without_paths(job), default=str)), "notes": notes}
    )


async def listed(request: Request) -> Response:
    """The parts of a list or drawing as they are understood, for the person to look at before they are taken."""
    shared: SharedState = request.app.state.shared
    given = await sent(request)
    name, data, units = str(given.get("name", "")), given.get("data"), given.get("job_units")
    how = {key: each for key, each in dict(given.get("how") or {}).items() if isinstance(each, HOW.get(key, ()))}
    name = PurePath(name.replace("\\", "/")).name[-60:]
    if not isinstance(data, str) or units not in ("mm", "in"):
        raise InputError(Fault("request", "the page"))
    if not name.lower().endswith(LISTS):
        raise InputError(Fault("list", name, says="no_list_file"))
    try:
        raw = base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        raise InputError(Fault("request", "the page")) from None
    return JSONResponse({"state": "listed", **await shared.workers.do(Task("listed", (name, raw, units, how)))})


async def rig_table(request: Request) -> Response:
    """The settings of a profile, or of the built-in one, to be changed for a job."""
    name = str((await sent(request)).get("rig", ""))

    def read() -> dict[str, Any]:
        return profile(name).file.data if name else tomllib.loads(builtin_rig_text())

    data = await asyncio.to_thread(read)
    kept = {key: each for key, each in data.items() if key not in ("schema", "notebook", "name")}
    return JSONResponse({"state": "read", "rig": json.loads(json.dumps(kept, default=str))})


async def converted(request: Request) -> Response:
    """A list in other units."""
    given = await sent(request)
    job, to = given.get("job"), given.get("to")
    if not isinstance(job, dict) or to not in ("mm", "in"):
        raise InputError(Fault("request", "the page"))
    units: System = "in" if to == "in" else "mm"
    return JSONResponse({"state": "converted", "job": await asyncio.to_thread(in_units, job, units)})


async def thing(request: Request) -> Response:
    """The parts of a thing by its sizes, and its picture to check them by."""
    given = await sent(request)
    kind, figures, units = given.get("kind"), given.get("figures"), given.get("units")
    if not isinstance(kind, str) or not isinstance(figures, dict) or units not in ("mm", "in"):
        raise InputError(Fault("request", "the page"))
    named = {key: each for key, each in figures.items() if isinstance(each, str)}
    return JSONResponse({"state": "made", **await asyncio.to_thread(_thing, kind, named, units)})


def _thing(kind: str, figures: dict[str, str], units: System) -> dict[str, Any]:
    """Parts with their sums, and the SVG. Raises InputError in the person's units."""
    reads = Units(units, exact=True)
    try:
        made = typed_thing(kind, figures, units=units, called=lambda key: key.replace("_", " "))
        times, allowance = times_of(figures.get("times")), allowance_of(figures.get("allowance"), units)
    except InputError as error:
        raise error.in_units(reads) from None
    shown = {mm: shown_length(mm, units) for mm in made.lengths}
    left = None if not allowance else shown_length(allowance, units)
    sums = [[worded(size.sum, reads).text for size in (each.width, each.length)] for each in made.pieces]
    name = figures.get("name", "").strip()[:60] or kind
    parts = made.table(shown=shown, times=times, allowance=left)
    return {"parts": parts, "sums": sums, "svg": thing_svg(made, name=name, units=reads)}


routes = [
    Route("/planning/open", opened, methods=["POST"]),
    Route("/planning/list", listed, methods=["POST"]),
    Route("/planning/rig", rig_table, methods=["POST"]),
    Route("/planning/units", converted, methods=["POST"]),
    Route("/planning/thing", thing, methods=["POST"]),
]
