"""Rectangles: a problem as a task for the search in `rebuild.py`, two searches side by side, and the answer as plates.

Two searches with seeds of their own take turns of `ROUND` steps, at the same time where the search is compiled;
after each turn what one has found is what the other must undercut. So the answer is the same on any number of cores.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction

from stripplan.layout.grid import exact
from stripplan.layout.problem import Item, Problem, Stock, strip_widths
from stripplan.layout.rectangles.ruin_recreate import Board, Task, Thing, Tree, blank, located, search_of
from stripplan.layout.stop import Clock
from stripplan.model.cut_rules import CutRules
from stripplan.model.pattern import Direction

SEARCHES = 2
ROUND = 400
"""Steps of one turn."""

DEFAULT_STEPS = 12_000
"""Steps of each search where nobody says: fewer for many parts."""

DEFAULT_PLACEMENTS = 600_000


@dataclass(eq=False)
class Rect:
    """A rectangle of a layout in units: free, filled by an item, or cut into `first` (small end) and `rest`."""

    length: int
    width: int
    depth: int = 0
    came_by: Direction | None = None
    item: int | None = None
    turned: bool = False
    over: tuple[int, int] = (0, 0)
    cut: Direction | None = None
    first: Rect | None = None
    rest: Rect | None = None


@dataclass(eq=False)
class Sheet:
    """One plate being filled."""

    stock: int
    root: Rect
    free: list[Rect] = field(default_factory=list)
    items: list[int] = field(default_factory=list)
    filled: int = 0


@dataclass(frozen=True)
class Answer:
    """Plates filled, items (by number, one entry each) that found no place, and search steps done."""

    sheets: list[Sheet]
    short: list[int]
    steps: int


def solve_rectangles(
    problem: Problem,
    *,
    seed: int,
    steps: int | None,
    out_of_time: Clock,
    enough: Fraction = Fraction(0),
    start: Sequence[Sheet] = (),
) -> Answer:
    """The cheapest layout found. The search ends early at a cost of `enough`; `start` are plates to improve on."""
    with RectangleSearch(problem, seed=seed, enough=enough, start=start) as search:
        search.run(default_steps(problem) if steps is None else steps, out_of_time)
        return search.answer()


def default_steps(problem: Problem) -> int:
    """Steps that a job of this size is given where nobody says."""
    count = sum(item.demand for item in problem.items)
    return max(ROUND, min(DEFAULT_STEPS, DEFAULT_PLACEMENTS // max(count, 1)))


class RectangleSearch:
    """Searches side by side for the cheapest plates; can be run on. Close it, or use it in `with`.

    `enough` is a cost at which the search ends; `start` are plates to improve on.
    """

    def __init__(
        self, problem: Problem, *, seed: int, enough: Fraction = Fraction(0), start: Sequence[Sheet] = ()
    ) -> None:
        self.task = task_of(problem, enough)
        self.steps = 0
        self._costs = [stock.cost for stock in problem.stocks]
        self._placeless = [n for n, item in enumerate(problem.items) if not any(item.sizes) for _ in range(item.demand)]
        self._searches = [search_of(self.task, seed + 7919 * n) for n in range(SEARCHES)]
        self._pool = ThreadPoolExecutor(SEARCHES)
        trees = [to_tree(self.task, sheet) for sheet in start]
        trees = [(stock, tree) for stock, tree in trees if located(self.task.boards[stock], tree)]
        for search in self._searches:
            if trees:
                search.load(trees)
            search.begin()

    def __enter__(self) -> RectangleSearch:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown()
        for search in self._searches:
            search.close()

    @property
    def cost(self) -> int:
        """Cost of the best so far in the task's whole numbers; `MANY` while a part has no place."""
        return min(search.cost_found() for search in self._searches)

    @property
    def price(self) -> float:
        """Cost of the best so far in the job's money."""
        return sum(self._costs[sheet.stock] for sheet in self.answer().sheets)

    @property
    def finished(self) -> bool:
        """Whether the best costs no more than `enough`, or there is nothing to place."""
        return self.cost <= self.task.enough or not any(thing.demand for thing in self.task.things)

    def run(self, steps: int, out_of_time: Clock) -> None:
        """Go on for so many steps of each search, until the time is over or it is finished."""
        done = 0
        while done < steps and not self.finished and not out_of_time():
            done += self._turn(min(ROUND, steps - done))

    def run_on(self, out_of_time: Clock) -> bool:
        """Go on until something cheaper is found; False where time was over before."""
        before = self.cost
        while self.cost >= before:
            if out_of_time():
                return False
            self._turn(ROUND)
        return True

    def _turn(self, steps: int) -> int:
        list(self._pool.map(lambda search: search.run(steps), self._searches))
        self.steps += steps
        best = self.cost
        for search in self._searches:
            search.lower_budget(best - 1)
        return steps

    def answer(self) -> Answer:
        """The best so far."""
        found = min((search.found() for search in self._searches), key=lambda each: (each.out_area, each.cost))
        sheets = [to_sheet(self.task, stock, tree) for stock, tree in found.plates]
        return Answer(sheets, sorted([*found.out, *self._placeless]), self.steps)


def task_of(problem: Problem, enough: Fraction = Fraction(0)) -> Task:
    """A problem in the search's terms. `enough` is a cost that cannot be undercut."""
    costs = [exact(stock.cost) for stock in problem.stocks]
    scale = math.lcm(*(cost.denominator for cost in costs)) if costs else 1
    boards = tuple(_board(problem, stock, int(exact(stock.cost) * scale)) for stock in problem.stocks)
    things = tuple(_thing(problem, item) for item in problem.items)
    return Task(boards, things, problem.depth, math.ceil(enough * scale))


