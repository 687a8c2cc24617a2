"""Whether one plate holds all parts where little may be wasted: found, refuted, or given up after so many steps.

The search (`small_waste`) is run with builds of ever more waste: with little it ends at once, and what is planted
evenly is found early; with half of what there is to waste it is a proof. Limits on order, mass and fence the search
does not know: what it finds is asked of the taker, and where that says no it goes on. A proof is taken with any waste
allowed and no limit at all, as bounds are, so that it holds for every legal plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from stripplan.layout.feasible import Limits
from stripplan.layout.problem import Problem
from stripplan.layout.single_plate.bounded import Fit, OnePlateFit
from stripplan.layout.single_plate.plate import ItemView, StockView, plate_of, widened_ways
from stripplan.layout.single_plate.small_waste import Compiled, Search, search_of
from stripplan.layout.single_plate.small_waste_task import ENDED, FOUND, GOING_ON, MOST_PARTS, Kind, Task
from stripplan.layout.single_plate.to_tree import Build, realised
from stripplan.layout.stop_rule import Clock, never
from stripplan.layout.tree import FilledStock, Tree

DEFAULT_STEPS = 100_000_000
"""Steps where nobody says: some half a second where compiled. Set by trial, not studied."""

SHARES = (16, 8, 6, 5, 4, 3, 2)
"""Builds may waste at most one part in so many of what there is to waste, one after the other; the last is a proof.
Set by trial, not studied."""

AT_ONCE = 2_000_000
"""Steps after which the clock is asked: some fiftieth of a second where compiled."""

MOST_BUILDS, MOST_HOLES = 500_000, 1_000_000
"""Builds and holes kept at most: memory, some 200 MB at worst, against plates that could still be decided. Set by
trial, not studied."""

MOST_REFUSED = 50
"""Patterns a level that the rig cannot cut, after which no more are asked for. Set by trial, not studied."""

MOST_IN_ORDER = 6
"""Children of a node up to which every order is tried: 720 of them. Beyond, their order stays. Set by trial, not
studied.
"""


@dataclass(frozen=True)
class _Grouped:
    """The search's task, and for each kind the items that are alike, one entry a copy."""

    task: Task
    items: tuple[tuple[int, ...], ...]


def fit_nearly_full(
    plate: StockView,
    shapes: Sequence[ItemView],
    *,
    steps: int = DEFAULT_STEPS,
    out_of_time: Clock = never,
    legal: Callable[[Tree], bool] = lambda _: True,
) -> Fit:
    """A pattern of all items (each `most` times) on one plate that is `legal`, or None; for good where `decided`.

    Stages (`plate.depth`) are not looked at. Decided without a pattern is said only where the plate is without gap and
    longest cut, and no pattern was refused.

    >>> fit_nearly_full(StockView(10, 10), [ItemView(((5, 9, False),), 1, 2)]).decided
    True
    """
    wanted = [shape for shape in shapes if shape.most]
    if not all(widened_ways(plate, shape) for shape in wanted):
        return Fit(None, True)
    if sum(_area(plate, shape) * (shape.most or 0) for shape in wanted) > plate.sides[0] * plate.sides[1]:
        return Fit(None, True)
    if not wanted or sum(shape.most or 0 for shape in wanted) > MOST_PARTS:
        return Fit(None, False)
    grouped = _grouped(plate, shapes)
    search = search_of(grouped.task)
    try:
        return _run(search, grouped, plate, shapes, steps, out_of_time, legal)
    finally:
        search.close()


def _area(plate: StockView, shape: ItemView) -> int:
    """The least that an item takes, kerf added."""
    return min((x + plate.kerf) * (y + plate.kerf) for x, y, _ in shape.ways)


def _grouped(plate: StockView, shapes: Sequence[ItemView]) -> _Grouped:
    """Items that may lie alike are one kind, whatever they are called: fewer sets to tell apart."""
    alike: dict[tuple[tuple[int, int], ...], list[int]] = {}
    for item, shape in enumerate(shapes):
        if shape.most:
            ways = tuple(sorted({(x, y) for x, y, _ in widened_ways(plate, shape)}))
            alike.setdefault(ways, []).extend([item] * shape.most)
    kinds = tuple(
        Kind(len(items), min(_area(plate, shapes[item]) for item in items), ways) for ways, items in alike.items()
    )
    gap = plate.gap if plate.gap > 1 else 0
    task = Task(plate.sides, kinds, gap, plate.reach, most_builds=MOST_BUILDS, most_holes=MOST_HOLES)
    return _Grouped(task, tuple(tuple(items) for items in alike.values()))


