"""What several files of a plan show is worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from stripplan.model.plan.plan import Plan

P = ParamSpec("P")
T = TypeVar("T")


def once_a_plan(make: Callable[Concatenate[Plan, P], T]) -> Callable[Concatenate[Plan, P], T]:
    """The same answer to the same question about the plan that was asked about last; a plan is known by being the same
    object."""
    last: list[tuple[Plan, dict[Any, T]]] = []

    @wraps(make)
    def asked(plan: Plan, /, *args: P.args, **kwargs: P.kwargs) -> T:
        held = last[0] if last and last[0][0] is plan else (plan, {})
        last[:] = [held]
        key = args, tuple(sorted(kwargs.items()))
        if key not in held[1]:
            held[1][key] = make(plan, *args, **kwargs)
        return held[1][key]

    return asked
