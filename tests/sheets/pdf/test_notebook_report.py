"""The notebook's report read back by a PDF reader: nothing lost, nothing alone, the same bytes each time."""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pypdf
import pytest
from reportlab.lib.pagesizes import A4, letter

from stripplan.sheets.paper.text import CAPITALS, printable
from stripplan.sheets.pdf import notebook_report as notebook_pdf
from stripplan.sheets.rows.notebook import Part
from tests.checking import few
from tests.sheets.picture.charts.test_charts import DIAL, FENCE, KERF, SPEED
from tests.sheets.plans import NAMES

MM = 72 / 25.4
SHOWS = "right: Keep the speed; cut the kerf test at it, and write down what the edge looks like."
TRIALS = (
    ("row", "mm/min", "judged", "what it shows"),
    *((str(n), str(480 + 5 * n), "good", SHOWS) for n in range(1, 81)),
)


PROBLEM = "timed run 3: 0 s is no time, at least 0.1 s is needed"
REPORT = (
    Part(
        title="Dial",
        lines=(
            "7 runs at 5 marks: 130 to 737 mm/min.",
            "Mark 2: 130 ± 2 mm/min, 0.5 ° off, C of bow = C (length/width)².",
        ),
        table=(("process", "mm/min", "mark"), ("steel-6", "600", "7.19"), ("steel-8", "620", "7.48")),
        charts=(DIAL,),
    ),
    Part(title="Kerf", lines=("Measured cold, dross off.",), charts=(KERF, FENCE, SPEED)),
    Part(title="Drive", problem=PROBLEM, lines=("18.5 rpm.",)),
    Part(title="Speed of steel-6", lines=("Best so far: 597 mm/min.",), table=TRIALS),
)
UNITS = "Lengths in mm."


def words(part: Part) -> list[str]:
    """Heading, sentences and problem of a part."""
    return [part.title, *part.lines, *([] if part.problem is None else [part.problem])]


@cache
def written(page: str = "a4") -> bytes:
    """The specimen report."""
    return notebook_pdf.notebook_report(REPORT, title="first weeks", units=UNITS, page=page, made_at="2026-04-01")  # type: ignore[arg-type]


def opened(*sections: Part, title: str = "first weeks") -> pypdf.PdfReader:
    """A report of these sections as a reader sees it."""
    return pypdf.PdfReader(io.BytesIO(notebook_pdf.notebook_report(sections, title=title, units=UNITS)))


def text_of(reader: pypdf.PdfReader) -> str:
    """All text without its spaces and line ends, which depend on where a line was broken."""
    return squeezed("".join(page.extract_text() for page in reader.pages))


def squeezed(text: str) -> str:
    """Text without spaces."""
    return re.sub(r"\s", "", text)


def lines_of(page: Any) -> list[str]:
    """Lines of a page from its top, without the foot."""
    found = [" ".join(line.split()) for line in page.extract_text().splitlines() if line.strip()]
    return [each for each in found if not re.fullmatch(r"page \d+ of \d+|first weeks", each)]


@pytest.mark.parametrize("page", ["a4", "letter"])
def test_nothing_of_the_report_is_lost(page: str) -> None:
    """Title, headings, sentences, problem, every cell and the words of every chart are on the pages."""
    printed = text_of(pypdf.PdfReader(io.BytesIO(written(page))))
    assert squeezed("Made 2026-04-01") in printed
    for section in REPORT:
        wanted = words(section)
        wanted += [each for made in section.charts for each in (made.title, made.x, made.y, *made.levels)]
        wanted += [each.words for made in section.charts if len(made.points) > 1 for each in made.points]
        for each in wanted:
            assert squeezed(printable(each)) in printed, each
        for row in section.table[1:]:
            assert squeezed("".join(row)) in printed, row
    assert squeezed(f"Cannot be worked out: {PROBLEM}") in printed


@pytest.mark.parametrize(("page", "size"), [("a4", A4), ("letter", letter)])
def test_every_page_has_its_size_number_and_title(page: str, size: tuple[float, float]) -> None:
    """Each page says which it is of how many, and whose report it is."""
    reader = pypdf.PdfReader(io.BytesIO(written(page)))
    assert len(reader.pages) >= 4
    for number, each in enumerate(reader.pages, 1):
        assert (float(each.mediabox.width), float(each.mediabox.height)) == pytest.approx(size, abs=0.01)
        assert f"page {number} of {len(reader.pages)}" in each.extract_text()
        assert "first weeks" in each.extract_text()


def test_file_says_what_it_is() -> None:
    """Title and language are set for whoever has the file read aloud; the window shows the title."""
    reader = pypdf.PdfReader(io.BytesIO(written()))
    assert reader.metadata is not None
    assert reader.metadata.title == "Notebook: first weeks"
    root: Any = reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])


