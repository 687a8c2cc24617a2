"""What pushing up the rests of rows takes, the widest sibling off first: an estimate to rank orders by, no bound.

Each cut of a row but the first mostly finds the rest of the row on the far side, and it is pushed up to the fence; by
its mass, so that what comes off first decides how much is pushed. The least is had where the widest comes off first.
With the rest on the fence nothing is pushed, hence no bound. Cost: once for each row.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.model.feasible import for_two
from stripplan.model.pattern import Blank, Node, across
from stripplan.rig.machine.timing import handling_seconds
from stripplan.sequence.bench import Bench
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece


class Pushes:
    """Ticks of pushes of pieces, and of all rows that come out of them, remembered by node."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._of_node: dict[tuple[int, Node], int] = {}

    def of_piece(self, piece: BenchPiece) -> int:
        """Ticks for a piece as far as it is cut, and for all blanks that are still in it."""
        workpiece = piece.workpiece
        node = workpiece.node
        if not isinstance(node, Blank):
            return 0
        ends = [end for end in (workpiece.low, workpiece.high) if end is not None]
        return self._of_row(piece.conditions, node, [*workpiece.children, *ends])

    def _of_blank(self, conditions: CutConditions, node: Node) -> int:
        if not isinstance(node, Blank):
            return 0
        key = id(conditions), node
        found = self._of_node.get(key)
        if found is None:
            ends = [end for end in (node.low, node.high) if end is not None]
            found = self._of_node[key] = self._of_row(conditions, node, [*node.children, *ends])
        return found

    def _of_row(self, conditions: CutConditions, node: Blank, siblings: Sequence[Node]) -> int:
        rig, rules = conditions.rig, conditions.rules
        length = node.length if node.direction == "along" else node.width
        ticks, extent = 0, 0.0
        # From the narrowest up: what is left before the last cut, before the one before it, and so on to the second.
        for count, size in enumerate(sorted(across(each, node.direction) for each in siblings), start=1):
            extent += size + (rules.kerf if count > 1 else 0.0)
            if 1 < count < len(siblings):
                mass = extent * length * rules.areal_mass
                two = for_two(
                    mass, max(extent, length), mass_limit=rig.two_person_mass, length_limit=rig.two_person_length
                )
                seconds = handling_seconds(rig, rig.seconds.push, mass, two_person=two)
                ticks += self.bench.ticks("push", seconds)
        return ticks + sum(self._of_blank(conditions, each) for each in siblings)
