"""The rack over HTTP: what the page shows and does is what the command's book says."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from stripplan.book.database import Database
from stripplan.book.pieces import Wanted, wanted_pieces
from tests.web.asking import ours, page


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

        assert ask("add", **piece)["said"] == "R1-R2 put in."
        for wrong in ({"size": "2000x6"}, {"material": " "}, {"cost": "dear"}, {"count": "0"}, {"size": "0x1x6"}):
            assert ask("add", **piece | wrong)["faults"][0]["said"]
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
