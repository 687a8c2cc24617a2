"""Memory that C is refused, so that what happens then can be looked at."""

from __future__ import annotations

from stripplan.kernel import api


def grant(allocations: int | None) -> None:
    """After so many allocations C is refused all further ones; None lifts the limit."""
    api._kernel().kernel_grant(-1 if allocations is None else allocations)
