"""The shape of job and rig files (schemas stripplan/job/1 and stripplan/rig/1), with pydantic.

The models take a file's tables as they were read and give lengths in mm, speeds in mm/min. Keys left out are
None or the default that design and reference name. The same models make the JSON Schemas.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

from stripplan.files.parts.layers import read_layer
from stripplan.files.toml.quantities import (
    KIND,
    MOST_ENTRIES,
    MOST_LISTS,
    Amount,
    Count,
    Day,
    Degrees,
    FileName,
    Length,
    Name,
    Number,
    Outline,
    Percent,
    Positive,
    Pressure,
    Share,
    Signed,
    Size,
    Speed,
    ValueRefusedError,
    Whole,
)
from stripplan.model.rig import Rig, Seconds
from stripplan.wording.quantity import LENGTH_PATTERN

JOB_SCHEMA, RIG_SCHEMA = "stripplan/job/1", "stripplan/rig/1"

Units = Literal["mm", "in"]
Edge = Literal["mill", "cut", "dressed"]
OffcutWeight = Literal["large", "long"]
Weight = Literal["fence", "end_stop", "quarter_turn", "turn_over", "fetch", "push", "dress", "clear", "process"]
Rating = Annotated[tuple[Positive, Percent], Field(strict=False)]
Mark = Annotated[tuple[Number, Speed], Field(strict=False)]


class Table(BaseModel):
    """A table of a file: unknown keys are refused, nothing is turned into another kind unasked."""

    model_config = ConfigDict(extra="forbid", strict=True, defer_build=True)


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


class PartTable(Table):
    """A part: a strip where `length` is left out, else a rectangle."""

    name: Name | None = Field(None, description="name of the part, once in a job; left out: part 1, part 2 ...")
    width: Size = Field(description="finished width")
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
    outline: Outline = Field(None, description="kept for straight-sided shapes; refused, as none can be laid out")
    note: str | None = Field(None, description="for the reader of the file")


class LayerTable(Table):
    """What a layer of a drawing says of its parts."""

    thickness: Size | None = Field(None, description="of its parts; may be left out where the whole job has one")
    material: Name | None = Field(None, description="of its parts; may be left out where the whole job has one")


def _layer_table(value: object, info: ValidationInfo) -> object:
    """A layer's table, of a thickness or of a text such as "6 mm, S235"."""
    if isinstance(value, (dict, LayerTable)):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueRefusedError("layer_type")
    if not isinstance(value, str):
        return {"thickness": value}
    thickness, material = read_layer(value, (info.context or {})["units"])
    return {"thickness": f"{Decimal(repr(thickness)):f} mm", "material": material}


def _layers_by_name(value: object) -> object:
    """Layers by name, also where they are only listed."""
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return {each: {} for each in value}
    if not isinstance(value, dict):
        raise ValueRefusedError("no_layers")
    return value


LayerText = Annotated[str, Field(pattern=LENGTH_PATTERN.removesuffix("$") + r"(?:,\s*\S.*)?$")]
LayerGiven = Size | LayerText | LayerTable
LayersGiven = Annotated[
    dict[Name, Annotated[LayerTable, BeforeValidator(_layer_table, json_schema_input_type=LayerGiven)]],
    Field(min_length=1, max_length=1000),
    BeforeValidator(
        _layers_by_name,
        json_schema_input_type=Annotated[list[Name], Field(min_length=1, max_length=1000)]
        | Annotated[
            dict[Name, LayerGiven],
            Field(min_length=1, max_length=1000, json_schema_extra={"propertyNames": {KIND: "name"}}),
        ],
    ),
]


class ListTable(Table):
    """A list of parts, and how it is read."""

    file: FileName = Field(description="CSV, workbook (.xlsx) or drawing (.dxf, .svg) beside the job file")
    units: Literal["mm", "cm", "m", "in", "ft"] | None = Field(
        None,
        description="of its bare numbers; of a drawing, before those that it names; left out: the file's, the job's",
    )
    tolerance: Size | None = Field(
        None, description="drawings: how far an outline may be off a true rectangle; left out: 0.05 mm"
    )
    layers: LayersGiven | None = Field(
        None,
        description='drawings: the layers that are read, a list of names, or what each says: "6 mm, S235"; left out: all',
    )
    layer_names: bool = Field(
        False, description="drawings: true: thickness and material stand in the names of layers, as in PLATE_6MM_S235"
    )
    sheet: Name | None = Field(None, description="workbooks: the sheet to read; left out: the first that is not hidden")


