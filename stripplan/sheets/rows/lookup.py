"""Look-ups behind the rows: pieces and plates by name, edges by letter, sizes to expect.

Edges. The four edges of a plate carry letters: A along y = 0, then counter-clockwise B (x = length), C and D.
Every piece keeps the letters of the plate it came from, so one letter names one edge however the piece
lies. Where an edge came from (mill, or the cut that made it) stands beside its letter.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from stripplan.model.part import Shape
from stripplan.model.plan.cut import Cut, Point, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.size_chain import Size, beside_the_torch, expected_sizes, to_the_right
from stripplan.sheets.rows.aslant import apart, facing, is_aslant, letters_of, reach, shape_of
from stripplan.sheets.rows.forms import edges_of, form_of, is_box, sides_of
from stripplan.sheets.rows.row_types import Lie
from stripplan.sheets.worked_out_once import once_a_plan
from stripplan.wording.figures import scale_figure, show_exact, show_mass
from stripplan.wording.quantity import show_length

EDGE_LETTERS = "ABCD"
"""Edges of the plate on paper: y = 0, x = length, y = width, x = 0."""
_NORMALS = ((0, -1), (1, 0), (0, 1), (-1, 0))
SAME = 0.01
"""Two coordinates closer than this are one [mm]."""

KERF_AND_RAIL = 0.25
"""Half a kerf is known to about 0.10 and a rail is straight to about 0.15 [mm]: common practice, no source."""


@once_a_plan
def shape_sides(plan: Plan) -> Mapping[str, tuple[float, float]]:
    """Length and width of each part of a plan that is no rectangle, as it is cut [mm]."""
    return {part.name: sides_of(part.outline_as_cut) for part in plan.job.parts if isinstance(part, Shape)}


@dataclass
class Bench:
    """Look-ups over a plan."""

    plan: Plan
    units: str = "mm"
    pieces: dict[str, Piece] = field(default_factory=dict)
    plates: dict[str, PlanPlate] = field(default_factory=dict)
    cut_in: dict[str, Cut] = field(default_factory=dict)
    made_by: dict[str, int] = field(default_factory=dict)
    count: dict[str, int] = field(default_factory=dict)
    sizes: dict[str, Size] = field(default_factory=dict)
    shapes: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Length and width of each part that is no rectangle, as it is cut."""
    ways: dict[str, list[tuple[str, float]]] = field(default_factory=dict)
    """By plate the letters of all ways that edges face, where some run along no side of it."""

    def __post_init__(self) -> None:
        plan = self.plan
        self.units = plan.job.units
        self.pieces = {piece.id: piece for piece in plan.pieces}
        self.plates = {plate.id: plate for plate in plan.plates}
        self.shapes = shape_sides(plan)
        self.cut_in = {cut.piece: cut for cut in plan.cuts}
        self.made_by = {name: cut.number for cut in plan.cuts for name in cut.makes if name is not None}
        seen: Counter[str | None] = Counter()
        for piece in plan.pieces:
            if piece.kind == "part":
                seen[piece.part] += 1
                self.count[piece.id] = seen[piece.part]
        self.sizes = expected_sizes(
            self.pieces,
            plan.cuts,
            fence_step=plan.rig.fence_step,
            fence_scale=plan.rig.fence_scale,
        )

    def long(self, mm: float) -> str:
        """A length in the job's units."""
        return show_length(mm, self.units, self.plan.job.inch_fraction)

    def size(self, piece: Piece) -> str:
        """Length x width, along x and y of the plate; of what is no rectangle its form, the longer side first."""
        x0, y0, x1, y1 = piece.box
        told = self.shapes.get(piece.part or "") if piece.kind == "part" else None
        if told is not None:
            short, long = sorted(told)
            return f"{form_of(piece.outline).word} {self.long(long)} × {self.long(short)}".strip()
        if not is_box(piece.outline):
            form = form_of(piece.outline)
            return f"{form.word} {self.long(form.long)} × {self.long(form.short)}".strip()
        return f"{self.long(x1 - x0)} × {self.long(y1 - y0)}"

    def size_kept(self, piece: Piece) -> str:
        """Size of an offcut, as the picture and the list of offcuts have it: the longer side first."""
        if not is_box(piece.outline):
            return self.size(piece)
        short, long = piece.sides
        return f"{self.long(long)} × {self.long(short)}"

    def mass(self, kilograms: float) -> str:
        """A mass in the job's units."""
        return show_mass(kilograms, self.units)

    def area(self, mm2: float) -> str:
        """Square metres, or square feet for a person who reads inches."""
        return f"{mm2 / 304.8**2:.1f} ft²" if self.units == "in" else f"{mm2 / 1e6:.2f} m²"

    def process(self, name: str) -> str:
        """What a process is called; of one that was estimated for a plate, its thickness in the job's units."""
        given = next((each for each in self.plan.rig.processes if each.name == name), None)
        if given is None or not given.estimated:
            return name
        return f"{given.material} {show_exact(given.thickness, self.units)} ESTIMATED"

    def metres(self, metres: float) -> str:
        """A long length to read; in feet for a person who reads inches."""
        return f"{metres / 0.3048:.1f} ft" if self.units == "in" else f"{metres:.1f} m"

    def reading(self, value: float) -> str:
        """A fence reading in the figures of the fence's scale."""
        return scale_figure(value, self.plan.rig.fence_step, self.units)

    def stop(self, value: float) -> str:
        """An end stop in the figures of its scale."""
        return scale_figure(value, self.plan.rig.end_stop_step, self.units)

    def name(self, piece: Piece) -> str:
        """A part's name and which of its kind it is; nothing for other pieces."""
        if piece.kind != "part" or piece.part is None:
            return ""
        whole = next((line.made for line in self.plan.parts if line.name == piece.part), 1)
        name = f"{piece.part} (filler)" if piece.part in self.plan.fillers else piece.part
        return f"{name}, {self.count[piece.id]} of {whole}" if whole > 1 else name

    def edge(self, name: str, letter: str) -> str:
        """An edge in words: its letter, and where it comes from."""
        origin = self._origin(name, letter)
        if origin:
            return f"{letter} (cut {origin})"
        return f"{letter} ({self.plates[self.pieces[name].plate].edges[EDGE_LETTERS.index(letter)]})"

    def letter(self, piece: Piece, edge: Segment) -> str:
        """Letter of an edge of a piece."""
        if is_box(piece.outline):
            return edge_letter(piece, edge)
        way = facing(edge, piece.outline)
        return min(self._ways(piece.plate), key=lambda each: apart(each[1], way))[0]

    def _ways(self, plate: str) -> list[tuple[str, float]]:
        if plate not in self.ways:
            self.ways[plate] = letters_of(each for each in self.pieces.values() if each.plate == plate)
        return self.ways[plate]

    def lie(self, cut: Cut) -> Lie:
        """How the piece lies for the first pass of a cut."""
        piece = self.pieces[cut.piece]
        if not is_aslant(cut, piece):
            return lie_of(cut, self.pieces)
        on_fence, beside = beside_the_torch(cut, piece)
        shape = shape_of(cut, self.pieces, tuple(self.letter(piece, edge) for edge in edges_of(piece.outline)))
        aheads = [y for _, y in shape.outline]
        return Lie(
            right="" if cut.edge_on_fence is None else self.letter(piece, cut.edge_on_fence),
            start=self.letter(piece, cut.passes[0].leading),
            left="",
            end=self.letter(piece, _left_by(piece, cut.line[1])),
            on_fence=max(0.0, on_fence),
            beside=max(0.0, beside),
            along=max(aheads) - min(aheads),
            shape=shape,
        )

    def _reach(self, piece: Piece, letter: str) -> float:
        if letter in EDGE_LETTERS:
            return side(piece, letter)
        return reach(piece, dict(self._ways(piece.plate))[letter])

    def _origin(self, name: str, letter: str) -> int:
        """Number of the cut that made an edge; 0 = it is the plate's own."""
        piece = self.pieces[name]
        while piece.parent is not None:
            parent = self.pieces[piece.parent]
            if abs(self._reach(piece, letter) - self._reach(parent, letter)) > SAME:
                return self.made_by[piece.id]
            piece = parent
        return 0


