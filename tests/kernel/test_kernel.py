"""The library as Python sees it: what it exports, refused memory, the random generator, an outdated library, what is
said without.
"""

from __future__ import annotations

import ctypes
import importlib.util
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import kernel
from stripplan.cli.kernel_notice import tell_kernel
from stripplan.kernel import api, compiler
from stripplan.layout.strips.pattern_reduction import Compiled as CompiledPatterns
from stripplan.layout.strips.pattern_reduction import Task as StripsTask
from stripplan.sequence.sop import Ordering
from stripplan.sequence.sop.bound import bound
from stripplan.sequence.sop.exact import MOST_WORDS, close_gap
from stripplan.sequence.sop.problem import in_integers
from stripplan.sequence.sop.search import Compiled as CompiledOrder
from tests.kernel.refused_memory import grant

needs_library = pytest.mark.skipif(not kernel.available(), reason="no C compiler here: install one to test the kernel")

EXPORTED = re.compile(r"^PUBLIC (?!extern)[^(;]*?\*?(\w+)\(", re.MULTILINE)


@pytest.fixture
def limit() -> Iterator[None]:
    """Lifts the limit of allocations after the test."""
    yield
    grant(None)


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder in which the library is looked for, until the test ends."""
    monkeypatch.setenv(kernel.SWITCH, str(tmp_path))
    kernel.look_again()
    yield tmp_path
    monkeypatch.undo()
    kernel.look_again()


def built() -> Path:
    """Where the library lies that these tests use."""
    library = kernel.library()
    assert library is not None
    return Path(library._name)


def test_every_function_has_its_types() -> None:
    """What the C files export is what the table declares, no more and no less."""
    exported = {name for path in compiler.sources() for name in EXPORTED.findall(path.read_text(encoding="ascii"))}
    assert exported == set(api.SIGNATURES)


def test_random_numbers_are_those_of_the_published_generator() -> None:
    """splitmix64 from 1234567: the first numbers that the author's code prints (known from memory)."""
    rng = kernel.Rng(1234567)
    assert [rng.drawn() for _ in range(3)] == [6457827717110365317, 3203168211198807973, 9817491932198370423]


@needs_library
@given(st.integers(0, 2**64 - 1), st.integers(1, 2**31 - 1))
def test_random_numbers_of_both_twins(seed: int, n: int) -> None:
    """The same sequence in C and in Python, from any seed."""
    rng = kernel.Rng(seed)
    assert api.drawn(seed, n, 20) == [rng.below(n) for _ in range(20)]


def rectangles() -> api.RuinRecreate:
    """Twenty items of one size, two of which fill a plate of 10 x 10; each fourth of them too large for it."""
    stock = api.Stock(
        size=(10, 10), gap=1, longest=99, cuttable=1, marked=1, far_max=-1, cost=1, limit=-1, one_pass=99, turnable=-1
    )
    items = [api.item(20, 0, 50, [[(5, 10, False)]]), api.item(5, 0, 200, [[(20, 10, False)]])]
    return api.RuinRecreate([stock], items, depth=None, enough=0, seed=1)


@needs_library
@pytest.mark.usefixtures("limit")
def test_refused_memory_is_said_and_given_back() -> None:
    """Wherever memory is refused in a search for rectangles MemoryError is raised, and the search can be closed."""
    refused = 0
    for allocations in range(200):
        grant(allocations)
        try:
            search = rectangles()
        except MemoryError:
            refused += 1
            continue
        try:
            search.begin()
            search.run(20)
        except MemoryError:
            refused += 1
        else:
            break
        finally:
            search.close()
    assert 10 < refused < 199
    grant(None)
    search = rectangles()
    search.begin()
    assert (search.result().cost, search.result().out) == (10, 5)
    search.close()