PlatePair = Annotated[list[Name], Field(min_length=2, max_length=2)]


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
    price_per_minute: Amount | None = Field(None, description="what a minute at the rig costs")
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
    aim: Literal["one_setting", "time", "few_settings", "light_hands", "plate_by_plate"] = Field(
        "one_setting",
        description="what the order of work makes least; one_setting: time with one fence setting for all parts of a width, unless that is much dearer; "
        "plate_by_plate: time, each plate in one go",
    )
    general_class: Literal["f", "m", "c", "v"] = Field(
        "c", description="class of ISO 2768-1 that sizes are held against where a part says no plus_minus"
    )
    finish: bool = Field(False, description="true: the time to finish the edges of parts is told and priced")
    before: list[PlatePair] = Field(
        default_factory=list,
        max_length=1000,
        description="pairs of plates, the first cut up before the second is begun",
    )
    first: list[Name] = Field(
        default_factory=list, max_length=1000, description="parts that are made before all others"
    )


class ProcessTable(Table):
    """How one material of one thickness is cut."""

    name: Name = Field(description="name of the process, once in a rig")
    material: Name = Field(description="as plates name it")
    thickness: Size = Field(description="of the plate; it serves plates within 0.05 mm")
    kerf: Size = Field(description="width of metal that the cut removes")
    travel_speed: Speed = Field(description="while cutting")
    current: Positive | None = Field(None, description="[A]")
    tip: Name | None = Field(None, description="tip in the torch")
    stand_off: Length | None = Field(None, description="height of the tip above the plate; left out: not given")
    air_pressure: Pressure | None = Field(None, description='at the torch [bar], or as "75 psi"; left out: not given')
    kerf_u: Length | None = Field(None, description="standard uncertainty of the kerf; left out: not known")
    bow_constant: Length | None = Field(
        None, description="C of bow = C (length / width)^2 for one hot edge, from a measured strip; left out: a model"
    )
    bow_constant_u: Length | None = Field(None, description="its standard uncertainty; left out: a quarter of it")
    bow_strips: Count | None = Field(None, description="how many strips it was measured on")
    bevel: Number | None = Field(None, description="of the cut edge [deg]; left out: not measured")
    air_flow: Positive | None = Field(None, description="free air while it flows [l/min]; left out: by the current")
    kerf_measured_on: Day | None = Field(None, description="date of the test cut; left out: not measured")
    duty: list[Rating] = Field(
        default_factory=list,
        max_length=100,
        description="ratings of the power source: [current in A, percent of ten minutes] ...",
    )


class SecondsTable(Table):
    """How long each kind of set-up takes [s]."""

    fence: Amount | None = Field(None, description="setting the fence")
    fence_per_mm: Amount | None = Field(None, description="more for each mm that the fence moves")
    end_stop: Amount | None = Field(None, description="setting the end stop")
    end_stop_per_mm: Amount | None = Field(None, description="more for each mm that the end stop moves")
    mitre: Amount | None = Field(None, description="setting the mitre bar")
    quarter_turn: Amount | None = Field(None, description="a quarter turn")
    turn_over: Amount | None = Field(None, description="turning over")
    fetch: Amount | None = Field(None, description="fetching a plate or piece")
    push: Amount | None = Field(None, description="pushing up to the fence")
    clear: Amount | None = Field(None, description="clearing a piece off")
    scrape_each: Amount | None = Field(None, description="scraping an edge for the fence or the start line")
    scrape_per_m: Amount | None = Field(None, description="more for each metre of an edge that is scraped")
    finish_per_m: Amount | None = Field(None, description="finishing the edges of parts, for each metre")
    process: Amount | None = Field(None, description="changing tip and current for another process")
    per_kg: Amount | None = Field(
        None, description="more for each kilogram fetched, turned, turned over, pushed up or cleared off"
    )
    two_person: Amount | None = Field(None, description="factor where two people are needed")
    dress_per_m: Amount | None = Field(
        None, deprecated=True, description="name of scrape_per_m in the first edition, still read"
    )


