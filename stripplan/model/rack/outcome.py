"""What a plan has made of its plates, as far as it was cut: parts, offcuts for the rack, scrap, and what kerfs took.

Of every plate that was begun: plate = parts + offcuts + scrap + kerf, by area.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from stripplan.model.plan.cut import Point
from stripplan.model.plan.lying import all_made, cuts_made, leaves
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.progress import CutProgress
from stripplan.model.plate import EdgeState, PlateRolling
from stripplan.model.polygon import moved
from stripplan.model.rack.keep import KeepRule, is_kept
from stripplan.model.rack.piece import CUT, Edges, RackPiece, rectangle_in
from stripplan.model.rack.salvage import Salvage, edge_states, salvaged

LeftKind = Literal["part", "offcut", "scrap"]


@dataclass(frozen=True, kw_only=True)
class Left:
    """A piece of metal that is left of a plate. `offcut` is what goes onto the rack of it. mm, mm2."""

    piece: str
    plate: str
    kind: LeftKind
    part: str | None
    length: float
    width: float
    area: float
    offcut: RackPiece | None = None


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of the plates that were `begun`, by their ids in the plan; `kerf_area` is what the torch took
    [mm2]."""

    begun: tuple[str, ...]
    plate_area: float
    left: tuple[Left, ...]

    def area(self, kind: LeftKind) -> float:
        """Area of all that is left of a kind [mm2]."""
        return sum((each.area for each in self.left if each.kind == kind), 0.0)

    @property
    def kerf_area(self) -> float:
        """What no piece holds any more [mm2]."""
        return self.plate_area - sum((each.area for each in self.left), 0.0)


def outcome(plan: Plan, tag: str, rules: Iterable[KeepRule], progress: CutProgress | None = None) -> Outcome:
    """What a plan with the id `tag` has made, `progress` cuts of it (None: all). What is still to be cut counts as an
    offcut; what is below the least worth keeping by `rules` as scrap.
    """
    rules, progress = tuple(rules), progress or all_made(plan)
    cuts = cuts_made(plan, progress)
    begun = {cut.plate for cut in cuts} | (_used_whole(plan) if progress == all_made(plan) else set())
    plates = {plate.id: plate for plate in plan.plates if plate.id in begun}
    whole = [
        (piece, True) for piece in plan.pieces if piece.parent is None and piece.plate in _used_whole(plan) & begun
    ]
    found = [_left(plan, plates[each.plate], each, sound, tag, rules) for each, sound in
             (*whole, *leaves(plan, progress, cuts))]  # fmt: skip
    for good in salvaged(plan, progress, cuts):
        found = [replace(each, area=each.area - good.piece.area) if each.piece == good.of.id else each
                 for each in found]  # fmt: skip
        found.append(_salvage(plan, plates[good.piece.plate], good, tag))
    return Outcome(
        begun=tuple(plates),
        plate_area=sum(plate.length * plate.width for plate in plates.values()),
        left=tuple(_with_costs(plan, found)),
    )


def _used_whole(plan: Plan) -> set[str]:
    """Plates that are parts as they stand: no cut makes them so."""
    return {piece.plate for piece in plan.pieces if piece.parent is None and piece.kind == "part"}


def _left(plan: Plan, plate: PlanPlate, piece: Piece, sound: bool, tag: str, rules: Sequence[KeepRule]) -> Left:
    length, width = _sides(piece)
    kind: LeftKind = "part" if piece.kind == "part" and sound else "scrap"
    offcut = None
    worth = is_kept(rules, plate.material, plate.thickness, (length, width))
    wanted = piece.kind == "blank" and (worth or piece.is_rectangle)  # what is still to be cut
    if sound and (wanted or (piece.kind == "offcut" and worth)):
        kind, offcut = "offcut", _on_the_rack(plan, plate, piece, tag)
    return Left(
        piece=piece.id, plate=plate.id, kind=kind, part=piece.part if kind == "part" else None, length=length,
        width=width, area=_area(piece.outline), offcut=offcut,
    )  # fmt: skip


