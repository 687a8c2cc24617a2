"""Job files: what is read, and what is said of what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.files.job.read import check_job, load_job, read_job
from stripplan.files.job.schema import JobTable, NotPlannedTable, OptionsTable, PartTable, PlateTable
from stripplan.files.parts.named_shapes import WAYS
from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, LeftOut, Options
from stripplan.model.part import AS_MANY_AS_FIT, Hole, Rectangle, Strip
from stripplan.model.plate import Plate
from tests.files.parts.specimens import FULL, GOOD, said, write

BASE = "[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nwidth = 50\n"


def test_job_in_inches(tmp_path: Path) -> None:
    """Bare numbers are in the file's units, strings keep their own; a part without length is a strip."""
    job, rig = load_job(write(tmp_path, GOOD))
    assert (job.plates[0].length, job.plates[0].width, job.plates[0].thickness) == (2438.4, 1219.2, 6.35)
    assert job.parts == (
        Strip(name="bar", width=38.1, quantity=4),
        Rectangle(name="part 2", width=40.0, length=254.0),
    )
    assert "stroke" in rig.assumed


def test_every_key_reaches_the_job(tmp_path: Path) -> None:
    """A job with every key of every table: each value arrives where it belongs."""
    job, rig = load_job(write(tmp_path, FULL))
    plate = Plate(
        name="sheet", length=2000, width=1000, thickness=6, material="mild steel", quantity=2, cost=96.5, offcut=True,
        measured=True, out_of_square=2, edges=("mill", "cut", "dressed", "mill"), rolling="length", process="steel-6",
        first=True,
    )  # fmt: skip
    part = Rectangle(
        name="rail", width=40, length=950, quantity=6, thickness=6, material="mild steel", rolling="width",
        rotate=False,
        allowance=0.5, tolerance=3, plus_minus=0.5, straightness=2, square="long", note="painted",
        plate="sheet", fence=41.0,
        holes=(Hole(x=20, y=20, length=9, width=9),), bevels=(Bevel(edge=3, angle=30, root_face=2),),
    )  # fmt: skip
    pad = Rectangle(name="pad", width=60, length=60, quantity=AS_MANY_AS_FIT, filler=True)
    effort = Effort(seed=3, steps=40, seconds=5, good_enough=0.02, stop_after=900)
    options = Options(
        trim=6, keep=(300, 101.6), effort=effort, weights={"fence": 2, "dress": 0.5},
        price_per_minute=1.2, partial=True, process="steel-6", depth=3, fill="all", offcut_weights={"long": 0.5},
        aim="few_settings", first=("rail",), end_stop=250.0, general_class="m", finish=True, kg_per_hour=24,
        material_factors={"mild steel": 1.1, "stainless": 3.5, "aluminium": 4.0}, offcut_share=0.4,
        hours_a_day=6.5, start="2026-12-01",
    )  # fmt: skip
    assert job == Job(
        name="bench", plates=(plate,), parts=(part, pad), options=options, units="mm", currency="EUR", inch_fraction=16,
        left_out=(LeftOut(name="gusset", quantity=4, why="corners", count=6),), due="2026-12-04",
    )  # fmt: skip
    assert (rig.stroke, rig.processes[0].travel_speed, rig.processes[0].duty) == (1500, 609.6, ((40, 50), (30, 80)))
    assert rig.processes[0].kerf_measured_on == "2026-05-30"


@pytest.mark.parametrize("table", [JobTable, PlateTable, PartTable, NotPlannedTable, OptionsTable])
def test_the_full_specimen_is_full(table: type[JobTable]) -> None:
    """No key of a job is without a specimen, so that a new one must be added to it."""
    apart = {"cut_list", "price_per_kg", *WAYS, "length_to", "job", "rest_of"}  # with tests of their own
    keys = {field.alias or name for name, field in table.model_fields.items()} - apart
    assert [key for key in keys if f"{key} =" not in FULL and f"[{key}]" not in FULL] == []


