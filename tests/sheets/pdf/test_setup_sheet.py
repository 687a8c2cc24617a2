"""The setup sheet read back: by a PDF reader, and box by box before it is drawn."""

from __future__ import annotations

import hashlib
import io
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pypdf
import pytest
from reportlab.lib.pagesizes import A4, letter

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import PartLine, Plan
from stripplan.sheets.paper.flow import Section, Words, frame, paginate
from stripplan.sheets.paper.text import BIG, CAPITALS, DESK, RIG, as_read, points, printable, shortened, width_of
from stripplan.sheets.pdf import setup_sheet as pdf
from stripplan.sheets.pdf.job.boxes import Together
from stripplan.sheets.pdf.job.check_list import parts_section
from stripplan.sheets.pdf.job.quotation import quoted_sections
from stripplan.sheets.pdf.plate_picture import PlateDrawing
from stripplan.sheets.pdf.work.cut_table import CutLine
from stripplan.sheets.pdf.work.run_block import RunHead, RunLine, by_itself
from stripplan.sheets.pdf.work.set_up_band import APART, LowBlock, set_figures
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.shapes import Picture, Text
from stripplan.sheets.rows import plan_rows as rows
from stripplan.sheets.rows.row_types import Quoted
from tests.checking import calls, few
from tests.sheets.rows.test_rows import frame_plan, two_plate_plan

MM = 72 / 25.4
LONG = "gusset plate with a name so long that nobody would want to read it at the rig, left hand"


@cache
def read(page: str = "a4") -> pypdf.PdfReader:
    """The press stand's sheet as a reader sees it."""
    return pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(frame_plan(), page=page)))  # type: ignore[arg-type]


@cache
def texts(page: str = "a4") -> tuple[str, ...]:
    """Text of each page, spaces and line ends made one."""
    return tuple(" ".join(each.extract_text().replace("\xa0", " ").split()) for each in read(page).pages)


def renamed(made: Plan, old: str, new: str) -> Plan:
    """The plan with another name for a part."""

    def named(line: PartLine) -> PartLine:
        return replace(line, name=new) if line.name == old else line

    pieces = tuple(replace(each, part=new) if each.part == old else each for each in made.pieces)
    asked = tuple(replace(each, name=new) if each.name == old else each for each in made.job.parts)
    job = replace(made.job, parts=asked)
    return replace(made, job=job, pieces=pieces, parts=tuple(named(line) for line in made.parts))


def multiplied(made: Plan, times: int) -> Plan:
    """The same plate cut again and again, as plates P1, P2, ... of one job."""

    def moved(name: str | None, n: int) -> Any:
        return None if name is None else re.sub(r"^P1", f"P{n}", name)

    def piece(each: Piece, n: int) -> Piece:
        return replace(each, id=moved(each.id, n), plate=f"P{n}", parent=moved(each.parent, n))

    def cut(each: Cut, n: int) -> Cut:
        right, left = each.makes
        number = each.number + (n - 1) * len(made.cuts)
        makes = (moved(right, n), moved(left, n))
        return replace(each, number=number, plate=f"P{n}", piece=moved(each.piece, n), makes=makes)

    every = range(1, times + 1)
    return replace(
        made,
        plates=tuple(replace(made.plates[0], id=f"P{n}") for n in every),
        pieces=tuple(piece(each, n) for n in every for each in made.pieces),
        cuts=tuple(cut(each, n) for n in every for each in made.cuts),
        parts=tuple(replace(line, wanted=line.wanted * times, made=line.made * times) for line in made.parts),
    )


def test_every_cut_is_on_a_page_with_its_four_numbers() -> None:
    """Cut number, fence reading (or scribed distance) and end stop stand together in one block;
    plate and speed where they are new.
    """
    whole = " ".join(texts())
    for run in rows.sheet(frame_plan()).runs:
        row, name = run.cuts[0], run.name if len(run.cuts) > 1 else ""
        head = " ".join(f"{label} {figure.text} {behind}".strip() for label, figure, behind in set_figures(row, name))
        assert head in whole, head
        assert {row.fence.text if not row.scribe else row.scribe, row.end_stop.text} <= set(head.split())
        for new, what in ((row.plate, f"plate {row.plate.text}"), (row.speed, f"mm/min {row.speed.text}")):
            assert not new.changed or what in head


