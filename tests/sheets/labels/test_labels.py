"""Labels read back from the page: by a PDF reader, by two readers of codes, and by their geometry."""

from __future__ import annotations

import io
import math
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf.generic import ContentStream

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.sheets.labels import labels as made_labels
from stripplan.sheets.labels.arrange import LEAST, fitted, placed
from stripplan.sheets.labels.label_sheet import SLACK, LabelSheet, label_sheet, label_sheets
from stripplan.sheets.labels.label_text import Label, Line, code_text, label_list
from stripplan.sheets.labels.labels import labels
from stripplan.sheets.labels.qr_code import modules_of
from stripplan.sheets.paper.text import BOLD, CAPITALS, REGULAR, load_fonts, width_of
from stripplan.sheets.rows.plan_rows import plan_id
from tests.checking import calls, examples, few
from tests.replay import by_hand
from tests.sheets.pdf.test_setup_sheet import MM, multiplied, renamed
from tests.sheets.plans import NAMES, PLANS, in_units
from tests.sheets.rows.test_rows import frame_plan, two_plate_plan

GRIDS = tuple(label_sheets())
SMALL, COMMON = "a4-5x13-38.1x21.2", "a4-3x8-70x36"
UNLIKE = (SMALL, COMMON, "a4-2x5-105x57", "letter-3x10-2.625x1in", "letter-2x3-4x3.333in", "a4-2x7-99.1x38.1")
TRIED = (*UNLIKE, *(each for each in GRIDS if each not in UNLIKE))
"""All grids, those first that are least alike."""
BASE = {"name": "own", "page_width": 210.0, "page_height": 297.0, "columns": 3, "rows": 8, "width": 70.0,
 "height": 36.0,
        "left": 0.0, "top": 4.5, "pitch_x": 70.0, "pitch_y": 36.0}  # fmt: skip


def changed(made: Plan, **job: Any) -> Plan:
    """The plan with other words about its job."""
    return replace(made, job=replace(made.job, **job))


def with_allowance(made: Plan, each: float) -> Plan:
    """The plan as if its parts were finished smaller than they are cut, by an allowance on each edge."""

    def finished(size: tuple[float, float | None]) -> tuple[float, float | None]:
        return size[0] - 2 * each, None if size[1] is None else size[1] - 2 * each

    return replace(made, parts=tuple(replace(line, size_wanted=finished(line.size_wanted)) for line in made.parts))


# --- reading a page back ------------------------------------------------------------------------------------------


def pages_of(data: bytes) -> list[Any]:
    return list(pypdf.PdfReader(io.BytesIO(data)).pages)


