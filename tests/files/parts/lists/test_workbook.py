"""Cut lists in workbooks: the same parts as from CSV, and what is said of what a list cannot hold."""

from __future__ import annotations

import builtins
import datetime
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.parts.lists.csv_list import read_cut_list
from stripplan.files.parts.lists.workbook import LAST_ROW, MOST_MARKS, MOST_OTHERS, read_workbook
from stripplan.files.toml.quantities import MOST_ENTRIES
from stripplan.model.part import Rectangle, Strip
from tests.checking import examples
from tests.files.parts.specimens import said, write

Change = Callable[[Any], object]
LIST = [["part", "width", "length", "qty"], ["foot", 50, 300, 4], ["rail", 40, None, None]]


def book(folder: Path, rows: list[list[Any]], change: Change = lambda _: None) -> Path:
    """A workbook with one sheet of rows, changed before it is saved."""
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    change(sheet)
    path = folder / "cuts.xlsx"
    made.save(path)
    return path


def rewritten(path: Path, member: str, change: Callable[[bytes], bytes]) -> Path:
    """A workbook with one file of its archive changed."""
    with zipfile.ZipFile(path) as old:
        contents = {name: old.read(name) for name in old.namelist()}
    contents[member] = change(contents.get(member, b""))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in contents.items():
            new.writestr(name, data)
    return path


SHEET = "xl/worksheets/sheet1.xml"
START = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
END = b"</sheetData></worksheet>"
HEADER = b'<row r="1"><c r="A1" t="inlineStr"><is><t>width</t></is></c></row>'


def test_a_list(tmp_path: Path) -> None:
    """Text and numbers; a row without length is a strip."""
    assert read_workbook(book(tmp_path, LIST)).parts == (
        Rectangle(name="foot", width=50, length=300, quantity=4),
        Strip(name="rail", width=40),
    )


