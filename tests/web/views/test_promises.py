"""Plans of the page in the stock book: as `stripplan plan --rack`, `rest`, `done` and `undo` have it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from stripplan.book.database import Database
from stripplan.book.day import day_of
from stripplan.book.day import tick as tick_in_book
from stripplan.book.pieces import Wanted, add, wanted_pieces
from stripplan.book.plans import kept_plan, kept_plans, undo
from stripplan.errors import InputError
from stripplan.files.plan.read import plan_from
from stripplan.model.plan.progress import CutProgress
from stripplan.model.rack.piece import RackPiece
from stripplan.planner import left_to_cut, plan_again, what_changed
from stripplan.sheets.plan_json import plan_text
from stripplan.web.shared_state import SharedState
from stripplan.web.store.stock_book import Agreed
from stripplan.web.tasks import read_list
from stripplan.web.views.typed_list import job_of
from stripplan.wording.show import Units, worded
from tests.cli.running import called
from tests.web.asking import ours, page, planned

Page = tuple[TestClient, SharedState, Path]
METAL = {"thickness": 6, "material": "S235"}
PART = {"name": "bar", "width": 90, "length": 300, "quantity": 5, "thickness": 6, "material": "S235"}
GATE: dict[str, Any] = {"name": "gate", "from_rack": True, "part": [PART], "options": {"steps": 20}}


@pytest.fixture
def rack(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Page]:
    """A page, and a rack with three pieces alike of which each holds four bars and no more."""
    file = tmp_path / "rack.db"
    monkeypatch.setenv("STRIPPLAN_BOOK", str(file))
    with Database(file, create=True) as book:
        piece = RackPiece(kind="offcut", length=620.0, width=200.0, thickness=6.0, material="S235", measured=True)
        add(book, [piece] * 3, "2026-01-02T03:04:05+00:00")
    with page(tmp_path / "shop") as (client, shared):
        yield client, shared, file


def pieces(file: Path) -> dict[str, tuple[str, str]]:
    """State of each piece, and the plan that it is promised to."""
    with Database(file, writes=False) as book:
        return pieces_in(book)


def pieces_in(book: Database) -> dict[str, tuple[str, str]]:
    """The same of a book that is open."""
    return {each.name: (each.state, each.plan) for each in wanted_pieces(book, Wanted(gone=True))}


def keep(rack: Page, made: dict[str, Any], job: dict[str, Any]) -> dict[str, Any]:
    """Keep a plan that was made."""
    client, shared, _ = rack
    asked = {"id": made["id"], "job": job}
    answer: dict[str, Any] = client.post("/planning/keep", json=asked, headers=ours(shared)).json()
    return answer


def test_two_plans_never_promise_one_plate(rack: Page) -> None:
    """What a plan that is kept uses is its own; another that was planned with the same pieces is refused when it is to
    be kept, and nothing of it is there; forgotten, the first gives its pieces back.
    """
    client, shared, file = rack
    other = {**GATE, "name": "box"}
    first, second = planned(client, shared, GATE), planned(client, shared, other, "page-two-2")
    assert "R1, R2" in first["html"] or "R1-R2" in first["html"]
    assert keep(rack, first, GATE)["state"] == "kept"
    assert pieces(file) == {"R1": ("there", first["id"]), "R2": ("there", first["id"]), "R3": ("there", "")}
    refused = keep(rack, second, other)
    assert "R1 is promised to 'gate'" in refused["faults"][0]["said"]
    assert [each.id for each in shared.store.kept()] == [first["id"]]
    html = {"accept": "text/html"}
    assert "Promised to it off the rack: R1-R2" in client.get("/plans", headers=html).text
    named = {**other, "from_rack": "", "plate": [{"name": "R1", "length": 620, "width": 200, "thickness": 6,
             "material": "S235", "offcut": True, "piece": "R1"}], "part": [{**PART, "quantity": 2}]}  # fmt: skip
    assert "R1 is promised" in planned(client, shared, named, "page-two-2")["faults"][0]["said"]
    assert client.post(f"/plans/{first['id']}/forget", headers=ours(shared)).json()["said"] == "Free again: R1-R2."
    assert shared.store.kept() == []
    assert set(pieces(file).values()) == {("there", "")}
    made = planned(client, shared, named, "page-two-2")
    assert keep(rack, made, named)["state"] == "kept"
    assert pieces(file)["R1"] == ("there", made["id"])
    assert plan_from(shared.store.plan_text(made["id"]), name="").plates[0].piece == "R1"


def test_a_plan_that_is_begun_is_not_forgotten_and_its_end_goes_into_the_book(rack: Page) -> None:
    """Its ticks hold it, also against a new plan of its job; written into the book its pieces are used up."""
    client, shared, file = rack
    made = planned(client, shared, GATE)
    keep(rack, made, GATE)
    tick(rack, made["id"], *(cut["number"] for cut in shared.store.shown(made["id"])["cuts"]))
    assert "is begun" in client.post(f"/plans/{made['id']}/forget", headers=ours(shared)).json()["faults"][0]["said"]
    more = {**GATE, "part": [{**PART, "quantity": 4}]}
    assert "is begun" in planned(client, shared, more)["faults"][0]["said"]
    answer = client.post(f"/rig/{made['id']}/1/book", json={"place": "bay 2"}, headers=ours(shared)).json()
    assert answer["used"] == "R1-R2"
    assert pieces(file)["R1"][0] == pieces(file)["R2"][0] == "used"
    assert client.get(f"/rig/{made['id']}/1/book").json()["done"]


def test_a_list_that_found_nothing_on_the_rack_is_in_the_book_all_the_same(rack: Page) -> None:
    """As `stripplan plan --rack` has it: its plates are to be bought until they are cut, its ticks stand in the book,
    it is ended there, and forgotten nothing is left of it. A list that asks for nothing off the rack is the page's own,
    and makes no book."""
    client, shared, file = rack
    plate = {"length": 1000, "width": 500, "thickness": 10, "material": "S235", "quantity": 1}
    part = {**PART, "thickness": 10, "quantity": 3}
    job = {**GATE, "plate": [plate], "part": [part]}
    html = {"accept": "text/html"}
    made = planned(client, shared, job)
    keep(rack, made, job)
    assert "Nothing on the rack is promised to it" in client.get("/plans", headers=html).text
    assert "1 × 1000 × 500 × 10" in client.get("/rack", headers=html).text
    tick(rack, made["id"], 1)
    assert in_book(file, made["id"])[0] == {1}
    assert "To buy" not in client.get("/rack", headers=html).text
    assert "is begun" in client.post(f"/plans/{made['id']}/forget", headers=ours(shared)).json()["faults"][0]["said"]
    tick(rack, made["id"], *(cut["number"] for cut in shared.store.shown(made["id"])["cuts"]))
    assert client.post(f"/rig/{made['id']}/1/book", json={}, headers=ours(shared)).json()["offcuts"]
    with Database(file) as book:
        assert kept_plan(book, made["id"]).done
    again = {**job, "name": "again"}
    other = planned(client, shared, again, "page-two-2")
    keep(rack, other, again)
    assert client.post(f"/plans/{other['id']}/forget", headers=ours(shared)).json()["state"] == "forgotten"
    own = {**job, "name": "own", "from_rack": ""}
    third = planned(client, shared, own, "page-three-3")
    for each in file.parent.glob("rack.db*"):
        each.unlink()
    assert keep(rack, third, own)["state"] == "kept"
    tick(rack, third["id"], 1)
    assert not file.exists()
    more = {**job, "name": "more"}
    assert keep(rack, planned(client, shared, more, "page-four-4"), more)["state"] == "kept"
    with Database(file) as book:
        assert [each.job for each in kept_plans(book)] == ["more"]


def tick(rack: Page, plan_id: str, *cuts: int, wrong: str = "") -> None:
    """Tick cuts; the last of them spoilt a side, where that is said."""
    client, shared, _ = rack
    changes = [{"name": f"change-{plan_id}-{n}", "what": "done", "cut": n} for n in cuts]
    if wrong:
        changes[-1] = {"name": f"change-{plan_id}-w", "what": "wrong", "cut": cuts[-1], "text": f"{wrong}: slipped"}
    answer = client.post(f"/rig/{plan_id}/1/progress", json={"changes": changes}, headers=ours(shared))
    assert answer.status_code == 200


def in_book(file: Path, plan_id: str) -> tuple[set[int], dict[str, str]]:
    """Cuts of a plan that are ticked in the book, and whom it says each piece is promised to."""
    with Database(file) as book:
        ticked = {each.number for each in day_of(book, plan_id).ticked}
        return ticked, {each.name: each.promised for each in wanted_pieces(book)}


def test_the_book_says_at_each_moment_what_the_page_is_cutting(rack: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """A tick is in the book when the device is answered, with the piece that is not whole any more; taken back it is
    not; one that the program was stopped at is there when the plan is looked at again. Ticks of the shell stay.
    """
    client, shared, file = rack
    made = planned(client, shared, GATE)
    keep(rack, made, GATE)
    plan = plan_from(shared.store.plan_text(made["id"]), name="")
    first, second = plan.cuts[0], plan.cuts[1]
    tick(rack, made["id"], first.number)
    half = next(each.piece for each in plan.plates if each.id == first.plate)
    of = dict.fromkeys(("R1", "R2"), f"gate ({made['id']})") | {"R3": ""}
    assert in_book(file, made["id"]) == ({first.number}, {**of, half: f"gate ({made['id']}), being cut"})
    with Database(file) as book, pytest.raises(InputError) as error:
        undo(book, made["id"], "2026-01-02T03:04:05+00:00")
    assert error.value.faults[0].says == "book.begun"
    assert f"{half}</button></th>" in (html := client.get("/rack", headers={"accept": "text/html"}).text)
    assert html.count("being cut") == 1
    back = {"name": "change-back", "what": "undone", "cut": first.number}
    client.post(f"/rig/{made['id']}/1/progress", json={"changes": [back]}, headers=ours(shared))
    assert in_book(file, made["id"]) == (set(), of)
    with monkeypatch.context() as stopped:
        stopped.setattr("stripplan.web.views.at_rig.agree", lambda *_: Agreed())
        client.post(
            f"/rig/{made['id']}/1/progress",
            json={"changes": [{"name": "change-stop", "what": "done", "cut": first.number}]},
            headers=ours(shared),
        )
    assert in_book(file, made["id"])[0] == set()
    client.get(f"/rig/{made['id']}/1", headers={"accept": "text/html"})
    assert in_book(file, made["id"])[0] == {first.number}
    with Database(file) as book:
        tick_in_book(book, plan, made["id"], "", [second.number], "2026-01-02T03:04:05+00:00", minutes=3.0)
    client.post(
        f"/rig/{made['id']}/1/progress", json={"changes": [{**back, "name": "change-more"}]}, headers=ours(shared)
    )
    assert second.number in in_book(file, made["id"])[0]


def test_two_windows_see_what_the_shell_ticks(rack: Page) -> None:
    """The command ticks a cut with its size: a device that listens hears of it, the list of plans counts it, and the
    rest of the plan is planned by it; taken back there, it is taken back here."""
    client, shared, file = rack
    made = planned(client, shared, GATE)
    keep(rack, made, GATE)
    plan_id, first = made["id"], plan_from(shared.store.plan_text(made["id"]), name="").cuts[0]
    before = client.get(f"/rig/{plan_id}/1/progress").json()
    size = next(each["measure"]["expected"] for each in shared.store.shown(plan_id)["cuts"] if each["number"] == 1)
    said = called("tick", plan_id, str(first.number), "--measured", size, folder=file.parent, STRIPPLAN_BOOK=str(file))
    assert said.returncode == 0, said.stderr
    heard = client.get(f"/rig/{plan_id}/1/progress?since={before['version']}").json()
    assert heard["version"] > before["version"]
    assert (heard["done"], heard["measured"], heard["verdicts"]) == ([1], {"1": size}, {"1": "go"})
    assert client.get(f"/rig/{plan_id}").headers["location"].endswith("/batches")
    assert [each.done for each in shared.store.kept()] == [1]
    text = client.get(f"/?again={plan_id}&batch=1", headers={"accept": "text/html"}).text
    rest = json.loads(text.partition('id="job">')[2].partition("</script>")[0])
    assert any(each["name"].endswith("of the plan before") for each in rest["plate"])
    tick(rack, plan_id, 2, wrong="right")
    told = json.loads(called("tick", plan_id, "--json", folder=file.parent, STRIPPLAN_BOOK=str(file)).stdout)
    assert [(each["number"], each["spoilt"]) for each in told["ticked"]] == [(1, ""), (2, "right")]
    assert called("tick", plan_id, "--undo", folder=file.parent, STRIPPLAN_BOOK=str(file)).returncode == 0
    now = client.get(f"/rig/{plan_id}/1/progress").json()
    assert (now["done"], now["wrong"], now["measured"]) == ([], {}, {})


BEVELLED: dict[str, Any] = {
    "name": "stand", "from_rack": True, "options": {"steps": "20"},
    "rig": {"tilt_max": "45", "tilt_pivot": "20 mm"},
    "part": [
        {"name": "web", "width": "80", "length": "300", "quantity": "2", "bevels": "long 30/2", **METAL},
        {"name": "gusset", "outline": "0, 0; 200, 0; 0, 120", "bevels": "2 30", **METAL},
        {"name": "brace", "width": "50", "length": "260", "ends": "45; 45", **METAL},
    ],
}  # fmt: skip


def test_a_day_with_bevels_from_the_list_to_the_rack(rack: Page) -> None:
    """Straight cuts, cuts at an angle and bevels are planned from the list, ticked, one bevel spoils its part, and the
    end goes into the book: parts that are whole, the offcuts with their numbers, and the metal adds up."""
    client, shared, file = rack
    made = planned(client, shared, BEVELLED)
    assert made["state"] == "made", made
    assert keep(rack, made, BEVELLED)["state"] == "kept"
    plan_id = made["id"]
    plan = plan_from(shared.store.plan_text(plan_id), name="")
    assert {cut.located for cut in plan.cuts} > {"fence"}
    numbers = [each.number for each in plan.bevels]
    assert len(numbers) >= 3
    tick(rack, plan_id, *(cut.number for cut in plan.cuts))
    assert client.get(f"/rig/{plan_id}/1/progress").json()["done"] == [cut.number for cut in plan.cuts]
    listed = client.get("/plans", headers={"accept": "text/html"}).text
    assert f"{len(plan.cuts)} of {len(plan.arcs)}" in listed
    called("tick", plan_id, str(numbers[0]), folder=file.parent, STRIPPLAN_BOOK=str(file))
    tick(rack, plan_id, *numbers[1:], wrong="right")
    progress = client.get(f"/rig/{plan_id}/1/progress").json()
    assert set(progress["done"]) == {each.number for each in plan.arcs} - {numbers[-1]}
    spoilt = plan.bevels[-1].piece
    answer = client.post(f"/rig/{plan_id}/1/book", json={"place": "bay 2"}, headers=ours(shared)).json()
    assert answer["state"] == "booked"
    with Database(file) as book:
        assert kept_plan(book, plan_id).done
        with book.reading() as connection:
            rows = connection.execute(
                "SELECT piece, kind, area, number FROM made WHERE plan = ?", (plan_id,)
            ).fetchall()
        there = {each.number: each for each in wanted_pieces(book)}
    kinds = {piece: kind for piece, kind, _, _ in rows}
    parts = {each.id for each in plan.pieces if each.kind == "part"}
    assert {piece for piece, kind in kinds.items() if kind == "part"} == parts - {spoilt}
    assert kinds[spoilt] == "scrap"
    offcuts = {number for _, kind, _, number in rows if kind == "offcut"}
    assert offcuts == {number for number, each in there.items() if each.place == "bay 2"}
    assert len(offcuts) == len(answer["offcuts"])
    plates = sum(each.length * each.width for each in plan.plates)
    kerfs = sum(cut.length * cut.kerf for cut in plan.cuts)
    assert plates - sum(area for _, _, area, _ in rows) == pytest.approx(kerfs, rel=0.05)  # slanted kerfs end aslant
    shown_rack = client.get("/rack", headers={"accept": "text/html"}).text
    for number in offcuts:
        assert f"R{number}</th>" in shown_rack
    assert called("undo", plan_id, folder=file.parent, STRIPPLAN_BOOK=str(file)).returncode == 0
    assert set(client.get(f"/rig/{plan_id}/1/progress").json()["done"]) == set(progress["done"])


def test_the_end_of_a_plan_and_the_promise_to_its_rest_are_one(rack: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped between them the book is as it was: the plan before is not ended, its pieces are its own."""
    client, shared, file = rack
    made = planned(client, shared, GATE)
    keep(rack, made, GATE)
    tick(rack, made["id"], plan_from(shared.store.plan_text(made["id"]), name="").cuts[0].number)
    text = client.get(f"/?again={made['id']}&batch=1", headers={"accept": "text/html"}).text
    rest = json.loads(text.partition('id="job">')[2].partition("</script>")[0])
    again, before = planned(client, shared, rest, "page-two-2"), pieces(file)
    ended = list[str]()

    def stops(book: Database, *_: object, **__: object) -> None:
        ended.extend(name for name, (state, _) in pieces_in(book).items() if state == "used")
        raise RuntimeError("stopped here")

    with monkeypatch.context() as stopped:
        stopped.setattr("stripplan.book.plans.keep_plan", stops)
        with pytest.raises(RuntimeError, match="stopped here"):
            keep(rack, again, rest)
    assert len(ended) == 1  # so far had it come
    assert pieces(file) == before
    with Database(file, writes=False) as book:
        assert not kept_plan(book, made["id"]).done
    assert keep(rack, again, rest)["state"] == "kept"
    assert pieces(file)[ended[0]] == ("used", "")


