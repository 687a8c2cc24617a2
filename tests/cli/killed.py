"""Commands that write, killed at any call to the system that changes the disk: `python -m tests.cli.killed --points
200`.

Each point is a process of its own that kills itself before, after or amid its n-th such call, or at a statement by
which it changes the stock book. Then every file of the person's must be there to the byte, each of ours the old or the
new one, the book must say what it said before or what it says after, and the same command once more must end as if
nothing had happened.
"""

from __future__ import annotations

import argparse
import importlib
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
LIMIT = 120
"""No command takes so long [s]."""
CALLS = ("open", "write", "fsync", "mkdir", "rename", "replace", "unlink", "rmdir", "chmod")
MINE = {
    "work/notes.txt": b"mine",
    "work/plate-Panel.dxf": b"my own drawing",
    "work/chart-mine.svg": b"<svg/>",
    "work/setup-sheet.pdf.bak": b"kept",
    "work/.hidden": b"mine too",
    "work/letters/plan.json": b"{}",
    "mine.toml": b"stroke = 900\n",
}
"""What a person keeps beside what is written."""
LARGE = ("plan", "--plate", "700x400x6*3", "150x300x8", "--steps", "50", "--quiet", "--out", "work")
SMALL = ("plan", "--plate", "600x400x6*3", "150x300x2", "--steps", "50", "--quiet", "--out", "work")
TICKED = ("tick", "work/plan.json", "1-2", "--minutes", "5")
BOOK = "rack.db"
NOTEBOOK = ("notebook", str(ROOT / "examples" / "shed-rig" / "notebook.toml"), "--out", "work")


@dataclass(frozen=True)
class Case:
    """A command, and the commands that were run in the folder before."""

    name: str
    before: tuple[tuple[str, ...], ...]
    words: tuple[str, ...]


CASES = (
    Case("plan", (), SMALL),
    Case("plan again", (LARGE, ("labels", "work/plan.json")), SMALL),
    Case("sheet", (SMALL,), ("sheet", "work/plan.json", "--short")),
    Case("labels", (SMALL, ("labels", "work/plan.json")), ("labels", "work/plan.json", "--what", "parts")),
    Case(
        "pictures",
        (SMALL, ("pictures", "work/plan.json", "--steps", "--out", "work")),
        ("pictures", "work/plan.json", "--png", "--width", "100", "--out", "work"),
    ),
    Case("notebook", (SMALL, NOTEBOOK), (*NOTEBOOK, "--page", "letter")),
    Case("tick", (SMALL,), TICKED),
    Case("tick once more", (SMALL, TICKED), ("tick", "work/plan.json", "3", "--spoilt", "left", "--note", "slipped")),
    Case("tick --undo", (SMALL, TICKED), ("tick", "work/plan.json", "--undo", "2")),
    Case("rig copy", (), ("rig", "copy", "work/new.toml")),
    Case("rig copy --force", (("rig", "copy", "work/own.toml"),), ("rig", "copy", "work/own.toml", "--force")),
)


def files_in(place: Path) -> dict[str, bytes]:
    """Every file below a folder, but for those of the stock book, which is looked at by what it says."""
    files = (path for path in place.rglob("*") if path.is_file() and not path.name.startswith(BOOK))
    return {str(path.relative_to(place)): path.read_bytes() for path in files}


def said_by_book(place: Path) -> list[object]:
    """What the stock book says of plans and their cuts, without the time of day; nothing where there is none, or none
    yet. AssertionError where it is damaged."""
    from stripplan.book.copies import faults_of
    from stripplan.book.database import Database
    from stripplan.book.day import day_of
    from stripplan.book.plans import kept_plans

    path = place / BOOK
    if not path.exists() or not path.stat().st_size:
        return []
    with Database(path) as book:  # what a kill left in the log is put right here
        plans = [(each.id, each.done, each.ticked) for each in kept_plans(book)]
        days = [day_of(book, tag) for tag, *_ in plans]
    assert faults_of(path) == ()
    cuts = [[(each.number, each.minutes, each.spoilt, each.note) for each in day.ticked] for day in days]
    return [*plans, *cuts]


