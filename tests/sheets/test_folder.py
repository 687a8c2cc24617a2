"""Where the folder of a plan may be put, and what becomes of links and of the folder one stands in."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.sheets import folder

from .plans import PLANS


def names(place: Path) -> list[str]:
    """What lies in a folder, hidden things too."""
    return sorted(each.name for each in place.iterdir())


def test_all_files_are_written(tmp_path: Path) -> None:
    """Plan, sheet, list, the job's drawing, and a drawing and a picture of each plate; the paths come back."""
    written = folder.write_all(PLANS["two passes"](), tmp_path / "jobs" / "out")
    want = ["cut-list.csv", "job.dxf", "plan.json", "plate-P1.dxf", "plate-P1.svg", "setup-sheet.pdf"]
    assert names(tmp_path / "jobs" / "out") == want
    assert sorted(written) == [tmp_path / "jobs" / "out" / each for each in want]
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


@pytest.mark.parametrize("place", [".", "..", "../here", ""])
def test_the_folder_that_the_command_runs_in_is_never_replaced(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is refused with a plain sentence, and no rest is left beside it."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    with pytest.raises(InputError, match="choose a folder inside it"):
        folder.write_all(PLANS["one strip"](), Path(place))
    assert names(tmp_path) == ["here"]
    assert names(here) == []


def test_a_folder_below_a_file_is_a_plain_error(tmp_path: Path) -> None:
    """A path that leads through a file cannot be a folder: an error of input, and the file stays."""
    (tmp_path / "file").write_text("mine")
    with pytest.raises(InputError, match="cannot be written"):
        folder.write_all(PLANS["one strip"](), tmp_path / "file" / "out")
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.parametrize("fails_at", range(6))
def test_a_full_disk_at_any_file_leaves_the_old_result(
    fails_at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever file does not fit, the old files are all there, unchanged, and nothing lies beside them."""
    target = tmp_path / "out"
    folder.write_all(PLANS["one strip"](), target)
    before = {each.name: each.read_bytes() for each in target.iterdir()}
    real, count = Path.write_bytes, iter(range(99))

    def write(self: Path, data: bytes) -> int:
        if next(count) == fails_at:
            real(self, data[: len(data) // 2])
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", write)
    with pytest.raises(InputError, match="No space left"):
        folder.write_all(PLANS["two passes"](), target)
    monkeypatch.undo()
    assert {each.name: each.read_bytes() for each in target.iterdir()} == before
    assert names(tmp_path) == ["out"]
