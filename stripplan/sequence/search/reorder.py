"""The same cuts in a better order: each made as it is, of the same piece, but earlier or later.

Problem. With the option and end stop of each cut fixed, what a cut costs depends on the one before alone:
that is a sequential ordering problem, whose precedence is that a cut comes after the one that makes its
piece, and whatever the person has asked for.

Method. Costs between all pairs of cuts are written down and handed to the search of `sop/`. Where the cut
before has made the piece, it lies there, in a pose that is known; else it is fetched, and what lies there is
cleared away.

Not exact, in two ways: the search proves nothing (`sop/search.py`), and after a marked cut the fence is taken
to stand where that cut would have it, though it was not moved. What comes out is summed anew on the real
bench before it is believed.
Cost: the square of the cuts for the table, then as many tries as asked for.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.sequence.bench import FETCHED, NONE, Bench
from stripplan.sequence.cut_options import ChosenCut
from stripplan.sequence.sop.problem import Ordering, in_integers
from stripplan.sequence.sop.search import search


def reordered(
    bench: Bench, cuts: Sequence[ChosenCut], *, seed: int, tries: int, also: Sequence[tuple[int, int]] = ()
) -> list[ChosenCut]:
    """The cuts in the best order found in so many tries, which keeps the constraints as well as they do.

    `cuts` must be an order that can be worked, for the search begins with it; `tries` are its steps. The same
    cuts, seed and tries give the same order. `also` are pairs of cuts, by number, that stay in their order too.
    """
    if len(cuts) < 3:  # precedence or symmetry leaves nothing that choosing options again would not find
        return list(cuts)
    problem = in_integers(_as_ordering(bench, cuts, also))
    found = search(problem, range(len(cuts)), seed)
    found.run(tries)
    _, row = found.found()
    found.close()
    return [cuts[number] for number in row]


def _as_ordering(bench: Bench, cuts: Sequence[ChosenCut], also: Sequence[tuple[int, int]]) -> Ordering:
    """The cuts as jobs: what each costs straight after each other one, or as the first, and which must come
    before it.
    """
    made = {}
    for number, cut in enumerate(cuts):
        for side, product in ((0 if cut.option.located == "fence" else 1, cut.option.right), (1, cut.option.left)):
            if product is not None and not product.workpiece.done:
                # By plate too: plates that are cut alike share their pieces.
                made[cut.plate, id(product)] = number, 4 * side + cut.option.travel_after
    parents = [made.get((cut.plate, id(cut.piece)), (NONE, FETCHED)) for cut in cuts]
    products: list[list[int]] = [[] for _ in cuts]
    before: list[list[int]] = [[] for _ in cuts]
    for other, (one, _) in enumerate(parents):
        if one != NONE:
            products[one].append(other)
            before[other].append(one)
    # What the person has asked for is precedence like that of the metal: the search need not know the difference.
    for one, other in (*bench.constraints.precedences(cuts), *also):
        before[other].append(one)
    handling = [bench.handling(cut.piece, cut.option, cut.option.travel) for cut in cuts]
    stands = [cut.option.setting.reading for cut in cuts]
    sets = [None if cut.option.located == "marked" else reading for cut, reading in zip(cuts, stands, strict=True)]
    # One stop stands for a cut: where it takes two passes, both are made at the same one.
    stops = [cut.stops[-1] for cut in cuts]
    carries = [bench.carry(cut.piece) for cut in cuts]
    names = [cut.piece.conditions.process.name for cut in cuts]
    # Readings and stops are few, so each pair is worked out once.
    fence = {one: {other: _ticks(bench, one, other) for other in {*sets}} for one in {*stands}}
    stop = {one: {other: bench.stop_ticks(one, other) for other in {*stops}} for one in {*stops}}
    fetched = [ticks[FETCHED] for ticks in handling]
    # A row for each cut: after it any other is fetched, and all that it leaves is cleared away; but a cut of
    # what it leaves finds that lying there, and only the rest is cleared away.
    costs = []
    for one, cut in enumerate(cuts):
        left = [each for each in (cut.option.right, cut.option.left) if each is not None]
        carried = sum(map(bench.carry, left))
        to_fence, to_stop, clear = fence[stands[one]], stop[stops[one]], bench.clear + carried if left else 0
        row = [
            ticks + clear + to_fence[reading] + to_stop[at] + (bench.process if name != names[one] else 0)
            for ticks, reading, at, name in zip(fetched, sets, stops, names, strict=True)
        ]
        for other in products[one]:
            pose, aside = handling[other][parents[other][1]], carried - carries[other]
            clear = bench.clear + aside if len(left) > 1 else 0
            row[other] = pose + clear + to_fence[sets[other]] + to_stop[stops[other]]
        costs.append(tuple(row))
    # From where fence and stop move before the first cut is not known, so only the setting itself counts.
    first = tuple(
        ticks + bench.end_stop + (bench.fence if reading is not None else 0)
        for ticks, reading in zip(fetched, sets, strict=True)
    )
    return Ordering(len(cuts), tuple(costs), first, tuple(map(tuple, before)))


def _ticks(bench: Bench, one: float, other: float | None) -> int:
    """Moving the fence between two cuts; a marked cut needs no reading."""
    return 0 if other is None else bench.fence_ticks(one, other)
