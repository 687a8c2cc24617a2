"""Each part's share of what a job costs.

A plate is shared among its own parts by their area as cut, so that kerf, scrap and offcuts go with it; so are the
credits for scrap and offcuts. What a cut costs goes half and half to the two pieces that it makes, all of it to one
where there is no other, and down from each to the parts within it by their area; the half of a piece without a part
goes to the plate's parts by their area. The rule is a choice of this project: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut, Point
from stripplan.model.plan.plan import Plan, PlanPlate

_EDGE = 1e-6
"""Nearer than so an edge of a piece lies on the edge of its plate [mm]."""


Arc = Cut | BevelCut
"""What the arc burns for."""


def starts_of(cut: Arc) -> int:
    """How often the arc is lit for it."""
    return 1 if isinstance(cut, BevelCut) else len(cut.passes)


def rounded_shares(exact: Sequence[float], total: int) -> list[int]:
    """Whole numbers that add up to `total`, each less than 1 from its exact share: the method of the largest remainder
    (Hamilton's).

    Shares are rounded down, and what is missing goes by one each to those that lost most, the earlier first. Shares may
    be below 0. Raises ValueError where the exact shares do not add up to the total.

    >>> rounded_shares([33.4, 33.3, 33.3], 100), rounded_shares([0.5, 0.5, -1.0], 0)
    ([34, 33, 33], [1, 0, -1])
    """
    if not math.isclose(math.fsum(exact), total, rel_tol=1e-9, abs_tol=1e-6):
        raise ValueError(f"shares of {math.fsum(exact):g} do not add up to {total}")
    whole = [math.floor(each) for each in exact]
    lost = sorted(range(len(exact)), key=lambda n: (-round(exact[n] - whole[n], 9), n))
    for n in lost[: total - sum(whole)]:
        whole[n] += 1
    return whole


def shares_of_work(plan: Plan) -> tuple[dict[str, float], dict[str, float]]:
    """By the name of a part, its share of the minutes at the rig and of the mass of the plates [kg], scrap and kerf
    with them: shared as a quotation shares them.
    """
    split, names = Split(plan), [line.name for line in plan.parts]
    minutes = weighted([(cut.minutes.total, split.of_cut(cut)) for cut in plan.arcs], split.parts)
    masses = weighted([(plate.mass, split.of_plate(plate.id)) for plate in plan.plates], split.parts)
    return dict(zip(names, minutes, strict=True)), dict(zip(names, masses, strict=True))


Shares = list[float]
"""A figure for each part, in the order of the plan's parts."""


class Split:
    """How the parts share a plate and a cut: fractions that add up to 1, by area as cut."""

    def __init__(self, plan: Plan) -> None:
        index = {line.name: n for n, line in enumerate(plan.parts)}
        parent = {piece.id: piece.parent for piece in plan.pieces}
        self.parts = len(index)
        self.within: dict[str, Shares] = {piece.id: [0.0] * self.parts for piece in plan.pieces}
        self.on_plate: dict[str, Shares] = {plate.id: [0.0] * self.parts for plate in plan.plates}
        self.kept: dict[str, float] = {}
        self.scrap: dict[str, float] = {}
        self.cut_edges: Shares = [0.0] * self.parts
        plates = {plate.id: plate for plate in plan.plates}
        for piece in plan.pieces:
            if piece.kind == "part" and piece.part is not None:
                area, part = _area(piece.outline), index[piece.part]
                self.on_plate[piece.plate][part] += area
                self.cut_edges[part] += cut_edges(piece.outline, plates[piece.plate])
                above: str | None = piece.id
                while above is not None:
                    self.within[above][part] += area
                    above = parent[above]
            elif piece.kind == "offcut":
                self.kept[piece.plate] = self.kept.get(piece.plate, 0.0) + _area(piece.outline)
            elif piece.kind == "scrap":
                self.scrap[piece.plate] = self.scrap.get(piece.plate, 0.0) + piece.mass
        self.all_parts = [math.fsum(each) for each in zip(*self.on_plate.values(), strict=True)]

    def of_plate(self, plate: str) -> Shares:
        """Fractions of the plate's parts; of all parts where the plate makes none."""
        return fractions(self.on_plate[plate]) or fractions(self.all_parts) or [0.0] * self.parts

    def of_cut(self, cut: Arc) -> Shares:
        """Half of the fractions of each of the two pieces that a cut makes; a bevel goes to its part."""
        if isinstance(cut, BevelCut):
            return fractions(self.within[cut.piece]) or self.of_plate(cut.plate)
        made = [each for each in cut.makes if each is not None]
        halves = [fractions(self.within[each]) or self.of_plate(cut.plate) for each in made]
        return weighted([(1 / len(made), half) for half in halves], self.parts) if made else self.of_plate(cut.plate)


def _area(outline: Sequence[Point]) -> float:
    """Area inside a closed outline [mm2]: the shoelace formula."""
    turned = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned)) / 2


def cut_edges(outline: Sequence[Point], plate: PlanPlate) -> float:
    """Edges of a piece that are not the plate's own [mm]."""
    limits = (0.0, plate.length), (0.0, plate.width)
    turned = zip(outline, (*outline[1:], outline[0]), strict=True)
    return math.fsum(
        math.dist(one, other)
        for one, other in turned
        if not any(abs(one[n] - at) < _EDGE and abs(other[n] - at) < _EDGE for n in (0, 1) for at in limits[n])
    )


def fractions(weights: Shares) -> Shares:
    """The weights as fractions of their sum; nothing where they are all 0."""
    total = math.fsum(weights)
    return [each / total for each in weights] if total else []


def weighted(each: Sequence[tuple[float, Shares]], parts: int) -> Shares:
    """Sum of fractions times their figures, part by part."""
    return [math.fsum(figure * shares[n] for figure, shares in each) for n in range(parts)]


def scaled(shares: Shares, total: int) -> Shares:
    """The same shares of another total; all 0 where there is nothing to share, or nobody."""
    whole = math.fsum(shares)
    return [each / whole * total for each in shares] if whole and total else [0.0] * len(shares)
