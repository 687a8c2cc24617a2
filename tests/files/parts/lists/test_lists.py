"""Lists in whatever file they come: by the ending, to the same parts."""

from __future__ import annotations

import string
import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from stripplan.errors import InputError
from stripplan.files.job.read import load_job, read_job
from stripplan.files.job.schema import job_schema
from stripplan.files.parts.drawings.layers import parse_layer, read_layer
from stripplan.files.parts.read import HowRead, ListFile, read_list, read_lists
from stripplan.files.toml.quantities import ValueRefusedError
from tests.checking import in_turn
from tests.files.parts.specimens import said, write

PLATE = "[[plate]]\nlength = 800\nwidth = 400\nthickness = 6\n"


@cache
def keys_of_jobs() -> Draft202012Validator:
    """What checks a job against its schema as an editor does."""
    return Draft202012Validator(job_schema())


def sizes(path: Path) -> list[tuple[float, float, int]]:
    return sorted((each.width, getattr(each, "length", 0.0), each.quantity) for each in read_list(path).parts)


def drawing(path: Path, *, slanted: bool = False) -> Path:
    """Two pads of 60 x 80 and one bar of 300 x 40 in mm, and perhaps an outline with a corner that points inward."""
    document = ezdxf.new(units=4)
    for x, y, wide, high in ((0, 0, 60, 80), (100, 0, 60, 80), (0, 200, 300, 40)):
        points = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        document.modelspace().add_lwpolyline(points, close=True)
    if slanted:
        document.modelspace().add_lwpolyline([(500, 0), (600, 0), (650, 80), (550, 60), (500, 80)], close=True)
    document.saveas(path)
    return path


def test_the_same_list_in_each_kind_of_file(tmp_path: Path) -> None:
    """Two pads and a bar: from CSV, from a workbook, from a drawing and from a picture."""
    rows = [("width", "length", "qty"), (60, 80, 2), (40, 300, 1)]
    (tmp_path / "l.csv").write_text("\n".join(",".join(map(str, row)) for row in rows))
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "l.xlsx")
    drawing(tmp_path / "l.dxf")
    shapes = (
        '<rect x="0" y="0" width="60" height="80"/><rect x="90" y="0" width="60" height="80"/><rect x="0" y="99" '
        'width="300" height="40"/>'
    )
    (tmp_path / "l.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="0 0 400 200">{shapes}</svg>'
    )
    for name in ("l.csv", "l.xlsx", "l.dxf", "l.svg"):
        assert sizes(tmp_path / name) == [(40, 300, 1), (60, 80, 2)], name


def test_what_is_no_part_is_told(tmp_path: Path) -> None:
    """An outline with a corner that points inward stops the reading, with its place and the way out; told to leave it
    out, the job goes on and holds what it lacks. A drawing without a part is refused with the same.
    """
    drawing(tmp_path / "frame.dxf", slanted=True)
    (tmp_path / "job.toml").write_text('cut_list = "frame.dxf"\n' + PLATE)
    words = said(load_job, tmp_path / "job.toml").splitlines()
    assert words[0].startswith("frame.dxf: one thing that is drawn is no part, and the plan stops (mend the drawing;")
    assert "frame.dxf, layer '0', at 575, 40 mm: LWPOLYLINE" in words[1]
    (tmp_path / "job.toml").write_text('cut_list = { file = "frame.dxf", leave_out = true }\n' + PLATE)
    read = read_job(tmp_path / "job.toml")
    assert sum(part.quantity for part in read.job.parts) == 3
    assert [(each.quantity, each.why) for each in read.job.left_out] == [(1, "corners")]
    assert any("is not taken" in note.sentence() for note in read.notes)
    document = ezdxf.new(units=4)
    document.modelspace().add_circle((0, 0), 50)
    document.saveas(tmp_path / "round.dxf")
    with pytest.raises(InputError, match="the drawing holds no part"):
        read_list(tmp_path / "round.dxf", HowRead(leave_out=True))


# --- how a list is read ----------------------------------------------------------------------------------------------


def layered(path: Path, *, units: int = 4, **layers: float) -> Path:
    """On each layer an outline of 100 x 50, or as wide as said, in a drawing with that $INSUNITS."""
    document = ezdxf.new(units=units)
    for at, (layer, wide) in enumerate(layers.items()):
        document.layers.add(layer)
        points = [(500 * at, 0), (500 * at + wide, 0), (500 * at + wide, 50), (500 * at, 50)]
        document.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    document.saveas(path)
    return path


