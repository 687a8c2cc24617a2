"""What a job costs, line by line and part by part, in whole cents that add up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any


def cents(amount: float) -> int:
    """An amount of money as whole cents, halves away from 0 as on an invoice.

    >>> cents(1.005), cents(-1.005), cents(3 * 4.115)
    (101, -101, 1235)
    """
    exact = Decimal(repr(round(float(amount), 9))) * 100  # noise of binary fractions goes first
    return int(exact.to_integral_value(ROUND_HALF_UP))


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line: so much of something at a price for each. `amount` is quantity times price in whole cents; below 0 =
    comes back.

    `how` says where quantity and price are from; `assumed` that some figure in it is assumed or estimated. `code` and
    `facts` are what the words of `how` are made of; lines of earlier editions hold none.
    """

    what: str
    quantity: float
    unit: str
    price: float
    amount: float
    how: str
    assumed: bool
    code: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """What is not in the sum, for programs: a code, what it is about, and facts in the units of the plan file."""

    code: str
    about: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, kw_only=True)
class PartCost:
    """What all pieces of one part cost, and `each` of them to the nearest cent (None where none is made).

    `amounts` are its shares of the quotation's lines, in their order; they add up to `total`.
    """

    name: str
    made: int
    each: float | None
    total: float
    amounts: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Quotation:
    """What a job costs, line by line and part by part, in the job's currency; whole cents that add up.

    `left_out` names in a sentence each what is not in the sum, `missing` the same for programs; quotations of earlier
    editions hold only the sentences. `how` says how the parts share it.
    """

    job: str
    currency: str
    lines: tuple[CostLine, ...]
    total: float
    parts: tuple[PartCost, ...]
    left_out: tuple[str, ...]
    how: str
    missing: tuple[LeftOut, ...] = ()

    def __post_init__(self) -> None:
        total = cents(self.total)
        if sum(cents(line.amount) for line in self.lines) != total:
            raise ValueError(f"quotation: the lines do not add up to the total {self.total:.2f}")
        if sum(cents(part.total) for part in self.parts) != total:
            raise ValueError(f"quotation: the parts do not add up to the total {self.total:.2f}")
        for part in self.parts:
            if sum(map(cents, part.amounts)) != cents(part.total):
                raise ValueError(f"quotation: the shares of part {part.name} do not add up to {part.total:.2f}")