def test_each_section_has_a_bookmark_that_leads_to_its_heading() -> None:
    """The outline lists the sections in order, each at the height of its heading on its page."""
    reader = pypdf.PdfReader(io.BytesIO(written()))
    outline: list[Any] = reader.outline
    assert [entry.title for entry in outline] == [section.title for section in REPORT]
    for entry in outline:
        page = reader.pages[reader.get_destination_page_number(entry)]
        heights: list[float] = []

        def visit(text: str, cm: Any, tm: Any, *_: Any, title: str = entry.title, found: list[float] = heights) -> None:
            if text.strip() == title:
                found.append(cm[5] + tm[5])

        page.extract_text(visitor_text=visit)
        assert any(0 <= float(entry.top) - each <= 25 for each in heights), entry.title


def test_only_the_embedded_font_is_used() -> None:
    """No page asks for a font that the reader's machine would have to bring."""
    for page in pypdf.PdfReader(io.BytesIO(written())).pages:
        resources: Any = page["/Resources"]
        for font in resources["/Font"].values():
            made = font.get_object()
            assert "DejaVuSansCondensed" in made["/BaseFont"]
            assert "/FontFile2" in made["/FontDescriptor"]


def test_letters_are_high_enough() -> None:
    """Sentences 2.8 mm, for 0.7 m; all else at least 2 mm and 7 pt, for half a metre (NUREG-0700 rev.
    3, 11.4.1.5-1).
    """
    sizes: dict[str, float] = {}

    def visit(text: str, cm: Any, matrix: Any, _font: Any, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = size * abs(matrix[3]) * abs(cm[3])

    for page in pypdf.PdfReader(io.BytesIO(written())).pages:
        page.extract_text(visitor_text=visit)
    assert min(sizes.values()) >= 7
    assert min(sizes.values()) * CAPITALS / MM >= 0.004 * 500
    assert sizes[REPORT[0].lines[0]] * CAPITALS / MM >= 0.004 * 700 - 1e-6


def test_cautions_come_first() -> None:
    """The first page warns of test cuts and defers to local rules and the manual, before any figure."""
    first = " ".join(pypdf.PdfReader(io.BytesIO(written())).pages[0].extract_text().split())
    for each in ("eyes", "fire", "fume", "Local law", "manual of the power source"):
        assert first.index(each) < first.index("7 runs at 5 marks")


def test_header_of_a_table_is_on_each_of_its_pages() -> None:
    """A table over several pages has its header on each, every row once and in order."""
    reader = pypdf.PdfReader(io.BytesIO(written()))
    pages = [each for each in reader.pages if SHOWS[:20] in " ".join(each.extract_text().split())]
    assert len(pages) >= 3
    for each in pages:
        assert "what it shows" in " ".join(each.extract_text().split())
    said = text_of(reader)
    places = [said.index(squeezed("".join(row))) for row in TRIALS[1:]]
    assert places == sorted(places)
    assert said.count(squeezed(SHOWS)) == len(TRIALS) - 1


@cache
def rows_by_page(fill: int) -> tuple[tuple[int, ...], int]:
    """Rows of a table of six on each page after that many lines, and the page that its heading is on."""
    rows = tuple((f"row {n}", "words") for n in range(6))
    before = Part(title="Dial", lines=tuple(f"line {n}" for n in range(fill)))
    pages = opened(before, Part(title="Fence", table=(("head", "of it"), *rows))).pages
    (start,) = (n for n, page in enumerate(pages) if "Fence" in lines_of(page))
    return tuple(sum(bool(re.search(r"\brow \d", line)) for line in lines_of(page)) for page in pages), start


FILLS = range(22, 40)


@pytest.mark.parametrize("fill", few(6, (24, 27, 30, 33, 36, 39, *FILLS)))
def test_no_row_and_no_heading_stands_alone(fill: int) -> None:
    """However full the page before: a heading has two rows with it, no page holds one row of a table, or nothing."""
    counts, start = rows_by_page(fill)
    assert sum(counts) == 6
    assert 1 not in counts
    assert counts[start] >= 2
    assert counts[-1] > 0


def test_a_table_is_met_at_each_place_on_a_page() -> None:
    """The test above has seen a table whole before the end of a page, broken there, and moved to the next."""
    kinds = {tuple(each > 0 for each in rows_by_page(fill)[0]) for fill in FILLS}
    assert kinds == {(True,), (True, True), (False, True)}


def test_two_charts_lie_side_by_side_and_a_third_takes_the_width() -> None:
    """Titles of the first two stand at one height, half a page apart; the third starts at the left margin below."""
    places: dict[str, tuple[float, float]] = {}

    def visit(text: str, cm: Any, tm: Any, *_: Any) -> None:
        x = cm[0] * tm[4] + cm[4]
        y = cm[3] * tm[5] + cm[5]
        places.setdefault(text.strip(), (round(x, 1), round(y, 1)))

    section = Part(title="Kerf", charts=(DIAL, SPEED, FENCE))
    opened(section).pages[0].extract_text(visitor_text=visit)
    (x1, y1), (x2, y2), (x3, y3) = (places[each.title] for each in section.charts)
    assert y1 == y2 > y3 + 150
    assert x1 == x3 == pytest.approx(8 * MM, abs=1)
    assert x2 - x1 == pytest.approx((A4[0] - 16 * MM + 6 * MM) / 2, abs=1)


@pytest.mark.parametrize("name", [*NAMES, "<b>&", "&lt;i&gt;", "<a href='x'>", "<para>"])
def test_foreign_names_print_as_they_are(name: str) -> None:
    """A name in title, sentence, cell, problem and bookmark is text: no markup, no lost letters, no black squares."""
    section = Part(title=f"Speed of {name}", lines=(f"{name} a",), table=(("head",), (name,)), problem=name)
    reader = opened(section, title=name)
    said = text_of(reader)
    assert (
        max(said.count(squeezed(each)) for each in (name, printable(name))) >= 5
    )  # some readers turn back what was turned
    assert "■" not in said
    assert [entry.title for entry in reader.outline] == ["Speed of " + " ".join(name.split())]  # type: ignore[union-attr]


HARD = {
    "nothing": (),
    "bare heading": (Part(title="Dial"),),
    "long problem": (Part(title="Dial", problem="word " * 3000),),
    "a cell over pages": (Part(title="Dial", table=(("a", "b"), ("1", "cell " * 2500), ("2", "x"))),),
    "a header over pages": (Part(title="Dial", table=(("head " * 2500, "b"), ("1", "2"))),),
    "forty columns": (
        Part(title="Dial", table=(tuple(f"head{n}" for n in range(40)), tuple(f"{n}.25" for n in range(40)))),
    ),
    "ragged": (Part(title="Dial", table=(("a",), ("1", "2", "3"), ())),),
    "only a header": (Part(title="Dial", table=(("a", "b"),)),),
    "rows without cells": (Part(title="Dial", table=((), ())),),
    "a word without end": (Part(title="T" * 400, lines=("W" * 4000,),
     table=(("a", "Y" * 900), ("b", "c"))),),
}  # fmt: skip


@pytest.mark.parametrize("sections", HARD.values(), ids=HARD)
def test_hard_reports_are_written_whole(sections: tuple[Part, ...]) -> None:
    """What is longer or emptier than anyone would write is still printed to the last letter."""
    said = text_of(opened(*sections))
    if not sections:
        assert squeezed("Nothing is written down yet.") in said
    for section in sections:
        body = re.sub(r"page\d+of\d+|firstweeks", "", said)
        for each in words(section):
            assert body.count(squeezed(each)[:2000]) >= 1
        for each in (cell for row in section.table for cell in row):
            assert set(squeezed(each)) <= set(body)
            assert body.count("cell") in (0, 2500)
            assert body.count("head") in (0, 40, 2500)


@pytest.mark.parametrize(
    ("naturals", "room"), [((3, 5, 4), 500.0), ((3, 5, 300), 500.0), ((200, 300, 3), 500.0), ((90,) * 4, 300.0)]
)
def test_columns_fill_the_width_at_the_most(naturals: tuple[int, ...], room: float) -> None:
    """Columns have their own width where it fits; else narrow ones keep theirs and wide ones share the rest alike."""
    widths = notebook_pdf.column_widths([["n" * count for count in naturals]], room)
    own = [notebook_pdf.column_widths([["n" * count]], 1e6)[0] for count in naturals]
    assert sum(widths) == pytest.approx(min(room, sum(own)))
    cut = [each for each, natural in zip(widths, own, strict=True) if each < natural - 1e-9]
    assert len({round(each, 6) for each in cut}) <= 1
    assert all(each <= min([*cut, each]) for each, natural in zip(widths, own, strict=True) if each == natural)


@pytest.mark.long
def test_same_sections_same_bytes() -> None:
    """Nothing of clock, chance or the order of a set is in the file, in this process and in another."""
    again = notebook_pdf.notebook_report(REPORT, title="first weeks", units=UNITS, made_at="2026-04-01")
    assert again == written()
    code = (
        "import hashlib\n"
        "from tests.sheets.pdf.test_notebook_report import written\n"
        "print(hashlib.sha256(written()).hexdigest())"
    )
    environment = {key: value for key, value in os.environ.items() if key != "SOURCE_DATE_EPOCH"}
    root = Path(__file__).parents[3]
    found = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env={**environment, "PYTHONHASHSEED": "1"},
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert found.strip() == hashlib.sha256(again).hexdigest()