def kinds(path: Path, **how: Any) -> list[tuple[float, float | None, str | None]]:
    """Length, thickness and material of each part."""
    return [(each.length, each.thickness, each.material) for each in read_list(path, HowRead(**how)).parts]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("code", "asked", "mm", "note"),
    [
        (0, "mm", 1.0, ""), (0, "in", 25.4, ""), (4, "mm", 1.0, ""), (1, "mm", 1.0, "names in and was read in mm"),
        (5, None, 10.0, ""), (14, "cm", 10.0, "names units of code 14 and was read in cm"),
    ],
)  # fmt: skip
def test_units_that_are_said_go_before_those_of_the_drawing(
    tmp_path: Path, code: int, asked: str | None, mm: float, note: str
) -> None:
    """$INSUNITS: 0 unitless, 1 inches, 4 mm, 5 cm, 14 decimetres (Autodesk, DXF reference, header variables)."""
    read = read_list(layered(tmp_path / "l.dxf", units=code, A=100), HowRead(units=asked))
    assert [each.length for each in read.parts] == [100 * mm]  # type: ignore[union-attr]
    assert note in " ".join(each.worded().text for each in read.notes)
    assert bool(note) == bool(read.notes)


def test_a_drawing_without_units_says_how_to_give_them(tmp_path: Path) -> None:
    """Nothing is guessed, and the way out is named for the command and for the job file."""
    words = said(read_list, layered(tmp_path / "l.dxf", units=0, A=100))
    assert "does not name its units" in words
    assert "--list-units, or units beside the file in cut_list" in words


def test_units_of_bare_numbers_and_the_sheet(tmp_path: Path) -> None:
    """In CSV and workbooks units are those of bare numbers; a sheet is named whatever its capitals."""
    (tmp_path / "l.csv").write_text("width,length\n2,10\n")
    book = openpyxl.Workbook()
    for title, width in (("First", 9), ("Sheet 2", 2)):
        sheet = book.create_sheet(title)
        sheet.append(("width", "length"))
        sheet.append((width, 10))
    del book[book.sheetnames[0]]
    book.save(tmp_path / "l.xlsx")
    for name, sheet in (("l.csv", None), ("l.xlsx", "sheet 2")):
        (part,) = read_list(tmp_path / name, HowRead(units="in", sheet=sheet)).parts
        assert (part.width, part.length) == (50.8, 254.0)  # type: ignore[union-attr]
    both = [ListFile(tmp_path / "l.xlsx", HowRead(sheet=title)) for title in ("First", "Sheet 2")]
    assert [(each.name, each.width) for each in read_lists(both).parts] == [("part 1", 9), ("part 2", 2)]
    with pytest.raises(InputError, match=r"no sheet 'Shet 2' \(did you mean Sheet 2\?\)"):
        read_list(tmp_path / "l.xlsx", HowRead(sheet="Shet 2"))


@pytest.mark.parametrize(
    ("name", "how", "words"),
    [
        ("l.dxf", HowRead(sheet="A"), "l.dxf, sheet: l.dxf is no workbook"),
        ("l.csv", HowRead(sheet="A"), "l.csv, sheet: l.csv is no workbook"),
        ("l.csv", HowRead(leave_out=True), "l.csv, leave_out: l.csv is no drawing"),
        ("l.xlsx", HowRead(drill_later=True), "l.xlsx, drill_later: l.xlsx is no drawing"),
        ("l.csv", HowRead(tolerance=0.1), "l.csv, tolerance: l.csv is no drawing"),
        ("l.xlsx", HowRead(layer_names=True), "l.xlsx, layer_names: l.xlsx is no drawing (only a drawing has layers"),
        ("l.xlsx", HowRead(layers={"A": (6.0, None)}), "l.xlsx, layers: l.xlsx is no drawing"),
        ("l.dxf", HowRead(tolerance=5), "l.dxf, tolerance: 5 mm is not from 0.001 to 2 mm"),
        ("l.dxf", HowRead(tolerance=float("nan")), "l.dxf, tolerance: nan mm is not from 0.001 to 2 mm"),
        ("l.dxf", HowRead(layers={"B": (6.0, None)}), "there is no layer 'B' (its layers are 0, "),
        ("l.dxf", HowRead(layers={"pl60": (6.0, None)}), "there is no layer 'pl60' (did you mean PL6?)"),
        ("l.dxf", HowRead(layers={"PL6": (6.0, None), "pl6": (8.0, None)}), "layer 'pl6' is named twice"),
        ("l.svg", HowRead(layers={"pl60": (6.0, None)}), "there is no layer 'pl60' (did you mean PL6?)"),
    ],
)  # fmt: skip
def test_what_does_not_go_with_the_file_is_refused(tmp_path: Path, name: str, how: HowRead, words: str) -> None:
    """Nothing that was said is passed over."""
    layered(tmp_path / "l.dxf", PL6=100)
    (tmp_path / "l.svg").write_text(svg('<g id="PL6"><rect width="9" height="9"/></g>'))
    assert words in said(lambda path: read_list(path, how), tmp_path / name)


