"""Examples run, and what is committed of their output is what they write."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from tests.renew_examples import ROOT, renew


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Output of every example, made now."""
    into = tmp_path_factory.mktemp("output")
    renew(into)
    return into


@pytest.mark.parametrize("name", ["strips", "brackets", "workshop"])
def test_committed_output_is_fresh(fresh: Path, name: str) -> None:
    """Every file is byte for byte what the example writes; if not: python -m tests.renew_examples."""
    committed = {p.name: p for p in (ROOT / "output" / name).iterdir() if not p.name.endswith(".png")}
    assert set(committed) == {p.name for p in (fresh / name).iterdir()}
    stale = [key for key, path in committed.items() if path.read_bytes() != (fresh / name / key).read_bytes()]
    assert stale == [], "stale: run python -m tests.renew_examples"


def test_library_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The example in Python prints a fence reading for each cut."""
    runpy.run_path(str(ROOT / "examples" / "plan_in_python.py"), run_name="__main__")
    assert "cut 1: fence" in capsys.readouterr().out
