"""The notebook view: rows added without harm to what a person wrote, and what they say."""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from stripplan.cli.commands.notebook import notebook as command
from stripplan.errors import InputError
from stripplan.files.notebook.read import load_notebook
from stripplan.files.rig.read import load_rig
from stripplan.model.notebook import TimedRun
from stripplan.model.rig import Rig
from stripplan.rig.notebook.calibrate import calibrated
from stripplan.sheets.picture.charts.painter import ON_SCREEN
from stripplan.sheets.picture.charts.words import LETTERS
from stripplan.web.store import profiles
from stripplan.web.tasks import reported
from stripplan.web.views.notebook_forms import BY_KIND, typed_row
from tests.web.asking import ours, page
from tests.web.browser import DESK, launched, opened, until

SHED = Path(__file__).parents[3] / "examples" / "shed-rig"


@pytest.fixture
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A profiles' folder with the example's rig and notebook."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = tmp_path / "stripplan" / "rigs"
    shutil.copytree(SHED, folder)
    return folder


RUN = {"mark": "3", "distance": "500", "seconds": "130.5", "on": "2026-03-09"}


def book(name: str = "rig") -> profiles.Book:
    """The notebook of a profile as it lies there now."""
    found = profiles.book_of(profiles.profile(name))
    assert found is not None
    return found


def add(kind: str, given: dict[str, Any], name: str = "rig") -> None:
    """A row typed into its form and added to what lies there now."""
    profiles.add(name, kind, typed_row(BY_KIND[kind], given), book(name).seen)


def ignore(kind: str, number: int, name: str = "rig") -> None:
    """A row of what lies there now left out or taken in."""
    profiles.ignore(name, kind, number, book(name).seen)


def plans(name: str = "rig") -> Rig:
    """The rig that plans use: no row stops it."""
    return calibrated(load_rig(profiles.profiles_folder() / f"{name}.toml"))


def rewritten(rigs: Path, text: str) -> Path:
    """The notebook of `rig` with another text."""
    file = rigs / "notebook.toml"
    file.write_bytes(text.encode())
    return file


@pytest.fixture
def fresh(rigs: Path) -> str:
    """A profile of one's own with an empty notebook."""
    profiles.copy_builtin("my rig")
    profiles.start("my rig")
    return "my rig"


# --- rows are added -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_a_row_is_added_and_all_else_stays_to_the_byte(rigs: Path, bom: bytes, end: bytes) -> None:
    """Comments, order, line ends and byte-order mark of the person's own text stay; the text before lies beside it."""
    file = rigs / "notebook.toml"
    before, runs = bom + file.read_bytes().replace(b"\n", end), load_notebook(file).timed_runs
    file.write_bytes(before)
    add("timed_run", {**RUN, "note": "slowly"})
    after = file.read_bytes()
    assert after.startswith(before)
    assert after.count(end) == after.count(b"\n")
    assert load_notebook(file).timed_runs[: len(runs)] == runs
    assert load_notebook(file).timed_runs[-1] == TimedRun(mark=3, distance=500, seconds=130.5, on="2026-03-09")
    assert (rigs / "notebook.toml.bak").read_bytes() == before


@pytest.mark.parametrize(
    ("row", "place"),
    [({**RUN, "mark": "x"}, "mark"), ({**RUN, "seconds": "0"}, "seconds"), ({**RUN, "speed": "5"}, "speed"),
     ({"mark": "3"}, "distance"),
     ({**RUN, "on": "9 March"}, "on"), ({**RUN, "distance": "1,250"}, "distance"),
      ({**RUN, "distance": "-5"}, "distance")],
)  # fmt: skip
def test_a_row_that_does_not_read_is_not_written(rigs: Path, row: dict[str, Any], place: str) -> None:
    """The fault names the field, and the file is as it was."""
    before = (rigs / "notebook.toml").read_bytes()
    with pytest.raises(InputError) as refused:
        add("timed_run", row)
    assert place in [each for fault in refused.value.faults for each in fault.place]
    assert (rigs / "notebook.toml").read_bytes() == before
    assert not (rigs / "notebook.toml.bak").exists()


KERF = {"process": "steel-6", "before": "100", "after": ["49", "49.4"]}


