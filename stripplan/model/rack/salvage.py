"""What is still good of a piece that a cut has spoilt: a rectangle that a person has measured, trimmed to it first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.lying import cuts_made, leaves, spoilt_sides
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.plan.progress import CutProgress, Side
from stripplan.model.polygon import holds
from stripplan.model.rack.piece import TRIM_FIRST
from stripplan.wording.message import Facts, Message, length

SAME = 0.01
"""Two coordinates closer than this are one [mm]."""
SIDES: tuple[Side, Side] = ("right", "left")
"""The sides of a cut as its pieces stand in the plan."""


@dataclass(frozen=True, kw_only=True)
class Salvage:
    """What is still good `of` a piece that was spoilt, as a `piece` of its own.

    Where in that it lies nobody says: it is put into the middle, so that it lies on an edge of the plate where the
    whole extent is left, and nowhere else.
    """

    piece: Piece
    of: Piece

    @property
    def lies_known(self) -> bool:
        """Whether it can lie in the spoilt piece one way alone, so that what ran along that still does."""
        (x0, y0, x1, y1), (ox0, oy0, ox1, oy1) = self.piece.box, self.of.box
        across = x1 - x0 <= oy1 - oy0 + SAME and y1 - y0 <= ox1 - ox0 + SAME
        return self.of.is_rectangle and not across

    @property
    def note(self) -> str:
        """What is to be known of it at the rig: which of its edges went, and how, nobody has said."""
        return f"what is left of {self.of.id}, which was spoilt: {TRIM_FIRST}"


def salvaged(plan: Plan, progress: CutProgress, cuts: Iterable[Cut]) -> list[Salvage]:
    """What is still good of the pieces that were spoilt; `cuts` as of `cuts_made`."""
    made_by = {name: (cut.number, side) for cut in plan.cuts for name, side in zip(cut.makes, SIDES, strict=True)}
    found = []
    for piece, sound in leaves(plan, progress, cuts):
        size = None if sound else progress.usable.get(made_by[piece.id])
        if size is not None:
            found.append(Salvage(piece=_within(piece, size), of=piece))
    return found


def not_salvaged(plan: Plan, progress: CutProgress) -> Iterator[Message]:
    """What is said to be good of a spoilt piece and cannot be, in words: nothing fell there, it was cut further since,
    or the size does not lie on it."""
    cuts = cuts_made(plan, progress)
    there = {piece.id for piece, _ in leaves(plan, progress, cuts)}
    opened = {cut.piece: cut.number for cut in cuts}
    pieces = {piece.id: piece for piece in plan.pieces}
    makes: dict[int, dict[Side, str | None]] = {
        cut.number: dict(zip(SIDES, cut.makes, strict=True)) for cut in plan.cuts
    }
    makes |= {bevel.number: {} for bevel in plan.bevels}  # nobody says where a bevel has spoilt its part
    spoilt = {each.number: spoilt_sides(progress, each) for each in plan.arcs}
    for (number, side), (long, wide) in progress.usable.items():
        name = makes[number].get(side)
        facts: dict[str, int | str] = {"cut": number, "side": side, "piece": name or ""}
        if name is None or side not in spoilt[number]:
            yield Message("not_salvaged", "", Facts(**facts), says="usable_nothing")
        elif name not in there:
            yield Message("not_salvaged", "", Facts(**facts, opened=opened.get(name, number)), says="usable_cut")
        elif not _fits(pieces[name], (long, wide)):
            sides = tuple(length(each) for each in _extents(pieces[name]))
            yield Message("not_salvaged", "", Facts(**facts, given=(length(long), length(wide)), sides=sides),
                          says="usable_larger")  # fmt: skip


def edge_states(piece: Piece, plate: PlanPlate, left: Salvage | None = None) -> tuple[str, str, str, str]:
    """The states of the edges A to D of a piece of a plate: those of the plate where they lie on its own, else cut.

    Of what is `left` of a spoilt piece: across an extent of which something is lost nobody knows which edge it was, so
    that both count as mill, and are trimmed where that is asked, if one of them is.
    """
    if left is None:
        return _states(piece, plate)
    south, east, north, west = _states(left.of, plate)
    if not left.lies_known:
        one = _unknown(south, east, north, west)
        return one, one, one, one
    (x0, y0, x1, y1), (ox0, oy0, ox1, oy1) = piece.box, left.of.box
    if x1 - x0 < ox1 - ox0 - SAME:
        east = west = _unknown(east, west)
    if y1 - y0 < oy1 - oy0 - SAME:
        south = north = _unknown(south, north)
    return south, east, north, west


def _unknown(*states: str) -> str:
    return "mill" if "mill" in states else "cut"


def _states(piece: Piece, plate: PlanPlate) -> tuple[str, str, str, str]:
    x0, y0, x1, y1 = piece.box
    inside = (y0, plate.length - x1, plate.width - y1, x0)
    south, east, north, west = (state if off < SAME else "cut" for state, off in zip(plate.edges, inside, strict=True))
    return south, east, north, west


def _within(piece: Piece, size: tuple[float, float]) -> Piece:
    """A piece of that size in the middle of another: as it is given where it lies so, else turned."""
    x0, y0, x1, y1 = piece.box
    long, wide = size
    if long > x1 - x0 + SAME or wide > y1 - y0 + SAME:
        long, wide = wide, long
    if piece.is_rectangle:
        long, wide = min(long, x1 - x0), min(wide, y1 - y0)
    left, low = x0 + (x1 - x0 - long) / 2, y0 + (y1 - y0 - wide) / 2
    outline = ((left, low), (left + long, low), (left + long, low + wide), (left, low + wide))
    mass = piece.mass * long * wide / piece.area
    return replace(piece, id=f"{piece.id}-left", kind="offcut", part=None, outline=outline, mass=mass)


def _fits(piece: Piece, size: tuple[float, float]) -> bool:
    if piece.is_rectangle:
        return all(one <= other + SAME for one, other in zip(sorted(size), piece.sides, strict=True))
    return holds(piece.outline, max(size), min(size))


def _extents(piece: Piece) -> tuple[float, float]:
    x0, y0, x1, y1 = piece.box
    return x1 - x0, y1 - y0
