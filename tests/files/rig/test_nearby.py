"""A rig file that is not there: those that lie nearby are named."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.files.rig.nearby import MOST_TOLD, is_rig, rigs_nearby
from stripplan.files.rig.read import builtin_rig_text, load_rig
from tests.renew_examples import ROOT


def said(path: Path | str) -> str:
    """What is said of a rig that cannot be read."""
    with pytest.raises(InputError) as refused:
        load_rig(path)
    return str(refused.value)


def test_rigs_beside_and_below_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A job, a list of something else and a notebook are no rigs; the one that is called alike comes first."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shed").mkdir()
    (tmp_path / "a.toml").write_text(builtin_rig_text())
    (tmp_path / "shed" / "rig.toml").write_text("stroke = 900\n")
    (tmp_path / "job.toml").write_text("[[plate]]\nlength = 5\n")
    (tmp_path / "broken.toml").write_text("stroke = = 5")
    assert rigs_nearby(Path("rig.toml")) == {
        "rigs": (str(Path("shed/rig.toml")), "a.toml"), "first": str(Path("shed/rig.toml")), "beside": "shed/rig.toml"
    }  # fmt: skip
    assert "there is no such file (rig files nearby: a.toml, shed/rig.toml; write --rig a.toml" in said("x.toml")
    assert "rig files nearby: a.toml" in said("nowhere/x.toml")
    assert "rig files nearby: a.toml" in said("x")


def test_where_there_is_none_a_copy_is_offered(tmp_path: Path) -> None:
    """The command that makes one stands there."""
    assert "`stripplan rig copy FILE` makes one to fill in" in said(tmp_path / "x.toml")


def test_no_more_are_named_than_are_read(tmp_path: Path) -> None:
    """Of many a few."""
    for number in range(9):
        (tmp_path / f"{number}.toml").write_text("stroke = 900\n")
    rigs = rigs_nearby(tmp_path / "x.toml")["rigs"]
    assert isinstance(rigs, tuple)
    assert len(rigs) == MOST_TOLD


@pytest.mark.parametrize(
    ("path", "rig"),
    [("shed-rig/rig.toml", True), ("shed-rig/notebook.toml", False), ("bench.toml", False), ("nowhere.toml", False)],
)
def test_a_rig_is_known_by_its_words(path: str, rig: bool) -> None:
    """The example is one; its notebook, a job, and what is not there are none."""
    assert is_rig(ROOT / "examples" / path) is rig
