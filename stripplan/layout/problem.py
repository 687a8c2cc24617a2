"""What layout is asked: items and stocks of one material and thickness, in whole units, and how they come from plates
and parts.

A `Stock` is a plate of the job with the rules it is cut by; an `Item` is a part of the job. Which sizes an item has on
which stock (a strip is as long as what the stock's end trims leave; the rolling direction may forbid a turn; square
edges need scrap beside them) is settled here once.

Once, so that engines know nothing of trims, rolling or square edges: they get rectangles to put on rectangles, and the
limits of cuts. What a part needs round it is part of its size; `to_pattern` takes it off again. Cost: parts x stocks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

from stripplan.layout.feasible import Limits, limits_of
from stripplan.layout.grid import Grid, exact
from stripplan.layout.tree import FilledStock, Tree
from stripplan.model.cut_rules import CutRules
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate

Way = tuple[int, int, bool]
"""One way an item may lie: extent along x, extent along y, turned. `turned` is said beside the extents because a square
part turned may be another part (`_direction_matters`)."""

MILLIMETRES = Grid(Fraction(1))
"""What a stock counts in before its problem is known; sizes that are not whole in it raise ValueError when asked."""


@dataclass(frozen=True)
class Stock:
    """A plate of the job, by its index there, with the rules it is cut by and its price; its sizes in units of a grid.

    `cost` is money (or m2 where nobody gave a price). The grid is whole millimetres until a problem gives its own.

    Kept as mm and a grid rather than as units: the diagnosis asks the same plate on grids of its own, part by part.
    What is derived is worked out once and kept, as engines ask for it in their innermost loops.
    """

    index: int
    plate: Plate
    rules: CutRules
    cost: float
    grid: Grid = field(default=MILLIMETRES, kw_only=True)
    shortened: bool = field(default=False, kw_only=True)
    """Whether it is a piece of a plate that is cut across first: a strip, as long as the plate, cannot come from it."""

    @cached_property
    def limits(self) -> Limits:
        """What its cuts must keep."""
        return limits_of(self.grid.unit, self.rules)

    @cached_property
    def kerf(self) -> int:
        """Width that a cut takes."""
        return self.limits.kerf

    @property
    def limit(self) -> int | None:
        """How many plates there are; None = as many as needed."""
        return self.plate.limit

    def on(self, grid: Grid) -> Stock:
        """The same in units of a grid; nothing derived is carried over, as all of it is in units."""
        return replace(self, grid=grid)

    def limited(self, limit: int | None) -> Stock:
        """The same with so many plates. No longer an offcut: of one there is one, if nobody says more."""
        return replace(self, plate=replace(self.plate, quantity=limit, offcut=False))

    @cached_property
    def full(self) -> tuple[int, int]:
        """Length and width of the whole plate."""
        return self.grid.units(self.plate.length), self.grid.units(self.plate.width)

    @cached_property
    def trims(self) -> tuple[int, int, int, int]:
        """Widths of scrap to come off the south, east, north, west edges: only mill edges are trimmed.

        A cut edge is straight already, so an offcut put back on the rig loses nothing at the edges where it was cut.
        """
        south, east, north, west = (self.limits.trim if state == "mill" else 0 for state in self.plate.edges)
        return south, east, north, west

    @cached_property
    def length(self) -> int:
        """Length that trims leave usable: each costs its width and the kerf of the cut that takes it off."""
        return max(0, self.full[0] - sum(trim + self.kerf for trim in self.trims[1::2] if trim))

    @cached_property
    def width(self) -> int:
        """Width that trims leave usable; 0 where they would leave nothing, which makes the plate not `usable`."""
        return max(0, self.full[1] - sum(trim + self.kerf for trim in self.trims[::2] if trim))

    @cached_property
    def spaced(self) -> bool:
        """Whether a part with square edges needs scrap beside each of them: cut or dressed edges are not square.

        Where both sides of a cut come out equally square and all edges of the plate are mill edges, which count as
        square, a part may lie against whatever is beside it.
        """
        return self.rules.square_side != "equal" or any(state != "mill" for state in self.plate.edges)

    @cached_property
    def usable(self) -> bool:
        """Whether a plate may be put on the rig and its trims cut.

        Each is asked about on the whole plate, so a few are refused whose trims could be cut one after another, on
        pieces that get smaller; `loosened` keeps the bound right for those.
        """
        limits, (x, y) = self.limits, self.full
        south, east, north, west = self.trims
        if self.length <= 0 or self.width <= 0:
            return False
        sides = ((max(south, north), x, y), (max(east, west), y, x))
        return all(not trim or limits.cut_ok(travel, across, trim) for trim, travel, across in sides)


@dataclass(frozen=True)
class Item:
    """A part of the job and how many are wanted.

    `sizes` gives for each stock the ways it may lie there, as cut and with whatever must be laid out round it; no way =
    it cannot come from that stock. `over` is how much over size it may stay where a sliver could not be cut off.
    `strip` says that it runs the whole usable length of whatever stock it comes from.

    Ways of each stock and not of the part: plates of one material may differ in trims, rolling direction and rules.
    """

    part: int
    demand: int
    sizes: tuple[tuple[Way, ...], ...]
    over: int
    strip: bool
    bare: tuple[tuple[Way, ...], ...] = ()
    """The sizes without what is laid out round the part (spacers for square edges), for bounds. Two parts may share a
    spacer in some plan that no engine finds, so a bound may count only the parts themselves."""

    @property
    def bound_sizes(self) -> tuple[tuple[Way, ...], ...]:
        """Sizes that no layout can undercut; empty `bare` means that there is nothing round the part."""
        return self.bare or self.sizes


@dataclass(frozen=True)
class Problem:
    """One material and thickness: what to make from what. `keep` are the least sides of an offcut worth keeping.

    `depth` is how often the direction of cutting may change on the way to a part, the first direction counted; None =
    as often as needed. All lengths are in units of `grid`.
    """

    grid: Grid
    items: tuple[Item, ...]
    stocks: tuple[Stock, ...]
    keep: tuple[int, int]
    depth: int | None

    @property
    def parts(self) -> int:
        """How many parts are wanted in all."""
        return sum(item.demand for item in self.items)

    @property
    def strips_only(self) -> bool:
        """Whether every item runs the whole usable length, so that only widths matter."""
        return all(item.strip for item in self.items)

    @property
    def metal(self) -> tuple[int, tuple[int, ...]]:
        """Area that all items take together, and that each stock has for them: kerfs between them belong half to each,
        and a plate widened by one kerf holds them all. No layout can undercut it.
        """
        # The least kerf for all: a part must be worth no more than it takes on any stock.
        kerf = min(stock.kerf for stock in self.stocks)
        need = sum(item.demand * _least_area(item.bound_sizes, kerf) for item in self.items)
        return need, tuple((stock.length + kerf) * (stock.width + kerf) for stock in self.stocks)

    @property
    def metal_enough(self) -> bool:
        """Whether all plates that there are have the metal of all items; where they have not, no layout has all."""
        need, holds = self.metal
        limits = [stock.limit for stock in self.stocks]
        return None in limits or need <= sum(each * (n or 0) for each, n in zip(holds, limits, strict=True))

    def is_legal(self, number: int, tree: Tree) -> bool:
        """Whether the rig can cut a whole plate of a stock (by number) into this tree, within the job's depth."""
        stock = self.stocks[number]
        return (tree.length, tree.width) == (stock.length, stock.width) and stock.limits.tree_ok(tree, self.depth)

    def cost_of(self, filled: Iterable[FilledStock]) -> Fraction:
        """What plates cost, exact: it is compared with bounds that it may equal."""
        return sum((exact(self.stocks[each.stock].cost) for each in filled), Fraction(0))


