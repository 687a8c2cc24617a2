"""Look-ups in ISO 9013 and ISO 2768 against figures of published reproductions, their bands and blanks, and which class
a size meets.

No standard was read itself. `seen` = the figure stood in a reproduction; `memory` = recalled.
"""

from __future__ import annotations

import csv
import itertools
import math
import re
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.rig import standards
from stripplan.rig.standards import Limit, ThermalProcess
from tests.checking import in_turn


@in_turn(
    ("thickness", "nominal", "deviation"),
    [
        (3, 100, 0.25), (3, 500, 0.35), (5, 50, 0.25), (5, 200, 0.3), (8, 20, 0.3), (8, 200, 0.35), (8, 1500, 0.55),
        (12, 60, 0.4), (12, 300, 0.45), (18, 500, 0.75), (22, 2500, 1.6),
    ],
)  # fmt: skip
def test_iso_9013_class_1(thickness: float, nominal: float, deviation: float) -> None:
    """ISO 9013:2017, limit deviations, tolerance class 1: seen (reproduced on a metalworking information page)."""
    found = standards.iso_9013_deviation(1, thickness, nominal)
    assert (found.value, found.verified) == (deviation, True)


@in_turn(
    ("thickness", "nominal", "deviation"),
    [
        (1, 50, 0.7), (2, 50, 0.7), (3, 1500, 1), (5, 20, 0.9), (5, 200, 1.1), (5, 500, 1.2), (5, 2500, 1.3),
        (6, 100, 0.9),
        (8, 50, 1.3), (8, 200, 1.4), (10, 500, 1.5), (10, 1500, 1.6), (10, 2500, 1.7), (10, 5000, 1.9), (12, 50, 1.8),
        (12, 200, 1.9), (12, 500, 2.3), (15, 1500, 3), (20, 2500, 4.2), (20, 5000, 4.3),
        (6.3, 100, 0.9), (8, 125, 1.4),  # on a bound: the thickness belongs below it, the size above it
    ],
)  # fmt: skip
def test_iso_9013_class_2(thickness: float, nominal: float, deviation: float) -> None:
    """ISO 9013:2017, limit deviations, tolerance class 2: seen (reproduced on a metalworking information page)."""
    found = standards.iso_9013_deviation(2, thickness, nominal)
    assert (found.value, found.verified) == (deviation, True)


def test_class_2_is_not_verified_beyond_25_mm() -> None:
    """Rows above 25 mm are those of the 2002 edition, from memory: the figure comes with the doubt."""
    for thickness, nominal, deviation in ((30, 100, 1.8), (60, 500, 3.0), (150, 2500, 5.7)):
        found = standards.iso_9013_deviation(2, thickness, nominal)
        assert (found.value, found.verified) == (deviation, False)


def test_class_2_row_that_was_seen_in_part() -> None:
    """20 to 25 mm: up to 315 mm seen, the rest taken from the row above, and said so."""
    assert standards.iso_9013_deviation(2, 25, 200) == Limit(
        1.9, "seen (reproduction on a metalworking information page)"
    )
    longer = standards.iso_9013_deviation(2, 25, 400)
    assert (longer.value, longer.verified) == (2.3, False)


@pytest.mark.parametrize(
    ("cls", "thickness", "nominal", "words"),
    [
        (2, 8, 2, "blank on that page"),
        (2, 1, 5000, "blank on that page"),
        (1, 220, 100, "blank on that page"),
        (2, 40, 5000, "neither seen nor remembered"),
        (2, 8, 8000, "outside the table"),
        (2, 160, 100, "outside the table"),
    ],
)
def test_cells_without_a_figure(cls: int, thickness: float, nominal: float, words: str) -> None:
    """A blank cell, a lost one and one beyond the table give no figure, and say which of the three it is."""
    found = standards.iso_9013_deviation(cls, thickness, nominal)
    assert (found.value, found.verified) == (None, False)
    assert words in found.status


