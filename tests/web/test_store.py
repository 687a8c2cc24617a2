"""What the page keeps on disk."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.web.store import Progress, Store

SHOWN = {"job": "gate", "cuts": [{}] * 5}
ID = "0123abcd"


def kept(folder: Path) -> Store:
    """A store with one plan of five cuts."""
    store = Store(folder)
    store.keep(ID, "{}", "name = 'gate'\n", SHOWN, "2030-01-02T03:04:05+00:00")
    return store


def change(what: str, cut: object = 1, text: str = "", name: str = "change-0001") -> dict[str, object]:
    """A change as a device sends it."""
    return {"what": what, "cut": cut, "text": text, "name": name}


def test_a_plan_is_whole_or_not_there(tmp_path: Path) -> None:
    """Its plan file is written last, so a folder without one is no plan; foreign folders are passed over."""
    store = kept(tmp_path)
    (tmp_path / "plans" / "0badbad0").mkdir()
    (tmp_path / "plans" / "notes").mkdir()
    (tmp_path / "plans" / "notes" / "about.json").write_text("[]")
    assert [each.id for each in store.kept()] == [ID]
    assert (store.kept()[0].name, store.kept()[0].cuts, store.kept()[0].done) == ("gate", 5, 0)


@pytest.mark.parametrize("name", ["..", "../0123abc", "0123ABCD", "0123abcd/", "", "0123abcd\n", "0123abcde"])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    """Only eight hexadecimal digits name a plan."""
    store = kept(tmp_path)
    for ask in (store.plan_text, store.job_text, store.shown, store.progress):
        with pytest.raises(InputError, match="no such plan"):
            ask(name)


def test_progress_is_there_after_a_restart(tmp_path: Path) -> None:
    """What was stored is read back by another store, and the version says that something changed."""
    kept(tmp_path).change(ID, [change("done", 2), change("measured", 2, "50.4", "change-0002")], 7.0)
    now = Store(tmp_path).progress(ID)
    assert (now.done, now.measured, now.version, now.last_at) == ([2], {"2": "50.4"}, 2, 7.0)


def test_a_change_sent_twice_counts_once(tmp_path: Path) -> None:
    """A device that did not hear the answer may send it again."""
    store = kept(tmp_path)
    store.change(ID, [change("done", 3)], 1.0)
    store.change(ID, [change("undone", 3, name="change-0002")], 2.0)
    assert store.change(ID, [change("done", 3)], 3.0).done == []


@pytest.mark.parametrize(
    "bad",
    [
        change("done", 0), change("done", 6), change("done", "1"), change("done", True), change("done", 1.0),
        change("explode"), {**change("done"), "name": "x"}, {**change("done"), "name": None}, {},
    ],
)  # fmt: skip
def test_of_changes_with_a_bad_one_none_is_taken(tmp_path: Path, bad: dict[str, object]) -> None:
    """All or none, and the file stays as it was."""
    store = kept(tmp_path)
    store.change(ID, [change("done", 1)], 1.0)
    before = (tmp_path / "plans" / ID / "progress.json").read_bytes()
    with pytest.raises(InputError):
        store.change(
            ID,
            [
                change("done", 2, name="change-0002"),
                {**bad, **({"name": "change-0003"} if bad.get("name") == "change-0001" else {})},
            ],
            2.0,
        )
    assert (tmp_path / "plans" / ID / "progress.json").read_bytes() == before


def test_progress_that_cannot_be_read_is_told_and_not_written_over(tmp_path: Path) -> None:
    """A damaged file is named, and no change makes it anew as if nothing had been done."""
    store = kept(tmp_path)
    file = tmp_path / "plans" / ID / "progress.json"
    file.write_text('{"done": [1, 2')
    with pytest.raises(InputError, match="cannot be read"):
        store.change(ID, [change("done", 3)], 1.0)
    assert file.read_text() == '{"done": [1, 2'


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["done", "undone", "at", "measured", "wrong"]), st.integers(1, 5), st.text(max_size=5)
        ),
        max_size=30,
    ),
    st.data(),
)
def test_two_devices_agree_whatever_comes_twice(changes: list[tuple[str, int, str]], data: st.DataObject) -> None:
    """Changes that come a second time, later, leave the same state as those that came once."""
    once, twice = Progress(), Progress()
    sent = [change(what, cut, text, f"change-{n:04}") for n, (what, cut, text) in enumerate(changes)]
    for number, each in enumerate(sent):
        once.change(each, 5, 1.0)
        twice.change(each, 5, 1.0)
        twice.change(sent[data.draw(st.integers(0, number))], 5, 2.0)
    assert vars(once) == vars(twice)
    assert json.loads(json.dumps(vars(once))) == vars(once)
