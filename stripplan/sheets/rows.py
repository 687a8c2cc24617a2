"""A plan to the rows that paper, page and terminal show alike: plain words and figures in the job's units."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ..model.cut import Cut, Segment
from ..model.piece import Piece
from ..model.plan import Plan
from ..model.units import show_length, show_speed
from .draw import EDGE_LETTERS, extent, piece_size

NEAR = 0.02


@dataclass(frozen=True)
class Step:
    """One cut as it is read at the rig. `*_changes` say what differs from the cut before."""

    number: int
    plate: str
    piece: str
    bring: str
    datum: str
    fence: str
    fence_changes: bool
    stop: str
    stop_changes: bool
    speed: str
    speed_changes: bool
    length: str
    dress: str
    passes: str
    right: str
    left: str
    check: str
    rest: str
    heavy: str


@dataclass(frozen=True)
class PartRow:
    """One part of the job on the check list."""

    name: str
    wanted: int
    made: int
    size: str
    expected: str


def steps(plan: Plan) -> list[Step]:
    """All cuts in the order of work."""
    bench = _Bench(plan)
    rows, before = [], None
    for cut in plan.cuts:
        rows.append(bench.step(cut, before))
        before = cut
    return rows


class _Bench:
    """Looks up what a step's words need."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.units: str = plan.job["units"]
        self.pieces = {piece.id: piece for piece in plan.pieces}
        self.plates = {plate.id: plate for plate in plan.plates}
        self.next_cut = {cut.piece: cut.number for cut in plan.cuts}
        self.maker = {name: cut for cut in plan.cuts for name in cut.makes if name is not None}

    def length(self, mm: float) -> str:
        return show_length(mm, self.units, unit=True)

    def step(self, cut: Cut, before: Cut | None) -> Step:
        piece = self.pieces[cut.piece]
        fence = f"{cut.fence_reading:g}" if cut.fence_reading is not None else "MARK"
        stops = list(dict.fromkeys(show_length(each.end_stop, self.units) for each in cut.passes))
        speed = f"dial {cut.dial:g}" if cut.dial is not None else show_speed(cut.travel_speed, self.units)
        return Step(
            number=cut.number,
            plate=cut.plate,
            piece=f"{piece.id}, {piece_size(piece, self.units)}",
            bring=self._bring(cut, piece),
            datum=self._datum(cut, piece),
            fence=fence,
            fence_changes=cut.setup.fence or cut.located == "marked",
            stop=" / ".join(stops),
            stop_changes=cut.setup.end_stop,
            speed=speed,
            speed_changes=before is None or before.travel_speed != cut.travel_speed,
            length=self.length(cut.length),
            dress=self._dress(cut, piece),
            passes=self._passes(cut),
            right=self._falls(cut.makes[0], cut),
            left=self._falls(cut.makes[1], cut),
            check=self._check(cut),
            rest=f"Rest {cut.rest_before:.1f} min first (fan running)" if cut.rest_before > 0.05 else "",
            heavy=f"{piece.mass:.0f} kg: two people or a hoist" if cut.setup.two_person else "",
        )

    def _bring(self, cut: Cut, piece: Piece) -> str:
        plate = self.plates[cut.plate]
        s = cut.setup
        if s.fetch:
            if piece.parent is None:
                return f"Fetch plate {plate.id} ({plate.stock}) from the rack"
            return f"Fetch {piece.id} from the pile (from cut {self.maker[piece.id].number})"
        turned = {1: "a quarter turn anticlockwise", 2: "end for end (half turn)", 3: "a quarter turn clockwise"}
        if s.quarter_turns:
            return f"Turn {piece.id} {turned[s.quarter_turns]}, seen from above"
        return f"Push {piece.id} up to the fence"

    def _datum(self, cut: Cut, piece: Piece) -> str:
        face = "" if cut.passes[0].face_up else ", first face down"
        if cut.located == "marked" and cut.marks is not None:
            along = " and ".join(self.length(each) for each in cut.marks.along)
            edge = self.edge(cut.marks.edge, piece)
            return f"Mark the torch line {self.length(cut.marks.distance[0])} from {edge}, {along} along it{face}"
        assert cut.edge_on_fence is not None
        leading = self.edge(cut.passes[0].leading, piece)
        return f"On the fence: {self.edge(cut.edge_on_fence, piece)}. Start line: {leading}{face}"

    def edge(self, segment: Segment, piece: Piece) -> str:
        """An edge in words one can act on: the plate's lettered edge, or the cut that made it."""
        plate = self.plates[piece.plate]
        (ax, ay), (bx, by) = segment
        level = abs(ay - by) < NEAR
        at = ay if level else ax
        ends = ((0, 0.0), (2, plate.width)) if level else ((3, 0.0), (1, plate.length))
        for side, where in ends:
            if abs(at - where) < NEAR:
                return f"edge {EDGE_LETTERS[side]} ({plate.edges[side]})"
        cut = self._made_by(piece, level, at)
        return f"the edge of cut {cut.number}" if cut is not None else "the cut edge"

    def _made_by(self, piece: Piece, level: bool, at: float) -> Cut | None:
        name: str | None = piece.id
        while name is not None and name in self.maker:
            cut = self.maker[name]
            (x0, y0), (_, y1) = cut.line
            if (abs(y0 - y1) < NEAR) == level and abs((y0 if level else x0) - at) < cut.kerf / 2 + NEAR:
                return cut
            name = self.pieces[name].parent
        return None

    def _dress(self, cut: Cut, piece: Piece) -> str:
        edges = [self.edge(each.edge, piece) for each in cut.setup.dress]
        return "Dress first: " + " and ".join(edges) if edges else ""

    def _passes(self, cut: Cut) -> str:
        if len(cut.passes) == 1:
            return ""
        return (
            "Two passes: cut in to the stop; let it cool, scrape off the dross; turn the piece over end for end "
            "(same edge on the fence); cut back to meet the first"
        )

    def _falls(self, name: str | None, cut: Cut) -> str:
        if name is None:
            return "nothing is left"
        piece = self.pieces[name]
        if piece.kind == "part":
            return f"{piece.part} ({piece_size(piece, self.units)}): part"
        if piece.kind == "offcut":
            return f"offcut {piece.id} ({piece_size(piece, self.units)}): to the rack"
        if piece.kind == "scrap":
            return f"{piece_size(piece, self.units)}: scrap bin"
        following = self.next_cut.get(name)
        if following == cut.number + 1:
            return f"{piece.id} ({piece_size(piece, self.units)}): stays for cut {following}"
        return f"{piece.id} ({piece_size(piece, self.units)}): put aside for cut {following}"

    def _check(self, cut: Cut) -> str:
        """Width of the piece on the fence to expect, with what setting the scale may leave."""
        name = cut.makes[0]
        if name is None:
            return ""
        x0, y0, x1, y1 = extent(self.pieces[name])
        level = abs(cut.line[0][1] - cut.line[1][1]) < NEAR
        width = (y1 - y0 if level else x1 - x0) + (cut.reading_error or 0.0)
        half = self.plan.rig["fence_step"] * self.plan.rig["fence_scale"] / 2 + 0.25
        return f"{show_length(width, self.units)} ± {show_length(half, self.units)}"


