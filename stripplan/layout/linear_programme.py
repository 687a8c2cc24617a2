"""Linear and whole-number programmes by HiGHS: how each is begun, so that the same job gives the same plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


def new_programme(**options: object) -> Any:
    """An empty programme, with more `options` of the solver by their names.

    It prints nothing and works in one thread: with several, the answer may differ from run to run and machine to
    machine.
    """
    from highspy import Highs

    new: Any = Highs
    lp = new()
    for name, value in {"output_flag": False, "threads": 1, **options}.items():
        lp.setOptionValue(name, value)
    return lp


def add_cover_rows(lp: Any, demands: Sequence[int], limits: Sequence[int | None]) -> None:
    """A row for each item, which is to be made at least so often, then one for each stock: at most so many plates."""
    infinity = lp.getInfinity()
    for demand in demands:
        lp.addRow(float(demand), infinity, 0, [], [])
    for limit in limits:
        lp.addRow(-infinity, infinity if limit is None else float(limit), 0, [], [])