def test_the_rest_is_weighed_as_the_command_weighs_it_and_its_pieces_go_over_to_it(rack: Page) -> None:
    """The plan and what is said of it are those of `plan_again`; kept, the plan before is done as far as it was cut,
    what it had not touched and what lies half cut on the bench is promised to the new one.
    """
    client, shared, file = rack
    made = planned(client, shared, GATE)
    keep(rack, made, GATE)
    before = plan_from(shared.store.plan_text(made["id"]), name="")
    first = [cut.number for cut in before.cuts if cut.plate == before.cuts[0].plate][:2]
    tick(rack, made["id"], *first, wrong="right")
    text = client.get(f"/?again={made['id']}&batch=1", headers={"accept": "text/html"}).text
    rest = json.loads(text.partition('id="job">')[2].partition("</script>")[0])
    assert rest["again"] == {"plan": made["id"], "batch": 1}
    untouched = {each["piece"] for each in rest["plate"] if "piece" in each}
    begun = {each.piece for each in before.plates if each.id == before.cuts[0].plate}
    assert untouched == {"R1", "R2"} - begun
    again = planned(client, shared, rest, "page-two-2")
    assert again["state"] == "made", again
    progress = CutProgress(done=frozenset(first[:1]), spoilt={first[1]: frozenset(("right",))})
    left = left_to_cut(before, shared.store.job(made["id"]), progress)
    kept = plan_from(client.get(f"/plans/{again['id']}/plan.json").text, name="")
    found = plan_again(kept.job, read_list(job_of(rest), ".", rack=True).rig, left)
    nameless = replace(kept, plates=tuple(replace(each, piece="", lies="") for each in kept.plates))
    assert plan_text(found.plan) == plan_text(nameless)
    units = Units("mm", before.job.inch_fraction)
    for each in (*what_changed(before, progress), *found.said):
        assert worded(each, units).text[1:] in " ".join(again["notes"])
    assert keep(rack, again, rest).get("state") == "kept"
    with Database(file, writes=False) as book:
        assert kept_plan(book, made["id"]).done
        promised = kept_plan(book, again["id"]).plates
        there = {each.number: each for each in wanted_pieces(book)}
    assert {name for name, (state, _) in pieces(file).items() if state == "used"} == begun
    bench = [
        each.code.rpartition(":")[2] for number, each in there.items() if number in promised.values() and each.code
    ]
    assert {f"{name} of the plan before" for name in bench} == {
        each.stock for each in kept.plates if each.stock.endswith("of the plan before")
    }
    for each in kept.plates:
        if each.piece:
            assert f"R{promised[each.id]}" == each.piece


