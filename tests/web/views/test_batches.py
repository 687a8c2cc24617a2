"""The batches of a plan: each begins with nothing ticked, and is named, gone on with and deleted by itself."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from stripplan.files.job.write import job_text
from stripplan.files.plan.read import plan_from
from stripplan.web import tasks
from stripplan.web.rig_facts import facts_of, facts_without_plan
from stripplan.web.shared_state import SharedState
from stripplan.web.store.batches import batch_of
from stripplan.web.store.progress import Progress
from stripplan.web.widths import expected
from tests.web.asking import JOB, ours, page

MADE: dict[str, Any] = tasks.planned(JOB, ".", tell=lambda _: None, stop=lambda: False)
ID = MADE["shown"]["id"]
ROOT = Path(__file__).parents[3]

Shop = tuple[TestClient, SharedState]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A page on which a plan of four bars was kept."""
    with page(tmp_path / "shop") as (client, shared):
        shared.store.keep(ID, MADE["text"], job_text(JOB), MADE["shown"], "2030-01-02T03:04:05+00:00")
        yield client, shared


def send(shop: Shop, path: str, given: dict[str, Any]) -> Any:
    """Send something as a page of ours does."""
    return shop[0].post(f"/rig/{ID}/{path}", json=given, headers=ours(shop[1]))


def change(shop: Shop, batch: int, *changes: dict[str, Any]) -> dict[str, Any]:
    """Send changes of a batch, each with a name of its own; how far it is then."""
    named = [
        {"name": f"{batch}-{n}-{each['what']}-{each['cut']}", "text": "", **each} for n, each in enumerate(changes)
    ]
    made: dict[str, Any] = send(shop, f"{batch}/progress", {"changes": named}).json()
    return made


def shown(shop: Shop, path: str = "") -> Any:
    """A view of the plan, as a browser asks for it."""
    return shop[0].get(f"/rig/{ID}{path}", headers={"accept": "text/html"})


def test_the_same_job_again_starts_anew(shop: Shop) -> None:
    """A plan that nothing was done of opens at once; one that was begun shows its batches; another begins unticked, and
    what is done in it is not done in the first."""
    assert shown(shop).headers["location"] == f"/rig/{ID}/1"
    change(shop, 1, {"what": "done", "cut": 1}, {"what": "done", "cut": 2})
    assert shown(shop).headers["location"] == f"/rig/{ID}/batches"
    text = shown(shop, "/batches").text
    assert "2 of 4 cuts done" in text
    assert send(shop, "batches", {}).json()["to"] == f"/rig/{ID}/2"
    assert send(shop, "batches", {}).json()["to"] == f"/rig/{ID}/2"  # nothing was done in it yet: it is the new one
    assert change(shop, 2, {"what": "done", "cut": 4})["done"] == [4]
    assert shop[1].store.progress(ID, 1).done == [1, 2]
    assert shop[1].store.kept()[0].done == 1  # of the batch that was begun last
    assert shown(shop, "/3").status_code == 404
    assert change(shop, 3, {"what": "done", "cut": 1})["faults"]


def test_a_batch_is_named_and_deleted_by_itself(shop: Shop) -> None:
    """Its name stands in the list and on the devices; what is deleted is gone, the others and the plan stay."""
    change(shop, 1, {"what": "done", "cut": 1})
    send(shop, "batches", {})
    change(shop, 2, {"what": "done", "cut": 2})
    assert send(shop, "2/name", {"name": "  for the\n gate <b> "}).json() == {"state": "named"}
    assert "for the gate &lt;b&gt;" in shown(shop, "/batches").text
    assert shop[0].get(f"/rig/{ID}/2/progress").json()["name"] == "for the gate <b>"
    assert send(shop, "1/delete", {}).json() == {"state": "deleted"}
    assert shop[1].store.batches(ID) == [2]
    assert shop[1].store.progress(ID, 2).done == [2]
    assert not list((shop[1].store.folder / "plans" / ID).glob("progress.json"))
    assert send(shop, "7/delete", {}).status_code == 404
    send(shop, "2/delete", {})
    change(shop, 1, {"what": "at", "cut": 1, "name": "a-first-one"})
    assert (
        send(shop, "batches", {}).json()["to"] == f"/rig/{ID}/3"
    )  # what a device still sends of batch 2 is no part of it


