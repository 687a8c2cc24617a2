"""The rack over HTTP: what the page shows and does is what the command's book says."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stripplan.book.database import Database
from stripplan.book.pieces import Wanted, wanted_pieces
from stripplan.book.plans import keep_plan, undo
from stripplan.files.stock.read import read_stock
from stripplan.model.plan.plan import Plan
from stripplan.model.rack.piece import RackPiece
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web.plan_for_page import shown
from tests.book.workshop import AT
from tests.cli.running import called
from tests.replay.bevelled import bevelled
from tests.web.asking import ours, page

LIST = b"""length,width,thickness,material,qty,kind,batch,cost,place,outline,supplier
620,410,6,S235,2,offcut,H7,12.50,by the door,,x
,,6,S235,1,offcut,,3,bay 2,"0,0 400,0 0,300",
1250,1000,,S235,4,,,,,,
"""


def test_the_page_and_the_book_say_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put in, reserved, given back, written off in the book; refused with what is wrong, and then nothing is changed; a
    stranger's page changes nothing.
    """
    file = tmp_path / "rack.db"
    monkeypatch.setenv("STRIPPLAN_BOOK", str(file))
    piece: dict[str, Any] = {"size": "2000 x 1000 x 6", "material": "S235", "cost": "113,50", "count": "2"}
    with page(tmp_path / "shop", workers=0) as (client, shared):
        assert client.get("/rack").status_code == 200
        assert not file.exists()  # looking makes no book
        assert client.post("/rack/add", json=piece).status_code == 403

        def ask(path: str, **body: Any) -> dict[str, Any]:
            answer: dict[str, Any] = client.post(f"/rack/{path}", json=body, headers=ours(shared)).json()
            return answer

        assert ask("add", **piece)["said"] == "R1-R2 put in: write its number on each piece."
        for wrong in ({"size": "2000x6"}, {"material": " "}, {"cost": "dear"}, {"count": "0"}, {"size": "0x1x6"}):
            (fault,) = ask("add", **piece | wrong)["faults"]
            assert fault["place"] == list(wrong)
            assert fault["hint"] or "count" in wrong
        assert ask("pieces/reserve", pieces=["R2"], job="gate")["said"] == "R2: reserved for gate."
        assert "faults" in ask("pieces/reserve", pieces=["R2"], job="other")
        assert "faults" in ask("pieces/reserve", pieces=["R9"], job="gate")
        assert "faults" in ask("pieces/reserve", pieces=[], job="gate")
        assert "faults" in ask("pieces/burn", pieces=["R1"])
        shown = client.get("/rack?text=gate").text
        assert "R2" in shown
        assert 'value="R1"' not in shown
        assert 'value="R1"' in client.get("/rack?least=900x1900").text
        assert 'value="R1"' not in client.get("/rack?least=900x2100").text
        assert "113.50" in shown
        assert ask("pieces/release", pieces=["R2"])["said"] == "R2: free."
        assert ask("pieces/write-off", pieces=["R1"], why="sold")["said"] == "R1: off the rack."
        listed = client.get("/?rack=R2").text
        assert '"name": "R2"' in listed
        assert '"cost": 113.5' in listed
    with Database(file, writes=False) as book:
        found = {each.name: each for each in wanted_pieces(book, Wanted(gone=True))}
    assert {name: each.state for name, each in found.items()} == {"R1": "written_off", "R2": "there"}
    assert (found["R2"].cost, found["R2"].job, found["R2"].length) == (113.5, "", 2000.0)


class Shop:
    """A page with a rack of its own, and what is asked of it."""

    def __init__(self, folder: Path, client: Any, shared: Any) -> None:
        self.folder, self.client, self.shared = folder, client, shared

    def ask(self, path: str, **body: Any) -> dict[str, Any]:
        """What a script of ours is answered."""
        answer: dict[str, Any] = self.client.post(f"/rack/{path}", json=body, headers=ours(self.shared)).json()
        return answer

    def find(self, named: str, units: str = "mm") -> dict[str, Any]:
        """What a scanner is answered."""
        answer: dict[str, Any] = self.client.get("/rack/piece", params={"named": named, "units": units}).json()
        return answer

    def pieces(self) -> tuple[RackPiece, ...]:
        """What the book says."""
        with Database(self.folder / "rack.db", writes=False) as book:
            return wanted_pieces(book)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Shop]:
    """An empty one."""
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "rack.db"))
    with page(tmp_path / "shop") as (client, shared):
        yield Shop(tmp_path, client, shared)


def test_every_change_is_kept_from_strangers(shop: Shop) -> None:
    """A page of another site, or one without our token, puts nothing in and changes nothing."""
    for path in ("add", "list", "label", "pieces/change", "pieces/reserve", "pieces/release", "pieces/write-off"):
        assert shop.client.post(f"/rack/{path}", json={"size": "600x400x6", "material": "S235"}).status_code == 403
        foreign = {**ours(shop.shared), "sec-fetch-site": "cross-site"}
        assert shop.client.post(f"/rack/{path}", json={}, headers=foreign).status_code == 403
    assert not (shop.folder / "rack.db").exists()


