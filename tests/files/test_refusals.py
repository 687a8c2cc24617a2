"""What must never be misread or crash: each test is named by its symptom."""

from __future__ import annotations

import contextlib
import tomllib
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.arguments import parse_plate
from stripplan.files.job_toml import load_job
from stripplan.files.plan_json import load_plan
from stripplan.files.rig_toml import load_rig
from stripplan.files.schema import job_schema, rig_schema
from stripplan.files.tables import load_cut_list
from stripplan.model.part import Strip

BASE = "[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nwidth = 50\n"


def write(folder: Path, text: str | bytes, name: str = "job.toml") -> Path:
    """A file with that text."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def said_of_job(folder: Path, text: str) -> str:
    """What is said of a job file."""
    with pytest.raises(InputError) as caught:
        load_job(write(folder, text))
    return str(caught.value)


def said_of_list(folder: Path, text: str) -> str:
    """What is said of a cut list."""
    with pytest.raises(InputError) as caught:
        load_cut_list(write(folder, text, "list.csv"))
    return str(caught.value)


def test_decimal_comma_in_a_comma_list_shifts_no_sizes(tmp_path: Path) -> None:
    """12,5 between commas is not read as 12 wide and 5 long."""
    assert "row 2: the row has more cells than the 3" in said_of_list(tmp_path, "width,length,quantity\n12,5,300,2\n")


def test_thousands_in_a_list_are_not_ones(tmp_path: Path) -> None:
    """1,000 pieces are not taken for 1, nor 1,200 mm for 1.2 mm."""
    said = said_of_list(tmp_path, "width;qty\n1,200;1,000\n")
    assert "'1,200' can be read in two ways (write 1200 or 1.200)" in said
    assert "quantity: '1,000' is no whole number" in said


def test_unit_of_a_column_holds_for_every_spelling(tmp_path: Path) -> None:
    """Half an inch in a column of inches is 12.7 mm (1 in = 25.4 mm) however written, unless it says otherwise."""
    for heading in ("Width (in)", "width_in", "WIDTH [inch]", "Width / in"):
        path = write(tmp_path, f"{heading};qty\n½;1\n1/2;1\n0,5;1\n12.7 mm;1\n", "list.csv")
        assert [part.width for part in load_cut_list(path)] == [12.7] * 4


def test_list_with_old_line_ends(tmp_path: Path) -> None:
    """Lines that end in a carriage return alone are lines."""
    parts = load_cut_list(write(tmp_path, b"width,qty\r50,3\r", "list.csv"))
    assert parts == (Strip(name="part 1", width=50.0, quantity=3),)


def test_list_without_header(tmp_path: Path) -> None:
    """Sizes are not taken for column names."""
    assert "row 1: this row holds no column names" in said_of_list(tmp_path, "50,300,2\n60,300,2\n")


def test_control_characters_in_a_list(tmp_path: Path) -> None:
    """A bell in a name is refused, in its row."""
    assert "row 2, name: a name must not hold control characters" in said_of_list(tmp_path, "name,width\nb\aar,5\n")


def test_unnamed_parts_of_job_and_list_do_not_clash(tmp_path: Path) -> None:
    """Rows of a cut list are numbered on from the job's own parts."""
    write(tmp_path, "width\n60\n", "list.csv")
    job, _ = load_job(write(tmp_path, 'cut_list = "list.csv"\n' + BASE))
    assert [part.name for part in job.parts] == ["part 1", "part 2"]


def test_overrides_of_a_rig_are_in_the_units_of_the_job(tmp_path: Path) -> None:
    """In a job in inches stroke = 80 is 2032 mm (1 in = 25.4 mm); in a table with units of its own it is not."""
    assert load_job(write(tmp_path, 'units = "in"\n[rig]\nstroke = 80\n' + BASE))[1].stroke == 2032.0
    assert load_job(write(tmp_path, 'units = "in"\n[rig]\nunits = "mm"\nstroke = 80\n' + BASE))[1].stroke == 80.0


