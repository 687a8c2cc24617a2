"""What a plan says to a person who reads inches."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from stripplan.errors import Fault, StripplanError
from stripplan.files.job.read import load_job
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.planner import plan
from stripplan.sheets.rows.plan_rows import sheet
from stripplan.wording.message import Facts, Message, length
from stripplan.wording.show import Units, worded

INCHES = Units("in")
SHEET = """
[[plate]]
name = "sheet 6 mm"
length = 96
width = 48
thickness = "6 mm"
material = "mild steel"
"""
SLIVERS = (
    SHEET
    + """
out_of_square = "1/8"
[[part]]
name = "sliver 3 mm"
width = "1 1/2"
length = 80
quantity = 4
plus_minus = "1/64"
straightness = "1/32"
[[part]]
name = "thread"
width = "3/8"
quantity = 1
plus_minus = 0.015
straightness = "1/32"
[options]
trim = 0.1
[rig]
narrowest_offcut = "2 mm"
stroke = 100
fence_max = 50
fence_step = "0.01 mm"
"""
)
LONG = "[rig]\nstroke = 100\n"
"""A rig that cuts the sheet along in one pass."""
REFUSED = {
    "bigger": SHEET + '[[part]]\nname = "a 3 mm"\nwidth = "3 3/8"\nlength = 120.1\n',
    "sliver": SHEET + '[[part]]\nname = "a"\nwidth = 47.99\nlength = 80\n' + LONG + "fence_max = 50\n",
    "trim": SHEET + '[[part]]\nname = "a"\nwidth = 3\nlength = 80\n[options]\ntrim = 0.05\n',
    "reach": SHEET + '[[part]]\nname = "a"\nwidth = 30.1\nlength = 90\n[rig]\nfence_max = 10\nmarked = false\n',
    "beside": SHEET + '[[part]]\nname = "a"\nwidth = 20\nlength = 96\n[rig]\nfar_max = 15\nfence_max = 15\n',
    "bed": SHEET + '[[part]]\nname = "a"\nwidth = 20\nlength = 90\n' + LONG + "bed_length = 30\n",
    "stroke": SHEET + '[[part]]\nname = "a"\nwidth = 20\nlength = 90\n[rig]\nstroke = 30\ntwo_pass = false\n',
    "process": SHEET.replace("6 mm", "38.1 mm") + '[[part]]\nname = "a"\nwidth = 3\nlength = 80\n',
    "speed": SHEET + '[[part]]\nname = "a"\nwidth = 3\nlength = 80\n[rig]\ntravel_max = 20\n',
    "lengths": SHEET + SHEET.replace("96", "90").replace("sheet", "other") + '[[part]]\nname = "a"\nwidth = 3\n',
}
MARK = r"(?:\d+ )?\d+(?:\.\d+|/\d+)?"


def planned(folder: Path, job: str, units: str) -> Plan:
    """The job, read in inches or said in mm."""
    file = folder / "job.toml"
    if units == "mm":
        job = re.sub(r'^((?!quantity|travel)\w+ = )"?(\d[\d/. ]*)"?$', r'\1"\2 in"', job, flags=re.M)
        job = re.sub(r"^(travel_max = )(\d+)$", r'\1"\2 in/min"', job, flags=re.M)
    rig = 'units = "in"\n' if units == "in" and "[rig]" in job else ""
    file.write_text(
        f'name = "job"\nunits = "{units}"\n{job.replace("[rig]", "[rig]" + chr(10) + rig)}', encoding="utf-8"
    )
    return plan(*load_job(file))


def in_mm(text: str) -> list[float]:
    """Every length of a sentence in mm."""
    runs = re.findall(r"(?<![\w.])([+-]?[\d.]+(?:(?: to | and | x )[\d.]+)*) mm(?!/)", text)
    return [abs(float(each)) for run in runs for each in re.split(" to | and | x ", run)]


def in_in(text: str) -> list[float]:
    """Every length of a sentence in inches, in mm (25.4 mm to the inch, ISO 80000-3)."""
    return [float(sum(map(Fraction, each.split()))) * 25.4 for each in re.findall(rf'({MARK})"', text)]


def nameless(text: str) -> str:
    """Without the names of the things that are called after their mm."""
    return re.sub(r"(sheet|other|sliver|a) (6|3|38\.1) mm", "name", text)


def same(inches: str, metric: str, within: float, relative: float = 0.0) -> None:
    """Both sentences tell the same lengths, none of them in mm in the first."""
    inches, metric = nameless(inches), nameless(metric)
    assert not re.search(r"\d mm|mm/min|m²", inches), inches
    here, there = in_in(inches), in_mm(metric)
    assert len(here) == len(there), (inches, metric)
    for one, other in zip(here, there, strict=True):
        assert abs(one - other) <= max(within, relative * other), (one, other, inches, metric)


def test_warnings_of_a_job_in_inches_are_in_inches(tmp_path: Path) -> None:
    """The same warnings as in mm, each of their figures within a step of its rounding: 1/32, below an inch 0.001."""
    inches, metric = planned(tmp_path, SLIVERS, "in"), planned(tmp_path, SLIVERS, "mm")
    assert [each.code for each in inches.warnings] == [each.code for each in metric.warnings]
    assert {"plus_minus", "bow", "kerf_not_measured", "out_of_square"} <= {each.code for each in inches.warnings}
    for here, there in zip(inches.warnings, metric.warnings, strict=True):
        same(here.text, there.text, 0.0254, 1 / 32)
    told = " ".join(each.text for each in inches.warnings)
    assert 'within ± 1/64"' in told
    assert 'the ±1/64" asked' in told
    assert any(each.text.startswith("sliver 3 mm") for each in inches.warnings)


def test_a_sheet_in_inches_names_mm_only_where_the_rig_is_set_up(tmp_path: Path) -> None:
    """Parts, sums, proof and warnings of the sheet are in inches and ft²; given figures are said as they were given."""
    rows = sheet(planned(tmp_path, SLIVERS, "in"))

    def texts(each: object) -> list[str]:
        if is_dataclass(each):
            return [text for field in fields(each) for text in texts(getattr(each, field.name))]
        return [text for one in each for text in texts(one)] if isinstance(each, tuple) else [str(each)]

    said = [
        text
        for each in (rows.parts, rows.warnings, rows.totals, rows.proof, rows.measure_first)
        for text in texts(each)
    ]
    assert [text for text in map(nameless, said) if re.search(r"\bmm\b|m²", text)] == []
    assert any('±0.015" asked' in text for text in said)
    assert {row.value for row in rows.settings if row.name == "trim off mill edges"} == {'0.1"'}


@pytest.mark.parametrize("job", REFUSED)
def test_a_refused_job_in_inches_is_refused_in_inches(tmp_path: Path, job: str) -> None:
    """The same faults as in mm, each of their figures within 0.0001 in."""
    with pytest.raises(StripplanError) as inches:
        planned(tmp_path, REFUSED[job], "in")
    with pytest.raises(StripplanError) as metric:
        planned(tmp_path, REFUSED[job], "mm")
    assert [each.code for each in inches.value.faults] == [each.code for each in metric.value.faults]
    for here, there in zip(inches.value.faults, metric.value.faults, strict=True):
        assert here.where == there.where
        inch, mm = here.worded(inches.value.units), there.worded(metric.value.units)
        same(inch.text, mm.text, 0.00255)
        same(inch.hint, mm.hint, 0.00255)
    assert not re.search(r"\d mm(/min)?", nameless(str(inches.value)))
    if job == "speed":
        assert "to 20 in/min" in str(inches.value)


def test_a_way_out_in_inches_is_one(tmp_path: Path) -> None:
    """How much narrower a part must be to leave a legal rest is rounded up: the part is then made."""
    with pytest.raises(StripplanError) as refused:
        planned(tmp_path, REFUSED["sliver"], "in")
    less = re.search(r'or ([\d.]+)" narrower\)', str(refused.value))
    assert less is not None
    made = planned(tmp_path, REFUSED["sliver"].replace("47.99", f"{47.99 - float(less[1]):.4f}"), "in")
    assert [line.made for line in made.parts] == [1]


def test_least_widths_are_rounded_up() -> None:
    """97 mm are 3.819 in, 96.8 mm 3 13/16: from there on it would not be kept."""
    facts = Facts(least=length(97), kept=length(1.2), least_for_high_end=length(124))
    said = worded(Message("remedy", facts=facts, says="remedy_wider"), INCHES).text
    assert said == 'Make it wider: from 3 27/32" on about 0.047" is kept (4 29/32" for the high end of the range).'


def test_a_unit_too_fine_for_inches_is_not_nothing() -> None:
    """Hundred-thousandths of a millimetre are 0.00000039 in, and no 0."""
    said = worded(Message("rounded", facts=Facts(unit=length(0.00001), count=200_000_000, most=10_000_000)))
    assert "units of 0.00001 mm, 200 000 000 to the longest side of a plate where 10 000 000 are the most" in said.text
    said = worded(Message("rounded", facts=Facts(unit=length(0.00001), count=200_000_000, most=10_000_000)), INCHES)
    assert 'units of 0.00000039"' in said.text


def test_a_plate_named_like_a_limit_does_not_hide_the_limit_in_mm() -> None:
    """A plate called "5 mm" keeps its name, and a limit of 5 mm is said in inches beside it."""
    rig = Rig(
        processes=(Process(name="p", material="mild steel", thickness=6, kerf=2, travel_speed=600),), narrowest_offcut=5
    )
    sheet = Plate(name="5 mm", length=1000, width=600, thickness=6, material="mild steel")
    job = Job(name="job", units="in", plates=(sheet,), parts=(Rectangle(name="r", length=998, width=300),))
    with pytest.raises(StripplanError) as refused:
        plan(job, rig)
    said = str(refused.value)
    assert 'the narrowest offcut is 0.1969"' in said
    assert "plate (5 mm " in said
    assert not re.search(r"\d mm", said.replace("(5 mm ", "("))


def test_a_million_millimetres_are_no_exponent_in_inches() -> None:
    """A figure of seven digits is 1000000 mm, 39370.0787 in: neither 1e+06 mm nor 1e+0.236 in."""
    fault = Fault("trim", "options, trim", facts=Facts(trim=length(1e6), narrowest=length(3e6)))
    assert fault.worded().text == "a trim of 1000000 mm is narrower than the narrowest offcut, 3000000 mm"
    assert fault.worded(INCHES).text == 'a trim of 39370.0787" is narrower than the narrowest offcut, 118110.2362"'


def test_warnings_hold_their_figures_beside_the_words(tmp_path: Path) -> None:
    """Programs find code, names and figures in mm, whatever units the person reads."""
    made = planned(tmp_path, SLIVERS, "in")
    facts = {each.code: each.facts for each in made.warnings}
    assert facts["out_of_square"]["out_of_square"] == {"value": 3.175, "dimension": "length"}
    assert facts["kerf_not_measured"]["kerf"]["dimension"] == "length"
    assert {
        each["dimension"] for each in facts["plus_minus"].values() if isinstance(each, dict) and "value" in each
    } == {"length"}