def written(page: Any) -> list[tuple[str, float, float, float, float]]:
    """Text of a page, piece by piece: text, left, right and baseline from the page's top left corner,
    height of capitals [mm].
    """
    load_fonts()
    found, high = [], float(page.mediabox.height)

    def visit(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        clean = text.strip("\n")
        if clean.strip():
            bold = font["/BaseFont"].endswith(BOLD)
            x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
            wide = width_of(clean, size, bold=bold)
            found.append((clean, x / MM, (x + wide) / MM, (high - y) / MM, size * CAPITALS / MM))

    page.extract_text(visitor_text=visit)
    return found


def place_of(sheet: LabelSheet, x: float, y: float) -> int:
    """The place whose cell holds a point [mm]; 0 = none."""
    for place in range(1, sheet.places + 1):
        left, top = sheet.corner(place)
        if left <= x <= left + sheet.width and top <= y <= top + sheet.height:
            return place
    return 0


def by_place(sheet: LabelSheet, page: Any) -> dict[int, list[tuple[str, float]]]:
    """Text of each place with the height of its capitals;
    every letter must lie inside its cell, 2 mm from its edges.
    """
    found: dict[int, list[tuple[str, float]]] = {}
    for text, left, right, base, capitals in written(page):
        place = place_of(sheet, left, base)
        assert place, f"{text!r} lies in no label"
        x, y = sheet.corner(place)
        pad_x, pad_y = sheet.pads
        assert x + pad_x - SLACK <= left, text
        assert right <= x + sheet.width - pad_x + 0.05, text
        assert y + pad_y - SLACK <= base - capitals, text
        assert base + 0.33 * capitals <= y + sheet.height - pad_y + 0.05, text
        found.setdefault(place, []).append((text, capitals))
    return found


def dark_modules(page: Any) -> Iterator[tuple[float, float, list[list[bool]]]]:
    """Each code of a page from its filled rectangles: left and top [mm], and its modules row by row from the top."""
    high = float(page.mediabox.height)
    matrix, boxes = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"cm":
            matrix = tuple(float(each) for each in operands)  # type: ignore[assignment]
        elif operator == b"re":
            boxes.append([round(float(each)) for each in operands])
        elif operator == b"Q":
            if boxes and matrix[0] == matrix[3] < 10:
                size = max(x + wide for x, _, wide, _ in boxes)
                grid = [[False] * size for _ in range(size)]
                for x, y, wide, tall in boxes:
                    for row in range(size - y - tall, size - y):
                        assert not any(grid[row][x : x + wide])
                        grid[row][x : x + wide] = [True] * wide
                yield matrix[4] / MM, (high - matrix[5] - size * matrix[3]) / MM, grid
            boxes = []


MASKS = (
    lambda i, j: (i + j) % 2, lambda i, j: i % 2, lambda i, j: j % 3, lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2, lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2, lambda i, j: (i * j % 3 + (i + j) % 2) % 2,
)  # fmt: skip
"""Data masks 0 to 7, dark where 0 (ISO/IEC 18004:2015, 7.8.2, table 10: from memory)."""


def read_code(grid: list[list[bool]]) -> str:
    """What an undamaged code of version 2 or 3, level M, one block, bytes, says:
    read by ISO/IEC 18004 without error correction.
    """
    size = len(grid)
    assert size in (25, 29)
    align = size - 7
    form = sum(grid[8][x] << 14 - n for n, x in enumerate((0, 1, 2, 3, 4, 5, 7, 8))) ^ 0b101010000010010
    mask = MASKS[form >> 10 & 7]
    assert form >> 13 & 3 == 0, "level M"

    def fixed(row: int, column: int) -> bool:
        corner = (row < 9 and column < 9) or (row < 9 and column >= size - 8) or (row >= size - 8 and column < 9)
        return corner or 6 in (row, column) or (abs(row - align) <= 2 and abs(column - align) <= 2)

    bits, up = [], True
    for right in (*range(size - 1, 6, -2), 5, 3, 1):
        for row in range(size - 1, -1, -1) if up else range(size):
            bits += [grid[row][x] ^ (not mask(row, x)) for x in (right, right - 1) if not fixed(row, x)]
        up = not up
    text = "".join(str(int(each)) for each in bits)
    assert text[:4] == "0100", "bytes"
    count = int(text[4:12], 2)
    return bytes(int(text[12 + 8 * n : 20 + 8 * n], 2) for n in range(count)).decode()


# --- grids --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", GRIDS)
def test_every_grid_fits_its_page_and_is_what_its_name_says(name: str) -> None:
    """All labels lie on the page and none on another; columns, rows and size are those of the name."""
    sheet = label_sheets()[name]
    corners = [sheet.corner(place) for place in range(1, sheet.places + 1)]
    assert min(x for x, _ in corners) >= 0
    assert min(y for _, y in corners) >= 0
    assert max(x for x, _ in corners) + sheet.width <= sheet.page_width + SLACK
    assert max(y for _, y in corners) + sheet.height <= sheet.page_height + SLACK
    for a, b in pairwise(corners):
        assert b[0] - a[0] >= sheet.width - SLACK or b[1] - a[1] >= sheet.height - SLACK
    page, columns, rows, width, height, unit = re.fullmatch(r"(\w+)-(\d+)x(\d+)-([\d.]+)x([\d.]+)(in)?", name).groups()  # type: ignore[union-attr]
    assert (sheet.columns, sheet.rows) == (int(columns), int(rows))
    scale = 25.4 if unit else 1.0
    assert (sheet.width, sheet.height) == pytest.approx((float(width) * scale, float(height) * scale), abs=0.02)
    assert (sheet.page_width, sheet.page_height) == {"a4": (210, 297), "letter": (215.9, 279.4)}[page]


@pytest.mark.parametrize("name", GRIDS)
def test_usual_grids_lie_in_the_middle_of_the_page(name: str) -> None:
    """Margins left and right, and top and bottom, are alike: so is label paper (common practice, no source)."""
    sheet = label_sheets()[name]
    x, y = sheet.corner(sheet.places)
    assert sheet.page_width - x - sheet.width == pytest.approx(sheet.left, abs=0.2)
    assert sheet.page_height - y - sheet.height == pytest.approx(sheet.top, abs=0.2)


def test_table_of_grids_says_where_it_is_from() -> None:
    """The table warns that it is from memory and is to be checked with a print; every row says so."""
    text = (Path(made_labels.__file__).parent / "data" / "label_sheets.csv").read_text(encoding="utf-8")
    comment, _, *rows = text.splitlines()
    assert "common practice, from memory" in comment
    assert "plain paper" in comment
    assert len(rows) == len(GRIDS) >= 6
    assert all(row.endswith(",memory") for row in rows)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ({"columns": 0}, "columns 0 must be a whole number, at least 1"),
        ({"rows": 2.5}, "rows 2.5 must be"),
        ({"rows": True}, "rows True must be"),
        ({"left": -1.0}, "left margin -1.0 is no length"),
        ({"width": math.nan}, "label width nan is no length"),
        ({"height": math.inf}, "label height inf is no length"),
        ({"pitch_x": 60.0}, "pitch x 60 mm is less than the label's width 70 mm"),
        ({"pitch_y": 30.0}, "pitch y 30 mm is less than the label's height 36 mm"),
        ({"left": 1.0}, "3 columns of labels end 211.00 mm from the page's edge, beyond its width 210 mm"),
        ({"rows": 9}, "9 rows of labels end 328.50 mm from the page's edge, beyond its height 297 mm"),
        ({"height": 14.0}, "label height 14 mm leaves 10.0 mm to print on; at least 15 mm"),
        ({"columns": 1, "width": 33.0}, "label width 33 mm leaves 23.0 mm to print on; at least 30 mm"),
        ({"page_width": 3000.0}, "page width 3000 mm is more than 2000 mm"),
    ],
)
def test_a_grid_that_cannot_be_is_refused(fault: dict[str, Any], words: str) -> None:
    """Each fault of a grid is named with its figure and the limit."""
    with pytest.raises(ValueError, match="label sheet 'own': ") as caught:
        LabelSheet(**{**BASE, **fault})
    assert words in str(caught.value)