@pytest.mark.parametrize(
    ("kind", "row", "place", "said"),
    [
        ("kerf_test", {**KERF, "process": "steel-7"}, ("process",), "no process 'steel-7' (did you mean"),
        ("bow_check", {"process": "x", "bow": "3", "length": "1000", "width": "50"}, ("process",), "no process 'x'"),
        ("kerf_test", {**KERF, "after": ["49", "51.2"]}, ("before",), "a cut takes metal away"),
        ("kerf_test", {**KERF, "after": ["49", "0"]}, ("after", 1), "not above 0"),
        ("kerf_test", {**KERF, "after": ["49"]}, (), "at least 2 are needed"),
        ("timed_run", {**RUN, "seconds": "13.05"}, (), "contradict each other"),
        ("fence_check", {"reading": "100", "width": "9.96"}, (), "one figure is mistyped"),
        ("parallel_check", {"entry": "50", "exit": "60", "length": "5"}, (), "check the three figures"),
        ("square_check", {"width": "300", "length": "400", "diagonals": ["500", "800"]}, (),
         "must lie between 100 and 700"),
        ("height_check", {"positions": ["0", "", "9 ft 13 in"], "heights": ["3", "", "4"]}, ("positions", 2),
         "is no length"),
    ],
)  # fmt: skip
def test_a_row_that_can_never_be_right_is_refused(
    rigs: Path, kind: str, row: dict[str, Any], place: tuple[str | int, ...], said: str
) -> None:
    """At its field where one figure is at fault, with the row where it is the row as a whole;
    no plan is stopped by it.
    """
    before = (rigs / "notebook.toml").read_bytes()
    with pytest.raises(InputError) as refused:
        add(kind, row)
    assert said in str(refused.value)
    assert place in [each.place for each in refused.value.faults]
    assert (rigs / "notebook.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("timed_run", RUN),
        ("kerf_test", {**KERF, "process": "steel-6", "note": "first"}),
        ("fence_check", {"reading": "50", "width": "49,60"}),
        ("test_cut", {"process": "steel-6", "travel_speed": "500", "dross": "easy", "severed": "yes"}),
        ("height_check", {"positions": ["0", "1000"], "heights": ["3", "3,1"]}),
        ("rail_check", {"positions": ["0", "1000"], "distances": ["180", "180.1"]}),
        ("parallel_check", {"entry": "50", "exit": "50.05", "length": "900"}),
        ("square_check", {"width": "300", "length": "400", "diagonals": ["500", "500.5"]}),
        ("bow_check", {"process": "steel-6", "bow": "0", "length": "1000", "width": "50"}),
    ],
)  # fmt: skip
def test_the_first_row_of_any_kind_stops_no_plan(fresh: str, kind: str, row: dict[str, Any]) -> None:
    """It is written, it reads, and the rig can still be planned with;
    so it is when it is left out and taken in again.
    """
    add(kind, row, fresh)
    plans(fresh)
    ignore(kind, 0, fresh)
    assert plans(fresh).measured == ()
    ignore(kind, 0, fresh)
    plans(fresh)


def test_the_first_timed_run_says_that_one_more_is_needed(fresh: str) -> None:
    """No dial from one mark: the rig keeps its own; from two marks there is one."""
    own = plans(fresh).dial
    add("timed_run", RUN, fresh)
    assert plans(fresh).dial == own
    told = reported(fresh, tell=lambda _: None, stop=lambda: False)
    lines = next(each["lines"] for each in told["parts"] if each["title"] == "Dial")
    assert "one more run at another mark" in " ".join(lines)
    add("timed_run", {**RUN, "mark": "6", "seconds": "59.2"}, fresh)
    assert plans(fresh).dial != own


def test_what_was_changed_elsewhere_is_not_written_over(rigs: Path) -> None:
    """An editor saved the notebook meanwhile, were it but its line ends:
    the row is refused and the editor's text stays.
    """
    file, was = rigs / "notebook.toml", book().seen
    changed = file.read_bytes().replace(b"\n", b"\r\n")
    file.write_bytes(changed)
    with pytest.raises(InputError, match="changed elsewhere"):
        profiles.add("rig", "timed_run", typed_row(BY_KIND["timed_run"], RUN), was)
    assert file.read_bytes() == changed