def test_a_piece_typed_by_hand_is_the_one_that_the_command_puts_in(shop: Shop, tmp_path: Path) -> None:
    """All that may be said of it, in inches; a label on several is refused, and nothing is put in."""
    typed = {
        "size": "24x8x1/4", "units": "in", "material": "A36", "kind": "offcut", "batch": "H7", "cost": "12,50",
        "edges": "mill, cut, cut, mill", "rolling": "length", "measured": "yes", "out_of_square": "1/16",
        "place": "door", "note": "rusty", "code": "17", "added": "31.3.2026", "job": "gate",
    }  # fmt: skip
    assert "cannot be on 2 pieces" in shop.ask("add", **typed | {"count": "2"})["faults"][0]["said"]
    assert shop.ask("add", **typed)["said"].startswith("R1 put in")
    words = (
        "24x8x1/4 --units in --material A36 --offcut --batch H7 --cost 12.5 --edges mill,cut,cut,mill --rolling length "
        "--measured --out-of-square 1/16 --place door --note rusty --label 17 --since 2026-03-31 --job gate"
    )
    assert called("rack", "add", *words.split(), "--book", "other.db", folder=tmp_path).returncode == 0
    with Database(tmp_path / "other.db", writes=False) as book:
        assert shop.pieces() == wanted_pieces(book)


def test_a_list_is_shown_first_and_then_put_in_whole(shop: Shop) -> None:
    """As `stripplan rack read` reads it; with a faulty row none is, and every fault is told with its row."""
    from openpyxl import Workbook

    sheet, stream = Workbook(), io.BytesIO()
    for row in (("length", "width", "thickness", "material"), (900, 300, 8, "S355")):
        sheet.active.append(row)
    sheet.save(stream)

    def ask(name: str, data: bytes, **more: Any) -> dict[str, Any]:
        return shop.ask("list", name=name, data=base64.b64encode(data).decode(), **more)

    (fault,) = ask("stock.csv", LIST, take=True)["faults"]
    assert "row 4, thickness" in fault["said"]
    assert not (shop.folder / "rack.db").exists()
    how = {"thickness": "3", "place": "bay 1"}
    read = ask("stock.csv", LIST, how=how)
    assert (read["count"], [row[0] for row in read["rows"]]) == (7, ["2", "1", "4"])
    assert read["heads"] == ["", "kind", "size, mm", "material", "batch", "lies", "worth", "largest in"]
    assert "supplier" in read["notes"][0]
    assert not (shop.folder / "rack.db").exists()  # looked at, and no more
    assert ask("stock.csv", LIST, how=how, take=True)["said"].startswith("R1-R7 put in")
    metres = b"length;width;material\n1,25;1;S235\n"  # the thickness beside it is in the units of the page
    assert ask("m.csv", metres, how={"units": "m", "thickness": "6"})["rows"][0][2] == "1250 × 1000 × 6"
    (shop.folder / "stock.csv").write_bytes(LIST.replace(b"1250,1000,,S235,4,,,,,", b"1250,1000,3,S235,4,,,,bay 1,"))
    same = read_stock(shop.folder / "stock.csv").pieces
    assert [replace(each, number=0, added="") for each in shop.pieces()] == list(same)
    assert ask("../rack.xlsx", stream.getvalue(), take=True)["said"].startswith("R8 put in")
    for name, data in (("x.exe", LIST), ("x.csv", b"\0\1"), ("x.xlsx", b"PK\3\4"), ("x.csv", b"name\nrail\n")):
        assert ask(name, data, take=True)["faults"], name
    wrong = b"length,width,thickness,material,cost\n620,x,6,S235,1\n620,410,6,S235,dear\n"
    assert [each["said"].partition(":")[0] for each in ask("x.csv", wrong)["faults"]] == [
        "x.csv row 2, width",
        "x.csv row 3, cost",
    ]
    assert shop.ask("list", name="x.csv", data="%%%")["faults"]
    assert len(shop.pieces()) == 8


def test_what_is_sent_again_is_put_in_once(shop: Shop) -> None:
    """The answer was lost on its way and the same is sent under the same name: it is answered again, and no more. What
    was refused is tried again; what comes under another name or none is put in anew."""
    piece = {"size": "600x400x6", "material": "S235"}
    assert shop.ask("add", **piece | {"size": "600"}, once="one")["faults"]
    for _ in range(3):
        assert shop.ask("add", **piece, once="one")["said"].startswith("R1 put in")
    data = base64.b64encode(b"length,width,thickness,material\n620,410,6,S235\n").decode()
    for _ in range(2):
        assert shop.ask("list", name="x.csv", data=data, take=True, once="two")["said"].startswith("R2 put in")
    assert len(shop.pieces()) == 2
    for more in ({}, {}, {"once": "three"}, {"once": 3}, {"once": ["one"]}):
        shop.ask("add", **piece, **more)
    assert len(shop.pieces()) == 7