def part_rows(plan: Plan) -> list[PartRow]:
    """The parts as a check list."""
    units = plan.job["units"]
    rows = []
    for line in plan.parts:
        width, length = line.size_wanted
        size = show_length(width, units) + (f" x {show_length(length, units)}" if length is not None else " x plate")
        sizes = sorted({f"{show_length(w, units)} x {show_length(long, units)}" for w, long in line.size_expected})
        shown = "; ".join(sizes[:3]) + (f" and {len(sizes) - 3} more" if len(sizes) > 3 else "")
        rows.append(PartRow(line.name, line.wanted, line.made, size, shown))
    return rows


def stock_rows(plan: Plan) -> list[str]:
    """What to take off the rack."""
    units = plan.job["units"]
    kinds: Counter[str] = Counter()
    for plate in plan.plates:
        size = f"{show_length(plate.length, units)} x {show_length(plate.width, units)} x {show_length(plate.thickness, units)}"
        kinds[f"{plate.stock}: {size} {plate.material}, {plate.mass:.0f} kg each"] += 1
    return [f"{count} x {words}" for words, count in kinds.items()]


def offcut_rows(plan: Plan) -> list[str]:
    """Offcuts worth keeping, largest first."""
    units = plan.job["units"]
    kept = [piece for piece in plan.pieces if piece.kind == "offcut"]
    kept.sort(key=lambda piece: -piece.mass)
    return [f"{piece.id}: {piece_size(piece, units)}, {piece.mass:.1f} kg" for piece in kept]


def proof_line(plan: Plan) -> str:
    """How good the plan is known to be, in plain words."""
    plates = plan.proof.plates
    words = f"{plates.found} plate{'s' if plates.found != 1 else ''}; at least {plates.bound} needed ({plates.how})"
    return words + (": proven, no plan needs fewer." if plates.proven else ": not proven best.")


def totals_rows(plan: Plan) -> list[tuple[str, str]]:
    """Totals as (what, figure)."""
    t, units = plan.totals, plan.job["units"]
    priced = any(p["cost"] is not None or p["price_per_kg"] is not None for p in plan.job["plates"])
    cost = f"{t.cost:.2f} {plan.job['currency']}".strip() if priced else f"{t.cost:.2f} m2 of plate (no prices given)"
    offcuts = sum(1 for piece in plan.pieces if piece.kind == "offcut")
    return [
        ("Plates", str(t.plates)),
        ("Plate cost", cost),
        ("Cuts", f"{len(plan.cuts)} ({t.starts} arc starts)"),
        ("Time at the rig", f"{t.minutes:.0f} min ({t.arc_minutes:.0f} min arc); least for this layout {plan.proof.minutes.bound:.0f} min"),
        ("Fence settings", str(t.fence_settings)),
        ("End stop settings", str(t.end_stop_settings)),
        ("Plate that becomes parts", f"{100 * t.plate_used:.1f} %"),
        ("Offcuts to keep", f"{offcuts} ({t.offcut_area * 1e-6:.2f} m2)" if units == "mm" else f"{offcuts} ({t.offcut_area / 92903.04:.1f} sq ft)"),
    ]
