"""What is still wanted after a cut went wrong: nothing is lost, nothing is planned twice."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.files.job.read import JobFile, job_from, load_job
from stripplan.files.toml.document import TomlFile
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress, Side
from stripplan.planner import left_to_cut, plan_again, rest_of_job, unsound, what_changed
from stripplan.wording.show import worded
from tests.checking import examples

TABLE: dict[str, Any] = {
    "name": "shelf",
    "plate": [
        {
            "name": "sheet",
            "length": 1000,
            "width": 500,
            "thickness": 6,
            "material": "mild steel",
            "quantity": 2,
            "cost": 40.0,
        },
        {
            "name": "rest",
            "length": 600,
            "width": 200,
            "thickness": 6,
            "material": "mild steel",
            "offcut": True,
            "cost": 5.0,
        },
    ],
    "part": [
        {"name": "bar", "width": 50, "length": 1000, "quantity": 3},
        {"width": 120, "length": 300, "quantity": 4},
        {"name": "pad", "width": 60, "length": 60, "filler": True},
    ],
}


def read(table: dict[str, Any]) -> JobFile:
    """A job from its table, as the page reads it."""
    return job_from(TomlFile("the list", "", table, Path()), name="job")


@dataclass(frozen=True)
class Case:
    """A job and its plan."""

    table: dict[str, Any]
    plan: Plan


@pytest.fixture(scope="module")
def case() -> Case:
    """A shelf, planned."""
    job = read(TABLE)
    return Case(TABLE, plan(job.job, job.rig))


def cut_so_far(*done: int, spoilt: Mapping[int, str] | None = None) -> CutProgress:
    """Cuts that were made, and what others have spoilt: left, right, both or none."""
    sides: dict[str, frozenset[Side]] = {
        "left": frozenset(("left",)),
        "right": frozenset(("right",)),
        "both": frozenset(("left", "right")),
        "none": frozenset(),
    }
    return CutProgress(done=frozenset(done), spoilt={number: sides[side] for number, side in (spoilt or {}).items()})


def wanted(table: dict[str, Any]) -> Counter[str]:
    """How many of each part a table wants."""
    named = [(each.get("name") or f"part {n}", each) for n, each in enumerate(table["part"], 1)]
    return Counter({name: each.get("quantity", 1) for name, each in named if not each.get("filler")})


def test_before_the_first_cut_it_is_the_same_job(case: Case) -> None:
    """Nothing begun: the same parts and the same plates."""
    table = rest_of_job(case.plan, case.table, cut_so_far())
    assert wanted(table) == wanted(case.table)
    assert [each["name"] for each in table["plate"]] == ["sheet", "rest"]
    assert [each.get("quantity") for each in table["plate"]] == [2, None] or table["plate"][1]["quantity"] == 1


def test_after_the_last_cut_nothing_is_wanted_but_fillers(case: Case) -> None:
    """All cuts done: every part is made, and what is left are the offcuts and the plates that were not begun."""
    table = rest_of_job(case.plan, case.table, cut_so_far(*(cut.number for cut in case.plan.cuts)))
    assert not wanted(table)
    offcuts = [each.id for each in case.plan.pieces if each.kind == "offcut"]
    assert [each["name"] for each in table["plate"] if "before" in each["name"]] == [
        f"{each} of the plan before" for each in offcuts
    ]


@examples(60)
@given(st.data())
def test_made_and_still_wanted_are_what_was_wanted(case: Case, data: st.DataObject) -> None:
    """At any point: parts that lie there plus those that are wanted make the whole, and metal is counted once."""
    cuts, pieces = case.plan.cuts, {each.id: each for each in case.plan.pieces}
    count = data.draw(st.integers(0, len(cuts)))
    side = data.draw(st.sampled_from(["left", "right", "both", ""]))
    wrong = {cuts[count].number: side} if side and count < len(cuts) else {}
    progress = cut_so_far(*(cut.number for cut in cuts[:count]), spoilt=wrong)
    done = cuts[: count + bool(side and count < len(cuts))]
    spoilt: set[str] = set()
    if wrong:
        right, left = done[-1].makes
        spoilt = {each for each, name in ((right, "right"), (left, "left")) if each and side in (name, "both")}
    gone = {cut.piece for cut in done}
    there = {each for cut in done for each in cut.makes if each} - gone - spoilt
    table = rest_of_job(case.plan, case.table, progress)
    made = Counter(pieces[each].part for each in there if pieces[each].kind == "part")
    assert {name: wanted(table)[name] + made[name] for name in wanted(case.table)} == wanted(case.table)
    waiting = {each for each in there if pieces[each].kind in ("blank", "offcut")}
    assert {each["name"].split()[0] for each in table["plate"] if "before" in each["name"]} == waiting
    begun = Counter(plate.stock for plate in case.plan.plates if any(cut.plate == plate.id for cut in done))
    left = {each["name"]: each.get("quantity", 1) for each in table["plate"] if "before" not in each["name"]}
    assert {"sheet": 2 - begun["sheet"], "rest": 1 - begun["rest"]} == {
        "sheet": left.get("sheet", 0),
        "rest": left.get("rest", 0),
    }
    if wanted(table):
        read(table)  # it can be planned: sizes, edges, prices are as a job has them


@pytest.mark.long
def test_the_rest_can_be_planned_and_uses_what_lies_there(case: Case) -> None:
    """With one bar spoilt the rest is planned from the piece that is still whole, at no further cost."""
    first = case.plan.cuts[0]
    table = rest_of_job(case.plan, case.table, cut_so_far(spoilt={first.number: "left"}))
    job = read(table)
    made = plan(job.job, job.rig)
    assert sum(line.made for line in made.parts if not line.filler) == sum(wanted(table).values())
    assert any(plate.stock.endswith("of the plan before") for plate in made.plates)
    assert made.totals.cost < case.plan.totals.cost


def test_edges_are_what_they_are(case: Case) -> None:
    """An edge on the plate's own edge keeps its state, one inside it was cut."""
    first = case.plan.cuts[0]
    table = rest_of_job(case.plan, case.table, cut_so_far(first.number))
    plates = {each.id: each for each in case.plan.plates}
    for each in table["plate"]:
        if "before" not in each["name"]:
            continue
        piece = next(one for one in case.plan.pieces if one.id == each["name"].split()[0])
        plate, (x0, y0, x1, y1) = plates[piece.plate], piece.box
        at_edge = [y0 == 0, x1 == plate.length, y1 == plate.width, x0 == 0]
        assert each["edges"] == [state if own else "cut" for state, own in zip(plate.edges, at_edge, strict=True)]
        assert each["edges"].count("cut") == 1


