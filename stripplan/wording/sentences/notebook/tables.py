"""Tables of the report on a notebook: what stands above a column, and how its cell reads, by the part of the report.

Facts of a row that are not known are left out of it; the cell then says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Text


@dataclass(frozen=True)
class Column:
    """A column of a table."""

    head: str
    cell: Text


def _or(name: str, cell: str, instead: str) -> Text:
    """The cell where the fact is known, else what stands in its place."""

    def said(facts: Facts) -> str:
        return cell if name in facts else instead

    return said


def _or_dash(name: str, spec: str) -> Text:
    return _or(name, f"{{{name}:{spec}}}", "-")


def _days(facts: Facts) -> str:
    if "last" not in facts:
        return "day not noted"
    return "{last}" if facts.get("first", facts["last"]) == facts["last"] else "{first} to {last}"


TABLES: dict[str, tuple[Column, ...]] = {
    "dial": (
        Column("process", "{process}"),
        Column("{speed_unit}", "{speed:g-}"),
        Column("mark", _or("mark", "{mark:.2f}", "not within what was timed")),
    ),
    "kerf": (
        Column("process", "{process}"),
        Column("kerf", "{kerf:.3f-}"),
        Column("±", "{half:.2g-}"),
        Column("pieces", "{pieces}"),
        Column("last", _or_dash("last", "")),
        Column("profile", "{profile:g-}"),
        Column("plans use", "{used:g-}"),
    ),
    "fence": (
        Column("row", "{row}"),
        Column("reading", "{reading:g}"),
        Column("width", "{width:g-}"),
        Column("off the line", "{off:+.2f-}"),
    ),
    "bow": (
        Column("process", "{process}"),
        Column("C of bow = C (length/width)²", "{constant:.4f}"),
        Column("±", "{half:.4f-}"),
        Column("strips", "{strips}"),
        Column("as the model has it", _or("model", "{model:.4f}", "not known")),
    ),
    "speed": (
        Column("row", "{row}"),
        Column("{speed_unit}", "{speed:g-}"),
        Column("judged", _or_dash("judged", "")),
        Column("what it shows", "{shows:!|; }"),
    ),
    "starting_speeds": (
        Column("process", "{process}"),
        Column("A", "{current:g-}"),
        Column("in the profile, {speed_unit}", "{profile:g-}"),
        Column("to begin with", _or("speed", "{speed:.0f-}", "not held")),
        Column("between", _or("low", "{low:.0f-} to {high:.0f-}", "-")),
    ),
    "profile": (
        Column("figure", "{key}"),
        Column("value", "{value:g-}"),
        Column("±", "{half:.2g-}"),
        Column("rows", "{rows}"),
        Column("measured", _days),
        Column("in place of", _or_dash("before", "g-")),
    ),
}
"""By the topic of the part."""
