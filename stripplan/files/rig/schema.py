"""The shape of rig files (schema stripplan/rig/1), with pydantic.

The models take a file's tables as they were read and give lengths in mm, speeds in mm/min. A key left out is None: what
stands for it is said by the built-in profile.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from stripplan.files.toml.quantities import (
    Amount,
    BarStep,
    Count,
    Day,
    Degrees,
    Length,
    Name,
    Number,
    Percent,
    Positive,
    Pressure,
    Share,
    Signed,
    Size,
    Speed,
    Tilt,
)
from stripplan.files.toml.table import Table, Units
from stripplan.model.rig import Rig, Seconds

RIG_SCHEMA = "stripplan/rig/1"

Rating = Annotated[tuple[Positive, Percent], Field(strict=False)]
TiltRow = Annotated[tuple[Tilt, Signed], Field(strict=False)]
Mark = Annotated[tuple[Number, Speed], Field(strict=False)]


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
    tilt: Amount | None = Field(None, description="tilting the torch to another angle")
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
    mitre_step: BarStep | None = Field(
        None, description="steps that the angle of the mitre bar is set in [deg]; left out: half a degree assumed"
    )
    mitre_stop_zero: Signed | None = Field(None, description="where the stop of the mitre bar has its zero")
    mitre_stop_max: Length | None = Field(None, description="farthest that this stop can be set")
    tilt_max: Tilt | None = Field(
        None, description="how far the torch can be tilted for bevels [deg]; left out: 0, not at all"
    )
    tilt_pivot: Length | None = Field(
        None, description="height above the plate of the point that the torch tilts about; left out: 0, the plate's top"
    )
    tilt_shift: list[TiltRow] | None = Field(
        None,
        max_length=100,
        description="measured: [tilt in degrees, how much farther from the fence the torch then strikes] ...",
    )
    tilt_u: Amount | None = Field(None, description="standard uncertainty of a tilt [deg]; left out: not measured")
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
        description="on the way home, arc off; left out: what the notebook's drive and timed runs give, "
        "else travel_max",
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


BUILT_IN: dict[type[BaseModel], Rig | Seconds] = {RigTable: Rig(), SecondsTable: Seconds()}
"""What stands for keys that are left out."""


def rig_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file."""
    from stripplan.files.toml.json_schema import described  # few runs ask for it

    return described(RigTable, RIG_SCHEMA, BUILT_IN)
