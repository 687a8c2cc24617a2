"""The bench: the plan worked through cut by cut, from the setting to the torch line to the metal.

Where plan and metal disagree the fault is noted once, and the work goes on with what the plan says, so
that one fault does not drag all that comes after it along.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from shapely.geometry import Polygon, box

from stripplan.model.plan.cut import Cut, Mitre, Segment
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding
from stripplan.replay.metal import NEAR, Metal, Stretch


@dataclass(frozen=True)
class Step:
    """One cut: the metal before it (edges dressed), the torch line in the direction of travel, far beyond both ends."""

    cut: Cut
    metal: Metal
    torch: Segment


@dataclass
class Bench:
    """The plan with its pieces at hand, what each became, and the faults met on the way."""

    plan: Plan
    metals: dict[str, Metal] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    @cached_property
    def plates(self) -> dict[str, PlanPlate]:
        """Plates by their id."""
        return {plate.id: plate for plate in self.plan.plates}

    @cached_property
    def pieces(self) -> dict[str, Piece]:
        """Pieces by their id."""
        return {piece.id: piece for piece in self.plan.pieces}

    @cached_property
    def shapes(self) -> dict[str, Polygon | None]:
        """Shapes that the plan gives the pieces; None where an outline is no sound shape."""
        return {piece.id: m.polygon(piece.outline) for piece in self.plan.pieces}

    @cached_property
    def is_cut(self) -> set[str]:
        """Pieces that some cut is made in."""
        return {cut.piece for cut in self.plan.cuts}

    def shape(self, piece: Piece) -> Polygon | None:
        """The metal of a piece as it was made; as the plan draws it where it was not."""
        metal = self.metals.get(piece.id)
        return self.shapes[piece.id] if metal is None else metal.shape

    def note(self, code: str, about: str, text: str) -> None:
        """Keep a fault."""
        self.findings.append(Finding(code, about, text))


def worked(plan: Plan) -> Bench:
    """The plan worked through from whole plates to the last piece."""
    bench = Bench(plan)
    for plate in plan.plates:
        try:
            _lay(bench, plate)
        except Exception as error:
            bench.note("no_plate", plate.id, f"Plate {plate.id} cannot be laid on the bed: {error}.")
    for cut in plan.cuts:
        try:
            _make(bench, cut)
        except Exception as error:  # a cut that makes no sense is a finding, whatever it stumbles over
            bench.note("no_line", name(cut), f"Cut {cut.number} cannot be followed: {error}.")
            _believe(bench, cut)
    reached = set(bench.metals) | {product for cut in plan.cuts for product in cut.makes}
    for piece in plan.pieces:
        if piece.id not in reached:
            bench.note("not_made", piece.id, f"Piece {piece.id} comes out of no cut.")
    return bench


def name(cut: Cut) -> str:
    """What a finding about a cut is about."""
    return f"cut {cut.number}"


def _lay(bench: Bench, plate: PlanPlate) -> None:
    roots = [piece for piece in bench.plan.pieces if piece.plate == plate.id and piece.parent is None]
    if len(roots) != 1:
        bench.note("roots", plate.id, f"Plate {plate.id} begins as {len(roots)} pieces, not as one whole plate.")
    if not min(plate.length, plate.width) > 0:
        raise ValueError("it has no size")
    shape = box(0.0, 0.0, plate.length, plate.width, ccw=True)
    border = []
    for edge in m.edges(shape):
        state = plate.edges[_side(edge, plate)]
        # Mill edges are square; how a cut or dressed edge was made is not in the plan.
        border.append(Stretch(edge, mill=state == "mill", clean=state != "cut", square=state == "mill"))
    for root in roots[:1]:
        bench.metals[root.id] = Metal(shape, tuple(border))
        outline = bench.shapes[root.id]
        if outline is None or not m.same_shape(shape, outline):
            bench.note(
                "outline",
                root.id,
                f"{root.id} does not have the outline of plate {plate.id}, {plate.length:g} x {plate.width:g} mm.",
            )


def _side(edge: Segment, plate: PlanPlate) -> int:
    """Which edge of the plate this is: y = 0, x = length, y = width, x = 0."""
    x, y = (edge[0][0] + edge[1][0]) / 2, (edge[0][1] + edge[1][1]) / 2
    return [y == 0.0, x == plate.length, y == plate.width, x == 0.0].index(True)


def _make(bench: Bench, cut: Cut) -> None:
    before = bench.metals.get(cut.piece)
    if before is None:
        if cut.piece in bench.pieces:
            bench.note("no_piece", name(cut), f"Cut {cut.number} is made in {cut.piece}, which is not there yet.")
        else:
            bench.note("no_piece", name(cut), f"Cut {cut.number} is made in {cut.piece}, which the plan does not have.")
        _believe(bench, cut)
        return
    before = _dress(bench, cut, before)
    torch = _torch(bench, cut, before)
    bench.steps.append(Step(cut, before, torch))
    sides = m.parted(before.shape, torch, cut.kerf)
    face_up = cut.passes[0].face_up if cut.passes else True
    as_it_lies = sides if face_up else (sides[1], sides[0])
    products = list(zip(cut.makes, as_it_lies, strict=True))
    # One outline out of two is a slip in the list; both together mean that the cut itself is somewhere else.
    elsewhere = not any(_agrees(bench, product, side) for product, side in products)
    for number, (product, side) in enumerate(products):
        square = _square(bench, cut, fence_side=number == 0)
        _take(bench, Step(cut, before, torch), product, side, square=square, elsewhere=elsewhere)


def _dress(bench: Bench, cut: Cut, metal: Metal) -> Metal:
    for each in cut.setup.dress:
        if not m.full_edge(metal.shape, each.edge):
            bench.note("dress", name(cut), f"Cut {cut.number} dresses an edge that {cut.piece} does not have.")
        metal = m.dressed(metal, each.edge)
    return metal


def _torch(bench: Bench, cut: Cut, metal: Metal) -> Segment:
    """Where the setting takes the torch. Where that is not the plan's line: a finding, and the plan's line."""
    drawn = m.lengthened(cut.line)
    torch = from_setting(cut, metal)
    if torch is None:
        bench.note("no_setting", name(cut), f"Nothing in the plan says how the torch is set for cut {cut.number}.")
        return drawn
    off = max((m.leftward(torch, end) for end in cut.line), key=abs)
    (ax, ay), (bx, by) = m.direction(torch), m.direction(cut.line)
    if ax * bx + ay * by < 0:
        bench.note("travel", name(cut), f"In cut {cut.number} the fence is not on the right of the travel.")
        return drawn
    if abs(off) > NEAR:
        bench.note(
            "line",
            name(cut),
            f"Cut {cut.number}: its setting takes the torch {abs(off):.2f} mm beside the line that is drawn.",
        )
        return drawn
    return torch


def from_setting(cut: Cut, metal: Metal) -> Segment | None:
    """The long line that the torch centre follows by fence, bar or marks alone, in the direction of travel."""
    if cut.located == "fence" and cut.edge_on_fence is not None and cut.fence_offset is not None and cut.passes:
        to_left = cut.fence_offset if cut.passes[0].face_up else -cut.fence_offset
        return m.lengthened(m.moved_left(cut.edge_on_fence, to_left))
    if cut.located == "marked" and cut.marks is not None:
        return _through_marks(cut, metal.shape)
    if cut.located == "mitre" and cut.mitre is not None and cut.passes:
        return _off_the_bar(cut.mitre, metal.shape, face_up=cut.passes[0].face_up)
    return None


def _off_the_bar(bar: Mitre, shape: Polygon, *, face_up: bool) -> Segment:
    """From the stop along the face to where the torch crosses it, and from there at the bar's angle into the metal."""
    (cx, cy), other = bar.corner, max(bar.edge, key=lambda end: math.dist(end, bar.corner))
    dx, dy = m.direction((bar.corner, other))
    x, y = cx + dx * bar.stop, cy + dy * bar.stop
    turn = math.radians(-bar.angle if face_up else bar.angle)  # the face is the travel turned to the left by the angle
    ux, uy = dx * math.cos(turn) - dy * math.sin(turn), dx * math.sin(turn) + dy * math.cos(turn)
    middle = shape.centroid
    side = m.leftward(bar.edge, (middle.x, middle.y)) * m.leftward(bar.edge, (x + ux, y + uy))
    way = 1.0 if side > 0 else -1.0  # away from the bar, where the piece lies
    return m.lengthened(((x, y), (x + way * ux, y + way * uy)))


