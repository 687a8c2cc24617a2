"""Every number on the setup sheet walked back to the plan, and every cell of the cut list; and the walk seen to fail.

What is printed is read by a PDF reader of other makers. What should be printed is reckoned from the plan file by
`walk/`, which asks none of the modules that write.
"""

from __future__ import annotations

import csv
import io
import itertools
import json
import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stripplan import plan
from stripplan.model.job import Job, Options
from stripplan.model.notebook import Measured
from stripplan.model.part import AS_MANY_AS_FIT, Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record
from stripplan.model.plate import Plate
from stripplan.model.prices import Prices
from stripplan.model.rig import Process, Rig
from stripplan.sheets.cut_list_csv import COLUMNS, cut_list
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from tests.checking import few
from tests.sheets.pdf.walk.as_planned import raw, tag
from tests.sheets.pdf.walk.claims import AstrayError
from tests.sheets.pdf.walk.paper import Paper, read
from tests.sheets.pdf.walk.walk import Walk
from tests.sheets.plans import PLANS, hair_strips, in_units
from tests.sheets.rows.test_rows import frame_plan, two_plate_plan

OUTPUT = Path(__file__).resolve().parents[3] / "output"


def kept(example: str) -> Plan:
    """The plan of an example as it is kept."""
    return from_record(Plan, json.loads((OUTPUT / example / "plan.json").read_text(encoding="utf-8")))


@cache
def everything() -> Plan:
    """What a sheet can say, in one plan: two processes, rests, a dial, trims, two passes, an allowance, a tolerance,
    fillers, parts that are short, an offcut of the rack, a strip, things measured, a date, prices.
    """
    thin = Process(
        name="thin 30 A", material="mild steel", thickness=4, kerf=1.5, travel_speed=700, current=30, duty=((30, 35),),
        kerf_measured_on="2026-03-01",
    )  # fmt: skip
    thick = Process(
        name="thick 60 A", material="mild steel", thickness=10, kerf=2.1, travel_speed=240, current=60, duty=((60, 50),)
    )
    zero = Measured(
        key="fence_zero", value=0.3, u=0.04, n=3, first="2026-03-01", last="2026-03-05", how="3 strips of 250 mm"
    )
    rig = Rig(
        processes=(thin, thick), dial=((1, 100), (10, 740)), fence_zero=0.3, stroke=1010,
        assumed=("overrun", "fence_zero"),
        prices=Prices(per_hour=40, per_kwh=0.3, tip_price=3, scrap_per_kg=0.2, markup=10, compressor_kw_per_m3_min=7),
        measured=(zero,),
    )  # fmt: skip
    steel = "mild steel"
    plates = (
        Plate(name="sheet 4", length=1250, width=620, thickness=4, material=steel, cost=60, quantity=1),
        Plate(name="rest 10", length=700, width=400, thickness=10, material=steel, cost=25, quantity=1, offcut=True,
         measured=True),
    )  # fmt: skip
    parts = (
        Rectangle(name="tread 1", width=180, length=1100, quantity=2, thickness=4, plus_minus=1.2),
        Rectangle(name="lug", width=60, length=90, quantity=3, thickness=10, allowance=0.5),
        Strip(name="bar 10", width=40, thickness=10, quantity=2),
        Rectangle(name="too many", width=300, length=380, quantity=3, thickness=10),
        Rectangle(name="tag", width=50, length=70, quantity=3, thickness=4, filler=True),
        Rectangle(name="pad", width=120, length=150, quantity=AS_MANY_AS_FIT, thickness=10, filler=True),
    )
    options = Options(trim=8, partial=True, fill="all")
    job = Job(name="all 1 of 2", currency="EUR", plates=plates, parts=parts, options=options)
    return replace(plan(job, rig), made_at="2026-04-01")


def on_a_scale(step: float) -> Plan:
    """Three strips for a person with inches, on a fence divided by so many mm."""
    return in_units(replaced(PLANS["stays on fence"](), ("rig", "fence_step"), step), "in")


