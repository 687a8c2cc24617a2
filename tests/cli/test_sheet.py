"""`stripplan sheet`: the sheet of a plan again."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pypdf
import pytest

from stripplan.files.plan.read import load_plan
from tests.cli.running import ROOT, called


@pytest.mark.long
def test_other_paper_and_fewer_pages(tmp_path: Path) -> None:
    """Short is no longer, letter is letter, and every cut is in both."""
    plan = Path(shutil.copy(ROOT / "output" / "bench" / "plan.json", tmp_path / "plan.json"))
    assert called("sheet", str(plan), folder=tmp_path).returncode == 0
    assert (
        called("sheet", str(plan), "--short", "--page", "letter", "--out", "short.pdf", folder=tmp_path).returncode == 0
    )
    full, short = (pypdf.PdfReader(tmp_path / name) for name in ("setup-sheet.pdf", "short.pdf"))
    assert (tmp_path / "setup-sheet.pdf").read_bytes() == (ROOT / "output" / "bench" / "setup-sheet.pdf").read_bytes()
    assert len(short.pages) <= len(full.pages)
    assert short.pages[0].mediabox.width == 612
    for reader in (full, short):
        titles = [entry.title for part in reader.outline if isinstance(part, list) for entry in part]
        spans = [re.fullmatch(r"Cuts? (\d+)(?:–(\d+))?", title.split(",")[0]) for title in titles]
        numbers = [n for span in spans if span for n in range(int(span[1]), int(span[2] or span[1]) + 1)]
        assert numbers == [each.number for each in load_plan(plan).cuts]


def test_a_place_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    """The fault names the file, and nothing is left behind."""
    plan = Path(shutil.copy(ROOT / "output" / "bench" / "plan.json", tmp_path / "plan.json"))
    refused = called("sheet", str(plan), "--out", "nowhere/sheet.pdf", folder=tmp_path)
    assert refused.returncode == 2
    assert "nowhere/sheet.pdf" in refused.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["plan.json"]


@pytest.mark.long
def test_some_cuts_and_cautions_once(tmp_path: Path) -> None:
    """`--cuts` writes those cuts beside the sheet, `--cautions once` the poster; a range without a cut is refused."""
    shutil.copy(ROOT / "output" / "bench" / "plan.json", tmp_path)
    plan = str(tmp_path / "plan.json")
    last = len(load_plan(Path(plan)).cuts)
    called("sheet", plan, "--cuts", "20-", folder=tmp_path)
    called("sheet", plan, "--cautions", "once", folder=tmp_path)
    assert {each.name for each in tmp_path.glob("*.pdf")} == {f"cuts-20-{last}.pdf", "setup-sheet.pdf", "cautions.pdf"}
    refused = called("sheet", plan, "--cuts", f"{last + 1}-", folder=tmp_path)
    assert refused.returncode == 2
    assert f"cuts 1 to {last}" in refused.stderr
