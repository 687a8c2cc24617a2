"""Parts that are cut off against an edge which has bowed are named, where the bow takes much of what they may be
off."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.part import Part, Shape
from stripplan.model.plan.cut import Cut
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench, name
from stripplan.replay.metal import NEAR
from stripplan.replay.parts_made import length_of, lies
from stripplan.replay.rules import narrow_limits
from stripplan.replay.rules.equal_parts import general
from stripplan.replay.trueness import hot_constant

CODE = "bow_at_fence"
SHARE = 0.25
"""Of what a part may be off, so much may go unheeded."""
JUST = 1e-6
"""Share within which a bow counts as either side of that."""


def rule(bench: Bench) -> Iterator[tuple[str, str]]:
    """The parts that must be named."""
    yield from ((CODE, part) for part in _bowed(bench, SHARE * (1 + JUST)))


def allowed(bench: Bench) -> set[tuple[str, str]]:
    """The parts that may be named."""
    return {(CODE, part) for part in _bowed(bench, SHARE * (1 - JUST))}


def check_cuts(bench: Bench) -> Iterator[Finding]:
    """The cuts at which an edge that has bowed is pressed to the fence, and by how much it has bowed; plans that were
    made before it was told cut by cut name the parts alone."""
    tells = any(cut.edge_bow is not None for cut in bench.plan.cuts)
    tells |= any(each.code == CODE and "cuts" in each.facts for each in bench.plan.warnings)
    due = {cut: bow for cut, _, bow in _bowed_cuts(bench, SHARE * (1 + JUST))} if tells else {}
    may = {cut: bow for cut, _, bow in _bowed_cuts(bench, SHARE * (1 - JUST), shapes=True)}
    for cut in bench.plan.cuts:
        said, right = cut.edge_bow, may.get(cut.number)
        if said is None and cut.number in due:
            yield _wrong(cut, f"The edge on the fence has bowed by {due[cut.number]:.2f} mm: it says nothing of it.")
        elif said is not None and right is None:
            yield _wrong(cut, "The edge on the fence has not bowed by as much as would be told: it says that it has.")
        elif said is not None and right is not None and not math.isclose(said, right, rel_tol=1e-5, abs_tol=0.001):
            yield _wrong(cut, f"The edge on the fence has bowed by {right:.3f} mm, not {said:.3f} mm.")


def _wrong(cut: Cut, text: str) -> Finding:
    return Finding("edge_bow", name(cut), f"Cut {cut.number}: {text[0].lower()}{text[1:]}")


def _bowed(bench: Bench, share: float) -> set[str]:
    return {part for _, part, _ in _bowed_cuts(bench, share)}


def _bowed_cuts(bench: Bench, share: float, *, shapes: bool = False) -> Iterator[tuple[int, str, float]]:
    """Cuts, the parts that come off there, and the bow of the edge on the fence [mm].

    What a straight-sided shape may be off by nobody says: with `shapes` any bow at it counts, or at a blank that is cut
    at an angle later, else none.
    """
    wants = {part.name: part for part in bench.plan.job.parts}
    blanks = _aslant_later(bench) if shapes else set[str]()
    for cut in bench.plan.cuts:
        part = bench.pieces.get(cut.makes[0] or "")
        if cut.located != "fence" or m.aslant(cut.line) or part is None:
            continue
        if part.id in blanks and (bow := _bow(bench, cut)) > 0:
            yield cut.number, "", bow
        if part.part is None or part.part not in wants or (isinstance(wants[part.part], Shape) and not shapes):
            continue
        bow, shape = _bow(bench, cut), isinstance(wants[part.part], Shape)
        if bow > 0 and (shape or bow > share * _limit(bench, cut, wants[part.part])):
            yield cut.number, part.part, bow


def _aslant_later(bench: Bench) -> set[str]:
    """Pieces that are cut at an angle, and those that they come from."""
    found: set[str] = set()
    for cut in bench.plan.cuts:
        piece = cut.piece if m.aslant(cut.line) else None
        while piece is not None and piece not in found:
            found.add(piece)
            piece = bench.pieces[piece].parent if piece in bench.pieces else None
    return found


def _bow(bench: Bench, cut: Cut) -> float:
    """Bow of the edge on the fence over the length of the cut [mm]; 0 where it is a mill edge, or the other side was
    cut as well."""
    piece, plate = bench.pieces.get(cut.piece), bench.plates.get(cut.plate)
    if piece is None or plate is None:
        return 0.0  # said already
    shape = bench.shape(piece)
    process = next((each for each in bench.plan.rig.processes if each.name == plate.process), None)
    if shape is None or cut.edge_on_fence is None or process is None or not narrow_limits.bow_known(process):
        return 0.0
    x0, y0, x1, y1 = shape.bounds
    sides = {0: (y0, 0.0), 1: (x1, plate.length), 2: (y1, plate.width), 3: (x0, 0.0)}
    was_cut = {n: abs(at - edge) > NEAR or plate.edges[n] != "mill" for n, (at, edge) in sides.items()}
    (ax, ay), (bx, by) = cut.edge_on_fence
    along = abs(by - ay) <= abs(bx - ax)
    datum = (0 if abs(ay - y0) <= abs(ay - y1) else 2) if along else (3 if abs(ax - x0) <= abs(ax - x1) else 1)
    if not was_cut[datum] or was_cut[(datum + 2) % 4]:
        return 0.0
    across = y1 - y0 if along else x1 - x0
    return float(hot_constant(process) * (cut.length / across) ** 2)


def _limit(bench: Bench, cut: Cut, want: Part) -> float:
    """By how much the size that this cut gives a part may be off [mm]."""
    if want.allowance:
        return math.inf
    part = bench.pieces[cut.makes[0] or ""]
    shape = bench.shape(part)
    assert shape is not None
    (ax, ay), (bx, by) = cut.line
    along = abs(by - ay) <= abs(bx - ax)
    turned = lies(bench, shape.bounds, want, bench.plates[cut.plate])
    width = any(each != along for each in turned)  # of a part that lies along the plate a cut along it gives the width
    size = want.width if width else length_of(want)
    if size is None:
        return math.inf
    return general(bench.plan.job.options.general_class, size) if want.plus_minus is None else want.plus_minus