def test_the_tolerance_is_the_one_that_is_said(tmp_path: Path) -> None:
    """A corner that is 0.3 mm off is none at 0.05 mm, and one at 0.5 mm."""
    document = ezdxf.new(units=4)
    document.modelspace().add_lwpolyline([(0, 0), (100, 0), (100.3, 50), (0, 50)], close=True)
    document.saveas(tmp_path / "l.dxf")
    assert "no rectangle within 0.05 mm" in said(read_list, tmp_path / "l.dxf")
    assert len(read_list(tmp_path / "l.dxf", HowRead(tolerance=0.5)).parts) == 1


def svg(inside: str) -> str:
    """A drawing of 400 x 200 mm, `n` being some program's name space."""
    head = 'xmlns="http://www.w3.org/2000/svg" xmlns:n="urn:n" width="400mm" height="200mm" viewBox="0 0 400 200"'
    return f"<svg {head}>{inside}</svg>"


def test_groups_of_a_picture_are_its_layers(tmp_path: Path) -> None:
    """By label or id, in groups within groups; what is in no group that is asked for is counted and left out."""
    rect = '<rect x="{}" width="{}" height="20"/>'.format
    inside = (
        f'<g id="g1" n:label="Plate 6mm S235"><g id="g2">{rect(0, 30)}</g></g>'
        f'<g id="PL10">{rect(50, 40)}<g id="inner">{rect(100, 45)}</g></g>{rect(200, 50)}'
    )
    path = write(tmp_path, svg(inside), "l.svg")
    assert kinds(path) == [(30, None, None), (40, None, None), (45, None, None), (50, None, None)]
    assert kinds(path, layer_names=True)[0] == (30, 6, "S235")
    assert kinds(path, layers={"pl10": (10.0, "S355")}) == [(40, 10, "S355"), (45, 10, "S355")]
    assert kinds(path, layers={"g2": (8.0, None), "inner": (9.0, None)}) == [(30, 8, None), (45, 9, None)]
    read = read_list(path, HowRead(layers={"PL10": (10.0, None)}))
    assert read.layers == ("PL10", "PL10")
    assert [note.worded().text for note in read.notes if note.code == "skipped"] == [
        "2 rect is not taken: its layer was not asked for"
    ]


def test_a_layer_that_is_drawn_on_and_not_listed(tmp_path: Path) -> None:
    """Programs leave layers out of the table that they draw on: such a layer can be asked for."""
    document = ezdxf.new(units=4)
    points = [(0, 0), (100, 0), (100, 50), (0, 50)]
    document.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "UNLISTED"})
    document.saveas(tmp_path / "l.dxf")
    assert kinds(tmp_path / "l.dxf", layers={"unlisted": (6.0, None)}) == [(100, 6, None)]


# --- in a job file ---------------------------------------------------------------------------------------------------


def job_parts(folder: Path, text: str) -> list[tuple[str, float, float | None, str | None]]:
    """Name, length, thickness and material of the parts of a job."""
    job, _ = load_job(write(folder, text + PLATE))
    return [(each.name, each.length, each.thickness, each.material) for each in job.parts]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "layers",
    [
        '{ PL6 = "1/4 in, S235", PL10 = 10 }', '{ pl6 = { thickness = "1/4 in", material = "S235" }, PL10 = "10 mm" }',
    ],
)  # fmt: skip
def test_a_table_says_how_its_list_is_read(tmp_path: Path, layers: str) -> None:
    """Units, tolerance and layers of one table; layers as texts, numbers or tables."""
    layered(tmp_path / "f.dxf", units=0, PL6=100, PL10=120, HOLES=90)
    text = f'cut_list = {{ file = "f.dxf", units = "cm", tolerance = 0.1, layers = {layers} }}\n'
    assert job_parts(tmp_path, text) == [("part 1", 1000, 6.35, "S235"), ("part 2", 1200, 10, None)]


def test_thickness_of_a_layer_is_in_the_units_of_the_job(tmp_path: Path) -> None:
    """Units of the list are those of the drawing; a bare number beside it is in those of the job."""
    layered(tmp_path / "f.dxf", units=0, PL6=100)
    text = 'units = "in"\ncut_list = { file = "f.dxf", units = "mm", layers = { PL6 = "3/8", pl = 1 } }\n'
    assert "there is no layer 'pl'" in said(load_job, write(tmp_path, text + PLATE))
    text = text.replace(", pl = 1", "")
    assert job_parts(tmp_path, text) == [("part 1", 100, 9.525, None)]


