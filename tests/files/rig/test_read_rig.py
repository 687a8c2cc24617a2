"""Rig profiles: the built-in one, files, overrides and named profiles."""

from __future__ import annotations

import re
import tomllib
from dataclasses import fields
from pathlib import Path

import pytest

from stripplan.errors import InputError
from stripplan.files.job.read import load_job, read_job
from stripplan.files.rig.read import builtin_rig_text, load_rig, read_rig
from stripplan.files.rig.schema import RigTable
from stripplan.model.rig import Rig, Seconds
from stripplan.rig.machine.setting import settable_end_stop
from tests.files.parts.specimens import said, write

BASE = "[[plate]]\nlength = 2000\nwidth = 1000\n[[part]]\nwidth = 50\n"
PROCESS = '[[process]]\nname = "a"\nmaterial = "steel"\nthickness = 6\nkerf = 1.5\ntravel_speed = "24 ipm"\n'


def test_built_in_rig_says_what_the_code_says() -> None:
    """The commented profile and the defaults of Rig are the same figures, key by key."""
    rig, code = load_rig(), Rig()
    keys = [each.name for each in fields(Rig) if each.name not in ("processes", "assumed")]
    assert {key: getattr(rig, key) for key in keys} == {key: getattr(code, key) for key in keys}


def test_built_in_processes_are_plausible() -> None:
    """Kerfs lie in the published spread for 20 to 40 A air plasma, speeds within the carriage, none claims to be
    measured.

    Kerf 1.27 to 2.03 mm in mild steel and up to 0.25 mm more in stainless steel and aluminium: training course
    slide on plasma cutting (0.050 to 0.080 in; +0.005 to 0.010 in). Common practice, no standard behind it.
    """
    rig = load_rig()
    have = {(each.material, each.thickness) for each in rig.processes}
    assert {("mild steel", t) for t in (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)} <= have
    assert {("stainless", 4.0), ("stainless", 6.0), ("aluminium", 5.0), ("aluminium", 6.0)} <= have
    for each in rig.processes:
        assert 1.27 <= each.kerf <= 2.03 + 0.25, each.name
        assert rig.travel_min <= each.travel_speed <= rig.travel_max, each.name
        assert each.current is not None and 20 <= each.current <= 40, each.name  # noqa: PT018
        assert each.kerf_measured_on is None, each.name


def test_built_in_profile_is_its_own_manual() -> None:
    """Every key of a rig stands in the profile, set or as an example, and is explained in its line once."""
    text = builtin_rig_text()
    process, seconds = RigTable.model_fields["process"], fields(Seconds)
    assert process is not None
    keys = [
        field.alias or name
        for name, field in RigTable.model_fields.items()
        if name not in ("process", "seconds", "prices")
    ]
    for key in [
        *keys,
        *(each.name for each in seconds),
        "material",
        "thickness",
        "kerf",
        "travel_speed",
        "current",
        "tip",
        "duty",
        "kerf_u",
        "stand_off",
        "air_pressure",
        "bow_constant",
        "bevel",
        "air_flow",
        "per_hour",
        "markup",
    ]:
        assert re.search(rf"^(?:# )?{key} = ", text, re.MULTILINE), key
        if key not in ("schema", "name", "units"):
            assert re.search(rf"^(?:# )?{key} = [^#\n]*# \w", text, re.MULTILINE) or re.search(
                rf"^(?:# )?{key} = [^#\n]*#? .*# ", text, re.MULTILINE
            ), key
    assert "typical values, not measured, common practice" in text


def test_copy_of_the_built_in_profile_assumes_only_what_it_leaves_out(tmp_path: Path) -> None:
    """Who copies the profile has given every key but the limits that it leaves out, and its processes are the same."""
    rig = load_rig(write(tmp_path, builtin_rig_text(), "mine.toml"))
    left_out = {
        "piece_mass_max",
        "bed_length",
        "bed_before",
        "far_max",
        "dial",
        "fence_u",
        "fence_repeat",
        "fence_angle",
        "return_speed",
        "turn_over_mass_max",
        "narrowest_part",
        "mitre_step",
        "slot_width",
    }
    assert set(rig.assumed) == left_out
    assert rig.processes == load_rig().processes


