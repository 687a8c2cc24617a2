"""The rig view over HTTP."""

from __future__ import annotations

import asyncio
import json
import threading
import time
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from stripplan.files.plan.read import plan_from
from stripplan.web import rest_before_arc as clock
from stripplan.web import tasks
from stripplan.web.shared_state import SharedState
from stripplan.web.views import at_rig
from tests.web.asking import JOB, ours, page, planned

KeptPlan = tuple[TestClient, SharedState, str]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeptPlan]:
    """A plan of four bars that was kept."""
    with page(tmp_path_factory.mktemp("shop")) as (client, shared):
        made = planned(client, shared, JOB)
        client.post("/planning/keep", json={"id": made["id"], "job": JOB}, headers=ours(shared))
        yield client, shared, made["id"]


def send(kept: KeptPlan, *changes: dict[str, Any]) -> Any:
    """Send changes, each with a name of its own."""
    client, shared, plan_id = kept
    named = [{"name": f"{time.monotonic_ns()}-{n}", "text": "", **each} for n, each in enumerate(changes)]
    return client.post(f"/rig/{plan_id}/progress", json={"changes": named}, headers=ours(shared))


def test_every_cut_is_in_the_page_with_its_figures(kept: KeptPlan) -> None:
    """All that the sheet says of a cut is there at once, so that no connection is needed between cuts."""
    client, shared, plan_id = kept
    text = client.get(f"/rig/{plan_id}/1", headers={"accept": "text/html"}).text
    for cut in shared.store.shown(plan_id)["cuts"]:
        section = text.partition(f'" data-cut="{cut["number"]}" aria-label')[2].partition("</section>")[0]
        for each in (
            cut["fence"]["text"],
            cut["end_stop"]["text"].removesuffix(" mm"),
            cut["speed"]["text"],
            cut["piece"],
            cut["face"]["text"],
            *cut["doing"],
        ):
            assert each in section
        at = [section.index(each) for each in cut["doing"]]
        assert at == sorted(at)
        for fall in (cut["left"], cut["right"]):
            assert fall["doing"] in section
        assert "<svg" in section


def test_a_run_is_counted(kept: KeptPlan) -> None:
    """A cut of several with one setting says which of how many it is, by the runs of the plan file; what is set stands
    large where a run begins.
    """
    client, shared, plan_id = kept
    runs = plan_from(shared.store.plan_text(plan_id), name="plan.json").runs
    counts = [(at, run.count) for run in runs for at in range(1, run.count + 1)]
    assert any(of > 1 for _, of in counts)
    text = client.get(f"/rig/{plan_id}/1", headers={"accept": "text/html"}).text
    for number, (at, of) in enumerate(counts, 1):
        look = "goes-on" if at > 1 else "begins"
        section = text.partition(f'<section class="cut {look}" data-cut="{number}"')[2].partition("</section>")[0]
        assert (f"<strong>{at} <small>of {of}</small></strong> <span>with one setting" in section) is (of > 1)


def test_a_width_far_off_is_asked_about_and_not_kept(kept: KeptPlan) -> None:
    """A point set wrong, or the other unit, is named with what may be meant; another side is refused without a guess;
    what is off as a rig drifts is kept.
    """
    _, shared, plan_id = kept
    cut = next(each for each in shared.store.shown(plan_id)["cuts"] if each["measure"])
    width = float(cut["measure"]["expected"])
    for typed, meant in ((f"{10 * width:g}", f"did you mean {width:.1f}?"), (f"{width / 25.4:.4f}", f"{width:.1f}?")):
        said = send(kept, {"what": "measured", "cut": cut["number"], "text": typed}).json()["faults"][0]["said"]
        assert f"{typed} where {width:.1f} is expected" in said
        assert meant in said
    other = send(kept, {"what": "measured", "cut": cut["number"], "text": f"{width + 130:g}"})
    assert other.status_code == 422
    assert "did you mean" not in other.json()["faults"][0]["said"]
    assert str(cut["number"]) not in shared.store.progress(plan_id).measured
    assert send(kept, {"what": "measured", "cut": cut["number"], "text": f"{width + 3:g}"}).status_code == 200
    assert send(kept, {"what": "measured", "cut": cut["number"], "text": ""}).status_code == 200


