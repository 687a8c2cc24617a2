"""Parts that are cut off against an edge which has bowed are named, where the bow takes much of what they may be
off."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.part import Part, Shape
from stripplan.model.plan.cut import Cut
from stripplan.replay import metal as m
from stripplan.replay.lookup import Bench
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
    yield from ((CODE, name) for name in _bowed(bench, SHARE * (1 + JUST)))


def allowed(bench: Bench) -> set[tuple[str, str]]:
    """The parts that may be named."""
    return {(CODE, name) for name in _bowed(bench, SHARE * (1 - JUST))}


def _bowed(bench: Bench, share: float) -> set[str]:
    wants = {part.name: part for part in bench.plan.job.parts}
    found = set[str]()
    for cut in bench.plan.cuts:
        part = bench.pieces.get(cut.makes[0] or "")
        if cut.located != "fence" or part is None or part.part is None or part.part not in wants:
            continue
        if m.aslant(cut.line) or isinstance(wants[part.part], Shape):
            continue  # of straight-sided shapes no bow is foretold
        bow = _bow(bench, cut)
        if bow > 0 and bow > share * _limit(bench, cut, wants[part.part]):
            found.add(part.part)
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
