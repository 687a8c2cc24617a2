"""A spreadsheet of plates and offcuts is read as its owner means it, and every faulty row is named."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook

from stripplan.errors import InputError
from stripplan.files.stock.read import Given, read_stock
from stripplan.model.rack.piece import CUT, MILL

ROWS = (
    "Stock of the shed, March;;;;;;;;;",
    "Length (mm);Width;Thk;Grade;Qty;Type;Location;Price;Supplier;Since",
    "2000;1000;6;S235;2;sheet;bay 1;95,50;Miller;31.3.2026",
    "1.200,5;400;10;S355;;offcut;bay 2;;;2026-01-02",
    ";;;;;;;;;",
    "Total;;;;3;;;;;",
)


def test_a_list_with_a_title_and_decimal_commas(tmp_path: Path) -> None:
    """Title and total are passed over, a row may stand for several, and what is not needed is told."""
    path = tmp_path / "stock.csv"
    path.write_text("\n".join(ROWS))
    read = read_stock(path)
    assert [(each.length, each.width, each.thickness) for each in read.pieces] == [(2000, 1000, 6)] * 2 + [
        (1200.5, 400, 10)
    ]
    assert [(each.kind, each.edges, each.cost, each.place, each.added) for each in read.pieces[1:]] == [
        ("plate", MILL, 95.5, "bay 1", "2026-03-31"), ("offcut", CUT, None, "bay 2", "2026-01-02"),
    ]  # fmt: skip
    assert [note.says for note in read.notes] == ["stock.passed"]


def test_a_workbook_in_inches_with_sizes_in_one_cell(tmp_path: Path) -> None:
    """Units of bare numbers, material and thickness may come with the command; a day is a date there."""
    book = Workbook()
    book.active.append(["size", "place", "since"])
    book.active.append(["48x24", "door", datetime(2026, 3, 8)])
    book.save(tmp_path / "stock.xlsx")
    (piece,) = read_stock(tmp_path / "stock.xlsx", Given("in", "A36", 6.35)).pieces
    sizes = (piece.length, piece.width, piece.thickness)
    assert (*sizes, piece.material, piece.place, piece.added) == (1219.2, 609.6, 6.35, "A36", "door", "2026-03-08")


def test_every_faulty_row_is_named(tmp_path: Path) -> None:
    """All at once, each with its row and column."""
    path = tmp_path / "stock.csv"
    path.write_text(
        "length,width,thickness,material,kind,edges,qty,cost\n"
        "0,5,6,S235,,,,\n800,400,6,,,,,\n800,400,6,S235,lump,,,\n800,400,6,S235,,mill cut,,\n800,400,6,S235,,,many,\n"
        "800,400,6,S235,,,,dear\n800,,6,S235,plate,,,\n"
    )
    with pytest.raises(InputError) as error:
        read_stock(path)
    places = ["2, length", "3, material", "4, kind", "5, edges", "6, quantity", "7, cost", "8, width"]
    assert [each.where for each in error.value.faults] == [f"stock.csv row {each}" for each in places]
    path.write_text("name,colour\nrail,red\n")
    with pytest.raises(InputError, match="no column holds the size"):
        read_stock(path)