def test_a_strip_keeps_the_length_that_it_had() -> None:
    """What it is made from now may be longer or shorter than its plate was; in inches too."""
    table = {
        "units": "in",
        "plate": [{"name": "sheet", "length": 40, "width": 20, "thickness": "6 mm", "material": "mild steel"}],
        "part": [{"name": "rail", "width": 2, "quantity": 3}],
    }
    job = read(table)
    made = plan(job.job, job.rig)
    rest = rest_of_job(made, table, cut_so_far(spoilt={1: "left"}))
    read_again = read(rest).job.parts[0]
    assert getattr(read_again, "length", None) == pytest.approx(40 * 25.4)
    assert read_again.width == pytest.approx(2 * 25.4)


SHEET = {"name": "sheet", "length": 1000, "width": 500, "thickness": 6, "material": "mild steel"}


def again_planned(table: dict[str, Any], progress: CutProgress) -> tuple[dict[str, Any], Plan]:
    """The table for the rest of a job, and its plan."""
    job = read(table)
    rest = rest_of_job(plan(job.job, job.rig), table, progress)
    next_job = read(rest)
    return rest, plan(next_job.job, next_job.rig)


@pytest.mark.parametrize(
    ("plate", "part", "length"),
    [(SHEET, {"width": 50, "allowance": 2}, 996.0), ({**SHEET, "length": 300, "width": 1000}, {"width": 350}, 300.0)],
)
def test_a_strip_can_still_be_made_of_a_whole_plate(plate: dict[str, Any], part: dict[str, Any], length: float) -> None:
    """With its length as a figure it still fits a plate like the one before:
    dressed ends are within it, and it runs along the plate.
    """
    table = {"plate": [plate], "part": [{"name": "bar", "quantity": 2, **part}]}
    rest, made = again_planned(table, cut_so_far(spoilt={1: "both"}))
    assert rest["part"] == [{"name": "bar", "quantity": 2, **part, "length": f"{length:g} mm"}]
    assert sum(line.made for line in made.parts) == 2


def test_wishes_about_what_is_no_more_are_left_out() -> None:
    """A part that is made cannot come first, nor a plate that is cut up before another."""
    plates = [{**SHEET, "quantity": 1}, {**SHEET, "name": "narrow", "width": 400, "quantity": 1}]
    parts = [{"name": "bar", "width": 450}, {"name": "rod", "width": 90, "quantity": 4}]
    wishes = {"first": ["bar", "rod"], "before": [["sheet", "narrow"]], "trim": 0}
    table = {"plate": plates, "part": parts, "options": wishes}
    rest, made = again_planned(table, cut_so_far(1))
    assert rest["options"] == {"first": ["rod"], "before": [], "trim": 0}
    assert [line.made for line in made.parts] == [4]


@pytest.mark.long
def test_what_the_stock_says_of_a_plate_holds_for_its_pieces() -> None:
    """The direction of rolling, which a part may ask for, stays with the piece."""
    table = {"plate": [{**SHEET, "rolling": "length"}],
     "part": [{"width": 50, "length": 400, "quantity": 9, "rolling": "length"}]}  # fmt: skip
    rest, made = again_planned(table, cut_so_far(1))
    assert {each["rolling"] for each in rest["plate"]} == {"length"}
    assert "rolling_unknown" not in {each.code for each in made.warnings}


