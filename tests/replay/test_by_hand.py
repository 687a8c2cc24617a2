"""Plans written by hand pass; each rule finds the fault that it is there for; no changed figure goes unnoticed."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import stripplan.replay
from stripplan import plan
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.replay.verdict import replay
from tests.checking import examples
from tests.replay.by_hand import PART, SOUND

Path_ = tuple[Any, ...]
Change = Callable[[dict[str, Any]], None]


@cache
def record_of(specimen: str) -> dict[str, Any]:
    """A sound plan as plain tables; copy before changing."""
    return to_record(SOUND[specimen]())  # type: ignore[no-any-return]


def at(path: str, value: Any) -> Change:
    """Put a value at a dotted path; list places are numbers."""

    def change(record: dict[str, Any]) -> None:
        *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
        inner: Any = record
        for step in steps:
            inner = inner[step]
        inner[last] = value

    return change


def both(*changes: Change) -> Change:
    """Several changes, one after the other."""

    def change(record: dict[str, Any]) -> None:
        for each in changes:
            each(record)

    return change


def swap_cuts(record: dict[str, Any]) -> None:
    """Exchange the first two cuts in the order of work."""
    one, two = record["cuts"][:2]
    record["cuts"][:2] = [{**two, "number": 1}, {**one, "number": 2}]


def again(key: str) -> Change:
    """Append a copy of the last thing of a list."""
    return lambda record: record[key].append(copy.deepcopy(record[key][-1]))


def gone(key: str) -> Change:
    """Take the last thing of a list away."""
    return lambda record: record[key].pop()


DEAR: dict[str, Any] = {
    "job": "", "currency": "", "total": 90.0, "left_out": [], "how": "",
    "lines": [{"what": "time", "quantity": 2.0, "unit": "h", "price": 45.1, "amount": 90.0, "how": "",
     "assumed": False}],
    "parts": [{"name": "bar", "made": 1, "each": 90.0, "total": 90.0, "amounts": [90.0]}],
}  # fmt: skip
"""A quotation whose line is not quantity times price."""

TRUE: dict[str, Any] = {
    "of": "width", "likely": 0.001, "worst": 0.001, "doubts": [], "classes": "", "asked": None, "met": None,
    "advice": "",
}  # fmt: skip
"""An accuracy that no fence has."""

STRAIGHT: dict[str, Any] = {
    "piece": "P1-2", "bow": 2.5, "low": 1.25, "high": 5.0, "hot_edges": 1, "limit": 1.2, "calibrated": False,
    "beyond_model": False,
    "remedy": "",
}  # fmt: skip
"""A bow that is not the one that the model has for a strip of 1000 x 50 mm, 2.55 mm."""

OFFCUT_AWAY = both(at("cuts.0.makes.1", None), gone("pieces"))

FAULTS: list[tuple[str, str, Change]] = [
    ("schema", "one strip", at("schema", "another/1")),
    ("number", "one strip", at("cuts.0.length", float("nan"))),
    ("broken", "one strip", at("cuts.0.plate", "P9")),
    ("mitre_flag", "one strip", at("cuts.0.setup.mitre", True)),
    ("accuracy", "one strip", at("parts.0.accuracy", [TRUE])),
    ("bow", "one strip", at("parts.0.bow", {**STRAIGHT, "bow": 3.5})),
    ("warning", "one strip", at("warnings", [{"code": "pilot", "about": "air", "text": "The arc burns in air."}])),
    ("empty", "uncut", at("plates", [])),
    ("numbers", "pushed up", at("cuts.1.number", 7)),
    ("same_id", "pushed up", again("pieces")),
    ("cut_twice", "pushed up", again("cuts")),
    ("made_twice", "pushed up", again("cuts")),
    ("roots", "pushed up", at("pieces.1.parent", None)),
    ("no_plate", "one strip", at("plates.0.length", 0.0)),
    ("plate", "one strip", at("cuts.0.plate", "P9")),
    ("parent", "pushed up", at("pieces.3.parent", "P1-1")),
    ("kind", "pushed up", at("pieces.2.kind", "plate")),
    ("cut_again", "pushed up", at("pieces.2.kind", "offcut")),
    ("not_cut", "one strip", at("pieces.2.kind", "blank")),
    ("not_made", "one strip", both(again("pieces"), at("pieces.3.id", "P1-4"))),
    ("no_piece", "pushed up", swap_cuts),
    ("no_line", "one strip", at("cuts.0.line", [[5.0, 5.0], [5.0, 5.0]])),
    ("no_setting", "one strip", at("cuts.0.edge_on_fence", None)),
    ("unknown_piece", "one strip", at("cuts.0.makes.0", "P1-9")),
    ("outline", "one strip", at("pieces.1.outline.2.1", 50.5)),
    ("lost", "one strip", OFFCUT_AWAY),
    ("line", "one strip", at("cuts.0.fence_offset", 51.0)),
    ("line", "one strip", at("cuts.0.line.1.0", 990.0)),
    ("length", "one strip", at("cuts.0.length", 999.0)),
    ("travel", "one strip", at("cuts.0.line", [[1000.0, 50.75], [0.0, 50.75]])),
    ("outline", "two passes", at("cuts.1.makes", ["P1-5", "P1-4"])),
    ("sliver", "half missed", at("rig.narrowest_offcut", 5.0)),
    ("sliver", "trimmed", at("rig.narrowest_offcut", 11.0)),
    ("datum", "one strip", at("cuts.0.edge_on_fence.0.0", 20.0)),
    ("datum_fresh", "pushed up", at("cuts.1.setup.dress", [])),
    ("dress", "pushed up", at("cuts.1.setup.dress.0.edge.1.0", 900.0)),
    ("leading", "one strip", at("cuts.0.passes.0.leading.1.1", 40.0)),
    ("entry", "one strip", at("cuts.0.passes.0.leading", [[1000.0, 0.0], [1000.0, 300.0]])),
    ("entry", "two passes", at("cuts.0.passes.1.leading", [[0.0, 0.0], [0.0, 300.0]])),
    ("leading_fresh", "one strip", both(at("plates.0.edges.3", "cut"), at("job.plates.0.edges.3", "cut"))),
    ("leading_fresh", "two passes", both(at("plates.0.edges.1", "cut"), at("job.plates.0.edges.1", "cut"))),
    ("corner", "one strip", at("cuts.0.passes.0.corner_at", 5.0)),
    ("marked", "marked", at("rig.marked", False)),
    ("marks", "marked", at("cuts.0.marks.edge.1.0", 900.0)),
    ("marks", "marked", at("cuts.0.marks.from", [10.0, 0.0])),
    ("marks", "marked", at("cuts.0.marks.along.1", 1010.0)),
    ("marks", "marked", at("cuts.0.marks.distance", [150.7, 150.8])),
    ("line", "marked", at("cuts.0.marks.distance", [151.75, 151.75])),
    ("located", "marked", at("cuts.0.fence_offset", 50.0)),
    ("located", "one strip", at("cuts.0.located", "mitre")),
    ("located", "one strip", at("cuts.0.fence_reading", None)),
    ("reading", "one strip", at("cuts.0.fence_reading", 52.0)),
    ("reading_error", "one strip", at("cuts.0.reading_error", -0.25)),
    ("scale", "one strip", both(at("cuts.0.fence_reading", 50.8), at("cuts.0.reading_error", 0.05))),
    ("reach", "one strip", at("rig.fence_max", 50.0)),
    ("reach", "one strip", at("rig.fence_min", 51.0)),
    ("end_stop", "one strip", at("cuts.0.passes.0.end_stop", 1015.0)),
    ("end_stop", "one strip", at("cuts.0.passes.0.end_stop", 1021.0)),
    ("end_stop", "two passes", at("cuts.0.passes.0.end_stop", 520.0)),
    ("overrun", "one strip", at("cuts.0.passes.0.end_stop", 1075.0)),
    ("stroke", "one strip", at("rig.stroke", 1019.0)),
    ("pass", "one strip", at("cuts.0.passes.0.length", 900.0)),
    ("pass", "one strip", at("cuts.0.passes", [])),
    ("two_pass", "two passes", at("rig.two_pass", False)),
    ("two_pass", "two passes", at("rig.stroke", 1500.0)),
    ("overlap", "two passes", at("cuts.0.passes.0.length", 502.0)),
    ("face", "two passes", at("cuts.0.passes.1.face_up", True)),
    ("kerf", "one strip", at("cuts.0.kerf", 1.6)),
    ("kerf", "one strip", at("rig.processes.0.kerf", 1.7)),
    ("travel_speed", "one strip", at("rig.travel_max", 500.0)),
    ("piece_mass", "one strip", at("rig.piece_mass_max", 14.0)),
    ("turn_over_mass", "two passes", lambda record: record["rig"].update(hoist=False, turn_over_mass_max=14.0)),
    ("bed", "one strip", at("rig.bed_length", 999.0)),
    ("far", "one strip", at("rig.far_max", 248.0)),
    ("fence_flag", "pushed up", at("cuts.1.setup.fence", True)),
    ("fence_flag", "stays on fence", at("cuts.1.setup.fence", False)),
    ("stop_flag", "pushed up", at("cuts.1.setup.end_stop", True)),
    ("fetch", "pushed up", at("cuts.1.setup.fetch", True)),
    ("turn_over", "two passes", at("cuts.1.setup.turn_over", True)),
    ("turns", "two passes", at("cuts.2.setup.quarter_turns", 3)),
    ("turns", "one strip", at("cuts.0.setup.quarter_turns", 4)),
    ("stock", "one strip", at("job.plates.0.quantity", 0)),
    ("stock", "one strip", at("plates.0.stock", "rack")),
    ("plate_size", "one strip", at("job.plates.0.thickness", 5.0)),
    ("plate", "one strip", at("plates.0.edges.0", "dressed")),
    ("cost", "one strip", at("plates.0.cost", 19.0)),
    ("process", "one strip", at("plates.0.process", "gas")),
    ("process", "one strip", at("rig.processes.0.thickness", 8.0)),
    ("mass", "one strip", at("pieces.1.mass", 2.4)),
    ("mass", "one strip", at("plates.0.mass", 14.0)),
    ("parts", "one strip", at("parts", [])),
    ("made", "pushed up", at("parts.0.made", 2)),
    ("wanted", "pushed up", at("parts.0.wanted", 2)),
    ("filler", "pushed up", at("parts.0.filler", True)),
    ("short", "pushed up", at("job.parts.0.quantity", 4)),
    ("too_many", "pushed up", at("job.parts.0.quantity", 2)),
    ("size_wanted", "one strip", at("parts.0.size_wanted.0", 51.0)),
    ("size", "one strip", at("job.parts.0.width", 49.0)),
    ("size", "one strip", at("job.parts.0.allowance", 0.5)),
    ("left_over_size", "one strip", both(at("job.parts.0.width", 48.0), at("job.parts.0.tolerance", 2.0))),
    ("part", "one strip", at("pieces.2.part", "bar")),
    ("unknown_part", "one strip", at("pieces.1.part", "plank")),
    ("material", "one strip", at("job.parts.0.thickness", 8.0)),
    ("pin", "one strip", at("job.parts.0.plate", "another")),
    ("rolling", "one strip", both(at("job.parts.0.rolling", "width"), at("job.plates.0.rolling", "length"))),
    ("rolling", "two passes", both(at("job.parts.1.length", 197.0), at("job.parts.1.width", 200.0),
                                   at("job.parts.1.rotate", False))),
    ("trim", "one strip", at("job.options.trim", 10.0)),
    ("square", "trimmed", at("job.parts.0.square", "long")),
    ("square", "two passes", both(at("rig.square_side", "far"), at("job.parts.0.square", "long"))),
    ("minutes", "one strip", at("cuts.0.minutes.arc", 2.0)),
    ("minutes", "one strip", at("cuts.0.minutes.return", 0.0)),
    ("minutes", "one strip", at("cuts.0.minutes.push", -1.0)),
    ("minutes", "one strip", at("cuts.0.minutes.turn_over", 1.0)),
    ("minutes", "one strip", at("cuts.0.rest_before", 1.0)),
    ("totals", "one strip", at("totals.scrap_area", 10.0)),
    ("minutes", "one strip", at("cuts.0.minutes.fence", 1.0)),
    ("minutes", "marked", at("cuts.0.minutes.fence", 0.0)),
    ("minutes", "stays on fence", at("cuts.1.minutes.fence", 0.7)),
    ("minutes", "stays on fence", at("cuts.1.minutes.end_stop", 0.4)),
    ("minutes", "two passes", at("cuts.2.minutes.end_stop", 0.4)),
    ("minutes", "two passes", at("cuts.2.minutes.quarter_turn", 0.25)),
    ("minutes", "two passes", at("cuts.0.minutes.turn_over", 0.5)),
    ("minutes", "one strip", at("cuts.0.minutes.fetch", 0.75)),
    ("minutes", "pushed up", at("cuts.1.minutes.push", 0.0)),
    ("minutes", "pushed up", at("cuts.1.minutes.dress", 0.0)),
    ("minutes", "two passes", at("cuts.0.minutes.dress", 0.0)),
    ("minutes", "pushed up", at("cuts.1.minutes.clear", 0.0)),
    ("minutes", "one strip", at("cuts.0.minutes.mitre", 1.0)),
    ("two_person", "one strip", at("rig.two_person_mass", 14.0)),
    ("two_person", "one strip", at("cuts.0.setup.two_person", True)),
    ("push", "pushed up", at("cuts.1.setup.push", False)),
    ("push", "one strip", at("cuts.0.setup.push", True)),
    ("clear", "pushed up", at("cuts.1.setup.clear", False)),
    ("clear", "one strip", at("cuts.0.setup.clear", True)),
    ("travel_speed", "one strip", both(at("cuts.0.travel_speed", 500.0), at("cuts.0.minutes.arc", 1020 / 500))),
    ("dial", "one strip", at("cuts.0.dial", 5.0)),
    ("dial", "one strip", both(at("rig.dial", [[1.0, 100.0], [6.0, 600.0]]), at("cuts.0.dial", 5.9))),
    ("size_expected", "one strip", at("parts.0.size_expected", [[50.0, 1000.0]])),
    ("size_expected", "one strip", at("parts.0.size_expected", [[50.25, 1000.0], [51.0, 1000.0]])),
    ("size_expected", "stays on fence", at("parts.0.size_expected.1.0", 50.25)),
    ("tolerance", "stays on fence", at("parts.0.tolerance_expected.0", 0.25)),
    ("tolerance", "marked", at("parts.0.tolerance_expected.1", 0.5)),
    ("rests_on_plate_size", "uncut", both(at("job.plates.0.measured", False), at("plates.0.measured", False))),
    ("settings", "trimmed", at("settings.trim", 9.0)),
    ("settings", "one strip", at("settings.keep", [200.0, 100.0])),
    ("same_name", "one strip", lambda record: record["job"]["parts"].append(record["job"]["parts"][0])),
    ("same_name", "one strip", lambda record: record["job"]["plates"].append(record["job"]["plates"][0])),
    ("trim", "trimmed", at("rig.narrowest_offcut", 11.0)),
    ("keep", "one strip", at("pieces.2.kind", "scrap")),
    ("keep", "one strip", at("job.options.keep", [300.0, 250.0])),
    ("area", "pushed up", gone("pieces")),
    ("proof", "one strip", at("proof.plates.found", 2)),
    ("quotation", "one strip", lambda record: record.update(quotation=DEAR)),
    ("proof", "one strip", at("proof.cost.bound", 21.0)),
    ("proof", "one strip", at("proof.cost.bound", 19.0)),
    ("duty", "pushed up", at("rig.processes.0.duty", [[40.0, 20.0]])),
    ("edition", "as once", at("cuts.0.setup.dry_run", True)),
    ("edition", "as once", at("cuts.1.minutes.process", 2.0)),
    ("edition", "as once", at("totals.finish_metres", 3.397)),
    ("runs", "as once", lambda record: record.update(runs=record_of("two passes")["runs"][:1])),
    ("minutes", "as once", at("cuts.0.minutes.dress", 0.0)),
    ("minutes", "pushed up as once", at("cuts.1.minutes.push", 0.3)),
    ("minutes", "pushed up as once", at("cuts.1.minutes.clear", 0.3)),
    ("push", "pushed up as once", at("cuts.1.setup.push", False)),
    ("warning", "stays on fence as once",
     at("warnings", [{"code": "unequal", "about": "bar", "text": "Pieces differ."}])),
    ("edition", "pushed up", at("stripplan_version", "0.1.0")),
    ("dry_run", "pushed up as once", at("stripplan_version", "0.2.0")),
    ("minutes", "heavy", at("cuts.1.minutes.push", (12 + 0.5 * 11.70435) / 60)),
    ("minutes", "heavy", at("rig.two_person_mass", 13.0)),
    ("minutes", "pushed up", at("cuts.1.minutes.clear", 9 / 60)),
    ("minutes", "pushed up", at("cuts.0.minutes.dry_run", 0.0)),
    ("minutes", "pushed up", at("cuts.1.minutes.process", 2.0)),
    ("push", "stays on fence", at("cuts.1.setup.push", False)),
    ("push", "two passes", at("cuts.2.setup.push", True)),
    ("process_flag", "one strip", at("cuts.0.setup.process", False)),
    ("process_flag", "pushed up", at("cuts.1.setup.process", True)),
    ("dry_run", "one strip", at("cuts.0.setup.dry_run", False)),
    ("dry_run", "pushed up", at("cuts.1.setup.dry_run", True)),
    ("reading", "pushed up", both(at("cuts.1.fence_reading", 50.5), at("cuts.1.reading_error", -0.25))),
    ("totals", "one strip", at("totals.process_changes", 1)),
    ("totals", "two passes", at("totals.finish_metres", 3.2)),
    ("totals", "two passes", at("job.options.finish", True)),
    ("runs", "pushed up", at("runs", [])),
    ("runs", "two passes", gone("runs")),
    ("runs", "two passes", again("runs")),
    ("runs", "two passes", at("runs.0.cuts.1", 3)),
    ("runs", "two passes", at("runs.0.count", 3)),
    ("runs", "two passes", at("runs.1.parts", ["bar"])),
    ("runs", "two passes", at("runs.1.end_stop", 515.0)),
    ("runs", "marked", at("runs.0.fence_reading", 151.0)),
    ("runs", "one strip", at("runs.0.process", "gas")),
    ("runs", "one strip", at("runs.0.plate", "P2")),
    ("other_order", "one strip", at("other_order", {"fence_settings": -1, "minutes": 5.0, "differ": 0.5})),
    ("other_order", "one strip", at("other_order", {"fence_settings": 1, "minutes": 0.0, "differ": 0.5})),
    ("jobs", "one strip", at("together", {"total": 1.0, "alone": [], "in_due_order": False})),
    ("warning", "stays on fence", at("warnings", [])),
    ("warning", "one strip", at("rig.assumed", ["stroke"])),
    ("warning", "one strip", at("rig.slot_width", 1001.0)),
    ("warning", "one strip", at("rig.processes.0.estimated", True)),
    ("warning", "two passes", at("rig.two_person_mass", 14.0)),
    ("warning", "one strip", at("warnings", [{"code": "narrow", "about": "bar", "text": "It is narrow."}])),
    ("warning", "one strip", at("warnings", [{"code": "bow_not_known", "about": "air", "text": "Nobody knows."}])),
    ("narrowest_part", "one strip", at("rig.narrowest_part", 51.0)),
    ("warning", "pushed up", at("warnings", [{"code": "unequal", "about": "bar", "text": "Pieces differ."}])),
    ("warning", "pushed up", at("warnings", [{"code": "size_class", "about": "bar", "text": "Out of class."}])),
    ("warning", "pushed up", at("warnings", [{"code": "unequal", "about": "plank", "text": "Pieces differ."}])),
    ("warning", "pushed up", at("job.parts.0.plus_minus", 0.2)),
    ("left_over_size", "one strip", at("job.parts.0", {**PART, "width": 48.0, "tolerance": 2.0})),
    ("warning", "half missed", at("warnings", [])),
    ("edge_bow", "half missed", at("cuts.1.edge_bow", 2.2)),
    ("edge_bow", "half missed", both(at("cuts.1.edge_bow", 2.368), at("cuts.0.edge_bow", 0.592))),
    ("edge_bow", "half missed", at("warnings.0.facts", {"cuts": [2]})),
    ("total", "one strip", at("total", {"currency": "kg", "plates": 1.0, "minute": 0.5, "minute_from": "assumed",
     "hands": 0.0, "offcuts": 0.0, "total": 1.0, "bound": 0.0, "how": "by hand"})),
]  # fmt: skip
"""Code, sound plan, what is changed in it."""


def findings(record: dict[str, Any]) -> list[Any]:
    """What the replay finds; each finding is a whole sentence about something, and none is said twice."""
    found = replay(from_record(Plan, record))
    assert all(each.text.endswith(".") and each.about for each in found)
    assert len({(each.code, each.about) for each in found}) == len(found)
    return list(found)


@pytest.mark.parametrize("specimen", SOUND)
def test_plans_written_by_hand_are_sound(specimen: str) -> None:
    """Nothing is found in a plan whose figures were worked out on paper."""
    assert findings(record_of(specimen)) == []


@pytest.mark.parametrize(("code", "specimen", "change"), FAULTS, ids=[f"{n} {row[0]}" for n, row in enumerate(FAULTS)])
def test_each_fault_is_named(code: str, specimen: str, change: Change) -> None:
    """A fault put into a sound plan is found under the code of its rule."""
    record = copy.deepcopy(record_of(specimen))
    change(record)
    assert code in {each.code for each in findings(record)}


def test_an_edge_that_has_bowed_is_told_at_its_cut() -> None:
    """C (L/w)^2 = 0.00604 (1000/50.5)^2 = 2.37 mm where the edge on the fence was cut and the other was not; a plan of
    before that says nothing of it is as sound."""
    record = copy.deepcopy(record_of("half missed"))
    assert not findings(record)
    record["cuts"][1]["edge_bow"] = 2.368
    assert not findings(record)


def test_each_code_has_a_fault_of_its_own() -> None:
    """Every code that the replay can give stands in a list of faults: the one above, of cuts at an angle, of bevels."""
    from tests.replay import test_aslant, test_bevels

    sources = "".join(path.read_text(encoding="utf-8") for path in Path(stripplan.replay.__path__[0]).rglob("*.py"))
    codes = set(re.findall(r"(?:Finding|note)\(\s*\"([a-z_]+)\"", sources))
    assert codes == {code for code, _, _ in (*FAULTS, *test_aslant.FAULTS, *test_bevels.FAULTS)}


@pytest.mark.parametrize(
    ("specimen", "change", "codes"),
    [
        ("pushed up", at("cuts.0.fence_offset", 51.5), {"line", "reading"}),
        ("pushed up", at("pieces.2.outline.0.1", 51.0), {"outline"}),
        ("pushed up", at("cuts.0.piece", "P1-9"), {"no_piece", "not_cut", "parent", "fetch"}),
        ("two passes", at("cuts.2.setup.quarter_turns", 4), {"turns"}),
        ("stays on fence", at("cuts.0.passes.0.corner_at", 1.0), {"corner"}),
        ("pushed up", at("pieces.4.mass", 9.9), {"mass"}),
    ],
)
def test_one_fault_does_not_drag_others_along(specimen: str, change: Change, codes: set[str]) -> None:
    """A fault of the first cut or of one piece is not found again in all that comes after it."""
    record = copy.deepcopy(record_of(specimen))
    change(record)
    assert {each.code for each in findings(record)} <= codes
    assert len(findings(record)) <= 4


def test_one_mistake_in_many_cuts_is_told_shortly() -> None:
    """Of many findings of one kind the first are told in full and the others in one sentence that names them."""
    record = copy.deepcopy(record_of("pushed up"))
    record["plates"] = [{**record["plates"][0], "id": f"P{n}", "cost": 5.0} for n in range(1, 41)]
    told = [each for each in findings(record) if each.code == "cost"]
    assert [each.about for each in told] == ["P1", "P2", "P3", "37 more"]
    assert "P4, P5" in told[-1].text


def test_end_of_a_narrow_strip_is_no_sliver() -> None:
    """A part may be narrower than the narrowest offcut, and so is then the scrap at the end of its strip."""
    made = plan(
        Job(
            name="pins",
            plates=(Plate(name="sheet", length=1000, width=500, thickness=6, material="Mild  steel"),),
            parts=(Rectangle(name="pin", width=4, length=100, quantity=20),),
            options=Options(aim="plate"),
        ),
        Rig(
            processes=(Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600),),
            narrowest_part=4,
        ),
    )
    sides = [(abs(p.outline[2][0] - p.outline[0][0]), abs(p.outline[2][1] - p.outline[0][1])) for p in made.pieces]
    assert any(min(size) < 5 for size, piece in zip(sides, made.pieces, strict=True) if piece.kind == "scrap")
    assert replay(made) == ()


def test_short_is_no_fault_where_it_is_allowed_and_said() -> None:
    """With `partial` and a warning that names the part, fewer than wanted is a sound plan."""
    record = copy.deepcopy(record_of("pushed up"))
    record["job"]["parts"][0]["quantity"] = record["parts"][0]["wanted"] = 4
    record["job"]["options"]["partial"] = True
    record["proof"]["plates"]["proven"] = record["proof"]["cost"]["proven"] = False
    record["warnings"] = [{"code": "stock_used_up", "about": "bar", "text": "One bar is not made."}]
    assert findings(record) == []


def test_over_size_is_no_fault_where_it_is_warned_of() -> None:
    """A surplus within the part's tolerance may stay, with the warning `left_over_size`."""
    record = copy.deepcopy(record_of("one strip"))
    record["job"]["parts"][0] |= {"width": 48.0, "tolerance": 2.0}
    record["parts"][0]["size_wanted"][0] = 48.0
    record["warnings"] = [{"code": "left_over_size", "about": "P1-2", "text": "bar stays 2 mm over."}]
    assert findings(record) == []


