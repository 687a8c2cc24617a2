"""The shape of job files (schema stripplan/job/1), with pydantic.

The models take a file's tables as they were read and give lengths in mm. Keys left out are None or the default that
design and reference name. The same models make the JSON Schema.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from stripplan.files.job.list_table import ListTable
from stripplan.files.parts.bevels import entries
from stripplan.files.rig.schema import BUILT_IN, RigTable
from stripplan.files.toml.quantities import (
    MOST_ENTRIES,
    MOST_LISTS,
    Amount,
    BevelAngle,
    Clip,
    Corner,
    Count,
    Day,
    Degrees,
    FileName,
    Length,
    Name,
    Positive,
    Share,
    Size,
    Whole,
)
from stripplan.files.toml.table import Table, Units
from stripplan.model.job import WhyLeftOut


def _edge(value: object) -> object:
    """An edge by its number, as the word that it is."""
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _bevels(value: object) -> object:
    """Bevels that are said in one text, as tables."""
    return entries(value) if isinstance(value, str) else value


JOB_SCHEMA = "stripplan/job/1"

Edge = Literal["mill", "cut", "dressed"]
MaterialFamily = Literal["mild steel", "stainless", "aluminium"]
OffcutWeight = Literal["large", "long"]
Weight = Literal["fence", "end_stop", "quarter_turn", "turn_over", "fetch", "push", "dress", "clear", "process"]


class PlateTable(Table):
    """A plate, or several alike."""

    name: Name | None = Field(None, description="name of the plate, once in a job; left out: plate 1, plate 2 ...")
    length: Size = Field(description="along x of the plate; need not be the longer side")
    width: Size = Field(description="at right angles to the length")
    thickness: Size | None = Field(None, description="may be left out where the whole job has one")
    material: Name | None = Field(None, description="may be left out where the whole job has one")
    quantity: Count | None = Field(None, description="left out: as many as needed; an offcut: 1")
    cost: Amount | None = Field(None, description="of one plate; on all plates of a job or on none")
    price_per_kg: Amount | None = Field(None, description="in place of cost; on all plates of a job or on none")
    offcut: bool = Field(False, description="true: an offcut off the rack, there is one of it")
    measured: bool = Field(False, description="true: it was measured, its own size may be relied on")
    out_of_square: Length = Field(0.0, description="how far an end is out of square over the width")
    edges: list[Edge] | None = Field(
        None,
        min_length=4,
        max_length=4,
        description="state of the edges y = 0, x = length, y = width, x = 0; left out: mill, of an offcut cut",
    )
    rolling: Literal["length", "width", "none"] = Field("none", description="rolling direction; none = unknown")
    process: Name | None = Field(None, description="name of the rig's process that cuts it, where several fit")
    first: bool = Field(
        False, description="true: it is filled before any other plate is taken; there must be a quantity of it"
    )
    note: str | None = Field(None, description="what is to be known of it at the rig; stands on the sheet")


class HoleTable(Table):
    """A hole that is made after the part is cut; told on the sheet and on the label."""

    x: Size = Field(description="its middle along the length, from the part's lower left corner")
    y: Size = Field(description="its middle across, from the same corner")
    length: Size = Field(description="its extent along the length; of a round one the diameter")
    width: Size | None = Field(None, description="its extent across; left out: as its length")
    round: bool = Field(True, description="false: it is an opening with corners")


class BevelTable(Table):
    """A bevelled edge (weld preparation)."""

    edge: Annotated[str, BeforeValidator(_edge, json_schema_input_type=Name | Count)] = Field(
        description="lower, right, upper, left, long (lower and upper), ends (right and left), all; of other shapes "
        "the number of the edge, from each corner to the next"
    )
    angle: BevelAngle = Field(description="bevel angle from the vertical [deg]")
    root_face: Length = Field(0.0, description="what stays of the edge; left out: nothing")
    depth: Size | None = Field(None, description="in its place: how deep it goes from its face")
    face: Literal["first", "other", "both"] = Field(
        "first", description="face that it begins at: the one up on the plate, the other, half from both"
    )


def _width_or_outline(schema: dict[str, Any]) -> None:
    """A part has one of the two."""
    schema["required"] = [key for key in schema.get("required", ()) if key != "width"]
    if not schema["required"]:
        del schema["required"]
    schema["anyOf"] = [{"required": ["width"]}, {"required": ["outline"]}]


class PartTable(Table):
    """A part: a strip where `length` is left out, else a rectangle, or a straight-sided shape."""

    model_config = ConfigDict(json_schema_extra=_width_or_outline)

    name: Name | None = Field(None, description="name of the part, once in a job; left out: part 1, part 2 ...")
    width: Size | None = Field(description="finished width; left out where there is an outline")
    length: Size | None = Field(None, description="finished length; left out: a strip, as long as the plate")
    quantity: Count | None = Field(
        None, description="how many; left out: 1; of a filler how many at most, left out: as many as fit"
    )
    thickness: Size | None = Field(None, description="chooses its plates; may be left out where the job has one")
    material: Name | None = Field(None, description="chooses its plates; may be left out where the job has one")
    rolling: Literal["length", "width", "free"] = Field("free", description="what the rolling direction runs along")
    rotate: bool = Field(True, description="false: its length lies along the plate's length")
    allowance: Length = Field(0.0, description="metal left on each edge for dressing back")
    tolerance: Length | None = Field(
        None, description="how much over size it may stay where a sliver cannot be cut off"
    )
    plus_minus: Size | None = Field(None, description="how far its finished sizes may be off, either way")
    straightness: Size | None = Field(
        None, description="how far it may bow over its length; left out: ISO 2768-2, class L"
    )
    square: Literal["none", "long", "all"] = Field("none", description="edges that must come out square")
    filler: bool = Field(
        False, description="true: always useful, never asked for; made from what the other parts leave, opens no plate"
    )
    plate: Name | None = Field(None, description="name of the plate that it must come from; left out: any that fits")
    fence: Size | None = Field(
        None, description="reading that the fence stays at for cuts across its width; left out: as its width asks"
    )
    outline: list[Corner] | None = Field(
        None, min_length=3, max_length=100, description="corners in turn, [[x, y], ...], none of them pointing inward"
    )
    shape: Literal["triangle"] | None = Field(
        None, description="triangle: a right-angled one, length and width are the two sides at its right angle"
    )
    ends: list[Degrees] | None = Field(
        None,
        min_length=2,
        max_length=2,
        description="angles of the left and the right end to the lower edge, inside the piece [deg]; 90 = square",
    )
    length_to: Literal["long", "short", "middle"] = Field(
        "long", description="points of slanted ends that the length is measured between"
    )
    corners: list[Clip] | None = Field(
        None,
        min_length=4,
        max_length=4,
        description="what is clipped off: lower left, lower right, upper right, upper left; 0, a length, or [along, "
        "across]",
    )
    job: Name | None = Field(None, description="the [[job]] that it belongs to, where a file holds several")
    note: str | None = Field(None, description="goes with the part to the sheet and its labels")
    bevels: Annotated[list[BevelTable], BeforeValidator(_bevels, json_schema_input_type=str | list[BevelTable])] = (
        Field([], max_length=100, description='bevelled edges, also as a text: "long 30/2; right 45 both"')
    )
    holes: list[HoleTable] = Field([], max_length=100, description="holes that are made after the part is cut")

    @model_validator(mode="before")
    @classmethod
    def _sized_by_its_outline(cls, given: Any) -> Any:
        """Where an outline is given, no width is missing."""
        return {"width": None, **given} if isinstance(given, dict) and "outline" in given else given


PlatePair = Annotated[list[Name], Field(min_length=2, max_length=2)]


class NotPlannedTable(Table):
    """A thing that was drawn beside the parts and that nobody plans: the sheet says so."""

    name: Name = Field(description="what it is called")
    quantity: Count = Field(1, description="how many there are")
    why: WhyLeftOut = Field(description="why it is no part")
    count: Whole = Field(0, description="how many holes or corners it has, where that is why")


class OptionsTable(Table):
    """What is wanted of the plan."""

    trim: Length = Field(0.0, description="scrap taken off each mill edge that would become a part's edge")
    keep: list[Size] | None = Field(
        None,
        min_length=2,
        max_length=2,
        description="least offcut worth keeping, [length, width]; left out: 300 x 100 mm",
    )
    seed: Whole = Field(1, description="same job, seed and steps: same plan")
    steps: Whole | None = Field(None, description="steps of the search; left out: the program's choice")
    seconds: Positive | None = Field(None, description="cap on the search [s]")
    good_enough: Share = Field(
        0.0, description='stop searching once the cost is proven within this share of the least possible, as "2 %"'
    )
    stop_after: Whole | None = Field(
        None, description="stop after so many steps in all: steps_done of a plan that was stopped, to get it again"
    )
    weights: dict[Weight, Amount] = Field(
        default_factory=dict, description="factors on set-up time, by cause; 1 = as it is"
    )
    price_per_minute: Amount | None = Field(
        None, description="what a minute at the rig costs; left out: the rig's price of an hour, else kg_per_hour"
    )
    kg_per_hour: Positive = Field(
        30.0, description="kilograms of plate that an hour at the rig is worth where it has no price"
    )
    material_factors: dict[MaterialFamily, Positive] = Field(
        default_factory=dict, description="kilograms of steel that a kilogram counts for where plates have no prices"
    )
    offcut_share: Share = Field(0.5, description='share of its price by area that an offcut kept is worth, as "50 %"')
    partial: bool = Field(False, description="true: plan the rest where some part cannot be made")
    process: Name | None = Field(None, description="name of the rig's process to use where several fit")
    depth: Count | None = Field(None, description="how often the direction of cutting may change")
    fill: Literal["scrap", "offcuts", "all"] = Field(
        "offcuts",
        description="what fillers are taken from: scrap alone; then offcuts but the most valuable one; all of them",
    )
    offcut_weights: dict[OffcutWeight, Amount] = Field(
        default_factory=dict,
        description="what makes an offcut more valuable than by its area: large (for each m2), long (for each m)",
    )
    aim: Literal["one_setting", "plate", "time", "few_settings", "light_hands", "plate_by_plate"] = Field(
        "one_setting",
        description="what the plan makes least; one_setting: plate and hands together, with one fence setting for all "
        "parts of a width unless that is much dearer; plate: plate alone; plate_by_plate: each plate in one go",
    )
    general_class: Literal["f", "m", "c", "v"] = Field(
        "c", description="class of ISO 2768-1 that sizes are held against where a part says no plus_minus"
    )
    hours_a_day: Annotated[Positive, Field(le=24)] | None = Field(
        None, description="hours at the rig on each day from Monday to Friday; tells on which day each job is done"
    )
    start: Day | None = Field(None, description="the first of these days; left out: the day on which it is planned")
    finish: bool = Field(False, description="true: the time to finish the edges of parts is told and priced")
    before: list[PlatePair] = Field(
        default_factory=list,
        max_length=1000,
        description="pairs of plates, the first cut up before the second is begun",
    )
    end_stop: Size | None = Field(
        None, description="the mark that the end stop stays at for every cut that it serves; left out: as is quickest"
    )
    first: list[Name] = Field(
        default_factory=list, max_length=1000, description="parts that are made before all others"
    )


class OneJobTable(Table):
    """One of several jobs that a file holds."""

    name: Name = Field(description="name of the job; parts say by it whose they are")
    due: Day | None = Field(None, description="the day by which it is wanted")


class JobTable(Table):
    """A job: what to make, from what, on which rig."""

    schema_: Literal["stripplan/job/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="name of the job; left out: the file's name")
    units: Units = Field("mm", description="of bare numbers, and of what is shown")
    inch_fraction: Literal[16, 32, 64] = Field(32, description="inches are shown to the nearest 1/16, 1/32 or 1/64")
    currency: Annotated[str, Field(max_length=20)] = Field("", description="shown beside costs")
    rest_of: Annotated[str, Field(pattern="^[0-9a-f]{8}$")] | None = Field(
        None, description="id of the plan of which it is the rest, whose pieces lie on the rack: it is gone on with"
    )
    due: Day | None = Field(
        None, description="the day by which it is wanted, as 2026-12-04: of jobs planned together it goes by days"
    )
    rig: str | RigTable | None = Field(
        None,
        description="a file beside the job, a profile's name, or a table of overrides; left out: the built-in profile",
    )
    cut_list: FileName | ListTable | Annotated[list[FileName | ListTable], Field(max_length=MOST_LISTS)] | None = Field(
        None,
        description="lists of further parts: a file beside the job file (CSV, .xlsx, .dxf, .svg), a table that also "
        "says how it is read, or several of these",
    )
    plate: list[PlateTable] = Field(default_factory=list, max_length=MOST_ENTRIES, description="what it is made from")
    job: list[OneJobTable] = Field(
        default_factory=list, max_length=1000, description="several jobs in one file; left out: it is one"
    )
    part: list[PartTable] = Field(default_factory=list, max_length=MOST_ENTRIES, description="what is made")
    not_planned: list[NotPlannedTable] = Field(
        default_factory=list,
        max_length=MOST_ENTRIES,
        description="what was drawn beside the parts and is not planned; a list's own is added",
    )
    options: OptionsTable = Field(
        default_factory=lambda: OptionsTable.model_validate({}), description="what is wanted of the plan"
    )


def job_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file."""
    from stripplan.files.toml.json_schema import described  # few runs ask for it

    return described(JobTable, JOB_SCHEMA, BUILT_IN)