SMALL = (
    "uncut",
    "one strip",
    "pushed up",
    "stays on fence",
    "two passes",
    "marked",
    "half missed",
    "trimmed",
    "inches",
)
SPECIMENS: dict[str, Callable[[], Plan]] = {
    **PLANS,
    "hair strips": cache(lambda: in_units(hair_strips(30))),
    "press stand": frame_plan,
    "two plates": two_plate_plan,
    "bench": cache(lambda: kept("bench")),
    "brackets": cache(lambda: kept("brackets")),
    "everything": everything,
    "mils": cache(lambda: on_a_scale(25.4 / 1000)),
    "eighths": cache(lambda: on_a_scale(25.4 / 8)),
}
BOTH = (*SMALL, "press stand", "two plates", "bench", "everything")
SHORT = ("hair strips", "mils", "eighths", "name 0", "name 1", "name 4", "name 5")
"""Walked in the short form alone, to be quick: most of the blocks of many cuts are alike."""
FULL = ("name 2", "name 3", "name 7", "name 8", "name 9", "name 10", "name 11")
"""Not "name 6": the reader puts letters that are read from the right into another order than they are set in."""
LONG = {("hair strips", "short"), ("bench", "full"), ("bench", "short"), ("everything", "short"), ("mils", "short")}
WALKS = [
    pytest.param(n, f, marks=pytest.mark.slow) if (n, f) in LONG or number % 3 == 2 else (n, f)
    for number, (n, f) in enumerate(
        (n, f)
        for names, forms in ((BOTH, ("full", "short")), (SHORT, ("short",)), (FULL, ("full",)))
        for n in names
        for f in forms
    )
]
"""All but the long ones and every third are walked in a usual run."""


@cache
def paper(name: str, form: str, page: str = "a4") -> Paper:
    """The sheet of a specimen, read back."""
    return read(setup_sheet(SPECIMENS[name](), page=page, form=form))  # type: ignore[arg-type]


@pytest.mark.parametrize(("name", "form"), WALKS)
def test_every_number_of_a_sheet_is_the_plans(name: str, form: str) -> None:
    """Each number stands where the plan has it, nothing is left over on the sheet,
    and nothing of the plan is missing.
    """
    Walk(raw(SPECIMENS[name]()), form).along(paper(name, form))


def test_other_paper_says_the_same() -> None:
    """So too on letter paper."""
    Walk(raw(everything()), "full").along(paper("everything", "full", "letter"))


def test_a_sheet_written_from_the_plan_file_says_the_same() -> None:
    """A plan and the plan that is read from its file have one id, so their sheets are one."""
    again = from_record(Plan, raw(frame_plan()))
    texts = [
        [item.text for page in sheet for item in page.items]
        for sheet in (paper("press stand", "short"), read(setup_sheet(again, form="short")))
    ]
    assert texts[0] == texts[1]


@pytest.mark.parametrize("asked", [0.25, 0.45])
def test_no_band_lets_through_what_the_part_does_not_allow(asked: float) -> None:
    """Where a cut gives a part its width or length, the band to measure in lies within the size that is asked,
    plus or minus.
    """
    steel = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600)
    sheet = Plate(name="s", length=900, width=600, thickness=6, material="mild steel", measured=True)
    part = Rectangle(name="a", width=180, length=500, quantity=2, plus_minus=asked)
    made = plan(Job(name="true", plates=(sheet,), parts=(part,)), Rig(processes=(steel,)))
    text = "".join(item.text for page in read(setup_sheet(made, form="short")) for item in page.items)
    bands = [tuple(map(float, each)) for each in re.findall(r"go (\S+) to\s(\S+?)[;.]\s", text)]
    assert len(bands) >= 2
    for low, high in bands:
        assert any(size - asked <= low < high <= size + asked for size in (180, 500)), (low, high)


# --- the walk can fail: the sheet is not what was printed
# ---------------------------------------------------------------


def spots(sheet: Paper) -> list[tuple[int, int, int]]:
    """Page, item and place of each digit; a raised figure is one."""
    return [
        (number, n, k)
        for number, page in enumerate(sheet)
        for n, item in enumerate(page.items)
        for k, letter in enumerate(item.text)
        if letter.isdigit()
    ]


def retold(sheet: Paper, number: int, texts: dict[int, str]) -> Paper:
    """The sheet with other texts for some items of a page."""
    items = tuple(replace(item, text=texts.get(n, item.text)) for n, item in enumerate(sheet[number].items))
    return (*sheet[:number], replace(sheet[number], items=items), *sheet[number + 1 :])


def caught(walk: Walk, sheet: Paper) -> bool:
    try:
        walk.along(sheet)
    except AstrayError:
        return True
    return False