@examples(15)
@given(
    rows=st.lists(
        st.tuples(
            st.integers(1, 10**6).map(lambda n: n / 100),  # three decimals of a text may be thousands
            st.none() | st.integers(1, 9999) | st.floats(0.01, 9999).map(lambda x: round(x, 2)),
            st.none() | st.integers(1, 99),
            st.none() | st.booleans(),
        ),
        min_size=1,
        max_size=8,
    ),
    units=st.sampled_from(["mm", "in"]),
)
def test_the_same_parts_as_from_csv(
    rows: list[tuple[Any, ...]], units: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Numbers, blanks and yes or no come out as from a CSV list with the same cells."""
    folder = tmp_path_factory.mktemp("list")
    path = book(folder, [["w", "length", "qty", "rotate"], *map(list, rows)])
    words = {None: "", True: "yes", False: "no"}
    text = "w;length;qty;rotate\n" + "".join(
        ";".join(words[each] if each is None or isinstance(each, bool) else f"{each}" for each in row) + "\n"
        for row in rows
    )
    assert (
        read_workbook(path, units=units, first=3).parts
        == read_cut_list(write(folder, text, "list.csv"), units=units, first=3).parts
    )


def test_headers_units_and_blank_rows(tmp_path: Path) -> None:
    """Rows above and between may be blank; units come from the header, the number format, the cell, or the caller."""
    rows = [[], [None, "Width (in)", "LENGTH"], [], [None, 2, 10], [None, 2, 10], [None, '1 1/2"', "250 mm"]]

    def formats(sheet: Any) -> None:
        sheet["B5"].number_format = '0.0 "mm"'
        sheet["C5"].number_format = '0.0\\ \\"'

    parts = read_workbook(book(tmp_path, rows, formats), units="cm").parts
    assert [(each.width, getattr(each, "length", None)) for each in parts] == [(50.8, 100), (2, 254), (38.1, 250)]


def test_figures_of_formulas_without_their_last_digits(tmp_path: Path) -> None:
    """0.1 + 0.2 is 0.3, not 0.30000000000000004; large and small numbers are written out."""
    rows = [["width", "length"], [0.1 + 0.2, 1e5], [1 / 3, 38.099999999999994]]
    parts = read_workbook(book(tmp_path, rows)).parts
    assert [(each.width, getattr(each, "length", None)) for each in parts] == [(0.3, 100_000), (0.333333333, 38.1)]


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (datetime.datetime(2026, 3, 8),
         "cuts.xlsx, sheet 'Sheet' B3, width: the cell holds a date or time, 08 March (a spreadsheet makes a date "
         "of 3/8"),
        (datetime.time(3, 8), "B3, width: the cell holds a date or time, 03:08:00"),
        ("#DIV/0!", "B3, width: the cell shows the error '#DIV/0!' (mend its formula)"),
        ("=1+1", "B3, width: the formula has no stored result (open it in a spreadsheet program and save it again)"),
        ("wide", "B3, width: 'wide' is no length"),
        (-5, "B3, width: '-5' is below 0 (write 5)"),
        (0, "B3, width: '0' is not above 0"),
        (True, "B3, width: 'yes' is no length"),
        (None, "row 3: the width is missing"),
    ],
)  # fmt: skip
def test_faulty_cells(tmp_path: Path, value: Any, words: str) -> None:
    """Each is named by its address."""
    rows = [["name", "width", "qty"], ["a", 5, 1], ["b", value, 1]]
    assert words in said(read_workbook, book(tmp_path, rows))


def test_all_faults_at_once(tmp_path: Path) -> None:
    """Several cells of several rows are named together."""
    text = said(read_workbook, book(tmp_path, [["width", "length", "qty"], [0, "x", 1.5], [5, 5, 5], ["y", None, 0]]))
    assert [line.split(" ")[3].rstrip(",") for line in text.splitlines()] == ["A2", "B2", "C2", "A4", "C4"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "sheet 'Sheet': the list is empty"),
        ([["width"]], "there is no part below the header"),
        ([[5, 3]], "row 1: this row holds no column names"),
        ([["widht"], [5]], "row 1: column 1 'widht' is not known (did you mean width?"),
        ([["width", datetime.date(2026, 1, 2)], [5]], "sheet 'Sheet' B1: the cell holds a date or time"),
        ([["width"], [5, 6]], "row 2: it has more cells than the header"),
        ([["width"] + [None] * 100 + ["x"]],
         "something stands in cell CX1: the list has too many columns (at most 100)"),
        pytest.param([["width"], *[[5]] * (MOST_ENTRIES + 1)], "row 20001: the list has too many rows (at most 20,000)",
                     marks=pytest.mark.slow),  # the suite has "last row" below, and the same of a CSV list
    ],
    ids=lambda each: str(each)[:30],
)  # fmt: skip
def test_faulty_lists(tmp_path: Path, rows: list[list[Any]], words: str) -> None:
    """The same rules as for CSV."""
    assert words in said(read_workbook, book(tmp_path, rows))


def test_stored_results_of_formulas_are_read_and_noted(tmp_path: Path) -> None:
    """The result that the spreadsheet program has saved counts; one that is blank text is a blank cell."""
    path = book(tmp_path, [["width", "qty"], ["=2*25", '=""']])

    def solve(data: bytes) -> bytes:
        data = data.replace(b"<f>2*25</f><v />", b"<f>2*25</f><v>50</v>").replace(
            b"<f>2*25</f><v/>", b"<f>2*25</f><v>50</v>"
        )
        assert b"<v>50</v>" in data
        return data.replace(b'<c r="B2">', b'<c r="B2" t="str">')

    found = read_workbook(rewritten(path, SHEET, solve))
    assert found.parts == (Strip(name="part 1", width=50),)
    assert [each.worded().text for each in found.notes] == ["results of formulas were read as they were last saved"]


def test_merged_cells_are_refused(tmp_path: Path) -> None:
    """A merge in rows that are read would leave cells blank; one below them does no harm."""
    path = book(tmp_path, [["width", "qty"], [5, 2], [6, None]], lambda sheet: sheet.merge_cells("B2:B3"))
    assert "cells B2:B3 are merged, so that only the first of them holds a value" in said(read_workbook, path)
    path = book(tmp_path, [["name", "qty", "width"], ["a", None, 5]], lambda sheet: sheet.merge_cells("A2:B2"))
    assert "cells A2:B2 are merged" in said(read_workbook, path)
    path = book(tmp_path, [["width", "qty"], [5, 2]], lambda sheet: sheet.merge_cells("A9:B10"))
    assert len(read_workbook(path).parts) == 1


def test_hidden_rows_and_columns_are_read_and_noted(tmp_path: Path) -> None:
    """As a spreadsheet program writes them into CSV too; blank ones are not worth a note."""

    def hide(sheet: Any) -> None:
        for row in (3, 9):
            sheet.row_dimensions[row].hidden = True
        for column in ("B", "F"):
            sheet.column_dimensions[column].hidden = True

    found = read_workbook(book(tmp_path, [["width", "qty"], [5, 1], [6, 2], [7, 3]], hide))
    assert [each.quantity for each in found.parts] == [1, 2, 3]
    assert [each.worded().text for each in found.notes] == [
        "hidden rows were read too: 3",
        "hidden columns were read too: B",
    ]


def test_which_sheet_is_read(tmp_path: Path) -> None:
    """The first that shows, with a note of the others; or the one that is named, even if it is hidden."""

    def more(sheet: Any) -> None:
        for name, width in (("shown", 6), ("hidden", 7)):
            other = sheet.parent.create_sheet(name)
            other.append(["width"])
            other.append([width])
        sheet.parent["hidden"].sheet_state = "hidden"
        sheet.sheet_state = "hidden"
        last = sheet.parent.create_sheet("last")
        last.append(["a", "much"] + ["wider"] * 200)
        sheet.parent.active = 1

    path = book(tmp_path, [["width"], [5]], more)
    found = read_workbook(path)
    assert [each.width for each in found.parts] == [6]
    assert found.notes[0].worded().text == "sheet 'shown' was read, which alone holds a list, and not 'last'"
    assert [read_workbook(path, sheet=name).parts[0].width for name in ("Sheet", "hidden")] == [5, 7]
    with pytest.raises(InputError, match=r"there is no sheet 'shwon' \(did you mean shown\?\)"):
        read_workbook(path, sheet="shwon")


def test_without_the_library_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The library is an extra."""
    path = book(tmp_path, LIST)
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] == "openpyxl":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    words = said(read_workbook, path)
    assert "openpyxl, which is not installed (pip install 'stripplan[xlsx]', or save the list as CSV)" in words


