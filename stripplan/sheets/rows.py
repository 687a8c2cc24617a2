"""Plan to the rows that paper, page and terminal show alike: plain strings in the job's units.

Edges. The four edges of a plate carry letters: A along y = 0, then counter-clockwise B (x = length), C and D.
Every piece keeps the letters of the plate it came from, so one letter names one edge however the piece
lies. Where an edge came from (mill, or the cut that made it) stands beside its letter.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ..model.cut import Cut, Point, Segment
from ..model.piece import Piece
from ..model.plan import Bound, PartLine, Plan, PlanPlate
from ..model.record import to_record
from ..model.units import show_length, show_speed

LETTERS = "ABCD"
_NORMALS = ((0, -1), (1, 0), (0, 1), (-1, 0))
SAME = 0.01
"""Two coordinates closer than this are one [mm]."""

KERF_AND_RAIL = 0.25
"""Half a kerf is known to about 0.10 and a rail is straight to about 0.15 [mm]: common practice, no source."""

MARKED_BY_HAND = 0.5
"""A scribed line is followed to about this, plus or minus [mm]: common practice, no source."""


@dataclass(frozen=True)
class Field:
    """A figure or word to act on, and whether it differs from the cut before."""

    text: str
    changed: bool = True


@dataclass(frozen=True)
class Fall:
    """A piece that a cut makes: its id, kind, part's name with its count ("leg, 3 of 8"), size, what to do with it."""

    piece: str
    kind: str
    name: str
    size: str
    doing: str


@dataclass(frozen=True)
class Measure:
    """What to measure after a cut: piece, width to expect, and the band that is good (go from low to high)."""

    piece: str
    expected: str
    low: str
    high: str


@dataclass(frozen=True)
class Lie:
    """How a piece lies for a cut, seen from above with the carriage running up the page.

    `right`, `start`, `left`, `end` are the letters of its edges there; `on_fence`, `beside` and `along` its
    sizes right and left of the torch line and along it [mm].
    """

    right: str
    start: str
    left: str
    end: str
    on_fence: float
    beside: float
    along: float


@dataclass(frozen=True)
class CutRow:
    """One cut, ready to be set. `dial` says that `speed` is a mark on the dial. Empty text: not needed."""

    number: int
    plate: Field
    piece: str
    size: str
    mass: str
    two_person: bool
    rest: str
    bring: tuple[str, ...]
    dress: tuple[str, ...]
    face: Field
    on_fence: Field
    leading: Field
    located: str
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


@dataclass(frozen=True)
class StockRow:
    """A plate to take off the rack: id on the sheet, name in the stock, what it is, what to know of it."""

    plate: str
    stock: str
    size: str
    material: str
    mass: str
    two_person: bool
    note: str


@dataclass(frozen=True)
class PartRow:
    """A part: how many are wanted and made, finished size, sizes to expect, how far they may be off."""

    name: str
    wanted: int
    made: int
    size: str
    as_cut: str
    expected: tuple[str, ...]
    tolerance: str
    pieces: tuple[str, ...]


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
class Sheet:
    """All rows of a plan."""

    job: str
    plan: str
    units: str
    made_at: str
    stock: tuple[StockRow, ...]
    cuts: tuple[CutRow, ...]
    parts: tuple[PartRow, ...]
    offcuts: tuple[OffcutRow, ...]
    measure_first: tuple[str, ...]
    warnings: tuple[str, ...]
    totals: tuple[tuple[str, str], ...]
    proof: tuple[str, ...]
    settings: tuple[Setting, ...]
    two_person_mass: str


def sheet(plan: Plan) -> Sheet:
    """Rows of a whole plan."""
    bench = _Bench(plan)
    return Sheet(
        job=str(plan.job.get("name", "")),
        plan=plan_id(plan),
        units=bench.units,
        made_at=plan.made_at or "",
        stock=tuple(_stock(bench, plate) for plate in plan.plates),
        cuts=_cuts(bench),
        parts=tuple(_part(bench, line) for line in plan.parts),
        offcuts=tuple(_offcut(bench, piece) for piece in plan.pieces if piece.kind == "offcut"),
        measure_first=_measure_first(bench),
        warnings=_warnings(plan),
        totals=_totals(bench),
        proof=_proof(plan),
        settings=_settings(bench),
        two_person_mass=_mass(_number(plan.rig, "two_person_mass", 25.0)),
    )


