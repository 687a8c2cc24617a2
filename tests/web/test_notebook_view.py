"""The notebook view: rows added without harm to what a person wrote, and what they say."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.files.notebook_toml import load_notebook
from stripplan.files.rig_toml import load_rig
from stripplan.web import notes

from .asking import ours, page
from .browser import DESK, chromium, opened

SHED = Path(__file__).parents[2] / "examples" / "shed-rig"


@pytest.fixture
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A profiles' folder with the example's rig and notebook."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = tmp_path / "stripplan" / "rigs"
    shutil.copytree(SHED, folder)
    return folder


RUN = {"mark": 3, "distance": 500, "seconds": 130.5, "on": "2026-03-09"}


def test_a_row_is_added_and_all_else_stays_to_the_byte(rigs: Path) -> None:
    """Comments and order of the person's own text come before the new row, unchanged; the text before lies beside it."""
    file = rigs / "notebook.toml"
    before, runs = file.read_text(encoding="utf-8"), load_notebook(file).timed_runs
    notes.add("rig", "timed_run", RUN, notes.seen(before))
    after = file.read_text(encoding="utf-8")
    assert after.startswith(before)
    assert len(load_notebook(file).timed_runs) == len(runs) + 1
    assert (rigs / "notebook.toml.bak").read_text(encoding="utf-8") == before


@pytest.mark.parametrize(
    ("row", "place"),
    [({**RUN, "mark": "x"}, "mark"), ({**RUN, "seconds": 0}, "seconds"), ({**RUN, "speed": 5}, "speed"), ({"mark": 3}, "distance"),
     ({**RUN, "on": "9 March"}, "on"), ({**RUN, "distance": "1,250"}, "distance")],
)  # fmt: skip
def test_a_row_that_does_not_read_is_not_written(rigs: Path, row: dict[str, Any], place: str) -> None:
    """The fault names the field, and the file is as it was."""
    before = (rigs / "notebook.toml").read_bytes()
    with pytest.raises(InputError) as refused:
        notes.add("rig", "timed_run", row, notes.seen(before.decode()))
    assert place in [each for fault in refused.value.faults for each in fault.place]
    assert (rigs / "notebook.toml").read_bytes() == before
    assert not (rigs / "notebook.toml.bak").exists()


def test_what_was_changed_elsewhere_is_not_written_over(rigs: Path) -> None:
    """An editor saved the notebook meanwhile: the row is refused and the editor's text stays."""
    file = rigs / "notebook.toml"
    was = notes.seen(file.read_text(encoding="utf-8"))
    file.write_text(file.read_text(encoding="utf-8") + "\n# later\n", encoding="utf-8")
    with pytest.raises(InputError, match="changed elsewhere"):
        notes.add("rig", "timed_run", RUN, was)
    assert file.read_text(encoding="utf-8").endswith("# later\n")


def test_a_row_is_left_out_and_taken_in_again(rigs: Path) -> None:
    """Only that row changes, its comments stay, and the second time the text is what it was."""
    file = rigs / "notebook.toml"
    before = file.read_text(encoding="utf-8")
    count = len(load_notebook(file).timed_runs)
    notes.ignore("rig", "timed_run", 1, notes.seen(before))
    assert notes.rows(file.read_text(encoding="utf-8"))["timed_run"][1]["ignore"] is True
    assert len(load_notebook(file).timed_runs) == count - 1
    notes.ignore("rig", "timed_run", 1, notes.seen(file.read_text(encoding="utf-8")))
    assert file.read_text(encoding="utf-8") == before
    for kind, number in (("timed_run", 99), ("timed_run", -1), ("drive", 0), (".*", 0)):
        with pytest.raises(InputError):
            notes.ignore("rig", kind, number, notes.seen(before))


