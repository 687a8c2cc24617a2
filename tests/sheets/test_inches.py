"""Who reads inches reads no millimetre and no kilogram, whatever is printed or said."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest

from stripplan.files.plan.read import load_plan
from stripplan.model.report import Axis, Graph, Section, Series
from stripplan.sheets.cut_list_csv import cut_list
from stripplan.sheets.labels.label_sheet import label_sheet
from stripplan.sheets.labels.labels import labels
from stripplan.sheets.pdf.setup_sheet import poster, setup_sheet
from stripplan.sheets.rows.notebook import part_of
from stripplan.wording.message import Facts, Message, Quantity, length, mass, speed
from stripplan.wording.show import Units, show
from tests.cli.running import called

METRIC = re.compile(r"(?<![A-Za-z])(?:mm|kg)\b")

JOB = """
name = "gate"
units = "in"
rig = "rig.toml"
[[plate]]
name = "sheet"
length = 48
width = 24
thickness = "1/4 in"
material = "mild steel"
[[part]]
name = "bar"
width = 2
length = 40
quantity = 4
plus_minus = "1/32 in"
[[part]]
name = "pad"
width = 4
length = 6
quantity = 3
[options]
trim = "1/4 in"
"""
RIG = """
units = "in"
stroke = 60
lead_in = "1/2 in"
overrun = "1/4 in"
fence_step = "1/64 in"
end_stop_step = "1/16 in"
narrowest_offcut = "1/4 in"
notebook = "notebook.toml"
[[process]]
name = "quarter"
material = "mild steel"
thickness = "1/4 in"
kerf = 0.06
travel_speed = 24
current = 45
"""
NOTEBOOK = """
units = "in"
[drive]
rpm = 30
teeth = 20
pitch = "5 mm"
[[timed_run]]
mark = 3
distance = 20
seconds = 96
[[timed_run]]
mark = 6
distance = 20
seconds = 47
[[timed_run]]
mark = 9
distance = 20
seconds = 31
[[kerf_test]]
process = "quarter"
before = 8
after = [3.97, 3.97]
[[kerf_test]]
process = "quarter"
before = 8
after = [3.972, 3.969]
[[fence_check]]
reading = 4
width = 3.98
kerf = 0.06
[[fence_check]]
reading = 9
width = 8.985
kerf = 0.06
[[fence_check]]
reading = 14
width = 13.975
kerf = 0.06
[[test_cut]]
process = "quarter"
travel_speed = 24
dross = "hard"
"""


def text(data: bytes) -> str:
    """All text of a PDF."""
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def metric(said: str) -> list[str]:
    """Lines that tell a millimetre or a kilogram."""
    return [line for line in said.splitlines() if METRIC.search(line)]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job, rig and notebook in inches."""
    folder = tmp_path_factory.mktemp("inches")
    for name, said in (("gate.toml", JOB), ("rig.toml", RIG), ("notebook.toml", NOTEBOOK)):
        (folder / name).write_text(said, encoding="utf-8")
    return folder


def test_a_plan_says_nothing_in_millimetres(shop: Path) -> None:
    """Console, sheet in both forms, poster, labels and the heads and cells of the cut list."""
    console = called("plan", "gate.toml", folder=shop)
    assert console.returncode == 0, console.stderr
    made = load_plan(shop / "output" / "gate" / "plan.json")
    told = {
        "console": console.stdout,
        "sheet": text(setup_sheet(made)),
        "short": text(setup_sheet(made, form="short")),
        "cautions": text(poster(made)),
        "labels": text(labels(made, label_sheet("a4-3x8-70x36"))),
        "cut list": cut_list(made),
    }
    assert {name: metric(said) for name, said in told.items() if metric(said)} == {}
    assert " lb" in told["sheet"]
    assert " lb" in told["console"]


def test_a_notebook_in_inches_is_told_in_inches(shop: Path) -> None:
    """Console and paper of its report; the measured kerf is what was written down."""
    console = called("notebook", "--rig", "rig.toml", "--out", "report", folder=shop)
    paper = text((shop / "report" / "notebook.pdf").read_bytes())
    assert "in/min" in console.stdout
    assert metric(console.stdout) == []
    assert metric(paper) == []
    row = next(line for line in console.stdout.splitlines() if line.split()[:1] == ["quarter"] and "0.0" in line)
    assert 0.05 < float(re.findall(r"0\.\d+", row)[0]) < 0.07


def test_a_rig_without_a_notebook_is_told_in_its_own_units(shop: Path) -> None:
    """The speeds to begin with of a rig file in inches: 24 in/min in the profile, and no other unit anywhere."""
    (shop / "bare.toml").write_text(RIG.replace('notebook = "notebook.toml"', ""), encoding="utf-8")
    said = called("notebook", "--rig", "bare.toml", folder=shop).stdout
    assert "Speeds to begin with" in said
    assert "in the profile, in/min" in said
    assert re.search(r"quarter +45 +24 +\d+(\.\d)? +\d+(\.\d)? to \d+(\.\d)?$", said, re.MULTILINE)
    assert metric(said) == []


def test_a_part_of_the_report_in_inches() -> None:
    """Ranges, doubts and figures of columns by 25.4 as decimals, whole 16ths too, for a calliper shows no fractions; a
    doubt of less than an inch a minute keeps two figures.
    """
    graph = Graph(
        name="c",
        title=Message("chart_height"),
        x=Axis("axis_from_home", "length"),
        y=Axis("axis_speed", "speed"),
        series=(Series(code="points_torch", mark="dot", at=((25.4, 508.0, 2.54),)),),
    )
    reach = {"low_least": speed(254), "low_most": speed(300), "high_least": speed(600), "high_most": speed(635)}
    shows = Message("sign", facts=Facts(stand_off=length(3), least=length(1), most=length(2)))
    said = (
        Message("good_speeds", facts=Facts(low=speed(279.4), high=speed(622.3), **reach)),
        Message("dial_mark", facts=Facts(mark=3.0, speed=speed(508), half=speed(1.9))),
        Message("fence_strip", facts=Facts(reading=140.0, width=length(101.6), half=length(0.05))),
        Message("rail_twist", facts=Facts(twist=length(0.508))),
        Message(shows.code, facts=shows.facts, says="sign_stand_off_great"),
    )
    row = Facts(
        process="thin", kerf=length(1.5875), half=length(0.0254), pieces=3, profile=length(1.5), used=length(1.6)
    )
    found = part_of(Section(topic="kerf", said=said, rows=(row,), graphs=(graph,), units="in"))
    assert found.lines == (
        "Good speeds probably from 11 (10 to 11.8) to 24.5 (23.6 to 25 in/min), 90 % each.",
        "Mark 3: 20 ± 0.075 in/min.",
        'A strip set at 140 comes out 4" ± 0.002" wide.',
        'From home to the far end the right rail turns by +0.02" against the left.',
        'stand-off 0.1181", above the usual 0.0394" to 0.0787" of an exposed nozzle',
    )
    assert found.table[1] == ("thin", '0.0625"', '0.001"', "3", "-", '0.0591"', '0.063"')
    (chart,) = found.charts
    assert chart.points[0].at[0] == pytest.approx((1.0, 20.0, 0.1))
    assert (chart.x, chart.y) == ("in from home", "in/min")


def test_masses_of_messages_are_pounds() -> None:
    """25 kg are 55.1 lb (1 lb = 0.45359237 kg, international agreement of 1959); a square foot is 0.0929 m2."""
    assert show(mass(25), Units("in")) == "55.1 lb"
    assert show(Quantity(2e6, "area"), Units("in"), ".2f") == "21.53 ft2"
