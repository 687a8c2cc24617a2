"""Lists, drawings, settings and units that come onto the page from elsewhere."""

from __future__ import annotations

import base64
import io
from pathlib import Path
from typing import Any

import pytest

from tests.web.asking import JOB, ours, page, planned

CSV = b"part;width;length;quantity\nrail;2 1/2 in;;6\nshelf;120;300;4\n"
SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="200mm" viewBox="0 0 500 200">'
    b'<rect id="a" x="0" y="0" width="300" height="100"/><circle cx="50" cy="50" r="5"/>'
    b'<circle cx="420" cy="100" r="40"/></svg>'
)


def test_a_list_is_shown_as_it_is_understood(tmp_path: Path) -> None:
    """CSV and workbooks become rows in the job's units; sizes are exact, and they plan."""
    from openpyxl import Workbook

    book, stream = Workbook(), io.BytesIO()
    for row in (("part", "width", "length", "quantity"), ("leg", 50, 700, 4)):
        book.active.append(row)
    book.save(stream)
    with page(tmp_path) as (client, shared):

        def listed(name: str, data: bytes, **more: Any) -> dict[str, Any]:
            sent = {"name": name, "data": base64.b64encode(data).decode(), "job_units": "mm", **more}
            answer: dict[str, Any] = client.post("/planning/list", json=sent, headers=ours(shared)).json()
            return answer

        read = listed("parts.csv", CSV)
        assert read["parts"] == [
            {"name": "rail", "width": 63.5, "quantity": 6},
            {"name": "shelf", "width": 120, "length": 300, "quantity": 4},
        ]
        assert planned(client, shared, {**JOB, "part": read["parts"]})["state"] == "made"
        assert listed("parts.csv", CSV, job_units="in")["parts"][0]["width"] == "2 1/2"
        assert listed("legs.xlsx", stream.getvalue())["parts"][0]["length"] == 700
        for name, data in (("x.exe", b"1"), ("../../etc/passwd.csv", b"\0\1"), ("x.dxf", b"0")):
            assert listed(name, data)["faults"], name
        nonsense = client.post("/planning/list", json={"name": "x.csv", "data": "%%%"}, headers=ours(shared))
        assert nonsense.status_code == 422


def test_what_a_drawing_holds_beside_its_parts_is_asked_about_and_told_on_the_sheet(tmp_path: Path) -> None:
    """Refused with the choices of the command; taken with them, the hole is in its part, and what was left out is in
    the plan's warnings.
    """
    sent = {"name": "frame.svg", "data": base64.b64encode(SVG).decode(), "job_units": "mm"}
    with page(tmp_path) as (client, shared):
        refused = client.post("/planning/list", json=sent, headers=ours(shared)).json()
        assert refused["faults"][0]["code"] == "left_out"
        how = {"leave_out": True, "drill_later": True}
        read = client.post("/planning/list", json={**sent, "how": how}, headers=ours(shared)).json()
        assert [len(each["holes"]) for each in read["parts"]] == [1]
        assert len(read["left_out"]) == 1
        job = {**JOB, "part": read["parts"], "not_planned": read["left_out"]}
        made = planned(client, shared, job)
        kinds = {each["kind"] for each in shared.planning.made[made["id"]].shown["warnings"]}
        assert "not_planned" in kinds


def test_a_rig_is_set_for_the_job_and_reads_no_file(tmp_path: Path) -> None:
    """Settings begin with those of the built-in profile, processes among them; a plate of a quarter inch gets its own
    process; a notebook, which would be a file of the machine, is left out.
    """
    with page(tmp_path) as (client, shared):
        rig = client.post("/planning/rig", json={"rig": ""}, headers=ours(shared)).json()["rig"]
        assert "steel-6" in {each["name"] for each in rig["process"]}
        own = {"name": "quarter", "material": "hardox", "thickness": "1/4 in", "kerf": "1,6", "travel_speed": "450"}
        plate = {"length": 1000, "width": 500, "thickness": "1/4 in", "material": "hardox"}
        job = {"plate": [plate], "part": [{"width": 50}], "rig": {"process": [*rig["process"], own]}}
        without = planned(client, shared, {key: each for key, each in job.items() if key != "rig"})
        assert without["faults"][0]["code"] == "no_process"
        secret = tmp_path / "book.toml"
        secret.write_text("units = 3", encoding="utf-8")
        job["rig"]["notebook"] = str(secret)
        assert planned(client, shared, job)["state"] == "made"
        assert client.post("/planning/rig", json={"rig": "../x"}, headers=ours(shared)).status_code == 404