CHECKED = ("plates", "pieces", "cuts", "parts", "totals")
INFORMATIONAL = {"along"}
"""A mark may be scribed anywhere along its edge. Job, rig and settings are what was asked, not what is claimed;
a bound of the proof may be too low without being wrong. All else is checked."""


def numbers(value: Any, path: Path_ = ()) -> list[Path_]:
    """Paths of all numbers."""
    if isinstance(value, dict):
        return [found for key, each in value.items() for found in numbers(each, (*path, key))]
    if isinstance(value, list):
        return [found for n, each in enumerate(value) for found in numbers(each, (*path, n))]
    return [path] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


@given(data=st.data(), specimen=st.sampled_from(sorted(SOUND)), by=st.sampled_from([-3, 3, 40]))
@examples(75)
def test_no_changed_figure_goes_unnoticed(data: st.DataObject, specimen: str, by: int) -> None:
    """Any one figure of plates, pieces, cuts, parts and totals, changed by some millimetres, is found."""
    record = copy.deepcopy(record_of(specimen))
    paths = [path for key in CHECKED for path in numbers(record[key], (key,))]
    *steps, last = data.draw(st.sampled_from([path for path in paths if not INFORMATIONAL & set(path)]))
    inner: Any = record
    for step in steps:
        inner = inner[step]
    inner[last] += by
    assert findings(record)


