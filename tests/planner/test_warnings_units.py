"""What a plan says to a person who reads inches."""

from __future__ import annotations

import re
from pathlib import Path

from stripplan.files.job_toml import load_job
from stripplan.model.plan import Plan
from stripplan.planner import plan

JOB = """
name = "slivers"
units = "in"
[[plate]]
name = "sheet"
length = 96
width = 48
thickness = "6 mm"
material = "mild steel"
out_of_square = "1/8"
[[part]]
name = "sliver"
width = "1 1/2"
length = 80
quantity = 4
plus_minus = "1/64"
straightness = "1/32"
[options]
trim = "1/4"
"""


def planned(folder: Path, units: str) -> Plan:
    """The job, read in inches or said in mm."""
    file = folder / "job.toml"
    text = (
        JOB
        if units == "in"
        else re.sub(r'= "?(\d[\d/ ]*)"?$', r'= "\1 in"', JOB.replace('units = "in"\n', ""), flags=re.M)
    )
    file.write_text(text.replace('quantity = "4 in"', "quantity = 4"), encoding="utf-8")
    return plan(*load_job(file))


def test_warnings_of_a_job_in_inches_are_in_inches(tmp_path: Path) -> None:
    """The same warnings as in mm, each of their figures within half a step of its rounding (25.4 mm to the inch, ISO 80000-3)."""
    inches, metric = planned(tmp_path, "in"), planned(tmp_path, "mm")
    assert [each.code for each in inches.warnings] == [each.code for each in metric.warnings]
    assert {"plus_minus", "bow", "kerf_not_measured"} <= {each.code for each in inches.warnings}
    told = " ".join(each.text for each in inches.warnings)
    assert re.findall(r"\S+ mm\S*", told.replace("mm: correct the fence", "")) == []
    for here, there in zip(inches.warnings, metric.warnings, strict=True):
        small = [float(each) for each in re.findall(r'± (\d\.\d{3})"', here.text)]
        same = [float(each) for each in re.findall(r"± (\d+\.\d+) mm", there.text)]
        for one, other in zip(small, same, strict=True):
            assert abs(25.4 * one - other) <= 0.0005 * 25.4 + 0.005