@pytest.mark.parametrize("data", [b"", b'{"done": [1'])
def test_a_damaged_batch_is_told_and_goes_on_from_its_copy(shop: Shop, data: bytes) -> None:
    """As of the first: set aside, told, taken up from the copy before the last change; the other batch stays."""
    change(shop, 1, {"what": "done", "cut": 1})
    send(shop, "batches", {})
    change(shop, 2, {"what": "done", "cut": 2}, {"what": "at", "cut": 3})
    change(shop, 2, {"what": "done", "cut": 3})
    (shop[1].store.folder / "plans" / ID / "progress-2.json").write_bytes(data)
    now = shop[0].get(f"/rig/{ID}/2/progress").json()
    assert now["done"] == [2]
    assert "progress-2-damaged-1.json" in now["happened"][0]
    assert shop[1].store.progress(ID, 1).done == [1]


def test_what_went_wrong_is_not_done(shop: Shop) -> None:
    """Written down it takes the tick away, and none is taken until it is said to have been right."""
    now = change(shop, 1, {"what": "done", "cut": 2}, {"what": "wrong", "cut": 2, "text": "right: the piece slipped"})
    assert now["done"] == []
    assert change(shop, 1, {"what": "done", "cut": 2, "name": "again-and-again"})["done"] == []
    now = change(
        shop, 1, {"what": "wrong", "cut": 2, "name": "it was right"}, {"what": "done", "cut": 2, "name": "ticked-now"}
    )
    assert (now["done"], now["wrong"]) == ([2], {})


def test_what_is_left_of_a_spoilt_piece_can_be_planned_from(shop: Shop) -> None:
    """A size that does not lie on it, or is none, is refused with its change; one that does is a plate of the rest; it
    goes with what went wrong."""
    wrong = {"what": "wrong", "cut": 1, "text": "left: the piece slipped"}
    for typed, said in (
        ("left 980", "is no size"),
        ("left 9x", "nothing is written"),
        ("left 4000x30", "does not lie on"),
    ):
        answer = send(shop, "1/progress", {"changes": [{"name": f"refused {typed}", **wrong, "usable": typed}]})
        (fault,) = answer.json()["faults"]
        assert (answer.status_code, fault["place"]) == (422, ["changes", 0])
        assert said in fault["said"]
    now = change(shop, 1, {**wrong, "usable": "left 1200x900"})
    assert (now["wrong"], now["usable"]) == ({"1": "left: the piece slipped"}, {"1": "left 1200x900"})
    begun = shop[0].get(f"/?again={ID}&batch=1", headers={"accept": "text/html"}).text
    assert "1200 mm" in begun
    assert "what is left of" in begun
    assert not change(shop, 1, {"what": "wrong", "cut": 1, "name": "it was right"})["usable"]


def test_what_a_spoilt_piece_was_for_is_known() -> None:
    """For each side of a cut the cuts that need its piece: by hand from the tree of pieces in the plan file; of a plan
    whose file is damaged at least its own cut."""
    plan = plan_from(MADE["text"], name="plan.json")
    parent = {each.id: each.parent for each in plan.pieces}
    facts = facts_of(plan)["cuts"]
    for cut in facts:
        for fall in (each for each in cut["falls"].values() if each):
            needs = []
            for other in plan.cuts:
                piece: str | None = other.piece
                while piece is not None and piece != fall["piece"]:
                    piece = parent[piece]
                if piece is not None:
                    needs.append(other.number)
            assert fall["later"] == needs
    bare = facts_without_plan(MADE["shown"])["cuts"]
    for cut, other in zip(facts, bare, strict=True):
        assert (cut["number"], cut["piece"], cut["plate"], cut["wait"]) == (
            other["number"], other["piece"], other["plate"], other["wait"],
        )  # fmt: skip
        for side, fall in other["falls"].items():
            assert (fall is None) == (cut["falls"][side] is None)
            assert fall is None or set(fall["later"]) <= set(cut["falls"][side]["later"])


