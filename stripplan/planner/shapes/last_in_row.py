"""Which block of a row is the last: it keeps what is left of the row, if cuts at an angle take that off as well.

Problem. What lies in a row may be cut off in any order, and a search of orders knows nothing of the cuts at an angle
that come after. So any block of a row may be the one beside what is left of it; but only of some can the straight cut
between the two be spared (`sequence.with_blocks`).

Method. In each row that leaves waste, a block that can be freed out of itself and the waste by no more cuts gets a
blank of its own with the waste. Where several can, each does in turn, in all rows at once. Whether less is to be done
then is for the caller to weigh. Not done where mill edges are trimmed. Cost: the cuts of a block are laid out for each
such row.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stripplan.model.pattern import Blank, Direction, Leaf, Node, across
from stripplan.model.shapes.block import Block, number_of_cuts
from stripplan.planner.job_layout import JobLayout
from stripplan.planner.order.bench_plates import conditions_of
from stripplan.planner.settled import Settled
from stripplan.planner.shapes.blocks_of_job import Trees
from stripplan.sequence import WAYS_OVER, CutConditions

MOST_TURNS = 4
"""So many blocks of a row are the last in turn, at the most. Chosen, not tuned."""


def with_another_last(
    settled: Settled, layout: JobLayout, blocks: Mapping[str, Block], trees: Trees
) -> Iterator[JobLayout]:
    """The layout with another block last in its rows, once for each turn; `blocks` are those of parts by their names,
    `trees` the cuts that free them.
    """
    conditions = [conditions_of(settled, each) for each in settled.plates]
    rows = _Rows(settled, blocks, trees)
    for turn in range(MOST_TURNS):
        by_group = tuple(
            replace(
                group,
                patterns=[
                    replace(each, root=rows.ended(each.root, conditions[each.plate], turn)) for each in group.patterns
                ],
                others=(),
            )
            for group in layout.by_group
        )
        if turn >= rows.most:
            return
        yield replace(layout, by_group=by_group)


@dataclass(frozen=True)
class _Alone:
    """A block that is alone in a piece but for waste: so much is beside it along x and along y [mm], and so many
    straight cuts part it from that.
    """

    leaf: Leaf
    x: float = 0.0
    y: float = 0.0
    straight: int = 0


class _Rows:
    """Rows that end with a block and the waste beside it; of one row `most` blocks can be the last."""

    def __init__(self, settled: Settled, blocks: Mapping[str, Block], trees: Trees) -> None:
        self._parts, self._blocks, self._trees = settled.job.parts, blocks, trees
        self.most = 0

    def ended(self, node: Node, conditions: CutConditions, turn: int) -> Node:
        """A piece of a plate with one of the blocks that can be last in each of its rows."""
        if isinstance(node, Leaf) or conditions.rules.trim > 0:
            return node  # where mill edges are trimmed the waste may hold a trim, and is to stay where it lies
        children = tuple(self.ended(each, conditions, turn) for each in node.children)
        plain, waste, kerf = replace(node, children=children), node.high, conditions.rules.kerf
        if waste is None or waste.kind != "scrap" or across(waste, node.direction) <= 0 or len({*children}) == 1:
            return plain
        left = across(waste, node.direction) + kerf
        some = [each for each in dict.fromkeys(children) if self._takes(each, node.direction, left, conditions)]
        self.most = max(self.most, len(some))
        if not some:
            return plain
        last, rest = some[turn % len(some)], list(children)
        rest.remove(last)
        x, y = (left, 0.0) if node.direction == "across" else (0.0, left)
        both = Blank(last.length + x, last.width + y, node.direction, (last,), high=waste)
        return replace(node, children=(*rest, both), high=None)

    def _takes(self, node: Node, direction: Direction, left: float, conditions: CutConditions) -> bool:
        """Whether a piece holds one block, which can be freed out of it and what is `left` [mm] with no more cuts."""
        alone = self._alone(node)
        if alone is None:
            return False
        block = self._blocks[self._parts[alone.leaf.part or 0].name]
        x, y = (alone.x + left, alone.y) if direction == "across" else (alone.x, alone.y + left)
        east, north = (y, x) if alone.leaf.turned else (x, y)
        by_itself = self._trees.of(block, conditions)
        ways = (block.turned_over(along=along, across=over) for along, over in WAYS_OVER)
        with_waste = (self._trees.of(each.with_beside(0, 0, east, north), conditions) for each in ways)
        most = alone.straight + number_of_cuts(by_itself)
        return by_itself is not None and any(each and number_of_cuts(each) <= most for each in with_waste)

    def _alone(self, node: Node) -> _Alone | None:
        """The block that a piece holds beside nothing but waste; None where it holds anything else."""
        if isinstance(node, Leaf):
            return _Alone(node) if node.part is not None and self._parts[node.part].name in self._blocks else None
        inside = [each for each in (node.low, *node.children, node.high) if each is not None]
        rest = [each for each in inside if not (isinstance(each, Leaf) and each.kind == "scrap")]
        alone = self._alone(rest[0]) if len(rest) == 1 else None
        if alone is None:
            return None
        x, y = alone.x + node.length - rest[0].length, alone.y + node.width - rest[0].width
        return replace(alone, x=x, y=y, straight=alone.straight + len(inside) - 1)