def test_all_faults_of_a_grid_are_named_at_once() -> None:
    """Two faults, two phrases in one sentence."""
    with pytest.raises(ValueError, match=r"pitch x 60 mm .*; 9 rows of labels"):
        LabelSheet(**{**BASE, "pitch_x": 60.0, "rows": 9})


def test_own_grids_are_read() -> None:
    """A text gives the grid that a person would draw from it; without pitches labels lie edge to edge."""
    assert replace(label_sheet("a4:3x8:70x36:0,4.5"), name="own") == LabelSheet(**BASE)
    assert replace(label_sheet(" A4 : 3 x 8 : 70 × 36 mm : 0, 4.5 : 70, 36 "), name="own") == LabelSheet(**BASE)
    for name, text in (
        ("a4-3x7-63.5x38.1", "a4:3x7:63.5x38.1:7.25,15.15:66,38.1"),
        ("letter-3x10-2.625x1in", "letter:3x10:2.625x1in:3/16,1/2in:2 3/4,1in"),
        ("letter-2x5-4x2in", 'letter:2x5:4x2":5/32,1/2":4 3/16,2"'),
    ):
        assert replace(label_sheet(text), name=name) == label_sheets()[name]
    roll = label_sheet("60x40:1x1:60x40:0,0")
    assert (roll.page_width, roll.page_height, roll.places) == (60, 40, 1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a4-3x8", "no grid has this name; the nearest is a4-3x8-70x36; for one of your own write page:columns x rows"),
        ("", "no grid has this name; the names are a4-3x8-70x36, "),
        ("a4:3x8:70x36", "3 groups between colons, 4 or 5 are needed"),
        ("a4:3x8:70x36:0,4.5:1:2", "6 groups between colons"),
        ("a9:3x8:70x36:0,4.5", "page 'a9' must be two figures, a4, letter or width x height"),
        ("a4:3by8:70x36:0,4.5", "'3by8' is no columns x rows"),
        ("a4:-3x8:70x36:0,4.5", "'-3x8' is no columns x rows"),
        ("a4:0x8:70x36:0,4.5", "columns 0 must be a whole number"),
        ("a4:3x8:70:0,4.5", "label '70' must be two figures, width x height"),
        ("a4:3x8:70xwide:0,4.5", "label: 'wide' is no length"),
        ("a4:3x8:70x36:0,4,5", "margins '0,4,5' must be two figures, left,top, with a point for decimals"),
        ("a4:3x8:70x36:-1,4.5", "margins: '-1' is below 0"),
        ("a4:3x8:70x36:0,4.5:70", "pitches '70' must be two figures"),
        ("a4:3x8:70x36:0,40", "beyond its height 297 mm"),
        ("a4:3x8:" + "9" * 5000 + "x36:0,4.5", "is too long"),
        ("x" * 5000, "no grid has this name"),
    ],
)
def test_bad_texts_are_refused_in_plain_words(text: str, words: str) -> None:
    """What cannot be read is quoted with what is wrong, in a message of bearable length."""
    with pytest.raises(ValueError, match="label sheet ") as caught:
        label_sheet(text)
    assert words in str(caught.value)
    assert len(str(caught.value)) < 700