def test_rows_in_one_list_in_brackets_are_left_to_an_editor(rigs: Path) -> None:
    """A header after such a list would be no TOML: refused in words, where it failed before."""
    file = rewritten(
        rigs, "timed_run = [{mark = 3, distance = 500, seconds = 130}, {mark = 6, distance = 500, seconds = 60}]\n"
    )
    before = file.read_bytes()
    with pytest.raises(InputError, match=r"write each under a header of its own, \[\[timed_run\]\] in an editor"):
        add("timed_run", RUN)
    with pytest.raises(InputError, match="write ignore = true into it in an editor"):
        ignore("timed_run", 0)
    assert file.read_bytes() == before
    add("fence_check", {"reading": "50", "width": "49.6"})
    assert file.read_bytes().startswith(before)


# --- rows are left out ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_a_row_is_left_out_and_taken_in_again(rigs: Path, bom: bytes, end: bytes) -> None:
    """One line more and not a byte else, and the second time the text is what it was."""
    file = rigs / "notebook.toml"
    before = bom + file.read_bytes().replace(b"\n", end)
    file.write_bytes(before)
    count = len(load_notebook(file).timed_runs)
    ignore("timed_run", 1)
    lines = file.read_bytes().splitlines(keepends=True)
    assert b"".join(each for each in lines if each != b"ignore = true" + end) == before
    assert [each.get("ignore") for each in book().rows("timed_run")] == [None, True, *[None] * (count - 2)]
    assert len(load_notebook(file).timed_runs) == count - 1
    ignore("timed_run", 1)
    assert file.read_bytes() == before
    for kind, number in (("timed_run", 99), ("timed_run", -1), ("drive", 0), (".*", 0)):
        with pytest.raises(InputError):
            ignore(kind, number)


TRICKY = '''schema = "stripplan/notebook/1"
[[bow_check]]
process = "steel-6"
bow = 3
length = 1000
width = 50
note = """
[[timed_run]]
ignore = true
mark = 1
"""
[["timed_run"]]  # [[timed_run]]
mark = 2 # ignore = true
distance = 500
seconds = 231
ignore = false   # for now
[[ timed_run ]]
"ignore"=true
mark = 6
distance = 500
seconds = 59.2
[[timed_run]]
mark = 8
distance = 500
seconds = 46
ignore = true # a late thumb
'''


@pytest.mark.parametrize(
    ("number", "one", "other"),
    [(0, "ignore = false   # for now", "ignore = true   # for now"), (1, '"ignore"=true', '"ignore"=false'),
     (2, "ignore = true # a late thumb", "ignore = false # a late thumb")],
)  # fmt: skip
def test_only_the_word_of_that_row_changes(rigs: Path, number: int, one: str, other: str) -> None:
    """What looks like a row in a note or a comment is none; `ignore = false` becomes true in its place."""
    file = rewritten(rigs, TRICKY)
    before = tomllib.loads(TRICKY)
    ignore("timed_run", number)
    assert file.read_text(encoding="utf-8") == TRICKY.replace(one, other)
    after = tomllib.loads(file.read_text(encoding="utf-8"))
    assert after["timed_run"][number].pop("ignore") is not before["timed_run"][number].pop("ignore")
    assert after == before
    ignore("timed_run", number)
    assert file.read_text(encoding="utf-8") == TRICKY


def test_a_row_of_a_note_is_no_row(rigs: Path) -> None:
    """The bow check is left out by one line of its own; the row in its note stays a note."""
    file = rewritten(rigs, TRICKY)
    ignore("bow_check", 0)
    assert file.read_text(encoding="utf-8") == TRICKY.replace("[[bow_check]]", "[[bow_check]]\nignore = true")


def test_a_row_taken_in_again_must_fit_the_others(rigs: Path) -> None:
    """A run that contradicts the rest was left out: taking it in would stop all planning, and is refused."""
    text = (rigs / "notebook.toml").read_text(encoding="utf-8")
    file = rewritten(rigs, text + "[[timed_run]]\nignore = true\nmark = 3\ndistance = 500\nseconds = 13\n")
    before = file.read_bytes()
    with pytest.raises(InputError, match="contradict each other"):
        ignore("timed_run", 7)
    assert file.read_bytes() == before
    plans()


# --- profiles and files ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["", "..", "../x", "a/b", "a\\b", ".hidden", "x" * 61, "a\nb", "CON:", "con", "a ", "rig"]
)
def test_names_that_cannot_be_are_refused(rigs: Path, name: str) -> None:
    """No separators, no dots, nothing that is there already; nothing is written."""
    before = sorted(rigs.rglob("*"))
    with pytest.raises(InputError):
        profiles.copy_builtin(name)
    assert sorted(rigs.rglob("*")) == before


