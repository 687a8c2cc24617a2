"""What the rig can cut, in whole units: the one place that every engine of layout asks.

`Limits` is `model.cut_rules.CutRules` in the units of a grid, so that engines compare whole numbers; its questions bear
the names that kernel/ruin_recreate.c gives them. What is asked of one plate in mm, without a grid, is asked of
`model.feasible`. Limits are rounded once, here, to the side that keeps every cut legal: what a limit lets through in
units it lets through in mm.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from stripplan.layout.grid import Grid, exact
from stripplan.model.feasible import rest_is_legal

if TYPE_CHECKING:
    from stripplan.layout.tree import Tree
    from stripplan.model.cut_rules import CutRules

ANY = 1 << 40
"""More units than any plate has (`grid.MOST_UNITS` is far below), and small enough that C and double arithmetic hold
its products with a kerf: stands for "no limit" on an extent.
"""

LENGTH_TOLERANCE = Fraction(1, 1_000_000)
MASS_TOLERANCE = 1e-9
"""What `model.feasible` grants beyond a limit [mm, kg], for limits that were computed; the same here, lest the two
disagree.
"""


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What a cut must keep, in units; an area in square units stands for the mass of a piece.

    `longest` is the longest cut, in two passes where the rig makes them, and no longer than the bed; cuts longer than
    `one_pass` are made in two, and the piece is turned over between: up to the area `turnable`. `piece_max` is the
    largest piece that may be cut at all. `reach` are the widths between fence and torch line, less half a kerf, that
    the fence can be set for, `far_max` the most that may lie beside the torch on the other side; with `marked` the
    fence may be done without. None = no limit.

    All questions take sizes of pieces as they are cut, without a kerf added; engines that carry one take it off first.
    """

    kerf: int
    narrowest: int = 0
    trim: int = 0
    longest: int = ANY
    one_pass: int = ANY
    piece_max: int | None = None
    turnable: int | None = None
    reach: tuple[int, int] = (0, ANY)
    far_max: int | None = None
    marked: bool = True
    square_side: Literal["fence", "far", "equal"] = "fence"

    @cached_property
    def gap(self) -> int:
        """The least that may be cut off beside a piece, kerf and all.

        Without a narrowest offcut the kerf may run off the edge:

        >>> Limits(kerf=2, narrowest=10).gap, Limits(kerf=2).gap
        (12, 1)
        """
        return self.kerf + self.narrowest if self.narrowest else 1

    @property
    def spacer(self) -> int:
        """Width of the scrap between a square edge and what lies beside it: no sliver, and room for the next kerf."""
        return max(self.narrowest, self.kerf)

    @property
    def order_fixed(self) -> bool:
        """Whether siblings must come apart as they were laid out, cut by cut, lest one cannot be located."""
        return not self.marked or self.far_max is not None

    def rest_ok(self, slack: int) -> bool:
        """Whether metal of this width may stay beyond a piece: none, or kerf and the narrowest offcut.

        The width is that before the cut, so the kerf counts in it:

        >>> [Limits(kerf=2, narrowest=10).rest_ok(slack) for slack in (0, 11, 12)]
        [True, False, True]
        """
        return rest_is_legal(slack, self.kerf, self.narrowest)

    def reaches(self, width: int) -> bool:
        """Whether the fence can be set for a piece of this width lying on it."""
        return self.reach[0] <= width <= self.reach[1]

    def beside_ok(self, width: int) -> bool:
        """Whether a piece of this width may lie beside the torch on the side away from the fence.

        `reach` is what is asked of the side of the fence.
        """
        return self.far_max is None or width <= self.far_max

    def split_ok(self, one: int, other: int) -> bool:
        """Whether a cut that leaves pieces of widths `one` and `other` can be located: by the fence, or marked.

        The plate may be turned end for end, so either piece may be the one on the fence:

        >>> limits = Limits(kerf=2, reach=(50, 400), far_max=300, marked=False)
        >>> limits.split_ok(40, 200), limits.split_ok(40, 500), limits.split_ok(350, 350)
        (True, False, False)
        """
        far = self.far_max
        if self.marked:
            return far is None or min(one, other) <= far
        low, high = self.reach
        return (low <= one <= high and (far is None or other <= far)) or (
            low <= other <= high and (far is None or one <= far)
        )

    def travel_ok(self, travel: int, across: int) -> bool:
        """Whether a piece of these sizes can be cut along all of `travel`: length of cut, bed, mass, turning over.

        Turning over is asked of cuts in two passes alone: a heavy piece may lie and be cut, only not be turned.
        """
        if travel > self.longest or (self.piece_max is not None and travel * across > self.piece_max):
            return False
        return self.turnable is None or travel <= self.one_pass or travel * across <= self.turnable

    def cut_ok(self, travel: int, across: int, one: int) -> bool:
        """Whether `one` can be cut off a piece of these sizes.

        The whole of cutting in one question, but for depth and slivers: these need to know what is beside and above.
        """
        return self.travel_ok(travel, across) and self.split_ok(one, across - one - self.kerf)

    def tree_ok(self, tree: Tree, depth: int | None) -> bool:
        """Whether a plate can be cut into this tree, cuts one after the other as its children lie, within a depth.

        For checks of whole plates, not for searches: those ask cut by cut while they build.
        """
        return _tree_ok(self, tree, depth, 0, None)

    def located(self, tree: Tree) -> bool:
        """Whether each cut of a tree can be located, the children cut off as they lie.

        True at once where the order is free: any split can then be located, and nothing need be walked.
        """
        if not self.order_fixed or tree.cut is None:
            return True
        cuts = all(self.split_ok(one, other) for one, other in tree.cuts(self.kerf))
        return cuts and all(self.located(child) for child in tree.children)


