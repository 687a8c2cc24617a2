"""The same cuts in a better order: each made as it is, of the same piece, but earlier or later.

With the way of each cut fixed, what a cut costs depends on the one before alone (but for the fence after a marked cut, which
is taken to stand where that cut would have it). That is a sequential ordering problem, and `ordering` searches it.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.sequence.bench import FETCHED, NONE, Bench
from stripplan.sequence.cut_options import Step
from stripplan.sequence.sop.problem import Ordering, whole
from stripplan.sequence.sop.search import search


def interleaved(bench: Bench, steps: Sequence[Step], *, seed: int, tries: int) -> list[Step]:
    """The steps in the best order found in so many tries that keeps the pins as well as they do."""
    if len(steps) < 3:
        return list(steps)
    problem = whole(_as_ordering(bench, steps))
    found = search(problem, range(len(steps)), seed)
    found.run(tries)
    _, row = found.found()
    found.close()
    return [steps[number] for number in row]


def _as_ordering(bench: Bench, steps: Sequence[Step]) -> Ordering:
    made = {}
    for number, step in enumerate(steps):
        for side, product in ((0 if step.way.located == "fence" else 1, step.way.right), (1, step.way.left)):
            if product is not None and not product.piece.done:
                made[step.plate, id(product)] = number, 4 * side + step.way.travel_after
    parents = [made.get((step.plate, id(step.lay)), (NONE, FETCHED)) for step in steps]
    products: list[list[int]] = [[] for _ in steps]
    before: list[list[int]] = [[] for _ in steps]
    for other, (one, _) in enumerate(parents):
        if one != NONE:
            products[one].append(other)
            before[other].append(one)
    for one, other in bench.pins.pairs(steps):
        before[other].append(one)
    hands = [bench.hands(step.lay, step.way, step.way.travel) for step in steps]
    stands = [step.way.setting.reading for step in steps]
    sets = [None if step.way.located == "marked" else reading for step, reading in zip(steps, stands, strict=True)]
    stops = [step.stops[-1] for step in steps]
    carries = [bench.carry(step.lay) for step in steps]
    names = [step.lay.stock.process.name for step in steps]
    fence = {one: {other: _ticks(bench, one, other) for other in {*sets}} for one in {*stands}}
    stop = {one: {other: bench.stop_ticks(one, other) for other in {*stops}} for one in {*stops}}
    fetched = [ticks[FETCHED] for ticks in hands]
    costs = []
    for one, step in enumerate(steps):
        left = [each for each in (step.way.right, step.way.left) if each is not None]
        carried = sum(map(bench.carry, left))
        to_fence, to_stop, clear = fence[stands[one]], stop[stops[one]], bench.clear + carried if left else 0
        row = [
            ticks + clear + to_fence[reading] + to_stop[at] + (bench.process if name != names[one] else 0)
            for ticks, reading, at, name in zip(fetched, sets, stops, names, strict=True)
        ]
        for other in products[one]:
            lies, aside = hands[other][parents[other][1]], carried - carries[other]
            clear = bench.clear + aside if len(left) > 1 else 0
            row[other] = lies + clear + to_fence[sets[other]] + to_stop[stops[other]]
        costs.append(tuple(row))
    first = tuple(
        ticks + bench.end_stop + (bench.fence if reading is not None else 0)
        for ticks, reading in zip(fetched, sets, strict=True)
    )
    return Ordering(len(steps), tuple(costs), first, tuple(map(tuple, before)))


def _ticks(bench: Bench, one: float, other: float | None) -> int:
    return 0 if other is None else bench.fence_ticks(one, other)
