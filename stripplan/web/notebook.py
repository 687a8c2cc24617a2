"""The notebook view: what was measured on the rig, and what it says."""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from ..errors import Fault, InputError
from . import notes
from .shop import Shop, sent
from .worker import RefusedError, Task


@dataclass(frozen=True)
class Entry:
    """A field of a form: its key in the notebook, label, kind, and the words to choose from."""

    key: str
    label: str
    kind: Literal["length", "number", "text", "lengths", "choice", "yes_no"] = "number"
    choices: tuple[str, ...] = ()
    needed: bool = True


@dataclass(frozen=True)
class Form:
    """A form for one kind of row."""

    kind: str
    title: str
    hint: str
    entries: tuple[Entry, ...]


PROCESS = Entry("process", "process of the rig", "text")
FORMS = (
    Form("timed_run", "Timed run", "Arc off, from home to a chalk mark; by the mark on the dial.", (
        Entry("mark", "mark on the dial"), Entry("distance", "distance", "length"), Entry("seconds", "seconds"))),
    Form("kerf_test", "Kerf test", "A piece measured before, and all pieces that were made of it, dross off and cold.", (
        PROCESS, Entry("before", "width before", "length"), Entry("after", "widths after, with ; between", "lengths"))),
    Form("fence_check", "Fence check", "The strip that lay on the fence, and what the scale showed.", (
        Entry("reading", "reading", "length"), Entry("width", "width of the strip", "length"),
        Entry("process", "process of the rig", "text", needed=False))),
    Form("test_cut", "Test cut", "A cut at one speed, and what it looks like. Leave out what you did not look at.", (
        PROCESS, Entry("travel_speed", "travel speed"), Entry("dross", "dross", "choice", ("none", "easy", "hard"), needed=False),
        Entry("drag_lines", "drag lines", "choice", ("straight", "curved", "j"), needed=False),
        Entry("severed", "cut through", "yes_no", needed=False), Entry("top_spatter", "spatter on top", "yes_no", needed=False),
        Entry("wide_kerf", "kerf burnt wide", "yes_no", needed=False),
        Entry("rounded_edge", "top edge rounded", "yes_no", needed=False))),
    Form("bow_check", "Bow of a strip", "Cold, dross off, against a straight edge.", (
        PROCESS, Entry("bow", "greatest gap", "length"), Entry("length", "length", "length"), Entry("width", "width", "length"))),
)  # fmt: skip


async def view(request: Request) -> Response:
    """A profile's notebook: forms, rows, and what they say."""
    shop: Shop = request.app.state.shop
    names = await asyncio.to_thread(notes.profiles)
    name = request.query_params.get("rig") or (names[0] if names else "")
    if not name:
        return shop.page("notebook.html", profiles=names, rig="", text=None)
    path = await asyncio.to_thread(notes.notebook_of, name)
    text = await asyncio.to_thread(notes.text_of, name) if path is not None else None
    report, said = [], []
    if text is not None:
        try:
            report = await shop.workers.do(Task("reported", (name,)))
        except RefusedError as error:
            said = [each.sentence() for each in error.faults]
    return shop.page(
        "notebook.html", profiles=names, rig=name, text=text, forms=FORMS, today=date.today().isoformat(), report=report, said=said,
        seen=notes.seen(text) if text is not None else "", rows=_rows(text) if text is not None else {},
        file=path.name if path is not None else "",
    )  # fmt: skip


async def add(request: Request) -> Response:
    """A new row."""
    given = await sent(request)
    form = next((each for each in FORMS if each.kind == given.get("kind")), None)
    typed = given.get("values")
    if form is None or not isinstance(typed, dict):
        raise InputError(Fault("request", "the page", "what it sent cannot be understood", "load the page again"))
    name, was = request.path_params["rig"], str(given.get("seen", ""))
    await asyncio.to_thread(notes.add, name, form.kind, _values(form, typed), was)
    return JSONResponse({"state": "added"})


async def ignore(request: Request) -> Response:
    """A row left out, or taken in again."""
    given = await sent(request)
    kind, number = given.get("kind"), given.get("number")
    if not isinstance(kind, str) or not isinstance(number, int):
        raise InputError(Fault("request", "the page", "what it sent cannot be understood", "load the page again"))
    await asyncio.to_thread(notes.ignore, request.path_params["rig"], kind, number, str(given.get("seen", "")))
    return JSONResponse({"state": "changed"})


async def start(request: Request) -> Response:
    """Begin a notebook for a profile."""
    given = await sent(request)
    await asyncio.to_thread(notes.start, str(given.get("rig", "")))
    return JSONResponse({"state": "started"})


async def copy(request: Request) -> Response:
    """A profile of one's own, from the built-in one, with a notebook."""
    name = str((await sent(request)).get("name", "")).strip()

    def made() -> None:
        notes.copy_builtin(name)
        notes.start(name)

    await asyncio.to_thread(made)
    return JSONResponse({"state": "copied", "rig": name})


def _values(form: Form, typed: dict[str, Any]) -> dict[str, Any]:
    """What was typed, as the notebook writes it: plain numbers as numbers, all else as text; empty fields are left out."""
    found: dict[str, Any] = {}
    faults = []
    for entry in (*form.entries, Entry("on", "day", "text", needed=False), Entry("note", "note", "text", needed=False)):
        text = str(typed.get(entry.key, "")).strip()
        if not text:
            if entry.needed:
                faults.append(Fault("missing", entry.label, "is missing", "", (entry.key,)))
            continue
        if entry.kind == "lengths":
            found[entry.key] = [_number(each.strip()) for each in text.split(";") if each.strip()]
        elif entry.kind == "yes_no":
            found[entry.key] = text == "yes"
        else:
            found[entry.key] = text if entry.kind in ("text", "choice") else _number(text)
    if faults:
        raise InputError(faults)
    return found


def _number(text: str) -> float | int | str:
    if re.fullmatch(r"-?[0-9]{1,15}", text):
        return int(text)
    return float(text) if re.fullmatch(r"-?[0-9]{1,15}\.[0-9]{1,15}", text) else text


def _rows(text: str) -> dict[str, list[tuple[int, str, bool]]]:
    """Rows to look at: number in their kind, words, whether they are left out; the newest first."""
    found = {}
    for kind, rows in notes.rows(text).items():
        told = [
            (n, ", ".join(f"{key.replace('_', ' ')} {_shown(value)}" for key, value in row.items() if key != "ignore"), row.get("ignore") is True)
            for n, row in enumerate(rows)
            if isinstance(row, dict)
        ]  # fmt: skip
        found[kind] = told[::-1]
    return found


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "; ".join(map(str, value)) if isinstance(value, list) else str(value)


routes = [
    Route("/notebook", view),
    Route("/notebook/start", start, methods=["POST"]),
    Route("/notebook/copy", copy, methods=["POST"]),
    Route("/notebook/{rig}/add", add, methods=["POST"]),
    Route("/notebook/{rig}/ignore", ignore, methods=["POST"]),
]
