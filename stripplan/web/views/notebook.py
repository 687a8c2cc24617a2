"""The notebook view: what was measured on the rig, and what it says."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store import profiles
from stripplan.web.views.notebook_forms import BY_KIND, FORMS, told, typed_row
from stripplan.web.worker import RefusedError, Task


@dataclass(frozen=True)
class Line:
    """A row to look at: its words, its number among those of its kind, whether it is left out,
    the list that it is in.
    """

    words: str
    number: int = 0
    out: bool = False
    listed: str = ""


@dataclass(frozen=True)
class ShownPlan:
    """What the page shows of a profile. `missing`: the notebook that it names is not there."""

    file: str = ""
    missing: bool = False
    seen: str = ""
    units: str = "mm"
    processes: tuple[str, ...] = ()
    rows: dict[str, list[Line]] = field(default_factory=dict)
    said: tuple[str, ...] = ()


async def view(request: Request) -> Response:
    """A profile's notebook: the next test cut, forms, rows, and what they say."""
    shared: SharedState = request.app.state.shared
    names = await asyncio.to_thread(profiles.profiles)
    name = request.query_params.get("rig") or (names[0] if names else "")
    shown = await asyncio.to_thread(_shown, name, names) if name else ShownPlan()
    report: dict[str, Any] = {"next": [], "parts": []}
    said = shown.said
    if shown.seen:
        try:
            report = await shared.workers.do(Task("reported", (name,)))
        except RefusedError as error:
            said = tuple(dict.fromkeys((*said, *(each.sentence() for each in error.faults))))
    return shared.page(
        "notebook.html", profiles=names, rig=name, shown=shown, forms=FORMS, today=date.today().isoformat(),
        report=report, said=said
    )  # fmt: skip


async def add(request: Request) -> Response:
    """A new row; one that would take a figure away is refused with the row that does not fit, unless it is sent again
    to be written `anyway`.
    """
    given = await sent(request)
    form, typed = BY_KIND.get(str(given.get("kind"))), given.get("values")
    if form is None or not isinstance(typed, dict):
        raise InputError(Fault("request", "the page"))
    row, was = typed_row(form, typed), str(given.get("seen", ""))
    anyway = given.get("anyway") is True
    await asyncio.to_thread(profiles.add, request.path_params["rig"], form.kind, row, was, anyway=anyway)
    return JSONResponse({"state": "added"})


async def ignore(request: Request) -> Response:
    """A row left out, or taken in again."""
    given = await sent(request)
    kind, number = given.get("kind"), given.get("number")
    if not isinstance(kind, str) or not isinstance(number, int):
        raise InputError(Fault("request", "the page"))
    await asyncio.to_thread(profiles.ignore, request.path_params["rig"], kind, number, str(given.get("seen", "")))
    return JSONResponse({"state": "changed"})


async def start(request: Request) -> Response:
    """Begin a notebook for a profile."""
    given = await sent(request)
    await asyncio.to_thread(profiles.start, str(given.get("rig", "")))
    return JSONResponse({"state": "started"})


async def copy(request: Request) -> Response:
    """A profile of one's own, from the built-in one, with a notebook."""
    name = str((await sent(request)).get("name", "")).strip()

    def made() -> None:
        profiles.copy_builtin(name)
        profiles.start(name)

    await asyncio.to_thread(made)
    return JSONResponse({"state": "copied", "rig": name})


def _shown(name: str, names: list[str]) -> ShownPlan:
    """A profile to look at; what is wrong with it is said, so that another can be opened beside it."""
    try:
        profile = profiles.profile(name)
        path = profiles.notebook_of(profile)
        book = profiles.book_of(profile)
    except InputError as error:
        if name not in names:
            raise
        return ShownPlan(said=tuple(each.sentence() for each in error.faults))
    processes = tuple(each.name for each in profile.rig.processes)
    if book is None:
        return ShownPlan(processes=processes, missing=path is not None, file=path.name if path is not None else "")
    said: list[str] = []
    rows = {form.kind: _lines(book, form.kind, said) for form in FORMS}
    return ShownPlan(book.path.name, False, book.seen, book.units, processes, rows, tuple(said))


def _lines(book: profiles.Book, kind: str, said: list[str]) -> list[Line]:
    """Rows of a kind, the newest first; below them those of a list."""
    form = BY_KIND[kind]
    own = [
        Line(told(form, row, book.units), number, row.get("ignore") is True)
        for number, row in enumerate(book.rows(kind))
    ]
    try:
        listed = [
            Line(told(form, row, "mm"), out=row.get("ignore") is True, listed=book.lists()[kind])
            for row in book.listed(kind)
        ]
    except InputError as error:
        said += [each.sentence() for each in error.faults]
        listed = []
    return own[::-1] + listed[::-1]


routes = [
    Route("/notebook", view),
    Route("/notebook/start", start, methods=["POST"]),
    Route("/notebook/copy", copy, methods=["POST"]),
    Route("/notebook/{rig}/add", add, methods=["POST"]),
    Route("/notebook/{rig}/ignore", ignore, methods=["POST"]),
]