def _least_area(sizes: Sequence[Sequence[Way]], kerf: int) -> int:
    return min(((x + kerf) * (y + kerf) for stock in sizes for x, y, _ in stock), default=0)


def strip_widths(problem: Problem, stock_number: int, counts: Sequence[int]) -> tuple[list[tuple[int, int]], int]:
    """(item, width) of each strip of a plate, and what is left with the kerf before it; a sliver stays on a strip.

    The engine for strips counts only how many of each lie on a plate, and knows that a sliver may stay on one of them;
    on which one is settled here, for trees and patterns alike, so that the two agree.
    """
    stock, items = problem.stocks[stock_number], problem.items
    widths = [(i, items[i].sizes[stock_number][0][1]) for i, n in enumerate(counts) for _ in range(n)]
    slack = stock.width - sum(width + stock.kerf for _, width in widths) + stock.kerf
    if stock.limits.rest_ok(slack):
        return widths, slack
    at = max(range(len(widths)), key=lambda n: items[widths[n][0]].over)  # the one that may keep most
    widths[at] = (widths[at][0], widths[at][1] + slack)
    return widths, 0


# --- from plates and parts ----------------------------------------------------------------------------------------


def build_problem(
    grid: Grid, stocks: Sequence[Stock], parts: Sequence[tuple[int, Part]], keep: tuple[float, float], depth: int | None
) -> Problem:
    """The problem of one material and thickness on a grid; `parts` are (index in the job, part).

    ValueError where a length is not whole in the grid: `grid.common_grid` gives one in which all are. `keep` [mm] alone
    is rounded, as it takes part in no sum.
    """
    here = tuple(stock.on(grid) for stock in stocks)
    items = tuple(_item(grid, index, part, here) for index, part in parts)
    short, long = (round(each / float(grid.unit)) for each in (min(keep), max(keep)))
    return Problem(grid, items, here, (short, long), depth)


