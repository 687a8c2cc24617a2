"""What all requests share."""

from __future__ import annotations

import asyncio
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, select_autoescape
from starlette.requests import Request
from starlette.responses import HTMLResponse

from stripplan.errors import Fault, InputError
from stripplan.web.guard import Pairing
from stripplan.web.plans_in_progress import PlansInProgress
from stripplan.web.store.draft_store import DraftStore
from stripplan.web.store.plan_store import PlanStore
from stripplan.web.worker import Workers
from stripplan.wording.message import facts_record
from stripplan.wording.show import MM, Units

REMEMBERED = 200
"""So many things that may be done once only are remembered."""
DEEPEST = 12
"""How deep lists and tables may lie in each other in what is sent: those of a job lie five deep."""
TEMPLATES = Path(__file__).parent / "templates"


@dataclass
class SharedState:
    """What all requests share."""

    store: PlanStore
    workers: Workers
    pairing: Pairing = field(default_factory=Pairing)
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    pages: Environment = field(
        default_factory=lambda: Environment(
            loader=FileSystemLoader(TEMPLATES), autoescape=select_autoescape(default=True), trim_blocks=True
        )
    )
    planning: PlansInProgress = field(default_factory=PlansInProgress)

    locks: dict[str, asyncio.Lock] = field(default_factory=dict)
    answered: dict[str, str] = field(default_factory=dict)
    """What was said of the last things that may be done once only, by the names that the page gave them."""

    @cached_property
    def drafts(self) -> DraftStore:
        """The lists that are being typed."""
        return DraftStore(self.store.folder)

    def lock(self, plan_id: str) -> asyncio.Lock:
        """Held while a plan's progress is read, changed and written: two devices lose nothing of each other."""
        return self.locks.setdefault(plan_id, asyncio.Lock())

    async def once(self, name: object, do: Callable[[], str]) -> str:
        """Do something in a thread, and what is said of it; what comes again under its name, as the answer was lost on
        its way, is not done again."""
        async with self.lock("once"):
            if isinstance(name, str) and name in self.answered:
                return self.answered[name]
            said = await asyncio.to_thread(do)
            if isinstance(name, str) and 0 < len(name) <= 64:
                self.answered[name] = said
                while len(self.answered) > REMEMBERED:
                    self.answered.pop(next(iter(self.answered)))
            return said

    def page(self, name: str, status: int = 200, **values: Any) -> HTMLResponse:
        """A page from its template."""
        text = self.pages.get_template(name).render(token=self.token, **values)
        return HTMLResponse(text, status)


async def sent(request: Request) -> dict[str, Any]:
    """The values that a script of ours sent. Raises InputError for anything else."""
    try:
        given = await request.json()
    except (ValueError, RecursionError):
        given = None
    if not isinstance(given, dict):
        raise InputError(Fault("request", "the page"))
    if too_deep(given):
        raise InputError(Fault("request", "the page", says="too_deep"))
    return given


def too_deep(value: object, most: int = DEEPEST) -> bool:
    """Whether lists and tables lie in each other deeper than anything that is read here: what walks through them
    would come to an end of its own.

    >>> too_deep([[3]], 2), too_deep([{"a": []}], 2)
    (False, True)
    """
    layer = [value]
    for _ in range(most):
        layer = [inside for each in layer for inside in _inside(each)]
    return any(isinstance(each, (list, dict)) for each in layer)


def _inside(value: object) -> list[object]:
    if isinstance(value, dict):
        return list(value.values())
    return value if isinstance(value, list) else []


def place_on_page(where: str) -> str:
    """A place in a job file as a place on the page.

    >>> place_on_page("the list, [[part]] 2 'shelf', quantity")
    "part 2 'shelf', quantity"
    """
    where = where.removeprefix("the list, ").removeprefix("[options], ")
    return re.sub(r"^\[\[(part|plate)\]\]", r"\1", where)


def fault_values(faults: tuple[Fault, ...], units: Units = MM) -> list[dict[str, Any]]:
    """Faults for a script: code, facts, place, and the sentence in the person's units."""
    return [_fault_value(each, units) for each in faults]


def _fault_value(fault: Fault, units: Units) -> dict[str, Any]:
    said = fault.worded(units)
    return {
        "code": fault.code,
        "facts": facts_record(fault.facts),
        "said": replace(fault, where=place_on_page(fault.where)).sentence(units),
        "text": said.text,
        "hint": said.hint,
        "place": list(fault.place),
    }
