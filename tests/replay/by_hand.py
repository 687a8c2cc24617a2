"""Small plans written by hand: lines, offsets and stops are literal figures, worked out on paper.

Only what is a plain sum (masses, minutes, flags, totals) is filled in here, by formulas of its own.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from typing import Any

from stripplan.model.plan.older_editions import plan_from_record
from stripplan.model.plan.plan import SCHEMA, Plan
from stripplan.model.plan.record import from_record, to_record

Box = tuple[float, float, float, float]

RIG: dict[str, Any] = {
    "name": "bench rig", "stroke": 1500.0, "lead_in": 10.0, "overrun": 8.0, "overrun_max": 60.0,
    "fence_min": 5.0, "fence_max": 900.0, "fence_zero": 0.0, "fence_scale": 1.0, "fence_step": 0.5,
    "end_stop_min": 50.0, "end_stop_step": 5.0, "square_side": "fence", "narrowest_offcut": 5.0,
    "two_pass": True, "two_pass_overlap": 10.0, "marked": True, "piece_mass_max": None, "bed_length": None,
    "far_max": None, "travel_min": 50.0, "travel_max": 760.0, "return_speed": 4000.0, "pre_flow": 0.5,
    "post_flow": 3.0, "two_person_mass": 25.0, "two_person_length": 2000.0, "dial": [], "assumed": [],
    "hoist": True, "turn_over_mass_max": None, "narrowest_part": None, "slot_width": None,
    "seconds": {
        "fence": 42.0, "fence_per_mm": 0.06, "end_stop": 24.0, "end_stop_per_mm": 0.03, "mitre": 60.0,
        "quarter_turn": 15.0, "turn_over": 30.0, "fetch": 45.0, "push": 12.0, "clear": 9.0, "scrape_each": 4.0,
        "scrape_per_m": 11.0,
        "finish_per_m": 50.0, "process": 120.0, "per_kg": 0.5, "two_person": 2.0,
    },
    "processes": [
        {"name": "air", "material": "mild steel", "thickness": 6.0, "kerf": 1.5, "travel_speed": 600.0,
         "current": 40.0, "kerf_measured_on": "2026-01-02", "duty": [[40.0, 100.0]]}
    ],
}  # fmt: skip
"""Kerf 1.5 mm throughout."""

STOCK: dict[str, Any] = {
    "name": "sheet", "length": 1000.0, "width": 300.0, "thickness": 6.0, "material": "mild steel", "quantity": 1,
    "cost": 20.0, "price_per_kg": None, "offcut": False, "measured": True, "edges": ["mill"] * 4, "rolling": "none",
}  # fmt: skip

PART: dict[str, Any] = {
    "name": "bar", "width": 50.0, "quantity": 1, "thickness": 6.0, "material": "mild steel", "rolling": "free",
    "rotate": True, "allowance": 0.0, "tolerance": None, "square": "none",
}  # fmt: skip

KEEP = [300.0, 100.0]

WEST = [[0.0, 300.0], [0.0, 0.0]]


def rect(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    """Outline of a box, counter-clockwise."""
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def shoelace(outline: list[list[float]]) -> float:
    """Area [mm2] of an outline that runs counter-clockwise."""
    ends = zip(outline, [*outline[1:], outline[0]], strict=True)
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in ends) / 2


def piece(number: int, parent: int | None, kind: str, box: Box, part: str | None = None) -> dict[str, Any]:
    """One piece of plate P1, 6 mm mild steel of 7850 kg/m3."""
    mass = (box[2] - box[0]) * (box[3] - box[1]) * 6.0 * 7850e-9
    above = None if parent is None else f"P1-{parent}"
    return {
        "id": f"P1-{number}", "plate": "P1", "parent": above, "kind": kind, "part": part,
        "outline": rect(*box), "mass": mass,
    }  # fmt: skip


def fence_cut(
    number: int, of: int, makes: tuple[int | None, int | None], line: Any, edge: Any, offset: float, reading: float,
    passes: list[tuple[bool, Any, float, float]], **setup: Any,
) -> dict[str, Any]:  # fmt: skip
    """A cut by the fence; passes are (face up, leading edge, length, end stop)."""
    return {
        "number": number, "plate": "P1", "piece": f"P1-{of}",
        "makes": [None if each is None else f"P1-{each}" for each in makes],
        "line": line, "length": math.dist(*line), "kerf": 1.5, "located": "fence", "edge_on_fence": edge,
        "fence_offset": offset, "fence_reading": reading, "reading_error": reading - offset, "mitre": None,
        "marks": None, "travel_speed": 600.0, "dial": None, "rest_before": 0.0,
        "passes": [
            {"face_up": up, "leading": leading, "corner_at": 0.0, "length": length, "end_stop": stop}
            for up, leading, length, stop in passes
        ],
        "setup": {**setup, "dress": [{"edge": each} for each in setup.get("dress", [])]},
    }  # fmt: skip


def plan_of(
    pieces: list[dict[str, Any]], cuts: list[dict[str, Any]], parts: list[dict[str, Any]],
    sizes: dict[str, tuple[list[list[float]], list[float]]],
    runs: Sequence[tuple[Any, ...]] = (), metres: float = 0.0,
    *, rig: dict[str, Any] | None = None, stock: dict[str, Any] | None = None, trim: float = 0.0,
    warnings: tuple[tuple[str, str], ...] = (),
) -> Plan:  # fmt: skip
    """The plan of one plate, its sums filled in; `sizes` are the sizes to expect of each part and their plus-or-minus.

    `runs` are first and last cut, reading, stop and parts, `metres` the cut edges of the parts, `warnings` code and
    thing.
    """
    plate, whole = {**STOCK, **(stock or {})}, {**copy.deepcopy(RIG), **(rig or {})}
    _fill_minutes(cuts, {each["id"]: each["mass"] for each in pieces}, whole["two_person_mass"])
    options = {"trim": trim, "keep": KEEP, "partial": False, "general_class": "c", "finish": False}
    record = {
        "schema": SCHEMA, "stripplan_version": "0.2.0", "made_at": None,
        "job": {"name": "by hand", "plates": [plate], "parts": parts, "options": options},
        "rig": whole, "settings": {"trim": trim, "keep": KEEP},
        "plates": [
            {**{key: plate[key] for key in ("length", "width", "thickness", "material", "cost", "measured", "edges")},
             "id": "P1", "stock": "sheet", "kerf": 1.5, "process": "air",
             "mass": plate["length"] * plate["width"] * 6.0 * 7850e-9}
        ],
        "pieces": pieces, "cuts": cuts, "parts": [_part_line(part, pieces, *sizes[part["name"]]) for part in parts],
        "warnings": [{"code": code, "about": about, "text": f"Beware of {about}."} for code, about in warnings],
        "runs": [
            {"cuts": [first, last], "plate": "P1", "process": "air", "fence_reading": reading, "end_stop": stop,
             "parts": falling, "count": last - first + 1}
            for first, last, reading, stop, falling in runs
        ],
    }  # fmt: skip
    record["totals"] = {**_totals(record), "finish_metres": metres}
    record["proof"] = _proof(record["totals"])
    return from_record(Plan, record)


def _fill_minutes(cuts: list[dict[str, Any]], mass: dict[str, float], for_two: float) -> None:
    """42 s for the fence and 0.06 s for each mm it moves, and so on; the first setting moves from nowhere.
    Where two lift, all takes twice as long.
    """
    reading = stop = None
    on_bed: list[str] = []
    for cut in cuts:
        setup, passes = cut["setup"], cut["passes"]
        setup["process"], setup["dry_run"] = stop is None, any(each["end_stop"] != stop for each in passes)

        def moved_by_hand(base: float, name: str) -> float:
            return (base + mass[name] / 2) * (2 if mass[name] > for_two else 1)

        travel, two, own = sum(each["end_stop"] for each in passes), len(passes) == 2, cut["piece"]
        moved = abs(cut["fence_reading"] - reading) if reading is not None and cut["fence_reading"] else 0.0
        shifted = abs(passes[0]["end_stop"] - stop) if stop is not None else 0.0
        scraped = [math.dist(*each["edge"]) for each in setup["dress"]] + [passes[0]["length"]] * two
        away = sum(moved_by_hand(0, each) for each in on_bed if each != own)
        seconds = {
            "arc": travel / 10, "return": travel * 60 / 4000, "pre_flow": len(passes) * 0.5,
            "post_flow": len(passes) * 3,
            "fence": (42 + 0.06 * moved) * (setup.get("fence", False) or cut["located"] == "marked"),
            "mitre": 60 * setup.get("mitre", False),
            "end_stop": (24 + 0.03 * shifted) * setup.get("end_stop", False),
            "fetch": moved_by_hand(45, own) * setup.get("fetch", False),
            "quarter_turn": moved_by_hand(15, own) * (0, 1, 2, 1)[setup.get("quarter_turns", 0)],
            "turn_over": moved_by_hand(30, own) * two,
            "push": moved_by_hand(12, own) * setup.get("push", False), "clear": (9 + away) * setup.get("clear", False),
            "dress": sum(4 + 0.011 * length for length in scraped),
            "dry_run": passes[0]["end_stop"] * (60 / 760 + 60 / 4000) * setup["dry_run"],
        }  # fmt: skip
        cut["minutes"] = {cause: time / 60 for cause, time in seconds.items()}
        reading, stop = cut["fence_reading"] or reading, passes[-1]["end_stop"]
        on_bed = [each for each in cut["makes"] if each]


def first_edition(made: Plan) -> Plan:
    """A plan as the first edition of the program would have made it:
    pushing up 12 s, clearing away 9 s, dressing 36 s a metre; no runs, no dry runs.
    """
    record = to_record(made)
    seconds = record["rig"]["seconds"]
    for key in ("scrape_each", "scrape_per_m", "finish_per_m", "process"):
        del seconds[key]
    for key in ("hoist", "turn_over_mass_max", "narrowest_part", "slot_width"):
        del record["rig"][key]
    seconds["dress_per_m"] = 36.0
    for cut in record["cuts"]:
        setup, minutes, two = cut["setup"], cut["minutes"], len(cut["passes"]) == 2
        dressed = sum(math.dist(*each["edge"]) for each in setup["dress"]) + two * cut["passes"][0]["length"]
        minutes |= {
            "push": setup["push"] * 0.2,
            "clear": setup["clear"] * 0.15,
            "dress": dressed * 0.0006,
            "dry_run": 0.0,
        }
        setup |= {"process": False, "dry_run": False}
    for key in ("general_class", "finish"):
        del record["job"]["options"][key]
    record |= {"stripplan_version": "0.1.0", "runs": [], "warnings": []}
    record["totals"]["finish_metres"] = 0.0
    minutes_ = sum(sum(cut["minutes"].values()) for cut in record["cuts"])
    record["totals"]["minutes"] = record["proof"]["minutes"]["found"] = minutes_
    return plan_from_record(record)


def _part_line(
    part: dict[str, Any], pieces: list[dict[str, Any]], sizes: list[list[float]], spread: list[float]
) -> dict[str, Any]:
    return {
        "name": part["name"], "wanted": part["quantity"], "made": sum(each["part"] == part["name"] for each in pieces),
        "size_wanted": [part["width"], part.get("length")], "size_expected": sizes,
        "tolerance_expected": spread,
    }  # fmt: skip


def _totals(record: dict[str, Any]) -> dict[str, Any]:
    cuts, plate = record["cuts"], record["plates"][0]
    area = dict.fromkeys(("part", "offcut", "scrap"), 0.0)
    for each in record["pieces"]:
        if each["kind"] in area:
            area[each["kind"]] += shoelace(each["outline"])

    def flagged(key: str) -> int:
        return sum(bool(cut["setup"].get(key)) for cut in cuts)

    return {
        "plates": 1, "cost": plate["cost"], "arc_minutes": sum(cut["minutes"]["arc"] for cut in cuts),
        "minutes": sum(sum(cut["minutes"].values()) for cut in cuts), "starts": sum(len(cut["passes"]) for cut in cuts),
        "fence_settings": flagged("fence"), "end_stop_settings": flagged("end_stop"), "turns": flagged("quarter_turns"),
        "fetches": flagged("fetch"), "dressings": sum(len(cut["setup"]["dress"]) for cut in cuts),
        "plate_used": area["part"] / (plate["length"] * plate["width"]), "offcut_area": area["offcut"],
        "scrap_area": area["scrap"],
    }  # fmt: skip


def _proof(totals: dict[str, Any]) -> dict[str, Any]:
    return {
        "plates": {"found": 1, "bound": 1, "how": "one part needs a plate", "proven": True},
        "cost": {"found": totals["cost"], "bound": totals["cost"], "how": "one plate", "proven": True},
        "setups": {"found": totals["fence_settings"], "bound": 0},
        "minutes": {"found": totals["minutes"], "bound": totals["arc_minutes"]},
    }


def uncut() -> Plan:
    """The plate is the part."""
    whole = {**PART, "name": "cover", "width": 300.0, "length": 1000.0}
    sizes = {"cover": ([[300.0, 1000.0]], [0.0, 0.0])}
    return plan_of([piece(1, None, "part", (0, 0, 1000, 300), "cover")], [], [whole], sizes, [], 0.0)


def one_strip() -> Plan:
    """50 mm off the edge y = 0 of 300 mm: F = 50 + 0.75, stop 10 + 1000 + 8 rounded up to 1020. Read 51:
    0.25 mm wide.
    """
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 300)),
        piece(2, 1, "part", (0, 0, 1000, 50), "bar"),
        piece(3, 1, "offcut", (0, 51.5, 1000, 300)),
    ]
    line, edge = [[0.0, 50.75], [1000.0, 50.75]], [[0.0, 0.0], [1000.0, 0.0]]
    only = [(True, WEST, 1000.0, 1020.0)]
    cut = fence_cut(1, 1, (2, 3), line, edge, 50.75, 51.0, only, fence=True, end_stop=True, fetch=True)
    return plan_of(
        pieces, [cut], [PART], {"bar": ([[50.25, 1000.0]], [0.25, 0.0])}, [(1, 1, 51.0, 1020.0, ["bar"])], 1.0
    )


def pushed_up(rig: dict[str, Any] | None = None, **changes: Any) -> Plan:
    """Three strips, the rest pushed up to the fence each time with its fresh edge dressed:
    one setting, halfway between two marks, 0.25 mm wide.
    """
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 300)),
        piece(2, 1, "part", (0, 0, 1000, 50), "bar"),
        piece(3, 1, "blank", (0, 51.5, 1000, 300)),
        piece(4, 3, "part", (0, 51.5, 1000, 101.5), "bar"),
        piece(5, 3, "blank", (0, 103, 1000, 300)),
        piece(6, 5, "part", (0, 103, 1000, 153), "bar"),
        piece(7, 5, "offcut", (0, 154.5, 1000, 300)),
    ]
    cuts = []
    for number, (datum, of) in enumerate(((0.0, 1), (51.5, 3), (103.0, 5)), 1):
        line, edge = [[0.0, datum + 50.75], [1000.0, datum + 50.75]], [[0.0, datum], [1000.0, datum]]
        only = [(True, [[0.0, 300.0], [0.0, datum]], 1000.0, 1020.0)]
        setup = (
            {"push": True, "clear": True, "dress": [edge]}
            if of > 1
            else {"fence": True, "end_stop": True, "fetch": True, "two_person": rig is not None}
        )
        cuts.append(fence_cut(number, of, (of + 1, of + 2), line, edge, 50.75, 51.0, only, **setup))
    sizes = {"bar": ([[50.25, 1000.0]], [0.25, 0.0])}
    return plan_of(
        pieces, cuts, [{**PART, "quantity": 3, **changes}], sizes, [(1, 3, 51.0, 1020.0, ["bar"])], 5.0, rig=rig
    )


def heavy() -> Plan:
    """The same on a rig where two lift above 10 kg:
    the plate of 14.1 kg, the rests of 11.7 and 9.3 kg, the last on its own.
    """
    return pushed_up({"two_person_mass": 10.0})


def stays_on_fence(**rig: Any) -> Plan:
    """The same three strips off the far side, the mill edge y = 300 on the fence: what stays is 248.5, 197, 145.5.

    The fence stands 0.25 mm far each time: the first strip is 49.75 mm, the others 50 + 0.25 - 0.25 mm, and a warning
    tells of it. From the second on two settings lie between a strip's edges: +-0.5 mm.
    """
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 300)),
        piece(2, 1, "blank", (0, 51.5, 1000, 300)),
        piece(3, 1, "part", (0, 0, 1000, 50), "bar"),
        piece(4, 2, "blank", (0, 103, 1000, 300)),
        piece(5, 2, "part", (0, 51.5, 1000, 101.5), "bar"),
        piece(6, 4, "offcut", (0, 154.5, 1000, 300)),
        piece(7, 4, "part", (0, 103, 1000, 153), "bar"),
    ]
    edge, cuts = [[1000.0, 300.0], [0.0, 300.0]], []
    rows = ((50.75, 0.0, 249.25, 249.5), (102.25, 51.5, 197.75, 198.0), (153.75, 103.0, 146.25, 146.5))
    for number, ((at, low, offset, reading), of) in enumerate(zip(rows, (1, 2, 4), strict=True), 1):
        only = [(True, [[1000.0, low], [1000.0, 300.0]], 1000.0, 1020.0)]
        setup = (
            {"push": True, "clear": True, "fence": True} if of > 1 else {"fence": True, "end_stop": True, "fetch": True}
        )
        line = [[1000.0, at], [0.0, at]]
        makes = {1: (2, 3), 2: (4, 5), 4: (6, 7)}[of]
        cuts.append(fence_cut(number, of, makes, line, edge, offset, reading, only, **setup))
    sizes = {"bar": ([[49.75, 1000.0], [50.0, 1000.0]], [0.5, 0.0])}
    runs: list[Any] = [(n, n, reading, 1020.0, ["bar"]) for n, reading in enumerate((249.5, 198.0, 146.5), 1)]
    return plan_of(pieces, cuts, [{**PART, "quantity": 3}], sizes, runs, 5.0, rig=rig, warnings=(("unequal", "bar"),))


def two_passes(**rig: Any) -> Plan:
    """Stroke 700: 1000 mm go in two halves of 505, stop 515; the second cut lies face down; then one across.

    After cut 1 the piece lies face down, so with the travel along -x the fence is on y = 51.5; after
    cut 2 it lies face up again, last travelling along +x, and a quarter turn to the left brings -y ahead.
    All marks are 0.25 mm far: bars 50.25, the flag 200.25 long and, far piece twice, 197 - 0.25 - 0.25 wide.
    """
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 300)),
        piece(2, 1, "part", (0, 0, 1000, 50), "bar"),
        piece(3, 1, "blank", (0, 51.5, 1000, 300)),
        piece(4, 3, "part", (0, 51.5, 1000, 101.5), "bar"),
        piece(5, 3, "blank", (0, 103, 1000, 300)),
        piece(6, 5, "part", (0, 103, 200, 300), "flag"),
        piece(7, 5, "offcut", (201.5, 103, 1000, 300)),
    ]
    first = fence_cut(
        1, 1, (2, 3), [[0.0, 50.75], [1000.0, 50.75]], [[0.0, 0.0], [1000.0, 0.0]], 50.75, 51.0,
        [(True, WEST, 505.0, 515.0), (False, [[1000.0, 0.0], [1000.0, 300.0]], 505.0, 515.0)],
        fence=True, end_stop=True, fetch=True,
    )  # fmt: skip
    datum = [[1000.0, 51.5], [0.0, 51.5]]
    second = fence_cut(
        2, 3, (4, 5), [[1000.0, 102.25], [0.0, 102.25]], datum, 50.75, 51.0,
        [(False, [[1000.0, 51.5], [1000.0, 300.0]], 505.0, 515.0), (True, [[0.0, 300.0], [0.0, 51.5]], 505.0, 515.0)],
        push=True, clear=True, dress=[datum],
    )  # fmt: skip
    third = fence_cut(
        3, 5, (6, 7), [[200.75, 300.0], [200.75, 103.0]], [[0.0, 300.0], [0.0, 103.0]], 200.75, 201.0,
        [(True, [[0.0, 300.0], [1000.0, 300.0]], 197.0, 215.0)], fence=True, end_stop=True, quarter_turns=1, clear=True,
    )  # fmt: skip
    flag = {**PART, "name": "flag", "width": 197.0, "length": 200.0}
    sizes = {"bar": ([[50.25, 1000.0]], [0.25, 0.0]), "flag": ([[196.5, 200.25]], [0.5, 0.25])}
    bars = {**PART, "quantity": 2}
    runs: list[Any] = [(1, 2, 51.0, 515.0, ["bar"]), (3, 3, 201.0, 215.0, ["flag"])]
    return plan_of(pieces, [first, second, third], [bars, flag], sizes, runs, 3.397, rig={"stroke": 700.0, **rig})


def marked() -> Plan:
    """The fence reaches 100 mm; 150 mm off either edge of 301.5 mm lies beyond it."""
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 301.5)),
        piece(2, 1, "part", (0, 0, 1000, 150), "bar"),
        piece(3, 1, "part", (0, 151.5, 1000, 301.5), "bar"),
    ]
    leading = [[0.0, 301.5], [0.0, 0.0]]
    line = [[0.0, 150.75], [1000.0, 150.75]]
    cut = fence_cut(1, 1, (2, 3), line, None, 0.0, 0.0, [(True, leading, 1000.0, 1020.0)], end_stop=True, fetch=True)
    south = [[0.0, 0.0], [1000.0, 0.0]]
    marks = {"edge": south, "from": [0.0, 0.0], "along": [30.0, 970.0], "distance": [150.75, 150.75]}
    cut |= {"located": "marked", "fence_offset": None, "fence_reading": None, "reading_error": None, "marks": marks}
    wide = {**PART, "width": 150.0, "quantity": 2}
    sizes = {"bar": ([[150.0, 1000.0]], [0.5, 0.0])}
    return plan_of(
        pieces,
        [cut],
        [wide],
        sizes,
        [(1, 1, None, 1020.0, ["bar"])],
        2.0,
        rig={"fence_max": 100.0},
        stock={"width": 301.5},
    )


def half_missed() -> Plan:
    """No least offcut: of 102 mm the second cut's centreline lies 0.25 mm outside the metal."""
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 102)),
        piece(2, 1, "part", (0, 0, 1000, 50), "bar"),
        piece(3, 1, "blank", (0, 51.5, 1000, 102)),
        piece(4, 3, "part", (0, 51.5, 1000, 101.5), "bar"),
    ]
    cuts = []
    for number, (datum, of, makes) in enumerate(((0.0, 1, (2, 3)), (51.5, 3, (4, None))), 1):
        line, edge = [[0.0, datum + 50.75], [1000.0, datum + 50.75]], [[0.0, datum], [1000.0, datum]]
        only = [(True, [[0.0, 102.0], [0.0, datum]], 1000.0, 1020.0)]
        setup = (
            {"push": True, "clear": True, "dress": [edge]}
            if of > 1
            else {"fence": True, "end_stop": True, "fetch": True}
        )
        cuts.append(fence_cut(number, of, makes, line, edge, 50.75, 51.0, only, **setup))
    two = {**PART, "quantity": 2}
    sizes = {"bar": ([[50.25, 1000.0]], [0.25, 0.0])}
    runs: list[Any] = [(1, 2, 51.0, 1020.0, ["bar"])]
    return plan_of(
        pieces, cuts, [two], sizes, runs, 3.0,
        rig={"narrowest_offcut": 0.0}, stock={"width": 102.0}, warnings=(("bow_at_fence", "bar"),),
    )  # fmt: skip