def either_way(walk: Walk, one: str, other: str) -> bool:
    """Whether two texts are a time that ends on half a second, rounded up and rounded down: the plan bears out both."""
    pairs = [pair for each in walk.claims for pair in re.findall(r"\{(\d[^{}|]*)\|(\d[^{}|]*)\}", each.said)]
    ways = [(re.escape(a), b) for pair in pairs for a, b in (pair, pair[::-1])]
    return any(one[: at.start()] + b + one[at.end() :] == other for a, b in ways for at in re.finditer(a, one))


SPOILED = (
    ("two passes", "full"), ("marked", "full"), ("inches", "short"), ("trimmed", "short"), ("everything", "full"),
    ("press stand", "full"), ("two plates", "short"), ("bench", "short"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "form", "most"),
    [
        *few(3, ((name, form, 40) for name, form in SPOILED), rows=True),
        *(pytest.param(name, form, None, marks=pytest.mark.slow) for name, form in SPOILED[:4]),
    ],
)
def test_no_digit_can_be_altered_unseen(name: str, form: str, most: int | None) -> None:
    """A digit that is another, missing, or there twice leads astray: so many of a sheet, or any."""
    sheet, walk, chance = paper(name, form), Walk(raw(SPECIMENS[name]()), form), random.Random(name)
    places = spots(sheet)
    unseen = []
    for number, n, k in places if most is None else chance.sample(places, most):
        text = sheet[number].items[n].text
        other = chance.choice([each for each in "0123456789" if each != text[k]])
        for new in (other, "", 2 * text[k]):
            altered = text[:k] + new + text[k + 1 :]
            if not caught(walk, retold(sheet, number, {n: altered})) and not either_way(walk, text, altered):
                unseen.append((number, text, k, new))
    assert len(places) > 400
    assert not unseen


@pytest.mark.parametrize(
    ("name", "form"), [("two passes", "full"), ("trimmed", "short"), ("inches", "full"), ("two plates", "short")]
)
def test_no_two_numbers_can_change_places_unseen(name: str, form: str) -> None:
    """Two runs of letters with numbers, next to one another on a page: in each other's place both are wrong."""
    sheet, walk = paper(name, form), Walk(raw(SPECIMENS[name]()), form)
    tried, unseen = 0, []
    for number, page in enumerate(sheet):
        told = [(n, item.text) for n, item in enumerate(page.items) if re.search(r"\d", item.text)]
        for (n, one), (m, other) in itertools.pairwise(told):
            if one.split() != other.split():
                tried += 1
                if not caught(walk, retold(sheet, number, {n: other, m: one})):
                    unseen.append((number, one, other))
    assert tried > 50
    assert not unseen


def test_a_label_on_another_piece_is_seen() -> None:
    """Numbers and labels of a drawing belong to their places: cut 1 is not on the line of cut 3, the flag is no bar."""
    sheet, walk = paper("two passes", "full"), Walk(raw(SPECIMENS["two passes"]()), "full")
    number = next(n for n, page in enumerate(sheet) if any(each.text.startswith("Plate P1:") for each in page.items))
    at = {item.text.strip(): n for n, item in enumerate(sheet[number].items)}
    for one, other in (
        ("1", "3"),
        ("1", "2"),
        ("bar 1000 x 50", "flag"),
        ("A 50.75", "A 102.25"),
        ("1000", "300"),
        ("A", "C"),
    ):
        texts = {" ".join(text.split()): n for text, n in at.items()}
        swapped = {texts[one]: f"{other}\n", texts[other]: f"{one}\n"}
        assert caught(walk, retold(sheet, number, swapped)), (one, other)


# --- the walk can fail: the plan is not what was printed
# ----------------------------------------------------------------

