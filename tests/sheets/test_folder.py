"""Where the folder of a plan may be put, and what becomes of links and of the folder one stands in."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.sheets import folder
from tests.sheets.plans import PLANS


def names(place: Path) -> list[str]:
    """What lies in a folder, hidden things too."""
    return sorted(each.name for each in place.iterdir())


def test_all_files_are_written(tmp_path: Path) -> None:
    """Plan, sheet, list, the job's drawing, and a drawing and a picture of each plate, and the list of them;
    the paths come back.
    """
    written = folder.write_all(PLANS["two passes"](), tmp_path / "jobs" / "out")
    want = [
        ".stripplan.json",
        "cut-list.csv",
        "job.dxf",
        "plan.json",
        "plate-P1.dxf",
        "plate-P1.svg",
        "setup-sheet.pdf",
    ]
    assert names(tmp_path / "jobs" / "out") == want
    assert sorted(written.files) == [tmp_path / "jobs" / "out" / each for each in want[1:]]
    assert names(tmp_path / "jobs") == ["out"]


def test_a_link_to_a_folder_is_followed_and_stays(tmp_path: Path) -> None:
    """What is written lands in the folder that the link names, now and when it is written again."""
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    for _ in range(2):
        folder.write_all(PLANS["one strip"](), tmp_path / "link")
        assert (tmp_path / "link").is_symlink()
        assert "plan.json" in names(tmp_path / "real")
    assert names(tmp_path) == ["link", "real"]


def test_a_folder_below_a_file_is_a_plain_error(tmp_path: Path) -> None:
    """A path that leads through a file cannot be a folder: an error of input, and the file stays."""
    (tmp_path / "file").write_text("mine")
    with pytest.raises(InputError, match="cannot be written"):
        folder.write_all(PLANS["one strip"](), tmp_path / "file" / "out")
    assert (tmp_path / "file").read_text() == "mine"
