"""Whatever lies in a file, a reader gives a value or a plain refusal: never another exception, never minutes."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.job.read import load_job
from stripplan.files.notebook.read import load_notebook
from stripplan.files.parts.columns import read_cut_list
from stripplan.files.plan.read import load_plan
from stripplan.files.rig.read import builtin_rig_text, load_rig
from tests.files.parts.specimens import FULL, GOOD, write

READERS: list[Callable[[Path], object]] = [load_job, load_rig, read_cut_list, load_plan, load_notebook]
LIST = "name;width (mm);length;qty;rolling\nbar;50,5;;3;free\nfoot;60 mm;10 in;2;length\n"
BOOK = (Path(__file__).parents[2] / "examples" / "shed-rig" / "notebook.toml").read_text(encoding="utf-8")
SEEDS = [
    (load_job, GOOD), (load_job, FULL), (load_rig, builtin_rig_text()), (read_cut_list, LIST), (load_notebook, BOOK),
]  # fmt: skip
SPLINTERS = [
    "", "[", "]", "[[", "{", "}", '"', "'", '"""', "=", "\n", ",", ";", "#", ".", "-", "nan", "inf", "1e999", "true",
    "\u0000", "\ud7ff", "½",
    "0", "-5", "9" * 30, "[[part]]\n", "[rig]\n", "[[process]]\n", "width = 5\n", "{a = 1}", "[1, 2]", "2026-05-30",
    "\\u0007", "\r",
]  # fmt: skip


def read_or_refused(reader: Callable[[Path], object], path: Path) -> None:
    """Read, or refused in sentences of one line."""
    try:
        reader(path)
    except InputError as error:
        assert 0 < len(error.faults) <= 21
        for fault in error.faults:
            assert fault.worded().text
            assert fault.sentence().isprintable()
            assert len(fault.sentence()) < 600


@given(data=st.binary(max_size=200))
def test_any_bytes(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Arbitrary bytes."""
    path = write(tmp_path_factory.mktemp("any"), data, "file")
    for reader in READERS:
        read_or_refused(reader, path)


@given(text=st.lists(st.sampled_from(SPLINTERS) | st.text(max_size=5), max_size=20).map("".join))
def test_any_splinters(text: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Bits of good files in any order."""
    path = write(tmp_path_factory.mktemp("any"), text, "file")
    for reader in READERS:
        read_or_refused(reader, path)


@given(seed=st.sampled_from(SEEDS), data=st.data())
def test_good_files_with_splinters(
    seed: tuple[Callable[[Path], object], str], data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Good files with a few places overwritten, taken out or doubled."""
    reader, text = seed
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 12)))
        text = text[:start] + data.draw(st.sampled_from([*SPLINTERS, text[start:end] * 2])) + text[end:]
    read_or_refused(reader, write(tmp_path_factory.mktemp("any"), text, "file"))


MB = 2**20


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (load_job, b"[[part]]\nw=1\n" * (3 * MB // 13)),
        (load_job, b"".join(b"k%d=1\n" % n for n in range(100_000))),
        (load_job, b"a=" + b"[" * 90_000),
        (load_job, (b"a" + b".a" * 1990 + b"=1\n") * 50),
        (load_job, b"x = 1\n" + b"[[part]]\nwidth = 5\n" * 19_000),
        (load_job, b'a = "' + b"x" * (30 * MB) + b'"'),
        (read_cut_list, b"width,qty\n" + b"x,y\n" * (15 * MB // 4)),
        (read_cut_list, b"width" + b",width" * (15 * MB // 6)),
        (read_cut_list, b"width\n" + b"\n" * (8 * MB)),
        (read_cut_list, b'width\n"' + b"5\n" * (15 * MB // 2)),
        (load_plan, b"[" * (15 * MB)),
        (load_plan, b'{"schema":"stripplan/plan/1","x":[' + b"1," * (7 * MB) + b"1]}"),
    ],
    ids=["parts", "keys", "nested", "dotted", "misspelt among many", "text", "rows", "columns", "blank rows", "quote",
     "lists", "numbers"],
)  # fmt: skip
def test_hostile_files_cost_seconds(tmp_path: Path, reader: Callable[[Path], object], text: bytes) -> None:
    """The largest files that are read at all, filled with what costs most, are refused within seconds."""
    path = write(tmp_path, text, "file")
    start = time.process_time()
    with pytest.raises(InputError):
        reader(path)
    assert time.process_time() - start < 30  # measured 0.1 to 4 s; the margin is for busy machines
