"""The one writer: whole or not at all, whoever stops it, and nothing of a person's touched."""

from __future__ import annotations

import errno
import json
import os
import random
import shutil
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.sheets import file_writer as writing
from stripplan.sheets.file_names import RESERVED, plain_name
from stripplan.sheets.file_writer import LIST, Made, write_file, write_files, write_one
from tests.cli.killed import armed, calls, files_in, in_a_process

OLD = {
    "plan.json": Made(b"old plan", "plan", "1"),
    "plate-P1.dxf": Made(b"old drawing", "plan", "1"),
    "plate-P2.dxf": Made(b"a plate that goes", "plan", "1"),
    "setup-sheet.pdf": Made(b"old sheet", "sheet", "1"),
}
NEW = {
    "plan.json": Made(b"the new plan", "plan", "2"),
    "plate-P1.dxf": Made(b"the new drawing", "plan", "2"),
    "plate-P1.svg": Made(b"a picture that was not there", "plan", "2"),
    "setup-sheet.pdf": Made(b"the new sheet", "sheet", "2"),
}
FOREIGN = {"notes.txt": b"mine", "plate-Panel.dxf": b"mine", "letters/plan.json": b"mine", ".keep": b""}


def shown(place: Path) -> dict[str, bytes]:
    """What lies in a folder, without what the program keeps for itself."""
    return {name: data for name, data in files_in(place).items() if not name.startswith(".stripplan")}


def data_of(files: dict[str, Made]) -> dict[str, bytes]:
    """The bytes alone."""
    return {name: made.data for name, made in files.items()}


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder that holds the files of a plan and a person's own."""
    place = tmp_path / "gate"
    for name, data in FOREIGN.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(data)
    write_files(OLD, place, stale="plan")
    return place


def test_new_files_lie_beside_the_persons_and_stale_ones_go(place: Path) -> None:
    """The plan before is replaced, its plate that is no more goes, everything else stays to the byte."""
    assert write_files(NEW, place, stale="plan").left == ()
    assert shown(place) == FOREIGN | data_of(NEW)
    assert sorted(each.name for each in place.iterdir() if each.name.startswith(".strip")) == [LIST]


def test_the_list_names_kind_plan_and_hash(place: Path) -> None:
    """As the reference says it."""
    import hashlib

    told = json.loads((place / LIST).read_text())
    assert told["schema"] == "stripplan/written/1"
    assert told["files"]["setup-sheet.pdf"] == {
        "kind": "sheet", "plan": "1", "sha256": hashlib.sha256(b"old sheet").hexdigest()
    }  # fmt: skip
    assert set(told["files"]) == set(OLD)


@pytest.mark.parametrize("name", ["plan.json", "plate-P1.dxf", "plate-P1.svg"])
def test_a_file_that_was_changed_or_never_ours_is_refused_by_name(place: Path, name: str) -> None:
    """Changed since, or of the person's from the start: named, and nothing at all is touched."""
    (place / name).write_bytes(b"by hand")
    before = files_in(place)
    with pytest.raises(InputError, match=name):
        write_files(NEW, place, stale="plan")
    assert files_in(place) == before


def test_a_stale_file_that_was_changed_stays_and_is_named(place: Path) -> None:
    """A drawing of a plate that is no more, with the person's own marks in it."""
    (place / "plate-P2.dxf").write_bytes(b"with my marks")
    (told,) = write_files(NEW, place, stale="plan").left
    assert ("plate-P2.dxf" in told.where, told.code) == (True, "changed")
    assert shown(place) == FOREIGN | data_of(NEW) | {"plate-P2.dxf": b"with my marks"}


def test_what_shows_the_plan_before_is_named(place: Path) -> None:
    """Labels of the plan before stay, since another command made them; they are told to be old."""
    write_one(place / "labels.pdf", Made(b"labels", "labels", "1"))
    (told,) = write_files(NEW, place, stale="plan").left
    assert ("labels.pdf" in told.where, told.code) == (True, "outdated")
    assert (place / "labels.pdf").read_bytes() == b"labels"