def archive(files: dict[str, int | bytes]) -> bytes:
    """An archive with those files; of a number so many zeros."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in files.items():
            content = bytes(data) if isinstance(data, int) else data
            new.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)  # no time of day in it
    return stream.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "this is no workbook (.xlsx), or it is damaged"),
        (b"width,qty\n5,1\n", "this is no workbook (.xlsx)"),
        (b"\xd0\xcf\x11\xe0" + bytes(600), "this is an old .xls workbook, or one with a password"),
        ({"a.txt": b"x"}, "this is an archive, no .xlsx workbook"),
        ({"content.xml": b"x", "mimetype": b"y"}, "this is an OpenDocument sheet, no .xlsx workbook"),
        ({"[Content_Types].xml": b"<x/>", "xl/workbook.xml": b"<x/>"}, "the workbook cannot be read"),
        ({f"xl/{k}": b"" for k in range(1001)}, "the archive holds too many files (at most 1,000)"),
        ({"[Content_Types].xml": b"", "xl/a": 101 * 2**20},
         "the workbook unpacks to 101 MB (at most 100 MB"),
    ],
    ids=lambda each: each[:40] if isinstance(each, str) else "data",
)  # fmt: skip
def test_what_is_no_workbook(tmp_path: Path, data: bytes | dict[str, int | bytes], words: str) -> None:
    """Each is refused in one plain sentence."""
    data = archive(data) if isinstance(data, dict) else data
    assert words in said(read_workbook, write(tmp_path, data, "cuts.xlsx"))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_workbook_cut_off(tmp_path: Path, share: float) -> None:
    """No part comes out of it."""
    data = book(tmp_path, LIST).read_bytes()
    assert "damaged" in said(read_workbook, write(tmp_path, data[: int(len(data) * share)], "cuts.xlsx"))


SHARED = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'


@pytest.mark.parametrize(
    ("member", "change", "words"),
    [
        (SHEET, lambda _: b'<!DOCTYPE x [<!ENTITY a "aa">]>' + START + END, "declares a document type"),
        (SHEET, lambda _: '<?xml version="1.0" encoding="utf-16"?><!DOCTYPE x [<!ENTITY a "aa">]><x/>'.encode("utf-16"),
         "declares a document type"),
        ("xl/sharedStrings.xml", lambda _: SHARED + b"<si/>" * (MOST_MARKS["texts"] + 1), "1,500,002 marks (texts)"),
        ("xl/styles.xml", lambda old: old + b"<!-- -->" * MOST_MARKS["rest"], "marks (rest)"),
        (SHEET, lambda _: START + b"<row/>" * (MOST_MARKS["sheets"] + 1), "marks (sheets)"),
        (SHEET, lambda _: START + HEADER + b'<row r="1000000000"><c><v>1</v></c></row>' + END,
         "row 1000000000 follows row 1"),
        (SHEET, lambda _: START + HEADER + b'<row r="5"/><row r="4"><c><v>1</v></c></row>' + END,
         "row 4 follows row 5"),
        (SHEET, lambda _: START + HEADER + b'<row r="5"/><row r="5"><c><v>1</v></c></row>' + END,
         "row 5 follows row 5"),
        (SHEET, lambda _: START + HEADER + b'<row r="2"><c r="B9"><v>1</v></c></row>' + END,
         "cell 'B9' is out of its place"),
        (SHEET, lambda _: START + HEADER + b'<row r="2">' + b"<c/>" * 20_000 + b"</row>" + END,
         "row 2 has too many cells"),
        (SHEET, lambda _: START + HEADER + b'<row r="%d"><c><v>1</v></c></row>' % LAST_ROW + END,
         "row 1048576: the list has too many rows"),
        (SHEET, lambda _: START + b"".join(b'<row r="%d"/>' % k for k in range(1, 15_000)) + END, "the list is empty"),
        (SHEET,
         lambda _: START + b"</sheetData>" + b"<mergeCell ref='A1:B2'/>" * 9 + b"<x/>" * (MOST_OTHERS + 1)
         + b"</worksheet>",
         "the sheet holds more than a list"),
        (SHEET,
         lambda _: START + HEADER + b"".join(b"<row>" + b"<c><v>5</v></c>" * 36 + b"</row>" for _ in range(200))
         + END,
         "rows 2 to 201: it has more cells than the header"),
        (SHEET, lambda _: START + HEADER + b'<row r="2"><c t="s"><v>99</v></c></row>' + END, "the workbook is damaged"),
        ("xl/workbook.xml",
         lambda old: old.replace(b"</sheets>", b'<sheet name="x" sheetId="2" r:id="rId1"/>' * 9 + b"</sheets>"), ""),
    ],
    ids=["entities", "entities in UTF-16", "texts", "styles", "rows", "far row", "row back", "row twice",
     "cell elsewhere", "cells", "last row", "blank rows", "merges", "wide", "no such text", "sheets"],
)  # fmt: skip
def test_hostile_workbooks_are_refused(
    tmp_path: Path, member: str, change: Callable[[bytes], bytes], words: str
) -> None:
    """What would cost hours, gigabytes or a wrong list is refused."""
    path = rewritten(book(tmp_path, [["width"], [5]]), member, change)
    if words:
        assert words in said(read_workbook, path)
    else:
        assert len(read_workbook(path).parts) == 1