def test_several_faults_of_a_text_are_said_at_once() -> None:
    """Page, counts and margins wrong: three phrases and the form."""
    with pytest.raises(ValueError, match=r"page 'a9'.*'3' is no columns.*margins '1'.*for example a4:3x8"):
        label_sheet("a9:3:70x36:1")


@examples(20)
@given(
    st.one_of(
        st.text(),
        st.from_regex(
            r"(a4|letter|[0-9]{1,3}x[0-9]{1,3}):[0-9]x[0-9]:[0-9]{2}x[0-9]{2}:[0-9],[0-9.]{1,3}", fullmatch=True
        ),
    )
)
def test_any_text_is_a_grid_or_a_plain_error(text: str) -> None:
    """Whatever is written gives a grid inside its page,
    or a ValueError of one line that begins with what it is about.
    """
    try:
        sheet = label_sheet(text)
    except ValueError as error:
        assert str(error).startswith("label sheet ")
        assert "\n" not in str(error)
    else:
        x, y = sheet.corner(sheet.places)
        assert x + sheet.width <= sheet.page_width + SLACK
        assert y + sheet.height <= sheet.page_height + SLACK


# --- what is on the labels ----------------------------------------------------------------------------------------


@cache
def printed(name: str) -> bytes:
    return labels(frame_plan(), label_sheet(name), made_at="2026-03-04T10:00:00")


@pytest.mark.parametrize("name", few(len(UNLIKE), TRIED))
def test_each_part_and_offcut_has_one_label_inside_its_cell(name: str) -> None:
    """Read back: letters inside their cell, 2 mm high or more;
    each piece once, with name, size, id and a code that says its id.
    """
    sheet, made = label_sheet(name), frame_plan()
    texts, codes = [], []
    for page in pages_of(printed(name)):
        cells = by_place(sheet, page)
        assert min(capitals for each in cells.values() for _, capitals in each) >= LEAST - 1e-6
        texts += [" | ".join(text for text, _ in cells[place]) for place in sorted(cells)]
        found = {place_of(sheet, x, y): read_code(grid) for x, y, grid in dark_modules(page)}
        assert sorted(found) == sorted(cells)
        codes += [found[place] for place in sorted(found)]
    wanted = [piece for piece in made.pieces if piece.kind in ("part", "offcut")]
    assert Counter(codes) == Counter(code_text(plan_id(made), piece.id) for piece in wanted)
    by_id = {piece.id: piece for piece in wanted}
    for text, code in zip(texts, codes, strict=True):
        piece = by_id[code.split(":", 2)[2]]
        assert re.search(rf"(^|\| ){piece.id}\b", text), text
        assert text.startswith("OFFCUT" if piece.kind == "offcut" else piece.part or "?"), text
        x0, y0, x1, y1 = piece.box
        sizes = re.findall(r"([\d.]+)(?: mm)? ×(?: \|)? ([\d.]+) mm", text)
        assert {float(each) for each in sizes[0]} == {round(x1 - x0, 2), round(y1 - y0, 2)}


def test_labels_come_in_the_order_in_which_pieces_fall() -> None:
    """The label after is never of a cut before; what needs no cut comes first."""
    made = frame_plan()
    made_by = {piece: cut.number for cut in made.cuts for piece in cut.makes}
    numbers = [made_by[each.piece] for each in label_list(made)]
    assert numbers == sorted(numbers)
    assert len(numbers) == 19


def test_a_large_label_says_everything() -> None:
    """Job, plan, date, plate, cut, material, mass of an offcut, and two people where it is heavy."""
    sheet = label_sheet("a4-2x4-99.1x67.7")
    cells = by_place(sheet, pages_of(printed(sheet.name))[0])
    said = [[text for text, _ in cells[place]] for place in sorted(cells)]
    made = frame_plan()
    assert said[0] == [
        "OFFCUT", "1672.25 × 1064 mm", "P1-13", "84 kg: HOIST", "6 mm mild steel", "Frame for a press stand",
        f"2026-03-04, plan {plan_id(made)}", "plate P1, after cut 6",
    ]  # fmt: skip
    assert said[1][:4] == ["foot", "150 × 150 mm", "P1-40, 1 of 8", "6 mm mild steel"]
    assert said[1][4:] == ["plate P1, after cut 20", "Frame for a press stand", f"2026-03-04, plan {plan_id(made)}"]


