"""The shape of job and rig files (schemas stripplan/job/1 and stripplan/rig/1), with pydantic.

Bare numbers are in the file's own `units`; a string may carry its own unit. The models check shape and
range; lengths stay as written until the reader turns them into mm.
"""

from __future__ import annotations

import math
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    PlainValidator,
    Tag,
    WithJsonSchema,
    model_validator,
)  # fmt: skip

from ..model.job import WEIGHT_KEYS
from ..model.units import parse_length, parse_speed

LengthText = int | float | str
MOST_PARTS = 1_000_000


def _length(value: LengthText) -> LengthText:
    parse_length(value)
    return value


def _above(value: LengthText) -> LengthText:
    if parse_length(value) <= 0:
        raise ValueError(f"{value} is not above 0; write a size above 0")
    return value


def _speed(value: LengthText) -> LengthText:
    if parse_speed(value) <= 0:
        raise ValueError(f"{value} is not above 0; write a speed above 0")
    return value


def _signed(value: LengthText) -> LengthText:
    signed_length(value)
    return value


def signed_length(value: LengthText, units: str = "mm") -> float:
    """A length [mm] that may be below 0."""
    if isinstance(value, str):
        text = value.strip()
        return -parse_length(text[1:], units) if text.startswith("-") else parse_length(text, units)
    below = isinstance(value, (int, float)) and value < 0
    return -parse_length(-value, units) if below else parse_length(value, units)


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{value} is no finite number")
    return value


def named(value: str) -> str:
    """A name as given; ValueError where it cannot be printed on a sheet."""
    if not value.strip():
        raise ValueError("a name must not be empty")
    if any(not letter.isprintable() for letter in value):
        raise ValueError("a name must not hold control characters")
    if len(value) > 200:
        raise ValueError("a name has at most 200 letters")
    return value


def _day(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()[:10]
    if isinstance(value, str):
        try:
            date.fromisoformat(value)
        except ValueError:
            raise ValueError(f"{value[:60]!r} is no date; write 2026-05-30") from None
    return value


def _duty_point(point: list[float]) -> list[float]:
    if point[1] > 100:
        raise ValueError(f"{point[1]:g} percent is above 100; write [current in A, percent of ten minutes]")
    return point


def _dial_point(point: list[Any]) -> list[Any]:
    mark = point[0]
    if isinstance(mark, bool) or not isinstance(mark, (int, float)) or not math.isfinite(mark):
        raise ValueError("the mark is no number; write [mark, speed]")
    _speed(point[1])
    return point


def _weights(weights: dict[str, float]) -> dict[str, float]:
    wrong = next((key for key in weights if key not in WEIGHT_KEYS), None)
    if wrong is not None:
        raise ValueError(f"{wrong[:60]!r} is no cause of set-up time; write {', '.join(WEIGHT_KEYS)}")
    return weights


def _no_outline(_: object) -> None:
    raise ValueError("only strips and rectangles can be laid out so far; write width and length in place of an outline")


def _text_schema(number: dict[str, Any], pattern: str) -> WithJsonSchema:
    text = {"type": "string", "pattern": pattern, "maxLength": 40}
    return WithJsonSchema({"anyOf": [{"type": "number", **number}, text]})


_NOT_BELOW = r"^\s*[^\s-]"
Length = Annotated[LengthText, PlainValidator(_length), _text_schema({"minimum": 0}, _NOT_BELOW)]
Size = Annotated[LengthText, PlainValidator(_above), _text_schema({"exclusiveMinimum": 0}, _NOT_BELOW)]
Signed = Annotated[LengthText, PlainValidator(_signed), _text_schema({}, r"\S")]
Speed = Annotated[LengthText, PlainValidator(_speed), _text_schema({"exclusiveMinimum": 0}, _NOT_BELOW)]
Amount = Annotated[float, AfterValidator(_finite), Field(ge=0)]
Positive = Annotated[float, AfterValidator(_finite), Field(gt=0)]
Name = Annotated[str, AfterValidator(named), Field(json_schema_extra={"minLength": 1, "maxLength": 200})]
Day = Annotated[str, BeforeValidator(_day), WithJsonSchema({"type": "string", "format": "date"})]
Pair = Field(min_length=2, max_length=2)
Edge = Literal["mill", "cut", "dressed"]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, defer_build=True)


