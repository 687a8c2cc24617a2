"""The page as an application: its parts put together, and one place where an error becomes an answer."""

from __future__ import annotations

import asyncio
import re
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from stripplan.errors import StripplanError
from stripplan.web.guard import COOKIE, Guard, TooMuchError
from stripplan.web.shared_state import SharedState, fault_values
from stripplan.web.views import at_rig, batches, drafts, notebook, opening, planning, promises, rack, rack_changes
from stripplan.web.worker import RefusedError
from stripplan.wording.show import MM

HERE = Path(__file__).parent
REMEMBERED = 400 * 86400
"""A device that was let in is known for so long, the most that browsers allow (RFC 6265bis, 5.5) [s]."""
SWEEP = 5.0
"""From one look for plans that nobody waits for to the next [s]."""


def create_app(shared: SharedState, *, hosts: frozenset[str]) -> Guard:
    """The page, guarded. `hosts` are the names by which it may be called."""

    @asynccontextmanager
    async def running(_: Starlette) -> AsyncIterator[None]:
        shared.workers.start()
        sweeping = asyncio.create_task(_swept(shared))
        try:
            yield
        finally:
            sweeping.cancel()
            shared.workers.close()

    app = Starlette(
        routes=[
            *opening.routes,
            *planning.routes,
            *drafts.routes,
            *promises.routes,
            *at_rig.routes,
            *batches.routes,
            *notebook.routes,
            *rack.routes,
            *rack_changes.routes,
            Route("/pair", _pair, methods=["GET", "POST"]),
            Mount("/static", StaticFiles(directory=HERE / "static")),
            Mount("/fonts", StaticFiles(directory=HERE.parent / "sheets" / "fonts")),
        ],
        exception_handlers={
            RefusedError: _refused,
            StripplanError: _refused,
            TooMuchError: _too_much,
            HTTPException: _no_such,
        },
        lifespan=running,
    )
    app.state.shared = shared
    return Guard(app, hosts=hosts, token=shared.token, pairing=shared.pairing)


async def _swept(shared: SharedState) -> None:
    """Now and then plans whose page was closed are dropped."""
    while True:
        await asyncio.sleep(SWEEP)
        shared.planning.drop_unasked(time.monotonic())


async def _pair(request: Request) -> Response:
    """Let another device in by the code that the computer shows."""
    shared: SharedState = request.app.state.shared
    if request.method == "GET":
        return shared.page("pair.html", said="", to=_own_path(request.query_params.get("to", "/")))
    form = await request.form()
    to = _own_path(str(form.get("to", "/")))
    try:
        device = shared.pairing.pair(str(form.get("code", "")), time.monotonic())
    except PermissionError:
        return shared.page("pair.html", 429, to=to, said="Too many wrong codes. Wait a minute and try again.")
    if device is None:
        return shared.page("pair.html", 403, to=to, said="That is not the code. It stands on the computer's screen.")
    answer = RedirectResponse(to, 303)
    answer.set_cookie(COOKIE, device, max_age=REMEMBERED, httponly=True, samesite="strict")
    return answer


def _own_path(path: str) -> str:
    """A path of this page, where it is one: never another machine's.

    >>> _own_path("/rig/0123abcd/2"), _own_path("//example.org"), _own_path("https://example.org")
    ('/rig/0123abcd/2', '/', '/')
    """
    return path if re.fullmatch(r"/(rig/[0-9a-f]{8}(/\d{1,3}|/batches)?|plans|rack|notebook)?", path) else "/"


async def _refused(request: Request, error: Exception) -> Response:
    faults, units = getattr(error, "faults", ()), getattr(error, "units", MM)
    missing = any(each.code == "no_plan" for each in faults)
    status = 404 if missing else 422
    if "text/html" in request.headers.get("accept", ""):
        shared: SharedState = request.app.state.shared
        return shared.page("fault.html", status, said=[each.sentence(units) for each in faults])
    return JSONResponse({"faults": fault_values(faults, units)}, status)


async def _too_much(request: Request, error: Exception) -> Response:
    del request, error
    return JSONResponse({"faults": [{"said": "Too much at once.", "place": []}]}, 413)


async def _no_such(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    shared: SharedState = request.app.state.shared
    return shared.page("fault.html", error.status_code, said=[error.detail])
