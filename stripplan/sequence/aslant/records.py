"""From the order of rectangular cuts to the records of the whole: the cuts of blocks are put in and all is timed anew.

The cuts of blocks come after the last rectangular cut by their process, so that it is not changed for them, or of their
plate where plates are cut one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from stripplan.model.job import Options
from stripplan.model.pattern import Leaf
from stripplan.model.plan.cut import Pass
from stripplan.model.plan.piece import Piece, PieceKind
from stripplan.model.polygon import holds, without_specks
from stripplan.model.rig import Rig
from stripplan.model.shapes.block import Falls, Freed
from stripplan.sequence.aslant.order import NextCut, in_order
from stripplan.sequence.aslant.piece import SlantedPiece, block_as_it_lies
from stripplan.sequence.changeover import RigState, changeover, state_after
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import CutOrder
from stripplan.sequence.to_plan import PiecesAndCuts, PlateToCut, Records

SPECK = 0.005
"""Edges of a part shorter than so come of roundings, and are none [mm]."""

TreeOf = Callable[[Leaf, BenchPiece], Freed | None]
"""What is to be cut out of a piece that comes out of the rectangular cuts, in the frame of its block; None: nothing."""


def with_blocks(
    rig: Rig,
    names: tuple[Sequence[str], Sequence[str]],
    plates: Sequence[PlateToCut],
    order: CutOrder,
    tree_of: TreeOf,
    options: Options,
) -> PiecesAndCuts:
    """Every piece and cut of an order of work and, after them, of the blocks that come out of it.

    `names` are those of the parts by index: as leaves of the plates name them, and as what falls out of blocks does.
    """
    made = _WithBlocks(rig, names, plates, tree_of, options)
    for number, plate in enumerate(plates):
        made.add_piece(number, plate, plate.piece, None)
    by_plate = options.aim == "plate_by_plate" or bool(options.before)
    last = {_key(cut.plate, plates[cut.plate], by_plate): n for n, cut in enumerate(order.cuts)}
    # Blocks that are whole plates wait for no other cut.
    made.free_blocks([n for n in range(len(plates)) if _key(n, plates[n], by_plate) not in last])
    for n, cut in enumerate(order.cuts):
        made.cut_across(cut)
        key = _key(cut.plate, plates[cut.plate], by_plate)
        if last[key] == n:
            made.free_blocks([m for m in range(len(plates)) if _key(m, plates[m], by_plate) == key])
    return PiecesAndCuts(rig, made.pieces, made.cuts, made.finished, made.shapes)


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
    ) -> None:
        super().__init__(rig, names[0])
        self._shape_names = names[1]
        self.shapes: dict[str, int] = {}
        self._plates, self._tree_of, self._keep = plates, tree_of, options.keep
        self._state = RigState()
        self._blocks: dict[int, list[tuple[BenchPiece, SlantedPiece]]] = {}
        self._as_cut: dict[int, BenchPiece] = {}

    def add_piece(self, number: int, plate: PlateToCut, bench_piece: BenchPiece, parent: str | None) -> str:
        """A new piece; a block is a blank that waits to be cut on."""
        name = super().add_piece(number, plate, bench_piece, parent)
        node = bench_piece.workpiece.node
        tree = self._tree_of(node, bench_piece) if isinstance(node, Leaf) else None
        if tree is None:
            return name
        assert isinstance(node, Leaf)
        root = block_as_it_lies(bench_piece, tree, quarter=node.turned)
        del self.finished[name]
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

    def cut_across(self, cut: ChosenCut) -> None:
        """A rectangular cut, as the order has it."""
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
