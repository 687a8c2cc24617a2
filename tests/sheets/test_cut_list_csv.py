"""The cut list as a spreadsheet reads it."""

from __future__ import annotations

import csv
import io

import pytest

from stripplan.sheets import cut_list_csv as table
from tests.sheets.pdf.test_setup_sheet import renamed
from tests.sheets.plans import NAMES, PLANS
from tests.sheets.rows.test_rows import frame_plan


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a specimen's list."""
    text = table.cut_list(PLANS[name]())
    assert text.startswith("\ufeff")
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


@pytest.mark.parametrize("name", sorted(PLANS))
def test_a_row_for_each_cut_in_the_order_of_work(name: str) -> None:
    """Rows carry the cuts' numbers, plates and pieces; no cell begins like a formula."""
    found, made = rows(name), PLANS[name]()
    assert [(row["cut"], row["plate"], row["piece"]) for row in found] == [
        (str(cut.number), cut.plate, cut.piece) for cut in made.cuts
    ]
    assert not [cell for row in found for cell in row.values() if cell[:1] in tuple("=+-@\t\r\n")]


def test_figures_of_the_bench() -> None:
    """By hand: readings 51, 51, 201 on the scale for offsets 50.75, 50.75, 200.75; stops 515, 515, 215."""
    found = rows("two passes")
    assert [float(row["fence offset"]) for row in found] == [50.75, 50.75, 200.75]
    assert [row["fence reading"] for row in found] == ["51.0", "51.0", "201.0"]
    assert [row["end stop"] for row in found] == ["515", "515", "215"]


def test_names_stand_in_the_list() -> None:
    """A name is found in the cell of what falls, with an apostrophe where it would be a formula."""
    for n, name in enumerate(NAMES):
        assert any(name[:10] in row["falls on fence side"] for row in rows(f"name {n}")), name


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@a", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠a"])
def test_formulas_are_made_harmless(cell: str) -> None:
    """Signs that start a formula, wide ones too, and tab and line ends get an apostrophe in front."""
    assert table.harmless(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["", "bar", "1-2", "'=1", " bar"])
def test_other_cells_stay(cell: str) -> None:
    """What no spreadsheet takes for a formula is left as it is."""
    assert table.harmless(cell) == cell


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("name", ["bar;=1+1", "bar\t=1+1", 'bar";=1+1', "bar,=1+1"])
def test_no_part_of_a_name_becomes_a_formula(name: str, delimiter: str) -> None:
    """However a spreadsheet parts cells, none begins like a formula."""
    text = table.cut_list(renamed(frame_plan(), "foot", name)).removeprefix("\ufeff")
    assert "1+1" in text
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
        assert not [cell for cell in row if cell.lstrip('"')[:1] in tuple("=+-@")]