def test_minutes_taken_leave_out_breaks() -> None:
    """By hand: cuts planned for 4 min each; begun at 0, ticked after 5 min, 9 min, then a night, then 3 min."""
    minutes = dict.fromkeys(range(1, 5), 4.0)
    times = (5, 14, 14 + 900, 14 + 903)
    now = Progress(begun=1000.0, done=[1, 2, 3, 4], ticked={str(n): 1000.0 + 60 * t for n, t in enumerate(times, 1)})
    batch = batch_of(1, now, 4, minutes)
    assert batch.taken == pytest.approx(5 + 9 + 4 + 3)
    assert batch.planned == 16.0
    older = batch_of(1, Progress(done=[1], last_at=5.0), 4, minutes)  # an earlier release kept no times
    assert (older.taken, older.planned) == (None, None)


def test_a_change_that_waited_keeps_its_time(shop: Shop) -> None:
    """Ticked ten minutes before it was sent: the clock of the rest runs from then; nonsense counts as now."""
    assert change(shop, 1, {"what": "done", "cut": 1, "ago": 600.0})["since_last"] == pytest.approx(600, abs=30)
    for ago in ("x", -5, True, 1e12, float("1e300")):
        since = change(shop, 1, {"what": "done", "cut": 2, "ago": ago, "name": f"made-later-{ago}"})["since_last"]
        assert since < 30


def test_measured_widths_say_what_to_expect() -> None:
    """Two strips of one setting 0.42 and 0.2 too wide: 0.31 more is expected of the next ones made alike, and it is
    told where that leaves the band; nothing is said of what was measured itself."""
    facts, shown_ = facts_of(plan_from(MADE["text"], name="plan.json")), MADE["shown"]
    alike = [cut for cut in facts["cuts"] if cut["measured"]["made_of"] == facts["cuts"][0]["measured"]["made_of"]]
    assert len(alike) > 2
    first, second, third = (each["number"] for each in alike[:3])
    width = alike[0]["measured"]["width"]
    told = expected({str(first): f"{width + 0.42:.2f}", str(second): f"{width + 0.2:.2f}"}, shown_, facts)
    assert told[str(third)] == {"width": f"{width + 0.31:.1f}", "cuts": [first, second], "good": True}
    assert str(first) not in told
    assert expected({str(first): f"{width + 9:.2f}"}, shown_, facts)[str(second)]["good"] is False
    assert expected({str(first): f"{width:.2f}"}, shown_, facts) == {}


def test_measured_widths_are_written_into_a_notebook(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of strips on the fence are offered with their readings, and the chosen ones become fence checks, with their
    plan and cut as a note."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    shutil.copytree(ROOT / "examples" / "shed-rig", tmp_path / "stripplan" / "rigs")
    plan = plan_from(MADE["text"], name="plan.json")
    on_fence = [cut for cut in facts_of(plan)["cuts"] if cut["measured"]["reading"] is not None]
    cut = on_fence[0]["number"]
    width = on_fence[0]["measured"]["width"]
    change(shop, 1, {"what": "measured", "cut": cut, "text": f"{width + 0.1:.2f}"})
    offered = shop[0].get(f"/rig/{ID}/1/notebook").json()
    assert offered["checks"] == [
        {"cut": cut, "reading": plan.cuts[cut - 1].fence_reading, "width": f"{width + 0.1:.2f}"}
    ]
    assert offered["rigs"] == ["rig"]
    answer = send(shop, "1/notebook", {"rig": "rig", "cuts": [cut]})
    assert answer.json() == {"state": "written", "count": 1}
    text = (tmp_path / "stripplan" / "rigs" / "notebook.toml").read_text(encoding="utf-8")
    row = text.rpartition("[[fence_check]]")[2]
    assert f'reading = "{plan.cuts[cut - 1].fence_reading:g} mm"' in row
    assert f"plan {ID}, batch 1, cut {cut}" in row
    assert send(shop, "1/notebook", {"rig": "nowhere", "cuts": [cut]}).status_code in (404, 422)
