"""The shape of a rig's notebook (schema stripplan/notebook/1), with pydantic: rows as they were written down."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from stripplan.files.toml.quantities import (
    Count,
    Day,
    Degrees,
    Length,
    Name,
    Number,
    Positive,
    Signed,
    Size,
    Speed,
    Whole,
)
from stripplan.files.toml.table import Table, Units

NOTEBOOK_SCHEMA = "stripplan/notebook/1"
MOST_ROWS = 1_000


def _one_or_many(value: object) -> object:
    """A single figure stands for a list of one."""
    return [value] if isinstance(value, (int, float, str)) and not isinstance(value, bool) else value


Sizes = Annotated[list[Size], BeforeValidator(_one_or_many), Field(min_length=1, max_length=1000)]
Positions = Annotated[list[Length], Field(min_length=2, max_length=1000)]
Heights = Annotated[list[Signed], Field(min_length=2, max_length=1000)]


class Row(Table):
    """One measurement."""

    on: Day | None = Field(None, description="day of the measurement")
    note: str | None = Field(None, description="for the reader of the file")
    ignore: bool = Field(False, description="true: kept, and left out of everything")


class DriveTable(Table):
    """What turns the belt."""

    rpm: Positive = Field(description="speed of the gearbox output [rpm]")
    teeth: Count = Field(description="teeth of the pulley on it")
    belt: Name | None = Field(
        None, description="name of the belt's pitch: MXL, XL, L, H, T5, AT5, 2 mm round tooth ..."
    )
    pitch: Size | None = Field(None, description="pitch of the belt, where it has no name here")


class TimedRunTable(Row):
    """The carriage timed at a mark of the dial."""

    mark: Number = Field(description="mark on the dial")
    distance: Size = Field(description="how far the carriage ran")
    seconds: Positive = Field(description="how long it took [s]")


class KerfTestTable(Row):
    """A piece measured before and after its cuts."""

    process: Name = Field(description="name of the rig's process")
    before: Size = Field(description="width before the cuts")
    after: Sizes = Field(description="widths of all pieces that were made of it, side by side")
    current: Positive | None = Field(None, description="[A], where it was not that of the process")
    tip: Name | None = Field(None, description="where it was not that of the process")
    travel_speed: Speed | None = Field(None, description="where it was not that of the process")


class FenceCheckTable(Row):
    """A strip cut at a reading, and its width."""

    reading: Signed = Field(description="reading of the fence's scale")
    width: Size = Field(description="width of the strip that lay on the fence")
    process: Name | None = Field(None, description="whose kerf it was cut with; left out: the rig's first process")
    kerf: Size | None = Field(None, description="kerf of this very cut, where it was measured")


class HeightCheckTable(Row):
    """Heights above the bed along the travel."""

    positions: Positions = Field(description="where it was measured, from home")
    heights: Heights = Field(description="height of the torch, or of the left rail, at each of them")
    other: Heights | None = Field(None, description="height of the right rail at each of them")
    rail_distance: Size | None = Field(None, description="between the two rails")


class RailCheckTable(Row):
    """Distances between the rails along the travel."""

    positions: Positions = Field(description="where it was measured, from home")
    distances: Annotated[list[Size], Field(min_length=2, max_length=1000)] = Field(
        description="distance between the rails at each of them"
    )


class ParallelCheckTable(Row):
    """One strip measured at both of its ends."""

    entry: Size = Field(description="width where the torch entered")
    exit: Size = Field(description="width where it left")
    length: Size = Field(description="between the two places")


class SquareCheckTable(Row):
    """A rectangle and its diagonals."""

    width: Size = Field(description="its width")
    length: Size = Field(description="its length")
    diagonals: Annotated[list[Size], Field(min_length=2, max_length=2)] = Field(description="both diagonals")


class TestCutTable(Row):
    """One test cut, and what was seen."""

    __test__ = False  # no test class

    process: Name = Field(description="name of the rig's process")
    travel_speed: Speed = Field(description="speed of this cut")
    dross: Literal["none", "easy", "hard"] | None = Field(
        None, description="on the lower edge: none, easy (thick, comes off), hard (a thin line that does not)"
    )
    top_spatter: bool | None = Field(None, description="spatter on top")
    lag_angle: Degrees | None = Field(None, description="how far the arc trails at the lower face, from upright [deg]")
    drag_lines: Literal["straight", "curved", "j"] | None = Field(
        None, description="lines on the cut face: straight, curved, or j where they hook at the foot"
    )
    bevel: Number | None = Field(None, description="of the edge on the square side [deg]")
    severed: bool | None = Field(None, description="did it cut through all the way")
    wide_kerf: bool | None = Field(None, description="is the kerf burnt wide")
    rounded_edge: bool | None = Field(None, description="is the top edge rounded")
    starts_on_tip: Whole | None = Field(None, description="arcs struck on this tip before")
    stand_off: Length | None = Field(None, description="torch above the plate")
    air: str | None = Field(None, description="pressure or flow, in words")
    current: Positive | None = Field(None, description="[A], where it was not that of the process")
    tip: Name | None = Field(None, description="where it was not that of the process")


class BowCheckTable(Row):
    """The bow of a strip with one hot edge, cold."""

    process: Name = Field(description="name of the rig's process")
    bow: Length = Field(description="greatest gap to a straight edge")
    length: Size = Field(description="length of the strip")
    width: Size = Field(description="width of the strip")


class NotebookTable(Table):
    """What was measured on the rig; each kind of row in the file itself, or in a CSV list beside it."""

    schema_: Literal["stripplan/notebook/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="name of the notebook; left out: the file's name")
    units: Units = Field("mm", description="of bare numbers")
    caliper: Size | None = Field(None, description="step that the caliper shows; left out: 0.05 mm")
    rule: Size | None = Field(None, description="step of the rule or tape; left out: 1 mm")
    watch: Positive | None = Field(None, description="how far a time taken by hand may be off [s]; left out: 0.2")
    drive: DriveTable | None = Field(None, description="what turns the belt")
    timed_run: list[TimedRunTable] = Field(default_factory=list, max_length=MOST_ROWS, description="dial and speed")
    kerf_test: list[KerfTestTable] = Field(default_factory=list, max_length=MOST_ROWS, description="width of the kerf")
    fence_check: list[FenceCheckTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="readings against strips"
    )
    height_check: list[HeightCheckTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="does the torch keep its height"
    )
    rail_check: list[RailCheckTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="are the rails parallel"
    )
    parallel_check: list[ParallelCheckTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="is the fence parallel to the travel"
    )
    square_check: list[SquareCheckTable] = Field(
        default_factory=list, max_length=MOST_ROWS, description="is what is cut square"
    )
    test_cut: list[TestCutTable] = Field(default_factory=list, max_length=MOST_ROWS, description="how fast")
    bow_check: list[BowCheckTable] = Field(default_factory=list, max_length=MOST_ROWS, description="how far strips bow")
    lists: dict[str, str] = Field(
        default_factory=dict, description="CSV lists of further rows: kind of row = file beside the notebook"
    )


def notebook_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a notebook."""
    from stripplan.files.toml.json_schema import described

    return described(NotebookTable, NOTEBOOK_SCHEMA, {})
