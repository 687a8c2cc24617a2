"""Jobs, rigs, lists, words and plans as files: what is read, and what is said of what is wrong."""

from __future__ import annotations

import tomllib
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.arguments import parse_part, parse_plate
from stripplan.files.job_toml import load_job
from stripplan.files.plan_json import load_plan
from stripplan.files.rig_toml import builtin_rig_text, load_rig
from stripplan.files.schema import job_schema, rig_schema
from stripplan.files.tables import load_cut_list
from stripplan.model.part import Rectangle, Strip
from stripplan.model.rig import Rig

GOOD = """
name = "gate"
units = "in"
[[plate]]
length = "8 ft"
width = 48
thickness = "1/4 in"
material = "mild steel"
[[part]]
name = "bar"
width = "1-1/2"
quantity = 4
[[part]]
width = "40 mm"
length = 10
"""


def write(folder: Path, text: str | bytes, name: str = "job.toml") -> Path:
    """A file with that text."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def faults(folder: Path, text: str | bytes) -> str:
    """What is said of a job file."""
    with pytest.raises(InputError) as caught:
        load_job(write(folder, text))
    return str(caught.value)


def test_job_in_inches(tmp_path: Path) -> None:
    """Bare numbers are in the file's units, strings keep their own; a part without length is a strip."""
    job, rig = load_job(write(tmp_path, GOOD))
    assert (job.plates[0].length, job.plates[0].width, job.plates[0].thickness) == (2438.4, 1219.2, 6.35)
    assert job.parts == (
        Strip(name="bar", width=38.1, quantity=4),
        Rectangle(name="part 2", width=40.0, length=254.0),
    )
    assert "stroke" in rig.assumed


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("width = 48", "widht = 48", "line 6, [[plate]] 1, widht: this key is not known (did you mean width?)"),
        ("width = 48", "width = -48", "line 6, [[plate]] 1, width: -48 is below 0"),
        ("width = 48", "width = 0", "line 6, [[plate]] 1, width: 0 is not above 0"),
        ("width = 48", "width = nan", "nan is no finite number"),
        ("width = 48", "", "[[plate]] 1, width: is missing"),
        ("quantity = 4", "quantity = 1.5", "[[part]] 1 'bar', quantity: 1.5 must be a whole number"),
        ("quantity = 4", "quantity = 1000000000", "quantity: 1000000000 is above 1,000,000"),
        ("quantity = 4", "outline = [[0, 0]]", "'bar', outline: only strips and rectangles can be laid out"),
        ('name = "bar"', 'name = "part 2"', "2 parts are called 'part 2'"),
        ('name = "gate"', 'name = "gate', "this is not TOML"),
        ('units = "in"', 'rig = "nowhere"', "there is no such file, and no profile"),
    ],
)
def test_faults_name_place_and_remedy(tmp_path: Path, old: str, new: str, words: str) -> None:
    """Each fault is a sentence with file, line where certain, table and key."""
    assert words in faults(tmp_path, GOOD.replace(old, new))


def test_all_faults_at_once(tmp_path: Path) -> None:
    """Two wrong keys are both named."""
    said = faults(tmp_path, GOOD.replace("width = 48", "width = 0").replace("quantity = 4", "quantity = 0"))
    assert "[[plate]] 1, width" in said
    assert "quantity" in said


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"name = 'x'", "there is no plate"),
        (b"[" * 2000, "not TOML"),
    ],
)
def test_files_that_are_no_jobs(tmp_path: Path, data: bytes, words: str) -> None:
    """Empty, wrongly encoded or bottomless files get one plain message."""
    assert words in faults(tmp_path, data)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    """A near name is offered; a folder is called one."""
    write(tmp_path, GOOD)
    with pytest.raises(InputError, match=r"no such file \(did you mean job.toml\?\)"):
        load_job(tmp_path / "jop.toml")
    with pytest.raises(InputError, match="this is a folder"):
        load_job(tmp_path)


def test_built_in_rig_says_what_the_code_says() -> None:
    """The commented profile and the defaults of Rig are the same figures."""
    rig, code = load_rig(), Rig()
    keys = [key for key in Rig.__dataclass_fields__ if key not in ("processes", "assumed")]
    assert {key: getattr(rig, key) for key in keys} == {key: getattr(code, key) for key in keys}
    assert len(rig.processes) >= 8