def test_every_line_of_a_block_is_on_the_page_of_its_cut() -> None:
    """What to bring, dress, lay, do with both pieces and measure is all on the page that the cut is on:
    of what lies as before, the letters.
    """
    pages = texts()
    for row in (run.cuts[0] for run in rows.sheet(frame_plan()).runs if len(run.cuts) == 1):
        mine = [page for page in pages if re.search(rf"\bcut {row.number} (plate|SET|same|SCRIBE)", page)]
        assert len(mine) == 1
        told = [step.few.partition(" (")[0] for step in row.steps if step.kind not in ("fetch_plate", "fetch")]
        told += [*row.passes, *row.marks, *([row.face.text] if row.face.changed else []), row.piece]
        told += [f"tart {row.lie.start}"] * row.leading.changed
        for fall in filter(None, (row.right, row.left)):
            goes = {"blank": f", {fall.few}.", "part": "):", "scrap": ", scrap bin."}
            stays = fall.whereto == "bed"
            told.append(fall.piece + (" stays" if stays else goes.get(fall.kind, ", ")))
        for each in told:
            assert each in mine[0], each


@pytest.mark.long
def test_no_character_is_lost() -> None:
    """Names in other alphabets come back letter by letter, and no black square stands in for any."""
    for name in ("leg ⌀40 őŁ ≤5", "Träger ½ ß", "ось Ж", "άξονας Ω"):
        data = pdf.setup_sheet(renamed(frame_plan(), "leg ⌀40 őŁ ≤5", name))
        text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
        assert text.count(name) >= 8
        assert "■" not in text
        assert "\ufffd" not in text


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("梁", "[U+6881]"),
        ("a\u200bb", "a[U+200B]b"),
        ("bolt \U0001f529", "bolt [U+1F529]"),
        ("a\nb\tc", "a b c"),
        ("e\u0301", "é"),
        ("<b>&", "<b>&"),
    ],
)
def test_what_the_font_lacks_is_shown_by_its_number(name: str, shown: str) -> None:
    """A character without a glyph, or one that cannot be seen, is printed as [U+hhhh]."""
    assert printable(name) == shown


def test_markup_in_a_name_is_no_markup() -> None:
    """A name with angle brackets is printed as it is."""
    data = pdf.setup_sheet(renamed(frame_plan(), "foot", "<b>foot</b> & <para>"))
    assert "<b>foot</b> & <para>" in "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def test_right_to_left_letters_are_set_as_they_are_read() -> None:
    """In the order of print by UAX #9 in a line from left to right:
    words turned round, numbers as they are, brackets round their words.
    """
    assert as_read("קורה 12") == "12 הרוק"
    assert as_read("קורה 45 עליונה") == "הנוילע 45 הרוק"
    assert as_read("beam (קורה)") == "beam (הרוק)"
    assert as_read("beam קורה (12) end") == "beam (12) הרוק end"
    assert as_read("plain (a) 12") == "plain (a) 12"
    assert printable("קורה 12") == "קורה 12"


def test_long_names_are_short_in_blocks_and_whole_in_the_check_list() -> None:
    """A block shows the start of a long name with an ellipsis; the check list has all of it."""
    made = renamed(frame_plan(), "foot", LONG)
    text = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(made))).pages]
    assert LONG in " ".join(text).partition("Parts: check list")[2]
    row = next(row for row in rows.sheet(made).cuts if row.right is not None and LONG in row.right.name)
    words = by_itself(row)[-1]
    assert "…" in words
    assert LONG not in words


def test_shortened_text_fits_its_width() -> None:
    """Shortened text is never wider than asked, and is whole where it fits."""
    for width in (30.0, 60.0, 120.0):
        short = shortened(LONG, 10, width)
        assert short.endswith("…")
        assert width_of(short, 10) <= width
    assert shortened("bar", 10, 100) == "bar"


def test_pages_are_numbered_and_carry_job_and_plan() -> None:
    """Each page says which it is of how many, the job's name and the short id of the plan."""
    pages = texts()
    tag = rows.plan_id(frame_plan())
    for number, text in enumerate(pages, 1):
        assert f"plan {tag} page {number} of {len(pages)}" in text
        assert "Frame for a press stand" in text