class PricesTable(Table):
    """What things cost, in the job's currency; what is left out is left out of the quotation, and it says so."""

    per_hour: Amount | None = Field(None, description="an hour at the rig")
    per_kwh: Amount | None = Field(None, description="a kilowatt-hour of power")
    per_m3_air: Amount | None = Field(None, description="a cubic metre of free air")
    compressor_kw_per_m3_min: Amount | None = Field(
        None, description="in its place: power that the compressor draws for 1 m3/min of free air [kW]"
    )
    tip_price: Amount | None = Field(None, description="a tip")
    tip_starts: Positive | None = Field(None, description="starts that a tip stands; left out: 200")
    tip_hours: Positive | None = Field(None, description="arc hours that a tip stands; left out: 3")
    electrode_price: Amount | None = Field(None, description="an electrode")
    electrode_starts: Positive | None = Field(None, description="starts that an electrode stands; left out: 200")
    electrode_hours: Positive | None = Field(None, description="arc hours that an electrode stands; left out: 3")
    scrap_per_kg: Amount | None = Field(None, description="what a kilogram of scrap brings back")
    markup: Amount | None = Field(None, description="what goes on all the rest [percent]")
    efficiency: Share | None = Field(None, description="of the power source, 0 to 1; left out: 0.85")
    credit_offcuts: bool = Field(
        False, description="true: offcuts kept are taken off at their share of the plate's price"
    )
    wear: Literal["sum", "max"] = Field(
        "sum", description="shares of life by starts and by arc hours: added up, or the greater of the two"
    )