def test_a_file_of_several_jobs(tmp_path: Path) -> None:
    """Parts are called by their job and keep their own name; every part says whose it is."""
    plate, part = BASE.split("[[part]]")
    two = '[[job]]\nname = "gate"\ndue = 2026-12-04\n[[job]]\nname = "box"\n' + plate
    parts = [f'[[part]]\nname = "rail"\njob = "{name}"{part}' for name in ("gate", "box")]
    job, _ = load_job(write(tmp_path, two + "".join(parts)))
    assert [each.name for each in job.parts] == ["gate: rail", "box: rail"]
    assert [(each.name, each.due, each.parts) for each in job.jobs] == [
        ("gate", "2026-12-04", ("gate: rail",)), ("box", None, ("box: rail",)),
    ]  # fmt: skip
    assert "job.toml line 9, [[part]] 1, job: no [[job]] is called so" in said(
        load_job, write(tmp_path, f"{two}[[part]]{part}")
    )


def test_what_is_left_out(tmp_path: Path) -> None:
    """Defaults are those of the reference: quantity as needed, 1 part, rolling free, no trim, the built-in rig."""
    job, rig = load_job(write(tmp_path, BASE))
    assert job.plates == (Plate(name="plate 1", length=2000, width=1000),)
    assert job.parts == (Strip(name="part 1", width=50),)
    assert (job.name, job.units, job.options, rig.name) == ("job", "mm", Options(), "built-in")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("width = 48", "widht = 48",
         "job.toml line 6, [[plate]] 1, widht: this key is not known (did you mean width?)"),
        ("width = 48", "width = -48",
         "job.toml line 6, [[plate]] 1, width: -48 in is not above 0 (no width is below 0; write 48)"),
        ("width = 48", "width = 0", "line 6, [[plate]] 1, width: 0 in is not above 0 (write a width above 0)"),
        ("width = 48", 'width = "-4 mm"',
         "line 6, [[plate]] 1, width: '-4 mm' is not above 0 (no width is below 0; write 4 mm)"),
        ("width = 48", "width = nan", "width: nan is no finite number (write 250"),
        ("quantity = 4", f"quantity = -{'9' * 400}",
         "quantity: the number is not at least 1 (write a number at least 1)"),
        ("width = 48", "width = true", "width: this is no length (write a number, or text"),
        ("width = 48", "width = [48]", "width: this is no length"),
        ("width = 48", 'width = "48,5"', "width: '48,5' has a comma (write 48.5)"),
        ("width = 48", "width = 900000", "width: 900000 is longer than a kilometre"),
        ("width = 48", "width = 1" + "0" * 400, "width: the number is far too large"),
        ("width = 48", "width = 1e-7", "width: 1e-07 is less than a thousandth"),
        ("width = 48", "", "line 4, [[plate]] 1, width: is missing (at right angles to the length)"),
        ("quantity = 4", "quantity = 1.5",
         "line 12, [[part]] 1 'bar', quantity: 1.5 is no whole number (write 1 or 2)"),
        ("quantity = 4", "quantity = 0", "[[part]] 1 'bar', quantity: 0 is not at least 1"),
        ("quantity = 4", 'quantity = "4"', "quantity: '4' is no whole number (write 4 without quotes)"),
        ("quantity = 4", "quantity = 1000000000", "quantity: 1000000000 is too many (at most 1,000,000)"),
        ("quantity = 4", "outline = [[0, 0]]", "outline: has one entry (3 are wanted)"),
        ("quantity = 4", 'rolling = "lenght"', "rolling: 'lenght' is not known here (did you mean length?)"),
        ("quantity = 4", 'rotate = "no"', "rotate: 'no' must be true or false"),
        ("quantity = 4", "allowance = -1", "allowance: -1 in is below 0 (no allowance is below 0; write 1)"),
        ("quantity = 4", "note = 5", "note: 5 must be text (put it in quotes)"),
        ('name = "bar"', 'name = "part 2"', "job.toml: parts 1, 2 are all called 'part 2' (give each its own name)"),
        ('name = "bar"', 'name = ""', "name: the name is empty"),
        ('name = "bar"', 'name = "b\\u0007r"', "name: 'b\\x07r' holds a control character"),
        ('name = "bar"', f'name = "{"b" * 201}"', "name: the name has 201 letters (at most 200)"),
        ('name = "gate"', 'schema = "stripplan/job/2"', "schema: 'stripplan/job/2' is not 'stripplan/job/1'"),
        ('name = "gate"', "plates = 1", "line 2, plates: this key is not known (did you mean plate?)"),
        ('units = "in"', 'units = "inch"', "line 3, units: 'inch' is not known here (did you mean in?)"),
        ('units = "in"', "options = 3", "line 3, options: 3 must be a table"),
        ('units = "in"', "[options]\nkeep = [1]", "line 4, [options], keep: has one entry (2 are wanted)"),
        ('units = "in"', "[options]\nweights = { fnce = 1 }",
         "line 4, [options.weights], fnce: 'fnce' is not known here (did you"),
        ('units = "in"', "[options]\nweights.fence = -1", "line 4, [options.weights], fence: -1 is not at least 0"),
        ('units = "in"', '[options]\nseconds = "5"', "seconds: '5' is text (write 5 without quotes)"),
        ('units = "in"', "[options]\nseconds = 1e300", "seconds: the number is too large"),
        ('units = "in"', "[options]\nseed = -1", "seed: -1 is not at least 0"),
        ('units = "in"', "rig = 3", "line 3, rig: this is neither text nor a table (name a file or a profile"),
        ('units = "in"', 'rig = " "', "line 3, rig: the name is empty"),
        ('units = "in"', 'rig = "nowhere"', "rig 'nowhere': there is no such file, and no profile in"),
        ('units = "in"', 'rig = "big.toml"', "big.toml: there is no such file"),
        ('units = "in"', 'rig = "\\u0000.toml"', "the file cannot be read"),
        ('units = "in"', "rig = { strok = 5 }",
         "job.toml line 3, [rig], strok: this key is not known (did you mean stroke?)"),
        ('units = "in"', "rig = { fence_min = 2000 }",
         "line 3, rig: fence_min 2000 lies above fence_max 1300 (fence_max comes from"),
        ('units = "in"', 'cut_list = "no.csv"', "no.csv: there is no such file"),
    ],
)  # fmt: skip
def test_faults_name_place_and_remedy(tmp_path: Path, old: str, new: str, words: str) -> None:
    """Each fault is one sentence with file, line where certain, table and key, what is wrong and what to write."""
    text = said(load_job, write(tmp_path, GOOD.replace(old, new, 1)))
    assert words in text
    assert text.count("\n") == 0