def test_examples_in_the_profile_can_be_used(tmp_path: Path) -> None:
    """Lines that are commented out hold good values."""
    text = re.sub(r"^# (\w+ = |\[prices\])", r"\1", builtin_rig_text(), flags=re.MULTILINE)
    (tmp_path / "notebook.toml").write_text('units = "mm"\n')
    assert len(tomllib.loads(text)) > len(tomllib.loads(builtin_rig_text()))
    assert load_rig(write(tmp_path, text, "mine.toml")).dial[0] == (1, 150)


def test_rig_in_inches_with_keys_left_out(tmp_path: Path) -> None:
    """Lengths in inches, speeds in in/min, flows in s; what is left out is the built-in's and named as assumed."""
    text = (
        'units = "in"\nstroke = 50\ntravel_max = 30\nfence_zero = "-1/16"\npost_flow = 4\ndial = [[1, 10], [2, "12 '
        'mm/s"]]\n'
    )
    rig = load_rig(write(tmp_path, text + PROCESS.replace("1.5", '"1.5 mm"'), "shop.toml"))
    assert (rig.stroke, rig.travel_max, rig.fence_zero, rig.post_flow) == (1270.0, 762.0, -1.5875, 4.0)
    assert rig.dial == ((1, 254.0), (2, 720.0))
    assert (rig.processes[0].thickness, rig.processes[0].kerf, rig.processes[0].travel_speed) == (152.4, 1.5, 609.6)
    assert (rig.lead_in, rig.name) == (Rig().lead_in, "shop")
    assert "lead_in" in rig.assumed
    assert {"stroke", "process", "dial", "name"}.isdisjoint(rig.assumed)


def test_each_key_left_out_is_assumed(tmp_path: Path) -> None:
    """All keys of a rig but its name, notebook and prices are assumed when nothing is given: processes and seconds too.
    What a tilted torch needs is missing only where it can be tilted.
    """
    keys = RigTable.model_fields.keys() - {"schema_", "name", "units", "seconds", "notebook", "prices"}
    seconds = {f"seconds.{each.name}" for each in fields(Seconds)}
    of_tilt = {each for each in keys | seconds if "tilt" in each}
    assert set(load_rig().assumed) == (keys | seconds) - of_tilt
    tilting = load_rig(write(tmp_path, "tilt_max = 45\ntilt_shift = [[30, 12.5], [45, '1/2 in']]\n", "rig.toml"))
    assert set(tilting.assumed) & of_tilt == {"tilt_pivot", "tilt_u", "seconds.tilt"}
    assert tilting.tilt_shift == ((30.0, 12.5), (45.0, 12.7))


def test_seconds_left_out_are_assumed_one_by_one(tmp_path: Path) -> None:
    """A rig that gives the time of the fence alone has all other times assumed."""
    rig = load_rig(write(tmp_path, "[seconds]\nfence = 30\n", "rig.toml"))
    assert rig.seconds == Seconds(fence=30)
    assert "seconds.fence" not in rig.assumed
    assert "seconds.push" in rig.assumed


def test_rig_of_the_first_edition_is_read_and_told_the_new_name(tmp_path: Path) -> None:
    """`dress_per_m` is read as `scrape_per_m`, which is then no longer assumed, and a note says the new name:
    file, override, command alike.
    """
    path = write(tmp_path, "[seconds]\nfence = 30\ndress_per_m = 45\n", "rig.toml")
    rig, (note,) = read_rig(path).rig, read_rig(path).notes
    assert rig.seconds == Seconds(fence=30, scrape_per_m=45)
    assert "seconds.scrape_per_m" not in rig.assumed
    assert note.sentence() == f"{path} line 3, [seconds], dress_per_m: is read as scrape_per_m (write scrape_per_m)"
    named = read_job(write(tmp_path, 'rig = "rig.toml"\n' + BASE))
    assert [each.where for each in named.notes] == [note.where]
    inside = read_job(write(tmp_path, "[rig.seconds]\ndress_per_m = 45\n" + BASE))
    assert (inside.rig.seconds.scrape_per_m, [each.code for each in inside.notes]) == (45.0, ["renamed"])
    assert read_rig(write(tmp_path, "stroke = 1500\n", "new.toml")).notes == ()
    both = said(load_rig, write(tmp_path, "[seconds]\ndress_per_m = 45\nscrape_per_m = 10\n", "rig.toml"))
    assert "dress_per_m and scrape_per_m are both given, and mean the same (keep scrape_per_m)" in both


