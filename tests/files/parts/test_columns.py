"""Cut lists as spreadsheets write them: what is read, and what is said of what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.files.parts.columns import HEADERS, read_cut_list
from stripplan.files.toml.quantities import MOST_ENTRIES
from stripplan.model.part import Rectangle, Strip
from tests.files.parts.specimens import said, write


def read(folder: Path, text: str | bytes, *, units: str = "mm") -> list[tuple[str, float, float | None, int]]:
    """Name, width, length and quantity of each part of a list."""
    parts = read_cut_list(write(folder, text, "list.csv"), units=units).parts
    return [(each.name, each.width, getattr(each, "length", None), each.quantity) for each in parts]


def test_list_of_a_spreadsheet(tmp_path: Path) -> None:
    """Byte-order mark, semicolons, decimal commas, units in headers, blank rows and cells, notes for the reader."""
    text = "\ufeffPart;Width (mm);Length [in];Qty.;Note\nbar;50,5;;3;painted\n;;;;\n\nfoot;60;10;2;\n"
    assert read(tmp_path, text) == [("bar", 50.5, None, 3), ("foot", 60.0, 254.0, 2)]


def test_every_column(tmp_path: Path) -> None:
    """Each column reaches its part."""
    text = (
        "mark,width,length,pieces,thickness,material,allowance,tolerance,rolling,rotate,square\n"
        'A1,50,"1-1/2""",4,6,stainless,0.5,2,Width,no,LONG\nB2,40,,,,,,,,yes,\n'
    )
    assert read_cut_list(write(tmp_path, text, "list.csv")).parts == (
        Rectangle(
            name="A1", width=50, length=38.1, quantity=4, thickness=6, material="stainless", allowance=0.5, tolerance=2,
            rolling="width", rotate=False, square="long",
        ),
        Strip(name="B2", width=40),
    )  # fmt: skip


@pytest.mark.parametrize(("key", "alias"), [(key, alias) for key, aliases in HEADERS.items() for alias in aliases])
def test_every_name_of_a_column(tmp_path: Path, key: str, alias: str) -> None:
    """Each synonym is known in capitals, with points and underlines for blanks."""
    header = alias.upper().replace(" ", "_") + "."
    text = f"{header}\n5\n" if key == "width" else f"{header}\tW\n\t5\n"
    assert read(tmp_path, text)[0][1] == 5.0


@pytest.mark.parametrize(
    "header", ["Width (in)", "width_in", "WIDTH [inch]", "Width / in", "width, in", 'width (")', "Width in"]
)
def test_unit_of_a_column(tmp_path: Path, header: str) -> None:
    """Half an inch in a column of inches is 12.7 mm however written, unless the cell says otherwise."""
    cells = ["½", "1/2", "0.5", "12.7 mm", '"0,5"']
    quoted = header.replace('"', '""')
    text = f'"{quoted}",qty\n' + "".join(f"{cell},1\n" for cell in cells)
    assert [width for _, width, _, _ in read(tmp_path, text)] == [12.7] * 5


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends(tmp_path: Path, mark: str, end: str) -> None:
    """Comma, semicolon and tab, with any line end, give the same parts."""
    rows = (("width", "length", "qty"), ("50", "300", "2"), ("40", "", ""))
    assert read(tmp_path, end.join(mark.join(row) for row in rows)) == [("part 1", 50, 300, 2), ("part 2", 40, None, 1)]


@pytest.mark.parametrize(
    ("data", "name"),
    [
        ("part,width\ntür,50\n".encode(), "tür"),
        ("part,width\ntür,50\n".encode("utf-8-sig"), "tür"),
        ("part\twidth\ntür\t50\n".encode("utf-16"), "tür"),
        ("part,width\ntür,50\n".encode("cp1252"), "tür"),
        (b"sep=;\r\npart;width\r\na,b;50\r\n", "a,b"),
    ],
)
def test_encodings(tmp_path: Path, data: bytes, name: str) -> None:
    """UTF-8 with and without mark, UTF-16, Windows-1252, and a first row that only names the delimiter."""
    assert read(tmp_path, data) == [(name, 50.0, None, 1)]


def test_guessed_encoding_is_reported(tmp_path: Path) -> None:
    """A list that is not UTF-8 says that it was read as Windows-1252, and where."""
    notes = read_cut_list(write(tmp_path, "part,width\na,1\ntür,50\n".encode("cp1252"), "list.csv")).notes
    assert [each.sentence() for each in notes] == [
        "list.csv row 3: the list is not UTF-8 and was read as Windows-1252 (check its names)"
    ]
    assert read_cut_list(write(tmp_path, "part,width\ntür,50\n", "list.csv")).notes == ()