def _item(grid: Grid, index: int, part: Part, stocks: Sequence[Stock]) -> Item:
    """A part as an item; one with square edges may not stay over size at all.

    Its tolerance is rounded down to units, but for what a decimal written as a double lacks of a whole one.
    """
    over = 0 if part.square != "none" or not part.tolerance else int(part.tolerance / float(grid.unit) + 1e-9)
    sizes = tuple(_ways(part, stock, spaced=True) for stock in stocks)
    bare = () if part.square == "none" else tuple(_ways(part, stock, spaced=False) for stock in stocks)
    return Item(index, part.quantity, sizes, over, isinstance(part, Strip) and part.square == "none", bare)


def loosened(problem: Problem, parts: Sequence[tuple[int, Part]]) -> Problem:
    """The problem with every way that a part may lie on a plate as far as sizes and turning go, for bounds alone.

    A part may come from a plate whose trims, say, cannot be cut before anything else. A bound from stricter ways would
    call a plan proven that can be undercut.
    """
    items = tuple(
        replace(item, bare=tuple(_lying(part, stock) for stock in problem.stocks))
        for item, (_, part) in zip(problem.items, parts, strict=True)
    )
    return replace(problem, items=items)


def _lying(part: Part, stock: Stock, round_it: tuple[int, int] = (0, 0)) -> tuple[Way, ...]:
    """Ways of a part on a stock: rolling direction and turning considered; `round_it` is added to length and width."""
    size = _size(part, stock)
    length, width = size[0] + round_it[0], size[1] + round_it[1]
    found = []
    for turned in (False, True):
        x, y = (width, length) if turned else (length, width)
        if may_lie(part, stock.plate, turned=turned) and x <= stock.length and y <= stock.width:
            found.append((x, y, turned))
    # A square that lies the same both ways has one way, or every search would try it twice.
    return tuple(found[:1] if length == width and not _direction_matters(part) else found)


def _size(part: Part, stock: Stock) -> tuple[int, int]:
    """Length and width of a part as cut from a stock, allowances with it; a strip is as long as the stock."""
    length = stock.grid.units(part.length_as_cut) if isinstance(part, Rectangle) else stock.length
    return length, stock.grid.units(part.width_as_cut)


def _ways(part: Part, stock: Stock, *, spaced: bool) -> tuple[Way, ...]:
    """Ways of a part on a stock: rolling direction and turning considered, spacers for square edges added."""
    # No way at all rather than an error: a part that no stock takes is named in the end, with the reason.
    if not stock.usable or (stock.shortened and isinstance(part, Strip)):
        return ()
    # A spacer and a kerf on each side; the kerfs outside the spacers belong to the neighbours.
    around = 2 * (stock.kerf + stock.limits.spacer) if spaced and part.square != "none" and stock.spaced else 0
    # A strip as wide as the plate needs no cut along it, so the length of that cut is not asked about.
    strip_cut = isinstance(part, Strip) and _size(part, stock)[1] + around < stock.width
    if strip_cut and not stock.limits.travel_ok(stock.length, stock.width):
        return ()
    if part.square != "none" and not _square_cuts(part, stock):
        return ()
    return _lying(part, stock, (around if part.square == "all" else 0, around))


def _square_cuts(part: Part, stock: Stock) -> bool:
    """Whether the cuts beside square edges can be located with the part on the square side, and made in one pass if
    need be.

    Asked of the part alone, as the spacers round it are the same wherever it lies; an engine then sees one rectangle,
    and its own questions stop at that rectangle's edge.
    """
    limits = stock.limits
    if not stock.spaced:
        return True
    gap, lost = limits.spacer, limits.kerf + limits.spacer
    length, width = _size(part, stock)
    # Both of a pair of cuts: while the first is made the part is wider by the other's spacer and kerf.
    widths = [width] + ([length] if part.square == "all" else [])
    partly = [each + more for each in widths for more in (0, lost)]
    if limits.square_side == "far":  # the part lies beside the torch, and a two-pass cut's far edge is never square
        if max(length, width) + 2 * lost > limits.one_pass:
            return False
        sides = [(gap, each) for each in partly]
    else:
        sides = [(each, gap) for each in partly]
    return all(limits.beside_ok(beside) and (limits.marked or limits.reaches(on)) for on, beside in sides)


def _direction_matters(part: Part) -> bool:
    """Whether a square part turned is another part: by its rolling direction, or by which edges are square."""
    return part.rolling != "free" or part.square == "long"


def may_lie(part: Part, plate: Plate, *, turned: bool) -> bool:
    """Whether a part may lie with its length along the plate's width: `rotate`, rolling direction, strips never.

    On a plate other than the one that it is bound to it may lie in no way: that holds for bounds as well, as for every
    legal plan.

    With `turned` False it asks for the other way, which the rolling direction may forbid as well. A plate without
    a rolling direction forbids nothing.
    """
    if part.plate not in (None, plate.name):
        return False
    if turned and (isinstance(part, Strip) or not part.rotate):
        return False
    if part.rolling == "free" or plate.rolling == "none":
        return True
    rolls_along_part = plate.rolling == ("width" if turned else "length")
    return rolls_along_part == (part.rolling == "length")
