"""The planning view over HTTP."""

from __future__ import annotations

import io
import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pypdf
import pytest

from stripplan import load_job, plan
from stripplan.files.job.read import job_from
from stripplan.files.job.write import job_text
from stripplan.files.toml.document import TomlFile
from stripplan.model.plan.plan import Plan
from stripplan.sheets.folder import contents
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web.plan_for_page import shown
from stripplan.web.plans_in_progress import REMEMBERED
from stripplan.web.views.typed_list import without_paths
from tests.web.asking import JOB, ours, page, planned


def test_the_page_gives_what_the_command_line_gives(tmp_path: Path) -> None:
    """The same job from a file, through the front door, has the same files to the byte: sheet, drawings, list, plan."""
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, JOB)
        assert made["state"] == "made"
        got = {name: client.get(f"/plans/{made['id']}/{name}").content for name in (
            "plan.json", "setup-sheet.pdf", "job.dxf", "plate-P1.dxf", "plate-P1.svg", "cut-list.csv")}  # fmt: skip
        job_text = client.get(f"/plans/{made['id']}/job.toml").text
    (tmp_path / "gate.toml").write_text(job_text, encoding="utf-8")
    files = contents(plan(*load_job(tmp_path / "gate.toml")))
    for name, data in got.items():
        assert data == files[name], name


def test_faults_come_with_the_field_they_concern(tmp_path: Path) -> None:
    """As on the command line, every fault at once, each with its place in the list."""
    bad = {**JOB, "part": [{"width": "5O"}, {"width": 10, "quantity": 0}], "options": {"trim": "x"}}
    with page(tmp_path) as (client, shared):
        answer = planned(client, shared, bad)
    assert answer["state"] == "refused"
    assert {tuple(each["place"]) for each in answer["faults"]} == {
        ("part", 0, "width"), ("part", 1, "quantity"), ("options", "trim")}  # fmt: skip


def test_what_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A part larger than every plate is named with its limit."""
    with page(tmp_path) as (client, shared):
        answer = planned(client, shared, {**JOB, "part": [{"name": "roof", "width": 1500, "length": 3000}]})
    assert answer["state"] == "refused"
    assert "roof" in answer["faults"][0]["said"]


def test_one_figure_is_that_of_both_ends_and_of_all_corners(tmp_path: Path) -> None:
    """As in a list of parts and on the command line; the mitre bar's limits have fields of their own, and hold."""
    parts = [
        {"name": "rail", "width": "50", "length": "400", "ends": "45"},
        {"name": "rung", "width": "50", "length": "400", "ends": "60/90"},
        {"name": "foot", "width": "150", "length": "150", "corners": "25"},
    ]
    with page(tmp_path) as (client, shared):
        fields = client.get("/", headers={"accept": "text/html"}).text
        assert all(f'name="rig.mitre_{key}"' in fields for key in ("min", "max", "step", "stop_zero", "stop_max"))
        made = planned(client, shared, {**JOB, "part": parts, "rig": {"mitre_max": "150"}})
        assert made["state"] == "made"
        told = json.loads(client.get(f"/plans/{made['id']}/plan.json").content)
        bound = {"mitre_min": "80", "mitre_max": "100", "marked": False}
        refused = planned(client, shared, {**JOB, "part": parts[:1], "rig": bound})
    corners = [each["outline"] for each in told["job"]["parts"]]
    assert corners[:2] == [[[0, 0], [400, 0], [350, 50], [50, 50]], [[0, 0], [400, 0], [400, 50], [28.867513, 50]]]
    assert len(corners[2]) == 8
    assert told["rig"]["mitre_max"] == 150
    assert refused["state"] == "refused"
    assert "rail" in refused["faults"][0]["said"]


def test_a_list_names_no_file_of_the_machine(tmp_path: Path) -> None:
    """Neither a list nor a rig file can be asked for through the page; empty fields are left out."""
    asked = {**JOB, "cut_list": "/etc/passwd", "rig": "../../secret.toml", "currency": "", "options": {"trim": ""}}
    assert without_paths(asked) == JOB
    own = {**JOB, "rig": {"stroke": 900, "notebook": "/etc/passwd"}}
    assert without_paths(own) == {**JOB, "rig": {"stroke": 900}}
    with page(tmp_path) as (client, shared):
        assert planned(client, shared, asked)["state"] == "made"


def test_a_kept_plan_is_there_again(tmp_path: Path) -> None:
    """Kept, it stands in the list of plans, its files can be had, and planning can begin from its list."""
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, JOB)
        assert client.get("/plans", headers={"accept": "text/html"}).text.count("gate") == 0
        assert (
            client.post("/planning/keep", json={"id": made["id"], "job": JOB}, headers=ours(shared)).json()["state"]
            == "kept"
        )
    with page(tmp_path) as (client, shared):  # after a restart
        assert "gate" in client.get("/plans", headers={"accept": "text/html"}).text
        reader = pypdf.PdfReader(
            io.BytesIO(client.get(f"/plans/{made['id']}/setup-sheet.pdf?form=short&page=letter").content)
        )
        assert reader.pages[0].mediabox.width == 612
        text = client.get(f"/?from={made['id']}", headers={"accept": "text/html"}).text
        data = text.partition('id="job">')[2].partition("</script>")[0]
        assert json.loads(data)["part"] == JOB["part"]
        assert tomllib.loads(client.get(f"/plans/{made['id']}/job.toml").text)["part"] == JOB["part"]


