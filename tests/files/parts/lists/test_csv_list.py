"""Cut lists as spreadsheets write them: what is read, and what is said of what is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from stripplan.errors import InputError
from stripplan.files.parts.lists.csv_list import read_cut_list
from stripplan.files.parts.lists.headers import HEADERS
from stripplan.files.parts.lists.table import parts_from_rows
from stripplan.files.toml.quantities import MOST_ENTRIES
from stripplan.model.part import Rectangle, Shape, Strip
from tests.checking import in_turn
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


@in_turn(("key", "alias"), [(key, alias) for key, aliases in HEADERS.items() for alias in aliases])
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
        (b"width,lenght\n5,2\n", "column 2 'lenght' is not known (did you mean length?"),
        (b"width,height\n5,2\n", "column 2 'height' may be a size of the part (name it width or length, or leave it"),
        (b"width,total length\n5,2\n", "column 2 'total length' is not known (did you mean length?"),
        (b"width,qty,qty in all\n5,2,4\n", "column 3 'qty in all' may be the quantity too, which another column holds"),
        (b"width,W\n5,5\n", "columns 1 and 2 both hold the width (rename or leave out one of them)"),
        (b"width,qty (mm)\n5,5\n", "column 2 'qty (mm)' has a unit, but is no length (name it quantity)"),
        (b"width" + b",width" * 100, "the list has too many columns (at most 100)"),
        (b"width,qty\n50,1000000000\n", "row 2, quantity: 1000000000 is not from 1 to 1000000"),
        (b"width,qty\n50,0\n", "row 2, quantity: 0 is not from 1 to 1000000 (leave out a row that is not wanted)"),
        (b"width,qty\n50,1.5\n", "row 2, quantity: '1.5' is no whole number (write 4)"),
        (b"width,qty\n50,12 pairs\n", "quantity: '12 pairs' is no whole number (write 12)"),
        (b"width;qty\n50;1,000\n", "quantity: '1,000' is no whole number (write 1000)"),
        (b"width;qty\n1,200;1\n", "row 2, width: '1,200' can be read in two ways (write 1200 or 1.200)"),
        (b"width,length,qty\n12,5,300,2\n", "row 2: it has more cells than the header, which has 3 (a decimal comma?"),
        (b"width,qty\n50,1\n,2\n", "row 3: the width is missing (each part has a width; end a"),
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
    ids=lambda text: str(text[:30]),
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
    """A fault that every row has is said once, with its rows; a hundred faults do not fill the screen."""
    same = said(read_cut_list, write(tmp_path, "width\n" + "x\n" * 100, "list.csv"))
    assert same.startswith("list.csv rows 2 to 101, width: 'x' is no length (")
    assert same.count("\n") == 0
    many = "width\n" + "".join(f"x{at}\n" for at in range(100))
    assert "and 80 more faults like these" in said(read_cut_list, write(tmp_path, many, "list.csv"))


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


def notes(folder: Path, text: str, **how: Any) -> list[str]:
    """What is noted of how a list was read."""
    return [each.sentence() for each in read_cut_list(write(folder, text, "list.csv"), **how).notes]


def test_what_is_passed_over_is_noted_once(tmp_path: Path) -> None:
    """Title rows, headings, totals, the header again and columns that are not needed: two notes, with all of them."""
    text = (
        "Gate,,,\nby me,,,\nName,Width,Length,Qty,Price,Finish\nFRAME:,,,,,\nrail,50,900,2,3,red\n"
        "Name,Width,Length,Qty,Price,Finish\nstile,50,1200,2,4,\nTotal,,,4,7,\n"
    )
    assert notes(tmp_path, text) == [
        "list.csv: rows that are no parts were passed over: 1, 2 (above the header); 4 (headings and remarks); "
        "8 (totals); 6 (header again)",
        "list.csv: columns that the plan does not need were passed over: 'Price', 'Finish'",
    ]
    assert notes(tmp_path, "name,width,,\nrail,50,,x\n") == [
        "list.csv: columns that the plan does not need were passed over: column 4"
    ]


def test_what_a_title_says_of_all_parts(tmp_path: Path) -> None:
    """Units, material and thickness above the header hold for parts that say none, and it is noted; units that are
    asked for go before those of a title."""
    text = "Sizes in inches\nMaterial:,S235,Thickness: 1/4 in\nname,width,length,thk\nrail,2,10,\npad,3,3,10 mm\n"
    path = write(tmp_path, text, "list.csv")
    rail, pad = read_cut_list(path).parts
    assert (rail.width, rail.thickness, rail.material) == (50.8, 6.35, "S235")
    assert (pad.width, pad.thickness, pad.material) == (76.2, 10.0, "S235")
    assert "list.csv: the rows above the header say that bare numbers are in inches: they were read so" in notes(
        tmp_path, text
    )
    assert read_cut_list(path, units="mm", asked=True).parts[0].width == 2
    sets = text.replace("Sizes in inches", "Gate (make 3 sets)")
    assert "'Gate (make 3 sets)' above the header may ask for the whole list 3 times" in said(
        read_cut_list, write(tmp_path, sets, "sets.csv")
    )
    two = text.replace("Sizes in inches", "Sizes in inches,units: mm")
    assert "say two things of the units: 'in' and 'mm'" in said(read_cut_list, write(tmp_path, two, "two.csv"))


@pytest.mark.parametrize(
    ("header", "cell", "size"),
    [
        ("w x l", "300 x 120", (300, 120, None)), ("L x W", "300x120", (120, 300, None)),
        ("Size", "300 × 120", (120, 300, None)), ("Size (in)", "10 x 4", (101.6, 254, None)),
        ("Dimensions", "10 x 4 in", (101.6, 254, None)), ("size", '1 1/2" x 3"', (38.1, 76.2, None)),
        ("L x W x Thk", "300 x 120 x 6", (120, 300, 6)), ("size", "PL 6 x 120 x 300", (120, 300, 6)),
        ("cut size W x L", "300*120*6", (300, 120, 6)),
    ],
)  # fmt: skip
def test_sizes_in_one_cell(tmp_path: Path, header: str, cell: str, size: tuple[float, float, float | None]) -> None:
    """In the order that the header says; where it says none the longer side is the length, the thin one the
    thickness."""
    text = f'name;{header};qty\nrail;"{cell.replace(chr(34), chr(34) * 2)}";2\n'
    (part,) = read_cut_list(write(tmp_path, text, "list.csv")).parts
    assert isinstance(part, Rectangle)
    assert (part.width, part.length, part.thickness) == size


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("size\n120\n", "row 2, size: '120' is no size of two or three figures"),
        ("size;qty\n50 x 60 x 55;1\n", "which figure of '50 x 60 x 55' is the thickness cannot be told"),
        ("size\n2 x 120 x 300\n", "which figure of '2 x 120 x 300' is the thickness cannot be told"),
        ("l x w x t;qty\n120 x 300;1\n", "'120 x 300' has 2 figures, and its column names three"),
        ("size;width\n120 x 300;60\n", "row 2, size: the width is said twice, and differs"),
        ("size;thk;qty\n6 x 120 x 300;8;1\n", "row 2, size: the thickness is said twice, and differs"),
        ("width;material;thk\n50;S235 6mm;8\n", "row 2, material: the thickness is said twice, and differs"),
    ],
)
def test_sizes_that_cannot_be_told(tmp_path: Path, text: str, words: str) -> None:
    """Two readings, or two that differ: asked."""
    assert words in said(read_cut_list, write(tmp_path, text, "list.csv"))


@pytest.mark.parametrize(
    ("cells", "widths"),
    [
        (["1.200", "12,5"], [1200, 12.5]), (["1.200", "0.75"], [1.2, 0.75]), (["1.200", "1200.5"], [1.2, 1200.5]),
        (["1,200", "12.5"], [1200, 12.5]), (["1,200", "12,5"], [1.2, 12.5]), (["1.000.000"], [1_000_000]),
        (["1.250,5", "1.200"], [1250.5, 1200]), (["1,250.5", "1,200"], [1250.5, 1200]), (["1.200 in"], [30.48]),
        (["1.200 m"], [1200]), (["1.200", "300"], None), (["1.200", "12,5", "0.75"], None), (["1.200 mm"], None),
        (["1,200", "300"], None),
    ],
)  # fmt: skip
def test_points_and_commas_that_the_column_settles(
    tmp_path: Path, cells: list[str], widths: list[float] | None
) -> None:
    """1.200 is 1200 beside 12,5 and 1.2 beside 0.75; beside whole numbers, or beside both, it is asked."""
    path = write(tmp_path, "width;qty\n" + "".join(f"{each};1\n" for each in cells), "list.csv")
    if widths is None:
        assert "can be read in two ways" in said(read_cut_list, path)
    else:
        assert [each.width for each in read_cut_list(path).parts] == widths


@pytest.mark.parametrize(
    ("cell", "mm"),
    [
        ('3/8"', 9.525), ("10 mm", 10), ("10mm thk", 10), ("PL10", 10), ("t=10", 10), ("0.375 in", 9.525), ("1 cm", 10),
        ("12 ga", None), ("16 gauge", None), ("#10", None), ("thick", None),
    ],
)  # fmt: skip
def test_thickness_in_any_unit(tmp_path: Path, cell: str, mm: float | None) -> None:
    """Inches, fractions, millimetres; a gauge is none, and the way out is said."""
    quoted = cell.replace('"', '""')
    path = write(tmp_path, f'width,thk\n50,"{quoted}"\n', "list.csv")
    if mm is None:
        assert "row 2, thickness" in said(read_cut_list, path)
    else:
        assert read_cut_list(path).parts[0].thickness == mm


def test_notes_of_several_columns_go_together(tmp_path: Path) -> None:
    """Remarks and comments as they are written, holes with the name of their column."""
    text = "name,width,remarks,comment,holes\nrail,50,grind,paint red,4 x Ø9\n"
    assert read_cut_list(write(tmp_path, text, "list.csv")).parts[0].note == "grind; paint red; holes: 4 x Ø9"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("rail,50,2\nTotal,,3\n", "row 3: the total says 3, and the rows above come to 2 (mend the row that is wrong"),
        ("rail,50,2\n,,3\n", "row 3: the width is missing"),
        ("rail,50,2\nfoot,,\npad,60,1\n", "row 3: the width is missing (each part has a width; end a heading with"),
        ("6x rail,50,5\n", "row 2, name: it has two quantities, 5 and 6"),
    ],
)
def test_rows_that_may_hide_a_part(tmp_path: Path, rows: str, words: str) -> None:
    """A total that does not add up, a name without a size, two counts: asked, never passed over."""
    assert words in said(read_cut_list, write(tmp_path, "name,width,qty\n" + rows, "list.csv"))


def test_units_in_a_row_of_their_own(tmp_path: Path) -> None:
    """A row below the header that holds nothing but units says them for its columns."""
    text = "name,width,length,thk\n,in,(mm),in\nrail,2,900,1/4\n"
    (part,) = read_cut_list(write(tmp_path, text, "list.csv")).parts
    assert isinstance(part, Rectangle)
    assert (part.width, part.length, part.thickness) == (50.8, 900, 6.35)


def test_slanted_ends_and_clipped_corners() -> None:
    """A list may say the angles of ends and what is clipped off corners; what is no shape is told with its row."""
    rows = [
        (1, ["name", "width", "length", "ends", "corners (mm)"]),
        (2, ["rail", "50", "600", "45/45", ""]),
        (3, ["base", "300", "400", "", "20/20/0/0"]),
        (4, ["strip", "40", "900", "", ""]),
    ]
    rail, base, strip = parts_from_rows(rows, "list.csv", units="mm", first=1).parts
    assert isinstance(rail, Shape)
    assert isinstance(base, Shape)
    assert rail.outline == ((0, 0), (600, 0), (550, 50), (50, 50))
    assert (len(base.outline), base.length, base.width) == (6, 400, 300)
    assert isinstance(strip, Rectangle)
    for cells, words in (
        (["rail", "50", "600", "45/45/45", ""], "45/45/45' are no angles of two ends"),
        (["rail", "50", "", "45", ""], "the part has ends, but no length"),
        (["rail", "50", "90", "45", ""], "meet before the other edge"),
        (["base", "50", "90", "", "20/20"], "does not say what is clipped off four corners"),
    ):
        with pytest.raises(InputError) as refused:
            parts_from_rows([rows[0], (2, cells)], "list.csv", units="mm", first=1)
        assert words in str(refused.value)
        assert "row 2" in str(refused.value)


def test_rows_of_one_name_are_told_apart(tmp_path: Path) -> None:
    """Straps of three sizes are numbered, round a name that is taken, and that is said."""
    text = "part,width,length\nstrap,50,300\nstrap (2),40,90\nstrap,60,300\nstrap,50,300\n"
    found = read_cut_list(write(tmp_path, text.encode(), "list.csv"))
    assert [part.name for part in found.parts] == ["strap", "strap (2)", "strap (3)", "strap (4)"]
    assert [each.sentence() for each in found.notes] == [
        "list.csv: 3 parts are called 'strap': the later ones are told apart by a number"
    ]