def test_rig_in_inches_with_keys_left_out(tmp_path: Path) -> None:
    """Speeds in in/min, lengths in inches; what is left out is the built-in's and is named as assumed."""
    rig = load_rig(write(tmp_path, 'units = "in"\nstroke = 50\ntravel_max = 30\nfence_zero = "-1/16"\n', "rig.toml"))
    assert (rig.stroke, rig.travel_max, rig.fence_zero) == (1270.0, 762.0, -1.5875)
    assert "lead_in" in rig.assumed
    assert "stroke" not in rig.assumed


def test_schemas_take_the_specimens_and_refuse_a_wrong_key() -> None:
    """Both schemas are valid, take the good files and refuse an unknown key."""
    for schema, text in ((job_schema(), GOOD), (rig_schema(), builtin_rig_text())):
        jsonschema.Draft202012Validator.check_schema(schema)
        jsonschema.validate(tomllib.loads(text), schema)
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(tomllib.loads("wrong = 1\n" + text), schema)


def test_cut_list_of_a_spreadsheet(tmp_path: Path) -> None:
    """Semicolons, decimal commas, a byte-order mark, units in headers, blank lines."""
    text = "\ufeffPart;Width (mm);Length [in];Qty;Note\nbar;50,5;;3;painted\n;;;;\nfoot;60;10;2;\n"
    assert load_cut_list(write(tmp_path, text, "list.csv")) == (
        Strip(name="bar", width=50.5, quantity=3),
        Rectangle(name="foot", width=60.0, length=254.0, quantity=2),
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "the list is empty"),
        (b"width,qty\n", "no part below the header"),
        (b"qty\n5\n", "no column holds the width"),
        (b"widht\n5\n", "did you mean width?"),
        (b"width,width\n5,5\n", "two columns hold the width"),
        (b"width,qty\n50,1000000000\n", "row 2, quantity: 1,000,000,000 is not between"),
        (b"width,qty\n50,1.5\n,2\n", "row 3: the width is missing"),
        (b"width;qty\n-50;1\n", "row 2, width: -50 is below 0"),
        (b"width\n0\n", "0 is not above 0"),
        (b"wi\x00dth\n", "no text file"),
        (b"\x81\xff\n", "neither UTF-8 nor"),
    ],
)
def test_faulty_lists(tmp_path: Path, text: bytes, words: str) -> None:
    """Row and column are named."""
    with pytest.raises(InputError) as caught:
        load_cut_list(write(tmp_path, text, "list.csv"))
    assert words in str(caught.value)


def test_many_faulty_rows_are_capped(tmp_path: Path) -> None:
    """A list wrong in every row does not fill the screen."""
    with pytest.raises(InputError, match="and 80 more faults"):
        load_cut_list(write(tmp_path, "width\n" + "x\n" * 100, "list.csv"))


def test_words_on_the_command_line() -> None:
    """Strips, rectangles and plates with units and names."""
    assert parse_part("50x6", number=1) == Strip(name="part 1", width=50.0, quantity=6)
    assert parse_part('shelf=1-1/2"x10inx4', number=1) == Rectangle(name="shelf", width=38.1, length=254.0, quantity=4)
    plate = parse_plate("2000×1000×6*3", number=2, material="mild steel")
    assert (plate.name, plate.length, plate.thickness, plate.quantity) == ("plate 2", 2000.0, 6.0, 3)


@pytest.mark.parametrize("word", ["50", "50x", "50x6.5", "50x0", "axb", "1x2x3x4", "=5x5", "50x1000000000", "-5x3"])
def test_words_that_are_no_parts(word: str) -> None:
    """Each is refused with the form to write."""
    with pytest.raises(InputError, match=r"write|name"):
        parse_part(word, number=1)


@given(word=st.text(max_size=25))
def test_any_word_is_read_or_refused(word: str) -> None:
    """No text makes the readers of words fail otherwise."""
    for reader in (parse_part, parse_plate):
        try:
            reader(word, number=1)
        except InputError as error:
            assert error.faults


@given(data=st.data())
def test_mutated_jobs_are_read_or_refused(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """A good job with a few bytes changed gives a job or a plain refusal, never another exception."""
    text = bytearray(GOOD.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text) - 1))
        text[at] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.mktemp("job") / "job.toml"
    path.write_bytes(bytes(text))
    try:
        load_job(path)
    except InputError as error:
        assert error.faults


@given(data=st.binary(max_size=200))
def test_any_bytes_as_list_or_plan_are_refused_or_read(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Arbitrary bytes never make the readers fail otherwise."""
    path = tmp_path_factory.mktemp("any") / "file"
    path.write_bytes(data)
    for reader in (load_cut_list, load_plan):
        try:
            reader(path)
        except InputError as error:
            assert error.faults