def test_each_wrong_value_is_named_once(tmp_path: Path) -> None:
    """A value that is no length makes one fault, not one for each kind of number."""
    assert "\n" not in said_of_job(tmp_path, BASE.replace("width = 50", "width = true"))
    said = said_of_job(tmp_path, "[rig]\nstrok = 5\n" + BASE)
    assert said == "job.toml line 2, [rig], strok: this key is not known (did you mean stroke?)"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BASE.replace("50", "1" + "0" * 400), "width: the number is far too large"),
        (BASE.replace("50", "1" + "0" * 5000), "thousands of digits"),
        (BASE.replace("50", "1e300"), "too long for a length"),
        ('units = "in"\n' + BASE.replace("50", "900000"), "[[part]] 1: 900000 is longer than a kilometre"),
        ('rig = "' + "a" * 3000 + '"\n' + BASE, "there is no such file"),
        ('rig = "\\u0000.toml"\n' + BASE, "cannot be read"),
        ('cut_list = "\\u0000"\n' + BASE, "cannot be read"),
        ("rig = 3\n" + BASE, "rig: 3 must be text"),
        ("[rig]\nstroke = 9\n" + BASE, "keys left out come from the built-in profile"),
        ("[rig]\ndial = [[1]]\n" + BASE, "[rig], dial, entry 1: has 1 entries; 2 are wanted"),
        ('[rig]\ndial = [["x", 5]]\n' + BASE, "the mark is no number"),
        ("part = [3]\n" + BASE[: BASE.index("[[part")], "part, entry 1: 3 must be a table"),
        (
            "[options]\nweights = {fnce = 1}\n" + BASE,
            "[options], weights: 'fnce' is no cause of set-up time (write fence, end_stop",
        ),
        ("[options]\nkeep = [1]\n" + BASE, "line 2, [options], keep: has 1 entries; 2 are wanted"),
        (BASE.replace("[[part", "cost = 1\nprice_per_kg = 1\n[[part"), "[[plate]] 1: both cost and price_per_kg"),
        ("name = \n" + BASE, "job.toml line 1, column 8: this is not TOML"),
    ],
    ids=lambda text: text[:30],
)
def test_values_that_crashed_readers(tmp_path: Path, text: str, words: str) -> None:
    """Each is refused in plain words."""
    assert words in said_of_job(tmp_path, text)


def test_small_number_is_read_as_written(tmp_path: Path) -> None:
    """A float that prints with an exponent is a length like any other."""
    assert load_job(write(tmp_path, BASE.replace("50", "5e-5")))[0].parts[0].width == 5e-5


def test_text_of_several_lines_gives_no_wrong_line(tmp_path: Path) -> None:
    """What looks like a table inside a text is not counted; the line is left out."""
    note = 'note = """\n[[part]]\nwidth = 3\n"""\n'
    said = said_of_job(tmp_path, BASE + note + "[[part]]\nwidth = 0\n")
    assert said.startswith("job.toml, [[part]] 2, width: 0 is not above 0")


def test_process_of_a_rig(tmp_path: Path) -> None:
    """A date may stand without quotes; wrong dates, doubled names and too much duty are refused."""
    process = '[[process]]\nname = "a"\nmaterial = "steel"\nthickness = 6\nkerf = 1.5\ntravel_speed = "24 ipm"\n'
    rig = load_rig(write(tmp_path, process + "kerf_measured_on = 2026-05-30\n", "rig.toml"))
    assert (rig.processes[0].kerf_measured_on, rig.processes[0].travel_speed) == ("2026-05-30", 609.6)
    assert "process" not in rig.assumed
    wrong = (
        (process + 'kerf_measured_on = "May"\n', "[[process]] 1 'a', kerf_measured_on: 'May' is no date"),
        (process + "duty = [[40, 150]]\n", "duty, entry 1: 150 percent is above 100"),
        (process + process, "several processes are called 'a'"),
    )
    for text, words in wrong:
        with pytest.raises(InputError) as caught:
            load_rig(write(tmp_path, text, "rig.toml"))
        assert words in str(caught.value)