def _run(
    search: Search | Compiled,
    grouped: _Grouped,
    plate: StockView,
    shapes: Sequence[ItemView],
    steps: int,
    out_of_time: Clock,
    legal: Callable[[Tree], bool],
) -> Fit:
    """Level after level, until there is a legal pattern, or the last level came to its end."""
    free = plate.gap <= 1 and plate.reach >= max(plate.sides)
    levels = sorted({grouped.task.slack // share for share in SHARES})
    state, refused = GOING_ON, 0
    for number, waste in enumerate(levels, start=1):
        search.begin(waste)
        state = GOING_ON
        while state in (GOING_ON, FOUND) and refused < MOST_REFUSED * number:
            if search.steps >= steps or out_of_time():
                return Fit(None, False)
            state = search.run(min(steps, search.steps + AT_ONCE))
            if state == FOUND:
                tree = _tree(search, grouped, plate, shapes)
                if tree is not None and legal(tree):
                    return Fit(tree, True)
                refused += 1
    return Fit(None, free and state == ENDED and not refused)


# --- from the search to a pattern -----------------------------------------------------------------------------------


def _tree(search: Search | Compiled, grouped: _Grouped, plate: StockView, shapes: Sequence[ItemView]) -> Tree | None:
    """What the search found as a pattern; None where a limit stands against it."""
    builds: list[Build] = []
    places: dict[int, int] = {}
    *cut_off, (last, _) = search.found()
    whole = _copied(search, last, builds, places)
    for number, axis in reversed(cut_off):
        side = _copied(search, number, builds, places)
        builds.append(_beside(builds, side, whole, axis))
        whole = len(builds) - 1
    pattern = realised(plate, builds, whole)
    if pattern is None:
        return None
    left = [iter(items) for items in grouped.items]
    return _named(pattern, left, shapes)


def _copied(search: Search | Compiled, number: int, builds: list[Build], places: dict[int, int]) -> int:
    """A build of the search and those that it is made of, each once; its place in `builds`."""
    if number not in places:
        made = search.build(number)
        if made.axis < 0:
            build = Build(made.x, made.y, item=made.first)
        else:
            first, rest = (_copied(search, each, builds, places) for each in (made.first, made.rest))
            build = Build(made.x, made.y, cut="along" if made.axis else "across", first=first, rest=rest)
        builds.append(build)
        places[number] = len(builds) - 1
    return places[number]


def _beside(builds: Sequence[Build], first: int, rest: int, axis: int) -> Build:
    """A build cut off a hole, and what fills the rest of it: as one build."""
    one, other = builds[first], builds[rest]
    pairs = ((one.x, other.x), (one.y, other.y))
    added, shared = pairs[axis], pairs[1 - axis]
    (a, a_from), (b, b_from) = added
    along = (a + b, min(a + b_from, a_from + b))
    (a, a_from), (b, b_from) = shared
    start = max(a_from, b_from)
    across = (a if a == b or a >= b_from else b if b >= a_from else start, start)
    x, y = (along, across) if axis == 0 else (across, along)
    return Build(x, y, cut="along" if axis else "across", first=first, rest=rest)


def _named(tree: Tree, left: Sequence[Iterator[int]], shapes: Sequence[ItemView]) -> Tree:
    """Kinds of parts replaced by the items that are of the kind, one after the other."""
    if tree.item is not None:
        item = next(left[tree.item])
        turned = next(turned for x, y, turned in shapes[item].ways if (x, y) == (tree.length, tree.width))
        return replace(tree, item=item, turned=turned)
    return replace(tree, children=tuple(_named(child, left, shapes) for child in tree.children))


def in_order(tree: Tree, limits: Limits) -> Tree:
    """The same cuts, children in an order in which each cut can be located, where there is one and they are few."""
    if tree.cut is None:
        return tree
    children = tuple(in_order(child, limits) for child in tree.children)
    whole = replace(tree, children=children)
    if not limits.order_fixed or len(children) > MOST_IN_ORDER:
        return whole
    orders = (replace(whole, children=order) for order in permutations(children))
    good = (order for order in orders if all(limits.split_ok(one, other) for one, other in order.cuts(limits.kerf)))
    return next(good, whole)


# --- of a problem -----------------------------------------------------------------------------------------------------


def on_nearly_full_plate(
    problem: Problem,
    stock: int = 0,
    wanted: Sequence[int] | None = None,
    *,
    steps: int = DEFAULT_STEPS,
    out_of_time: Clock = never,
    prove: bool = True,
) -> OnePlateFit:
    """Whether so many of each item (None = all of the problem) come from one plate of a stock, by its number.

    A pattern obeys every limit. `excluded` is proven without narrowest offcut, longest cut, depth and spacers, as
    bounds are; with `prove` False such a search of its own is left out. Neither where steps, time or memory ended
    first, or there are too many parts.
    """
    made_of = problem.stocks[stock]
    counts = [item.demand for item in problem.items] if wanted is None else wanted
    plate = plate_of(made_of)
    shapes = [ItemView(item.sizes[stock], 1, n) for item, n in zip(problem.items, counts, strict=True)]
    kept: list[Tree] = []

    def legal(tree: Tree) -> bool:
        kept[:] = [in_order(tree, made_of.limits)]
        return problem.is_legal(stock, kept[0])

    try:
        found = fit_nearly_full(plate, shapes, steps=steps, out_of_time=out_of_time, legal=legal)
        if found.pattern is not None:
            return OnePlateFit(FilledStock(stock, kept[0]), False)
        free = StockView(made_of.length, made_of.width, made_of.kerf)
        bare = [ItemView(item.bound_sizes[stock], 1, n) for item, n in zip(problem.items, counts, strict=True)]
        if (free, bare) != (plate, shapes):
            if not prove:
                return OnePlateFit(None, False)
            found = fit_nearly_full(free, bare, steps=steps, out_of_time=out_of_time)
        return OnePlateFit(None, found.pattern is None and found.decided)
    except MemoryError:
        return OnePlateFit(None, False)
