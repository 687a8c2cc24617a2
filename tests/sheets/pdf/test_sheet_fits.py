"""The sheet fits the job: one page for few cuts, an overview for many, a range of them, cautions printed once."""

from __future__ import annotations

import io
import re
from functools import cache
from typing import Any

import pypdf
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from stripplan.model.job import Job
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.sheets.paper.flow import frame, paginate
from stripplan.sheets.paper.paragraph import Paragraph
from stripplan.sheets.paper.text import points
from stripplan.sheets.pdf import setup_sheet as pdf
from stripplan.sheets.pdf.work.cautions import CAUTIONS
from stripplan.sheets.pdf.work.cut_table import CutLine
from stripplan.sheets.pdf.work.run_block import RunHead, RunLine
from stripplan.sheets.pdf.work.set_up_band import CLEAR, PICTURE
from stripplan.sheets.pdf.work.set_up_block import PAD
from stripplan.sheets.rows.plan_rows import sheet, sheet_of_cuts
from tests.checking import few
from tests.planned import planned
from tests.sheets.pdf.test_sheet_walk import everything, kept
from tests.sheets.pdf.walk.paper import read
from tests.sheets.rows.test_rows import frame_plan, two_plate_plan

STEEL = Process(name="thin", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=45)
LEADS = "Before the first arc read the cautions"


def pages(data: bytes) -> list[str]:
    """Text of each page, spaces and line ends made one."""
    return [
        " ".join(each.extract_text().replace("\xa0", " ").split()) for each in pypdf.PdfReader(io.BytesIO(data)).pages
    ]


@cache
def small(*widths: float, length: float | None = None) -> Plan:
    """One part of each width from one plate, each another setting."""
    sheet_ = Plate(name="half sheet", length=1000, width=640, thickness=6, material="mild steel", measured=True)

    def part(width: float) -> Part:
        name = f"part {width:g}"
        return Strip(name=name, width=width) if length is None else Rectangle(name=name, width=width, length=length)

    return planned(Job(name="few", plates=(sheet_,), parts=tuple(map(part, widths))), Rig(processes=(STEEL,)))


@pytest.mark.long
@pytest.mark.parametrize("page", few(1, ("a4", "letter")))
@pytest.mark.parametrize("form", ["full", "short"])
@pytest.mark.parametrize(
    "made",
    [
        lambda: small(50),
        lambda: small(60, 110, 170, 80),
        lambda: small(46, 80, 150, 210, 33),
        lambda: small(90, length=560),
    ],
)
def test_few_cuts_are_one_page(made: Any, form: pdf.Form, page: Any) -> None:
    """One to five cuts with their plate, parts to tick and fire watch stand on the first page, cautions on the second;
    without it where they hang at the rig."""
    plan = made()
    assert 1 <= len(plan.cuts) <= 5
    with_, once = (pages(pdf.setup_sheet(plan, form=form, page=page, cautions=each)) for each in ("with", "once"))
    assert (len(with_), len(once)) == (2, 1)
    assert all(each in with_[1] for each in ("Cautions", "How to work by this sheet"))
    assert all("Totals: time at the rig" in text for text in ("".join(with_), once[0]))
    for text in (with_[0], once[0]):
        assert LEADS in text
        assert re.search(r"Last cut at _+", text)
        assert all(f"☐ {piece.id}" in text for piece in plan.pieces if piece.kind in ("part", "offcut"))
        assert all(re.search(rf"\b{row.number} .*{re.escape(row.end_stop.text)}", text) for row in sheet(plan).cuts)


def test_six_cuts_are_not_squeezed_into_one_page() -> None:
    """A job of more cuts has its own pages for plate, cuts and lists."""
    made = small(30, 40, 50, 60, 70, 80)
    assert len(made.cuts) == 6
    text = pages(pdf.setup_sheet(made, cautions="once"))
    assert len(text) > 1
    assert any("Overview" in each for each in text)


def test_overview_tells_when_each_plate_begins() -> None:
    """Minutes of all cuts before it, to five minutes, with the cut that it begins with; all settings in order."""
    made = two_plate_plan()
    first = next(cut for cut in made.cuts if cut.plate == made.plates[1].id)
    passed = sum(cut.minutes.total for cut in made.cuts[: first.number - 1])
    near = 5 * round(passed / 5) if passed >= 15 else round(passed)
    text = next(each for each in pages(pdf.setup_sheet(made)) if "Overview" in each)
    hours = f"{near // 60} h " * (near >= 60) + f"{near % 60} min"
    assert f"begins with cut {first.number} at about {hours}" in text
    assert f"begins with cut {made.cuts[0].number}," in text
    for run in sheet(made).runs:
        where = run.cuts[0].fence.text if not run.cuts[0].scribe else f"scribe {run.cuts[0].scribe}"
        assert f"{run.name}: {where}, {run.cuts[0].end_stop.text}" in text