def test_a_profile_of_ones_own_begins_with_a_notebook(rigs: Path, fresh: str) -> None:
    """Copied, it reads as a rig; its notebook takes a first row, and the rig has it."""
    assert profiles.profiles() == ["my rig", "rig"]
    add("fence_check", {"reading": "50", "width": "49.6", "on": "2026-03-09"}, fresh)
    notebook = load_rig(rigs / "my rig.toml").notebook
    assert notebook is not None
    assert notebook.fence_checks[0].width == 49.6


@pytest.mark.parametrize("raw", [b'\xef\xbb\xbf# mine\r\nname = "far"\r\nunits = "in"\r\n', b'units = "in"'])
def test_a_notebook_is_begun_in_the_units_of_its_profile(rigs: Path, raw: bytes) -> None:
    """The profile gets one line, and no other byte of it changes; bare numbers are inches in both."""
    (rigs / "far.toml").write_bytes(raw)
    profiles.start("far")
    after = (rigs / "far.toml").read_bytes()
    end = b"\r\n" if b"\r\n" in raw else b"\n"
    assert after.replace(b'notebook = "far-notebook.toml"' + end, b"") == raw
    assert (rigs / "far.toml.bak").read_bytes() == raw
    add("timed_run", {**RUN, "distance": "20"}, "far")
    (run,) = load_notebook(rigs / "far-notebook.toml").timed_runs
    assert run.distance == 508


def test_a_notebook_that_is_not_there_can_be_begun(rigs: Path, tmp_path: Path) -> None:
    """A profile names a file that is missing: the page says so and offers to begin it."""
    (rigs / "far.toml").write_text('notebook = "far away.toml"\n', encoding="utf-8")
    with page(tmp_path / "shop") as (client, shared):
        seen = client.get("/notebook?rig=far", headers={"accept": "text/html"})
        assert seen.status_code == 200
        assert "names the notebook far away.toml, and there is no such file" in seen.text
        assert "Begin far away.toml" in seen.text
        assert client.post("/notebook/start", json={"rig": "far"}, headers=ours(shared)).json() == {"state": "started"}
    assert (rigs / "far.toml").read_text(encoding="utf-8") == 'notebook = "far away.toml"\n'
    assert load_rig(rigs / "far.toml").notebook is not None


SECRET = 'schema = "stripplan/notebook/1"\nname = "secret"\n'


@pytest.mark.parametrize(
    "named", ["../notebook.toml", "/etc/passwd", "sub/notebook.toml", "link.toml", "listed.toml", "linked list.toml"]
)
def test_what_lies_elsewhere_is_neither_read_nor_written(rigs: Path, tmp_path: Path, named: str) -> None:
    """By a path, by a link, or by a list of rows: refused in plain words, and the page still opens other profiles."""
    (rigs / "far.toml").write_text(f'notebook = "{named}"\n', encoding="utf-8")
    (tmp_path / "far.toml").write_text(SECRET, encoding="utf-8")
    (tmp_path / "cuts.csv").write_text("secret\n", encoding="utf-8")
    (rigs / "link.toml").symlink_to(tmp_path / "far.toml")
    (rigs / "listed.toml").write_text('[lists]\ntest_cut = "../../cuts.csv"\n', encoding="utf-8")
    (rigs / "linked list.toml").write_text('[lists]\ntest_cut = "link.csv"\n', encoding="utf-8")
    (rigs / "link.csv").symlink_to(tmp_path / "cuts.csv")
    with page(tmp_path / "shop") as (client, shared):
        seen = client.get("/notebook?rig=far", headers={"accept": "text/html"})
        assert seen.status_code == 200
        assert "it lies in another folder, and the page opens only what lies beside the profiles" in seen.text
        assert "secret" not in seen.text
        assert "<option>rig</option>" in seen.text
        body = {"kind": "timed_run", "seen": "", "values": RUN}
        assert client.post("/notebook/far/add", json=body, headers=ours(shared)).status_code == 422
        assert client.post("/notebook/start", json={"rig": "far"}, headers=ours(shared)).status_code in (200, 422)
    assert (tmp_path / "far.toml").read_text(encoding="utf-8") == SECRET


