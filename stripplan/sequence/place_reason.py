"""Why a cut stands where it does: what it has from the cut before, and what its next best place would cost.

Problem. A person at the rig looks at an order and asks "why not that one first?". A search cannot say: it never had a reason, it had a sum.

Method. The one cut is put in every other place that its makers, its takers and the person's wishes allow, all others as they are, and the order is summed anew.
The best other place and what it costs more is the answer; where the order was not proven, that may be nothing.
Exact for this question, which is about one cut and not about the whole order. Cost: one sum of the order for each place, so the square of the cuts at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stripplan.model.rig import Rig
from stripplan.sequence.bench import Bench
from stripplan.sequence.constraints import OrderConstraints
from stripplan.sequence.cut_options import BenchPiece, ChosenCut
from stripplan.sequence.cut_order import simulate


@dataclass(frozen=True)
class PlaceReason:
    """Of one cut; cuts are counted from 0.

    `ready`: its piece lies on the bed, as the cut before has left it. `same_reading`, `same_stop`: as they stand. `waits_for` makes its piece;
    `waited_for` cut what it leaves. `elsewhere` is the best other place, straight after that cut (-1: first of all), and
    `longer` what the work would then take more [s]; None where there is no other place.
    """

    ready: bool
    same_reading: bool
    same_stop: bool
    waits_for: int | None
    waited_for: tuple[int, ...]
    elsewhere: int | None
    longer: float


def place_reasons(
    rig: Rig,
    roots: Sequence[BenchPiece],
    cuts: Sequence[ChosenCut],
    numbers: Sequence[int],
    *,
    weights: Mapping[str, float],
    constraints: OrderConstraints,
) -> list[PlaceReason]:
    """For each of these cuts of an order, by number, why it stands where it does."""
    bench = Bench(rig, roots, weights, constraints=constraints)
    return [place_reason(bench, cuts, number) for number in numbers]


def place_reason(bench: Bench, cuts: Sequence[ChosenCut], number: int) -> PlaceReason:
    """Why cut `number` of an order is there; all other cuts stay as they are, in their order."""
    base = simulate(bench, list(cuts))
    made = base.changes[number]
    cut = cuts[number]
    makers = [n for n, each in enumerate(cuts[:number]) if _makes(each, cut)]
    takers = tuple(n for n, each in enumerate(cuts) if n > number and _makes(cut, each))
    # Between the cut that makes its piece and the first that cuts what it leaves.
    first = makers[-1] + 1 if makers else 0
    last = takers[0] - 1 if takers else len(cuts) - 1
    others = [*cuts[:number], *cuts[number + 1 :]]
    pinned = set(bench.constraints.precedences(cuts))
    best: tuple[float, int] | None = None
    for place in range(first, last + 1):
        # Those that it would pass on its way there: none of them may be held in order with it.
        crossed = range(place, number) if place < number else range(number + 1, place + 1)
        if place == number or any((min(n, number), max(n, number)) in pinned for n in crossed):
            continue
        longer = simulate(bench, [*others[:place], cut, *others[place:]]).seconds - base.seconds
        if best is None or longer < best[0] - 1e-9:
            best = longer, place
    follows = None if best is None else best[1] - 1 if best[1] <= number else best[1]
    return PlaceReason(
        ready=number > 0 and not made.fetch,
        same_reading=number > 0 and not made.fence and cut.option.located == "fence",
        same_stop=number > 0 and not made.end_stop,
        waits_for=makers[-1] if makers else None,
        waited_for=takers,
        elsewhere=follows,
        longer=0.0 if best is None else best[0],
    )


def _makes(one: ChosenCut, other: ChosenCut) -> bool:
    """Whether one cut makes the very piece that the other cuts."""
    return one.plate == other.plate and any(each is other.piece for each in (one.option.right, one.option.left))
