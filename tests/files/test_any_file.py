"""Whatever lies in a file, a reader gives a value or a plain refusal: no other exception, no endless work."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.job.read import load_job
from stripplan.files.notebook.read import load_notebook
from stripplan.files.parts.lists.csv_list import read_cut_list
from stripplan.files.plan.read import load_plan
from stripplan.files.rig.read import builtin_rig_text, load_rig
from tests.checking import calls, few
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
HOSTILE: dict[str, tuple[Callable[[Path], object], Callable[[int], bytes], int]] = {
    "parts": (load_job, lambda n: b"[[part]]\nw=1\n" * n, 3 * MB // 13),
    "keys": (load_job, lambda n: b"".join(b"k%d=1\n" % k for k in range(n)), 100_000),
    "nested": (load_job, lambda n: b"a=" + b"[" * n, 90_000),
    "dotted": (load_job, lambda n: (b"a" + b".a" * 1990 + b"=1\n") * n, 50),
    "misspelt among many": (load_job, lambda n: b"x = 1\n" + b"[[part]]\nwidth = 5\n" * n, 19_000),
    "text": (load_job, lambda n: b'a = "' + b"x" * n + b'"', 30 * MB),
    "rows": (read_cut_list, lambda n: b"width,qty\n" + b"x,y\n" * n, 15 * MB // 4),
    "columns": (read_cut_list, lambda n: b"width" + b",width" * n, 15 * MB // 6),
    "blank rows": (read_cut_list, lambda n: b"width\n" + b"\n" * n, 8 * MB),
    "quote": (read_cut_list, lambda n: b'width\n"' + b"5\n" * n, 15 * MB // 2),
    "lists": (load_plan, lambda n: b"[" * n, 15 * MB),
    "numbers": (load_plan, lambda n: b'{"schema":"stripplan/plan/1","x":[' + b"1," * n + b"1]}", 7 * MB),
}
"""Reader, what costs it most, and how many of these are in the largest file that is read at all."""
WHOLE = ("nested", "dotted", "text", "quote", "lists", "numbers")
"""Those that are refused soon."""


@pytest.mark.parametrize("name", [name for name in HOSTILE if name not in WHOLE])
def test_hostile_files_are_refused_for_no_more_work_than_their_length(tmp_path: Path, name: str) -> None:
    """Files filled with what costs most are refused; twice as long, they are no more than some twice the work."""
    reader, make, most = HOSTILE[name]

    def work(count: int) -> int:
        path = write(tmp_path, make(count), "file")
        return calls(lambda: refused(reader, path))

    count = max(1, min(most // 100, 1000))
    assert work(2 * count) < 2.5 * work(count) + 200


@pytest.mark.parametrize("name", few(len(WHOLE), sorted(HOSTILE, key=lambda name: name not in WHOLE)))
def test_the_largest_hostile_files_are_refused(tmp_path: Path, name: str) -> None:
    """So too at the limits of what is read."""
    reader, make, most = HOSTILE[name]
    refused(reader, write(tmp_path, make(most), "file"))


def refused(reader: Callable[[Path], object], path: Path) -> None:
    """Not read."""
    with pytest.raises(InputError):
        reader(path)