def test_a_text_before_is_kept_in_no_other_folder(rigs: Path, tmp_path: Path) -> None:
    """NAME.bak is a link that leads out: nothing is written at all."""
    (tmp_path / "kept").write_text("mine", encoding="utf-8")
    (rigs / "notebook.toml.bak").symlink_to(tmp_path / "kept")
    before = (rigs / "notebook.toml").read_bytes()
    with pytest.raises(InputError, match="another folder"):
        add("timed_run", RUN)
    assert (tmp_path / "kept").read_text(encoding="utf-8") == "mine"
    assert (rigs / "notebook.toml").read_bytes() == before


def test_a_link_within_the_folder_stays_a_link(rigs: Path) -> None:
    """Two names of one notebook: the row is in the file that both mean."""
    (rigs / "notebook.toml").rename(rigs / "book 1.toml")
    (rigs / "notebook.toml").symlink_to("book 1.toml")
    add("timed_run", RUN)
    assert (rigs / "notebook.toml").is_symlink()
    assert len(load_notebook(rigs / "book 1.toml").timed_runs) == 8


def test_a_profile_that_cannot_be_read_hides_no_other(rigs: Path, tmp_path: Path) -> None:
    """What is wrong with it is said with its line; the others can be chosen."""
    (rigs / "a.toml").write_text("stroke = 2,5\n", encoding="utf-8")
    with page(tmp_path / "shop") as (client, _):
        seen = client.get("/notebook", headers={"accept": "text/html"})
    assert seen.status_code == 200
    assert "a.toml line 1" in seen.text
    assert "<option>rig</option>" in seen.text


# --- the page -------------------------------------------------------------------------------------------------------


def test_the_next_test_cut_is_the_one_that_the_command_names(rigs: Path) -> None:
    """Every line of the command's report that names a next cut, those under test first; none where cuts are enough."""
    file = rigs / "notebook.toml"
    text = file.read_text(encoding="utf-8").replace('test_cut = "cuts.csv"', "")
    rewritten(rigs, text + '[[test_cut]]\nprocess = "steel-8"\ntravel_speed = 500\ndross = "easy"\n')
    told = reported("rig", tell=lambda _: None, stop=lambda: False)["next"]
    said = CliRunner().invoke(command, ["--rig", str(rigs / "rig.toml")]).output
    assert [each["process"] for each in told] == ["steel-8", "steel-6"]
    assert told[0]["words"].startswith(f"Next cut at {told[0]['speed']} mm/min")
    assert told[0]["words"] in said
    row = next(line for line in said.splitlines() if line.split()[:1] == ["steel-6"] and "to" in line.split())
    assert row.split()[3] == told[1]["speed"]
    shutil.copy(SHED / "notebook.toml", file)
    told = reported("rig", tell=lambda _: None, stop=lambda: False)["next"]
    assert [(each["process"], each["speed"] == "") for each in told] == [("steel-8", False), ("steel-6", True)]


def test_a_first_cut_is_one_that_the_rig_can_travel(fresh: str) -> None:
    """The built-in profile's thinnest sheet wants more than its 760 mm/min:
    the cut is tried at 760, and the estimate is told.
    """
    told = reported(fresh, tell=lambda _: None, stop=lambda: False)["next"]
    most = plans(fresh).travel_max
    assert all(float(each["speed"]) <= most for each in told)
    first = next(each for each in told if each["process"] == "steel-3")
    assert first["speed"] == f"{most:.0f}"
    assert "as near as the rig comes to 950" in first["words"]