def _tree_ok(limits: Limits, tree: Tree, most: int | None, depth: int, came_by: str | None) -> bool:
    """One node and all below it; `depth` is the depth so far, `came_by` the direction of the cuts that made it."""
    if tree.cut is None:
        # Metal left over may not be narrower than the narrowest offcut: it would be a sliver.
        return tree.item is not None or min(tree.length, tree.width) >= limits.narrowest
    depth += came_by != tree.cut
    if most is not None and depth > most:
        return False
    # All cuts of a node run over the same length; only the piece that they are cut from gets narrower.
    travel = tree.travel(tree.cut)
    for one, other in tree.cuts(limits.kerf):
        if not limits.cut_ok(travel, one + limits.kerf + other, one):
            return False
    if tree.left is not None and not limits.rest_ok(tree.left + limits.kerf):
        return False
    return all(_tree_ok(limits, child, most, depth, tree.cut) for child in tree.children)


@functools.lru_cache(1024)  # what a part stops at is tried by thousands of cases with the same few rules
def limits_of(unit: Fraction, rules: CutRules) -> Limits:
    """Cut rules in units of so many mm. Kerf, narrowest offcut and trim are whole in it (ValueError), as they take part
    in sums and may not be rounded; limits are rounded.

    Fence widths are measured to the torch line, which runs half a kerf off the piece, so `reach` is half a kerf less.
    A bed shorter than the longest cut bounds it: the whole cut must lie on the bed.
    """
    half, whole = exact(rules.kerf) / 2, Grid(unit).units
    longest = rules.longest_two_pass if rules.bed_length is None else min(rules.longest_two_pass, rules.bed_length)
    return Limits(
        kerf=whole(rules.kerf),
        narrowest=whole(rules.narrowest_offcut),
        trim=whole(rules.trim),
        longest=_most(longest, unit),
        one_pass=_most(rules.longest_one_pass, unit),
        piece_max=_area(rules.piece_mass_max, rules.areal_mass, unit),
        turnable=_area(rules.turn_over_mass_max, rules.areal_mass, unit),
        # Inwards on both sides: a width let through lies within the fence's travel in mm too.
        reach=(math.ceil((exact(rules.fence_min) - half) / unit), math.floor((exact(rules.fence_max) - half) / unit)),
        far_max=None if rules.far_max is None else _most(rules.far_max, unit),
        marked=rules.marked,
        square_side=rules.square_side,
    )


def _most(length: float, unit: Fraction) -> int:
    """The greatest whole number of units within a length, with the tolerance that `model.feasible` grants.

    >>> _most(999.9999999, Fraction(1)), _most(999.9, Fraction(1)), _most(math.inf, Fraction(1)) == ANY
    (1000, 999, True)
    """
    return min(ANY, math.floor((exact(length) + LENGTH_TOLERANCE) / unit)) if math.isfinite(length) else ANY


def _area(mass: float | None, areal_mass: float, unit: Fraction) -> int | None:
    """The largest piece of a mass, in square units; None = any.

    60 kg at 0.00004 kg/mm2 (5 mm of steel) are 1.5 m2:

    >>> _area(60.0, 0.00004, Fraction(10))
    15000
    """
    if mass is None or not areal_mass:
        return None
    # Mass over mass per area is an area; rounded down, so that only the tolerance is granted.
    return math.floor(exact(mass + MASS_TOLERANCE) / exact(areal_mass) / unit**2)