def test_another_kind_is_refused(place: Path) -> None:
    """A sheet never takes the place of a drawing, though both are ours."""
    with pytest.raises(InputError, match="stripplan plan"):
        write_one(place / "plate-P1.dxf", Made(b"paper", "sheet", "1"))


def test_the_sheet_of_another_plan_is_refused_beside_a_plan(place: Path) -> None:
    """The sheet in the folder of plan 1 is not replaced by that of plan 2; that of plan 1 on other paper is taken."""
    with pytest.raises(InputError, match="belongs to plan 1"):
        write_one(place / "setup-sheet.pdf", Made(b"paper", "sheet", "2"))
    write_one(place / "setup-sheet.pdf", Made(b"other paper", "sheet", "1"))
    assert (place / "setup-sheet.pdf").read_bytes() == b"other paper"


def test_an_input_is_never_replaced(place: Path) -> None:
    """Not even where it is ours and unchanged, and not under another name."""
    (place / "list.json").hardlink_to(place / "plan.json")
    with pytest.raises(InputError, match=r"plan\.json: this command reads it"):
        write_files(NEW, place, stale="plan", inputs=[place / "list.json"])


@pytest.mark.parametrize("kind", ["folder", "link", "pipe"])
def test_what_is_no_plain_file_is_refused(tmp_path: Path, kind: str) -> None:
    """A person's folder, link or pipe is never replaced because of how it is called."""
    mine = tmp_path / "out" / "plan.json"
    mine.parent.mkdir()
    if kind == "folder":
        (mine / "deep").mkdir(parents=True)
    elif kind == "link":
        mine.symlink_to(tmp_path / "elsewhere")
    else:
        os.mkfifo(mine)
    with pytest.raises(InputError, match=r"plan\.json: a "):
        write_files(NEW, tmp_path / "out", stale="plan")
    assert [each.name for each in (tmp_path / "out").iterdir()] == ["plan.json"]
    assert mine.is_symlink() or mine.exists()


def test_the_folder_that_the_command_runs_in_is_added_to(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`--out .` is a folder like any other."""
    monkeypatch.chdir(place)
    write_files(NEW, Path(), stale="plan")
    assert shown(place) == FOREIGN | data_of(NEW)


def test_a_link_to_a_file_is_followed_and_stays(tmp_path: Path) -> None:
    """What is written lands where the link leads."""
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "rig.toml").write_bytes(b"old")
    (tmp_path / "rig.toml").symlink_to(tmp_path / "real" / "rig.toml")
    write_file(tmp_path / "rig.toml", b"new")
    assert ((tmp_path / "rig.toml").is_symlink(), (tmp_path / "real" / "rig.toml").read_bytes()) == (True, b"new")


@pytest.mark.parametrize(("umask", "mode"), [(0o077, 0o600), (0o022, 0o644), (0o002, 0o664)])
def test_the_umask_of_the_person_is_kept(tmp_path: Path, umask: int, mode: int) -> None:
    """New files and folders are as open as the person's umask has them; the mode of a file that was there stays."""
    (tmp_path / "there").write_bytes(b"old")
    (tmp_path / "there").chmod(0o640)
    before = os.umask(umask)
    try:
        write_file(tmp_path / "there", b"new")
        write_file(tmp_path / "single", b"x")
        write_files(NEW, tmp_path / "folder")
    finally:
        os.umask(before)
    modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in (tmp_path / "folder").iterdir()}
    assert set(modes.values()) == {mode}
    assert stat.S_IMODE((tmp_path / "single").stat().st_mode) == mode
    assert stat.S_IMODE((tmp_path / "folder").stat().st_mode) == 0o777 & ~umask
    assert stat.S_IMODE((tmp_path / "there").stat().st_mode) == 0o640


def full(monkeypatch: pytest.MonkeyPatch, fits: int) -> None:
    """A disk onto which so many bytes go."""
    left, real = [fits], os.write

    def write(handle: int, data: Any) -> int:
        if not left[0]:
            raise OSError(errno.ENOSPC, "No space left on device")
        written = real(handle, bytes(data)[: left[0]])
        left[0] -= written
        return written

    monkeypatch.setattr(os, "write", write)