def test_the_smallest_label_says_less_in_no_smaller_letters() -> None:
    """On the smallest grid job and plan are left out; name, size, id and code stay."""
    cells = by_place(label_sheet(SMALL), pages_of(printed(SMALL))[0])
    said = [text for text, _ in cells[2]]
    assert said == ["foot", "150 × 150 mm", "P1-40, 1 of 8", "6 mm mild steel", "after cut 20"]
    assert {round(capitals, 3) for _, capitals in cells[2]} == {2.0, 2.4}


def test_finished_size_is_said_and_as_cut_where_it_differs() -> None:
    """With 2 mm left on each edge the big size is the finished one, the other is named as cut."""
    sheet = label_sheet("a4-2x7-99.1x38.1")
    every = {each.name: each for each in label_list(with_allowance(frame_plan(), 2.0))}
    assert every["long rail"].size == ("2396", "76 mm")
    assert any("as cut 2400 × 80 mm" in line.wordings for line in every["long rail"].lines)
    page = pages_of(labels(with_allowance(frame_plan(), 2.0), sheet))[0]
    assert any(text.startswith("as cut 150 × 150 mm") for text, _ in by_place(sheet, page)[2])
    assert not any(
        "as cut" in wording for each in label_list(frame_plan()) for line in each.lines for wording in line.wordings
    )


def test_a_strip_is_as_long_as_it_comes() -> None:
    """A strip has no wanted length: its label says the length that it is cut to,
    its allowance is on the width alone.
    """
    made = PLANS["hair strips"]()
    line = made.parts[0]
    assert line.size_wanted == (0.5, None)
    assert label_list(made)[0].size == ("1000", "0.5 mm")
    narrow = replace(made, parts=(replace(line, size_wanted=(0.3, None)),))
    assert label_list(narrow)[0].size == ("1000", "0.3 mm")
    assert Line(("as cut 1000 × 0.5 mm", "cut 1000 × 0.5 mm"), whole=True) in label_list(narrow)[0].lines


def test_inches_are_inches() -> None:
    """A job in inches has its sizes in fractions with their sign;
    a plate of 6 mm is no quarter inch: it is 0.236 of one.
    """
    every = label_list(two_plate_plan())
    assert every[0].size == ('24"', '1 1/2"')
    sheet = label_sheet("letter-3x10-2.625x1in")
    text = " ".join(each[0] for each in written(pages_of(labels(two_plate_plan(), sheet))[0]))
    assert '24" × 1 1/2"' in text
    assert '0.236" mild steel' in text
    assert " mm" not in text


def test_kinds_can_be_chosen() -> None:
    """Parts alone, offcuts alone, each once; anything else is refused."""
    made = frame_plan()
    counts = Counter(piece.kind for piece in made.pieces)
    assert len(label_list(made, which=("part",))) == counts["part"] == 18
    assert len(label_list(made, which=("offcut",))) == counts["offcut"] == 1
    with pytest.raises(ValueError, match="labels for 'scrap': must be part, offcut or both"):
        label_list(made, which=("scrap",))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="labels for nothing"):
        label_list(made, which=())
    with pytest.raises(ValueError, match="no labels to print: the plan has no offcut"):
        labels(two_plate_plan(), label_sheet(SMALL), which=("offcut",))


@pytest.mark.parametrize(("first", "pages"), [(1, 1), (5, 1), (6, 1), (7, 2), (24, 2)])
def test_a_used_sheet_is_begun_where_it_is_said(first: int, pages: int) -> None:
    """The first label is on the place that was asked for, the rest follow row by row, over to a fresh page."""
    sheet = label_sheet(COMMON)
    found = pages_of(labels(frame_plan(), sheet, first=first))
    assert len(found) == pages
    places = [place + sheet.places * n for n, page in enumerate(found) for place in sorted(by_place(sheet, page))]
    assert places == list(range(first, first + 19))


@pytest.mark.parametrize("first", [0, 25, -1, True, 1.0])
def test_a_place_that_is_not_there_is_refused(first: Any) -> None:
    """The error names the place and how many there are."""
    with pytest.raises(ValueError, match=f"first label {first}: the places of this sheet are 1 to 24"):
        labels(frame_plan(), label_sheet(COMMON), first=first)


def test_date_is_the_plans_own_or_the_one_given() -> None:
    """Without a date nothing stands in its place; a date and time is shown as its day; other words as they are."""

    def first_words(made: Plan, made_at: str | None = None) -> set[str]:
        return {line.wordings[0] for line in label_list(made, made_at=made_at)[0].lines}

    made = frame_plan()
    tag = plan_id(made)
    assert f"plan {tag}" in first_words(made)
    assert f"2025-12-31, plan {tag}" in first_words(replace(made, made_at="2025-12-31T23:00:00+00:00"))
    assert f"2026-01-02, plan {tag}" in first_words(replace(made, made_at="2025-12-31"), "2026-01-02")
    assert f"May Day, plan {tag}" in first_words(made, "May Day")