def test_the_page_shows_units_processes_and_the_rows_of_lists(rigs: Path, tmp_path: Path) -> None:
    """Each field has a label; a process is chosen among the rig's; rows of a list have no button;
    no script or style stands in the page.
    """
    with page(tmp_path / "shop") as (client, _):
        seen = client.get("/notebook?rig=rig", headers={"accept": "text/html"}).text
    form = seen[seen.index('data-add="kerf_test"') : seen.index('data-add="fence_check"')]
    assert re.search(
        (
            r'<select name="process"[^>]*>\s*<option '
            r'value="">choose</option>\s*<option>steel-6</option><option>steel-8</option>'
        ),
        form,
    )
    assert re.search(r'width before <span class="tag">mm</span>', form)
    fields = re.findall(r"<(?:input|select)\b(?![^>]*hidden)", seen)
    assert len(fields) == len(re.findall(r"<label>(?:(?!</label>).)*<(?:input|select)\b", seen, re.DOTALL)) > 50
    assert seen.index('<h2 id="next-head">Next test cut') < seen.index("<h2>Write down")
    assert seen.count("in the list kerf.csv: change it there") == 6
    assert 'data-ignore="kerf_test"' not in seen
    assert seen.count('data-ignore="timed_run"') == 7
    assert " style=" not in seen
    assert "<style" not in seen
    assert " onclick" not in seen
    assert re.findall(r"<script\b[^>]*>", seen) == ['<script type="module" src="/static/notebook.js">']


@pytest.mark.slow
def test_the_page_adds_a_row_and_says_what_it_means(rigs: Path, tmp_path: Path) -> None:
    """Over HTTP: a fault names its field; a good row is in the report; the chart is a picture with words."""
    with page(tmp_path / "shop") as (client, shared):
        body = {
            "kind": "timed_run",
            "seen": book().seen,
            "values": {"mark": "3", "distance": "19 5/8 in", "seconds": "soon"},
        }
        refused = client.post("/notebook/rig/add", json=body, headers=ours(shared))
        assert refused.status_code == 422
        assert refused.json()["faults"][0]["place"][-1] == "seconds"
        body["values"]["seconds"] = "130"  # type: ignore[index]
        assert client.post("/notebook/rig/add", json=body, headers=ours(shared)).json() == {"state": "added"}
        assert client.post("/notebook/rig/add", json=body, headers=ours(shared)).status_code == 422  # sent twice
        seen = client.get("/notebook?rig=rig", headers={"accept": "text/html"}).text
        assert "8 runs at 6 marks" in seen
        assert 'src="data:image/svg+xml' in seen
        assert " style=" not in seen
        assert client.post("/notebook/nobody/add", json=body, headers=ours(shared)).status_code == 404
        assert client.get("/notebook?rig=..%2Fx").status_code == 404


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """The browser of the tests below, None where there is none."""
    with launched() as made:
        yield made


@pytest.mark.slow
def test_in_a_browser_a_fault_stands_at_its_field_and_a_row_appears(browser: Any, rigs: Path, tmp_path: Path) -> None:
    """What was typed is kept beside what is wrong with it; once right it is written and the list is one longer."""
    if browser is None:
        return
    with opened(browser, tmp_path / "shop") as it:
        view = it.page(DESK)
        view.goto(f"{it.address}/notebook?rig=rig")
        form = view.locator('[data-add="timed_run"]')
        for label, value in (("mark on the dial", "3"), ("distance run", "500"), ("time", "fast")):
            form.get_by_label(label).fill(value)
        form.get_by_role("button", name="Write it down").click()
        view.wait_for_selector('[name="seconds"][aria-invalid="true"]')
        assert form.get_by_label("distance run").input_value() == "500"
        form.locator('[name="seconds"]').fill("130.2")
        form.get_by_role("button", name="Write it down").click()
        view.get_by_text("Timed run: 8").wait_for()
        view.get_by_text("Timed run: 8").click()
        view.get_by_role("button", name="Leave it out").first.click()
        view.get_by_text("7 runs at 5 marks").wait_for()
        assert view.locator(".chart img").first.evaluate("each => each.naturalWidth") > 0
        assert it.said == ["Failed to load resource: the server responded with a status of 422 (Unprocessable Entity)"]


NARROW = {"width": 320, "height": 568}
LEAST = 11.0
"""Least size of letters on a chart [px]: a choice of ours."""