def _salvage(plan: Plan, plate: PlanPlate, good: Salvage, tag: str) -> Left:
    """What is still good of a spoilt piece: worth keeping, as somebody says so."""
    x0, y0, x1, y1 = good.piece.box
    offcut = _on_the_rack(plan, plate, good.piece, tag)
    offcut = replace(
        offcut,
        edges=_edges(edge_states(good.piece, plate, good)),
        rolling=offcut.rolling if good.lies_known else "none",
        measured=True,
        note=good.note,
    )
    return Left(
        piece=good.piece.id, plate=plate.id, kind="offcut", part=None, length=x1 - x0, width=y1 - y0,
        area=good.piece.area, offcut=offcut,
    )  # fmt: skip


def _sides(piece: Piece) -> tuple[float, float]:
    """Sizes along x and y; of a piece with slanted edges those of the largest rectangle in it, down to a tenth."""
    if not piece.is_rectangle:
        return rectangle_in(piece.outline)
    x0, y0, x1, y1 = piece.box
    return x1 - x0, y1 - y0


def _on_the_rack(plan: Plan, plate: PlanPlate, piece: Piece, tag: str) -> RackPiece:
    """A piece of a plate as one of the rack: an edge inside the plate is a cut one, the others are what they were.

    Of one with slanted edges that is the largest rectangle in it, to be cut out first.
    """
    x0, y0, _, _ = piece.box
    length, width = _sides(piece)
    given = next((each for each in plan.job.plates if each.name == plate.stock), None)
    rolling: PlateRolling = given.rolling if given is not None else "none"
    return RackPiece(
        kind="offcut",
        length=round(length, 6),
        width=round(width, 6),
        thickness=plate.thickness,
        material=plate.material,
        edges=_edges(edge_states(piece, plate)) if piece.is_rectangle else CUT,
        rolling=rolling,
        outline=() if piece.is_rectangle else moved(piece.outline, -x0, -y0),
        code=f"stripplan:{tag}:{piece.id}",
        from_plan=tag,
    )


def _edges(states: Sequence[str]) -> Edges:
    known: tuple[EdgeState, ...] = get_args(EdgeState)
    one, two, three, four = (next(each for each in known if each == state) for state in states)
    return one, two, three, four


def worth_of_offcut(cost: float, plate_area: float, area: float, share: float) -> float:
    """What an offcut of a plate is worth on the rack [money], areas in mm2, by its size alone: so two that are alike
    are worth the same, whatever they were cut beside. `share` is what an offcut counts of its plate's price by area; of
    one that was an offcut itself, whose price is such a share already, it is 1.

    In its own total a plan counts all but the largest offcut of a plate at half of that, so that what is left is
    gathered in one piece; once they lie on the rack, that is past.

    >>> worth_of_offcut(100.0, 2_000_000.0, 200_000.0, 0.5)
    5.0
    """
    return round(cost / plate_area * area * share, 2)


def _with_costs(plan: Plan, found: Sequence[Left]) -> list[Left]:
    """Offcuts with what they are worth on the rack; without a price where the plan counts in kilograms."""
    if plan.total is None or plan.total.currency != "money":
        return list(found)
    shares = {each.name: 1.0 if each.offcut else plan.job.options.offcut_share for each in plan.job.plates}
    plates = {each.id: each for each in plan.plates}
    priced = []
    for each in found:
        if each.offcut is not None:
            plate = plates[each.plate]
            share = shares.get(plate.stock, 1.0)
            cost = worth_of_offcut(plate.cost, plate.length * plate.width, each.area, share)
            each = replace(each, offcut=replace(each.offcut, cost=cost))
        priced.append(each)
    return priced


def _area(outline: Sequence[Point]) -> float:
    """Area within an outline [mm2], by the sum over its corners."""
    twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True))
    return abs(twice) / 2