# --- hard names ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n in PLANS if n.startswith("name ") or n in ("inches", "two stages")])
def test_hard_names_stay_inside_their_cells(name: str) -> None:
    """Markup, other alphabets, commands, line ends and great length:
    inside the cell on the smallest grid and a usual one.
    """
    made = PLANS[name]()
    for grid in (SMALL, COMMON):
        sheet = label_sheet(grid)
        cells = [by_place(sheet, page) for page in pages_of(labels(made, sheet))]
        assert sum(map(len, cells)) == sum(piece.kind in ("part", "offcut") for piece in made.pieces)


def test_names_are_printed_as_they_are() -> None:
    """Markup is no markup; Hebrew is turned round for print as in the setup sheet;
    what the font lacks is shown by number.
    """
    sheet = label_sheet("a4-2x4-99.1x67.7")
    for name, shown in (("<b>&amp;</b>", "<b>&amp;</b>"), ("lid \N{GRINNING FACE}", "lid [U+1F600]"),
                        ("\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}",
                        "\N{HEBREW LETTER BET}\N{HEBREW LETTER ALEF}")):  # fmt: skip
        assert fitted(name, 1000.0, 5.0, bold=True) == (shown, 5.0)
        assert name in NAMES
    page = pages_of(labels(in_units(by_hand.pushed_up(), "mm", "<b>&amp;</b>"), sheet))[0]
    assert by_place(sheet, page)[1][0][0] == "<b>&amp;</b>"


def of_long_names(times: int) -> bytes:
    """Labels whose names, job, material and date have some six `times` letters."""
    made = changed(renamed(frame_plan(), "foot", "plate " * times + "last"), name="J" * 6 * times)
    made = replace(made, plates=tuple(replace(each, material="ß" * 6 * times) for each in made.plates))
    return labels(made, label_sheet(COMMON), made_at="x" * 6 * times)


@pytest.mark.long
def test_thousands_of_letters_are_cut_quickly() -> None:
    """Long texts are cut with an ellipsis inside their cells; ten times the letters, less than ten times the work."""
    made: list[bytes] = []
    of_long_names(66)  # the letters of the face are read once
    assert calls(lambda: made.append(of_long_names(660))) < 10 * calls(lambda: of_long_names(66))
    cells = by_place(label_sheet(COMMON), pages_of(made[0])[0])
    assert any(text.startswith("plate plate") and text.endswith("…") for text, _ in cells[2])
    assert not any("last" in text for text, _ in cells[2])


def test_a_long_name_takes_two_lines_where_there_is_room() -> None:
    """A name too long for one line at half the height is broken between words and is there whole."""
    name = "gusset plate of the lower frame behind the cylinder, left hand, mirrored"
    sheet = label_sheet("a4-2x7-99.1x38.1")
    page = pages_of(labels(renamed(frame_plan(), "foot", name), sheet))[0]
    first, second, *_ = [text for text, _ in by_place(sheet, page)[2]]
    assert f"{first} {second}" == name


@examples(60)
@given(
    name=st.text(st.characters(), max_size=80), job=st.text(st.characters(), max_size=30),
    material=st.text(st.characters(), max_size=20), piece=st.text(st.characters(), max_size=12),
    grid=st.sampled_from(GRIDS),
)  # fmt: skip
def test_any_letters_fit(name: str, job: str, material: str, piece: str, grid: str) -> None:
    """Any Unicode, lone halves of pairs too: no line wider than its room or on another, letters 2 mm high,
    sizes whole.
    """
    sheet = label_sheet(grid)
    pad_x, pad_y = sheet.pads
    width, height = (sheet.width - 2 * pad_x) * MM, (sheet.height - 2 * pad_y) * MM
    told = (
        Line((piece,), bold=True),
        Line((f"6 mm {material}",)),
        Line((job,)),
        Line(('as cut 118 31/32" × 59 31/32"',), whole=True),
    )
    label = Label(piece, code_text("0a1b2c3d", piece), name, ('118 31/32"', '59 31/32"'), told)
    modules = modules_of(label.code, 3)
    lines, side = placed(label, width, height, len(modules) + 8)
    assert side > 0
    depth = 0.0
    for line in lines:
        assert line.capitals >= LEAST - 1e-9
        beside = line.y + 0.33 * line.capitals * MM > height - side
        assert (
            line.x + width_of(line.text, line.capitals * MM / CAPITALS, bold=line.bold) <= width - side * beside + 0.01
        )
        assert line.y - line.capitals * 1.27 * MM >= depth - 0.01
        depth = line.y + 0.33 * line.capitals * MM
    assert depth <= height + 0.01
    text = " ".join(line.text for line in lines)
    assert re.search(r'118 31/32" × 59 31/32"', text)