def test_what_a_scanner_types_shows_the_piece(shop: Shop) -> None:
    """By a label of the person's own, by number, and by a label of ours; one that is gone is told, and one that nobody
    knows."""
    shop.ask("add", size="620x410x6", material="S235", kind="offcut", code="4006381333931", place="door")
    found = shop.find("4006381333931")
    assert (found["name"], found["texts"]["size"], found["texts"]["place"]) == ("R1", "620 x 410 x 6", "door")
    assert shop.find(" r1 ")["name"] == "R1"
    shop.ask("pieces/reserve", pieces=["R1"], job="gate")
    known = shop.find("R1")
    assert "Promised to gate." in known["about"]
    assert [each.split(maxsplit=1)[1] for each in known["happened"]] == ["put in", "reserved: gate"]
    shop.ask("pieces/release", pieces=["R1"])
    assert shop.find("R1", "in")["texts"]["size"] == "620 mm x 410 mm x 6 mm"
    for named in ("R9", "4006381333932x", "", "stripplan:0a1b2c3d:P1-3"):
        assert shop.find(named)["faults"], named
    shop.ask("pieces/write-off", pieces=["R1"])
    assert "not on the rack any more" in shop.find("4006381333931")["faults"][0]["said"]


@pytest.mark.parametrize("known", ["book", "page"])
def test_an_offcut_is_put_in_by_its_label(shop: Shop, known: str) -> None:
    """Size and material come from the plan that the book or the page knows; scanned once more it is shown."""
    plan: Plan = bevelled()
    tag = plan_id(plan)
    offcut = next(each for each in plan.pieces if each.kind == "offcut")
    code = f"stripplan:{tag}:{offcut.id}"
    assert shop.find(code)["faults"][0]["hint"]
    if known == "book":
        with Database(shop.folder / "rack.db", create=True) as book:
            keep_plan(book, plan, tag, plan_text(plan), {}, AT)
    else:
        shop.shared.store.keep(tag, plan_text(plan), "", shown(plan), AT)
    assert shop.find(code)["state"] == "not there"
    assert "has no offcut nothing" in shop.find(f"stripplan:{tag}:nothing")["faults"][0]["said"]
    assert shop.ask("label", code=code, place="bay 2")["said"].startswith("R1 put in")
    (piece,) = shop.pieces()
    assert (piece.code, piece.place, piece.from_plan, piece.kind) == (code, "bay 2", tag, "offcut")
    assert piece.area == pytest.approx(offcut_area(offcut.outline))
    assert shop.find(code)["name"] == "R1"
    assert "R1" in shop.ask("label", code=code)["faults"][0]["said"]
    assert len(shop.pieces()) == 1


def test_pieces_are_put_right(shop: Shop) -> None:
    """Of one or of several what is typed anew, and nothing else; what a plan rests on, a label of another and what is
    no size are refused, and then nothing is changed."""
    shop.ask("add", size="6", outline="0,0 400,0 0,300", material="S235", note="rusty", cost="3")
    shop.ask("add", size="2000x1000x6", material="S235", count="2")

    def change(names: list[str], **values: str) -> dict[str, Any]:
        return shop.ask("pieces/change", pieces=names, values=values)

    assert change(["R1"], size="200x150", note="", place="bay 1")["said"] == "R1: put right."
    first = shop.pieces()[0]
    assert (first.outline, first.note, first.place, first.thickness, first.cost) == ((), "", "bay 1", 6, 3)
    assert change(["R2", "R3"], cost="95", batch="H7")["said"] == "R2-R3: put right."
    assert [(each.cost, each.batch, each.length) for each in shop.pieces()[1:]] == [(95, "H7", 2000)] * 2
    assert change(["R1"], code="17")["said"]
    before = shop.pieces()
    refused = change(["R2"], size="90000x300", material=" ", cost="dear", place="door")["faults"]
    assert [each["place"] for each in refused] == [["size"], ["material"], ["cost"]]
    assert "R1" in change(["R2"], code="17", place="door")["faults"][0]["said"]
    assert change(["R2", "R3"], code="18")["faults"]
    assert change(["R2"])["faults"]
    assert change(["R9"], place="door")["faults"]
    assert change([], place="door")["faults"]
    plan = bevelled()
    with Database(shop.folder / "rack.db") as book:
        keep_plan(book, plan, plan_id(plan), plan_text(plan), {plan.plates[0].id: 2}, AT)
    assert plan_id(plan) in change(["R2"], size="1990x1000")["faults"][0]["said"]
    assert change(["R2"], note="bent")["said"]
    with Database(shop.folder / "rack.db") as book:
        undo(book, plan_id(plan), AT)
    assert [replace(each, note="") for each in shop.pieces()] == [replace(each, note="") for each in before]


def offcut_area(outline: Any) -> float:
    """By the shoelace formula."""
    pairs = zip(outline, [*outline[1:], outline[0]], strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairs)) / 2
