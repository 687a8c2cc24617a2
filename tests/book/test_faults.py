"""Programs that are killed, that work at once, that find no room: nothing is lost, nothing promised twice."""

from __future__ import annotations

import os
import pickle
import random
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from stripplan.book.copies import faults_of
from stripplan.book.database import Database
from stripplan.book.pieces import Wanted, add, wanted_pieces
from tests.book.workshop import AT, SIZES, kerf_area, piece, planned
from tests.cli.running import ROOT, clean_environment

KILLS = 60
PROGRAMS = 6
PIECES = 60


def begun(folder: Path, *words: str) -> subprocess.Popen[str]:
    """The program of `tests.book.hand`."""
    return subprocess.Popen(
        [sys.executable, "-m", "tests.book.hand", str(folder), *words],
        cwd=ROOT, env=clean_environment(folder), text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


@pytest.mark.slow
def test_killed_at_any_moment(tmp_path: Path) -> None:
    """All that was said to be done is in the book, at most one step more, each step whole; the metal adds up."""
    (tmp_path / "plan.pickle").write_bytes(pickle.dumps(planned()))
    chance, area, path = random.Random(7), SIZES[0][0] * SIZES[0][1], tmp_path / "rack.db"
    steps = 0
    for _ in range(KILLS):
        with begun(tmp_path, "work") as program:
            assert program.stdout is not None
            said = [program.stdout.readline()]
            time.sleep(chance.random() * 0.1)  # when it is killed is left to chance; nothing is measured
            program.kill()
            said += program.stdout.readlines()
        words = [line.split() for line in said if line.endswith("\n")]
        last = {tag: word for word, tag, *_ in words}
        ticked = Counter(tag for word, tag, *_ in words if word == "ticked")
        steps += len(said)
        assert faults_of(path) == ()
        with Database(path) as book, book.reading() as connection:
            states = dict(connection.execute("SELECT id, state FROM plan"))
            rows = connection.execute("SELECT note, state, plan FROM piece LEFT JOIN reservation ON piece = number")
            there = {note: (state, plan) for note, state, plan in rows if note}
            cuts = dict(connection.execute("SELECT plan, count(*) FROM cut GROUP BY plan"))
            made = dict(connection.execute("SELECT plan, sum(area) FROM made GROUP BY plan"))
        for tag, word in last.items():
            assert tag in there
            assert cuts.get(tag, 0) - ticked[tag] in (0, 1)  # at most one more than was said
            assert word == "added" or tag in states
            assert word != "done" or states[tag] == "done" or int(tag, 16) % 3 == 0
        for tag, (state, plan) in there.items():
            assert (state, plan) == {"done": ("used", None), "planned": ("there", tag), None: ("there", None)}[
                states.get(tag)
            ]
            if states.get(tag) == "done":
                assert made[tag] + kerf_area(planned()) == pytest.approx(area, abs=1e-3)
            else:
                assert tag not in made
    print(f"{KILLS} kills, {steps} steps said, {len(there)} pieces brought")


@pytest.mark.slow
def test_programs_at_once_promise_nothing_twice(tmp_path: Path) -> None:
    """Each piece goes to exactly one of the programs that reach for it, and the book says to which."""
    with Database(tmp_path / "rack.db", create=True) as book:
        add(book, [piece()] * PIECES, AT)
        programs = [begun(tmp_path, f"job {number}", str(PIECES)) for number in range(PROGRAMS)]
        for program in programs:
            assert program.stdout is not None
            assert program.stdout.readline() == "ready\n"
        for program in programs:
            assert program.stdin is not None
            program.stdin.write("go\n")
            program.stdin.flush()
        had = {}
        for number, program in enumerate(programs):
            out, err = program.communicate()
            assert program.returncode == 0, err
            had[f"job {number}"] = {int(line) for line in out.split()}
        assert sorted(piece for some in had.values() for piece in some) == list(range(1, PIECES + 1))
        assert {each.number: each.job for each in wanted_pieces(book)} == {
            piece: job for job, some in had.items() for piece in some
        }
        print(f"{PROGRAMS} programs, {PIECES} pieces: {dict(Counter(len(some) for some in had.values()))}")


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs to become somebody else")
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """The rack can be looked at, and a change is refused in plain words."""
    with Database(tmp_path / "rack.db", create=True) as book:
        add(book, [piece()], AT)
    for each in (tmp_path, *tmp_path.parents):
        if each.owner() == "root" and str(each).startswith("/tmp/"):
            each.chmod(0o755)
    code = (
        "import os\n"
        "from pathlib import Path\n"
        "from stripplan.book.database import Database\n"
        "from stripplan.book.pieces import wanted_pieces\n"
        "from stripplan.wording.sentences import all_sentences\n"
        "all_sentences(), os.setuid(65534)\n"
        f"path = Path({str(tmp_path / 'rack.db')!r})\n"
        "print(len(wanted_pieces(Database(path, writes=False))))\n"
        "Database(path)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=clean_environment(tmp_path), capture_output=True, text=True
    )
    assert done.stdout == "1\n", done.stderr
    assert "who may" in done.stderr
    with Database(tmp_path / "rack.db") as book:
        assert len(wanted_pieces(book, Wanted())) == 1
