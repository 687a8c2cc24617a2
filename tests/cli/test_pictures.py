"""`stripplan pictures`: files for each plate and each cut."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from stripplan.files.plan.read import load_plan
from tests.cli.running import ROOT, called


def test_a_picture_for_each_plate_and_each_step(tmp_path: Path) -> None:
    """The bench has one plate: one picture that plays, and one for each cut that stands still, all of them XML."""
    plan = ROOT / "output" / "bench" / "plan.json"
    done = called("pictures", str(plan), "--out", "pictures", "--steps", folder=tmp_path)
    assert done.returncode == 0
    names = sorted(each.name for each in (tmp_path / "pictures").glob("[!.]*"))
    assert len([name for name in names if name.startswith("step-")]) == len(load_plan(plan).cuts)
    assert [name for name in names if name.startswith("sequence-")] == ["sequence-P1.svg"]
    for name in names:
        assert ElementTree.parse(tmp_path / "pictures" / name).getroot().tag.endswith("svg")


@pytest.mark.long
def test_plates_and_steps_as_png(tmp_path: Path) -> None:
    """With --png each plate and each step is a PNG of the width asked for, and the pixels are not all alike."""
    plan = ROOT / "output" / "bench" / "plan.json"
    done = called("pictures", str(plan), "--out", "pictures", "--steps", "--png", "--width", "300", folder=tmp_path)
    assert done.returncode == 0
    names = sorted(each.name for each in (tmp_path / "pictures").glob("[!.]*"))
    count = len(load_plan(plan).cuts)
    assert len(names) == 1 + count
    for name in ("plate-P1.png", f"step-{count}.png"):
        with Image.open(tmp_path / "pictures" / name) as picture:
            assert (picture.format, picture.width) == ("PNG", 300)
            assert len(set(picture.convert("L").tobytes())) > 20
