"""The plates of a plan as patterns of another job: what is still wanted of them stays where it is.

A plan records which piece each cut makes; a pattern is what all of them come to, without an order. Cuts of one
direction that follow one another are one row of siblings. A part that is not wanted any more becomes an offcut, or
scrap, and a blank without a part in it is one piece.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stripplan.model.part import Part, Rectangle
from stripplan.model.pattern import Blank, Direction, Leaf, Node, Pattern, across, leaves
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan, PlanPlate
from stripplan.model.rack.offcut import worth_keeping
from stripplan.planner.settled import Settled, SettledPlate

SAME = 0.01
"""Sizes closer than this are one [mm]: so near the replay holds a plan to its figures."""


@dataclass(frozen=True)
class KeptPlate:
    """A plate of the plan before that stays: its id there, its pattern in the job as it is now, and which parts of the
    job come out of each of its pieces.
    """

    id: str
    pattern: Pattern
    parts: Mapping[str, Counter[int]]


def kept_plates(settled: Settled, before: Plan, *, pinned: bool = False) -> list[KeptPlate]:
    """The plates of a plan that can stay, in its order; each part is counted as long as it is wanted. `pinned`: what
    is left at a mill edge that is not trimmed stays there, whatever the order, so that no part comes to lie at it; else
    it can be filled.

    A plate stays where the job has it still, as it was and cut with the same kerf, and where it holds a part that is
    wanted. Plates with square edges asked of their parts are laid out anew, as which side of a cut is square is not in
    the sizes; so are those with slanted cuts.
    """
    wanted = Counter({n: part.quantity for n, part in enumerate(settled.job.parts) if part.quantity})
    there: Counter[int] = Counter()
    found = []
    for plate in before.plates:
        stock = _stock(settled, plate)
        if any(each.plate == plate.id and not each.is_rectangle for each in before.pieces):
            continue
        if stock is None or (stock.limit is not None and there[stock.index] >= stock.limit):
            continue
        tree = _Tree(settled, before, plate, stock, wanted, pinned=pinned)
        if tree.root is not None:
            there[stock.index] += 1
            found.append(KeptPlate(plate.id, Pattern(stock.index, tree.root), tree.parts))
    return found


def _stock(settled: Settled, plate: PlanPlate) -> SettledPlate | None:
    """The plate of the job that a plate of the plan came from, where it is as it was."""
    for each in settled.plates:
        now = each.plate
        sizes = ((now.length, plate.length), (now.width, plate.width), (now.thickness or 0.0, plate.thickness))
        same = all(abs(one - other) < SAME for one, other in sizes) and (now.material or "") == plate.material
        if now.name == plate.stock and same and now.edges == plate.edges:
            return each if abs(each.process.kerf - plate.kerf) < SAME / 2 else None
    return None


class _Tree:
    """One plate of a plan as nodes; `wanted` is lowered by the parts that are found on it, where it stays."""

    def __init__(
        self,
        settled: Settled,
        before: Plan,
        plate: PlanPlate,
        stock: SettledPlate,
        wanted: Counter[int],
        *,
        pinned: bool,
    ) -> None:
        self.settled, self.stock, self.pinned = settled, stock, pinned
        self.ends = (0.0, 0.0, plate.length, plate.width)
        self.pieces: Mapping[str, Piece] = {each.id: each for each in before.pieces if each.plate == plate.id}
        self.cut_in: Mapping[str, Cut] = {cut.piece: cut for cut in before.cuts if cut.plate == plate.id}
        self.left = wanted.copy()
        self.parts: dict[str, Counter[int]] = {name: Counter() for name in self.pieces}
        (whole,) = (each.id for each in self.pieces.values() if each.parent is None)
        root = self._node(whole)
        parts = [leaf.part for leaf in leaves(root) if leaf.part is not None]
        # No square edges are kept, so neither is a plate that holds a part with some.
        kept = parts and all(settled.job.parts[n].square == "none" for n in parts)
        self.root = root if kept else None
        if kept:
            wanted.subtract(Counter(parts))

    def _node(self, name: str) -> Node:
        """What a piece is: a leaf, or a row of siblings. One without a part in it is one leaf."""
        cut, (x0, y0, x1, y1) = self.cut_in.get(name), self.pieces[name].box
        if cut is None:
            return self._leaf(self.pieces[name])
        direction = _direction(cut)
        children = list(self._row(name, direction))
        if not any(leaf.kind == "part" for child in children for leaf in leaves(child)):
            return self._rest(_mm(x1 - x0), _mm(y1 - y0))
        low = high = None
        if self.settled.job.options.trim > 0:  # what is left there may have its mill edge still
            across_it = 1 if direction == "along" else 0
            at_mill = [
                self.pinned and abs(self.pieces[name].box[side] - self.ends[side]) < SAME
                for side in (across_it, across_it + 2)
            ]
            ends = zip((children[0], children[-1]), at_mill, strict=True)
            low, high = (self._trim(end, direction, pinned) for end, pinned in ends)
            children = children[low is not None : len(children) - (high is not None)]
        else:
            children = self._joined(children, direction)
        if len(children) == 1 and low is None and high is None:
            return children[0]
        return Blank(_mm(x1 - x0), _mm(y1 - y0), direction, tuple(children), low, high)

    def _row(self, name: str, direction: Direction) -> Iterator[Node]:
        """Siblings of a row, from small coordinates to large: what cuts of one direction part a piece into."""
        cut = self.cut_in.get(name)
        if cut is None or _direction(cut) != direction:
            yield self._node(name)
            return
        across = 1 if direction == "along" else 0
        made = sorted((each for each in cut.makes if each is not None), key=lambda each: self.pieces[each].box[across])
        if len(made) == 2:
            for each in made:
                yield from self._row(each, direction)
            return
        low = self.pieces[made[0]].box[across] <= self.pieces[name].box[across] + SAME
        gone = self._gone(name, made[0], direction)
        yield from (*self._row(made[0], direction), gone) if low else (gone, *self._row(made[0], direction))

    def _trim(self, end: Node, direction: Direction, pinned: bool) -> Leaf | None:
        """The end of a row where it is a trim, or is `pinned` and no part."""
        wide = pinned or abs(across(end, direction) - self.settled.job.options.trim) < SAME
        return end if isinstance(end, Leaf) and end.kind != "part" and wide else None

    def _joined(self, row: list[Node], direction: Direction) -> list[Node]:
        """A row in which what is left beside what is left is one piece: there is nothing to cut between them."""
        kerf, found = self.stock.process.kerf, list[Node]()
        for each in row:
            last = found[-1] if found else None
            if isinstance(each, Leaf) and isinstance(last, Leaf) and "part" not in (each.kind, last.kind):
                more = across(last, direction) + kerf
                x, y = (0.0, more) if direction == "along" else (more, 0.0)
                found[-1] = self._rest(each.length + x, each.width + y)
            else:
                found.append(each)
        return found

    def _gone(self, name: str, left: str, direction: Direction) -> Leaf:
        """Scrap without extent beside the one piece that a cut leaves: the kerf takes it whole."""
        (x0, y0, x1, y1), (a0, b0, a1, b1) = self.pieces[name].box, self.pieces[left].box
        kerf = self.stock.process.kerf
        if direction == "along":
            return Leaf("scrap", _mm(x1 - x0), _mm((y1 - y0) - (b1 - b0) - kerf))
        return Leaf("scrap", _mm((x1 - x0) - (a1 - a0) - kerf), _mm(y1 - y0))

    def _leaf(self, piece: Piece) -> Leaf:
        """A piece that is cut no more: a part as long as it is wanted in that size, else rest."""
        x0, y0, x1, y1 = piece.box
        length, width = _mm(x1 - x0), _mm(y1 - y0)
        if piece.kind == "part":
            for number, part in enumerate(self.settled.job.parts):
                turned = None if part.name != piece.part else _turned(part, length, width)
                if turned is not None and self.left[number] > 0 and part.plate in (None, self.stock.plate.name):
                    self.left[number] -= 1
                    self._note(piece, number)
                    return Leaf("part", length, width, number, turned)
        return self._rest(length, width)

    def _note(self, piece: Piece, part: int) -> None:
        """Note a part for its piece and all that it comes from."""
        at: Piece | None = piece
        while at is not None:
            self.parts[at.id][part] += 1
            at = None if at.parent is None else self.pieces[at.parent]

    def _rest(self, length: float, width: float) -> Leaf:
        keep = worth_keeping(length, width, self.settled.job.options.keep)
        return Leaf("offcut" if keep else "scrap", _mm(length), _mm(width))


def _mm(value: float) -> float:
    """A length as a plan file carries it, without what the binary sum of two coordinates is off by."""
    return round(value, 6)


def _direction(cut: Cut) -> Direction:
    (ax, ay), (bx, by) = cut.line
    return "along" if abs(bx - ax) > abs(by - ay) else "across"


def _turned(part: Part, length: float, width: float) -> bool | None:
    """Whether a part lies turned in a piece of this size; None where the piece is not of its size, as cut."""
    wide, over = part.width_as_cut, (part.tolerance or 0.0) + SAME
    if not isinstance(part, Rectangle):
        return False if -SAME <= width - wide <= over else None
    long = part.length_as_cut
    for turned, x, y in ((False, long, wide), (True, wide, long)):
        if -SAME <= length - x <= over and -SAME <= width - y <= over and (part.rotate or not turned):
            return turned
    return None