def _board(problem: Problem, stock: Stock, cost: int) -> Board:
    rules, unit, kerf = stock.rules, problem.grid.unit, stock.kerf
    longest = rules.longest_two_pass if rules.bed_length is None else min(rules.longest_two_pass, rules.bed_length)
    half = exact(rules.kerf) / 2
    return Board(
        size=(stock.length + kerf, stock.width + kerf),
        kerf=kerf,
        gap=kerf + stock.narrowest if stock.narrowest else 1,
        longest=min(_most(longest, unit), 1 << 40),
        cuttable=not _heavy(stock, unit),
        marked=rules.marked,
        far_max=None if rules.far_max is None else _most(rules.far_max, unit),
        reach=(math.ceil((exact(rules.fence_min) - half) / unit), math.floor((exact(rules.fence_max) - half) / unit)),
        ordered=stock.order_fixed,
        cost=cost,
        limit=stock.limit,
        one_pass=min(_most(rules.longest_one_pass, unit), 1 << 40),
        turnable=_turnable(rules, unit),
    )


def _turnable(rules: CutRules, unit: Fraction) -> int | None:
    """The largest piece that may be turned over between two passes, in square units; None = any."""
    if rules.turn_over_mass_max is None or not rules.areal_mass:
        return None
    return math.floor(exact(rules.turn_over_mass_max + 1e-9) / exact(rules.areal_mass) / unit**2)


def _most(length: float, unit: Fraction) -> int:
    """The greatest whole number of units within a length, with the tolerance that `model.legal` grants."""
    return math.floor((exact(length) + Fraction(1, 1_000_000)) / unit) if math.isfinite(length) else 1 << 40


def _heavy(stock: Stock, unit: Fraction) -> bool:
    rules = stock.rules
    mass = float(stock.length * stock.width * unit * unit) * rules.areal_mass
    return rules.piece_mass_max is not None and mass > rules.piece_mass_max + 1e-6


def _thing(problem: Problem, item: Item) -> Thing:
    ways = tuple(
        tuple((x + stock.kerf, y + stock.kerf, turned) for x, y, turned in sizes)
        for stock, sizes in zip(problem.stocks, item.sizes, strict=True)
    )
    area = min((x * y for stock in ways for x, y, _ in stock), default=0)
    return Thing(item.demand if any(ways) else 0, item.over, area, ways)


def to_sheet(task: Task, stock: int, tree: Tree) -> Sheet:
    """A plate of an answer, kerfs taken off."""
    return Sheet(stock, _rect(task.boards[stock].kerf, tree), items=list(tree.items()))


def _rect(kerf: int, tree: Tree) -> Rect:
    length, width = tree.size[0] - kerf, tree.size[1] - kerf
    if tree.item is not None:
        assert tree.way is not None
        return Rect(length, width, item=tree.item, turned=tree.way[2])
    if not tree.children:
        return Rect(length, width)
    return _stacked(kerf, tree.size, tree.along, [_rect(kerf, child) for child in tree.children])


def _stacked(kerf: int, size: tuple[int, int], along: int, children: Sequence[Rect]) -> Rect:
    """Children cut off one after the other; what is left comes last."""
    first, *others = children
    extent = (first.width if along else first.length) + kerf
    left = size[along] - extent
    if left == 0:
        return first
    rest_size = (size[0], left) if along else (left, size[1])
    rest = _stacked(kerf, rest_size, along, others) if others else Rect(rest_size[0] - kerf, rest_size[1] - kerf)
    cut: Direction = "along" if along else "across"
    return Rect(size[0] - kerf, size[1] - kerf, cut=cut, first=first, rest=rest)


def strips_as_sheet(problem: Problem, stock_number: int, counts: Sequence[int]) -> Sheet:
    """A plate cut into strips alone."""
    stock = problem.stocks[stock_number]
    widths, _ = strip_widths(problem, stock_number, counts)
    children = [Rect(stock.length, width, item=item) for item, width in widths]
    size = (stock.length + stock.kerf, stock.width + stock.kerf)
    root = _stacked(stock.kerf, size, 1, children)
    return Sheet(stock_number, root, items=[item for item, _ in widths])


def to_tree(task: Task, sheet: Sheet) -> tuple[int, Tree]:
    """A plate as the search begins with it."""
    board = task.boards[sheet.stock]
    tree = _tree(task, sheet.stock, sheet.root)
    if tree is None or tree.item is not None:
        return sheet.stock, Tree(board.size, None, None, 0, () if tree is None else (tree,))
    return sheet.stock, tree


def _tree(task: Task, stock: int, rect: Rect) -> Tree | None:
    kerf = task.boards[stock].kerf
    size = (rect.length + kerf, rect.width + kerf)
    if rect.item is not None:
        ways = [way for way in task.things[rect.item].ways[stock] if way[2] == rect.turned]
        return Tree(size, rect.item, ways[0], 0)
    if rect.cut is None:
        return None
    assert rect.first is not None
    assert rect.rest is not None
    inner = (_tree(task, stock, part) for part in (rect.first, rect.rest))
    return blank(size, 1 if rect.cut == "along" else 0, inner)


def rects(sheet: Sheet) -> Iterable[Rect]:
    """All rectangles of a plate, cut ones too."""
    stack = [sheet.root]
    while stack:
        rect = stack.pop()
        yield rect
        if rect.cut is not None:
            assert rect.first is not None
            assert rect.rest is not None
            stack += [rect.rest, rect.first]


def free_rects(sheet: Sheet) -> Iterable[Rect]:
    """Rectangles of a plate that hold nothing."""
    for rect in rects(sheet):
        if rect.cut is None and rect.item is None and rect.length > 0 and rect.width > 0:
            yield rect