def test_a_width_is_judged_by_the_band(kept: KeptPlan) -> None:
    """Within the band, its ends counted in, it goes; outside it does not; in inches, as a fraction, alike."""
    _, shared, plan_id = kept
    measure = shared.store.shown(plan_id)["cuts"][0]["measure"]
    low, high = float(measure["low"]), float(measure["high"])
    inch = f"{(low + high) / 2 / 25.4:.4f} in"
    for text, said in (
        (measure["low"], "go"),
        (measure["high"], "go"),
        (inch, "go"),
        (f"{(low + high) / 2:.1f}".replace(".", ","), "go"),
        (f"{high + 0.1:.1f}", "out"),
        (f"{low - 0.1:.1f} mm", "out"),
    ):
        assert send(kept, {"what": "measured", "cut": 1, "text": text}).json()["verdicts"] == {"1": said}
    assert send(kept, {"what": "measured", "cut": 1, "text": ""}).json()["verdicts"] == {}


@pytest.mark.parametrize("text", ["wide", "5O", "1,5,0", "-", "nan", "1e999", "<b>", "50 furlongs"])
def test_a_width_that_is_none_is_refused(kept: KeptPlan, text: str) -> None:
    """It is told how it is written, and nothing else of the same message is taken either."""
    before = send(kept, {"what": "at", "cut": 1}).json()
    answer = send(kept, {"what": "done", "cut": 4}, {"what": "measured", "cut": 1, "text": text})
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["said"]
    client, _, plan_id = kept
    assert client.get(f"/rig/{plan_id}/progress").json()["done"] == before["done"]


@pytest.mark.parametrize(
    "body", [{}, {"changes": "x"}, {"changes": [1]}, {"changes": [{}] * 201}, {"changes": [{"what": "done"}]}]
)
def test_nonsense_changes_nothing(kept: KeptPlan, body: dict[str, Any]) -> None:
    """What no page of ours sends is refused."""
    client, shared, plan_id = kept
    before = client.get(f"/rig/{plan_id}/progress").json()["version"]
    assert client.post(f"/rig/{plan_id}/progress", json=body, headers=ours(shared)).status_code == 422
    assert client.get(f"/rig/{plan_id}/progress").json()["version"] == before


def test_changes_of_many_devices_at_once_are_all_there(kept: KeptPlan) -> None:
    """None is lost, though all come at the same time."""
    count = len(kept[1].store.shown(kept[2])["cuts"])
    threads = [
        threading.Thread(target=send, args=(kept, {"what": "wrong", "cut": 1 + n % count, "text": f"left: {n}"}))
        for n in range(20)
    ]
    before = send(kept, {"what": "at", "cut": 1}).json()["version"]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    now = kept[0].get(f"/rig/{kept[2]}/progress").json()
    assert now["version"] == before + 20
    assert set(now["wrong"]) == {str(n) for n in range(1, count + 1)}
    for n in range(count):
        send(kept, {"what": "wrong", "cut": 1 + n})


def test_who_asks_for_news_gets_it_when_there_is_some(kept: KeptPlan) -> None:
    """With the version that a device knows the answer waits for a change; with an old one it comes at once."""
    client, _, plan_id = kept
    version = client.get(f"/rig/{plan_id}/progress").json()["version"]
    begun = time.monotonic()
    threading.Timer(0.3, send, (kept, {"what": "done", "cut": 2})).start()
    news = client.get(f"/rig/{plan_id}/progress?since={version}").json()
    assert news["version"] == version + 1
    assert 2 in news["done"]
    assert news["since_last"] <= time.monotonic() - begun
    assert client.get(f"/rig/{plan_id}/progress?since=0").json()["version"] == news["version"]