@pytest.mark.parametrize(
    ("text", "speed"), [("stroke = 1300\n", 760.0), ("travel_max = 500\n", 500.0), ("return_speed = 3000\n", 3000.0)]
)
def test_carriage_goes_home_no_faster_than_it_cuts_unless_told(tmp_path: Path, text: str, speed: float) -> None:
    """A rig that gives no return speed has that of its own drive: its travel_max."""
    rig = load_rig(write(tmp_path, text, "rig.toml"))
    assert (rig.return_speed, "return_speed" in rig.assumed) == (speed, "return_speed" not in text)


def test_air_pressure_in_bar_or_psi(tmp_path: Path) -> None:
    """75 psi are 5.17 bar (1 psi = 6894.757 Pa, NIST SP 811, from memory, certain); psi written as bar is refused."""
    for text, bar in (("5", 5.0), ('"5.5 bar"', 5.5), ('"75 psi"', 75 * 6894.757e-5)):
        rig = load_rig(write(tmp_path, f"{PROCESS}air_pressure = {text}\nstand_off = 3\n", "rig.toml"))
        assert rig.processes[0].air_pressure == pytest.approx(bar, abs=1e-6)
    assert rig.processes[0].stand_off == 3.0
    words = said(load_rig, write(tmp_path, f"{PROCESS}air_pressure = 75\n", "rig.toml"))
    assert '75 bar is too much (write bar as a number, or text such as "75 psi")' in words


def test_overrides_in_a_job_are_in_the_units_of_the_job(tmp_path: Path) -> None:
    """In a job in inches stroke = 80 is 2032 mm; in a table with units of its own it is not."""
    rig = load_job(write(tmp_path, 'units = "in"\n[rig]\nstroke = 80\n' + BASE))[1]
    assert (rig.stroke, rig.name, "stroke" in rig.assumed) == (2032.0, "built-in, changed by the job", False)
    assert load_job(write(tmp_path, 'units = "in"\n[rig]\nunits = "mm"\nstroke = 80\n' + BASE))[1].stroke == 80.0


def test_rig_file_beside_the_job_has_its_own_units(tmp_path: Path) -> None:
    """A rig in mm named by a job in inches stays in mm, wherever the shell stands."""
    (tmp_path / "rigs").mkdir()
    write(tmp_path / "rigs", "stroke = 1500\n", "mine.toml")
    assert load_job(write(tmp_path, 'units = "in"\nrig = "rigs/mine.toml"\n' + BASE))[1].stroke == 1500.0


def test_places_of_an_inch_stop_are_marks_of_an_inch_scale(tmp_path: Path) -> None:
    """Quarters of an inch are counted from 0: the first at or beyond 50 mm is 2 in; a scale in mm begins where it is
    told."""
    for text, first in (
        ('end_stop_step = "1/4 in"', 50.8),
        ('end_stop_step = "1/4 in"\nend_stop_min = 50', 50.8),
        ('end_stop_step = "1/4 in"\nend_stop_min = "1 3/4 in"', 44.45),
        ('end_stop_step = "0.1 in"\nend_stop_min = 0', 0.0),
        ("end_stop_min = 53", 53.0),
        ("end_stop_step = 2.5\nend_stop_min = 51", 51.0),
    ):
        rig = load_rig(write(tmp_path, f"{text}\n", "rig.toml"))
        assert rig.end_stop_min == pytest.approx(first, abs=1e-9), text
        if ' in"' in text.partition("\n")[0]:
            marks = settable_end_stop(rig, 600.0) / rig.end_stop_step
            assert abs(marks - round(marks)) < 1e-6


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("strok = 5\n", "rig.toml line 1, strok: this key is not known (did you mean stroke?)"),
        ("stroke = 0\n", "line 1, stroke: 0 mm is not above 0 (write a stroke above 0)"),
        ("stroke = 9\n",
         "end_stop_min 50 lies above stroke 9 (end_stop_min comes from the built-in profile: give your own)"),
        ("mitre_min = 170\n", "mitre_min 170 lies above mitre_max 160"),
        ("mitre_step = 0\n", "mitre_step: 0 is not above 0"),
        ("mitre_max = 200\n", "line 1, mitre_max: 200 is too much (at most 180)"),
        ("fence_scale = 0\n", "fence_scale: 0 is not above 0"),
        ('fence_zero = "x"\n', "fence_zero: 'x' is no length"),
        ("travel_max = -5\n", "travel_max: -5 is below 0"),
        ('two_person_mass = "25 kg"\n', "two_person_mass: '25 kg' is no number (write a plain number without unit)"),
        ('square_side = "left"\n', "square_side: 'left' is not known here (known are fence, far, equal)"),
        ("dial = [[1]]\n",
         "line 1, dial, entry 1, entry 2: is missing (measured speeds of the dial: [mark, speed] ...)"),
        ('dial = [["x", 5]]\n', "dial, entry 1, entry 1: 'x' is no number"),
        ("dial = [1]\n", "dial, entry 1: 1 must be a list"),
        ("process = []\n", "process: has 0 entries (1 are wanted)"),
        ("[process]\n", "process: must be a list (write [[process]] in double brackets)"),
        (PROCESS + "kerf_measured_on = 'May'\n",
         "line 7, [[process]] 1 'a', kerf_measured_on: 'May' is no date (write year-month-day"),
        (PROCESS + "duty = [[40, 150]]\n",
         "line 7, [[process]] 1 'a', duty, entry 1, entry 2: 150 is too much (at most 100)"),
        (PROCESS + PROCESS, "two processes are called 'a' (give each its own name)"),
        (PROCESS.replace("kerf = 1.5\n", ""),
         "line 1, [[process]] 1 'a', kerf: is missing (width of metal that the cut removes)"),
        ("[seconds]\nfnce = 1\n", "line 2, [seconds], fnce: this key is not known (did you mean fence?)"),
        ("[seconds]\nfence = -1\n", "line 2, [seconds], fence: -1 is not at least 0"),
        ('schema = "stripplan/job/1"\n', "schema: 'stripplan/job/1' is not 'stripplan/rig/1'"),
    ],
    ids=lambda text: text[:24],
)  # fmt: skip
def test_faulty_rigs(tmp_path: Path, text: str, words: str) -> None:
    """Each fault has file, line, key and remedy."""
    found = said(load_rig, write(tmp_path, text, "rig.toml"))
    assert words in found
    assert "\n" not in found