def test_a_range_of_cuts_sets_everything_at_its_first() -> None:
    """From a cut amid a run on: torch, plate, speed, fence and stop are set, the end stop proved; no cut before it is
    there, every one after it is."""
    made = frame_plan()
    run = next(each for each in sheet(made).runs if len(each.cuts) > 2)
    first, last = run.cuts[1].number, len(made.cuts)
    rows = sheet_of_cuts(made, first, last)
    begin = rows.cuts[0]
    assert [row.number for row in rows.cuts] == list(range(first, last + 1))
    assert begin.torch is not None
    assert begin.dry_run
    assert all(
        each.changed for each in (begin.plate, begin.face, begin.fence, begin.end_stop, begin.speed, begin.length)
    )
    whole = " ".join(pages(pdf.setup_sheet(made, cuts=(first, last))))
    numbers = {int(each) for each in re.findall(r"\bcuts? (\d+)(?=[– ]\d* ?(?:plate|SET|same|SCRIBE))", whole)}
    assert f"Cuts {first} to {last} of {last}." in whole
    assert f"cuts {first}–{run.cuts[-1].number} plate {begin.plate.text} SET fence {begin.fence.text}" in whole
    assert min(numbers) == first
    with pytest.raises(ValueError, match=f"cuts 1 to {last}"):
        pdf.setup_sheet(made, cuts=(last, last + 1))


@pytest.mark.long
def test_short_form_fits_twelve_cuts_a_page() -> None:
    """Over a job of hundreds of cuts, of all kinds, there are twelve or more on a page of nothing else."""
    on, made = frame("a4"), kept("workshop")
    dealt = paginate(pdf.sections(made, sheet(made), on.inner, on.room, "short"), on.room)
    counts = [sum(isinstance(box, CutLine) for box, _ in page.placed) for page in dealt]
    full = [count for count in counts if count][1:-1]
    assert sum(counts) == len(made.cuts) > 200
    assert sum(full) / len(full) >= 12


@pytest.mark.long
@pytest.mark.parametrize("form", few(1, ("short", "full")))
def test_every_rest_is_called_one(form: pdf.Form) -> None:
    """The word REST stands before each time that the power source rests, in either form."""
    rests = [row.rest for row in sheet(everything()).cuts if row.rest]
    whole = " ".join(pages(pdf.setup_sheet(everything(), form=form)))
    assert rests
    assert re.findall(r"REST ([^.]+?) before the arc", whole) == rests


def test_poster_has_all_cautions_and_how_to_work() -> None:
    """What a sheet leaves out where cautions are printed once stands on two pages of their own."""
    read, how = pages(pdf.poster(frame_plan()))
    assert all(f"{what}." in read for what, _ in CAUTIONS)
    assert "How to work by this sheet" in how
    text = " ".join(pages(pdf.setup_sheet(frame_plan(), cautions="once")))
    assert LEADS in text
    assert "Closed containers." not in text
    assert "How to work by this sheet" not in text


@pytest.mark.long
def test_crowded_regions_are_drawn_larger() -> None:
    """Every part of a plate of small pieces bears its name or its number, and each size stands on it once at least, in
    letters that can be read: in the drawing of the plate or in a detail, which is framed there."""
    made = kept("bench")
    page = next(each for each in read(pdf.setup_sheet(made)) if any("Detail E" in item.text for item in each.items))
    said = [item for item in page.items if item.centred]
    least = points(0.8 * 1.6)
    for part in made.job.parts:
        (name, lines) = part.name, [item for item in said if set(item.text.split()) & set(part.name.split())]
        words = [" ".join(item.text.split()) for item in lines if item.size >= least]
        count = sum(name.split()[-1] in each.split() for each in words)
        own = {piece.id for piece in made.pieces if piece.part == name}
        assert count + sum(item.text.strip() in own for item in said if item.size >= least) == len(own), name
        assert count, name
        assert min(item.size for item in lines) >= least, name
    text = " ".join(" ".join(item.text.split()) for item in said if item.size >= least)
    for size in ("900 x 100", "560 x 60", "120 x 120", "80 x 80"):
        assert size in text
    assert "E" in {item.text.strip() for item in said}
    told = " ".join(" ".join(pages(pdf.setup_sheet(kept(name)))) for name in ("bench", "stand"))
    assert min(float(each) for each in re.findall(r"Detail [E-Z], ([0-9.]+) × as large", told)) >= 2.0


def test_words_of_a_block_touch_neither_its_frame_nor_its_picture() -> None:
    """A line may run on by a hair before a word turns to the next: still a point of white is left beside it."""
    width = frame("a4").width
    ends, beside = [0.0], [0.0]
    for name in ("stand", "workshop"):
        for run in sheet(kept(name)).runs:
            head = RunHead(run, width)
            beside += [PAD + each for words in head.band.words for each in _ends(words)]
            for before, row in zip((None, *run.cuts), run.cuts, strict=False):
                line = RunLine(run, row, before, width)
                ends += [line.begins + each for words in line.words for each in _ends(words)]
    assert width - 20 < max(ends) < width - 1.0
    assert width - PICTURE - 20 < max(beside) < width - PICTURE - PAD / 2 + CLEAR - 3


def _ends(words: Paragraph) -> list[float]:
    """How far right of where they begin the lines of a paragraph end [pt]."""
    (count, right) = words.beside
    wide = [sum(stringWidth(text, look.font, look.size) for text, look in line) for line in words.lines]
    return [each + (right if number < count else 0.0) for number, each in enumerate(wide)]