def test_all_faults_at_once(tmp_path: Path) -> None:
    """Faults in plates, parts, options, rig and list are named in one go,
    in the order of the file where they are alike.
    """
    write(tmp_path, "width\nx\n", "parts.csv")
    text = 'cut_list = "parts.csv"\nrig = { stroke = 0 }\n[options]\ntrim = -1\n' + BASE.replace("50", "0").replace(
        "1000", "nan"
    )
    text = said(load_job, write(tmp_path, text))
    for words in (
        "[rig], stroke",
        "[options], trim",
        "[[plate]] 1, width",
        "[[part]] 1, width",
        "parts.csv row 2, width",
    ):
        assert words in text


def test_many_faults_are_capped(tmp_path: Path) -> None:
    """A job wrong in every part says twenty faults and how many more there are."""
    assert len(said(load_job, write(tmp_path, BASE + "[[part]]\n" * 20)).splitlines()) == 20
    assert "and one more fault like these" in said(load_job, write(tmp_path, BASE + "[[part]]\n" * 21))
    text = said(load_job, write(tmp_path, BASE + "[[part]]\n" * 500))
    assert len(text.splitlines()) == 21
    assert "and 480 more faults like these" in text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "job.toml: the file is empty"),
        (b"\xff\xfe\x00", "job.toml line 1: the file is not UTF-8 text (save it as UTF-8)"),
        (b"name = 'x'\nnote = 't\xfcr'\n", "job.toml line 2: the file is not UTF-8"),
        (b"name = 'x'", "there is no plate (add a [[plate]])"),
        (b"name = 'x'", "there is no part (add a [[part]])"),
        (b"part = 3", "part: 3 must be a list (write [[part]] in double brackets)"),
        (b"[part]\nwidth = 5", "line 1, part: must be a list (write [[part]] in double brackets)"),
        (b"part = [3]", "line 1, part, entry 1: 3 must be a table"),
    ],
)
def test_files_that_are_no_jobs(tmp_path: Path, text: bytes, words: str) -> None:
    """Empty, wrongly encoded or hollow files get a plain message."""
    assert words in said(load_job, write(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("50 x 6", "line 1, column 4: this is not TOML: this line is no `key = value` (write width = 50)"),
        ("a = 1\nwidth = 50,5", "line 2, column 11: this is not TOML: something follows the value (write 50.5)"),
        ("width = 5 mm", 'line 1, column 11: this is not TOML: something follows the value (write "5 mm" in quotes)'),
        ("name = gate", 'column 8: this is not TOML: a value is missing or not understood (write "gate" in quotes)'),
        ("name =\n", "column 7: this is not TOML: a value is missing"),
        ('name = "gate',
         "line 1, at the end of the file: this is not TOML: a text is not closed (put quotes at its end)"),
        ('a = 1\nname = "gate\nb = 2', "line 2, column 13: this is not TOML: a text is not closed"),
        ("[[part]\n", "line 1, column 7: this is not TOML: a header is not closed"),
        ("a = [1,\n2", "line 2, at the end of the file: this is not TOML: a list is not closed"),
        ("a = 1\na = 2", "line 2, at the end of the file: this is not TOML: a key stands twice"),
        ("[part]\n[part]",
         "line 2, column 6: this is not TOML: a table stands twice (write [[plate]] and [[part]] in double"),
        ('rig = "C:\\x.toml"', "this is not TOML: a \\ in a text has no meaning (write / in paths"),
        ("[" * 2000, "this is not TOML"),
        ("a = " + "[" * 3000, "lists or tables are nested too deeply"),
        ("a = 1" + "0" * 5000, "the file holds a number of thousands of digits"),
        ("a = " + "1" * 100_001, "line 1: the line has more than 100,000 letters"),
        ("a" + ".a" * 2001 + " = 1", "line 1: the line has more than 2,000 points"),
        ("#" * 99_999 + "\n" + ("# x" * 20_000 + "\n") * 72,
         "more than 4 MB (a long list of parts goes into a CSV file: cut_list)"),
    ],
    ids=lambda text: text[:20],
)  # fmt: skip
def test_text_that_is_no_toml(tmp_path: Path, text: str, words: str) -> None:
    """File, line, column and plain words, with what was probably meant."""
    assert words in said(load_job, write(tmp_path, text))