def test_any_letters_in_a_whole_file() -> None:
    """A file with every kind of character in names, job and ids is written, and read by a PDF reader."""
    odd = "\ud800 \x00 \x1b \u200f \u202e \ufffe \U0010ffff א 12 ب é"
    made = changed(renamed(frame_plan(), "foot", odd), name=odd)
    for page in pages_of(labels(made, label_sheet(COMMON))):
        assert by_place(label_sheet(COMMON), page)


# --- the code -----------------------------------------------------------------------------------------------------


def test_the_small_reader_of_codes_reads_every_mask() -> None:
    """The reader of this file reads all eight masks and both versions, and the mask weighed by the standard's rules."""
    for text in ("stripplan:0a1b2c3d:P1-1", "stripplan:0a1b2c3d:P123-4567"):
        for mask in (*range(8), None):
            assert read_code(modules_of(text, mask)) == text


@pytest.mark.parametrize("name", [SMALL, COMMON, "letter-2x5-4x2in"])
def test_a_general_reader_finds_every_code_on_the_printed_page(name: str, tmp_path: Path) -> None:
    """The page as drawn at 300 dots an inch: a reader of codes (ZXing) finds each code, with its text,
    inside its own label.
    """
    if shutil.which("pdftoppm") is None:  # .ci/run installs it
        return
    import numpy
    import zxingcpp as zxing

    sheet, made = label_sheet(name), frame_plan()
    (tmp_path / "labels.pdf").write_bytes(labels(made, sheet, outline=True))
    subprocess.run(["pdftoppm", "-r", "300", "-gray", "labels.pdf", "page"], cwd=tmp_path, check=True)
    found: dict[int, str] = {}
    for number, path in enumerate(sorted(tmp_path.glob("*.pgm"))):
        head, rest = path.read_bytes().split(b"\n255\n", 1)
        wide, high = map(int, head.split()[1:3])
        image = numpy.frombuffer(rest, dtype=numpy.uint8).reshape(high, wide)
        for each in zxing.read_barcodes(image, formats=zxing.BarcodeFormat.QRCode):
            corner = each.position.top_left
            found[number * sheet.places + place_of(sheet, corner.x / 300 * 25.4, corner.y / 300 * 25.4)] = each.text
    tag = plan_id(made)
    assert found == {place: code_text(tag, label.piece) for place, label in enumerate(label_list(made), 1)}


def test_codes_of_many_ids_are_read_by_a_general_reader() -> None:
    """Ids of all lengths and letters that a label has room for, under every mask,
    are read by ZXing as they were written.
    """
    import numpy
    import zxingcpp as zxing

    for number, piece in enumerate(
        ["P1-1", "P99-99999", "a:b:c", "Ø ½ é", "梁", "x" * 100, *(f"P{n}-{n * 37}" for n in range(1, 90))]
    ):
        text = code_text(f"{number * 2654435761 % 2**32:08x}", piece)
        dark = numpy.array(modules_of(text, number % 8))
        image = numpy.kron(numpy.pad(~dark, 4, constant_values=True), numpy.ones((4, 4))).astype(numpy.uint8) * 255
        assert [each.text for each in zxing.read_barcodes(image)] == [text]


def test_a_code_too_fine_to_read_is_left_out() -> None:
    """An id of a hundred letters has a code on a large label, and on the smallest none: the letters stay."""
    record = to_record(by_hand.pushed_up())
    old, new = "P1-2", "P1-" + "2" * 97
    for each in record["pieces"]:
        each["id"] = new if each["id"] == old else each["id"]
    for cut in record["cuts"]:
        cut["makes"] = [new if each == old else each for each in cut["makes"]]
    made = from_record(Plan, record)
    for grid, codes in ((SMALL, 0), ("a4-2x4-99.1x67.7", 1)):
        page = pages_of(labels(made, label_sheet(grid), which=("part",)))[0]
        others = sum(piece.kind == "part" for piece in made.pieces) - 1
        found = [grid for _, _, grid in dark_modules(page)]
        assert len([each for each in found if len(each) > 29]) == codes
        assert len(found) == others + codes
    assert modules_of("x" * 10_000) == []


# --- the file -----------------------------------------------------------------------------------------------------


def test_same_plan_same_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice the same bytes, with all options; SOURCE_DATE_EPOCH moves the date inside the file."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    sheet = label_sheet(COMMON)
    one, two = (
        labels(frame_plan(), sheet, first=3, outline=True, calibration=True, made_at="2026-01-01") for _ in "ab"
    )
    assert one == two
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    reader = pypdf.PdfReader(io.BytesIO(labels(frame_plan(), sheet)))
    assert str(reader.metadata.creation_date).startswith("2023-11-14")  # type: ignore[union-attr]


