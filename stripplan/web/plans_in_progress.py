"""Plans on their way, and those that were shown last."""

from __future__ import annotations

import asyncio
import time
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

from stripplan.web.worker import Task

REMEMBERED = 40
"""Plans that were shown and can still be kept or downloaded."""
UNASKED = 15.0
"""A plan on its way that no page has asked for so long is dropped: its page was closed [s]."""


@dataclass
class ShownPlan:
    """A plan that was made for the page: its text, what is shown of it, the job as the page gave it, and the digest of
    the list that it belongs to.

    `last`: the search is over; a better one may still follow an earlier one. `kept`: it was to change a plan of before
    as little as can be.
    """

    text: str
    shown: dict[str, Any]
    job: dict[str, Any]
    list: str = ""
    notes: tuple[str, ...] = ()
    last: bool = True
    kept: bool = False


@dataclass
class PlanInProgress:
    """A plan on its way, when its page last asked for it, and the best that it has given so far."""

    task: Task
    doing: asyncio.Task[Any]
    job: dict[str, Any]
    asked: float = field(default_factory=time.monotonic)
    list: str = ""
    best: ShownPlan | None = None
    kept: bool = False


@dataclass
class PlansInProgress:
    """Plans on their way, one for each page that is open, and those that were shown last."""

    running: dict[str, PlanInProgress] = field(default_factory=dict)
    made: OrderedDict[str, ShownPlan] = field(default_factory=OrderedDict)

    def remember(self, plan_id: str, made: ShownPlan) -> None:
        """Remember a plan, and forget the oldest."""
        self.made[plan_id] = made
        self.made.move_to_end(plan_id)
        while len(self.made) > REMEMBERED:
            self.made.popitem(last=False)

    def last_of(self, digest: str) -> ShownPlan | None:
        """The plan of a list whose search is over, where it is still remembered; none that keeps one of before."""
        made = reversed(self.made.values())
        return next((each for each in made if each.list == digest and each.last and not each.kept), None)

    def drop(self, owner: str) -> None:
        """Stop what a page has on its way."""
        before = self.running.pop(owner, None)
        if before is not None:
            before.task.drop()

    def drop_unasked(self, now: float) -> None:
        """Stop what no page asks for any more."""
        for owner in [owner for owner, each in self.running.items() if now - each.asked > UNASKED]:
            self.drop(owner)