class RigTable(Table):
    """A rig profile; keys left out come from the built-in profile and are marked `assumed` on the sheet."""

    schema_: Literal["stripplan/rig/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="name of the rig")
    units: Units | None = Field(None, description="of bare numbers; left out: mm, or the units of the job it stands in")
    stroke: Size | None = Field(None, description="farthest that the end stop can be set, from home")
    lead_in: Length | None = Field(None, description="travel from home to the start line")
    overrun: Length | None = Field(None, description="travel after the torch has left the metal")
    overrun_max: Length | None = Field(None, description="greatest overrun, so that one end stop serves several cuts")
    fence_min: Length | None = Field(None, description="least offset from fence face to torch centreline")
    fence_max: Size | None = Field(None, description="greatest offset from fence face to torch centreline")
    fence_zero: Signed | None = Field(None, description="offset = fence_zero + fence_scale * reading")
    fence_scale: Positive | None = Field(None, description="offset = fence_zero + fence_scale * reading")
    fence_step: Size | None = Field(None, description="what the fence's scale can be read to")
    fence_u: Length | None = Field(
        None, description="standard uncertainty of what the fence's scale means; left out: not measured"
    )
    fence_repeat: Length | None = Field(
        None, description="standard deviation of one setting of the fence; left out: not measured"
    )
    fence_angle: Number | None = Field(
        None, description="how far the fence is out of parallel to the travel [deg]; left out: not measured"
    )
    end_stop_min: Length | None = Field(None, description="nearest end stop, from home")
    end_stop_step: Size | None = Field(None, description="steps that the end stop can be set in")
    square_side: Literal["fence", "far", "equal"] | None = Field(
        None, description="side of the kerf whose edge comes out square; fence = right of the travel"
    )
    narrowest_offcut: Length | None = Field(None, description="least metal beside a kerf; 0 switches the rule off")
    two_pass: bool | None = Field(None, description="may a cut be made half from each end")
    two_pass_overlap: Length | None = Field(None, description="by how much the halves overlap")
    marked: bool | None = Field(None, description="may a cut out of the fence's reach be marked out by hand")
    mitre_min: Degrees | None = Field(None, description="least angle of the mitre bar to the travel [deg]")
    mitre_max: Degrees | None = Field(None, description="greatest angle of the mitre bar to the travel [deg]")
    mitre_stop_zero: Signed | None = Field(None, description="where the stop of the mitre bar has its zero")
    mitre_stop_max: Length | None = Field(None, description="farthest that this stop can be set")
    piece_mass_max: Positive | None = Field(None, description="heaviest piece on the rig [kg]; left out: no limit")
    two_person_mass: Amount | None = Field(None, description="above it a piece is for two people or a hoist [kg]")
    two_person_length: Length | None = Field(None, description="longer pieces count as such from 0.6 of that mass")
    turn_over_mass_max: Positive | None = Field(
        None, description="heaviest piece that two people turn over [kg]; left out: twice two_person_mass"
    )
    hoist: bool | None = Field(None, description="true: a hoist turns over what is heavier")
    narrowest_part: Length | None = Field(
        None, description="least width of a part; left out: 1.5 times the thickness or two kerfs, whichever is more"
    )
    slot_width: Length | None = Field(
        None, description="widest gap of the bed that a piece may lie over; left out: not known"
    )
    bed_length: Size | None = Field(None, description="longest piece along the travel; left out: no limit")
    bed_before: Length | None = Field(
        None, description="how much of it may lie behind the start line; left out: no limit"
    )
    far_max: Size | None = Field(
        None, description="widest piece beside the torch, away from the fence; left out: no limit"
    )
    travel_min: Speed | None = Field(None, description="slowest cutting speed")
    travel_max: Speed | None = Field(None, description="fastest cutting speed")
    return_speed: Speed | None = Field(
        None,
        description="on the way home, arc off; left out: what the notebook's drive and timed runs give, else travel_max",
    )
    pre_flow: Amount | None = Field(None, description="air before the arc [s]")
    post_flow: Amount | None = Field(None, description="air after the arc [s]")
    post_flow_returning: bool | None = Field(
        None, description="true: the carriage runs home while that air still flows"
    )
    pilot_limit: Amount | None = Field(None, description="longest that the arc may burn in air [s]")
    dial: list[Mark] | None = Field(None, max_length=1000, description="measured speeds of the dial: [mark, speed] ...")
    process: Annotated[list[ProcessTable], Field(min_length=1, max_length=1000)] | None = Field(
        None, description="how each material and thickness is cut; left out: the built-in ones"
    )
    seconds: SecondsTable | None = Field(None, description="how long each kind of set-up takes [s]")
    prices: PricesTable | None = Field(None, description="what things cost; left out: no quotation")
    notebook: Name | None = Field(
        None, description="file beside this one with what was measured; its figures go before those given here"
    )


class JobTable(Table):
    """A job: what to make, from what, on which rig."""

    schema_: Literal["stripplan/job/1"] | None = Field(None, alias="schema", description="what this file is")
    name: Name | None = Field(None, description="name of the job; left out: the file's name")
    units: Units = Field("mm", description="of bare numbers, and of what is shown")
    inch_fraction: Literal[16, 32, 64] = Field(32, description="inches are shown to the nearest 1/16, 1/32 or 1/64")
    currency: Annotated[str, Field(max_length=20)] = Field("", description="shown beside costs")
    rig: str | RigTable | None = Field(
        None,
        description="a file beside the job, a profile's name, or a table of overrides; left out: the built-in profile",
    )
    cut_list: FileName | ListTable | Annotated[list[FileName | ListTable], Field(max_length=MOST_LISTS)] | None = Field(
        None,
        description="lists of further parts: a file beside the job file (CSV, .xlsx, .dxf, .svg), a table that also says"
        " how it is read, or several of these",
    )
    plate: list[PlateTable] = Field(default_factory=list, max_length=MOST_ENTRIES, description="what it is made from")
    part: list[PartTable] = Field(default_factory=list, max_length=MOST_ENTRIES, description="what is made")
    options: OptionsTable = Field(
        default_factory=lambda: OptionsTable.model_validate({}), description="what is wanted of the plan"
    )


# --- JSON Schema ----------------------------------------------------------------------------------------------------


def job_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file."""
    return _schema(JobTable, JOB_SCHEMA)


def rig_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file."""
    return _schema(RigTable, RIG_SCHEMA)


def _schema(model: type[BaseModel], name: str) -> dict[str, Any]:
    from stripplan.files.toml.json_schema import described

    return described(model, name, {RigTable: Rig(), SecondsTable: Seconds()})