@pytest.mark.parametrize(
    ("typed", "to", "turned"),
    [
        ({"part": [{"width": "12,7", "length": "50"}]}, "in", {"part": [{"width": "1/2", "length": "50 mm"}]}),
        ({"units": "in", "part": [{"width": "2.5", "x": "1 m"}]}, "mm", {"part": [{"width": 63.5, "x": "1 m"}]}),
        ({"part": [{"width": "5O", "note": "20"}]}, "in", {"part": [{"width": "5O", "note": "20"}]}),
    ],
)  # fmt: skip
def test_other_units_leave_every_size_as_it_is(
    tmp_path: Path, typed: dict[str, Any], to: str, turned: dict[str, Any]
) -> None:
    """Bare figures are turned exactly, or keep their unit; what is no figure stays."""
    with page(tmp_path, workers=0) as (client, shared):
        answer = client.post("/planning/units", json={"job": typed, "to": to}, headers=ours(shared)).json()
    assert answer["job"] == {**turned, "units": to}


@pytest.mark.parametrize("deep", [13, 200, 900, 5000])
def test_what_is_nested_too_deep_is_refused(tmp_path: Path, deep: int) -> None:
    """Lists in lists, tables in tables: a 4xx at every door, whatever the depth."""
    nests = ("[" * deep + "]" * deep, '{"a":' * deep + "1" + "}" * deep)
    with page(tmp_path, workers=0) as (client, shared):
        for nest in nests:
            for path, body in (
                ("/planning", f'{{"owner": "page-one-1", "job": {{"part": {nest}}}}}'),
                ("/jobs/00000000000000a1", f'{{"edition": 0, "job": {{"x": {nest}}}}}'),
                ("/planning/units", f'{{"to": "in", "job": {{"part": {nest}}}}}'),
                ("/planning/open", f'{{"name": "x.toml", "text": "a = {"[" * deep + "]" * deep}"}}'),
                ("/notebook/x/add", f'{{"kind": "timed_run", "values": {{"mark": {nest}}}}}'),
            ):
                answer = client.post(path, content=body, headers=ours(shared))
                assert 400 <= answer.status_code < 500, (path, deep)


def test_parts_of_a_thing_come_with_their_sums_and_a_picture(tmp_path: Path) -> None:
    """By its outer size, in the person's units; what comes can be planned; a fault stands at its figure."""
    figures = {"length": "800", "width": "600", "bar": "50", "thickness": "6", "gap": "1", "allowance": "0,5"}
    with page(tmp_path) as (client, shared):

        def asked(kind: str, units: str = "mm", **more: str) -> dict[str, Any]:
            sent = {"kind": kind, "units": units, "figures": {**figures, **more}}
            answer: dict[str, Any] = client.post("/planning/thing", json=sent, headers=ours(shared)).json()
            return answer

        made = asked("frame", times="2")
        assert [(each["length"], each["quantity"], each["allowance"]) for each in made["parts"]] == [
            (800, 4, 0.5),
            (498, 4, 0.5),
        ]
        assert made["sums"][1] == ["50", "600 - 2 x 50 - 2 x 1"]
        assert made["svg"].startswith("<svg")
        assert planned(client, shared, {**JOB, "part": made["parts"]})["state"] == "made"
        narrow = asked("frame", "in", width="3 1/2", bar="2", gap="")
        assert narrow["faults"][0]["place"] == ["width"]
        assert '4"' in narrow["faults"][0]["hint"]
        assert asked("ladder")["faults"][0]["code"] == "thing"