@pytest.mark.parametrize("cls", [1, 2])
def test_the_table_has_no_holes_and_grows(cls: int) -> None:
    """Bands follow one another; no figure falls from a size to the next greater or from a plate to the next thicker."""
    text = resources.files("stripplan.rig").joinpath("data", f"iso_9013_class_{cls}.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()[1:]))
    cells = {
        (float(row["up_to"]), float(row["from"])): float(row["deviation"]) if row["deviation"] else None for row in rows
    }
    plates = sorted({float(row["over"]) for row in rows} | {float(row["up_to"]) for row in rows})
    sizes = sorted({float(row["from"]) for row in rows} | {float(row["below"]) for row in rows})
    assert len(cells) == len(rows) == (len(plates) - 1) * (len(sizes) - 1)
    known = [(key, value) for key, value in cells.items() if value is not None]
    for (one, value), (other, greater) in itertools.product(known, known):
        if one[0] <= other[0] and one[1] <= other[1]:
            assert value <= greater, (one, other)


@pytest.mark.parametrize(
    ("length", "width", "process", "outside"),
    [
        (400, 100, None, False), (401, 100, None, True), (1000, 50, None, True), (50, 1000, None, True),
        (100, 80, None, False),
        (100, 70, None, True), (None, None, None, None), (None, None, "plasma", None), (400, 100, "flame", False),
    ],
)  # fmt: skip
def test_scope_by_shape(
    length: float | None, width: float | None, process: ThermalProcess | None, outside: bool | None
) -> None:
    """Meant for parts up to 4:1 with an outline of 350 mm or more: ISO 9013, from memory (fair)."""
    found = standards.iso_9013_deviation(2, 8, 50, length=length, width=width, process=process)
    assert (found.value, found.outside_scope) == (1.3, outside)


@pytest.mark.parametrize(
    ("process", "least", "greatest"), [("flame", 3, 300), ("plasma", 0.5, 150), ("laser", 0.5, 32)]
)
def test_scope_by_process(process: ThermalProcess, least: float, greatest: float) -> None:
    """ISO 9013:2017 scope: flame 3-300, plasma 0.5-150, laser 0.5-32 mm (seen in a standards catalogue)."""
    for thickness, outside in ((least, None), (greatest, None), (least / 2, True), (greatest * 1.1, True)):
        assert standards.iso_9013_deviation(1, thickness, 100, process=process).outside_scope is outside


@in_turn(
    ("cls", "nominal", "deviation"),
    [
        ("f", 25, 0.1), ("m", 25, 0.2), ("m", 35, 0.3), ("m", 130, 0.5), ("m", 400, 0.5), ("m", 401, 0.8),
        ("m", 1500, 1.2),
        ("m", 3000, 2), ("c", 25, 0.5), ("c", 100, 0.8), ("c", 300, 1.2), ("c", 800, 2), ("c", 1500, 3), ("v", 50, 1.5),
        ("v", 300, 2.5), ("v", 900, 4), ("v", 2500, 8),
    ],
)  # fmt: skip
def test_iso_2768_linear(cls: str, nominal: float, deviation: float) -> None:
    """ISO 2768-1:1989 table 1: seen (several reproductions agree; one old German copy prints other class c values
    below 6 mm)."""
    assert standards.iso_2768_linear(cls, nominal).value == deviation
    assert standards.iso_2768_linear(cls.upper(), nominal).verified


@pytest.mark.parametrize(
    ("cls", "length", "limit"), [("K", 250, 0.4), ("K", 800, 0.6), ("L", 800, 1.2), ("L", 2000, 1.6)]
)
def test_iso_2768_straightness(cls: str, length: float, limit: float) -> None:
    """ISO 2768-2:1989, straightness and flatness: seen (reproduction)."""
    assert standards.iso_2768_straightness(cls, length).value == limit


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (standards.iso_2768_linear("f", 2500), "blank"),
        (standards.iso_2768_linear("v", 2), "blank"),
        (standards.iso_2768_linear("c", 0.4), "outside the table"),
        (standards.iso_2768_linear("c", 4001), "outside the table"),
        (standards.iso_2768_straightness("L", 3001), "outside the table"),
    ],
)
def test_where_a_table_ends(found: Limit, words: str) -> None:
    """No figure beyond a table's first and last band, nor in its blank cells."""
    assert (found.value, found.verified) == (None, False)
    assert words in found.status