def test_missing_file_and_folder(tmp_path: Path) -> None:
    """A near name is offered; a folder is called one."""
    write(tmp_path, GOOD)
    assert "there is no such file (did you mean job.toml?)" in said(load_job, tmp_path / "jop.toml")
    assert "no such folder either" in said(load_job, tmp_path / "no" / "job.toml")
    assert "this is a folder, not a file (name the file in it)" in said(load_job, tmp_path)
    assert "cannot be read" in said(load_job, tmp_path / ("x" * 3000))


def test_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """A job saved with a byte-order mark is read as without."""
    assert load_job(write(tmp_path, b"\xef\xbb\xbf" + GOOD.encode()))[0].name == "gate"


@pytest.mark.parametrize(
    ("plates", "words"),
    [
        (["cost = 5", "price_per_kg = 2"],
         "prices are mixed: cost on 'p0'; price_per_kg on 'p1' (price all plates alike, or none)"),
        (["cost = 5", ""], "prices are mixed: cost on 'p0'; no price on 'p1'"),
        (["", "", "", "", "cost = 5"], "cost on 'p4'; no price on 'p0', 'p1', 'p2' ..."),
        (["cost = 5\nprice_per_kg = 2"], "[[plate]] 1 'p0': it has both cost and price_per_kg (keep one of the two)"),
    ],
)  # fmt: skip
def test_mixed_prices(tmp_path: Path, plates: list[str], words: str) -> None:
    """Which plate has which price is said."""
    text = "".join(f"[[plate]]\nname = 'p{n}'\nlength = 9\nwidth = 9\n{price}\n" for n, price in enumerate(plates))
    assert words in said(load_job, write(tmp_path, text + "[[part]]\nwidth = 5\n"))