@pytest.mark.parametrize("fits", [0, 5, 12, 40, 60, 300])
def test_a_full_disk_leaves_all_as_it_was(place: Path, fits: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wherever the disk is full, the old files are all there and nothing lies beside them."""
    before = files_in(place)
    full(monkeypatch, fits)
    with pytest.raises(InputError, match="No space left"):
        write_files(NEW, place, stale="plan")
    monkeypatch.undo()
    assert files_in(place) == before
    assert not [each for each in place.iterdir() if each.name.startswith(".stripplan-")]


def test_a_full_disk_leaves_no_new_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Folders that were made for the files go with them."""
    full(monkeypatch, 20)
    with pytest.raises(InputError, match="No space left"):
        write_files(NEW, tmp_path / "jobs" / "gate", stale="plan")
    assert list(tmp_path.iterdir()) == []


def test_a_limit_of_the_system_on_sizes_leaves_the_file_that_was_there(tmp_path: Path) -> None:
    """A real refusal by the system in the midst of a write, not a patched one."""
    (tmp_path / "mine.toml").write_bytes(b"stroke = 900")
    script = (
        "import resource, sys\n"
        "from pathlib import Path\n"
        "from stripplan.sheets.file_writer import write_file\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write_file(Path('mine.toml'), b'x' * 5000)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert "InputError: mine.toml: it cannot be written: File too large" in done.stderr
    assert files_in(tmp_path) == {"mine.toml": b"stroke = 900"}


@pytest.mark.parametrize("which", ["first", "last"])
def test_a_move_that_the_system_refuses_is_told_and_done_by_the_next_run(
    place: Path, which: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that is open elsewhere, on some machines:
    where the new files wait is said, and they come when it can be.
    """
    real, moved = Path.replace, iter(range(99))

    def refuse(self: Path, to: Path) -> Path:
        if ".stripplan-move-" in str(self) and next(moved) == (0 if which == "first" else 4):
            raise PermissionError(13, "Permission denied")
        return real(self, to)

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InputError, match=r"they wait in \.stripplan-move-"):
        write_files(NEW, place, stale="plan")
    monkeypatch.undo()
    write_one(place / "labels.pdf", Made(b"labels", "labels", "2"))
    assert shown(place) == FOREIGN | data_of(NEW) | {"labels.pdf": b"labels"}


def test_ctrl_c_in_the_exchange_waits_until_it_is_done(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes an instant; half of the new files beside half of the old ones would be worse."""
    real, moved = Path.replace, iter(range(99))

    def interrupted(self: Path, to: Path) -> Path:
        if next(moved) == 1:
            raise KeyboardInterrupt
        return real(self, to)

    monkeypatch.setattr(Path, "replace", interrupted)
    write_files(NEW, place, stale="plan")
    assert shown(place) == FOREIGN | data_of(NEW)


def test_ctrl_c_before_the_exchange_leaves_all_as_it_was(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was written so far goes again."""
    before = files_in(place)

    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_files(NEW, place, stale="plan")
    monkeypatch.undo()
    assert files_in(place) == before


MOST = 31
"""So many calls to the system change the disk while NEW takes the place of OLD."""


def points() -> list[tuple[int, str]]:
    """Places in the exchange to be killed at: about a third of all there are."""
    chance = random.Random(3)
    return sorted({(chance.randint(1, MOST), chance.choice(("before", "amid", "after"))) for _ in range(40)})


@pytest.mark.parametrize(("at", "how"), points())
def test_killed_anywhere_each_file_is_whole_and_the_next_run_finishes(place: Path, at: int, how: str) -> None:
    """Killed at a call to the system: each file is the old or the new one, the person's are all there,
    no rest outlives the next run.
    """
    ended = in_a_process(armed(lambda: write_files(NEW, place, stale="plan"), at, how), place)
    seen, old, new = shown(place), data_of(OLD), data_of(NEW)
    assert {name: seen.get(name) for name in FOREIGN} == FOREIGN
    for name in seen.keys() - FOREIGN.keys():
        assert seen[name] in (old.get(name), new.get(name)), (name, ended)
    assert {"plan.json", "plate-P1.dxf", "setup-sheet.pdf"} <= set(seen)
    write_files(NEW, place, stale="plan")
    assert shown(place) == FOREIGN | data_of(NEW)
    assert not [each for each in place.iterdir() if each.name.startswith(".stripplan-")]


def test_points_reach_from_the_first_call_to_the_last(place: Path) -> None:
    """Else the test before would kill nothing, or never the end."""
    again = Path(shutil.copytree(place, place.parent / "again"))
    assert calls(lambda: write_files(NEW, again, stale="plan"), again) == MOST


def test_rests_of_a_killed_run_are_cleared_by_any_command_that_writes_there(place: Path) -> None:
    """Also by one that writes a single file."""
    in_a_process(armed(lambda: write_files(NEW, place, stale="plan"), 5, "after"), place)
    assert [each for each in place.iterdir() if each.name.startswith(".stripplan-write-")]
    write_file(place / "rig.toml", b"x")
    assert shown(place) == FOREIGN | data_of(OLD) | {"rig.toml": b"x"}
    assert not [each for each in place.iterdir() if each.name.startswith(".stripplan-")]


def test_what_a_run_that_still_lives_is_writing_is_not_cleared(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder is written by one at a time; the other waits, and says so when it has waited long enough."""
    monkeypatch.setattr(writing, "PATIENCE", 0.05)
    with writing._held(place), writing._staged(place) as stage:
        with pytest.raises(InputError, match="another run of this program is writing there"):
            write_file(place / "rig.toml", b"x")
        assert stage.is_dir()


def test_a_damaged_list_is_no_list(place: Path) -> None:
    """It is named, and nothing is touched; moved away, all files count as the person's."""
    (place / LIST).write_text("{")
    with pytest.raises(InputError, match="move it away"):
        write_files(NEW, place, stale="plan")
    (place / LIST).unlink()
    with pytest.raises(InputError, match="did not write"):
        write_files(NEW, place, stale="plan")
    assert shown(place) == FOREIGN | data_of(OLD)


@pytest.mark.parametrize("name", ["a" * 300, "with\0nought", "\udcff"])
def test_a_name_that_the_file_system_cannot_hold_is_a_plain_error(tmp_path: Path, name: str) -> None:
    """Whether it is refused as too long or as no name at all; one of other letters is taken as it is."""
    if name == "\udcff":
        write_files(NEW, tmp_path / name, stale="plan")
        write_one(tmp_path / f"{name}.pdf", Made(b"x", "sheet", "1"))
        write_one(tmp_path / f"{name}.pdf", Made(b"y", "sheet", "1"))
        return
    for write in (lambda: write_files(NEW, tmp_path / name), lambda: write_one(tmp_path / name, NEW["plan.json"])):
        with pytest.raises(InputError, match="cannot be written"):
            write()
    with pytest.raises(InputError, match="cannot be written"):
        write_file(tmp_path / name, b"x")
    assert list(tmp_path.iterdir()) == []


# https://learn.microsoft.com/windows/win32/fileio/naming-a-file lists the names; the set is from memory of that page
@pytest.mark.parametrize("name", ["CON", "nul", "Com1", "LPT9", "aux"])
def test_reserved_names_get_another(name: str) -> None:
    """Names that are devices on some machines."""
    assert plain_name(name, instead="job").casefold() not in RESERVED


@pytest.mark.parametrize(
    "text", ["日" * 200, "a" * 200, "𐐀" * 200, "\N{COMBINING ACUTE ACCENT}" * 9, "", "...", "\udcff\0"]
)
def test_names_from_any_text_can_be_held(tmp_path: Path, text: str) -> None:
    """Also where a file system counts bytes, and holds only about 140 of them
    as encrypted folders do (common practice, no source).
    """
    name = plain_name(text, instead="job")
    assert 0 < len(name.encode()) <= 122
    write_file(tmp_path / name, b"x")
