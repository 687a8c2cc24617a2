"""What a list holds beside plain parts goes through the plan to every output."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import pypdf
import pytest

from stripplan import plan
from stripplan.files.job.read import load_job
from stripplan.files.job.write import job_text
from stripplan.files.plan.read import plan_from
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, LeftOut, Options
from stripplan.model.part import Hole, Rectangle
from stripplan.model.plan.progress import CutProgress
from stripplan.model.plate import Plate
from stripplan.planner import rest_of_job
from stripplan.replay.verdict import replay
from stripplan.sheets.dxf.drawing import plate_drawing
from stripplan.sheets.labels.label_text import label_list
from stripplan.sheets.pdf.setup_sheet import setup_sheet
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.part_notes import holes_told
from stripplan.sheets.rows.plan_rows import sheet

PARTS = (
    Rectangle(name="base plate", width=150, length=250, quantity=2, holes=(Hole(x=30, y=30, length=18, width=18),)),
    Rectangle(name="rail", width=50, length=400, note="grind one edge"),
)
JOB = Job(
    name="stand",
    plates=(Plate(name="sheet", length=1000, width=500, thickness=6, material="mild steel", measured=True),),
    parts=PARTS,
    options=Options(effort=Effort(steps=0)),
    left_out=(LeftOut(name="gusset", quantity=4, why="slanted"),),
)
PLATE = {"name": "sheet", "length": 1000, "width": 500, "thickness": 6, "material": "mild steel"}
TOLD = (
    "NOT PLANNED: gusset, 4 off, slanted sides.",
    "grind one edge",
    "DRILL LATER: 1 hole ⌀ 18 mm at 30 × 30 mm (from the lower left corner, the length lying level)",
)


def test_every_output_tells_it() -> None:
    """Not planned, notes and holes: in plan.json as codes and facts, on page 1, in the check list, on labels, in the
    drawing; the plan read back from its file is the same, and passes the replay."""
    made = plan(JOB, load_rig())
    record = json.loads(plan_text(made))
    codes = {each["code"]: each for each in record["warnings"]}
    assert codes["not_planned"]["facts"] == {"quantity": 4, "why": "slanted", "count": 0}
    assert (codes["drill_later"]["about"], codes["drill_later"]["facts"]) == ("base plate", {"count": 1})
    assert record["job"]["left_out"] == [{"name": "gusset", "quantity": 4, "why": "slanted", "count": 0}]
    again = plan_from(plan_text(made), name="plan.json")
    assert (again.job, again.warnings, replay(again)) == (made.job, made.warnings, ())
    assert sheet(made).first[0] == TOLD[0]
    pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(setup_sheet(made))).pages]
    assert TOLD[0] in pages[0]
    assert [each for each in TOLD if each not in " ".join(pages)] == []
    words = {(label.name, line.wordings[0]) for label in label_list(made) for line in label.lines}
    assert {("rail", TOLD[1]), ("base plate", TOLD[2])} <= words
    drawing = ezdxf.read(io.StringIO(plate_drawing(made, "P1", version="R2018").decode()))
    texts = {each.dxf.text for each in drawing.modelspace().query("TEXT")}
    assert {f"rail: {TOLD[1]}", f"base plate: {TOLD[2]}"} <= texts


def test_the_rest_of_the_job_tells_what_is_not_planned(tmp_path: Path) -> None:
    """The list that held it is no part of that job: it stands in the job's own file, and is read from there."""
    made = plan(JOB, load_rig())
    table = {"name": "stand", "cut_list": "stand.dxf", "plate": [PLATE]}
    file = tmp_path / "rest.toml"
    file.write_text(job_text(rest_of_job(made, table, CutProgress(done=frozenset({1})))), encoding="utf-8")
    assert load_job(file)[0].left_out == JOB.left_out


@pytest.mark.parametrize("code", ["not_planned", "drill_later"])
def test_a_plan_that_keeps_it_back_is_not_sound(code: str) -> None:
    """The replay misses the warning, and does not bear one without a ground."""
    made = plan(JOB, load_rig())
    kept_back = replace(made, warnings=tuple(each for each in made.warnings if each.code != code))
    assert [each.code for each in replay(kept_back)] == ["warning"]
    job = replace(JOB, left_out=(), parts=tuple(replace(each, holes=()) for each in PARTS))
    assert {each.code for each in replay(replace(made, job=job))} == {"warning"}


def test_a_plan_with_nothing_to_tell_is_written_as_ever() -> None:
    """No empty note, no empty list of holes: the file of a plain job stays as it is."""
    plain = replace(JOB, left_out=(), parts=(Rectangle(name="rail", width=50, length=400),))
    record = json.loads(plan_text(plan(plain, load_rig())))
    assert "left_out" not in record["job"]
    assert {"note", "holes"} & record["job"]["parts"][0].keys() == set()


def test_more_holes_than_a_line_bears() -> None:
    """The first are told with their places, the others are counted; inches for who reads inches."""
    holes = tuple(Hole(x=25.4 * at, y=25.4, length=12.7, width=12.7) for at in range(1, 11))
    part = Rectangle(
        name="strip", width=50.8, length=508, holes=(*holes, Hole(x=9, y=9, length=3, width=4, round=False))
    )
    words = holes_told(part, replace(JOB, units="in"))
    assert words.startswith('DRILL LATER: 8 holes ⌀ 1/2" at 1" × 1", 2" × 1", ')
    assert "; and 3 more, as drawn" in words
    assert "3 × 4 mm at 9 × 9 mm" in holes_told(replace(part, holes=part.holes[-1:]), JOB)


def test_notes_and_holes_go_through_a_job_file(tmp_path: Path) -> None:
    """The rest of a plan, written as a job file and read again, has the notes and the holes of its parts."""
    table = rest_of_job(plan(JOB, load_rig()), {"cut_list": "parts.dxf", "plate": [PLATE]}, CutProgress())
    (tmp_path / "rest.toml").write_text(job_text(table), encoding="utf-8")
    parts = load_job(tmp_path / "rest.toml")[0].parts
    assert [(each.note, each.holes) for each in parts] == [(each.note, each.holes) for each in PARTS]