def test_several_lists_of_one_job(tmp_path: Path) -> None:
    """Texts and tables beside one another; parts without a name are numbered on through all of them."""
    layered(tmp_path / "f.dxf", units=0, PL6=100, PL10=120)
    layered(tmp_path / "g.dxf", PLATE_8MM=300, NOTHING=310)
    (tmp_path / "l.csv").write_text("width,length\n20,30\n")
    text = (
        'part = [{ width = 5, length = 7 }]\ncut_list = ["l.csv", { file = "f.dxf", units = "mm", layers = ["PL6"] }, '
        '{ file = "g.dxf", layer_names = true }]\n'
    )
    assert job_parts(tmp_path, text) == [
        ("part 1", 7, None, None), ("part 2", 30, None, None), ("part 3", 100, None, None),
        ("part 4", 300, 8, None), ("part 5", 310, None, None),
    ]  # fmt: skip
    tables = '[[cut_list]]\nfile = "l.csv"\nunits = "in"\n[[cut_list]]\nfile = "g.dxf"\n'
    assert [each[1] for each in job_parts(tmp_path, tables)] == [762, 300, 310]


def test_names_that_two_lists_share(tmp_path: Path) -> None:
    """A name is on the sheet and on the metal: two lists that share one are named, and what would mend it."""
    (tmp_path / "a.csv").write_text("name,width,length,qty\nfoot,20,30,2\nrail,20,90,1\n")
    (tmp_path / "b.csv").write_text("name,width,length,qty\nfoot,20,30,4\nrail,20,95,1\n")
    words = said(load_job, write(tmp_path, 'cut_list = ["a.csv", "b.csv"]\n' + PLATE))
    assert "a.csv and b.csv: both hold a part called 'foot' (they are alike: leave one out and add" in words
    assert "a.csv and b.csv: both hold a part called 'rail' (give each its own name)" in words
    words = said(load_job, write(tmp_path, 'cut_list = ["a.csv", "./a.csv"]\n' + PLATE))
    assert "a.csv: the list is named twice" in words


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ('{ file = "f.dxf", sheet = "A" }', "job.toml line 1, [cut_list], sheet: f.dxf is no workbook"),
        ('["l.csv", { file = "f.dxf", sheet = "A" }]', "[[cut_list]] 2, sheet: f.dxf is no workbook"),
        ('{ file = "f.dxf", units = "inch" }', "[cut_list], units: 'inch' is not known here (did you mean in?)"),
        ('{ file = "f.dxf", tolerance = 3 }', "[cut_list], tolerance: 3 mm is not from 0.001 to 2 mm"),
        ('{ file = "f.dxf", tolerance = nan }', "[cut_list], tolerance: nan is no finite number"),
        ('{ file = "f.dxf", tolerance = 0 }', "[cut_list], tolerance: 0 mm is not above 0"),
        ('{ file = "f.dxf", tolerence = 1 }', "[cut_list], tolerence: this key is not known (did you mean tolerance?)"),
        ('{ units = "mm" }', "[cut_list], file: is missing"),
        ('{ file = " " }', "[cut_list], file: the name is empty"),
        ('""', "cut_list: the name is empty"),
        ("5", "cut_list: this is neither text nor a table"),
        ("[5]", "cut_list, entry 1: this is neither text nor a table"),
        ('{ file = "f.dxf", layers = { "" = 6 } }', "[cut_list.layers]: the name is empty"),
        ('{ file = "f.dxf", layers = {} }', "layers: has 0 entries"),
        ('{ file = "f.dxf", layers = [] }', "layers: has 0 entries"),
        ('{ file = "f.dxf", layers = "PL6" }', 'layers: this names no layers (write ["PL6"], or'),
        ('{ file = "f.dxf", layers = { PL6 = "" } }', "PL6: it says no thickness (write 6,"),
        ('{ file = "f.dxf", layers = { PL6 = ", S235" } }', "PL6: it says no thickness (write 6,"),
        ('{ file = "f.dxf", layers = { PL6 = "6,35" } }',
         "PL6: '6,35' can be read in two ways (write 6.35, or 6 mm, 35)"),
        ('{ file = "f.dxf", layers = { PL6 = "6 mm S235" } }',
         "no length (write 6, \"1/4 in\" or, with the material, \"6 mm, S235\")"),
        ('{ file = "f.dxf", layers = { PL6 = "1/4" } }', "PL6: '1/4' is no length (write 1/4 in)"),
        ('{ file = "f.dxf", layers = { PL6 = 0 } }', "thickness: 0 mm is not above 0"),
        ('{ file = "f.dxf", layers = { PL6 = true } }', "PL6: this is no thickness"),
        ('{ file = "f.dxf", layers = { PL6 = { thick = 6 } } }',
         "thick: this key is not known (did you mean thickness?)"),
        ('{ file = "f.dxf", layers = { PL7 = 6 } }', "f.dxf: there is no layer 'PL7' (did you mean PL6?)"),
        ('{ file = "f.dxf", layer_names = "yes" }', "layer_names: 'yes' must be true or false"),
        (str(["l.csv"] * 101), "cut_list: 101 lists are named (at most 100)"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_list_in_a_job(tmp_path: Path, given: str, words: str) -> None:
    """Each fault is one sentence with its place and the way out."""
    layered(tmp_path / "f.dxf", PL6=100, PL10=120)
    (tmp_path / "l.csv").write_text("width\n20\n")
    text = said(load_job, write(tmp_path, f"cut_list = {given}\n" + PLATE))
    assert words in text
    assert text.count("\n") == 0


@in_turn(
    ("given", "good"),
    [
        ('"f.dxf"', True), ('["f.dxf"]', True), ('{ file = "f.dxf" }', True),
        ('[{ file = "f.dxf", units = "m" }]', True),
        ('{ file = "f.dxf", layers = ["PL6"] }', True), ('{ file = "f.dxf", layers = { PL6 = 6 } }', True),
        ('{ file = "f.dxf", layers = { PL6 = "1 1/2 in, S235" } }', True),
        ('{ file = "f.dxf", layers = { PL6 = {} } }', True),
        ('{ file = "f.dxf", layers = { PL6 = { material = "S235" } }, layer_names = true, tolerance = "1/64 in" }',
         True),
        ("5", False), ('" "', False), ('{ file = "f.dxf", units = "inch" }', False), ("{ }", False),
        ('[["f.dxf"]]', False),
        ('{ file = "f.dxf", layers = [] }', False), ('{ file = "f.dxf", layers = {} }', False),
        ('{ file = "f.dxf", layers = [6] }', False),
        ('{ file = "f.dxf", layers = { "" = 6 } }', False), ('{ file = "f.dxf", layers = { PL6 = "S235" } }', False),
        ('{ file = "f.dxf", layers = { PL6 = "6 mm," } }', False), ('{ file = "f.dxf", layers = { PL6 = -6 } }', False),
        ('{ file = "f.dxf", layers = { PL6 = { thick = 6 } } }', False), ('{ file = "f.dxf", tolerance = -1 }', False),
    ],
)  # fmt: skip
def test_schema_and_reader_agree_on_lists(tmp_path: Path, given: str, good: bool) -> None:
    """What an editor marks as wrong is what the reader refuses."""
    layered(tmp_path / "f.dxf", PL6=100)
    text = f"cut_list = {given}\n" + PLATE
    assert keys_of_jobs().is_valid(tomllib.loads(text)) == good
    try:
        read_job(write(tmp_path, text))
    except InputError:
        assert not good
    else:
        assert good


# --- what stands for a layer -----------------------------------------------------------------------------------------


@given(
    st.integers(0, 11),
    st.integers(1, 15),
    st.text(string.ascii_letters + string.digits + " .,=", min_size=1, max_size=20),
)
def test_inch_fractions_and_any_material(whole: int, sixteenths: int, material: str) -> None:
    """Thickness to the exact float of its fraction (1 in = 25.4 mm by definition), and the material whole."""
    size = f"{whole} {sixteenths}/16" if whole else f"{sixteenths}/16"
    wanted = float((whole + Fraction(sixteenths, 16)) * Fraction(254, 10))
    if not material.strip():
        with pytest.raises(ValueRefusedError, match="no material follows"):
            read_layer(f"{size},{material}", "in")
    else:
        assert read_layer(f"{size},{material}", "in") == (wanted, material.strip())
        assert read_layer(f'{size}" , {material}', "mm") == (wanted, material.strip())


@given(st.text(max_size=60), st.sampled_from(["mm", "in"]))
def test_any_word_for_a_layer_is_read_or_refused(word: str, units: str) -> None:
    """Never anything but a name with a thickness above 0 or none, or a refusal in one line."""
    try:
        name, (thickness, _) = parse_layer(word, units=units)
    except InputError as error:
        assert all(fault.worded().hint and "\n" not in fault.sentence() for fault in error.faults)
    else:
        assert name.strip()
        assert thickness is None or thickness > 0