class PlateTable(_Table):
    """A plate, or several alike."""

    name: Name | None = Field(None, description="left out: plate 1, plate 2 ...")
    length: Size = Field(description="along x; need not be the longer side")
    width: Size = Field(description="at right angles to the length")
    thickness: Size | None = Field(None, description="may be left out where the whole job has one")
    material: Name | None = Field(None, description="may be left out where the whole job has one")
    quantity: int | None = Field(None, ge=1, le=MOST_PARTS, description="left out: as many as needed; an offcut: 1")
    cost: Amount | None = Field(None, description="of one plate; on all plates or on none")
    price_per_kg: Amount | None = Field(None, description="in place of cost; on all plates or on none")
    offcut: bool = Field(False, description="true: an offcut off the rack")
    measured: bool = Field(False, description="true: its own size may be relied on")
    out_of_square: Length = Field(0, description="how far it is out of square")
    edges: list[Edge] = Field(
        ["mill"] * 4, min_length=4, max_length=4, description="y = 0, x = length, y = width, x = 0"
    )
    rolling: Literal["length", "width", "none"] = Field("none", description="rolling direction; none = unknown")
    process: Name | None = Field(None, description="name of the process where several fit")

    @model_validator(mode="after")
    def _one_price(self) -> PlateTable:
        if self.cost is not None and self.price_per_kg is not None:
            raise ValueError("both cost and price_per_kg are given; write one of them")
        return self


class PartTable(_Table):
    """A part: a strip where `length` is left out, else a rectangle."""

    name: Name | None = Field(None, description="left out: part 1, part 2 ...; each name once in a job")
    width: Size = Field(description="finished width")
    length: Size | None = Field(None, description="finished length; left out: a strip, as long as the plate")
    quantity: int = Field(1, ge=1, le=MOST_PARTS, description="how many")
    thickness: Size | None = Field(None, description="chooses its plates; may be left out where the job has one")
    material: Name | None = Field(None, description="chooses its plates; may be left out where the job has one")
    rolling: Literal["length", "width", "free"] = Field("free", description="which way the rolling direction must run")
    rotate: bool = Field(True, description="false: its length lies along the plate's length")
    allowance: Length = Field(0, description="metal left on each edge for dressing back")
    tolerance: Length | None = Field(
        None, description="how much over size it may stay where a sliver cannot be cut off"
    )
    square: Literal["none", "long", "all"] = Field("none", description="edges that must be square")
    outline: Annotated[None, PlainValidator(_no_outline), WithJsonSchema({"not": {}})] = Field(
        None, description="kept for straight-sided shapes; refused so far"
    )
    note: str | None = Field(None, description="for the reader of the file")


class OptionsTable(_Table):
    """What is wanted of the plan."""

    trim: Length = Field(0, description="scrap taken off mill edges that would become a part's edge")
    keep: Annotated[list[Size], Pair] | None = Field(None, description="least offcut worth keeping: length, width")
    seed: int = Field(1, description="same job, seed and steps: same plan")
    steps: int | None = Field(None, ge=0, description="search steps")
    seconds: Positive | None = Field(None, description="cap on the search")
    weights: Annotated[dict[str, Amount], AfterValidator(_weights)] = Field(
        default_factory=dict,
        description="factors on set-up time, by cause; 1 = the rig's own seconds as they are",
        json_schema_extra={"propertyNames": {"enum": list(WEIGHT_KEYS)}},
    )
    price_per_minute: Amount | None = Field(None, description="what a minute at the rig costs")
    partial: bool = Field(False, description="true: plan the rest where some part cannot be made")
    process: Name | None = Field(None, description="name of the process where several fit")
    depth: int | None = Field(None, ge=1, description="how often the direction of cutting may change")


class ProcessTable(_Table):
    """How one material of one thickness is cut."""

    name: Name = Field(description="each name once in a rig")
    material: Name = Field(description="as on the plate")
    thickness: Size = Field(description="of the plate")
    kerf: Size = Field(description="width of metal the cut removes")
    travel_speed: Speed = Field(description="while cutting")
    current: Positive | None = Field(None, description="A")
    tip: Name | None = Field(None, description="tip in the torch")
    kerf_measured_on: Day | None = Field(None, description="date; left out = not measured")
    duty: list[Annotated[list[Positive], Pair, AfterValidator(_duty_point)]] = Field(
        default_factory=list, description="[current in A, percent of ten minutes] ..."
    )


class SecondsTable(_Table):
    """Seconds for each kind of set-up."""

    fence: Amount | None = Field(None, description="setting the fence")
    fence_per_mm: Amount | None = Field(None, description="more for each mm that the fence moves")
    end_stop: Amount | None = Field(None, description="setting the end stop")
    end_stop_per_mm: Amount | None = Field(None, description="more for each mm that the end stop moves")
    mitre: Amount | None = Field(None, description="setting the mitre bar")
    quarter_turn: Amount | None = Field(None, description="a quarter turn")
    turn_over: Amount | None = Field(None, description="turning over")
    fetch: Amount | None = Field(None, description="fetching a plate or piece")
    push: Amount | None = Field(None, description="pushing up to the fence")
    clear: Amount | None = Field(None, description="clearing a piece away")
    dress_per_m: Amount | None = Field(None, description="dressing, s/m")
    per_kg: Amount | None = Field(None, description="more for each kilogram turned or fetched")
    two_person: Amount | None = Field(None, description="factor where two people are needed")