@pytest.mark.parametrize(
    ("deviation", "thickness", "nominal", "thermal", "general"),
    [
        (0.25, 3, 100, 1, "m"),  # class 1 at 3 mm and 100 mm: 0.25; m at 30-120: 0.3
        (0.26, 3, 100, 2, "m"),
        (0.9, 6, 100, 2, "v"),  # class 2: 0.9; c at 30-120: 0.8, v: 1.5
        (0.91, 6, 100, None, "v"),
        (1.51, 6, 100, None, None),
        (0.5, 8, 2, None, None),  # class 2 blank there; c at 0.5-3: 0.2, v blank
        (0.0, 8, 50, 1, "f"),
    ],
)
def test_class_met(
    deviation: float, thickness: float, nominal: float, thermal: int | None, general: str | None
) -> None:
    """The finest class whose figure is not exceeded, read off the tables above by eye."""
    found = standards.class_met(deviation, thickness, nominal)
    assert (found.iso_9013, found.iso_2768) == (thermal, general)


def test_plasma_class_2_is_never_iso_2768_m() -> None:
    """Plasma work meets class c or v of ISO 2768-1, not m: comparison of the two tables, derived for this project."""
    for thickness, nominal in itertools.product((2, 4, 8, 12, 20), (20, 60, 200, 500)):
        limit = standards.iso_9013_deviation(2, thickness, nominal).value
        assert limit is not None
        assert standards.class_met(limit, thickness, nominal).iso_2768 not in ("f", "m")


def test_class_met_says_what_to_doubt() -> None:
    """A long strip in thick plate is outside the scope, and that is said."""
    found = standards.class_met(1.5, 30, 50, length=1000, width=50)
    assert found.text == "ISO 9013 class 2 (outside its scope: a yardstick), ISO 2768-1 class v"
    assert found.outside_scope is True


@given(
    deviation=st.floats(0, 10),
    more=st.floats(0, 5),
    thickness=st.floats(0.5, 20),
    nominal=st.floats(10, 3999),
)
def test_a_greater_deviation_never_meets_a_finer_class(
    deviation: float, more: float, thickness: float, nominal: float
) -> None:
    """Classes only get coarser as a size gets less true."""
    order_9013, order_2768 = [1, 2, None], ["f", "m", "c", "v", None]
    one = standards.class_met(deviation, thickness, nominal)
    other = standards.class_met(deviation + more, thickness, nominal)
    assert order_9013.index(one.iso_9013) <= order_9013.index(other.iso_9013)
    assert order_2768.index(one.iso_2768) <= order_2768.index(other.iso_2768)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: standards.iso_9013_deviation(3, 8, 50), "ISO 9013 tolerance class 3 is not known; known are 1, 2"),
        (lambda: standards.iso_9013_deviation(2, 0, -5), "thickness 0: must be above 0 mm; nominal -5: must be above"),
        (lambda: standards.iso_9013_deviation(2, math.nan, 5), "thickness nan: must be above 0 mm"),
        (lambda: standards.iso_9013_deviation(2, 8, 50, length=0, width=5), "length 0: must be above 0 mm"),
        (
            lambda: standards.iso_9013_deviation(2, 8, 50, process="water"),
            "process 'water' is not known; known are flame",
        ),
        (lambda: standards.iso_2768_linear("g", 50), "ISO 2768-1 class 'g' is not known; known are f, m, c, v"),
        (lambda: standards.iso_2768_straightness("m", 50), "ISO 2768-2 class 'm' is not known; known are H, K, L"),
        (lambda: standards.class_met(-0.1, 8, 50), "deviation -0.1: must not be below 0 mm"),
    ],
)
def test_bad_input_is_named(call: object, words: str) -> None:
    """Each fault names the figure and what is known or allowed."""
    assert callable(call)
    with pytest.raises(ValueError, match=re.escape(words)):
        call()
