"""The shape of job and rig files (schemas stripplan/job/1 and stripplan/rig/1), with pydantic.

Bare numbers are in the file's own `units`; a string may carry its own unit. The models check shape and
range; lengths stay as written until the reader turns them into mm.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from ..model.units import parse_length, parse_speed

LengthText = int | float | str
MOST_PARTS = 1_000_000


def _length(value: LengthText) -> LengthText:
    parse_length(value)
    return value


def _above(value: LengthText) -> LengthText:
    if parse_length(value) <= 0:
        raise ValueError(f"{value} is not above 0")
    return value


def _speed(value: LengthText) -> LengthText:
    if parse_speed(value) <= 0:
        raise ValueError(f"{value} is not above 0")
    return value


def _signed(value: LengthText) -> LengthText:
    parse_length(str(value).lstrip().removeprefix("-"))
    return value


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{value} is no finite number")
    return value


def _named(value: str) -> str:
    if not value.strip():
        raise ValueError("a name must not be empty")
    if any(not letter.isprintable() for letter in value):
        raise ValueError("a name must not hold control characters")
    if len(value) > 200:
        raise ValueError("a name has at most 200 letters")
    return value


Length = Annotated[
    LengthText, AfterValidator(_length), Field(description="length in the file's units, or with its own")
]
Size = Annotated[
    LengthText, AfterValidator(_above), Field(description="length above 0, in the file's units, or with its own")
]
Signed = Annotated[LengthText, AfterValidator(_signed), Field(description="length that may be below 0")]
Speed = Annotated[
    LengthText, AfterValidator(_speed), Field(description="speed in mm/min or in/min, or with its own unit")
]
Amount = Annotated[float, AfterValidator(_finite), Field(ge=0)]
Positive = Annotated[float, AfterValidator(_finite), Field(gt=0)]
Name = Annotated[str, AfterValidator(_named)]
Edge = Literal["mill", "cut", "dressed"]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class PlateTable(_Table):
    """A plate, or several alike."""

    name: Name | None = None
    length: Size = Field(description="along x; need not be the longer side")
    width: Size
    thickness: Size | None = None
    material: Name | None = None
    quantity: int | None = Field(None, ge=1, le=MOST_PARTS, description="left out: as many as needed; an offcut: 1")
    cost: Amount | None = Field(None, description="of one plate")
    price_per_kg: Amount | None = None
    offcut: bool = False
    measured: bool = Field(False, description="true: its own size may be relied on")
    out_of_square: Length = Field(0, description="how far it is out of square")
    edges: list[Edge] = Field(
        ["mill"] * 4, min_length=4, max_length=4, description="y = 0, x = length, y = width, x = 0"
    )
    rolling: Literal["length", "width", "none"] = Field("none", description="rolling direction; none = unknown")
    process: Name | None = None


class PartTable(_Table):
    """A part: a strip where `length` is left out, else a rectangle."""

    name: Name | None = None
    width: Size
    length: Size | None = Field(None, description="left out: a strip, as long as the plate")
    quantity: int = Field(1, ge=1, le=MOST_PARTS)
    thickness: Size | None = None
    material: Name | None = None
    rolling: Literal["length", "width", "free"] = "free"
    rotate: bool = Field(True, description="false: its length lies along the plate's length")
    allowance: Length = Field(0, description="metal left on each edge for dressing back")
    tolerance: Length | None = Field(
        None, description="how much over size it may stay where a sliver cannot be cut off"
    )
    square: Literal["none", "long", "all"] = "none"
    outline: list[list[float]] | None = Field(None, description="kept for straight-sided shapes; not planned yet")
    note: str | None = None


class OptionsTable(_Table):
    """What is wanted of the plan."""

    trim: Length = Field(0, description="scrap taken off mill edges that would become a part's edge")
    keep: list[Size] | None = Field(None, min_length=2, max_length=2, description="least offcut worth keeping")
    seed: int = 1
    steps: int | None = Field(None, ge=0)
    seconds: Positive | None = None
    weights: dict[str, Amount] = Field(default_factory=dict)
    price_per_minute: Amount | None = None
    partial: bool = False
    process: Name | None = None
    depth: int | None = Field(None, ge=1)


class ProcessTable(_Table):
    """How one material of one thickness is cut."""

    name: Name
    material: Name
    thickness: Size
    kerf: Size
    travel_speed: Speed
    current: Positive | None = None
    tip: str | None = None
    kerf_measured_on: str | None = Field(None, description="date; left out = not measured")
    duty: list[list[float]] = Field(default_factory=list, description="[current A, percent of ten minutes] ...")


class SecondsTable(_Table):
    """Seconds for each kind of set-up."""

    fence: Amount | None = None
    fence_per_mm: Amount | None = None
    end_stop: Amount | None = None
    end_stop_per_mm: Amount | None = None
    mitre: Amount | None = None
    quarter_turn: Amount | None = None
    turn_over: Amount | None = None
    fetch: Amount | None = None
    push: Amount | None = None
    clear: Amount | None = None
    dress_per_m: Amount | None = None
    per_kg: Amount | None = None
    two_person: Amount | None = Field(None, description="factor")


class RigTable(_Table):
    """A rig profile; keys left out come from the built-in profile and are marked `assumed` on the sheet."""

    schema_: Literal["stripplan/rig/1"] | None = Field(None, alias="schema")
    name: Name | None = None
    units: Literal["mm", "in"] = "mm"
    stroke: Size | None = None
    lead_in: Length | None = None
    overrun: Length | None = None
    overrun_max: Length | None = None
    fence_min: Length | None = Field(None, description="least offset from fence face to torch centreline")
    fence_max: Size | None = None
    fence_zero: Signed | None = Field(None, description="offset = fence_zero + fence_scale * reading")
    fence_scale: Positive | None = None
    fence_step: Size | None = None
    end_stop_min: Length | None = None
    end_stop_step: Size | None = None
    square_side: Literal["fence", "far", "equal"] | None = None
    narrowest_offcut: Length | None = None
    two_pass: bool | None = None
    two_pass_overlap: Length | None = None
    marked: bool | None = None
    mitre_min: Amount | None = None
    mitre_max: Amount | None = None
    mitre_stop_zero: Signed | None = None
    mitre_stop_max: Length | None = None
    piece_mass_max: Positive | None = None
    two_person_mass: Amount | None = None
    two_person_length: Length | None = None
    bed_length: Size | None = None
    bed_before: Length | None = None
    far_max: Size | None = None
    travel_min: Speed | None = None
    travel_max: Speed | None = None
    return_speed: Speed | None = None
    pre_flow: Amount | None = None
    post_flow: Amount | None = None
    pilot_limit: Amount | None = None
    dial: list[list[LengthText]] | None = Field(None, description="[mark, speed] ...")
    process: list[ProcessTable] | None = None
    seconds: SecondsTable | None = None


class JobTable(_Table):
    """A job."""

    schema_: Literal["stripplan/job/1"] | None = Field(None, alias="schema")
    name: Name | None = None
    units: Literal["mm", "in"] = "mm"
    currency: str = ""
    rig: str | RigTable | None = Field(None, description="a path beside the job file, a profile's name, or overrides")
    cut_list: str | None = Field(None, description="a CSV list of parts beside the job file")
    plate: list[PlateTable] = Field(default_factory=list)
    part: list[PartTable] = Field(default_factory=list)
    options: OptionsTable = Field(default_factory=lambda: OptionsTable.model_validate({}))


def job_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file."""
    return _schema(JobTable, "stripplan/job/1")


def rig_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file."""
    return _schema(RigTable, "stripplan/rig/1")


def _schema(model: type[BaseModel], name: str) -> dict[str, Any]:
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": name} | model.model_json_schema()
