"""A part and the plates that it may come from, asked as one question: can any of them yield it by itself?

A limit put aside, or a change tried, is another case, asked the same question.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from stripplan.layout.grid import Grid, common_grid
from stripplan.layout.problem import Stock
from stripplan.layout.unplaced.one_part import Cutter
from stripplan.model.cut_rules import CutRules
from stripplan.model.part import Part, Rectangle
from stripplan.wording.message import Quantity


@dataclass(frozen=True)
class Case:
    """A part, its plates with their rules, and how often the direction of cutting may change.

    All that the answer depends on: a limit put aside and a change tried are both another case, asked the same question.
    """

    part: Part
    stocks: tuple[Stock, ...]
    depth: int | None = None

    def possible(self) -> bool:
        """Whether any plate can yield the part when nothing else is cut from it."""
        return any(can_be_made(self.part, stock, self.depth) for stock in self.stocks)

    def with_rules(self, change: Callable[[CutRules], CutRules]) -> Case:
        """The same with other cut rules, on every plate: a change of the rig is one of all that is cut on it."""
        return replace(self, stocks=tuple(replace(stock, rules=change(stock.rules)) for stock in self.stocks))


@lru_cache(4096)  # of several plates, a change of one leaves the answers of the others
def can_be_made(part: Part, stock: Stock, depth: int | None = None) -> bool:
    """Whether a part can be cut from one plate when nothing else is.

    The grid is of this part and plate alone, so that other sizes of the job cannot make it too fine.
    """
    grid = grid_of(part, stock)
    return grid is not None and Cutter(stock.on(grid), depth).possible(part)


def grid_of(part: Part, stock: Stock, *more: float) -> Grid | None:
    """The grid in which a part, its plate and its rules are whole; None where none is coarse enough.

    `more` are further lengths that must be whole in it [mm].
    """
    lengths = [
        stock.plate.length,
        stock.plate.width,
        *sides_of(part),
        stock.rules.trim,
        stock.rules.narrowest_offcut,
        *more,
    ]
    return common_grid(lengths, [stock.rules.kerf], max(stock.plate.length, stock.plate.width))


def mm_of(value: float | None) -> Quantity:
    """A length as a fact of a message; none counts as 0."""
    return Quantity(value or 0.0, "length")


def sides_of(part: Part) -> tuple[float, ...]:
    """Sides of a part as cut [mm]; a strip has its width alone."""
    return (part.width_as_cut, part.length_as_cut) if isinstance(part, Rectangle) else (part.width_as_cut,)