def test_an_unsound_plan_that_was_kept_gets_no_sheet(tmp_path: Path) -> None:
    """Its first fence reading is 3 mm off: sheet, labels,
    drawings and pictures are refused with the fault and the way out; its plan file can be had.
    """
    made = made_of(JOB)
    first = replace(made.cuts[0], fence_reading=made.cuts[0].fence_reading + 3)
    bad = replace(made, cuts=(first, *made.cuts[1:]))
    with page(tmp_path) as (client, shared):
        for each in (made, bad):
            shared.store.keep(plan_id(each), plan_text(each), job_text(JOB), shown(each), "2030-01-02T03:04:05+00:00")
        for name in ("setup-sheet.pdf", "labels.pdf", "job.dxf", "plate-P1.dxf", "plate-P1.svg", "cut-list.csv"):
            assert client.get(f"/plans/{plan_id(made)}/{name}").status_code == 200
            refused = client.get(f"/plans/{plan_id(bad)}/{name}")
            assert refused.status_code == 422
            said = [each["said"] for each in refused.json()["faults"]]
            assert said[0].startswith("Cut 1: reading")
            assert said[-1] == f"so {name} is not made of it: plan it again from its list"
        html = client.get(f"/plans/{plan_id(bad)}/setup-sheet.pdf", headers={"accept": "text/html"})
        assert "plan it again from its list" in html.text
        assert (
            json.loads(client.get(f"/plans/{plan_id(bad)}/plan.json").text)["cuts"][0]["fence_reading"]
            == first.fence_reading
        )


def made_of(table: dict[str, Any]) -> Plan:
    """The plan of a table, through the front door."""
    read = job_from(TomlFile("the list", "", table, Path()), name="job")
    return plan(read.job, read.rig)


def test_names_are_text_and_nothing_else(tmp_path: Path) -> None:
    """Markup in a name stays text on the page, in the picture and in the list that is kept."""
    name = "</script><script>alert(1)</script>\"'&<img src=x onerror=alert(1)>"
    job = {**JOB, "name": name, "part": [{"name": name, "width": 50}], "plate": [{**JOB["plate"][0], "name": name}]}
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, job)
        assert made["state"] == "made"
        client.post("/planning/keep", json={"id": made["id"], "job": job}, headers=ours(shared))
        pages = [made["html"]] + [
            client.get(path, headers={"accept": "text/html"}).text
            for path in ("/plans", f"/?from={made['id']}", f"/rig/{made['id']}")
        ]
    for text in pages:
        assert "<script>alert" not in text
        assert "<img" not in text.replace('<img src="/static/icon.svg"', "")


@pytest.mark.parametrize(
    "path",
    [
        "/plans/00000000/plan.json",
        "/plans/zzz/plan.json",
        "/rig/00000000",
        "/plans/..%2f..%2fx/plan.json",
        "/?from=00000000",
    ],
)
def test_a_plan_that_is_not_there_is_not_found(tmp_path: Path, path: str) -> None:
    """No such plan: 404 in words, for a person and for a script."""
    with page(tmp_path, workers=0) as (client, _):
        assert client.get(path).status_code == 404
        assert client.get(path, headers={"accept": "text/html"}).status_code == 404


@pytest.mark.parametrize("name", ["x.pdf", "plan.json.bak", "plate-P99.dxf", "plate-.svg", 'a".pdf', "job.exe"])
def test_only_files_of_a_plan_can_be_had(tmp_path: Path, name: str) -> None:
    """Another name, or a plate that the plan does not have, is not found."""
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, JOB)
        assert client.get(f"/plans/{made['id']}/{name}").status_code == 404


@pytest.mark.parametrize(
    "sent", [b"", b"[]", b"{", b'{"owner": 1}', b'{"owner": "page-one-1", "job": []}', b"\xff\xfe", b"[" * 100_000]
)
def test_nonsense_is_refused_in_words(tmp_path: Path, sent: bytes) -> None:
    """What no page of ours sends is refused and changes nothing."""
    with page(tmp_path, workers=0) as (client, shared):
        for path in ("/planning", "/planning/keep"):
            answer = client.post(path, content=sent, headers=ours(shared))
            assert answer.status_code in (404, 422), path
            assert answer.json()["faults"]


