"""Rows of siblings and the fence readings that cutting them takes.

Problem. How many fence settings does a set of rows need at the least, when readings may be shared between
rows and between siblings?

Method. A cut that takes a sibling off a row has either that sibling on the fence, and with it one reading for
all siblings of its width, or all that is left of the row. The latter readings fall from cut to cut, so in one
row they are all different. A row of n pieces takes n - 1 cuts: one piece may be left over. So m cuts with the
rest on the fence spare at most m + 1 siblings a reading of their own, and they take m readings, which rows
may share where their readings can meet. Readings of the second kind belong to subset sums of the row; rows
whose sums have one in common may share a setting, and are joined to families.

Exact: the sums are, as far as they are listed; where they are too many, any reading is thought possible,
which makes the bound weaker and never wrong. A cut that can be marked out by hand instead takes no setting,
so its reading counts only where marking is ruled out.
Cost: subset sums of a row, at most `MOST_SUMS`, each with one fence setting; rows that are alike are one
object.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import accumulate

from stripplan.model.feasible import SAME, beside_is_legal, reaches
from stripplan.model.pattern import Blank, Node, across
from stripplan.rig.machine.setting import fence_setting
from stripplan.sequence.bench import Bench
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece

MOST_SUMS = 20_000
"""Subset sums of a row that are listed at the most: some 14 different widths. More would let fewer rows share
settings, and so raise the bound, for memory and time that double with each width. Set by trial, not studied.
"""


@dataclass(frozen=True, eq=False)
class Row:
    """A row of siblings: readings that must be set if nothing is shared, with the number of siblings of each,
    and all that the rest on the fence may read.

    `listed` works those out when they are first asked for: a search that only ranks asks for `own` alone, and sums
    of many widths are most of what a row costs. `located`: none of its cuts can be a marked one. `falls[m]` is how
    far at least the reading falls over m cuts with the rest on the fence and one more. `fine`: pieces so narrow that
    two cuts may have one reading on a coarse scale.
    """

    own: tuple[tuple[float, int], ...]
    listed: Callable[[], frozenset[float] | None]
    located: bool = False
    falls: tuple[float, ...] = ()
    fine: bool = False

    @cached_property
    def rest(self) -> frozenset[float] | None:
        """What the rest on the fence may read; None where that may be any reading."""
        return self.listed()

    def may_read(self, reading: float) -> bool:
        """Whether a cut with the rest on the fence might have this reading."""
        return self.rest is None or reading in self.rest

    def meets(self, other: Row) -> bool:
        """Whether a cut of each with the rest on the fence might have one reading."""
        return self.rest is None or other.rest is None or not self.rest.isdisjoint(other.rest)


class Rows:
    """The rows of a bench, one object for rows that are alike.

    Alike: the same widths, conditions and extent, and for a square part or not; the order of the siblings does
    not matter for readings. So rows can be told apart by identity, and tables keyed by them.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._known: dict[tuple[object, ...], Row] = {}
        self._readings: dict[tuple[int, float], float | None] = {}

    def of_piece(self, piece: BenchPiece) -> Row:
        """The row that a piece is cut into next."""
        workpiece = piece.workpiece
        assert isinstance(workpiece.node, Blank)
        whole = workpiece.width if workpiece.direction == "along" else workpiece.length
        return self._row(piece, workpiece.node, [*workpiece.children, workpiece.low, workpiece.high], whole)

    def of_blank(self, piece: BenchPiece, node: Blank) -> Row:
        """The row of a blank that is to come out of a piece."""
        whole = node.width if node.direction == "along" else node.length
        return self._row(piece, node, [*node.children, node.low, node.high], whole)

    def _row(self, piece: BenchPiece, node: Blank, siblings: Sequence[Node | None], whole: float) -> Row:
        sizes = tuple(sorted(across(each, node.direction) for each in siblings if each is not None))
        key = id(piece.conditions.rules), sizes, node.square, whole
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._summed(piece, sizes, whole, square=node.square)
        return found

    def _summed(self, piece: BenchPiece, sizes: tuple[float, ...], whole: float, *, square: bool) -> Row:
        """Own readings count only where the cut cannot be a marked one instead."""
        rules, rig = piece.conditions.rules, self.bench.rig
        # Where the narrowest sibling and a kerf are no more than a step of the scale, two cuts with the rest on
        # the fence may show one reading, and nothing can be counted. A row of one takes no cut.
        if len(sizes) < 2 or sizes[0] + rules.kerf <= rig.fence_step * rig.fence_scale:
            return Row((), frozenset, fine=True)
        readings = {size: fence_setting(rig, size, rules.kerf).reading for size in sizes}
        # With marking allowed, a sibling is still cut on the fence where that reaches it and what lies beside
        # may be so wide; not so where a square part may ask for the other side of the cut.
        own = Counter(
            readings[size]
            for size in sizes
            if not rules.marked
            or (reaches(rules, size) and beside_is_legal(rules, whole - size - rules.kerf) and not square)
        )
        must = tuple(sorted(own.items(), key=lambda each: (each[1], each[0])))
        located = own.total() == len(sizes)
        # A reading is rounded to a step, so between two of them it falls by a step less than the widths say.
        widths = accumulate((size + rules.kerf for size in sizes), initial=0.0)
        falls = tuple(max(0.0, width / rig.fence_scale - rig.fence_step) for width in widths)[:-1] if located else ()
        return Row(must, partial(self._rest, piece.conditions, sizes, whole), located, falls)

    def _rest(self, conditions: CutConditions, sizes: tuple[float, ...], whole: float) -> frozenset[float] | None:
        """What some of the siblings with their kerfs on the fence may read; None where that may be anything."""
        kerf, sums = conditions.rules.kerf, {0.0}
        # Where siblings do not fill the row, what is left of it on the fence is no sum of them.
        if abs(sum(sizes) + kerf * (len(sizes) - 1) - whole) > SAME:
            return None
        for size in sizes:
            # Rounded, so that the same widths added in another order make the same sum.
            sums |= {round(each + size + kerf, 6) for each in sums}
            if len(sums) > MOST_SUMS:
                return None
        readings = (self._reading(conditions, each) for each in sums if each > 0)
        return frozenset(each for each in readings if each is not None)

    def _reading(self, conditions: CutConditions, width_and_kerf: float) -> float | None:
        """The reading for a piece of that width less kerf on the fence; None where the fence does not reach."""
        key = id(conditions.rules), width_and_kerf
        if key not in self._readings:
            kerf, width = conditions.rules.kerf, width_and_kerf - conditions.rules.kerf
            reached = reaches(conditions.rules, width)
            self._readings[key] = fence_setting(self.bench.rig, width, kerf).reading if reached else None
        return self._readings[key]


def families(rows: Iterable[Row]) -> list[list[Row]]:
    """Rows joined whose settings with the rest on the fence can meet: connected components, met by met.

    Not by a library of graphs: whether two rows meet is a question about sets that mostly ends at the first
    row of a family.
    """
    found: list[list[Row]] = []
    for row in rows:
        near = [family for family in found if any(row.meets(each) for each in family)]
        found = [family for family in found if family not in near]
        found.append([row, *(each for family in near for each in family)])
    return found
