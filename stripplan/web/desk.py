"""Plans on their way, and those that were shown last."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

from .worker import Task

REMEMBERED = 30
"""Plans that were shown and can still be kept or downloaded."""


@dataclass
class Shown:
    """A plan that was made for the page: its text, what is shown of it, and the job as the page gave it."""

    text: str
    shown: dict[str, Any]
    job: dict[str, Any]


@dataclass
class Desk:
    """Plans on their way, one for each page that is open, and those that were shown last."""

    running: dict[str, tuple[Task, asyncio.Task[Any], dict[str, Any]]] = field(default_factory=dict)
    made: OrderedDict[str, Shown] = field(default_factory=OrderedDict)

    def remember(self, plan_id: str, made: Shown) -> None:
        """Remember a plan, and forget the oldest."""
        self.made[plan_id] = made
        self.made.move_to_end(plan_id)
        while len(self.made) > REMEMBERED:
            self.made.popitem(last=False)
