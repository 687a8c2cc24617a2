"""Drawings of ours read back as lists: the same parts."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from stripplan.files.parts.read import read_list
from stripplan.files.plan.read import load_plan
from stripplan.model.plan.plan import Plan
from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
from tests.checking import few
from tests.sheets.pdf.test_setup_sheet import renamed
from tests.sheets.rows.test_rows import frame_plan, two_plate_plan

ROOT = Path(__file__).parents[3]


def made(plan: Plan) -> Counter[str]:
    """How often each part was made."""
    return Counter({line.name: line.made for line in plan.parts})


@pytest.mark.parametrize("name", few(2, ("strips", "bench", "brackets", "workshop")))
def test_the_drawing_of_a_job_gives_its_parts_back(name: str, tmp_path: Path) -> None:
    """Names and quantities of an example's parts come back from the drawing of the whole job."""
    plan = load_plan(ROOT / "output" / name / "plan.json")
    (tmp_path / "job.dxf").write_bytes(job_drawing(plan))
    read = read_list(tmp_path / "job.dxf").parts
    assert Counter({part.name: part.quantity for part in read}) == made(plan)


@pytest.mark.parametrize("version", ["R2000", "R2007", "R2018"])
def test_letters_come_back_whatever_the_version(version: str, tmp_path: Path) -> None:
    """Letters beyond the drawing's code page are escaped, and read back as they were."""
    plan = renamed(frame_plan(), "leg ⌀40 őŁ ≤5", "kő Łom 日本")
    (tmp_path / "job.dxf").write_bytes(job_drawing(plan, version=version))  # type: ignore[arg-type]
    assert {part.name for part in read_list(tmp_path / "job.dxf").parts} == {line.name for line in plan.parts}


def test_plate_drawings_together_hold_all_parts(tmp_path: Path) -> None:
    """Each plate's drawing gives the sizes of its own parts, in inches too; together they are those of the plan."""
    plan = two_plate_plan()
    found: Counter[tuple[float, ...]] = Counter()
    for plate in plan.plates:
        file = tmp_path / f"{plate.id}.dxf"
        file.write_bytes(plate_drawing(plan, plate.id))
        for part in read_list(file).parts:
            found[tuple(round(each, 2) for each in sorted((part.width, part.length)))] += part.quantity  # type: ignore[union-attr]
    boxes = [piece.box for piece in plan.pieces if piece.kind == "part"]
    want = Counter(tuple(round(each, 2) for each in sorted((x1 - x0, y1 - y0))) for x0, y0, x1, y1 in boxes)
    assert found == want
