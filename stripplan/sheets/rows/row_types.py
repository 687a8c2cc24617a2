"""The rows themselves: frozen, plain strings in the job's units, no formulas."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stripplan.sheets.rows.aslant import LieShape

StepKind = Literal["clear", "fetch_plate", "fetch", "turn_over", "turn", "scrape", "push", "press"]
"""What is done with pieces before a cut; in this order."""
HOIST = "HOIST"
"""What lifts a piece that is beyond people."""
AT_THE_FENCE: tuple[StepKind, ...] = ("push", "press")
"""What is done last, with clean edges."""
Whereto = Literal["done", "rack", "bin", "bed", "aside"]
"""What becomes of a piece that falls: on the `bed` it stays for the next cut, `aside` it is put until a later one."""


@dataclass(frozen=True)
class Field:
    """A figure or word to act on, and whether it differs from the cut before."""

    text: str
    changed: bool = True


@dataclass(frozen=True)
class Fall:
    """A piece that a cut makes: its id, kind, part's name with its count ("leg, 3 of 8"), size, what to do with it;
    that again in `few` words, without what goes for every such piece."""

    piece: str
    kind: str
    name: str
    size: str
    doing: str
    whereto: Whereto
    few: str


@dataclass(frozen=True)
class Step:
    """What to do with a piece before a cut: in full, in `few` words, and in `fewest` beside a row that says already
    which piece it is and where its edges come from."""

    kind: StepKind
    full: str
    few: str
    fewest: str


@dataclass(frozen=True)
class Measure:
    """What to measure after a cut: piece, width to expect, and the band that is good (go from low to high). `of` names
    what else than the width is measured, `further` other lengths of the same piece."""

    piece: str
    expected: str
    low: str
    high: str
    of: str = ""
    further: tuple[Measure, ...] = ()


@dataclass(frozen=True)
class Lie:
    """How a piece lies for a cut, seen from above with the carriage running up the page.

    `right`, `start`, `left`, `end` are the letters of its edges there; `on_fence`, `beside` and `along` its
    sizes right and left of the torch line and along it [mm]. `shape` is there where it is no rectangle, or is cut
    aslant: then `start` is the edge that the torch enters by, and `right` and `left` may have no letter.
    """

    right: str
    start: str
    left: str
    end: str
    on_fence: float
    beside: float
    along: float
    shape: LieShape | None = None


@dataclass(frozen=True)
class Torch:
    """How the torch is set up: for which process, whether that is a change, and each figure with its name ("not given"
    where nobody gave it)."""

    process: str
    change: bool
    facts: tuple[tuple[str, str], ...]

    @property
    def title(self) -> str:
        """What to do, in a few words."""
        return f"CHANGE TO {self.process}" if self.change else f"TORCH FOR {self.process}"


@dataclass(frozen=True)
class CutRow:
    """One cut, ready to be set. `dial` says that `speed` is a mark on the dial. Empty text: not needed.

    `steps` are in the order of doing. `torch` is what is set up before this cut,
    `dry_run` what is proved with the arc off, `hold` how a piece is held that has little of an edge on the fence,
    `timed` how long the carriage takes over a marked distance. `measure` is
    the piece that matters most, `also` another whose size matters. A marked cut has no fence reading: `scribe` is the
    distance of the torch line from edge `scribe_from`. A cut on the mitre bar has its `angle` and `bar_stop`, on the
    `bar_side` of the travel; `aids` say how a piece is laid that no fence alone lays right.
    """

    number: int
    plate: Field
    piece: str
    size: str
    mass: str
    lifting: str
    rest: str
    steps: tuple[Step, ...]
    face: Field
    on_fence: Field
    leading: Field
    located: str
    scribe: str
    scribe_from: str
    marks: tuple[str, ...]
    fence: Field
    end_stop: Field
    dial: bool
    speed: Field
    travel_speed: str
    length: Field
    passes: tuple[str, ...]
    right: Fall | None
    left: Fall | None
    measure: Measure | None
    lie: Lie
    also: Measure | None = None
    torch: Torch | None = None
    dry_run: str = ""
    timed: str = ""
    passes_in_few: str = ""
    hold: str = ""
    angle: Field | None = None
    bar_stop: Field | None = None
    bar_side: str = ""
    aids: tuple[str, ...] = ()

    @property
    def bring(self) -> tuple[str, ...]:
        """What is done with the piece before its edges are scraped, in full."""
        return tuple(step.full for step in self.steps if step.kind not in (*AT_THE_FENCE, "scrape"))

    @property
    def at_the_fence(self) -> tuple[str, ...]:
        """What brings the piece to the fence, the bar or under the torch once its edges are scraped, in full."""
        return tuple(step.full for step in self.steps if step.kind in AT_THE_FENCE)

    @property
    def dress(self) -> tuple[str, ...]:
        """Edges to scrape and why, in full."""
        return tuple(step.full for step in self.steps if step.kind == "scrape")

    @property
    def doing(self) -> tuple[str, ...]:
        """All that is done with the piece, in the order of doing it: a line for what goes together."""
        told = (" ".join(self.bring), *(f"Scrape: {each}" for each in self.dress), " ".join(self.at_the_fence))
        return tuple(filter(None, told))

    def does(self, *kinds: StepKind) -> bool:
        """Whether one of these is to be done before the cut."""
        return any(step.kind in kinds for step in self.steps)


@dataclass(frozen=True)
class RunRow:
    """Cuts made with one setting, one after the other; `parts` says what falls ("infill × 8"), `size` how large where
    all of it is alike."""

    cuts: tuple[CutRow, ...]
    parts: str
    size: str = ""

    @property
    def name(self) -> str:
        """The numbers of its cuts: "3" or "3–9"."""
        first, last = self.cuts[0].number, self.cuts[-1].number
        return str(first) if first == last else f"{first}–{last}"


@dataclass(frozen=True)
class EdgeSection:
    """The section across an edge as the piece lies for a bevel, the bevelled edge on the right [mm, deg]: how deep the
    bevel goes and at what angle, what is beside it from the other face, where the torch's axis meets the upper face.
    """

    thickness: float
    depth: float
    angle: float
    root_face: float
    other_depth: float
    other_angle: float
    axis_inward: float
    kerf: float


@dataclass(frozen=True)
class LieBevel:
    """How a part lies for a bevel, seen from above with the carriage running up the page: right of the torch's axis and
    ahead of where it comes to metal [mm].

    `outline` is the part, `letters` those of its edges from each corner to the next, `edge` that of the bevelled one,
    `right` that of the one on the fence (empty: a line is followed), `start` that by which the torch enters; `inward`
    how far the axis is in from the bevelled edge, `set_back` the face, `length` that of the metal along the travel.
    `corner` is the first one on the fence, or of the bevelled edge, where it is not on the start line.
    """

    outline: tuple[tuple[float, float], ...]
    letters: tuple[str, ...]
    edge: str
    right: str
    start: str
    face_up: bool
    inward: float
    set_back: float
    length: float
    corner: tuple[float, float] | None = None


@dataclass(frozen=True)
class BevelRow:
    """One bevel: its number, piece, part's name with its count, letters of the bevelled edge, of the one on the fence
    (empty: a line is followed) and of the one at the start line; `steps` before it, in the order of doing; `measure` of
    the root face, from low to high. `lie` is how the part lies; `lies_as` the first bevel with the same setting for
    which one lies alike, 0: it is that itself."""

    number: int
    plate: str
    piece: str
    name: str
    mass: str
    lifting: str
    edge: str
    on_fence: str
    leading: str
    face: Field
    steps: tuple[str, ...]
    corner: str
    rest: str
    measure: str
    lie: LieBevel
    lies_as: int = 0


@dataclass(frozen=True)
class BevelGroup:
    """Bevels that are cut with one setting, one after the other, and the figures of all of them.

    `scribe` is where the line is on the upper face, in from the bevelled edge; the fence has no reading then. `facts`
    are named figures of the seam: bevel angle, root face, depth, what stays of the face, the included angle.
    """

    rows: tuple[BevelRow, ...]
    tilt: Field
    fence: Field
    scribe: str
    end_stop: Field
    dial: bool
    speed: Field
    travel_speed: str
    timed: str
    estimated: bool
    dry_run: str
    torch: Torch | None
    facts: tuple[tuple[str, str], ...]
    section: EdgeSection

    @property
    def name(self) -> str:
        """The numbers of its bevels."""
        first, last = self.rows[0].number, self.rows[-1].number
        return str(first) if first == last else f"{first}–{last}"

    @property
    def told(self) -> str:
        """What is set, in words."""
        where = f"scribe {self.scribe} from the edge" if self.scribe else f"fence {self.fence.text}"
        speed = f"dial {self.speed.text}" if self.dial else f"speed {self.travel_speed}"
        return f"tilt {self.tilt.text}, {where}, end stop {self.end_stop.text}, {speed}"


@dataclass(frozen=True)
class HandRow:
    """Bevels of a part that are left for the hand: which, how many edges, and their figures."""

    part: str
    edges: str
    count: int
    figures: str
    pieces: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class StockRow:
    """A plate to take off the rack: id on the sheet, name in the stock, what it is, what to know of it."""

    plate: str
    stock: str
    size: str
    material: str
    mass: str
    lifting: str
    note: str


@dataclass(frozen=True)
class PlateMark:
    """With which cuts work on a plate begins, goes on after cuts of other plates, and ends; each with the time counted
    from the first cut of all ("1 h 20 min"; empty = with it)."""

    plate: str
    stock: str
    size: str
    begins: tuple[int, str]
    again: tuple[int, str] | None
    ends: tuple[int, str]

    @property
    def told(self) -> str:
        """The mark in words."""
        words = [_mark("begins", self.begins)]
        words += [_mark("goes on", self.again)] if self.again is not None else []
        return ", ".join([*words, _mark("is done", self.ends)])


def _mark(what: str, at: tuple[int, str]) -> str:
    return f"{what} with cut {at[0]}" + (f" at about {at[1]}" if at[1] else "")


@dataclass(frozen=True)
class PartRow:
    """A part: how many are wanted and made, finished size, sizes to expect, how far they may be off, and what more
    there is to say of how true and straight it will be; `notes` are of the list that it comes from."""

    name: str
    wanted: int
    made: int
    size: str
    as_cut: str
    expected: tuple[str, ...]
    tolerance: str
    pieces: tuple[str, ...]
    filler: bool = False
    trueness: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class OffcutRow:
    """What is left and worth keeping."""

    piece: str
    size: str
    material: str
    mass: str


@dataclass(frozen=True)
class Setting:
    """A setting that the plan rests on; `doubt` says why it should be checked ("assumed", "not measured")."""

    name: str
    value: str
    doubt: str = ""


@dataclass(frozen=True)
class Quoted:
    """What the job costs: cells of each line (what, quantity, price, amount, where from), of each part (name, made,
    each, in all), and what is left out."""

    lines: tuple[tuple[str, str, str, str, str], ...]
    parts: tuple[tuple[str, str, str, str], ...]
    total: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class JobRow:
    """One job: the day that it is due, after which cut it is done and when that is, its parts with their counts, its
    plates, its share of time and plate, and what it is quoted; "" for what is not known.
    """

    name: str
    due: str
    done: str
    late: bool
    parts: str
    plates: str
    time: str
    plate: str
    quoted: str


@dataclass(frozen=True)
class JobQuoted:
    """What stands on the quotation of one job: cells of each part (name, size, thickness and material, made, each, in
    all), of each line (what, quantity, price, amount, of all jobs), the total, and what is to be said to it.
    """

    row: JobRow
    parts: tuple[tuple[str, str, str, str, str, str], ...]
    lines: tuple[tuple[str, str, str, str, str], ...]
    total: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """All rows of a plan; `square_side` says in words which edge of a kerf comes out square.

    `first` are the warnings that stand before everything else, `other_order` is the price of the way of working that
    was not taken, `assumed_times` are the figures that nobody gave and that the minutes rest on. `marks` are the plates
    in the order in which they are begun, `lasts` is about how long all of it takes. `jobs` are those that are planned
    together, and `together` says what that saves. `bevels` come after all cuts, `by_hand` are those that the rig does
    not cut. `of_all_sizes` is what is said once of how true the sizes of all parts are, `kept_from` from what size on
    an offcut is kept.
    """

    job: str
    plan: str
    units: str
    made_at: str
    stock: tuple[StockRow, ...]
    cuts: tuple[CutRow, ...]
    runs: tuple[RunRow, ...]
    parts: tuple[PartRow, ...]
    offcuts: tuple[OffcutRow, ...]
    measure_first: tuple[str, ...]
    first: tuple[str, ...]
    warnings: tuple[str, ...]
    totals: tuple[tuple[str, str], ...]
    proof: tuple[str, ...]
    other_order: str
    assumed_times: tuple[str, ...]
    settings: tuple[Setting, ...]
    measured: tuple[Setting, ...]
    quoted: Quoted | None
    two_person_mass: str
    square_side: str
    marks: tuple[PlateMark, ...] = ()
    lasts: str = ""
    jobs: tuple[JobRow, ...] = ()
    together: str = ""
    bevels: tuple[BevelGroup, ...] = ()
    by_hand: tuple[HandRow, ...] = ()
    of_all_sizes: tuple[str, ...] = ()
    kept_from: str = ""

    @property
    def aslant(self) -> bool:
        """Whether some cut is made at an angle, or in a piece that is no rectangle."""
        return any(row.lie.shape is not None for row in self.cuts)