def _left_by(piece: Piece, point: Point) -> Segment:
    """The edge that the torch leaves a piece by."""

    def off(edge: Segment) -> float:
        (ax, ay), (bx, by) = edge
        along = max(0.0, min(1.0, ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / math.dist(*edge) ** 2))
        return math.dist(point, (ax + along * (bx - ax), ay + along * (by - ay)))

    return min(edges_of(piece.outline), key=off)


def side(piece: Piece, letter: str) -> float:
    """Where an edge of a piece lies: its x or y in the plate frame [mm]."""
    x0, y0, x1, y1 = piece.box
    return {"A": y0, "B": x1, "C": y1, "D": x0}[letter]


def letter_towards(direction: tuple[float, float]) -> str:
    """Letter of the edge that faces a direction of the plate frame.

    >>> letter_towards((0, -1)), letter_towards((1, 0))
    ('A', 'B')
    """
    dots = [direction[0] * nx + direction[1] * ny for nx, ny in _NORMALS]
    return EDGE_LETTERS[dots.index(max(dots))]


def edge_letter(piece: Piece, edge: Segment) -> str:
    """Letter of an edge of a piece, from where it lies on the outline."""
    x, y = (edge[0][0] + edge[1][0]) / 2, (edge[0][1] + edge[1][1]) / 2
    upright = abs(edge[1][1] - edge[0][1]) > abs(edge[1][0] - edge[0][0])
    off = {each: abs(side(piece, each) - (x if each in "BD" else y)) for each in ("BD" if upright else "AC")}
    return min(off, key=lambda each: off[each])


def lie_of(cut: Cut, pieces: Mapping[str, Piece]) -> Lie:
    """How the piece lies for the first pass of a cut."""
    (ax, ay), (bx, by) = cut.line
    right = to_the_right(cut)
    on_fence, beside = beside_the_torch(cut, pieces[cut.piece])
    return Lie(
        right=letter_towards(right),
        start=letter_towards((ax - bx, ay - by)),
        left=letter_towards((-right[0], -right[1])),
        end=letter_towards((bx - ax, by - ay)),
        on_fence=max(0.0, on_fence),
        beside=max(0.0, beside),
        along=cut.length,
    )