@pytest.mark.slow
def test_on_a_narrow_screen_all_goes_by_the_keyboard(browser: Any, rigs: Path, tmp_path: Path) -> None:
    """A row of places typed without a mouse, one place more than the form had; a fault takes the keys to its field;
    charts stay legible.
    """
    if browser is None:
        return
    with opened(browser, tmp_path / "shop") as it:
        view = it.page(NARROW, color_scheme="dark")
        view.goto(f"{it.address}/notebook?rig=rig")
        form = view.locator('[data-add="rail_check"]')
        view.get_by_text("Distance between the rails", exact=True).first.focus()
        view.keyboard.press("Enter")
        form.get_by_label("from home").first.wait_for()
        for figures in (("0", "180,1"), ("1000", "180.15"), ("1500", "wide")):
            for figure in figures:
                view.keyboard.press("Tab")
                view.keyboard.type(figure)
        view.keyboard.press("Tab")
        view.keyboard.press("Enter")  # another place: its first field has the keys
        view.keyboard.type("2 m")
        view.keyboard.press("Tab")
        view.keyboard.type("180.2")
        view.keyboard.press("Enter")
        until(view, "document.activeElement.getAttribute('aria-invalid') === 'true'")
        assert view.evaluate("[document.activeElement.name, document.activeElement.value]") == ["distances", "wide"]
        assert (
            "is no length"
            in view.locator(f"#{view.evaluate('document.activeElement.getAttribute(`aria-describedby`)')}").inner_text()
        )
        view.keyboard.press("Control+A")
        view.keyboard.type("180.2")
        view.keyboard.press("Enter")
        view.get_by_text("Written down.", exact=True).wait_for()
        assert book().rows("rail_check")[-1]["positions"] == [0, 1000, 1500, "2 m"]
        assert view.evaluate("document.documentElement.scrollWidth") == NARROW["width"]
        chart = view.locator(".chart").first
        assert chart.locator("img").bounding_box()["width"] / ON_SCREEN[0] * LETTERS >= LEAST
        assert chart.evaluate("each => each.scrollWidth > each.clientWidth && each.tabIndex === 0")
        assert chart.bounding_box()["width"] <= NARROW["width"]


@pytest.mark.slow
def test_the_next_cut_is_carried_into_its_form(browser: Any, rigs: Path, tmp_path: Path) -> None:
    """Its button opens the form with process and speed, the keys at what was seen; a row that does not fit is said in
    its form.
    """
    if browser is None:
        return
    with opened(browser, tmp_path / "shop") as it:
        view = it.page(DESK)
        view.goto(f"{it.address}/notebook?rig=rig")
        view.get_by_role("button", name="Write this cut down").focus()
        view.keyboard.press("Enter")
        form = view.locator('[data-add="test_cut"]')
        assert form.locator('[name="process"]').input_value() == "steel-8"
        assert form.locator('[name="travel_speed"]').input_value() == "650"
        assert view.evaluate("document.activeElement.name") == "dross"
        form.get_by_text("Seldom needed").click()
        form.get_by_label("bevel").fill("95")
        view.keyboard.press("Enter")
        view.get_by_text("must be a number from -45 to 45").wait_for()
        assert form.locator(".form-said li").count() == 1
        form.get_by_label("bevel").fill("")
        form.get_by_label("dross below").select_option("none")
        form.get_by_role("button", name="Write it down").click()
        view.get_by_text("Written down.", exact=True).wait_for()
        assert view.get_by_text("Test cut: 8").count() == 1
        assert form.locator('[name="process"]').input_value() == "steel-8"


def test_a_row_that_would_take_a_figure_away_is_asked_about(rigs: Path, tmp_path: Path) -> None:
    """A run of which a nought was forgotten would level the dial away: it is refused by its number and figures, nothing
    is written, and it is written where the person says so once more. Test cuts of which nothing was looked at say
    nothing and are refused.
    """
    typo = {"mark": "4", "distance": "500", "seconds": "9.36"}
    before = book().raw
    with page(tmp_path, workers=0) as (client, shared):

        def sent(kind: str, values: dict[str, str], **more: Any) -> dict[str, Any]:
            body = {"kind": kind, "values": values, "seen": book().seen, **more}
            answer: dict[str, Any] = client.post("/notebook/rig/add", json=body, headers=ours(shared)).json()
            return answer

        fault = sent("timed_run", typo)["faults"][0]
        assert fault["code"] == "takes_away"
        assert fault["said"].startswith(
            "the notebook: dial would not be known any more: timed run 8 (mark 4, distance 500, seconds 9.36) does not"
        )
        blank = sent("test_cut", {"process": "steel-6", "travel_speed": "600"})["faults"][0]
        assert blank["place"] == ["dross"]
        assert book().raw == before
        assert plans().dial
        assert sent("timed_run", typo | {"seconds": "93.9"})["state"] == "added"
        assert sent("timed_run", typo, anyway=True)["state"] == "added"
        assert len(book().rows("timed_run")) == 9
