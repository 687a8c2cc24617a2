"""What the page keeps on disk."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.job.write import job_text
from stripplan.files.plan.read import plan_from
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web import tasks
from stripplan.web.store.plan_store import PlanStore, _id_of
from stripplan.web.store.progress import Progress
from tests.checking import few
from tests.web.asking import JOB

MADE: dict[str, Any] = tasks.planned(JOB, ".", tell=lambda _: None, stop=lambda: False)
"""A plan as the page makes it: its text and what is shown of it."""
ID = MADE["shown"]["id"]


def keep(store: PlanStore) -> None:
    """Keep it."""
    store.keep(ID, MADE["text"], job_text(JOB), MADE["shown"], "2030-01-02T03:04:05+00:00")


def kept(folder: Path) -> PlanStore:
    """A store with that plan."""
    store = PlanStore(folder)
    keep(store)
    return store


def begun(folder: Path) -> PlanStore:
    """A store with that plan, two of its cuts done."""
    store = kept(folder)
    for cut in (1, 2):
        store.change(ID, [change("done", cut, name=f"change-000{cut}")], float(cut))
    return store


def spoil(file: Path, data: bytes | None) -> None:
    """Put something else where a file lies, or nothing."""
    file.unlink()
    if data is not None:
        file.write_bytes(data)


def change(what: str, cut: object = 1, text: str = "", name: str = "change-0001") -> dict[str, object]:
    """A change as a device sends it."""
    return {"what": what, "cut": cut, "text": text, "name": name}


def test_a_plan_is_whole_or_not_there(tmp_path: Path) -> None:
    """It comes as a whole folder, so an empty one is no plan; foreign folders are passed over."""
    store = kept(tmp_path)
    (tmp_path / "plans" / "0badbad0").mkdir()
    (tmp_path / "plans" / "notes").mkdir()
    (tmp_path / "plans" / "notes" / "about.json").write_text("[]")
    assert [each.id for each in store.kept()] == [ID]
    assert (store.kept()[0].name, store.kept()[0].cuts, store.kept()[0].done) == ("gate", 4, 0)


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
    now = PlanStore(tmp_path).progress(ID)
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
        change("done", 0), change("done", 5), change("done", "1"), change("done", True), change("done", 1.0),
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


SPOILT: dict[str, Callable[[bytes], bytes | None]] = {
    "empty": lambda _: b"",
    "noughts": lambda data: bytes(len(data)),
    "truncated": lambda data: data[: len(data) // 2],
    "another type": lambda _: b"[1, 2]",
    "another table": lambda _: b'{"done": {"a": 1}, "cuts": 3, "measured": [], "version": "x", "name": []}',
    "nested": lambda _: b"[" * 100_000,
    "not UTF-8": lambda data: data[:20] + b"\xff" + data[20:],
    "one figure": lambda data: data.replace(b"1", b"7", 1),
    "missing": lambda _: None,
}
"""Ways in which a file is damaged: what lies there then."""


@pytest.mark.parametrize("how", SPOILT)
@pytest.mark.parametrize("name", ["progress.json", "plan.json", "shown.json", "about.json", "job.toml"])
def test_a_damaged_file_is_told_and_set_aside_and_the_plan_stays_in_the_list(
    tmp_path: Path, name: str, how: str
) -> None:
    """Whatever happens to a file of a plan: the plan is listed with what happened,
    and what lay there lies beside its place.
    """
    store = begun(tmp_path)
    file = tmp_path / "plans" / ID / name
    spoilt = SPOILT[how](file.read_bytes())
    if spoilt == file.read_bytes() or (name == "job.toml" and how == "one figure"):
        return
    spoil(file, spoilt)
    (each,) = store.kept()
    assert each.happened
    assert any(name in line for line in each.happened)
    assert store.kept() == PlanStore(tmp_path).kept() == [each]  # told once, and again after a restart
    if name == "job.toml":  # a person mends it
        assert file.exists() == (spoilt is not None)
        with pytest.raises(InputError, match="job"):
            store.job(ID)
    elif spoilt is not None:
        aside = file.with_name(f"{file.stem}-damaged-1.json")
        assert aside.read_bytes() == spoilt
        assert aside.name in " ".join(each.happened)
    assert (each.name, each.cuts) == ("gate", len(MADE["shown"]["cuts"]))
    assert each.done == (1 if name == "progress.json" else 2)
    assert each.whole == (name != "plan.json")
    assert each.cuttable


def test_what_is_shown_is_made_anew_from_the_plan(tmp_path: Path) -> None:
    """Damaged, it is the same afterwards; a plan file that is damaged too is told, and nothing is shown."""
    store = begun(tmp_path)
    before = store.shown(ID)
    for _ in range(2):
        spoil(tmp_path / "plans" / ID / "shown.json", b"{")
        anew = store.shown(ID)
        assert {**anew, "compare": None} == {**before, "compare": None}  # figures of the plan file are rounded to 1e-6
        assert anew["compare"] == pytest.approx(before["compare"])
    spoil(tmp_path / "plans" / ID / "shown.json", b"{}")
    spoil(tmp_path / "plans" / ID / "plan.json", b"{}")
    with pytest.raises(InputError, match="plan it again from its list"):
        store.shown(ID)
    (each,) = store.kept()
    assert (each.name, each.cuttable, each.whole, each.done) == ("gate", False, False, 2)
    asides = sorted(each.name for each in (tmp_path / "plans" / ID).glob("*-damaged-*"))
    assert asides == [
        "plan-damaged-1.json",
        "shown-damaged-1.json",
        "shown-damaged-2.json",
    ]  # the same content lies there once
    keep(store)
    (each,) = store.kept()
    assert (each.cuttable, each.whole, each.done) == (True, True, 2)


def test_progress_from_the_copy_is_news_to_every_device(tmp_path: Path) -> None:
    """Its version is none that a device has; a change is taken on top of it;
    with the copy damaged too, no cut counts as done.
    """
    store = begun(tmp_path)
    version = store.progress(ID).version
    spoil(tmp_path / "plans" / ID / "progress.json", b"")
    now = store.progress(ID)
    assert (now.done, now.version > version) == ([1], True)
    assert "cuts done, 1. See at the plate" in " ".join(store.happened(ID))
    assert store.change(ID, [change("done", 3, name="change-0003")], 3.0).done == [1, 3]
    for each in ("progress.json", "progress-before.json"):
        spoil(tmp_path / "plans" / ID / each, b"\0\0")
    assert PlanStore(tmp_path).progress(ID).done == []
    assert "no cut counts as done" in store.happened(ID)[-1]


def test_what_happened_is_told_until_somebody_has_seen_it(tmp_path: Path) -> None:
    """Afterwards it still lies in the folder, and what happens later is told again."""
    store = begun(tmp_path)
    spoil(tmp_path / "plans" / ID / "progress.json", b"{")
    store.progress(ID)
    told = store.happened(ID)
    store.seen(ID)
    assert told
    assert store.happened(ID) == ()
    assert told[0] in (tmp_path / "plans" / ID / "what-happened-damaged-1.txt").read_text()
    spoil(tmp_path / "plans" / ID / "progress.json", b"{")
    store.progress(ID)
    assert len(store.happened(ID)) == 1


def test_files_of_an_earlier_release_are_read(tmp_path: Path) -> None:
    """Without digests and without the clock they are taken as they are, and nothing is told."""
    store = begun(tmp_path)
    for each in ("progress.json", "shown.json", "about.json"):
        file = tmp_path / "plans" / ID / each
        record = json.loads(file.read_bytes())
        for key in ("check", "clock"):
            record.pop(key, None)
        file.write_text(json.dumps(record, ensure_ascii=False), encoding="utf-8")
    (each_kept,) = store.kept()
    assert (each_kept.happened, each_kept.done, each_kept.cuttable) == ((), 2, True)


def test_the_id_of_a_plan_is_made_of_its_content() -> None:
    """As the sheet makes it: every plan that was kept is known by it, so it may never be made in another way."""
    assert MADE["shown"]["id"] == plan_id(plan_from(MADE["text"], name="plan")) == ID
    assert _id_of(b'{"made_at": "2030-01-02", "a": [1, 2.5], "b": "\xc3\xa4"}') == "bfd13913"


class _Killed(BaseException):
    """The process ends here."""


@contextmanager
def killed_at(monkeypatch: pytest.MonkeyPatch, number: int) -> Iterator[list[str]]:
    """The process ends before its so-manieth change of the disk, and changes nothing any more;
    what it would have changed.
    """
    calls: list[str] = []

    def counted(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **more: Any) -> Any:
            if name == "open" and not given[1] & os.O_CREAT:
                return real(*given, **more)
            calls.append(name)
            if len(calls) > number:
                raise _Killed
            return real(*given, **more)

        return call

    with monkeypatch.context() as patch:
        for name in ("open", "fdopen", "mkdir", "rename", "replace", "unlink", "rmdir", "fsync", "link", "chmod"):
            patch.setattr(os, name, counted(name, getattr(os, name)))
        try:
            yield calls
        except _Killed:
            calls.append("killed")


def everywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, before: Callable[[Path], None],
doing: Callable[[Path], None], whole: Callable[[Path], None]) -> int:  # fmt: skip
    """Do a thing with a kill before each of its changes of the disk in turn; how many there are."""
    for number in range(1000):
        folder = tmp_path / str(number)
        before(folder)
        with killed_at(monkeypatch, number) as calls:
            doing(folder)
        whole(folder)
        if calls[-1:] != ["killed"]:
            return number
    raise AssertionError


@pytest.mark.long
def test_a_kill_anywhere_in_keeping_leaves_the_plan_whole_or_not_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And it can be kept afterwards; of a plan that was kept before, nothing is lost."""

    def whole(folder: Path) -> None:
        listed = PlanStore(folder).kept()
        assert [each.happened for each in listed] in ([], [()])
        keep(PlanStore(folder))
        assert [(each.happened, each.whole, each.cuttable) for each in PlanStore(folder).kept()] == [((), True, True)]

    assert (
        everywhere(tmp_path / "new", monkeypatch, lambda folder: None, lambda folder: keep(PlanStore(folder)), whole)
        > 12
    )

    def still(folder: Path) -> None:
        assert [(each.happened, each.done, each.whole) for each in PlanStore(folder).kept()] == [((), 2, True)]

    assert everywhere(tmp_path / "again", monkeypatch, lambda folder: void(begun(folder)),
    lambda folder: keep(PlanStore(folder)), still) > 12  # fmt: skip