def test_idle_devices_hold_no_thread() -> None:
    """Waiting for news is asleep in the loop: fifty devices that wait cost no thread of the server."""

    class Asked:
        """A request that waits."""

        def __init__(self, shared: Any) -> None:
            self.app = type("App", (), {"state": type("State", (), {"shared": shared})()})()
            self.path_params, self.query_params = {"id": "0123abcd"}, {"since": "0"}

        async def is_disconnected(self) -> bool:
            return False

    class Quiet:
        """A store in which nothing happens."""

        def shown(self, plan_id: str) -> dict[str, Any]:
            return {"cuts": [], "units": "mm"}

        def progress(self, plan_id: str, batch: int) -> Any:
            from stripplan.web.store.progress import Progress

            return Progress()

    async def all_wait() -> int:
        shared = type("Shop", (), {"store": Quiet()})()
        waiting = [asyncio.create_task(at_rig.progress(Asked(shared))) for _ in range(50)]  # type: ignore[arg-type]
        await asyncio.sleep(0.3)
        count = sum(not each.done() for each in waiting)
        for each in waiting:
            each.cancel()
        await asyncio.gather(*waiting, return_exceptions=True)
        return count

    assert asyncio.run(all_wait()) == 50


def test_a_fault_names_the_change_that_is_to_blame(kept: KeptPlan) -> None:
    """A device leaves out that one and no other; where the computer itself cannot store, none is to blame."""
    width = kept[1].store.shown(kept[2])["cuts"][0]["measure"]["expected"]
    good = {"what": "measured", "cut": 1, "text": width}
    assert send(kept, good).status_code == 200  # what is known lies in a file from here on
    for bad in ({"what": "measured", "cut": 2, "text": "wide"}, {"what": "done", "cut": 99}, {"what": "explode"}):
        answer = send(kept, good, {"what": "at", "cut": 1}, {"cut": 1, **bad})
        assert answer.status_code == 422
        assert [each["place"] for each in answer.json()["faults"]] == [["changes", 2]]
    file = kept[1].store.folder / "plans" / kept[2] / "progress.json"
    away = file.rename(file.with_name("away"))
    file.mkdir()  # no file can be read or written there
    answer = send(kept, good)
    file.rmdir()
    away.rename(file)
    assert answer.status_code == 422
    assert [each["place"] for each in answer.json()["faults"]] == [[]]


def test_no_arc_begins_before_the_power_source_has_rested() -> None:
    """Arcs that begin as early as the rig view's clock allows keep each ten minutes within the duty cycle.

    Duty cycle: its share of a period of ten minutes (IEC 60974-1, from memory). The cuts are ticked at the very end of
    their arcs.
    """
    table = {**JOB, "plate": [{**JOB["plate"][0], "thickness": 10, "length": 1200}],
     "part": [{"name": "bar", "width": 50, "quantity": 12}]}  # fmt: skip
    text = planned_text(table)
    made = json.loads(text)
    clocks = clock.waits([cut.minutes for cut in plan_from(text, name="plan.json").cuts])
    assert sum(each > 0 for each in clocks) > 5
    now, arcs = 0.0, []
    for cut, wait in zip(made["cuts"], clocks, strict=True):
        minutes = cut["minutes"]
        set_up = sum(minutes.values()) - minutes["arc"] - minutes["rest"]
        now += max(wait, 60 * set_up)
        arcs.append((now, now + 60 * minutes["arc"]))
        now = arcs[-1][1]
    process = made["rig"]["processes"]
    share = max(percent for each in process if each["name"] == made["plates"][0]["process"] for current,
     percent in each["duty"] if current >= each["current"])  # fmt: skip
    for _, end in arcs:
        inside = sum(max(0.0, min(end, b) - max(end - 600, a)) for a, b in arcs)
        assert inside <= 600 * (share / 100 if share > 1 else share) + 1


def planned_text(table: dict[str, Any]) -> str:
    """The plan file of a job."""
    made = tasks.planned(table, ".", tell=lambda _: None, stop=lambda: False)
    return str(made["text"])
