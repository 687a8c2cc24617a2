"""Why a cut stands where it does: what it has from the cut before, and what its next best place would cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.sequence.bench import Bench
from stripplan.sequence.best_order import simulate
from stripplan.sequence.cut_options import Step


@dataclass(frozen=True)
class Reason:
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


def reason(bench: Bench, steps: Sequence[Step], number: int) -> Reason:
    """Why cut `number` of an order is there; all other cuts stay as they are, in their order."""
    base = simulate(bench, list(steps))
    made = base.changes[number]
    step = steps[number]
    makers = [n for n, each in enumerate(steps[:number]) if _makes(each, step)]
    takers = tuple(n for n, each in enumerate(steps) if n > number and _makes(step, each))
    first = makers[-1] + 1 if makers else 0
    last = takers[0] - 1 if takers else len(steps) - 1
    others = [*steps[:number], *steps[number + 1 :]]
    pinned = set(bench.pins.pairs(steps))
    best: tuple[float, int] | None = None
    for place in range(first, last + 1):
        crossed = range(place, number) if place < number else range(number + 1, place + 1)
        if place == number or any((min(n, number), max(n, number)) in pinned for n in crossed):
            continue
        longer = simulate(bench, [*others[:place], step, *others[place:]]).seconds - base.seconds
        if best is None or longer < best[0] - 1e-9:
            best = longer, place
    after = None if best is None else best[1] - 1 if best[1] <= number else best[1]
    return Reason(
        ready=number > 0 and not made.fetch,
        same_reading=number > 0 and not made.fence and step.way.located == "fence",
        same_stop=number > 0 and not made.end_stop,
        waits_for=makers[-1] if makers else None,
        waited_for=takers,
        elsewhere=after,
        longer=0.0 if best is None else best[0],
    )


def _makes(one: Step, other: Step) -> bool:
    return one.plate == other.plate and any(each is other.lay for each in (one.way.right, one.way.left))