@pytest.mark.slow
def test_fifty_plans_in_a_row_and_ten_at_once(tmp_path: Path) -> None:
    """All are made, none is mixed up with another, and only the last ones are remembered."""
    with page(tmp_path, workers=2) as (client, shared):
        for number in range(50):
            width = 20 + number
            made = planned(client, shared, {**JOB, "part": [{"name": f"bar {number}", "width": width}]})
            assert f"bar {number}" in made["html"]
        owners = [f"device-{number}" for number in range(10)]
        first = {}
        for at, owner in enumerate(owners):
            body = {"owner": owner, "job": {**JOB, "part": [{"name": f"rod {at}", "width": 30 + at, "quantity": 3}]}}
            first[owner] = client.post("/planning", json=body, headers=ours(shared)).json()
        for at, owner in enumerate(owners):
            answer, plans = first[owner], list(first[owner]["news"])
            while answer["state"] == "working":
                answer = client.get(f"/planning/{owner}").json()
                plans += answer["news"]
            assert f"rod {at}" in plans[-1]["html"]
        assert len(shared.planning.made) == REMEMBERED
        assert not shared.planning.running


def test_a_plan_whose_page_was_closed_is_dropped(tmp_path: Path) -> None:
    """What no page asks for any more makes room for others; what is asked for stays."""
    from stripplan.web.plans_in_progress import UNASKED, PlanInProgress, PlansInProgress
    from stripplan.web.worker import Task

    desk, doing = PlansInProgress(), cast(Any, None)
    desk.running = {
        "closed": PlanInProgress(Task("planned", ()), doing, {}, 0.0),
        "open": PlanInProgress(Task("planned", ()), doing, {}, UNASKED),
    }
    closed, still = desk.running["closed"].task, desk.running["open"].task
    desk.drop_unasked(UNASKED + 1)
    assert list(desk.running) == ["open"]
    assert (closed.dropped, still.dropped) == (True, False)


def test_a_job_file_is_opened(tmp_path: Path) -> None:
    """All of it comes to the page but what names files of the machine, which is told;
    what is no job is refused with its line.
    """
    text = (
        'name = "gate"\ncut_list = "more.csv"\nrig = "none.toml"\n[[part]]\nwidth = "2 1/2 in"\nplus_minus = 0.5\n'
        "[options]\ntrim = 10\n"
    )
    with page(tmp_path) as (client, shared):

        def answer(sent: object) -> dict[str, Any]:
            return cast("dict[str, Any]", client.post("/planning/open", json=sent, headers=ours(shared)).json())

        made = answer({"name": "gate.toml", "text": text})
        assert made["job"] == {
            "name": "gate",
            "part": [{"width": "2 1/2 in", "plus_minus": 0.5}],
            "options": {"trim": 10},
        }
        assert [each.split()[1] for each in made["notes"]] == ["cut", "rig"]
        said = [
            answer({"name": "x.toml", "text": each})["faults"][0]["said"] for each in ("a = 1\nb = 1,5", "part = 3")
        ]
        assert said[0].startswith("x.toml line 2")
        assert said[1].startswith("x.toml: this is no job file")
        assert "cannot be understood" in answer({"name": "x.toml", "text": None})["faults"][0]["said"]


def test_the_list_of_plans_says_what_happened_to_a_damaged_one(tmp_path: Path) -> None:
    """The plan stays in the list with plain words;
    it can be cut from what is shown of it, and planned again from its list.
    """
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, JOB)
        client.post("/planning/keep", json={"id": made["id"], "job": JOB}, headers=ours(shared))
        shared.planning.made.clear()
        (tmp_path / "plans" / made["id"] / "plan.json").write_bytes(b"")
        text = client.get("/plans", headers={"accept": "text/html"}).text
        assert "gate" in text
        assert "could not be read: it is empty. It was set aside as plan-damaged-1.json." in text
        assert "setup-sheet.pdf" not in text
        for path in (f"/rig/{made['id']}/1", f"/?from={made['id']}"):
            assert client.get(path, headers={"accept": "text/html"}).status_code == 200
        refused = client.get(f"/plans/{made['id']}/setup-sheet.pdf")
        assert refused.status_code == 422
        assert "plan it again from its list" in refused.json()["faults"][0]["said"]


def test_a_plan_is_kept_while_the_list_changes(tmp_path: Path) -> None:
    """Asked to keep a plan that was shown, the answer is one plan with a word of what stayed; it is no answer where the
    same list is then planned afresh.
    """
    with page(tmp_path) as (client, shared):
        before = planned(client, shared, JOB)
        job = {**JOB, "part": [*JOB["part"], {"name": "rush", "width": 30, "length": 60}]}
        kept = planned(client, shared, job, keep=before["id"])
        assert {each["id"] for each in kept["given"]} == {kept["id"]}  # at once, and once more when it is held beside
        assert kept["last"]  # one that is made afresh
        cuts = len(shared.planning.made[before["id"]].shown["cuts"])
        assert kept["notes"][0].startswith(f"Of {cuts} cuts {cuts} stay as they were")
        afresh = planned(client, shared, job)
        assert not any("stay as they were" in note for note in afresh["notes"])