def test_title_language_and_outline_are_set() -> None:
    """The file names itself and its language, and its outline leads to the page of each cut."""
    reader = read()
    assert reader.metadata is not None
    assert reader.metadata.title == "Setup sheet: Frame for a press stand"
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"
    flat: list[Any] = []
    for entry in reader.outline:
        flat += entry if isinstance(entry, list) else [entry]
    places = {entry.title: reader.get_destination_page_number(entry) for entry in flat}
    for run in rows.sheet(frame_plan()).runs:
        many = "s" if len(run.cuts) > 1 else ""
        page = places[f"Cut{many} {run.name}, plate {run.cuts[0].plate.text}"]
        assert page is not None
        assert re.search(rf"\bcut{many} {run.name} (plate|SET|same|SCRIBE)", texts()[page])
    for title in ("Job", "Plate P1: full sheet", "Cuts in the order of work", "Parts: check list", "Cautions"):
        assert title in places


def test_all_fonts_are_embedded() -> None:
    """Every font that a page names has its file inside the PDF."""
    names = set()
    for page in read().pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            each = font.get_object()
            names.add(each["/BaseFont"])
            assert "/FontFile2" in each["/FontDescriptor"].get_object(), each["/BaseFont"]
    assert {name.split("+")[1] for name in names} == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}


def test_fonts_carry_their_licence() -> None:
    """The licence of the fonts lies beside them."""
    folder = Path(pdf.__file__).parents[1] / "fonts"
    assert "Permission is hereby granted" in (folder / "LICENSE.txt").read_text(encoding="utf-8")
    assert sorted(path.name for path in folder.glob("*.ttf")) == [
        "DejaVuSansCondensed-Bold.ttf",
        "DejaVuSansCondensed.ttf",
    ]


@pytest.mark.parametrize(("page", "size"), [("a4", A4), ("letter", letter)])
def test_paper_is_what_was_asked_and_upright(page: str, size: tuple[float, float]) -> None:
    """Every page has the size of the paper that was asked for, higher than wide."""
    for each in read(page).pages:
        assert (float(each.mediabox.width), float(each.mediabox.height)) == pytest.approx(size, abs=0.01)
        assert each.mediabox.height > each.mediabox.width


@pytest.mark.long
def test_same_plan_same_bytes_in_another_process() -> None:
    """Another run of the program, with another hash seed, writes the same bytes."""
    code = (
        "import hashlib; from tests.sheets.rows.test_rows import two_plate_plan; from "
        "stripplan.sheets.pdf.setup_sheet import setup_sheet; "
        "print(hashlib.sha256(setup_sheet(two_plate_plan())).hexdigest())"
    )
    root = Path(__file__).parents[3]
    seen = subprocess.run(
        [sys.executable, "-c", code], env={"PYTHONHASHSEED": "1", "PYTHONPATH": str(root)}, capture_output=True,
        text=True, check=True, cwd=root,
    ).stdout  # fmt: skip
    assert seen.strip() == hashlib.sha256(pdf.setup_sheet(two_plate_plan())).hexdigest()