def test_limits_of_0_are_limits(tmp_path: Path) -> None:
    """A key that is 0 is not taken for one that is left out."""
    rig = load_rig(write(tmp_path, "mitre_min = 0\nmitre_max = 10\nnarrowest_offcut = 0\n", "rig.toml"))
    assert (rig.mitre_min, rig.mitre_max, rig.narrowest_offcut) == (0.0, 10.0, 0.0)
    assert {"mitre_min", "narrowest_offcut"}.isdisjoint(rig.assumed)


def test_dates_with_and_without_quotes(tmp_path: Path) -> None:
    """TOML has dates of its own; both ways and a time of day give the day."""
    for date in ('"2026-05-30"', "2026-05-30", "2026-05-30T07:00:00"):
        rig = load_rig(write(tmp_path, f"{PROCESS}kerf_measured_on = {date}\n", "rig.toml"))
        assert rig.processes[0].kerf_measured_on == "2026-05-30"


def test_named_profile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bare name is looked up in the person's own folder; a near one is offered."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = tmp_path / "stripplan" / "rigs"
    folder.mkdir(parents=True)
    write(folder, "stroke = 1500\n", "short.toml")
    job, rig = load_job(write(tmp_path, 'rig = "short"\n' + BASE))
    assert (rig.stroke, rig.name, job.name) == (1500.0, "short", "job")
    assert "no profile in" in said(load_rig, Path("shrt"))
    assert "did you mean short?" in said(load_rig, Path("shrt"))


def test_prices_are_read_and_checked(tmp_path: Path) -> None:
    """Money and percents are plain numbers; a price below 0 and an unknown one are refused by name."""
    path = tmp_path / "rig.toml"
    path.write_text("[prices]\nper_hour = 45\nmarkup = 10\ncredit_offcuts = true\n")
    prices = load_rig(path).prices
    assert prices is not None
    assert (prices.per_hour, prices.markup, prices.credit_offcuts, prices.per_kwh) == (45.0, 10.0, True, None)
    path.write_text("[prices]\nper_hour = -1\nper_kw = 3\n")
    with pytest.raises(InputError) as caught:
        load_rig(path)
    assert "per_hour: -1" in str(caught.value)
    assert "did you mean per_kwh?" in str(caught.value)
    path.write_text("[prices]\ncompressor_kw_per_m3_min = 7\n")
    with pytest.raises(InputError, match="needs per_kwh"):
        load_rig(path)