def test_price_per_kg_on_all_plates(tmp_path: Path) -> None:
    """Every plate by its mass is no mixture."""
    job, _ = load_job(write(tmp_path, BASE.replace("[[part", "price_per_kg = 1.5\n[[part")))
    assert job.plates[0].price_per_kg == 1.5


def test_more_than_a_million_parts(tmp_path: Path) -> None:
    """All quantities together have a limit, and it is named."""
    many = "[[part]]\nname = 'b'\nwidth = 5\nquantity = 1_000_000\n"
    assert "1000001 parts are wanted (at most 1,000,000 in one job)" in said(load_job, write(tmp_path, BASE + many))


def test_list_of_parts_beside_the_job(tmp_path: Path) -> None:
    """Rows follow the job's own parts, in its units, and are numbered on from them; how they were read is told."""
    write(tmp_path, b"part,width\nt\xfcr,2\n,3\n", "parts.csv")
    read = read_job(write(tmp_path, 'units = "in"\ncut_list = "parts.csv"\n' + BASE))
    assert [(part.name, part.width) for part in read.job.parts] == [("part 1", 1270.0), ("tür", 50.8), ("part 3", 76.2)]
    assert [note.sentence() for note in read.notes] == [
        "parts.csv row 2: the list is not UTF-8 and was read as Windows-1252 (check its names)"
    ]


def test_job_made_in_python_is_checked_alike() -> None:
    """Two plates of one name are refused whoever made the job."""
    plate = Plate(name="p", length=10, width=10)
    with pytest.raises(InputError, match="plates 1, 2 are all called 'p'"):
        check_job(Job(name="j", plates=(plate, plate), parts=(Strip(name="s", width=5),)), "job")


def test_words_at_two_places_agree() -> None:
    """The causes that may be weighed are those of the model, one by one."""
    from typing import get_args

    from stripplan.files.job.schema import Weight
    from stripplan.model.job import WEIGHT_KEYS

    assert get_args(Weight) == WEIGHT_KEYS


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('square = "long"',
         "job.toml line 7, [[part]] 1 'part 1', square: a filler has no square edges (leave out one of the two)"),
        ("", "all parts are fillers, and no plate is opened for a filler (add a part that is wanted)"),
    ],
)  # fmt: skip
def test_fillers_that_make_no_sense(more: str, words: str, tmp_path: Path) -> None:
    """A filler with square edges, and a job of nothing but fillers, are refused with a way out."""
    assert words in said(load_job, write(tmp_path, f"{BASE}filler = true\n{more}\n"))


def test_fillers_do_not_count_as_wanted(tmp_path: Path) -> None:
    """A filler's quantity is how many at most; left out there is no limit, and neither counts as a wanted part."""
    text = (
        f"{BASE}[[part]]\nwidth = 60\nlength = 60\nfiller = true\n[[part]]\nwidth = 9\nlength = 9\nquantity = 7\n"
        "filler = true\n"
    )
    parts = load_job(write(tmp_path, text))[0].parts
    assert [(part.wanted, part.most) for part in parts] == [(1, 1), (0, None), (0, 7)]


