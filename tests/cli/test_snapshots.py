"""What ten commands print, byte for byte as files in `snapshots/`; renewed by `python -m tests.renew_console`."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.running import called
from tests.renew_examples import ROOT

STALE = "stale: run python -m tests.renew_console, and look at what changed"
SNAPSHOTS = Path(__file__).parent / "snapshots"
TYPED = "--plate 1250x1000x6 50x6 75x4 shelf=120x300x2 --steps 20"
COMMANDS = {
    "plan": f"plan {TYPED}",
    "plan-in-full": f"plan {TYPED} --explain",
    "plan-in-inches": "plan --units in --plate 48x36x1/4 2x6 shelf=4x12x2 --steps 20",
    "choices": f"plan {TYPED} --choices",
    "show": "show bench/plan.json",
    "why": "why bench/plan.json 1 5 12 16 23",
    "why-instead": "why bench/plan.json 3 20 --instead",
    "check": "check bench/plan.json",
    "check-list": "check frame.dxf --list-units mm",
    "notebook": "notebook --rig shed-rig/rig.toml",
    "no-rig": f"plan {TYPED} --rig shed.toml",
    "cannot-be-made": "plan --plate 600x400x6 wing=500x900x1 50x2",
    "help": "--help",
}
"""Name of the file, and the command that fills it."""


def screen(name: str, folder: Path) -> str:
    """What a command prints, called in a folder of its own: standard output, standard error, exit status."""
    prepare(folder)
    done = called(*COMMANDS[name].split(), folder=folder, COLUMNS="80")
    parts = [f"$ stripplan {COMMANDS[name]}\n", done.stdout, done.stderr and f"--- standard error\n{done.stderr}"]
    return "".join(parts) + f"--- exit status {done.returncode}\n"


def prepare(folder: Path) -> None:
    """A plan, a rig with its notebook, a drawing."""
    from tests.cli.test_lists import drawn

    shutil.copytree(ROOT / "output" / "bench", folder / "bench")
    shutil.copytree(ROOT / "examples" / "shed-rig", folder / "shed-rig")
    drawn(folder / "frame.dxf")


@pytest.mark.parametrize("name", COMMANDS)
def test_the_screen_is_as_it_was(tmp_path: Path, name: str) -> None:
    """Byte for byte."""
    assert screen(name, tmp_path) == (SNAPSHOTS / f"{name}.txt").read_text(encoding="utf-8"), STALE


def test_no_snapshot_is_left_over() -> None:
    """A file for each command, and no other."""
    assert {path.stem for path in SNAPSHOTS.iterdir()} == set(COMMANDS), STALE
