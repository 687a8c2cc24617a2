"""Published data as problems of layout, with or without kerf.

With a kerf every size is scaled by `SCALE` and `KERF` taken off, plates too: a cut of that kerf is then exactly a cut
of width 0 on the original, so that every known answer is one with kerf.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from stripplan.layout.grid import Grid
from stripplan.layout.problem import Problem, Stock, build_problem
from stripplan.model.cut_rules import CutRules
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate

ROOT = Path(__file__).parents[2]
DATA = ROOT.parent / "shared" / "benchmarks"
SCALE, KERF = 7, 5


def records(path: Path) -> Iterator[dict[str, Any]]:
    """The instances of a file, one a line."""
    for line in path.read_text(encoding="utf-8").splitlines():
        yield json.loads(line)


def free_rules(kerf: int) -> CutRules:
    """Rules that limit nothing but the kerf."""
    return CutRules(
        kerf=kerf, longest_one_pass=1e12, longest_two_pass=1e12, narrowest_offcut=0, fence_min=0, fence_max=1e12,
        marked=True
    )  # fmt: skip


def problem_of(
    plates: Sequence[Sequence[float | None]], parts: Sequence[Part], *, kerf: int = 0, depth: int | None = None
) -> Problem:
    """A problem of plates (length, width, limit, cost; no cost = area) and parts."""
    stocks = []
    for n, (length, width, limit, cost) in enumerate(plates):
        assert length is not None
        assert width is not None
        size = {"length": scaled(length, kerf), "width": scaled(width, kerf)}
        plate = Plate(
            name=f"plate{n}", thickness=5, material="steel", quantity=None if limit is None else int(limit), **size
        )
        stocks.append(Stock(n, plate, free_rules(kerf), float(length * width if cost is None else cost)))
    return build_problem(Grid(Fraction(1)), stocks, list(enumerate(parts)), (1e12, 1e12), depth)


def rectangle(name: str, length: float, width: float, quantity: int, *, turns: bool, kerf: int) -> Rectangle:
    """A part of the data."""
    return Rectangle(name=name, length=scaled(length, kerf), width=scaled(width, kerf), quantity=quantity, rotate=turns)


def strip(name: str, width: float, quantity: int, *, kerf: int) -> Strip:
    """A part of the data of one dimension."""
    return Strip(name=name, width=scaled(width, kerf), quantity=quantity)


def scaled(size: float, kerf: int) -> float:
    """A size with the kerf taken off."""
    return SCALE * size - kerf if kerf else size
