"""`stripplan labels`: a file of labels, and what is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pypdf
import pytest

from stripplan.files.plan.read import load_plan
from tests.cli.running import ROOT, called


@pytest.fixture
def plan_file(tmp_path: Path) -> Path:
    """A copy of an example's plan."""
    return Path(shutil.copy(ROOT / "output" / "bench" / "plan.json", tmp_path / "plan.json"))


@pytest.mark.long
def test_each_part_and_offcut_has_a_label(plan_file: Path) -> None:
    """17 parts and an offcut on one page of 24, after a test page; the offcut alone on a page of its own."""
    done = called("labels", str(plan_file), "--test-page", folder=plan_file.parent)
    assert done.returncode == 0
    reader = pypdf.PdfReader(plan_file.parent / "labels.pdf")
    assert len(reader.pages) == 2
    text = reader.pages[1].extract_text()
    assert text.count("gusset blank") == 8
    offcuts = sum(each.kind == "offcut" for each in load_plan(plan_file).pieces)
    assert text.count("OFFCUT") == offcuts > 0
    done = called(
        "labels",
        str(plan_file),
        "--what",
        "offcuts",
        "--out",
        "rack.pdf",
        "--grid",
        "a4:2x4:99x70:6,8",
        folder=plan_file.parent,
    )
    assert done.returncode == 0
    assert "apron" not in pypdf.PdfReader(plan_file.parent / "rack.pdf").pages[0].extract_text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--grid", "a4-3x8-70x63"), "a4-3x8-70x36"),
        (("--grid", "a4:3x8:90x36:0,0"), "page"),
        (("--first", "25"), "24"),
        (("--out", "nowhere/labels.pdf"), "cannot be written"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(plan_file: Path, words: tuple[str, ...], said: str) -> None:
    """A grid that nobody knows or that does not fit its page, a place that the sheet has not, a folder that is not
    there.
    """
    refused = called("labels", str(plan_file), *words, folder=plan_file.parent)
    assert refused.returncode == 2
    assert said in refused.stderr
    assert [each.name for each in plan_file.parent.iterdir()] == ["plan.json"]
