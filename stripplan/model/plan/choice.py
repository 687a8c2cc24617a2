"""One of several plans of a job that nothing beats in plate, minutes and offcuts at once: the figures to choose by."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from stripplan.wording.message import Message


@dataclass(frozen=True, kw_only=True)
class Choice:
    """A plan that may be chosen, by its `number` from 1. The figures are those of a light order of work: the plan
    itself may be some minutes or a fence setting off.

    `default`: what `plan` makes where nobody chooses. `total` = `plate_cost` + `minutes` x `minute` - `offcuts`, in the
    one currency of plate and hands (`TotalCost`): the job's money, or kilograms counted as steel. `largest_offcut` is
    its length and width [mm], None where nothing is worth keeping. `best` are the respects in which no other choice is
    better, "total", "plate", "time", "offcut" or "settings"; `buys` says what this one is chosen for. `found` is what
    the planner makes the plan from, and of use to it alone.
    """

    number: int
    default: bool
    currency: Literal["money", "kg"]
    total: float
    plates: int
    plate_cost: float
    minute: float
    minutes: float
    offcuts: float
    cuts: int
    fence_settings: int
    largest_offcut: tuple[float, float] | None
    best: tuple[str, ...]
    buys: Message
    found: object = field(repr=False, compare=False)