def clean(step: Step, edge: Segment) -> bool:
    """Whether an edge is free of dross all along."""
    return all(stretch.clean for stretch in m.stretches(step.metal, edge))


def _through_marks(cut: Cut, shape: Polygon) -> Segment:
    """Through the two marks, scribed from the named edge towards the metal; travel as the plan's line runs."""
    assert cut.marks is not None
    one, two = m.scribed(cut.marks, shape)
    (ax, ay), (bx, by) = m.direction((one, two)), m.direction(cut.line)
    return m.lengthened((one, two) if ax * bx + ay * by >= 0 else (two, one))


def _square(bench: Bench, cut: Cut, *, fence_side: bool) -> bool:
    """Whether the new edge on this side comes out square; the bevel of a two-pass cut changes hand on the far side."""
    side = bench.plan.rig.square_side
    if fence_side:
        return bool(side in ("fence", "equal"))
    return bool(side == "equal" or (side == "far" and len(cut.passes) == 1))


def _agrees(bench: Bench, product: str | None, side: list[Polygon]) -> bool:
    """Whether what is left on one side is the piece that the plan lists."""
    outline = bench.shapes.get(product or "")
    return len(side) == 1 and outline is not None and m.same_shape(side[0], outline)


def _take(bench: Bench, step: Step, product: str | None, side: list[Polygon], *, square: bool, elsewhere: bool) -> None:
    cut = step.cut
    if product is None:
        if side:
            area = sum(each.area for each in side)
            bench.note("lost", name(cut), f"Cut {cut.number} leaves {area:.1f} mm2 that the plan knows nothing of.")
    elif product not in bench.pieces:
        bench.note("unknown_piece", name(cut), f"Cut {cut.number} makes {product}, which the plan does not list.")
    elif product in bench.metals:
        bench.note("made_twice", product, f"Piece {product} is made a second time by cut {cut.number}.")
    else:
        outline, shape = bench.shapes[product], side[0] if len(side) == 1 else None
        if not _agrees(bench, product, side):
            sizes = _sizes(shape, outline)
            bench.note(
                "outline", product, f"{product} does not have the outline that cut {cut.number} gives it{sizes}."
            )
            shape = (outline or shape) if elsewhere else (shape or outline)
        if shape is not None:
            bench.metals[product] = m.product(step.metal, shape, step.torch, cut.kerf, square=square)


def _sizes(made: Polygon | None, said: Polygon | None) -> str:
    if made is None or said is None:
        return ""
    return f": {_size(made)}, not {_size(said)} mm"


def _size(shape: Polygon) -> str:
    x0, y0, x1, y1 = shape.bounds
    return f"{x1 - x0:.2f} x {y1 - y0:.2f}"


def _believe(bench: Bench, cut: Cut) -> None:
    """Go on as if the cut had made what the plan says, all edges clean and square."""
    for product in cut.makes:
        piece = bench.pieces.get(product or "")
        shape = bench.shapes[piece.id] if piece and piece.id not in bench.metals else None
        if piece is not None and shape is not None:
            clean = tuple(Stretch(edge, mill=False, clean=True, square=True) for edge in m.edges(shape))
            bench.metals[piece.id] = Metal(shape, clean)