@pytest.mark.parametrize(
    ("given", "share"),
    [('"2 %"', 0.02), ('"2%"', 0.02), ("0.02", 0.02), ('"0.5 %"', 0.005), ("0", 0.0), ('".1"', 0.1)],
)
def test_shares(given: str, share: float, tmp_path: Path) -> None:
    """A share is a number below 1, or so many per cent."""
    assert load_job(write(tmp_path, f"{BASE}[options]\ngood_enough = {given}\n"))[0].options.effort.good_enough == share


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("2", 'good_enough: 2 is all of it or more (write "2 %" in quotes)'),
        ('"100 %"', '100 % is all of it or more (write "2 %" or 0.02; it is below 1)'),
        ('"little"', "'little' is no share (write \"2 %\" or 0.02; it is below 1)"),
        ("-0.1", 'this is no share (write "2 %" or 0.02; it is below 1)'),
        ("true", 'this is no share (write "2 %" or 0.02; it is below 1)'),
    ],
)
def test_shares_that_are_none(given: str, words: str, tmp_path: Path) -> None:
    """Anything that can be taken in two ways is refused with the form to write."""
    assert words in said(load_job, write(tmp_path, f"{BASE}[options]\ngood_enough = {given}\n"))


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ('offcut_share = "100 %"', 'offcut_share: 100 % is all of it or more (write "2 %" or 0.02; it is below 1)'),
        ("offcut_share = -0.1", 'offcut_share: this is no share (write "2 %" or 0.02; it is below 1)'),
        ("kg_per_hour = 0", "kg_per_hour: 0 is not above 0"),
        ("kg_per_hour = -3", "kg_per_hour: -3 is not above 0"),
        ("kg_per_hour = true", "kg_per_hour"),
        ("material_factors = { stainless = 0 }", "[options.material_factors], stainless: 0 is not above 0"),
        ("material_factors = { copper = 2 }", "material_factors"),
        ("price_per_minute = -1", "price_per_minute: -1 is not at least 0"),
        ('aim = "plates"', "aim"),
    ],
)
def test_what_plate_and_hands_are_worth_is_checked(given: str, words: str, tmp_path: Path) -> None:
    """Each figure has its limit, and what is beyond it is refused with the limit."""
    assert words in said(load_job, write(tmp_path, f"{BASE}[options]\n{given}\n"))


def test_factors_that_are_not_given_stay_as_they_are(tmp_path: Path) -> None:
    """Naming one family leaves the others; plate alone is an aim."""
    text = f'{BASE}[options]\nmaterial_factors = {{ stainless = 3.5 }}\naim = "plate"\n'
    options = load_job(write(tmp_path, text))[0].options
    assert options.material_factors == {"mild steel": 1.0, "stainless": 3.5, "aluminium": 4.0}
    assert options.aim == "plate"
    assert (options.kg_per_hour, options.offcut_share, options.price_per_minute) == (30.0, 0.5, None)


def test_offcuts_have_cut_edges_unless_said(tmp_path: Path) -> None:
    """An offcut off the rack was cut by a torch; a sheet comes from the mill; what is said goes before."""
    text = BASE.replace("[[part]]", "[[plate]]\nlength = 800\nwidth = 400\noffcut = true\n[[part]]", 1)
    sheet, offcut = load_job(write(tmp_path, text))[0].plates
    assert (sheet.edges, offcut.edges) == (("mill",) * 4, ("cut",) * 4)
    said_so = text.replace("offcut = true", 'offcut = true\nedges = ["mill", "cut", "cut", "mill"]')
    assert load_job(write(tmp_path, said_so))[0].plates[1].edges == ("mill", "cut", "cut", "mill")


def test_general_class_and_finishing(tmp_path: Path) -> None:
    """Classes of ISO 2768-1 are f, m, c and v; c where nothing is said, and edges are not finished."""
    assert (
        load_job(write(tmp_path, BASE))[0].options.general_class,
        load_job(write(tmp_path, BASE))[0].options.finish,
    ) == ("c", False)
    assert (
        load_job(write(tmp_path, BASE + '[options]\ngeneral_class = "v"\nfinish = true\n'))[0].options.general_class
        == "v"
    )
    assert "general_class: 'x' is not known here (known are f, m, c, v)" in said(
        load_job, write(tmp_path, BASE + '[options]\ngeneral_class = "x"\n')
    )
    with pytest.raises(ValueError, match="general_class 'k' must be one of f, m, c, v"):
        Options(general_class="k")  # type: ignore[arg-type]
