"""Straight cuts that a cut at an angle spares: waste beside a block stays with it, and falls with
what is cut off there.

Problem. A block at the end of a row is parted from what is left of the row, and then a cut at an angle takes the same
end off it. The first of the two need not be made.

Method. From the last cut back to the first: where one of its products holds a block and nothing else but waste, and
the other is waste, the block is taken with all of the waste, as it lies or turned over, and its cuts are laid out anew.
Where these are no more than they were with the straight cuts in between, each can be set up, and none more awkwardly,
all of the straight ones are spared. A block with its waste may then spare a further cut.

Exact in what is spared by itself; the order of all other cuts stays as it was found. Nothing is measured from the far
edge of the waste where it is a mill edge that is to be trimmed, or rests on the plate's own size.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace

from stripplan.model.feasible import SAME
from stripplan.model.pattern import Leaf
from stripplan.model.shapes.block import Freed, number_of_cuts
from stripplan.model.workpiece import EAST, NORTH, SOUTH, WEST, Workpiece
from stripplan.sequence.aslant.piece import SlantedPiece, block_as_it_lies
from stripplan.sequence.aslant.ways import awkward, first_ways
from stripplan.sequence.cut_options import BenchPiece, ChosenCut

Margins = tuple[float, float, float, float]
"""What lies beside a block, west, south, east and north of it as it lies in its own frame [mm]."""
NOTHING: Margins = (0.0, 0.0, 0.0, 0.0)

Over = tuple[bool, bool]
"""Whether a block lies turned over end for end along x, and along y."""
AS_IT_IS: Over = (False, False)
WAYS_OVER: tuple[Over, ...] = (AS_IT_IS, (True, True), (True, False), (False, True))

TreeOf = Callable[[Leaf, BenchPiece, Margins, Over], Freed | None]
"""What is to be cut out of a piece that comes out of the rectangular cuts, with so much waste beside its block, which
may be turned over, in the frame of both; None: nothing.
"""

Kind = tuple[Leaf, Margins]
"""A block and what lies beside it."""


@dataclass(frozen=True)
class WithWaste:
    """A block of a plate with waste beside it: its leaf, where that lies, and what is cut out of both; `unsure` are
    sides that nothing is measured from.
    """

    leaf: Leaf
    at: Workpiece
    tree: Freed
    unsure: tuple[int, ...]

    def as_it_lies(self, piece: BenchPiece) -> SlantedPiece:
        """The piece that the cut was spared in, with what is to be cut out of it."""
        return block_as_it_lies(piece, self.tree, quarter=self.leaf.turned, unsure=self.unsure)


@dataclass(frozen=True)
class Spared:
    """Cuts that need not be made, by their places in the order, and the pieces that stay whole, by the number of their
    plate and their identity; `kinds` are all that was found.
    """

    cuts: frozenset[int] = frozenset()
    pieces: Mapping[tuple[int, int], WithWaste] = field(default_factory=dict)
    kinds: tuple[Kind, ...] = ()


@dataclass(frozen=True)
class _Alone:
    """A block that is alone in a piece but for waste: its leaf, where it lies, the piece that it was parted as, what is
    cut out of that, how many cuts free its shapes, and the places in the order of the straight ones that part it from
    the waste.
    """

    leaf: Leaf
    at: Workpiece
    piece: BenchPiece
    tree: Freed
    count: int
    straight: tuple[int, ...] = ()


def spared(order: list[ChosenCut], tree_of: TreeOf, but: Collection[Kind] = ()) -> Spared:
    """What an order of cuts can do without; kinds of blocks that are named keep their cuts."""
    found: dict[tuple[int, int], WithWaste] = {}
    alone: dict[tuple[int, int], _Alone] = {}
    cuts, kinds = list[int](), list[Kind]()
    judged: dict[object, WithWaste | None] = {}
    for n in reversed(range(len(order))):
        cut = order[n]
        block = _block_beside_waste(cut, alone, tree_of)
        if block is None:
            continue
        leaf, at = block.leaf, block.at
        alone[cut.plate, id(cut.piece)] = replace(block, straight=(n, *block.straight))
        margins = _beside(leaf, at, cut.piece.workpiece)
        if (leaf, margins) in but:
            continue
        unsure, most = tuple(_unsure(cut.piece, at)), block.count + len(block.straight)
        look = leaf, margins, unsure, most, cut.piece.face_up, cut.piece.workpiece.edges, id(cut.piece.conditions)
        if look not in judged:
            trees = [tree_of(leaf, cut.piece, margins, over) for over in WAYS_OVER]
            some = [WithWaste(leaf, at, each, unsure) for each in trees if each and number_of_cuts(each) <= most]
            then = block_as_it_lies(block.piece, block.tree, quarter=leaf.turned)
            handy = (each for each in some if _as_handy(each.as_it_lies(cut.piece), then))
            judged[look] = next(handy, None)
        made = judged[look]
        if made is not None:
            found[cut.plate, id(cut.piece)] = replace(made, at=at)
            alone[cut.plate, id(cut.piece)] = replace(
                block, count=max(block.count, number_of_cuts(made.tree)), straight=()
            )
            cuts += [n, *block.straight]
            kinds.append((leaf, margins))
    return Spared(frozenset(cuts), found, tuple(dict.fromkeys(kinds)))


def _block_beside_waste(cut: ChosenCut, alone: Mapping[tuple[int, int], _Alone], tree_of: TreeOf) -> _Alone | None:
    """The block that a cut parts from waste, by itself or with other waste; None where it parts anything else."""
    products = cut.option.right, cut.option.left
    rest = [each for each in products if each is not None and not _is_waste(each)]
    if len(rest) != 1:
        return None
    (piece,) = rest
    known = alone.get((cut.plate, id(piece)))
    if known is not None:
        return known
    leaf = piece.workpiece.node
    if not isinstance(leaf, Leaf) or leaf.part is None:
        return None
    tree = tree_of(leaf, piece, NOTHING, AS_IT_IS)
    return None if tree is None else _Alone(leaf, piece.workpiece, piece, tree, number_of_cuts(tree))


def _is_waste(piece: BenchPiece) -> bool:
    node = piece.workpiece.node
    return isinstance(node, Leaf) and node.kind == "scrap"


def _beside(leaf: Leaf, at: Workpiece, piece: Workpiece) -> Margins:
    """What of a piece lies beside a block, in the frame of the block: one that lies a quarter turn round has its west
    in the south of the plate.
    """
    west, south, east, north = (
        round(each, 6) for each in (at.x0 - piece.x0, at.y0 - piece.y0, piece.x1 - at.x1, piece.y1 - at.y1)
    )
    return (south, east, north, west) if leaf.turned else (west, south, east, north)


def _unsure(piece: BenchPiece, at: Workpiece) -> Iterator[int]:
    """Sides of the waste that nothing is measured from."""
    whole, trims = piece.workpiece, piece.conditions.rules.trim > 0
    beside = {SOUTH: at.y0 - whole.y0, EAST: whole.x1 - at.x1, NORTH: whole.y1 - at.y1, WEST: at.x0 - whole.x0}
    for side, wide in beside.items():
        rests = piece.unmeasured[side in (SOUTH, NORTH)]
        if wide > SAME and (rests or (trims and whole.edges[side] == "mill")):
            yield side


def _as_handy(piece: SlantedPiece, before: SlantedPiece) -> bool:
    """Whether all that is cut out of a piece can be set up, and no more of it awkwardly than before."""
    now, then = _awkward(piece), _awkward(before)
    return now is not None and (then is None or all(a <= b for a, b in zip(now, then, strict=True)))


def _awkward(piece: SlantedPiece) -> tuple[int, int] | None:
    """How many cuts of a piece can only be marked out, and how many are hard to hold; None where one cannot be made."""
    marked = hard = 0
    for _, way in first_ways(piece):
        if way is None:
            return None
        by_marks, swings = awkward(way)
        marked, hard = marked + by_marks, hard + swings
    return marked, hard