def test_a_cut_that_nobody_ticked_was_made_all_the_same(case: Case) -> None:
    """The last cut is ticked alone: what it was cut from was there, so no metal is lost and none is counted twice."""
    maker = {name: cut for cut in case.plan.cuts for name in cut.makes}
    last = next(cut for cut in reversed(case.plan.cuts) if cut.piece in maker)
    line = [last.number]
    while (before := maker.get(next(each.piece for each in case.plan.cuts if each.number == line[-1]))) is not None:
        line.append(before.number)
    assert len(line) > 1
    assert rest_of_job(case.plan, case.table, cut_so_far(last.number)) == rest_of_job(
        case.plan, case.table, cut_so_far(*line)
    )


@pytest.mark.long
def test_what_is_left_of_a_spoilt_piece_is_a_plate(case: Case) -> None:
    """Of the size that was measured, with what of it nobody knows as the worst; its area is no more than the piece's,
    the notes name it, what was to be cut from it is not, and the plan for the rest is sound by the replay."""
    first = case.plan.cuts[0]
    lost = next(each for each in case.plan.pieces if each.id == first.makes[1])
    x0, y0, x1, y1 = lost.box
    size = (x1 - x0 - 30, y1 - y0)
    progress = replace(cut_so_far(1, spoilt={1: "left"}), usable={(1, "left"): size})
    rest = rest_of_job(case.plan, case.table, progress)
    (plate,) = [each for each in rest["plate"] if each["name"] == f"{lost.id}-left of the plan before"]
    assert (plate["length"], plate["width"]) == (f"{size[0]:g} mm", f"{size[1]:g} mm")
    assert (plate["measured"], "trim it" in plate["note"]) == (True, True)
    left = left_to_cut(case.plan, case.table, progress)
    assert not [cut for cut in left.cuts if cut.plate == f"{lost.id}-left"]
    said = [worded(each).text for each in what_changed(case.plan, progress)]
    assert [each for each in said if each.startswith(f"still good of {lost.id}")]
    without = [worded(each).text for each in what_changed(case.plan, cut_so_far(1, spoilt={1: "left"}))]
    assert next(each for each in said if "spoilt" in each) != next(each for each in without if "spoilt" in each)
    again = plan_again(read(rest).job, read(rest).rig, left).plan
    assert not unsound(again)
    assert all(line.made == line.wanted for line in again.parts if not line.filler)
    assert [(each.length, each.width) for each in again.plates if each.stock == plate["name"]] == [size]


def test_where_nothing_was_spoilt_nothing_is_lost(case: Case) -> None:
    """An arc that went out at once leaves the piece as it was."""
    first = {1: "none"}
    assert rest_of_job(case.plan, case.table, cut_so_far(spoilt=first)) == rest_of_job(
        case.plan, case.table, cut_so_far()
    )


def test_a_filler_with_a_limit_is_not_made_rest_of_job() -> None:
    """Those that lie there count; of one without a limit there are never enough."""
    pads = [{"name": "pad", "width": 60, "length": 60, "filler": True, "quantity": 2},
     {"name": "disc", "width": 40, "length": 40, "filler": True}]  # fmt: skip
    table = {"plate": [SHEET], "part": [{"name": "bar", "width": 430, "quantity": 1}, *pads]}
    job = read(table)
    made = plan(job.job, job.rig)
    assert sum(each.part == "pad" for each in made.pieces) == 2
    assert [each["name"] for each in rest_of_job(made, table,
     cut_so_far(*(cut.number for cut in made.cuts)))["part"]] == ["disc"]  # fmt: skip


def test_a_piece_from_an_earlier_time_keeps_its_name() -> None:
    """Two times planned again: pieces of both times lie there under names of their own."""
    name = "P1-3 of the plan before"
    plates = [{**SHEET, "name": name, "offcut": True, "width": 700}, {**SHEET, "quantity": 1}]
    bars = [{"name": "bar", "width": 50, "quantity": 9}]
    table = {"plate": plates, "part": bars, "options": {"aim": "plate"}}
    job = read(table)
    made = plan(job.job, job.rig)
    used = {plate.stock for plate in made.plates}
    unused = [each["name"] for each in plates if each["name"] not in used]
    names = [each["name"] for each in rest_of_job(made, table, cut_so_far(1, 2))["plate"]]
    assert unused == [name]
    assert len(set(names)) == len(names)
    assert name in names


def test_parts_of_a_list_beside_the_job_are_not_lost(tmp_path: Path) -> None:
    """A job that names a cut list has its parts there;
    the job for the rest holds those that are still wanted itself.
    """
    (tmp_path / "parts.csv").write_text("name,width,length,quantity\nbar,50,400,3\npad,80,80,2\n", encoding="utf-8")
    file = tmp_path / "job.toml"
    sheet = "\n".join(f"{key} = {value!r}" for key, value in {**SHEET, "quantity": 1}.items())
    file.write_text(f'name = "shelf"\ncut_list = "parts.csv"\n[[plate]]\n{sheet}\n', encoding="utf-8")
    made = plan(*load_job(file))
    rest = rest_of_job(made, tomllib.loads(file.read_text(encoding="utf-8")), cut_so_far())
    assert wanted(rest) == Counter(bar=3, pad=2)
    assert "cut_list" not in rest
    assert [(each.width, each.quantity) for each in read(rest).job.parts] == [(50, 3), (80, 2)]