def plan_id(plan: Plan) -> str:
    """Eight characters that change whenever anything in the plan changes but its date."""
    record = {key: value for key, value in to_record(plan).items() if key != "made_at"}
    text = json.dumps(record, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


# --- figures ------------------------------------------------------------------------------------------------------


def _mass(kilograms: float) -> str:
    return f"{kilograms:.1f} kg" if kilograms < 10 else f"{kilograms:.0f} kg"


def show_minutes(minutes: float) -> str:
    """A time to read.

    >>> show_minutes(0.4), show_minutes(12.26), show_minutes(153.4)
    ('24 s', '12 min 16 s', '2 h 33 min')
    """
    seconds = round(minutes * 60)
    if seconds < 60:
        return f"{seconds} s"
    if seconds < 3600:
        return f"{seconds // 60} min" + (f" {seconds % 60} s" if seconds % 60 else "")
    whole = round(minutes)
    return f"{whole // 60} h {whole % 60} min"


def scale_figure(reading: float, step: float, units: str) -> str:
    """A reading in the figures of a scale with marks every `step` [mm]; `units` are the job's.

    A scale whose step is whole in hundredths of a millimetre is read in mm, one whose step is whole in
    64ths or thousandths of an inch in inches; where both are true the job's units decide.

    >>> scale_figure(1239, 0.5, "mm"), scale_figure(38.1, 25.4 / 16, "in"), scale_figure(317.5, 0.5, "in")
    ('1239.0', '1 1/2"', '317.5 mm')
    """
    in_mm, in_64ths, in_mils = _whole(step * 100), _whole(step / 25.4 * 64), _whole(step / 25.4 * 1000)
    if (in_64ths or in_mils) and (units == "in" or not in_mm):
        return show_length(reading, "in", 64) if in_64ths else f'{reading / 25.4:.3f}"'
    places = next((n for n in range(3) if _whole(step * 10**n)), 2)
    return f"{reading:.{places}f}" + (" mm" if units == "in" else "")


def _whole(value: float) -> bool:
    return abs(value - round(value)) < 1e-6 and round(value) > 0


def _fine(mm: float, units: str) -> str:
    """A width as callipers show it: mm to a tenth, inches to three places."""
    return f'{mm / 25.4:.3f}"' if units == "in" else f"{mm:.1f}"


def _number(table: Mapping[str, Any], key: str, default: float) -> float:
    value = table.get(key)
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else default


# --- pieces and edges ---------------------------------------------------------------------------------------------


@dataclass
class _Bench:
    """Look-ups over a plan, and what has been dressed up to the cut in hand."""

    plan: Plan
    units: str = "mm"
    pieces: dict[str, Piece] = field(default_factory=dict)
    plates: dict[str, PlanPlate] = field(default_factory=dict)
    cut_in: dict[str, Cut] = field(default_factory=dict)
    made_by: dict[str, int] = field(default_factory=dict)
    count: dict[str, int] = field(default_factory=dict)
    sizes: dict[str, _Size] = field(default_factory=dict)
    dressed: set[tuple[str, str]] = field(default_factory=set)

    def __post_init__(self) -> None:
        plan = self.plan
        self.units = "in" if plan.job.get("units") == "in" else "mm"
        self.pieces = {piece.id: piece for piece in plan.pieces}
        self.plates = {plate.id: plate for plate in plan.plates}
        self.cut_in = {cut.piece: cut for cut in plan.cuts}
        self.made_by = {name: cut.number for cut in plan.cuts for name in cut.makes if name is not None}
        seen: Counter[str | None] = Counter()
        for piece in plan.pieces:
            if piece.kind == "part":
                seen[piece.part] += 1
                self.count[piece.id] = seen[piece.part]
        self.sizes = _expected_sizes(plan)

    def long(self, mm: float) -> str:
        return show_length(mm, self.units)

    def size(self, piece: Piece) -> str:
        """Length x width, along x and along y of the plate."""
        x0, y0, x1, y1 = bounds(piece.outline)
        return f"{self.long(x1 - x0)} × {self.long(y1 - y0)}"

    def reading(self, value: float) -> str:
        return scale_figure(value, _number(self.plan.rig, "fence_step", 0.5), self.units)

    def stop(self, value: float) -> str:
        return scale_figure(value, _number(self.plan.rig, "end_stop_step", 5.0), self.units)

    def name(self, piece: Piece) -> str:
        """A part's name and which of its kind it is; nothing for other pieces."""
        if piece.kind != "part" or piece.part is None:
            return ""
        whole = next((line.made for line in self.plan.parts if line.name == piece.part), 1)
        return f"{piece.part}, {self.count[piece.id]} of {whole}" if whole > 1 else piece.part

    def edge(self, name: str, letter: str) -> str:
        """An edge in words: letter, where it comes from, whether it has been dressed."""
        origin, cleaned = self._origin(name, letter)
        if origin:
            return f"{letter} (cut {origin}{', dressed' if cleaned else ''})"
        plate = self.plates[self.pieces[name].plate]
        state = "dressed" if cleaned else plate.edges[LETTERS.index(letter)]
        return f"{letter} ({'mill edge' if state == 'mill' else state})"

    def _origin(self, name: str, letter: str) -> tuple[int, bool]:
        """Number of the cut that made an edge (0 = the plate's own), and whether it has been dressed since."""
        cleaned = False
        while True:
            cleaned |= (name, letter) in self.dressed
            piece = self.pieces[name]
            if piece.parent is None:
                return 0, cleaned
            if abs(_side(piece, letter) - _side(self.pieces[piece.parent], letter)) > SAME:
                return self.made_by[name], cleaned
            name = piece.parent

    def dress(self, cut: Cut) -> None:
        """Remember what is dressed before a cut."""
        for each in cut.setup.dress:
            self.dressed.add((cut.piece, edge_letter(self.pieces[cut.piece], each.edge)))


def bounds(outline: Iterable[Point]) -> tuple[float, float, float, float]:
    """Least and greatest x and y of an outline: x0, y0, x1, y1."""
    points = list(outline)
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _side(piece: Piece, letter: str) -> float:
    x0, y0, x1, y1 = bounds(piece.outline)
    return {"A": y0, "B": x1, "C": y1, "D": x0}[letter]


def letter_towards(direction: tuple[float, float]) -> str:
    """Letter of the edge that faces a direction of the plate frame.

    >>> letter_towards((0, -1)), letter_towards((1, 0))
    ('A', 'B')
    """
    dots = [direction[0] * nx + direction[1] * ny for nx, ny in _NORMALS]
    return LETTERS[dots.index(max(dots))]


def edge_letter(piece: Piece, edge: Segment) -> str:
    """Letter of an edge of a piece, from where it lies on the outline."""
    x, y = (edge[0][0] + edge[1][0]) / 2, (edge[0][1] + edge[1][1]) / 2
    upright = abs(edge[1][1] - edge[0][1]) > abs(edge[1][0] - edge[0][0])
    off = {each: abs(_side(piece, each) - (x if each in "BD" else y)) for each in ("BD" if upright else "AC")}
    return min(off, key=lambda each: off[each])


def lie_of(plan: Plan, cut: Cut, pieces: Mapping[str, Piece]) -> Lie:
    """How the piece lies for the first pass of a cut."""
    (ax, ay), (bx, by) = cut.line
    length = math.hypot(bx - ax, by - ay) or 1.0
    dx, dy = (bx - ax) / length, (by - ay) / length
    hand = 1.0 if cut.passes[0].face_up else -1.0
    right = (hand * dy, -hand * dx)
    x0, y0, x1, y1 = bounds(pieces[cut.piece].outline)
    reach = [(x - ax) * right[0] + (y - ay) * right[1] for x in (x0, x1) for y in (y0, y1)]
    half = cut.kerf / 2
    return Lie(
        right=letter_towards(right),
        start=letter_towards((-dx, -dy)),
        left=letter_towards((-right[0], -right[1])),
        end=letter_towards((dx, dy)),
        on_fence=max(0.0, max(reach) - half),
        beside=max(0.0, -min(reach) - half),
        along=cut.length,
    )


# --- sizes to expect ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Size:
    """What a piece will measure along x and y, and by how much setting the fence may be off, +- [mm]."""

    x: float
    y: float
    off_x: float = 0.0
    off_y: float = 0.0

    def across(self, cut: Cut) -> tuple[float, float]:
        return (self.y, self.off_y) if _along_x(cut) else (self.x, self.off_x)

    def cut_to(self, cut: Cut, width: float, off: float) -> _Size:
        if _along_x(cut):
            return _Size(self.x, width, self.off_x, off)
        return _Size(width, self.y, off, self.off_y)


def _along_x(cut: Cut) -> bool:
    (ax, ay), (bx, by) = cut.line
    return abs(bx - ax) > abs(by - ay)


def _expected_sizes(plan: Plan) -> dict[str, _Size]:
    """Size to expect of every piece: what the nearest mark of the scale is off by, carried from cut to cut."""
    found: dict[str, _Size] = {}
    pieces = {piece.id: piece for piece in plan.pieces}
    for piece in plan.pieces:
        if piece.parent is None:
            x0, y0, x1, y1 = bounds(piece.outline)
            found[piece.id] = _Size(x1 - x0, y1 - y0)
    half_step = _number(plan.rig, "fence_step", 0.5) * _number(plan.rig, "fence_scale", 1.0) / 2
    for cut in plan.cuts:
        whole = found[cut.piece]
        off = half_step if cut.located == "fence" else MARKED_BY_HAND
        on_fence = lie_of(plan, cut, pieces).on_fence + (cut.reading_error or 0.0)
        across, its_off = whole.across(cut)
        for name, width, spread in zip(
            cut.makes, (on_fence, across - on_fence - cut.kerf), (off, its_off + off), strict=True
        ):
            if name is not None:
                found[name] = whole.cut_to(cut, width, spread)
    return found


def _measure(bench: _Bench, cut: Cut) -> Measure | None:
    """The fence side's width, or the far side's where the fence side is scrap; None where both are."""
    for name in cut.makes:
        if name is not None and bench.pieces[name].kind != "scrap":
            width, off = bench.sizes[name].across(cut)
            band = off + KERF_AND_RAIL
            low, high = _fine(width - band, bench.units), _fine(width + band, bench.units)
            return Measure(name, _fine(width, bench.units), low, high)
    return None


# --- one cut ------------------------------------------------------------------------------------------------------


def _cuts(bench: _Bench) -> tuple[CutRow, ...]:
    rows: list[CutRow] = []
    before: Cut | None = None
    for cut in bench.plan.cuts:
        bench.dress(cut)
        rows.append(_cut(bench, cut, before, rows[-1] if rows else None))
        before = cut
    return tuple(rows)


def _cut(bench: _Bench, cut: Cut, before: Cut | None, last: CutRow | None) -> CutRow:
    piece, lie = bench.pieces[cut.piece], lie_of(bench.plan, cut, bench.pieces)
    face = "top face up" if cut.passes[0].face_up else "UNDER face up"
    right = bench.edge(piece.id, lie.right) if cut.located == "fence" else "no edge: follow the marks"
    leading = bench.edge(piece.id, lie.start)
    speed = show_speed(cut.travel_speed, bench.units)
    big_speed = f"{cut.dial:g}" if cut.dial is not None else speed.split()[0]
    length = f"{bench.long(cut.length)} long, {'one pass' if len(cut.passes) == 1 else 'TWO PASSES'}"

    def flagged(text: str, old: Field | None) -> Field:
        return Field(text, old is None or old.text != text)

    return CutRow(
        number=cut.number,
        plate=flagged(cut.plate, last and last.plate),
        piece=cut.piece,
        size=bench.size(piece),
        mass=_mass(piece.mass),
        two_person=_two_people(bench, piece),
        rest=show_minutes(cut.rest_before) if cut.rest_before > 0.5 / 60 else "",
        bring=_bring(bench, cut, before),
        dress=tuple(_dress(bench, cut, edge_letter(piece, each.edge), lie) for each in cut.setup.dress),
        face=flagged(face, last and last.face),
        on_fence=flagged(right, last and last.on_fence),
        leading=flagged(leading, last and last.leading),
        located=cut.located,
        marks=_marks(bench, cut),
        fence=Field(bench.reading(cut.fence_reading) if cut.fence_reading is not None else "marks", cut.setup.fence),
        end_stop=Field(_stops(bench, cut), cut.setup.end_stop),
        dial=cut.dial is not None,
        speed=flagged(big_speed, last and last.speed),
        travel_speed=speed,
        length=flagged(length, last and last.length),
        passes=_passes(bench, cut, lie),
        right=_fall(bench, cut, cut.makes[0]),
        left=_fall(bench, cut, cut.makes[1]),
        measure=_measure(bench, cut),
        lie=lie,
    )


def _two_people(bench: _Bench, piece: Piece) -> bool:
    """Above the rig's mass, or longer than its length and above 0.6 of that mass, a piece is for two."""
    rig, (x0, y0, x1, y1) = bench.plan.rig, bounds(piece.outline)
    mass, length = _number(rig, "two_person_mass", 25.0), _number(rig, "two_person_length", 2000.0)
    return piece.mass >= mass or (max(x1 - x0, y1 - y0) > length and piece.mass > 0.6 * mass)


def _stops(bench: _Bench, cut: Cut) -> str:
    stops = list(dict.fromkeys(bench.stop(each.end_stop) for each in cut.passes))
    return " / ".join(stops)


def _bring(bench: _Bench, cut: Cut, before: Cut | None) -> tuple[str, ...]:
    """What to do with pieces before a cut, in the order of doing it."""
    setup, steps = cut.setup, []
    if setup.clear:
        steps.append("Clear the other piece off the bed.")
    if setup.fetch:
        steps.append(_fetch(bench, cut))
    if setup.turn_over:
        steps.append("Turn the piece over.")
    if setup.quarter_turns:
        steps.append(_TURNS[setup.quarter_turns])
    if setup.push:
        steps.append(_push(bench, cut, before))
    return tuple(steps)


_TURNS = {
    1: "Quarter turn LEFT (anticlockwise, flat).",
    2: "Half turn, flat: end for end, same face up.",
    3: "Quarter turn RIGHT (clockwise, flat).",
}
"""By `quarter_turns`, which counts anticlockwise as seen from above."""


def _fetch(bench: _Bench, cut: Cut) -> str:
    if bench.pieces[cut.piece].parent is None:
        return f"Fetch plate {cut.plate} ({bench.plates[cut.plate].stock}) from the rack."
    return f"Fetch {cut.piece} from the pile (put aside after cut {bench.made_by[cut.piece]})."


def _push(bench: _Bench, cut: Cut, before: Cut | None) -> str:
    if cut.located == "marked":
        return "Leave it on the bed; line the marks up under the torch."
    if before is not None and before.makes[0] == cut.piece:
        lie, old = lie_of(bench.plan, cut, bench.pieces), lie_of(bench.plan, before, bench.pieces)
        if len(before.passes) == 1 and (lie.right, lie.start) == (old.right, old.start):
            return "Leave it against the fence."
    return "Push it up to the fence."


def _dress(bench: _Bench, cut: Cut, letter: str, lie: Lie) -> str:
    where = {lie.right: "goes on the fence", lie.start: "goes to the start line", lie.end: "leads in pass 2"}
    origin = bench.edge(cut.piece, letter).replace(", dressed", "")
    use = where.get(letter, "is used")
    return f"Dress edge {origin}: it {use}."


def _marks(bench: _Bench, cut: Cut) -> tuple[str, ...]:
    """Where to scribe the torch line of a marked cut."""
    if cut.marks is None:
        return ()
    piece, marks = bench.pieces[cut.piece], cut.marks
    letter = edge_letter(piece, marks.edge)
    corner = _corner(piece, marks.from_)
    other = next((each for each in corner if each != letter), "")
    near, far = (bench.long(each) for each in marks.along)
    one, two = (bench.long(each) for each in marks.distance)
    return (
        f"Fence out of the way. Scribe two marks, measured square from edge {bench.edge(piece.id, letter)}:",
        f"mark 1: {one} from {letter}, at {near} from corner {letter}{other}",
        f"mark 2: {two} from {letter}, at {far} from corner {letter}{other}",
        "Torch centre runs over both marks.",
    )


def _corner(piece: Piece, point: Point) -> str:
    """Letters of the two edges that meet nearest to a point."""
    off = {each: abs(_side(piece, each) - (point[0] if each in "BD" else point[1])) for each in LETTERS}
    upright, level = min("BD", key=lambda each: off[each]), min("AC", key=lambda each: off[each])
    return level + upright


def _passes(bench: _Bench, cut: Cut, lie: Lie) -> tuple[str, ...]:
    if len(cut.passes) == 1:
        return ()
    first, second = (bench.stop(each.end_stop) for each in cut.passes)
    held = f"edge {lie.right} stays on the fence" if cut.located == "fence" else "line the marks up again"
    return (
        f"Pass 1: cut in to the stop at {first}; it ends inside the metal. Let it cool, scrape the dross.",
        f"Turn over end for end: {held}, edge {lie.end} to the start line. Letter the new face.",
        f"Pass 2: end stop {second}; cut back to meet pass 1.",
    )


def _fall(bench: _Bench, cut: Cut, name: str | None) -> Fall | None:
    if name is None:
        return None
    piece = bench.pieces[name]
    return Fall(name, piece.kind, bench.name(piece), bench.size(piece), _doing(bench, cut, piece))


def _doing(bench: _Bench, cut: Cut, piece: Piece) -> str:
    if piece.kind == "part":
        return "part: to the pile of parts"
    if piece.kind == "offcut":
        return f"offcut: chalk {piece.id} on it, back to the rack"
    if piece.kind == "scrap":
        return "scrap bin"
    then = bench.cut_in[piece.id]
    if then.number == cut.number + 1 and not then.setup.fetch:
        return f"stays on the bed for cut {then.number}"
    return f"chalk {piece.id} and its letters on it, put aside for cut {then.number}"


# --- the job ------------------------------------------------------------------------------------------------------


def _stock(bench: _Bench, plate: PlanPlate) -> StockRow:
    root = next(piece for piece in bench.pieces.values() if piece.plate == plate.id and piece.parent is None)
    given: Mapping[str, Any] = next((each for each in bench.plan.job.get("plates", ()) if each["name"] == plate.stock), {})
    notes = ["offcut"] if given.get("offcut") else []
    notes += [] if plate.measured else ["nominal size, not measured"]
    if root.id not in bench.cut_in:
        notes.append(f"no cut: it is {bench.name(root) or root.kind} as it stands")
    return StockRow(
        plate=plate.id,
        stock=plate.stock,
        size=f"{bench.long(plate.length)} × {bench.long(plate.width)} × {bench.long(plate.thickness)}",
        material=plate.material,
        mass=_mass(plate.mass),
        two_person=_two_people(bench, root),
        note="; ".join(notes),
    )


def _part(bench: _Bench, line: PartLine) -> PartRow:
    width, length = line.size_wanted
    given = next((each for each in bench.plan.job.get("parts", ()) if each["name"] == line.name), {})
    allowance = _number(given, "allowance", 0.0)
    wanted = f"{bench.long(length) if length is not None else 'as the plate'} × {bench.long(width)}"
    wide, long = (_fine(each, bench.units) for each in line.tolerance_expected)
    ends = 0.0 if length is None else allowance
    return PartRow(
        name=line.name,
        wanted=line.wanted,
        made=line.made,
        size=wanted,
        as_cut=f"cut {bench.long(allowance)} over on each edge" + ("" if ends else ", length as it comes") if allowance else "",
        expected=tuple(f"{_fine(each[1], bench.units)} × {_fine(each[0], bench.units)}" for each in line.size_expected),
        tolerance=f"length ±{long}, width ±{wide}" if line.made else "",
        pieces=tuple(piece.id for piece in bench.plan.pieces if piece.kind == "part" and piece.part == line.name),
    )


def _offcut(bench: _Bench, piece: Piece) -> OffcutRow:
    plate = bench.plates[piece.plate]
    return OffcutRow(
        piece=piece.id,
        size=f"{bench.size(piece)} × {bench.long(plate.thickness)}",
        material=plate.material,
        mass=_mass(piece.mass),
    )


def _measure_first(bench: _Bench) -> tuple[str, ...]:
    """A line for each plate whose own size some part takes over."""
    resting = {each.about.split("-")[0] for each in bench.plan.warnings if each.code == "rests_on_plate_size"}
    return tuple(
        f"Plate {plate.id} ({plate.stock}): the plan counts on {bench.long(plate.length)} × {bench.long(plate.width)}."
        for plate in bench.plan.plates
        if plate.id in resting
    )


def _warnings(plan: Plan) -> tuple[str, ...]:
    """Warnings, those on many pieces of one part drawn together."""
    names = {piece.id: piece for piece in plan.pieces}
    lines: dict[tuple[str, str], list[str]] = {}
    for each in plan.warnings:
        piece = names.get(each.about)
        about = piece.part if piece is not None and piece.part else each.text
        lines.setdefault((each.code, about), []).append(each.text)
    return tuple(
        texts[0] if len(texts) == 1 else f"{texts[0]} The same goes for {len(texts) - 1} more of {about}."
        for (_, about), texts in lines.items()
    )


def _totals(bench: _Bench) -> tuple[tuple[str, str], ...]:
    plan, totals = bench.plan, bench.plan.totals
    rest = sum(cut.rest_before for cut in plan.cuts)
    rows = [
        ("time at the rig", show_minutes(totals.minutes)),
        ("of that arc", show_minutes(totals.arc_minutes)),
        ("of that rests", show_minutes(rest)),
        ("cuts", str(len(plan.cuts))),
        ("arc starts", str(totals.starts)),
        ("fence settings", str(totals.fence_settings)),
        ("end stop settings", str(totals.end_stop_settings)),
        ("turns", str(totals.turns)),
        ("pieces fetched", str(totals.fetches)),
        ("edges dressed", str(totals.dressings)),
        ("plates", str(totals.plates)),
        ("plate cost", _cost(plan)),
        ("plate made into parts", f"{100 * totals.plate_used:.0f} %"),
        ("kept as offcuts", f"{totals.offcut_area / 1e6:.2f} m²"),
        ("scrap", f"{totals.scrap_area / 1e6:.2f} m²"),
    ]
    return tuple(rows)


def _cost(plan: Plan) -> str:
    priced = any(
        each.get("cost") is not None or each.get("price_per_kg") is not None for each in plan.job.get("plates", ())
    )
    if not priced:
        return f"{plan.totals.cost:.2f} m² (no price given)"
    return f"{plan.totals.cost:.2f} {plan.job.get('currency') or ''}".strip()


def _proof(plan: Plan) -> tuple[str, ...]:
    """What is known of how good the plan is, in plain words."""
    proof = plan.proof
    lines = [_bound(proof.plates, "plate")]
    if not math.isclose(proof.cost.found, proof.plates.found):
        lines.append(
            f"Plate cost {proof.cost.found:.2f}; not below {proof.cost.bound:.2f} ({proof.cost.how}): {_verdict(proof.cost)}."
        )
    found, least = proof.setups.found, proof.setups.bound
    lines.append(f"{found:.0f} fence settings; for {proof.setups.holds_for} no order needs fewer than {least:.0f}.")
    found, least = proof.minutes.found, proof.minutes.bound
    lines.append(
        f"{show_minutes(found)} at the rig; for {proof.minutes.holds_for} no order takes less than {show_minutes(least)}."
    )
    return tuple(lines)


def _bound(bound: Bound, noun: str) -> str:
    found, least = round(bound.found), math.ceil(bound.bound - 1e-6)
    words = f"{found} {noun}{'' if found == 1 else 's'}"
    return f"{words}; at least {least} {'is' if least == 1 else 'are'} needed ({bound.how}): {_verdict(bound)}."


def _verdict(bound: Bound) -> str:
    return "proven" if bound.proven else "not proven best"


def _settings(bench: _Bench) -> tuple[Setting, ...]:
    plan, rig = bench.plan, bench.plan.rig
    assumed = set(rig.get("assumed") or ())

    def length(name: str, key: str) -> Setting:
        value = rig.get(key)
        text = bench.long(float(value)) if isinstance(value, (int, float)) else "not stated"
        return Setting(name, text, "assumed" if key in assumed else "")

    rows = [_kerf(bench, name) for name in dict.fromkeys(plate.process for plate in plan.plates)]
    rows += [
        Setting("trim off mill edges", bench.long(_number(plan.settings, "trim", 0.0))),
        length("fence zero", "fence_zero"),
        Setting("fence scale", f"{_number(rig, 'fence_scale', 1.0):g}", "assumed" if "fence_scale" in assumed else ""),
        length("fence read to", "fence_step"),
        length("lead-in", "lead_in"),
        length("overrun", "overrun"),
        length("stroke", "stroke"),
        length("narrowest offcut", "narrowest_offcut"),
        Setting("rig", str(rig.get("name", ""))),
        Setting("search", _search(plan)),
    ]
    return tuple(rows)


def _kerf(bench: _Bench, process: str) -> Setting:
    plate = next(each for each in bench.plan.plates if each.process == process)
    given = next((each for each in bench.plan.rig.get("processes", ()) if each["name"] == process), {})
    measured = given.get("kerf_measured_on")
    value = f"{bench.long(plate.kerf) if bench.units == 'mm' else _fine(plate.kerf, 'in')} ({process})"
    return Setting("kerf", value + (f", measured {measured}" if measured else ""), "" if measured else "not measured")


def _search(plan: Plan) -> str:
    stopped = plan.settings.get("stopped")
    words = f"seed {plan.settings.get('seed')}"
    if plan.settings.get("steps") is not None:
        words += f", steps {plan.settings['steps']}"
    return words + (", stopped by the clock" if stopped == "seconds" else "")