def test_units_and_numbering_of_the_caller(tmp_path: Path) -> None:
    """Bare numbers are in the caller's units, and parts without a name are numbered on from the caller's."""
    parts = read_cut_list(write(tmp_path, "width\n2\n3 mm\n", "list.csv"), units="in", first=7).parts
    assert [(each.name, each.width) for each in parts] == [("part 7", 50.8), ("part 8", 3.0)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "list.csv: the list is empty (the first row names the columns: width, qty)"),
        (b"\n \n;;\n", "the list is empty"),
        (b"width,qty\n", "there is no part below the header (add a row for each part)"),
        (b"50,300,2\n60,300,2\n", "row 1: this row holds no column names (name them first"),
        (b"qty\n5\n", "row 1: no column holds the width (name one `width`)"),
        (b"\nwidht\n5\n", "row 2: column 1 'widht' is not known (did you mean width?"),
        (b"width,price\n5,2\n", "column 2 'price' is not known (known are name, width"),
        (b"width,W\n5,5\n", "columns 1 and 2 both hold the width (rename or leave out one of them)"),
        (b"width,qty (mm)\n5,5\n", "column 2 'qty (mm)' has a unit, but is no length (name it quantity)"),
        (b"width" + b",width" * 100, "the list has too many columns (at most 100)"),
        (b"width,qty\n50,1000000000\n", "row 2, quantity: 1000000000 is not from 1 to 1000000"),
        (b"width,qty\n50,0\n", "row 2, quantity: 0 is not from 1 to 1000000 (leave out a row that is not wanted)"),
        (b"width,qty\n50,1.5\n", "row 2, quantity: '1.5' is no whole number (write 4)"),
        (b"width,qty\n50,12 pcs\n", "quantity: '12 pcs' is no whole number (write 12)"),
        (b"width;qty\n50;1,000\n", "quantity: '1,000' is no whole number (write 1000)"),
        (b"width;qty\n1,200;1\n", "row 2, width: '1,200' can be read in two ways (write 1200 or 1.200)"),
        (b"width,length,qty\n12,5,300,2\n", "row 2: it has more cells than the header, which has 3 (a decimal comma?"),
        (b"width,qty\n50,1\n,2\n", "row 3: the width is missing (each part has a width)"),
        (b"width;qty\n-50;1\n", "row 2, width: '-50' is below 0 (write 50)"),
        (b"width\n0\n", "row 2, width: '0' is not above 0 (write a width above 0)"),
        (b"width\n3 1/4 inchs\n", "row 2, width: '3 1/4 inchs' is no length (write 3 1/4 in)"),
        (b"width,rolling\n5,lenght\n", "row 2, rolling: 'lenght' is not known here (did you mean length?)"),
        (b"width,rotate\n5,maybe\n", "row 2, rotate: 'maybe' is neither yes nor no (write yes or no)"),
        (b"name,width\nb\x07ar,5\n", "row 2, name: 'b\\x07ar' holds a control character"),
        (b"name,width\n" + b"x" * 201 + b",5\n", "row 2, name: the name has 201 letters"),
        (b"wi\x00dth\n", "this is no text file (save the list as CSV, UTF-8)"),
        (b"\xffwi\x00dth\n", "this is no text file"),
        (b"PK\x03\x04rest", "this is a spreadsheet or archive, no CSV (save the list as CSV, UTF-8)"),
        (b"width\n\x81\xff\n", "row 2: the text is neither UTF-8 nor Windows-1252"),
        (b'width\n"5\n' + b"6\n" * 70_000, "row 2: a cell is too long (is there a quote \" that is not closed?)"),
        (b"width\n" + b"5\n" * (MOST_ENTRIES + 1), "row 20001: the list has too many rows (at most 20,000)"),
        (b"width\n" + b" " * (20 * 2**20), "the file has more than 20 MB"),
    ],
    ids=lambda text: str(text)[:30],
)  # fmt: skip
def test_faulty_lists(tmp_path: Path, text: bytes, words: str) -> None:
    """File, row and column are named, and what would mend it."""
    assert words in said(read_cut_list, write(tmp_path, text, "list.csv"))


def test_all_faults_of_all_rows_at_once(tmp_path: Path) -> None:
    """Several cells of several rows are named together."""
    text = said(read_cut_list, write(tmp_path, "width,length,qty\n0,x,1.5\n5,5,5\ny,,0\n", "list.csv"))
    assert [line.split(":")[0] for line in text.splitlines()] == [
        "list.csv row 2, width", "list.csv row 2, length", "list.csv row 2, quantity", "list.csv row 4, width",
        "list.csv row 4, quantity",
    ]  # fmt: skip


def test_many_faulty_rows_are_capped(tmp_path: Path) -> None:
    """A list wrong in every row does not fill the screen."""
    assert "and 80 more faults like these" in said(read_cut_list, write(tmp_path, "width\n" + "x\n" * 100, "list.csv"))


def test_fillers_in_a_list(tmp_path: Path) -> None:
    """A column marks fillers; their quantity is how many at most, empty = as many as fit."""
    text = "name,width,length,qty,filler\na,50,100,2,\npad,60,60,,yes\nstrap,25,200,10,x\n"
    parts = read_cut_list(write(tmp_path, text, "list.csv")).parts
    assert [(part.name, part.filler, part.wanted, part.most) for part in parts] == [
        ("a", False, 2, 2), ("pad", True, 0, None), ("strap", True, 0, 10),
    ]  # fmt: skip


def test_a_filler_with_square_edges_in_a_list(tmp_path: Path) -> None:
    """It is refused with its row."""
    words = said(read_cut_list, write(tmp_path, "width,length,filler,square\n50,100,yes,long\n", "list.csv"))
    assert words == "list.csv row 2, square: a filler has no square edges (leave out one of the two)"


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("top\u00a0rail", "top rail"),
        ("a\u2009b\u202fc", "a b c"),
        ("gus\u00adset", "gusset"),
        ("\ufeffbar\u200b", "bar"),
        ("\u200fab\u200e", "ab"),
    ],
)
def test_spaces_and_marks_of_pasted_text(tmp_path: Path, typed: str, read: str) -> None:
    """Spaces of other widths are spaces, what has no width is left out of a name (Unicode categories Zs and Cf)."""
    assert read_cut_list(write(tmp_path, f"part,width\n{typed},5\n", "list.csv")).parts[0].name == read
