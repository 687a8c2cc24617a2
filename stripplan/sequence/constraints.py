"""What the person wants of the order, whatever it costs: plates before plates, a plate in one go, parts first.

Problem. Such wishes are not seconds: an order that breaks one is no answer, however quick.

Method. The beam asks which pieces may be cut now (`open_plates`, `holds_first`); for the search that moves
cuts about the same wishes are written out as pairs of cuts that must stay in their order (`precedences`).
Parts first is both: a cut that such a part needs goes before every other, and the fewer of them come before
the part is there, the better (`FIRST_SECONDS`), for some plate must be opened to reach it. Parts that are due one
after the other are the same in several steps, but that a cut too early counts for little there (`DUE_SECONDS`).

Exact; wishes that contradict each other are found as a circle in the graph "this before that", before any
search begins.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from stripplan.model.pattern import Blank, Leaf, Node
from stripplan.sequence.cut_options import BenchPiece, ChosenCut


@dataclass(frozen=True)
class OrderConstraints:
    """By number of plate (as the roots of an order) and index of part in the job.

    `before`: pairs of plates, the first cut up before the second is begun. `one_go`: a plate that is begun is
    finished before another. `first`: parts that are made before all else, with no more cuts than that takes.
    `due`: parts that are made after those and before all others, those of the first set before those of the next.
    `end_stop`: where the end stop stays for every cut that it serves [mm].
    """

    before: tuple[tuple[int, int], ...] = ()
    one_go: bool = False
    first: frozenset[int] = frozenset()
    due: tuple[frozenset[int], ...] = ()
    end_stop: float | None = None

    @property
    def tell_plates(self) -> bool:
        """Whether it matters which plate a piece comes from."""
        return self.one_go or bool(self.before)

    @cached_property
    def _after(self) -> dict[int, frozenset[int]]:
        """For each plate those that must be cut up before it."""
        return {later: frozenset(one for one, other in self.before if other == later) for _, later in self.before}

    def open_plates(self, waiting: Iterable[int], begun: Iterable[int]) -> frozenset[int]:
        """Plates that may be cut now, of those that pieces wait from; `begun` are those of which something
        has been cut.
        """
        left = frozenset(waiting)
        # A plate that is begun is finished first, also where another waits for it: the person asked for one at a time.
        if self.one_go and (started := left.intersection(begun)):
            return started
        return frozenset(plate for plate in left if not self._after.get(plate, frozenset()) & left)

    @cached_property
    def ranks(self) -> tuple[frozenset[int], ...]:
        """Parts by when they are made: those first, then those that are due, set by set; what is in none comes
        last.
        """
        return tuple(each for each in (self.first, *self.due) if each)

    def holds_first(self, piece: BenchPiece) -> bool:
        """Whether a part that is wanted first is still in a piece: its cuts go before all others."""
        return any(_holds(child, self.first) for child in piece.workpiece.children)

    def rank(self, piece: BenchPiece) -> int:
        """The least rank of the parts that are still in a piece; as many as there are `ranks` where it holds none of
        theirs.
        """
        for rank, parts in enumerate(self.ranks):
            if any(_holds(child, parts) for child in piece.workpiece.children):
                return rank
        return len(self.ranks)

    def precedences(self, cuts: Sequence[ChosenCut]) -> list[tuple[int, int]]:
        """Cuts by number that must stay before others, in an order that keeps the constraints."""
        by_plate: dict[int, list[int]] = {}
        for number, cut in enumerate(cuts):
            by_plate.setdefault(cut.plate, []).append(number)
        row = list(by_plate)
        plate_pairs = (
            [(one, other) for n, other in enumerate(row) for one in row[:n]] if self.one_go else list(self.before)
        )
        found = [
            (number, by_plate[other][0])
            for one, other in plate_pairs
            if one in by_plate and other in by_plate
            for number in by_plate[one]
        ]  # the first cut of a plate comes before all others of it anyway, so every pair follows from these
        # All cuts up to the last that a wanted part needs stay before all that come after it.
        for start, end, stop in stretches([self.rank(cut.piece) for cut in cuts] if self.ranks else [], self.ranks):
            found += [(number, other) for other in range(end, stop) for number in range(start, end)]
        return found


def stretches(rank: Sequence[int], ranks: Sequence[object]) -> list[tuple[int, int, int]]:
    """Cuts with the `rank` of each in their order: for each rank from where to where its cuts go, and where those end
    that wait for them alone; what waits for those waits for these too.

    >>> stretches([0, 2, 0, 1, 2, 2], ["first", "due"])
    [(0, 3, 4), (3, 4, 6)]
    """
    ends = [max((n + 1 for n, each in enumerate(rank) if each <= at), default=0) for at in range(len(ranks))]
    marks = sorted({0, *ends, len(rank)})
    return list(zip(marks, marks[1:], marks[2:], strict=False))


def precedence_circle(before: Iterable[tuple[str, str]]) -> list[str]:
    """The names of a circle in "this before that", the first once more at the end; empty if there is none.

    Asked before any search: in a circle no plate can ever be the next, and a search would end without an order.

    >>> precedence_circle([("A", "B"), ("B", "A")]), precedence_circle([("A", "B")])
    (['A', 'B', 'A'], [])
    """
    precedences = list(before)
    if not precedences:
        return []
    import networkx  # a graph library is slow to load, and most jobs have no plate before another

    graph = networkx.DiGraph(precedences)
    try:
        edges = networkx.find_cycle(graph)
    except networkx.NetworkXNoCycle:
        return []
    return [edges[0][0], *(other for _, other in edges)]


def _holds(node: Node, parts: frozenset[int]) -> bool:
    """Whether one of these parts comes out of a node, at any depth."""
    if isinstance(node, Leaf):
        return node.part in parts
    assert isinstance(node, Blank)
    return any(_holds(child, parts) for child in node.children)