def in_a_process(do: Callable[[], object], place: Path) -> int:
    """Do it in a process of its own that stands in `place`: its exit status, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        status = 70
        try:
            os.chdir(place)
            os.environ["STRIPPLAN_BOOK"] = BOOK
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            do()
            status = 0
        finally:
            os._exit(status)
    end = time.monotonic() + LIMIT
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.002)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    raise TimeoutError(f"not done after {LIMIT} s")


READ_FIRST = (
    "highspy", "numpy", "shapely", "ezdxf", "reportlab.pdfgen.canvas", "stripplan.cli.main", "stripplan.planner",
    "stripplan.replay.verdict", "stripplan.sheets.folder", "stripplan.files.job.read", "stripplan.files.rig.read",
    "stripplan.files.plan.read",
)  # fmt: skip
"""What the commands read before they write, here once, so that not every process reads it anew."""


def command(words: tuple[str, ...]) -> Callable[[], object]:
    """The command, to be run in a process of its own."""
    from stripplan.cli.main import main

    return lambda: main.main(list(words), prog_name="stripplan", standalone_mode=False)


def armed(do: Callable[[], object], at: int, how: str, told: int | None = None) -> Callable[[], object]:
    """As `do`, but killed at the call `at`: before it, after it, or with half of it written.
    `told` gets the number of calls in all.
    """

    def run() -> None:
        made = 0

        def around(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
            def call(*args: Any, **kwargs: Any) -> Any:
                nonlocal made
                if name == "open" and not (len(args) > 1 and args[1] & os.O_CREAT):
                    return real(*args, **kwargs)
                made += 1
                if made == at and how != "after":
                    if how == "amid" and name == "write":
                        real(args[0], bytes(args[1])[: len(args[1]) // 2])
                    os.kill(os.getpid(), signal.SIGKILL)
                given = real(*args, **kwargs)
                if made == at:
                    os.kill(os.getpid(), signal.SIGKILL)
                return given

            return call

        class Statements(sqlite3.Connection):
            """A book that counts the statements by which it is changed."""

            def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:  # type: ignore[override]
                run = super().execute
                return (run if sql.startswith(("SELECT", "PRAGMA")) else around("statement", run))(sql, *values)

            def executemany(self, sql: str, *values: Any) -> sqlite3.Cursor:  # type: ignore[override]
                return around("statement", super().executemany)(sql, *values)

        connect = sqlite3.connect
        sqlite3.connect = lambda *args, **more: connect(*args, factory=Statements, **more)  # type: ignore[assignment]
        tell = os.write
        for name in CALLS:
            setattr(os, name, around(name, getattr(os, name)))
        do()
        if told is not None:
            tell(told, str(made).encode())

    return run


def calls(do: Callable[[], object], place: Path) -> int:
    """How many calls a command makes that change the disk."""
    read, told = os.pipe()
    assert in_a_process(armed(do, 0, "before", told), place) == 0
    os.close(told)
    number = int(os.read(read, 20))
    os.close(read)
    return number


def prepared(case: Case, room: Path) -> Path:
    """A folder as it is before the command."""
    place = room / "before"
    for name, data in MINE.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(data)
    for words in case.before:
        assert in_a_process(command(words), place) == 0, words
    if case.name == "rig copy --force":
        (place / "work" / "own.toml").write_bytes(b"stroke = 900\n")
    return place


def try_points(case: Case, points: int, chance: random.Random) -> int:
    """Kill the command at random points; how many times it was killed. AssertionError where something is lost."""
    for module in READ_FIRST:
        importlib.import_module(module)
    with tempfile.TemporaryDirectory() as name:
        room = Path(name)
        before = prepared(case, room)
        after = Path(shutil.copytree(before, room / "after"))
        most = calls(command(case.words), after)
        old, new = files_in(before), files_in(after)
        told, tells = said_by_book(before), said_by_book(after)
        killed = 0
        for number in range(points):
            at, how = chance.randint(1, most), chance.choice(("before", "after", "amid"))
            place = Path(shutil.copytree(before, room / f"point{number}"))
            ended = in_a_process(armed(command(case.words), at, how), place)
            killed += ended == -signal.SIGKILL
            where = f"{case.name}, {how} call {at} of {most}"
            seen = files_in(place)
            assert {each: seen.get(each) for each in MINE} == MINE, f"{where}: a file of the person's"
            for each, data in seen.items():
                if "/.stripplan-" not in each and each not in MINE:
                    assert data in (old.get(each), new.get(each)), f"{where}: {each} is not whole"
            for each in old.keys() & new.keys():
                assert each in seen, f"{where}: {each} is gone"
            assert said_by_book(place) in (told, tells), f"{where}: the book says something else"
            if case.name != "rig copy" or "work/new.toml" not in seen:
                assert in_a_process(command(case.words), place) == 0, f"{where}: cannot be run again"
            assert said_by_book(place) == tells, f"{where}: the book is not as if nothing had happened"
            assert files_in(place) == new, f"{where}: not as if nothing had happened"
            shutil.rmtree(place)
        return killed


def main() -> None:
    """All commands in turn, so many points in all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--points", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chance = random.Random(given.seed)
    killed = 0
    for number, case in enumerate(CASES):
        points = (given.points + number) // len(CASES)
        times = try_points(case, points, chance)
        print(f"{case.name}: {points} points, {times} killed", flush=True)
        killed += times
    print(f"in all {killed} killed: nothing lost, each file whole, each command ends well when run again")


if __name__ == "__main__":
    sys.exit(main())
