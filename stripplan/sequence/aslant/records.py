"""From the order of rectangular cuts to the records of the whole: the cuts of blocks are put in and all is timed anew.

The cuts of blocks come after the last rectangular cut by their process, so that it is not changed for them, or of their
plate where plates are cut one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stripplan.model.job import Options
from stripplan.model.pattern import Leaf
from stripplan.model.plan.cut import Pass
from stripplan.model.plan.piece import Piece, PieceKind
from stripplan.model.polygon import holds, without_specks
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Falls, Freed
from stripplan.sequence.aslant.order import NextCut, in_order
from stripplan.sequence.aslant.piece import SlantedPiece, block_as_it_lies
from stripplan.sequence.aslant.spared import AS_IT_IS, NOTHING, Kind, Spared, TreeOf, spared
from stripplan.sequence.changeover import RigState, changeover, state_after
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import CutOrder
from stripplan.sequence.to_plan import PiecesAndCuts, PlateToCut, Records

SPECK = 0.005
"""Edges of a part shorter than so come of roundings, and are none [mm]."""

JUST = 1e-6
"""Minutes that are nearer than so are the same."""
MOST_KINDS = 8
"""Of so many kinds of blocks that could spare a cut each is tried without."""


def with_blocks(
    rig: Rig,
    names: tuple[Sequence[str], Sequence[str]],
    plates: Sequence[PlateToCut],
    order: CutOrder,
    tree_of: TreeOf,
    options: Options,
    *,
    sparing: bool = True,
) -> PiecesAndCuts:
    """Every piece and cut of an order of work and, after them, of the blocks that come out of it.

    `names` are those of the parts by index: as leaves of the plates name them, and as what falls out of blocks does.
    `sparing`: straight cuts that a cut at an angle makes as well are left out, where that takes less time.
    """

    def made(some: Spared) -> PiecesAndCuts:
        return _all_made(_WithBlocks(rig, names, plates, tree_of, options, some), plates, order, options)

    plain = made(Spared())
    found = spared(order.cuts, tree_of) if sparing else Spared()
    if not found.cuts:
        return plain
    best, but = made(found), frozenset[Kind]()
    for kind in found.kinds[:MOST_KINDS] if len(found.kinds) > 1 else ():
        other = made(spared(order.cuts, tree_of, but | {kind}))
        if _minutes(other) < _minutes(best) - JUST:
            best, but = other, but | {kind}
    return best if _minutes(best) < _minutes(plain) - JUST else plain


def _minutes(work: PiecesAndCuts) -> float:
    return sum(cut.minutes.total for cut in work.cuts)


def _all_made(made: _WithBlocks, plates: Sequence[PlateToCut], order: CutOrder, options: Options) -> PiecesAndCuts:
    for number, plate in enumerate(plates):
        made.add_piece(number, plate, plate.piece, None)
    by_plate = options.aim == "plate_by_plate" or bool(options.before)
    last = {_key(cut.plate, plates[cut.plate], by_plate): n for n, cut in enumerate(order.cuts)}
    # Blocks that are whole plates wait for no other cut.
    made.free_blocks([n for n in range(len(plates)) if _key(n, plates[n], by_plate) not in last])
    for n, cut in enumerate(order.cuts):
        made.cut_across(n, cut)
        key = _key(cut.plate, plates[cut.plate], by_plate)
        if last[key] == n:
            made.free_blocks([m for m in range(len(plates)) if _key(m, plates[m], by_plate) == key])
    return made.all_of_it()


def _key(number: int, plate: PlateToCut, by_plate: bool) -> tuple[int, str]:
    """What the cuts of blocks wait for the end of."""
    return (number, "") if by_plate else (-1, plate.process.name)


class _WithBlocks(Records):
    """Records of all cuts, and the state of the rig between them."""

    def __init__(
        self,
        rig: Rig,
        names: tuple[Sequence[str], Sequence[str]],
        plates: Sequence[PlateToCut],
        tree_of: TreeOf,
        options: Options,
        spares: Spared,
    ) -> None:
        super().__init__(rig, names[0])
        self._shape_names = names[1]
        self.shapes: dict[str, int] = {}
        self._plates, self._tree_of, self._keep, self._spares = plates, tree_of, options.keep, spares
        self._state = RigState()
        self._blocks: dict[int, list[tuple[BenchPiece, SlantedPiece]]] = {}
        self._as_cut: dict[int, BenchPiece] = {}

    def add_piece(self, number: int, plate: PlateToCut, bench_piece: BenchPiece, parent: str | None) -> str:
        """A new piece; a block is a blank that waits to be cut on."""
        name = super().add_piece(number, plate, bench_piece, parent)
        root = self._root(number, bench_piece)
        if root is None:
            return name
        self.finished.pop(name, None)
        whole = self.pieces.pop()
        kind: PieceKind = "plate" if parent is None else "blank"
        if isinstance(root.node, Falls):  # the block is the part itself
            kind = "part"
            self.shapes[name] = root.node.part or 0
        part = self._shape_names[self.shapes[name]] if name in self.shapes else None
        self.pieces.append(
            Piece(
                id=name, plate=whole.plate, parent=parent, kind=kind, part=part, outline=whole.outline, mass=whole.mass
            )
        )
        if root.still_to_cut:
            self._blocks.setdefault(number, []).append((bench_piece, root))
            self._ids[number, id(root)] = name
            self._as_cut[id(root)] = bench_piece
        return name

    def _root(self, number: int, piece: BenchPiece) -> SlantedPiece | None:
        """A piece of a plate that cuts at an angle come next in; None of any other."""
        whole = self._spares.pieces.get((number, id(piece)))
        if whole is not None:
            return whole.as_it_lies(piece)
        node = piece.workpiece.node
        tree = self._tree_of(node, piece, NOTHING, AS_IT_IS) if isinstance(node, Leaf) else None
        if tree is None:
            return None
        assert isinstance(node, Leaf)
        return block_as_it_lies(piece, tree, quarter=node.turned)

    def all_of_it(self) -> PiecesAndCuts:
        """All pieces and cuts so far."""
        return PiecesAndCuts(self._rig, self.pieces, self.cuts, self.finished, self.shapes, len(self._spares.cuts))

    def cut_across(self, place: int, cut: ChosenCut) -> None:
        """A rectangular cut, as the order has it, by its place there; none where it is spared."""
        if place in self._spares.cuts:
            return
        made = changeover(self._rig, self._state, cut.plate, cut.piece, cut.option, cut.stops)
        self.add_cut(self._plates[cut.plate], cut, made)
        self._state = state_after(self._state, cut.plate, cut.option, made)

    def free_blocks(self, numbers: Iterable[int]) -> None:
        """All cuts of the blocks of these plates."""
        waiting = [(number, root) for number in numbers for _, root in self._blocks.pop(number, [])]
        for each in in_order(self._rig, waiting):
            self._cut_aslant(each)

    def _cut_aslant(self, following: NextCut) -> None:
        number, cut = following.plate, following.cut
        plate, stops = self._plates[number], (following.stop,)
        lying = self._as_cut.get(id(cut.of), cut.of)  # on the bed lies the block as its last rectangular cut left it
        made = changeover(self._rig, self._state, number, lying, cut, stops)
        name = self._ids[number, id(cut.of)]
        ids = [None if each is None else self._add_slanted(number, plate, each, name) for each in (cut.right, cut.left)]
        leads = Pass(
            face_up=cut.of.face_up,
            leading=cut.leading,
            corner_at=cut.corner_at,
            length=cut.length,
            end_stop=following.stop,
        )
        self.record(
            (number, plate, name),
            cut,
            made,
            makes=(ids[0], ids[1]),
            edge_on_fence=cut.edge_on_fence,
            marks=cut.marks,
            passes=(leads,),
            two_person=cut.of.two_person,
            dress=cut.dress,
            mitre=cut.mitre,
        )
        self._state = state_after(self._state, number, cut, made)

    def _add_slanted(self, number: int, plate: PlateToCut, piece: SlantedPiece, parent: str) -> str:
        name, node = self.new_name(plate), piece.node
        part = node.part if isinstance(node, Falls) else None
        if part is not None:
            self.shapes[name] = part
        self.pieces.append(
            Piece(
                id=name,
                plate=plate.id,
                parent=parent,
                kind=self._kind(node),
                part=None if part is None else self._shape_names[part],
                outline=piece.outline if part is None else without_specks(piece.outline, SPECK),
                mass=piece.mass,
            )
        )
        self._ids[number, id(piece)] = name
        return name

    def _kind(self, node: Freed) -> PieceKind:
        if not isinstance(node, Falls):
            return "blank"
        if node.part is not None:
            return "part"
        return "offcut" if holds(node.outline, *self._keep) else "scrap"