@pytest.mark.parametrize("name", [COMMON, "letter-2x5-4x2in"])
def test_title_language_paper_and_fonts(name: str) -> None:
    """The file names itself and its language, asks to be printed unscaled, has the grid's paper,
    and holds its fonts.
    """
    reader = pypdf.PdfReader(io.BytesIO(printed(name)))
    assert reader.metadata is not None
    assert reader.metadata.title == "Labels: Frame for a press stand"
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    sheet = label_sheet(name)
    for page in reader.pages:
        size = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM
        assert size == pytest.approx((sheet.page_width, sheet.page_height), abs=0.01)
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            assert font.get_object()["/BaseFont"].split("+")[1] in (REGULAR, BOLD)
            assert "/FontFile2" in font.get_object()["/FontDescriptor"].get_object()


def rectangles(page: Any) -> list[list[float]]:
    """Rectangles of a page that are drawn in its own units [mm]: left, bottom, width, height."""
    operations = ContentStream(page.get_contents(), page.pdf).operations
    depth, found = 0, []
    for operands, operator in operations:
        depth += (operator == b"q") - (operator == b"Q")
        if operator == b"re" and not depth:
            found.append([float(each) / MM for each in operands])
    return found


def test_borders_are_drawn_when_asked() -> None:
    """Outline: a border round every place of each page, where the grid says; without it none."""
    sheet = label_sheet(COMMON)
    assert not any(rectangles(page) for page in pages_of(printed(COMMON)))
    for page in pages_of(labels(frame_plan(), sheet, outline=True, first=10)):
        found = rectangles(page)
        assert len(found) == 24
        for place, (left, bottom, width, height) in enumerate(found, 1):
            top = sheet.page_height - bottom - height
            assert (left, top, width, height) == pytest.approx((*sheet.corner(place), 70, 36), abs=0.01)


@pytest.mark.parametrize("grid", few(6, ["60x40:1x1:60x40:0,0", *TRIED]))
def test_calibration_page_has_true_rulers_and_numbered_borders(grid: str) -> None:
    """Rulers each way of 100 mm (less on small paper) with a mark each millimetre; borders of all labels;
    nothing off the page.
    """
    sheet = label_sheet(grid)
    page = pages_of(labels(frame_plan(), sheet, calibration=True))[0]
    lines = []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"m":
            start = [float(each) / MM for each in operands]
        elif operator == b"l":
            lines.append((start, [float(each) / MM for each in operands]))
    longest = [max(abs(b[axis] - a[axis]) for a, b in lines) for axis in (0, 1)]
    expected = [100.0, 100.0] if sheet.page_width > 200 else [30.0, 10.0]
    assert longest == pytest.approx(expected, abs=0.01)
    assert len(lines) == 2 + sum(round(each) + 1 for each in longest)
    borders = [each for each in rectangles(page) if each[2:] == pytest.approx([sheet.width, sheet.height], abs=0.01)]
    assert len(borders) == sheet.places
    texts = written(page)
    for _, left, right, base, capitals in texts:
        assert left >= 0
        assert right <= sheet.page_width
        assert base - capitals >= 0
        assert base <= sheet.page_height
        assert capitals >= LEAST - 1e-6
    said = {text for text, *_ in texts}
    assert {"1", "100 mm" if sheet.page_width > 200 else "30 mm"} <= said
    assert sheet.page_width < 200 or any("plain paper" in text for text in said)


def test_calibration_page_may_come_first() -> None:
    """With the option the calibration page stands before the labels, and they are what they are without."""
    found = pages_of(labels(frame_plan(), label_sheet(COMMON), calibration=True))
    (alone,) = pages_of(labels(frame_plan(), label_sheet(COMMON)))
    assert len(found) == 2
    assert found[1].extract_text() == alone.extract_text()
    assert len(by_place(label_sheet(COMMON), found[1])) == 19


def test_many_labels_are_quick_and_complete() -> None:
    """76 labels hold each piece once, and take no more work a label than 19."""
    made, written = multiplied(frame_plan(), 4), list[bytes]()
    every = label_list(made)
    assert len(every) == 76
    assert len({each.piece for each in every}) == 76
    work = calls(lambda: written.append(labels(made, label_sheet(SMALL))))
    assert work < 5 * calls(lambda: labels(frame_plan(), label_sheet(SMALL)))
    assert len(pages_of(written[0])) == math.ceil(76 / 65)