def test_only_source_date_epoch_moves_the_date(monkeypatch: pytest.MonkeyPatch) -> None:
    """The date inside the file is fixed, and is that of SOURCE_DATE_EPOCH where it is set."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert pdf.setup_sheet(two_plate_plan()) == pdf.setup_sheet(two_plate_plan())
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    reader = pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(two_plate_plan())))
    assert reader.metadata is not None
    assert str(reader.metadata.creation_date).startswith("2023-11-14")


def drawn_sizes() -> dict[str, set[float]]:
    """Heights of capitals [mm] on the pages with cuts, by what is written."""
    found: dict[str, set[float]] = {}

    def visit(text: str, _cm: Any, matrix: Any, _font: Any, size: float) -> None:
        for line in filter(None, map(str.strip, text.splitlines())):
            found.setdefault(line, set()).add(size * abs(matrix[3] or matrix[1]) * CAPITALS / MM)

    for page, text in zip(read().pages, texts(), strict=True):
        if "SET stop" in text or "same stop" in text:
            page.extract_text(visitor_text=visit)
    return found


def test_print_is_high_enough() -> None:
    """The four numbers of a cut are 7 mm high or more, what is read with them 3.5 mm (NUREG-0700 rev.
    3, 11.4.1.5-1).
    """
    assert BIG * CAPITALS / MM >= 7.0
    assert points(3.5) <= RIG + 1e-9
    assert DESK * CAPITALS / MM >= 0.004 * 700 - 1e-6
    sizes = drawn_sizes()
    for run in rows.sheet(frame_plan()).runs:
        assert max(sizes[run.cuts[0].end_stop.text]) >= 7.0
        assert max(sizes[run.name]) >= 7.0
        assert all(max(sizes[str(row.number)]) >= 5.0 - 1e-6 for row in run.cuts)
    for run in rows.sheet(frame_plan()).runs:
        boxes = [RunLine(run, row, None, 500) for row in run.cuts[1:]]
        assert all(words.size >= RIG for box in boxes for words in box.words), run.name


def test_grey_is_dark_enough_to_print() -> None:
    """What stays is grey with a contrast of 4.5 to 1 or more on white (WCAG 2.1, 1.4.3: relative luminance)."""
    from stripplan.sheets.paper.text import GREY

    share = int(GREY[1:3], 16) / 255
    luminance = ((share + 0.055) / 1.055) ** 2.4
    assert 1.05 / (luminance + 0.05) >= 4.5


@pytest.mark.parametrize("form", ["full", "short"])
@pytest.mark.parametrize("page", ["a4", "letter"])
def test_cuts_lie_whole_on_pages_and_over_nothing(page: str, form: pdf.Form) -> None:
    """No box leaves its page or lies on another; every cut is placed once, in the order of work."""
    on, made = frame(page), multiplied(frame_plan(), 3)
    pages = paginate(pdf.sections(made, rows.sheet(made), on.inner, on.room, form), on.room)
    numbers = []
    for each in pages:
        depth = 0.0
        for box, top in each.placed:
            assert top >= depth - 1e-6
            depth = top + box.height
            numbers += [box.row.number] if isinstance(box, LowBlock | CutLine | RunLine) else []
            numbers += [line.row.number for line in box.beside] if isinstance(box, RunHead) else []
        assert depth <= on.room + 1e-6
    assert numbers == [cut.number for cut in made.cuts]


def test_a_heading_is_never_left_alone() -> None:
    """A heading stands with its first box, and again on each further page of its section."""
    head, box = Words("Heading", 300, 20), Words("box", 300, 20)
    room = 10 * box.height
    first = Section("one", [], [box] * 9)
    second = Section("two", [head], [box] * 12, fresh=False)
    pages = paginate([first, second], room)
    assert [sum(each is head for each, _ in page.placed) for page in pages] == [0, 1, 1]
    assert [len(page.placed) for page in pages] == [9, 10, 4]


def test_no_table_goes_on_without_its_heads_or_ends_without_a_row() -> None:
    """Wherever a page ends: over parts stand the heads of parts, over lines those of lines, the total and the notes
    below the last row; what is said of all sizes stands over the first part.
    """
    line, part = ("plate", "1", "2", "3", "4"), ("foot", "4", "2.52", "10.08")
    quoted = Quoted((line,) * 4, (part,) * 4, "9 EUR", ("a note",))
    sections, width = quoted_sections(quoted, 500.0), 500.0
    heads = [section.heading[-1] for section in sections]
    checked = replace(rows.sheet(two_plate_plan()), of_all_sizes=("of all sizes",))
    list_of_parts = parts_section(checked, width)
    for fill in range(40):
        filled = Section("before", [], [Words("x", width, DESK)] * fill)
        for page in paginate([filled, *sections], 500.0)[1:]:
            of = {id(box): head for section, head in zip(sections, heads, strict=True) for box in section.boxes}
            over = next((box for box, _ in page.placed if box in heads), None)
            first = next(box for box, _ in page.placed if id(box) in of)
            assert over is of[id(first)]
        last = paginate([filled, list_of_parts], 500.0)
        pages = [[box for box, _ in page.placed] for page in last]
        assert all(
            any(box in page for box in list_of_parts.boxes) for page in pages if list_of_parts.heading[0] in page
        )
    assert isinstance(list_of_parts.boxes[0], Together)
    assert len(list_of_parts.boxes[0].boxes) == 2
    assert [len(section.boxes) for section in sections] == [4, 4]


def test_a_box_too_high_for_any_page_is_refused() -> None:
    """A block that fits no page raises an error that names it, instead of running off the paper."""
    with pytest.raises(ValueError, match="cuts: a block"):
        paginate([Section("cuts", [], [Words("x", 300, 20)])], 10.0)


@pytest.mark.parametrize("page", ["a4", "letter"])
def test_wide_figures_take_a_second_row(page: str) -> None:
    """Two end stops in 64ths beside a long reading still fit the block, none beyond its right edge."""
    row = rows.sheet(two_plate_plan()).cuts[0]
    wide = replace(
        row, end_stop=replace(row.end_stop, text='12 63/64" / 13 63/64"'), fence=replace(row.fence, text='47 63/64"')
    )
    block = LowBlock(wide, frame(page).inner, ("words",))
    assert len(block.band.figures) > 1
    assert block.height > LowBlock(row, frame(page).inner, ("words",)).height
    for line in block.band.figures:
        assert sum(each for _, each in line) - APART <= block.band.room


@pytest.mark.long
@pytest.mark.parametrize("form", few(1, ("full", "short")))
def test_many_steps_are_quick_and_complete(form: pdf.Form) -> None:
    """A job of 60 cuts on many plates makes its sheet, every cut once, with no more work a cut than one of 15."""
    made = multiplied(frame_plan(), -(-60 // len(frame_plan().cuts)))
    assert len(made.cuts) >= 60
    fewer, written = multiplied(frame_plan(), -(-15 // len(frame_plan().cuts))), list[bytes]()
    work = calls(lambda: written.append(pdf.setup_sheet(made, form=form)))
    assert work < 5 * calls(lambda: pdf.setup_sheet(fewer, form=form))
    reader = pypdf.PdfReader(io.BytesIO(written[0]))
    titles = [entry.title for part in reader.outline if isinstance(part, list) for entry in part]
    runs = rows.sheet(made).runs
    if form == "short":
        assert titles == [f"Cut {cut.number}, plate {cut.plate}" for cut in made.cuts]
    else:
        assert titles == [
            f"Cut{'s' if len(run.cuts) > 1 else ''} {run.name}, plate {run.cuts[0].plate.text}" for run in runs
        ]


def test_short_rows_say_what_the_blocks_say() -> None:
    """In rows too each cut has its figures, what to do before it, how it lies, what falls and what to measure."""
    for made in (frame_plan(), two_plate_plan()):
        reader = pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(made, form="short")))
        whole = " ".join(" ".join(page.extract_text().replace("\xa0", " ") for page in reader.pages).split())
        further = {row.number for run in rows.sheet(made).runs for row in run.cuts[1:]}
        for row in rows.sheet(made).cuts:
            reading = row.scribe or row.fence.text
            mine = re.search(
                rf"cut {row.number} (SET|same|SCRIBE) \w+ {re.escape(reading)} .*?(?= cut \d+ (SET|same|SCRIBE)|$)",
                whole,
            )
            assert mine is not None, row.number
            if row.number in further:
                continue
            told = [
                *[step.few for step in row.steps],
                *[row.passes_in_few] * bool(row.passes),
                *row.marks,
                *[row.face.text] * row.face.changed,
                row.leading.text,
                row.end_stop.text,
                row.mass,
                *[f"REST {row.rest} before the arc."] * bool(row.rest),
            ]
            told += [fall.piece for fall in (row.left, row.right) if fall is not None]
            told += [f"go {row.measure.low} to {row.measure.high}"] if row.measure else []
            for each in told:
                assert each in mine[0], (row.number, each)


class Places:
    """A canvas that takes down where each text is put."""

    def __init__(self) -> None:
        self.texts: dict[str, tuple[float, float]] = {}
        self._at = (0.0, 0.0)

    def translate(self, x: float, y: float) -> None:
        """Move the origin."""
        self._at = (x, y)

    def drawCentredString(self, x: float, y: float, text: str) -> None:  # noqa: N802
        """Take down a text."""
        self.texts.setdefault(text, self._at)

    def stringWidth(self, text: str, name: str, size: float) -> float:  # noqa: N802
        """Some width."""
        return 10.0

    def __getattr__(self, name: str) -> Any:
        return lambda *args, **more: self


def test_drawing_is_turned_upright_where_that_makes_it_larger() -> None:
    """A long plate stands upright where the page is high, edge A on the right as on the rig, at the larger scale."""
    wide = plate_picture(frame_plan(), "P1")
    turned = PlateDrawing(wide, 500, 700)
    x0, y0, x1, y1 = wide.box
    assert x1 - x0 > y1 - y0
    assert turned.turned
    assert turned.scale == pytest.approx(min(500 / (y1 - y0), 700 / (x1 - x0)))
    assert not PlateDrawing(wide, 500, 250).turned
    canvas = Places()
    turned.draw(canvas, 0, 700)
    assert canvas.texts["A"][0] > canvas.texts["C"][0]
    assert canvas.texts["B"][1] > canvas.texts["D"][1]


def test_lines_of_a_label_keep_their_order_when_turned() -> None:
    """A label in two lines reads from top to bottom, or from left to right, in a turned drawing too."""
    upright = [
        Text("TEXT", (50 + below, 40), words, 3, upright=True, below=below)
        for below, words in ((-3, "one"), (3, "two"))
    ]
    level = [Text("TEXT", (150, 40 - below), words, 3, below=below) for below, words in ((-3, "three"), (3, "four"))]
    drawing = PlateDrawing(Picture("", (0, 0, 200, 80), (), (), (*upright, *level), (), ()), 80, 200)
    canvas = Places()
    assert drawing.turned
    drawing.draw(canvas, 0, 200)
    assert canvas.texts["one"][1] > canvas.texts["two"][1]  # level now: from the top down
    assert canvas.texts["three"][0] < canvas.texts["four"][0]  # read from the right now


def test_several_plates_are_drawn_before_the_cuts() -> None:
    """With two plates both are drawn, and each block carries the plate of its cut."""
    made = two_plate_plan()
    data = pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(made)))
    whole = " ".join(" ".join(page.extract_text() for page in data.pages).split())
    assert (
        whole.index("Plate P1: shelf 3") < whole.index("Plate P2: shelf 3") < whole.index("Cuts in the order of work")
    )
    for run in rows.sheet(made).runs:
        assert (
            f"{run.name} plate {run.cuts[0].plate.text}" in whole
            or f"{run.name} same plate" in whole
            or len(run.cuts) > 1
        )


def test_check_list_has_a_box_for_each_part_and_offcut() -> None:
    """Each piece that is a part, and each offcut, stands behind a box to tick."""
    whole = " ".join(texts())
    for piece in frame_plan().pieces:
        if piece.kind in ("part", "offcut"):
            assert f"☐ {piece.id}" in whole


def test_first_page_says_what_to_take_and_what_to_doubt() -> None:
    """The first page has the stock, time, proof, what was assumed and every warning."""
    first, sheet = texts()[0], rows.sheet(frame_plan())
    for each in (sheet.stock[0].stock, "147 kg", dict(sheet.totals)["time at the rig"], *sheet.proof, *sheet.warnings):
        assert each in first
    assert "ASSUMED: CHECK" in first
    assert "NOT MEASURED: CHECK" in first


@pytest.mark.parametrize(
    "words",
    [
        "shade 8", "29 CFR 1910.133(a)(5)", "35 ft", "60 minutes", "NFPA 51B-2019", "chlorinated solvents", "Zinc",
        "Unplug", "Open-circuit", "hearing protection", "25 kg", "container", "sharp", "hot", "Local law", "manual",
    ],
)  # fmt: skip
def test_cautions_come_before_the_first_cut(words: str) -> None:
    """The page before the drawings warns of each danger, with its source,
    and defers to local rules and the maker's manual.
    """
    page = next(number for number, text in enumerate(texts()) if "Cautions" in text)
    assert words.lower() in texts()[page].lower()
    assert not any("SET fence" in text for text in texts()[: page + 1])


def test_fire_watch_is_signed_at_the_end() -> None:
    """After the check list there is a place for when the last cut was made, and until when the place is watched."""
    assert re.search(
        r"Last cut at _+ watch for fire until _+ \(60 minutes later\) signed _+$",
        texts()[-1].partition("Bold:")[0].strip(),
    )


def test_sheet_of_a_plan_without_cuts_can_be_made() -> None:
    """A plan whose plates need no cut still gives a sheet with its stock and check list."""
    made = frame_plan()
    root = replace(made.pieces[0], kind="part", part="foot")
    data = pdf.setup_sheet(replace(made, cuts=(), pieces=(root,)))
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    assert "no cut: it is foot" in " ".join(text.split())


@pytest.mark.parametrize("letter", ["梁", "\U0001f529"])
def test_long_names_that_the_font_lacks_fit_their_page(letter: str) -> None:
    """Once, 150 such letters made a block that fits no page;
    after a dozen numbers each further letter is a question mark.
    """
    name = letter * 200
    made = renamed(frame_plan(), "foot", name)
    made = replace(made, job=replace(made.job, name=name), plates=(replace(made.plates[0], stock=name),))
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.setup_sheet(made))).pages)
    assert f"[U+{ord(letter):04X}]" in text
    assert "?????" in text