def test_the_rest_of_jobs_planned_together_is_planned_again_from_the_rack(rack: Page) -> None:
    """It keeps the jobs and their days, names no piece of the rack that the plan did not take, and is planned."""
    client, shared, _ = rack
    part = {"thickness": 6, "material": "S235", "length": 300}
    both = {
        "name": "gate + box", "from_rack": True, "options": {"steps": 20},
        "job": [{"name": "gate"}, {"name": "box", "due": "2031-12-04"}],
        "part": [{"name": "bar", "job": "gate", "width": 90, "quantity": 2, **part},
                 {"name": "bar", "job": "box", "width": 90, "quantity": 3, **part}],
    }  # fmt: skip
    made = planned(client, shared, both)
    assert keep(rack, made, both)["state"] == "kept"
    before = plan_from(shared.store.plan_text(made["id"]), name="")
    parts = {piece.id: piece.part for piece in before.pieces}
    bars = [cut.number for cut in before.cuts if "gate: bar" in {parts.get(each or "") for each in cut.makes}]
    tick(rack, made["id"], *bars)  # the gate is made
    text = client.get(f"/?again={made['id']}&batch=1", headers={"accept": "text/html"}).text
    rest = json.loads(text.partition('id="job">')[2].partition("</script>")[0])
    assert rest["job"] == [{"name": "box", "due": "2031-12-04"}]
    assert all("piece" in each or each["name"].endswith("of the plan before") for each in rest["plate"])
    again = planned(client, shared, rest, "page-two-2")
    assert again["state"] == "made", again
    assert keep(rack, again, rest).get("state") == "kept"
