"""Lists that are being typed: kept at every change, looked at at once, copied, deleted and had back."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from stripplan.errors import InputError
from stripplan.web.shared_state import SharedState
from stripplan.web.store.draft_store import DraftStore
from stripplan.web.worker import Task
from tests.web.asking import JOB, ours, page, planned

ONE, TWO = "00000000000000a1", "00000000000000a2"
HTML = {"accept": "text/html"}


def kept(client: TestClient, shared: SharedState, job: dict[str, Any], was: int, name: str = ONE) -> dict[str, Any]:
    """The answer to a list that was typed."""
    answer: dict[str, Any] = client.post(
        f"/jobs/{name}", json={"job": job, "edition": was}, headers=ours(shared)
    ).json()
    return answer


def test_what_was_typed_is_there_again_as_it_was_typed(tmp_path: Path) -> None:
    """Half a row, a figure that cannot be read, and a decimal comma stay as they stand in the fields, after a restart
    too; the page begins with the list that was typed last.
    """
    half = {**JOB, "part": [{"name": "bar", "width": "5O"}, {"width": "82,5"}, {"note": "later"}]}
    with page(tmp_path, workers=0) as (client, shared):
        answer = kept(client, shared, half, 0)
        assert answer["edition"] == 1
        assert [each["place"] for each in answer["faults"]] == [["part", 0, "width"], ["part", 2, "width"]]
        assert kept(client, shared, JOB, 0, TWO)["faults"] == []
        assert kept(client, shared, half | {"name": "gate 2"}, 1)["edition"] == 2
    with page(tmp_path, workers=0) as (client, shared):
        assert client.get("/", headers=HTML).headers["location"] == f"/?job={ONE}"
        assert "5O" in client.get(f"/?job={ONE}", headers=HTML).text
        assert "5O" not in client.get("/?new", headers=HTML).text
        listed = client.get("/jobs").json()["jobs"]
        assert [(each["name"], each["parts"]) for each in listed] == [("gate 2", 3), ("gate", 1)]


def test_two_windows_lose_nothing_of_each_other(tmp_path: Path) -> None:
    """What was typed into an older edition is refused, so that the window can keep it apart; the same list a second
    time, as after an answer that was lost, is no change.
    """
    with page(tmp_path, workers=0) as (client, shared):
        kept(client, shared, JOB, 0)
        kept(client, shared, {**JOB, "name": "one"}, 1)
        assert kept(client, shared, {**JOB, "name": "one"}, 1)["edition"] == 2
        refused = kept(client, shared, {**JOB, "name": "two"}, 1)
        assert refused["faults"][0]["code"] == "changed"
        assert shared.drafts.read(ONE).name == "one"


def test_jobs_are_copied_deleted_and_had_back(tmp_path: Path) -> None:
    """A copy has a name of its own; a deleted list is out of the list of jobs and comes back whole."""
    with page(tmp_path, workers=0) as (client, shared):
        kept(client, shared, JOB, 0)
        copy = client.post(f"/jobs/{ONE}/copy", json={}, headers=ours(shared)).json()["id"]
        assert shared.drafts.read(copy).name == "gate, copy"
        client.post(f"/jobs/{ONE}/delete", json={}, headers=ours(shared))
        assert [each["id"] for each in client.get("/jobs").json()["jobs"]] == [copy]
        assert client.get(f"/?job={ONE}", headers=HTML).status_code == 404
        client.post(f"/jobs/{ONE}/restore", json={}, headers=ours(shared))
        assert shared.drafts.read(ONE).job == JOB
        for wrong in ("..%2f..%2fx", "zzz", "00000000000000ff"):
            assert client.post(f"/jobs/{wrong}/delete", json={}, headers=ours(shared)).status_code == 404


def test_a_damaged_list_is_told_and_set_aside(tmp_path: Path) -> None:
    """It is said in the list of jobs, its bytes stay in the folder, and the other jobs are there."""
    store = DraftStore(tmp_path)
    store.keep(ONE, JOB, was=0, now="2030-01-01T00:00:00")
    store.keep(TWO, JOB, was=0, now="2030-01-02T00:00:00")
    (tmp_path / "drafts" / f"{ONE}.json").write_bytes(b"\0\0\0\0")
    found, said = store.recent()
    assert [each.id for each in found] == [TWO]
    assert "could not be read: it is empty (it was set aside" in said[0]
    assert (tmp_path / "drafts" / f"{ONE}-damaged-1.json").read_bytes() == b"\0\0\0\0"
    with pytest.raises(InputError):
        store.read(ONE)


def test_a_list_is_checked_while_every_worker_is_busy(tmp_path: Path) -> None:
    """What is wrong with it is said although no plan can be begun: nothing is waited for."""
    with page(tmp_path, workers=0) as (client, shared):
        assert kept(client, shared, {"units": "mm"}, 0)["lacks"] == ["plate", "part"]
        assert kept(client, shared, {**JOB, "part": [{"width": "x"}]}, 1)["faults"][0]["place"] == ["part", 0, "width"]


def test_a_plan_belongs_to_its_list(tmp_path: Path) -> None:
    """It is kept with the list that it was made of and no other; its files are refused where the list was changed
    since; their names carry the job's name.
    """
    with page(tmp_path) as (client, shared):
        kept(client, shared, JOB, 0)
        made = planned(client, shared, JOB)
        good = client.get(f"/plans/{made['id']}/cut-list.csv?job={ONE}")
        assert 'filename="gate-cut-list.csv"' in good.headers["content-disposition"]
        other = {**JOB, "part": [{"name": "bar", "width": "5O"}]}
        kept(client, shared, other, 1)
        assert client.get(f"/plans/{made['id']}/cut-list.csv?job={ONE}").json()["faults"][0]["code"] == "stale_plan"
        for wrong in (other, None, {**JOB, "name": "x"}):
            refused = client.post("/planning/keep", json={"id": made["id"], "job": wrong}, headers=ours(shared))
            assert (refused.status_code, refused.json()["faults"][0]["code"]) == (422, "stale_plan")
        typed_otherwise = {**JOB, "part": [{"name": " bar ", "width": "50", "quantity": "4", "length": ""}]}
        answer = client.post("/planning/keep", json={"id": made["id"], "job": typed_otherwise}, headers=ours(shared))
        assert answer.json()["state"] == "kept"
        again = client.post("/planning", json={"owner": "page-two-2", "job": JOB}, headers=ours(shared)).json()
        assert [each["id"] for each in again["news"]] == [made["id"]]  # as it is remembered, nothing is sought again


def test_a_large_job_is_in_sight_before_it_is_planned(tmp_path: Path) -> None:
    """First its parts on the plates, then a first plan, which can be kept, then the last; each knows its list."""
    many = [{"name": f"p{n}", "width": 60 + n % 9, "length": 150 + 7 * n} for n in range(31)]
    with page(tmp_path) as (client, shared):
        made = planned(client, shared, {**JOB, "part": many})
        assert [each["kind"] for each in made["given"]][:2] == ["sketch", "plan"]
        sketch, first = made["given"][:2]
        assert sum(each["svg"].count('data-kind="part"') * each["count"] for each in sketch["plates"]) == 31
        assert not first["last"]
        assert made["last"]
        assert first["id"] in shared.planning.made
        assert {each["list"] for each in made["given"]} == {made["list"]}


def test_stopping_keeps_the_best_so_far(tmp_path: Path) -> None:
    """A search that would go on for hours is ended by the person, and the answer is a plan."""
    job = {**JOB, "part": [{"width": 120, "length": 300, "quantity": 9}, {"width": 70, "length": 90, "quantity": 14}]}
    job["options"] = {"seconds": 10_000, "steps": 10**9}
    with page(tmp_path) as (client, shared):
        answer = client.post("/planning", json={"owner": "page-one-1", "job": job}, headers=ours(shared)).json()
        news = list(answer["news"])
        while answer["state"] == "working":
            if any(each["kind"] == "plan" for each in news):
                client.post("/planning/page-one-1/enough", json={}, headers=ours(shared))
            answer = client.get("/planning/page-one-1").json()
            news += answer["news"]
        assert answer["state"] == "made"
        assert news[-1]["last"]


@pytest.mark.long
def test_a_task_gives_what_it_has_before_its_end() -> None:
    """What it gave on the way is kept in order, beside the last word of how far it is."""
    from stripplan.web.worker import Workers

    async def done() -> Task:
        workers = Workers(1)
        workers.start()
        try:
            task = Task("chosen", (JOB, "."))
            assert await workers.do(task) == {"kind": "all chosen"}
            return task
        finally:
            workers.close()

    given = list(asyncio.run(done()).given_so_far)
    assert given[0]["kind"] == "choices"
    assert [each["number"] for each in given[1:]] == [row["number"] for row in given[0]["rows"]]
