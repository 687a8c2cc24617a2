"""The stock book from the shell."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from tests.cli.running import called


class Shop:
    """A folder with a book in it, in which commands are called on one day."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __call__(self, *words: str, status: int = 0) -> CompletedProcess[str]:
        done = called(*words, folder=self.folder, STRIPPLAN_BOOK="rack.db", SOURCE_DATE_EPOCH="1774944000")
        assert done.returncode == status, done.stderr
        return done

    def rack(self, *words: str) -> list[dict[str, object]]:
        """What `rack list` gives as data."""
        return list(json.loads(self("rack", "list", "--json", *words).stdout)["pieces"])


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """An empty one."""
    return Shop(tmp_path)


def test_the_rack_from_the_shell(shop: Shop) -> None:
    """Pieces are put in, found, reserved, changed, written off, and all of it is told again."""
    shop("rack", "list", status=2)
    shop("rack", "add", "2000x1000x6*3", "--material", "S235", "--cost", "95", "--place", "bay 1")
    shop("rack", "add", "24x8x1/4", "--units", "in", "--material", "A36", "--offcut", "--edges", "mill,cut,cut,mill")
    assert [each["piece"] for each in shop.rack("--least", "900x1900")] == ["R1", "R2", "R3"]
    (offcut,) = shop.rack("--kind", "offcut")
    assert (offcut["length"], offcut["edges"]) == (609.6, ["mill", "cut", "cut", "mill"])
    shop("rack", "reserve", "R1-R2", "--job", "gate")
    assert "promised to 'gate'" in shop("rack", "write-off", "R2-R3", status=2).stderr
    shop("rack", "write-off", "R3", "--why", "sold")
    shop("rack", "change", "R4", "--place", "door")
    assert "R9" in shop("rack", "change", "R9", "--place", "door", status=2).stderr
    assert len(shop.rack("--free")) == 1
    shop("rack", "release", "R1")
    said = shop("rack", "history", "R3").stdout
    assert "put in" in said
    assert "sold" in said
    assert "together 195 kg, worth 190.00; 1 without a cost" in shop("rack", "value").stdout


def test_a_list_goes_out_and_comes_in_again(shop: Shop) -> None:
    """What --csv prints is read into another book as it was."""
    shop("rack", "add", "1200.5x800x10", "--material", "S355", "--batch", "H7", "--rolling", "length", "--measured")
    (shop.folder / "stock.csv").write_text(shop("rack", "list", "--csv").stdout)
    shop("rack", "read", "stock.csv", "--book", "other.db")
    shutil.move(shop.folder / "rack.db", shop.folder / "first.db")
    assert shop.rack("--book", "other.db") == shop.rack("--book", "first.db")


def test_a_copy_and_back(shop: Shop) -> None:
    """A copy is put back, and what was there before is not thrown away."""
    shop("rack", "add", "600x400x6", "--material", "S235")
    shop("rack", "backup", "copy.db")
    shop("rack", "backup", "copy.db", status=2)
    shop("rack", "write-off", "R1")
    assert "before-1" in shop("rack", "restore", "copy.db").stdout
    assert len(shop.rack()) == 1
    shop("rack", "check")


def test_what_is_worth_keeping(shop: Shop) -> None:
    """The closest rule counts, and rules can be taken out."""
    shop("rack", "keep", "400x200")
    shop("rack", "keep", "100x50", "--material", "stainless", "--thickness", "3")
    rules = json.loads(shop("rack", "keep", "--json").stdout)["rules"]
    assert [(each["material"], each["thickness"], each["size"]) for each in rules] == [
        ("", None, [400, 200]), ("stainless", 3, [100, 50]),
    ]  # fmt: skip
    shop("rack", "keep", "--forget")
    assert "300 × 100" in shop("rack", "keep").stdout
    shop("rack", "keep", "--forget", status=2)
