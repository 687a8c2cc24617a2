"""Several lists planned together on the page: what `stripplan plan A.toml B.toml` does with their files."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest

from stripplan.errors import InputError
from stripplan.planner import joined
from stripplan.planner.settling.materials import with_materials
from stripplan.web.tasks import read_list
from stripplan.web.views.together import together
from stripplan.web.views.typed_list import job_of
from tests.web.asking import ours, page, planned
from tests.web.browser import DESK, PHONE, Opened, launched, opened
from tests.web.on_the_page import shown, typed

GATE: dict[str, Any] = {
    "name": "gate",
    "due": "2026-12-04",
    "plate": [{"name": "sheet", "length": "1250", "width": "1000", "thickness": "6", "material": "mild steel"}],
    "part": [{"name": "rail", "width": "50", "quantity": "3"}, {"width": "82,5", "length": "300"}],
    "options": {"first": ["rail"]},
}
SHELF: dict[str, Any] = {
    "name": "shelf",
    "plate": [
        {"length": "1250", "width": "1000", "thickness": "6", "material": "mild steel"},
        {"name": "R4", "offcut": True, "length": "700", "width": "400", "thickness": "4", "material": "mild steel",
         "piece": "R4"},
    ],
    "part": [
        {"name": "rail", "width": "60", "length": "300", "quantity": "4", "plate": "R4", "thickness": "4"},
        {"name": "board", "width": "70", "thickness": "6"},
    ],
}  # fmt: skip
INCHES: dict[str, Any] = {
    "name": "box", "units": "in",
    "plate": [{"length": "50", "width": "40", "thickness": "1/4", "material": "mild steel"}],
    "part": [{"name": "side", "width": "2 1/2", "length": "12", "quantity": "2"}],
}  # fmt: skip


def test_lists_put_together_are_the_job_that_their_files_are_together() -> None:
    """Parts, plates, days and wishes are those of `joined`, what was typed stays as it was typed, and a piece of the
    rack stays that piece; inches among mm are the same lengths.
    """
    one = together([GATE, SHELF, INCHES])
    read = read_list(job_of(one), ".")
    some = [(each["name"], read_list(job_of(each), ".")) for each in (GATE, SHELF, INCHES)]
    whole, rig = joined([(name, each.job, each.rig) for name, each in some])
    mine, theirs = with_materials(read.job, rig)[0], with_materials(whole, rig)[0]
    for key in ("name", "jobs", "parts", "plates", "options", "units"):
        assert getattr(mine, key) == getattr(theirs, key), key
    assert [each.due for each in read.job.jobs] == ["2026-12-04", None, None]
    assert one["part"][1]["width"] == "82,5"
    assert {each["name"]: each.get("piece") for each in one["plate"]}["R4"] == "R4"
    assert read.job.parts[-1].width == pytest.approx(63.5)


def test_alike_pieces_of_the_rack_stay_pieces_of_the_rack() -> None:
    """One that both lists name is one, and none becomes a kind of which more can be bought."""
    piece = {"length": "900", "width": "400", "thickness": "6", "material": "S235", "offcut": True}
    lists = [
        {"name": name, "plate": [{**piece, "name": each, "piece": each} for each in pieces],
         "part": [{"name": "bar", "width": "40", "length": "300"}]}
        for name, pieces in (("a", ("R1", "R2")), ("b", ("R2",)))
    ]  # fmt: skip
    plates = together(lists)["plate"]
    assert [(each["piece"], each["quantity"]) for each in plates] == [("R1, R2", 2)]


def test_what_does_not_go_together_is_said_with_the_list_that_it_is_in() -> None:
    """A slip in one list, and two lists of one name."""
    with pytest.raises(InputError, match="shelf"):
        together([GATE, {**SHELF, "part": [{"width": "5O"}]}])
    with pytest.raises(InputError, match="both jobs are called 'gate'"):
        together([GATE, {**GATE, "due": None}])


def test_each_of_several_jobs_is_told_when_it_is_done_and_gets_its_paper(tmp_path: Path) -> None:
    """The page shows a row for each, the first due first, and its quotation can be had; days are counted from today on
    where nobody says otherwise.
    """
    with page(tmp_path) as (client, shared):
        ids = []
        for number, each in enumerate((SHELF, GATE)):
            ids.append(f"{number:016x}")
            plate = {key: value for key, value in each["plate"][-1].items() if key != "piece"}
            job = {**each, "plate": [*each["plate"][:-1], plate]}
            client.post(f"/jobs/{ids[-1]}", json={"job": job, "edition": 0}, headers=ours(shared))
        asked = {"jobs": [{"id": ids[0], "due": ""}, {"id": ids[1], "due": "2031-12-04"}]}
        alone = client.post(
            "/jobs/together", json={**asked, "jobs": asked["jobs"][:1], "options": {}}, headers=ours(shared)
        )
        assert alone.status_code == 422
        answer = client.post("/jobs/together", json={**asked, "options": {"hours_a_day": "6"}}, headers=ours(shared))
        job = dict(shared.drafts.read(answer.json()["id"]).job)
        made = planned(client, shared, {**job, "options": {**job["options"], "steps": 20}})
        assert made["state"] == "made", made
        rows = made["html"].partition("When each job is done")[2].partition("</table>")[0]
        assert rows.count("<tr>") == 3
        assert "2031-12-04" in rows
        told = pypdf.PdfReader(io.BytesIO(client.get(f"/plans/{made['id']}/quotation-1.pdf").content))
        assert "gate" in told.pages[0].extract_text()
        assert client.get(f"/plans/{made['id']}/quotation-3.pdf").status_code == 404
        assert 'start = "' in client.get(f"/plans/{made['id']}/job.toml").text


@pytest.fixture
def it(tmp_path: Path) -> Iterator[Opened]:
    """A browser on the page."""
    with launched() as browser:
        if browser is None:
            pytest.skip("no browser")
        with opened(browser, tmp_path / "shop") as made:
            yield made


@pytest.mark.slow
def test_jobs_of_a_week_are_ticked_planned_and_one_left_out_again(it: Opened) -> None:
    """Two jobs are ticked among those worked on last, their days typed, and the plan tells each; a part typed anew
    belongs to the job above it; a job that is left out takes its parts along, and undo brings them back.
    """
    page = it.page(DESK)
    for name, parts in (("gate", [("rail", "50", "", "2")]), ("shelf", [("board", "120", "500", "3")])):
        page.goto(f"{it.address}/?new")
        typed(page, parts)
        page.locator("input[name=name]").fill(name)
        shown(page)
    page.get_by_role("button", name="Jobs").click()
    page.get_by_label("plan gate together with others").check()
    assert page.locator("#together-go").is_disabled()
    page.get_by_label("plan shelf together with others").check()
    page.get_by_label("gate, due").fill("2031-12-04")
    page.get_by_label("shelf, due").fill("2031-12-01")
    page.locator("#together-hours").fill("6")
    page.locator("#together-go").click()
    page.wait_for_selector("table.jobs")
    shown(page)
    rows = [each.inner_text() for each in page.locator("table.jobs tbody tr").all()]
    days = {each.split()[0]: each for each in rows}
    assert "2031-12-01" in days["shelf"]
    assert "2031-12-04" in days["gate"]
    page.set_viewport_size(PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.set_viewport_size(DESK)
    page.locator('[data-table="part"] tbody.line').last.locator('[data-key="name"]').fill("shelf 2")
    page.locator('[data-table="part"] tbody.line').nth(2).locator('[data-key="width"]').fill("30")
    shown(page)
    assert (
        "gate: shelf 2" in page.locator("#plan").inner_text() or "shelf: shelf 2" in page.locator("#plan").inner_text()
    )
    page.get_by_label("Leave this job and its parts out").first.click()
    shown(page)
    assert page.locator("table.jobs tbody tr").count() == 1
    page.locator("#undo").click()
    shown(page)
    assert page.locator("table.jobs tbody tr").count() == 2
    assert not it.said