def test_a_kill_anywhere_in_a_change_loses_nothing_that_was_stored(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The state before or the one after, and nothing to be told."""

    def doing(folder: Path) -> None:
        PlanStore(folder).change(ID, [change("done", 3, name="change-0003")], 3.0)

    def whole(folder: Path) -> None:
        store = PlanStore(folder)
        assert store.progress(ID).done in ([1, 2], [1, 2, 3])
        assert store.happened(ID) == ()
        doing(folder)  # the device sends it again
        assert store.progress(ID).done == [1, 2, 3]

    assert everywhere(tmp_path, monkeypatch, lambda folder: void(begun(folder)), doing, whole) > 5


@pytest.mark.parametrize("name", few(2, ("progress.json", "plan.json", "shown.json", "about.json")))
def test_a_kill_anywhere_in_mending_has_it_mended_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """The damaged file still lies there, in its place or beside it; it is told once."""
    bad = b'{"done": [1, 2'

    def before(folder: Path) -> None:
        begun(folder)
        spoil(folder / "plans" / ID / name, bad)

    def whole(folder: Path) -> None:
        (each,) = PlanStore(folder).kept()
        assert (each.name, each.done, each.cuttable) == ("gate", 1 if name == "progress.json" else 2, True)
        assert len(each.happened) == 1
        (aside,) = (folder / "plans" / ID).glob("*-damaged-*.json")
        assert aside.read_bytes() == bad

    assert everywhere(tmp_path, monkeypatch, before, lambda folder: void(PlanStore(folder).kept()), whole) > 4


def test_a_folder_that_cannot_be_written_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a full disk a damaged file stays where it is, the plan is listed, and why is said."""
    store = begun(tmp_path)
    file = tmp_path / "plans" / ID / "progress.json"
    spoil(file, b"{")
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", full)
        (each,) = store.kept()
        assert "No space left" in " ".join(each.happened)
    assert file.read_bytes() == b"{"
    assert store.progress(ID).done == [1]


def full(*_: object) -> int:
    """A disk that is full."""
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def void(_: object) -> None:
    """Nothing of it."""


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