def test_seconds_left_out_are_assumed_one_by_one(tmp_path: Path) -> None:
    """A rig that gives the time of the fence alone has all other times assumed."""
    assumed = load_rig(write(tmp_path, "[seconds]\nfence = 30\n", "rig.toml")).assumed
    assert "seconds.fence" not in assumed
    assert "seconds.push" in assumed
    assert {"stroke", "process", "seconds.fence"} <= set(load_rig().assumed)


def test_named_profile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bare name is looked up in the person's own folder."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = tmp_path / "stripplan" / "rigs"
    folder.mkdir(parents=True)
    write(folder, "stroke = 1500\n", "short.toml")
    assert load_job(write(tmp_path, 'rig = "short"\n' + BASE))[1].stroke == 1500.0
    with pytest.raises(InputError, match=r"did you mean short\?"):
        load_rig("shrt")


def test_name_of_a_plate_may_hold_a_star() -> None:
    """Only the star after the sizes counts plates."""
    plate = parse_plate("rack*2=2000x1000*3", number=1)
    assert (plate.name, plate.quantity) == ("rack*2", 3)


@pytest.mark.parametrize(
    ("part", "good"),
    [
        ("width = 50", True),
        ('width = "2 1/2 in"', True),
        ("width = 50\nlength = 30\nrotate = false", True),
        ("width = 0", False),
        ("width = -5", False),
        ('width = "-5"', False),
        ("width = true", False),
        ("width = 5\nquantity = 0", False),
        ("width = 5\noutline = []", False),
    ],
)
def test_schema_and_reader_refuse_alike(tmp_path: Path, part: str, good: bool) -> None:
    """What the schema can say it says: a specimen is taken or refused by both."""
    text = BASE.replace("width = 50", part)
    assert jsonschema.Draft202012Validator(job_schema()).is_valid(tomllib.loads(text)) == good
    with contextlib.nullcontext() if good else pytest.raises(InputError):
        load_job(write(tmp_path, text))


def test_every_key_is_described() -> None:
    """An editor can say of each key what it is."""
    for schema in (job_schema(), rig_schema()):
        for table in (schema, *schema["$defs"].values()):
            bare = [key for key, value in table.get("properties", {}).items() if "description" not in value]
            assert bare == []


def test_plan_file_with_no_numbers(tmp_path: Path) -> None:
    """NaN is no JSON number."""
    with pytest.raises(InputError, match="NaN is no number"):
        load_plan(write(tmp_path, '{"schema": NaN}', "plan.json"))


def test_list_beyond_the_limit(tmp_path: Path) -> None:
    """More than 20 MB are not read."""
    with pytest.raises(InputError, match="more than 20 MB"):
        load_cut_list(write(tmp_path, b" " * (20 * 2**20 + 1), "list.csv"))


VALUES = st.one_of(
    st.integers().map(str),
    st.floats().map(str),
    st.text(max_size=12).map(ascii),
    st.sampled_from(["true", "[]", "{}", "1979-05-27", "[[1, 2]]", "[[]]", "1" + "0" * 400, '"\\u0000"', '"-"']),
)
KEYS = {
    "[[plate]]": ("cost", "edges", "quantity", "name", "out_of_square"),
    "[[part]]": ("width", "length", "tolerance", "quantity", "outline"),
    "[rig]": ("units", "stroke", "fence_zero", "dial", "process", "seconds"),
    "[options]": ("trim", "keep", "seed", "weights", "depth", "int", "str"),
}


@settings(max_examples=150)
@given(data=st.data())
def test_any_value_of_any_key_is_read_or_refused(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Odd values in right places give a job or a refusal with faults, never another exception."""
    table = data.draw(st.sampled_from(sorted(KEYS)))
    keys = sorted(data.draw(st.sets(st.sampled_from(KEYS[table]), min_size=1)))
    lines = [f"{key} = {data.draw(VALUES)}" for key in keys]
    path = write(tmp_path_factory.mktemp("job"), "\n".join([BASE, table, *lines, ""]))
    with contextlib.suppress(InputError):
        load_job(path)