def trimmed(**changes: Any) -> Plan:
    """10 mm of scrap off the mill edge y = 0, then 50 mm off the dressed edge; the ends are dressed already."""
    pieces = [
        piece(1, None, "plate", (0, 0, 1000, 300)),
        piece(2, 1, "scrap", (0, 0, 1000, 10)),
        piece(3, 1, "blank", (0, 11.5, 1000, 300)),
        piece(4, 3, "part", (0, 11.5, 1000, 61.5), "bar"),
        piece(5, 3, "offcut", (0, 63, 1000, 300)),
    ]
    south, fresh = [[0.0, 0.0], [1000.0, 0.0]], [[0.0, 11.5], [1000.0, 11.5]]
    one, two = [(True, WEST, 1000.0, 1020.0)], [(True, [[0.0, 300.0], [0.0, 11.5]], 1000.0, 1020.0)]
    cuts = [
        fence_cut(1, 1, (2, 3), [[0.0, 10.75], [1000.0, 10.75]], south, 10.75, 11.0, one,
                  fence=True, end_stop=True, fetch=True),
        fence_cut(2, 3, (4, 5), [[0.0, 62.25], [1000.0, 62.25]], fresh, 50.75, 51.0, two,
                  fence=True, push=True, clear=True, dress=[fresh]),
    ]  # fmt: skip
    edges = {"edges": ["mill", "dressed", "mill", "dressed"]}
    sizes = {"bar": ([[50.25, 1000.0]], [0.25, 0.0])}
    runs: list[Any] = [(1, 1, 11.0, 1020.0, []), (2, 2, 51.0, 1020.0, ["bar"])]
    return plan_of(pieces, cuts, [{**PART, **changes}], sizes, runs, 2.0, stock=edges, trim=10.0)


SOUND = {
    "uncut": uncut, "one strip": one_strip, "pushed up": pushed_up, "stays on fence": stays_on_fence,
    "two passes": two_passes, "marked": marked, "half missed": half_missed, "trimmed": trimmed, "heavy": heavy,
    "as once": lambda: first_edition(two_passes()), "pushed up as once": lambda: first_edition(pushed_up()),
    "stays on fence as once": lambda: first_edition(stays_on_fence()),
}  # fmt: skip
"""Each is a sound plan; those "as once" are of the first edition."""