def leaves(value: Any, path: Path_ = ()) -> list[Path_]:
    """Paths of everything, tables and lists as well."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [found for key, each in inner for found in ((*path, key), *leaves(each, (*path, key)))]


RUBBISH = [None, float("nan"), float("inf"), 0.0, -1.0, 1e300, "", "P1-3", [], {}, [[0.0, 0.0], [0.0, 0.0]], True]


@given(data=st.data(), specimen=st.sampled_from(sorted(SOUND)), times=st.integers(1, 4))
@examples(75)
def test_rubbish_never_stops_the_replay(data: st.DataObject, specimen: str, times: int) -> None:
    """Whatever is put anywhere into a plan that still has its shape, findings come back and no error."""
    record = copy.deepcopy(record_of(specimen))
    for _ in range(times):
        *steps, last = data.draw(st.sampled_from(leaves(record)))
        inner: Any = record
        for step in steps:
            inner = inner[step]
        inner[last] = copy.deepcopy(data.draw(st.sampled_from(RUBBISH)))
    try:
        made = from_record(Plan, record)
    except ValueError:
        return  # no plan at all: said when the file is read
    assert all(each.text for each in replay(made))


def test_pieces_that_come_out_of_each_other() -> None:
    """A circle of pieces ends in findings, not in an endless walk."""
    record = copy.deepcopy(record_of("pushed up"))
    record["cuts"][0]["piece"], record["pieces"][0]["parent"] = "P1-5", "P1-5"
    assert {"no_piece", "roots"} <= {each.code for each in findings(record)}


def test_faults_beside_a_figure_that_is_none_are_found_too() -> None:
    """Not-a-number in one cut is said once and does not hide the fault of another."""
    record = copy.deepcopy(record_of("pushed up"))
    record["cuts"][0]["length"] = float("nan")
    record["cuts"][2]["reading_error"] = -0.25
    assert [(each.code, each.about) for each in findings(record)] == [("number", "cut 1"), ("reading_error", "cut 3")]