AS_GIVEN = ("job.plates", "job.options", "rig.seconds", "rig.dial", "rig.prices", "rig.processes.*.duty")
"""What the plan was made from, with all below it."""
UNSAID = {
    *(f"job.parts.*.{key}" for key in ("thickness", "rotate", "filler", "tolerance", "plus_minus")),
    *(f"rig.{key}" for key in (
        "overrun_max", "fence_min", "fence_max", "end_stop_min", "end_stop_step", "two_pass", "two_pass_overlap",
        "marked", "mitre_min",
        "mitre_max", "mitre_stop_zero", "mitre_stop_max", "two_person_length", "travel_min", "travel_max",
        "return_speed", "pre_flow",
        "post_flow", "post_flow_returning", "pilot_limit", "hoist",
    )),
    *(f"rig.processes.*.{key}" for key in ("thickness", "travel_speed", "current", "estimated")),
    "rig.measured.*.n", "rig.measured.*.before",
    *(f"settings.{key}" for key in ("keep.*", "steps_done", "good_enough", "end_stop_greatest")),
    "cuts.*.passes.*.corner_at", "cuts.*.setup.mitre", "cuts.*.setup.two_person",
    "parts.*.tolerance_expected.*", "parts.*.accuracy.*.doubts.*.plus_minus", "parts.*.accuracy.*.doubts.*.assumed",
    "parts.*.bow.hot_edges", "parts.*.bow.beyond_model", "quotation.lines.*.assumed",
}  # fmt: skip
"""Figures of the plan that no sheet tells: limits of the rig, what it was planned with, and what only the finer doubts
are made of.
"""