@needs_library
@pytest.mark.usefixtures("limit")
def test_refused_memory_in_the_other_searches() -> None:
    """Patterns and orders ask for all their memory at once; the exact method without memory proves nothing more."""
    strips = StripsTask((3, 4), (0, 0), 10, 0, 1, 0, 0, 9, 9, 1)
    problem = in_integers(Ordering(3, ((0, 5, 4), (3, 0, 2), (1, 6, 0)), (1, 1, 1), ((), (), ())))
    for allocations in range(9):
        grant(allocations)
        with pytest.raises(MemoryError):
            CompiledPatterns(strips, [(((0, 2), (1, 1)), 3), (((0, 1),), 2)], 1)
    for allocations in range(2):
        grant(allocations)
        with pytest.raises(MemoryError):
            CompiledOrder(problem, [0, 1, 2], 1)
    known = bound(problem, 99)
    for allocations in range(5):
        grant(allocations)
        closed = close_gap(problem, 99, known)
        assert (closed.units, closed.row) == (known.units, None)
    grant(None)
    assert close_gap(problem, 99, known).row is not None
    assert problem.n < MOST_WORDS * 64


@needs_library
def test_a_closed_search_cannot_be_asked() -> None:
    """It is said, where C would read what is no longer there; to close it twice does no harm."""
    search = rectangles()
    search.close()
    search.close()
    with pytest.raises(ValueError, match="ruin_recreate is closed"):
        search.run(1)


@needs_library
def test_an_array_of_the_wrong_kind_is_refused() -> None:
    """Numbers of 32 bits where C reads 64."""
    import numpy as np

    wide, narrow = np.zeros(2, dtype=np.int64), np.zeros(2, dtype=np.int32)
    with pytest.raises(ValueError, match="an array of int32 in pieces, where C wants"):
        api.axis(narrow, wide, narrow, narrow)


@needs_library
def test_an_outdated_library_is_not_opened(elsewhere: Path) -> None:
    """A library of other sources lies there: it is not used, and the person is told."""
    library = elsewhere / compiler.LIBRARY
    assert kernel.state() == "missing"
    library.write_bytes(b"no library" + compiler.digest().encode())
    kernel.look_again()
    assert kernel.state() == "foreign"
    library.write_bytes(b"no library")
    kernel.look_again()
    assert kernel.state() == "outdated"


@needs_library
def test_the_library_is_of_the_sources_here(elsewhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One built from these sources is opened, and not any more once the sources are others."""
    monkeypatch.delenv(kernel.SWITCH)
    kernel.look_again()
    if not kernel.available():
        kernel.build(elsewhere)
    else:
        shutil.copyfile(built(), elsewhere / compiler.LIBRARY)
    monkeypatch.setenv(kernel.SWITCH, str(elsewhere))
    kernel.look_again()
    found = kernel.library()
    assert found is not None
    assert (
        ctypes.string_at(ctypes.addressof(ctypes.c_char.in_dll(found, "kernel_digest"))).decode() == compiler.digest()
    )
    monkeypatch.setattr(compiler, "digest", lambda: "other sources")
    kernel.look_again()
    assert kernel.state() == "outdated"


def test_a_compiler_that_does_not_compile_is_no_compiler(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A `cc` that only says where to get one, or that is not there: none is found, and the build says so."""
    real = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "ziglang" else real(name))
    for command in ("false", str(tmp_path / "nothing")):
        monkeypatch.setenv("CC", command)
        assert compiler.find_compiler() is None
        with pytest.raises(compiler.BuildError, match="no C compiler found: install one, or `pip install ziglang`"):
            compiler.build(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_what_is_said_without_the_library(
    elsewhere: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Why it is slow, and what mends it, in one line."""
    tell_kernel()
    assert capsys.readouterr().out == (
        "runs without its compiled searches, many times slower (they were not built): "
        "with a C compiler, or after `pip install ziglang`, run `python -m stripplan.kernel`\n"
    )
    monkeypatch.setenv(kernel.SWITCH, "off")
    kernel.look_again()
    tell_kernel()
    assert capsys.readouterr().out == (
        "runs without its compiled searches, many times slower (STRIPPLAN_KERNEL is off): "
        "take STRIPPLAN_KERNEL out of the environment\n"
    )