class RigTable(_Table):
    """A rig profile; keys left out come from the built-in profile and are marked `assumed` on the sheet."""

    schema_: Literal["stripplan/rig/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="of the rig")
    units: Literal["mm", "in"] | None = Field(
        None, description="of bare numbers; left out: mm, or the job's own in a job"
    )
    stroke: Size | None = Field(None, description="greatest end stop, from home")
    lead_in: Length | None = Field(None, description="from home to the start line")
    overrun: Length | None = Field(None, description="travel after the torch has left the metal")
    overrun_max: Length | None = Field(
        None, description="greatest overrun for the sake of one end stop for several cuts"
    )
    fence_min: Length | None = Field(None, description="least offset from fence face to torch centreline")
    fence_max: Size | None = Field(None, description="greatest offset from fence face to torch centreline")
    fence_zero: Signed | None = Field(None, description="offset = fence_zero + fence_scale * reading")
    fence_scale: Positive | None = Field(None, description="offset = fence_zero + fence_scale * reading")
    fence_step: Size | None = Field(None, description="the scale can be read to")
    end_stop_min: Length | None = Field(None, description="nearest end stop, from home")
    end_stop_step: Size | None = Field(None, description="steps of the end stop")
    square_side: Literal["fence", "far", "equal"] | None = Field(None, description="side whose edge comes out square")
    narrowest_offcut: Length | None = Field(None, description="least metal beside a kerf; 0 = no such rule")
    two_pass: bool | None = Field(None, description="may a cut be made half from each end")
    two_pass_overlap: Length | None = Field(None, description="by how much the halves overlap")
    marked: bool | None = Field(None, description="may a cut out of the fence's reach be marked out by hand")
    mitre_min: Amount | None = Field(None, description="least angle of the mitre bar to the travel, degrees")
    mitre_max: Amount | None = Field(None, description="greatest angle of the mitre bar to the travel, degrees")
    mitre_stop_zero: Signed | None = Field(None, description="where the stop of the mitre bar reads 0")
    mitre_stop_max: Length | None = Field(None, description="farthest setting of that stop")
    piece_mass_max: Positive | None = Field(None, description="heaviest piece, kg; left out = no limit")
    two_person_mass: Amount | None = Field(None, description="kg; above it a piece is for two people or a hoist")
    two_person_length: Length | None = Field(None, description="longer pieces count as such from 0.6 of that mass")
    bed_length: Size | None = Field(None, description="longest piece along the travel; left out = no limit")
    bed_before: Length | None = Field(None, description="how much of it may lie behind the start line")
    far_max: Size | None = Field(None, description="widest piece beside the torch, away from the fence")
    travel_min: Speed | None = Field(None, description="slowest cutting speed")
    travel_max: Speed | None = Field(None, description="fastest cutting speed")
    return_speed: Speed | None = Field(None, description="on the way home, arc off")
    pre_flow: Amount | None = Field(None, description="air before the arc, s")
    post_flow: Amount | None = Field(None, description="air after the arc, s")
    pilot_limit: Amount | None = Field(None, description="longest that the arc may burn in air, s")
    dial: list[Annotated[list[Any], Pair, AfterValidator(_dial_point)]] | None = Field(
        None, description="[mark, speed] ..."
    )
    process: list[ProcessTable] | None = Field(None, description="how each material and thickness is cut")
    seconds: SecondsTable | None = Field(None, description="how long each kind of set-up takes, s")


def _rig_kind(value: object) -> str:
    return "RigTable" if isinstance(value, (dict, RigTable)) else "str"


RigOrName = Annotated[Annotated[str, Tag("str")] | Annotated[RigTable, Tag("RigTable")], Discriminator(_rig_kind)]


class JobTable(_Table):
    """A job."""

    schema_: Literal["stripplan/job/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="left out: the file's name")
    units: Literal["mm", "in"] = Field("mm", description="of bare numbers, and of what is shown")
    inch_fraction: Literal[16, 32, 64] = Field(32, description="inches are shown to the nearest 1/16, 1/32 or 1/64")
    currency: str = Field("", max_length=20, description="shown beside costs")
    rig: RigOrName | None = Field(
        None, description="a path beside the job file, a profile's name, or a table of overrides"
    )
    cut_list: str | None = Field(None, description="a CSV list of parts beside the job file")
    plate: list[PlateTable] = Field(default_factory=list, description="what it is made from")
    part: list[PartTable] = Field(default_factory=list, description="what is made")
    options: OptionsTable = Field(
        default_factory=lambda: OptionsTable.model_validate({}), description="what is wanted of the plan"
    )


def job_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file."""
    return _schema(JobTable, "stripplan/job/1")


def rig_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file."""
    return _schema(RigTable, "stripplan/rig/1")


def _schema(model: type[BaseModel], name: str) -> dict[str, Any]:
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": name} | model.model_json_schema()
