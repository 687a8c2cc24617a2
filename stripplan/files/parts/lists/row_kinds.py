"""Rows of a list that are no parts: totals, headings between parts, remarks below them, the header said again."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from stripplan.errors import Fault
from stripplan.files.fault_words import fault, shortened
from stripplan.files.parts.lists.csv_rows import heading
from stripplan.files.parts.lists.headers import WORDS, Column
from stripplan.files.parts.lists.title_rows import Told
from stripplan.wording.figures import in_runs

Kind = Literal["part", "again", "total", "sum", "remark"]

_TOTAL = re.compile(r"(?:grand |sub[ -]?)?totals?\b.*|sum\b.*|overall\b.*|in all\b.*|altogether\b.*", re.IGNORECASE)
_REMARK = re.compile(
    r"(?:notes?|nb|n\.b\.|remarks?|drawn|checked|date|page|rev|revision|prepared|approved)\b.*|\*.*|.*:",
    re.IGNORECASE | re.DOTALL,
)


def kind_of(row: Sequence[object], columns: Mapping[str, Column], headings: Sequence[str], *, after: bool) -> Kind:
    """What a row is that is not blank; a "sum" only if it says what the rows above come to. `after`: no row below it
    has a size."""
    texts = [str(each).strip() for each in row]
    if [heading(each, WORDS)[0] for each in texts] == list(headings[: len(texts)]) and len(texts) > 1:
        return "again"
    if _has_size(row, columns):
        return "part"
    said = [each for each in texts if each]
    if _TOTAL.fullmatch(said[0]):
        return "total"
    if len(said) == 1 and not _figure(said[0]) and (after or _REMARK.fullmatch(said[0])):
        return "remark"
    name, count = (_cell(row, columns.get(key)) for key in ("name", "quantity"))
    return "sum" if count and not name and all(map(_figure, said)) else "part"


def last_with_a_size(rows: Sequence[tuple[int, Sequence[object]]], columns: Mapping[str, Column]) -> int:
    """The last of rows that has a size; -1 where none has."""
    return max((at for at, (_, row) in enumerate(rows) if _has_size(row, columns)), default=-1)


def _has_size(row: Sequence[object], columns: Mapping[str, Column]) -> bool:
    return any(_cell(row, columns.get(key)) for key in ("width", "size"))


def _cell(row: Sequence[object], column: Column | None) -> object:
    return row[column.at] if column is not None and column.at < len(row) else ""


def _figure(text: str) -> bool:
    return re.fullmatch(r"[0-9][0-9.,]*(?:\s*[a-zA-Z²³]+)?", text) is not None


@dataclass
class PassedOver:
    """Rows and columns of a list that are no parts, by what they are."""

    above: tuple[int, ...]
    columns: tuple[str, ...]
    rows: dict[Kind, list[int]] = field(default_factory=dict)

    def add(self, kind: Kind, number: int) -> None:
        """A row that is passed over."""
        self.rows.setdefault(kind, []).append(number)

    def notes(self, name: str, told: Told, units: str, otherwise: str) -> Iterator[Fault]:
        """What the reader of the list should know; nothing of a plain one."""
        kinds = (self.above, *(self.rows.get(kind, ()) for kind in ("remark", "total", "again")))
        if any(kinds):
            above, remarks, totals, again = (few_numbers(each) for each in kinds)
            yield fault("passed.rows", name, above=above, remarks=remarks, totals=totals, again=again)
        if self.columns:
            yield fault("passed.columns", name, columns=self.columns)
        if told.units is not None:
            says = "title.units" if units == told.units else "title.units_asked"
            yield fault(says, name, units=told.units, asked=otherwise)
        for key in ("material", "thickness"):
            if (said := getattr(told, key)) is not None:
                yield fault("title.value", name, what=key, said=shortened(said))


def few_numbers(numbers: Sequence[int]) -> str:
    """Numbers of rows, the first of many: "1 to 3, 9".

    >>> few_numbers([1, 2, 3, 9])
    '1 to 3, 9'
    """
    runs = in_runs(numbers)
    words = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return ", ".join(words[:8]) + (f" and {len(words) - 8} more" if len(words) > 8 else "")
