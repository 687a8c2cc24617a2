"""What lies in the workshop while a plan is being cut: worked out from the cuts that were made."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress, Side


def all_made(plan: Plan) -> CutProgress:
    """Every cut and bevel made, none of them wrong."""
    return CutProgress(done=frozenset(each.number for each in plan.arcs))


def cuts_made(plan: Plan, progress: CutProgress) -> list[Cut]:
    """Cuts that were made, well or badly, in the order of work: a cut or bevel that was made had its piece to cut, so
    the cuts that made that piece count too.
    """
    maker = {name: cut for cut in plan.cuts for name in cut.makes if name is not None}
    numbers = set()
    begun = [cut for cut in plan.cuts if cut.number in progress.done or spoilt_sides(progress, cut)]
    begun += [maker[bevel.piece] for bevel in bevels_made(plan, progress) if bevel.piece in maker]
    for each in begun:
        waiting: Cut | None = each
        while waiting is not None:
            numbers.add(waiting.number)
            waiting = maker.get(waiting.piece)
    return [cut for cut in plan.cuts if cut.number in numbers]


def bevels_made(plan: Plan, progress: CutProgress) -> list[BevelCut]:
    """Bevels that were cut, well or badly, in the order of work."""
    return [each for each in plan.bevels if each.number in progress.done or spoilt_sides(progress, each)]


def bevels_left(plan: Plan, progress: CutProgress, cuts: Iterable[Cut]) -> list[BevelCut]:
    """Bevels that are still to be cut on parts that lie there."""
    there = {piece.id for piece in lying_there(plan, progress, cuts)}
    made = {each.number for each in bevels_made(plan, progress)}
    return [each for each in plan.bevels if each.piece in there and each.number not in made]


def lying_there(plan: Plan, progress: CutProgress, cuts: Iterable[Cut]) -> list[Piece]:
    """Pieces that lie in the workshop, of plates that were begun; without what was spoilt and all that came of it."""
    return [piece for piece, sound in leaves(plan, progress, cuts) if sound]


def leaves(plan: Plan, progress: CutProgress, cuts: Iterable[Cut]) -> list[tuple[Piece, bool]]:
    """All metal there is of plates that were begun, and of each piece whether it is sound: not spoilt, nor cut from
    what was.
    """
    pieces = {piece.id: piece for piece in plan.pieces}
    made: set[str] = set()
    sound: set[str] = set()
    gone: set[str] = set()
    for cut in cuts:
        spoilt = spoilt_sides(progress, cut)
        gone.add(cut.piece)
        for name, side in zip(cut.makes, ("right", "left"), strict=True):
            if name is not None:
                made.add(name)
                if side not in spoilt:
                    sound.add(name)
    sound -= {bevel.piece for bevel in plan.bevels if spoilt_sides(progress, bevel)}
    return [(pieces[name], _whole_line(pieces, name, sound)) for name in pieces if name in made - gone]


def _whole_line(pieces: Mapping[str, Piece], name: str, sound: Collection[str]) -> bool:
    """Whether a piece and every one that it was cut from were sound: what was spoilt gives nothing any more."""
    here: str | None = name
    while here is not None and pieces[here].parent is not None:
        if here not in sound:
            return False
        here = pieces[here].parent
    return True


def spoilt_sides(progress: CutProgress, cut: Cut | BevelCut) -> frozenset[Side]:
    """The sides that a cut has spoilt; of a bevel either means its part."""
    return progress.spoilt.get(cut.number, frozenset())