@pytest.mark.parametrize("name", ["", "..", "../x", "a/b", "a\\b", ".hidden", "x" * 61, "a\nb", "CON:", "rig"])
def test_names_that_cannot_be_are_refused(rigs: Path, name: str) -> None:
    """No separators, no dots, nothing that is there already; nothing is written."""
    before = sorted(rigs.rglob("*"))
    with pytest.raises(InputError):
        notes.copy_builtin(name)
    assert sorted(rigs.rglob("*")) == before


def test_a_profile_of_ones_own_begins_with_a_notebook(rigs: Path) -> None:
    """Copied, it reads as a rig; its notebook takes a first row, and the rig has it."""
    notes.copy_builtin("my rig")
    notes.start("my rig")
    assert notes.profiles() == ["my rig", "rig"]
    text = notes.text_of("my rig")
    notes.add("my rig", "fence_check", {"reading": 50, "width": 49.6, "on": "2026-03-09"}, notes.seen(text))
    notebook = load_rig(rigs / "my rig.toml").notebook
    assert notebook is not None
    assert notebook.fence_checks[0].width == 49.6


@pytest.mark.parametrize("named", ["../notebook.toml", "/etc/passwd", "sub/notebook.toml"])
def test_a_notebook_elsewhere_is_not_touched(rigs: Path, named: str) -> None:
    """The page works on files of the profiles' folder alone."""
    (rigs / "far.toml").write_text(f'notebook = "{named}"\n', encoding="utf-8")
    with pytest.raises(InputError, match="another folder"):
        notes.text_of("far")


def test_the_page_adds_a_row_and_says_what_it_means(rigs: Path, tmp_path: Path) -> None:
    """Over HTTP: a fault names its field; a good row is in the report; the chart is a picture with words."""
    with page(tmp_path / "shop") as (client, shop):
        text = (rigs / "notebook.toml").read_text(encoding="utf-8")
        body = {
            "kind": "timed_run",
            "seen": notes.seen(text),
            "values": {"mark": "3", "distance": "19 5/8 in", "seconds": "soon"},
        }
        refused = client.post("/notebook/rig/add", json=body, headers=ours(shop))
        assert refused.status_code == 422
        assert refused.json()["faults"][0]["place"][-1] == "seconds"
        body["values"]["seconds"] = "130"  # type: ignore[index]
        assert client.post("/notebook/rig/add", json=body, headers=ours(shop)).json() == {"state": "added"}
        seen = client.get("/notebook?rig=rig", headers={"accept": "text/html"}).text
        assert "8 runs at 6 marks" in seen
        assert 'src="data:image/svg+xml' in seen
        assert " style=" not in seen
        assert client.post("/notebook/nobody/add", json=body, headers=ours(shop)).status_code == 404
        assert client.get("/notebook?rig=..%2Fx").status_code == 404


def test_in_a_browser_a_fault_stands_at_its_field_and_a_row_appears(rigs: Path, tmp_path: Path) -> None:
    """What was typed is kept beside what is wrong with it; once right it is written and the list is one longer."""
    if chromium() is None:
        return
    with opened(tmp_path / "shop") as it:
        view = it.page(DESK)
        view.goto(f"{it.address}/notebook?rig=rig")
        form = view.locator('[data-add="timed_run"]')
        for label, value in (("mark on the dial", "3"), ("distance", "500"), ("seconds", "fast")):
            form.get_by_label(label).fill(value)
        form.get_by_role("button", name="Write it down").click()
        view.wait_for_selector('[name="seconds"][aria-invalid="true"]')
        assert form.get_by_label("distance").input_value() == "500"
        form.locator('[name="seconds"]').fill("130.2")
        form.get_by_role("button", name="Write it down").click()
        view.get_by_text("Timed run: 8").wait_for()
        view.get_by_text("Timed run: 8").click()
        view.get_by_role("button", name="Leave it out").first.click()
        view.get_by_text("7 runs at 5 marks").wait_for()
        assert view.locator(".chart img").first.evaluate("each => each.naturalWidth") > 0
        assert it.said == ["Failed to load resource: the server responded with a status of 422 (Unprocessable Entity)"]
