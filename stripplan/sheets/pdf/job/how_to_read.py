"""How to work by the sheet, by its form, and what the signs of a plate's drawing mean."""

from __future__ import annotations

from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
from stripplan.sheets.paper.text import NEAR, markup
from stripplan.sheets.pdf.job.boxes import heading_of
from stripplan.sheets.rows.row_types import Sheet

CHALK = (
    "Before the first cut of a plate: lay it on the bench as it is drawn. On the face that is up (the TOP face) chalk "
    "its name, and along its edges the letters A, B, C, D as on the drawing. A letter stays with its edge, also on a "
    "piece "
    "cut from it. Chalk it: name and letters go on each piece that you put aside, and on a face that comes up new "
    "(the UNDER face)."
)
STAND = (
    "The carriage runs {up}. The fence is on the right. Left and right are meant as you look along the travel. Turns "
    "are "
    "made flat on the bed. TWO PEOPLE: or a hoist. HOIST: too heavy for two."
)
WORDS = (
    "Edge (cut 3): made by cut 3. Clear: take away what was cut off and is not cut next. Fetch it (from cut 3): it "
    "was put aside then. ↺: anticlockwise, "
    "↻: clockwise. Scrape: clean the dross off that edge, as it goes on the fence or to the start line. Push up: "
    "slide the piece up to the fence, that "
    "edge flat against it. Dry run: torch trigger unplugged, run the carriage to the end stop and home; both must be "
    "proved before the arc. HOLD: little of the piece lies on the fence and it would swing; its long edge on the start "
    "line shows that it lies square, a clamp clear of the torch keeps it there.",
    "Torch: fit and set what its block says, before the cuts below it. No scale for the speed: set it so that the "
    "carriage takes the seconds told "
    "over the distance told.",
    "Measure across the cut, dross off, when cool. Outside the band: stop, check the fence, measure the kerf, plan "
    "again. Tick the box when the cut "
    "is done and all pieces are where they belong.",
)
BY_PICTURES = (
    CHALK,
    "Stand at home, at the bottom of the small pictures. " + STAND.format(up="up the page, away from you"),
    "Set what says SET. What is bold is new or must be done; what is grey stays as it was for the cut before, and so "
    "does what is not said: plate, speed, "
    "face, edges, length of the cut. A block for several cuts is a run: set once, then work its rows from top to "
    "bottom. What stands before a colon is "
    "the piece; then what to do before the cut; then what falls, and what it measures.",
    "Fence A, start D: edge A goes flat against the fence, edge D on the start line. They are the black letters in "
    "the picture, also where the words do "
    "not name them. In a run they hold for every row, until a row says otherwise. A part is tinted, an offcut "
    "hatched, scrap crossed. A piece is to scale unless a "
    "break line crosses it; a name that finds no room stands beside it. Black lozenge: chalk that end of the piece.",
    *WORDS,
)  # fmt: skip
BY_ROWS = (
    CHALK,
    "Stand at home. " + STAND.format(up="away from you"),
    "Work each row from top to bottom, and set what says SET: fence, end stop (SET stop), speed. What is bold is new "
    "or must "
    "be done; what is grey stays as it was for the cut before. Where nothing is to be set a row tells only what is "
    "new: the rest is as for the row above.",
    "The edge named after fence goes flat against the fence, the one after start on the start line. TWO PASSES: cut "
    "in to the stop, let it cool, scrape the dross, turn the piece over end for end, letter the new face, cut back to "
    "meet the first pass.",
    *WORDS,
)


ASLANT = (
    "Cuts at an angle. Edges that slant have letters from Z backwards; they stay with their edge like A to D. Mitre "
    "bar: set it to the angle told, from the direction of travel anticlockwise to its face; square across is 90. In "
    "brackets stands how far that end is ahead, over how much across the travel. Its face goes through the point where "
    "the torch line crosses the start line, and its stop stands so far from that point as is told, along the bar. Lay "
    "the edge told flat against the bar, its corner at the stop. Bar and stop hold until a cut says SET; take the bar "
    "off where a cut is made by the fence or by marks. Before the arc run the "
    "torch over the line with the arc off, and see where it leaves the metal. Pieces with sharp points are hot and "
    "cut: tongs."
)
"""Where a plan has cuts at an angle, or pieces that are no rectangles."""


def reading_section(width: float, *, short: bool, aslant: bool, size: float = NEAR) -> Section:
    """How to read the sheet, by its form, and of cuts `aslant` where there are any."""
    texts: tuple[str, ...] = BY_ROWS if short else BY_PICTURES
    if aslant:
        texts = (*texts[: -len(WORDS)], ASLANT, *WORDS)
    boxes = [Words(markup(f"{number}. {text}"), width, size) for number, text in enumerate(texts, 1)]
    title = "How to work by this sheet"
    return Section(title, [heading_of(title, width)], boxes, fresh=False, again=[])


def plate_legend(sheet: Sheet, width: float, *, size: float = NEAR) -> Words:
    """What the signs of a plate's drawing mean."""
    words = (
        "Number: cut, in the order of work. Arrowhead: the way the torch goes; what lies on the right of it lies on "
        "the "
        f"fence. Edge that comes out square: {sheet.square_side}. A letter with a figure: so far runs that torch line "
        "from that edge of the plate; it is no fence reading. Tinted: part. Hatched: offcut. Crossed: scrap."
    )
    return Words(markup(words), width, size, above=HEADING_GAP / 2)
