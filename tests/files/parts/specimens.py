"""Files for the tests of readers, and what readers say of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from stripplan.errors import InputError

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
width = "1-1/2 in"
quantity = 4
[[part]]
width = "40 mm"
length = 10
"""

FULL = """
schema = "stripplan/job/1"
name = "bench"
units = "mm"
inch_fraction = 16
currency = "EUR"
due = 2026-12-04
[[plate]]
name = "sheet"
length = 2000
width = 1000
thickness = 6
material = "mild steel"
quantity = 2
cost = 96.5
offcut = true
measured = true
out_of_square = 2
edges = ["mill", "cut", "dressed", "mill"]
rolling = "length"
process = "steel-6"
first = true
[[part]]
name = "rail"
plate = "sheet"
fence = "4.1 cm"
width = 40
length = 950
quantity = 6
thickness = 6
material = "mild steel"
rolling = "width"
rotate = false
allowance = 0.5
tolerance = 3
square = "long"
plus_minus = 0.5
straightness = 2
note = "painted"
holes = [{ x = 20, y = 20, length = 9 }]
bevels = "left 30/2"
[[part]]
name = "pad"
width = 60
length = 60
filler = true
[[not_planned]]
name = "gusset"
quantity = 4
why = "corners"
count = 6
[options]
trim = 6
general_class = "m"
finish = true
hours_a_day = 6.5
start = 2026-12-01
keep = [300, "4 in"]
seed = 3
steps = 40
seconds = 5
weights = { fence = 2, dress = 0.5 }
price_per_minute = 1.2
kg_per_hour = 24
material_factors = { stainless = 3.5, "mild steel" = 1.1 }
offcut_share = "40 %"
partial = true
process = "steel-6"
depth = 3
good_enough = "2 %"
stop_after = 900
fill = "all"
offcut_weights = { long = 0.5 }
aim = "few_settings"
before = []
first = ["rail"]
end_stop = "25 cm"
[rig]
stroke = 1500
[[rig.process]]
name = "steel-6"
material = "mild steel"
thickness = 6
kerf = 1.5
travel_speed = "24 in/min"
current = 40
tip = "1.0"
kerf_measured_on = 2026-05-30
duty = [[40, 50], [30, 80]]
[rig.seconds]
fence = 30
"""
"""Every kind of table, every key of a job."""


def write(folder: Path, text: str | bytes, name: str = "job.toml") -> Path:
    """A file with that text."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def said(read: Callable[[Path], object], path: Path) -> str:
    """What a reader says of a file that it refuses."""
    with pytest.raises(InputError) as caught:
        read(path)
    assert all(fault.code and fault.worded().text and "\n" not in fault.sentence() for fault in caught.value.faults)
    return str(caught.value)