def figures(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Each number and each yes or no of a plan, with the way to it."""
    if isinstance(value, (dict, list)):
        for key, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from figures(each, (*path, key))
    elif isinstance(value, (bool, int, float)):
        yield path, value


def changed(value: Any, path: tuple[str | int, ...], new: Any) -> Any:
    """The value with something else at the end of a way; the rest is shared."""
    if not path:
        return new
    made = value.copy()
    made[path[0]] = changed(value[path[0]], path[1:], new)
    return made


def replaced(made: Plan, path: tuple[str | int, ...], new: Any) -> Plan:
    """The plan with another figure."""
    return from_record(Plan, changed(raw(made), path, new))


def otherwise(value: Any) -> Any:
    """So far from a figure that it shows."""
    if isinstance(value, bool):
        return not value
    return value + (1 if isinstance(value, int) or abs(value) >= 2 else 0.25)


def told(path: tuple[str | int, ...], record: dict[str, Any]) -> bool:
    """Whether a sheet tells of a figure: not of how many fillers there may be, nor in mm of the parts of an inch."""
    name = ".".join("*" if isinstance(each, int) else each for each in path)
    if name == "job.parts.*.quantity":
        return not record["job"]["parts"][path[2]].get("filler")
    if name.startswith("warnings.*.facts."):  # the sentence holds them
        return False
    if name == "job.inch_fraction":
        return bool(record["job"]["units"] == "in")
    if name == "cuts.*.setup.process" and record["stripplan_version"] == "0":
        return False
    if name in ("cuts.*.setup.process", "totals.process_changes", "totals.finish_metres", "totals.finish_minutes"):
        return not record["stripplan_version"].startswith("0.1.")
    return name not in UNSAID and not name.startswith(AS_GIVEN)


def follows(record: dict[str, Any], name: str, form: str) -> bool:
    """Whether a plan bears out the sheet of a specimen, whatever the id of either."""
    try:
        Walk(record, form, by_id=False).along(paper(name, form))
    except AstrayError:
        return False
    return True


def _other(path: tuple[str | int, ...], value: object) -> object:
    """Another value; how long a part is too hot is told in steps of five minutes and more."""
    return 2 * float(str(value)) if path[-1] == "touch_minutes" else otherwise(value)


@pytest.mark.parametrize(
    ("name", "most"),
    [
        *((name, 40) for name in ("two passes", "marked", "trimmed", "inches", "everything", "two plates")),
        *(pytest.param(name, None, marks=pytest.mark.slow) for name in ("two passes", "marked", "trimmed", "inches")),
    ],
)
def test_no_figure_of_the_plan_can_be_changed_unseen(name: str, most: int | None) -> None:
    """A plan in which one figure is another is not that of the sheet, but for what no sheet tells;
    the plan's id is not asked.
    """
    record, chance = raw(SPECIMENS[name]()), random.Random(name)
    assert follows(record, name, "full")
    ways = [(path, value) for path, value in figures(record) if told(path, record)]
    tried = ways if most is None else chance.sample(ways, most)
    unseen = [path for path, value in tried if follows(changed(record, path, _other(path, value)), name, "full")]
    assert len(ways) > 90
    assert not unseen


def test_what_no_sheet_tells_is_in_its_id() -> None:
    """The id at the head of each page is another for every figure of the plan, told or not."""
    record = raw(SPECIMENS["two passes"]())
    silent = [(path, value) for path, value in figures(record) if not told(path, record)]
    assert len(silent) > 50
    for path, value in silent:
        assert tag(changed(record, path, otherwise(value))) != tag(record), path


def swapped(record: dict[str, Any], one: int, other: int) -> dict[str, Any]:
    """Two cuts in each other's place, numbered anew."""
    cuts = [*record["cuts"]]
    cuts[one], cuts[other] = {**cuts[other], "number": one + 1}, {**cuts[one], "number": other + 1}
    return {**record, "cuts": cuts}


@pytest.mark.parametrize("form", ["full", "short"])
def test_another_plan_is_not_followed(form: str) -> None:
    """Cuts in another order, an edge for its opposite, a piece, part or plate more or less:
    not the plan of this sheet.
    """
    record = raw(SPECIMENS["stays on fence"]())
    south = [[0, 0], [1000, 0]]
    spare = {**record["pieces"][-2], "id": "P1-8"}
    others = {
        "order": swapped(record, 1, 2),
        "edge on the fence": changed(record, ("cuts", 0, "edge_on_fence"), south),
        "leading edge": changed(record, ("cuts", 0, "passes", 0, "leading"), [[0, 0], [0, 300]]),
        "mill edge": changed(record, ("plates", 0, "edges"), ["mill", "mill", "dressed", "mill"]),
        "sides": changed(record, ("cuts", 2, "makes"), record["cuts"][2]["makes"][::-1]),
        "a piece more": {**record, "pieces": [*record["pieces"], {**spare, "kind": "offcut"}]},
        "part for scrap": changed(record, ("pieces", 5, "kind"), "scrap"),
        "a part more": {**record, "parts": [*record["parts"], {**record["parts"][0]}]},
        "a cut less": {**record, "cuts": record["cuts"][:-1]},
        "a plate more": {**record, "plates": [*record["plates"], {**record["plates"][0], "id": "P2"}]},
        "a warning more": {**record, "warnings": [{"code": "x", "about": "rig", "text": "Mind the gap."}]},
    }  # fmt: skip
    assert follows(record, "stays on fence", form)
    for what, other in others.items():
        assert not follows(other, "stays on fence", form), what


# --- the cut list
# -------------------------------------------------------------------------------------------------------

CELLS = (
    *SMALL,
    "press stand",
    "two plates",
    "everything",
    "hair strips",
    "bench",
    "brackets",
    *sorted(n for n in PLANS if n.startswith("name")),
)


def listed(made: Plan) -> list[list[str]]:
    """The cells of a plan's cut list below its head."""
    head, *rows = csv.reader(io.StringIO(cut_list(made).removeprefix("\ufeff"), newline=""))
    assert tuple(head) == COLUMNS
    return rows


@pytest.mark.parametrize("name", few(len(SMALL) + 3, CELLS))
def test_every_cell_of_the_cut_list_is_the_plans(name: str) -> None:
    """Cell by cell, an apostrophe apart where a spreadsheet would reckon."""
    record = raw(SPECIMENS[name]())
    wanted = list(Walk(record, "short").reckoning.cells())
    assert [[cell.removeprefix("'") for cell in row] for row in listed(SPECIMENS[name]())] == wanted


def test_no_figure_of_the_cut_list_can_be_changed_unseen() -> None:
    """Readings, offsets, stops, speed, sizes, minutes of a plan that is another are not in the list of this one."""
    name = "two passes"
    record, rows = raw(SPECIMENS[name]()), listed(SPECIMENS[name]())
    keys = (
        "fence_reading",
        "fence_offset",
        "travel_speed",
        "length",
        "number",
        "minutes",
        "passes",
        "outline",
        "setup",
    )
    quiet = Counter()  # type: ignore[var-annotated]
    for path, value in figures({"cuts": record["cuts"], "pieces": record["pieces"]}):
        if not told(path, record) or path[2] not in keys or path[-1] in ("process", "dry_run"):
            continue
        try:
            same = list(Walk(changed(record, path, otherwise(value))).reckoning.cells()) == rows
        except AstrayError:
            same = False
        quiet[path[2]] += same
    assert set(quiet) == set(keys)
    assert sum(quiet.values()) == 0
