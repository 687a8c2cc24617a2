"""How few patterns a plan can do with: a lower bound by counting, in whole numbers.

Let N(t) be how many patterns run t times or more. Together they hold at most d // t pieces of an item of demand d,
and t times what they leave free is at most what the whole plan leaves free; so N(t) is at most what fits.
The plates are the sum of N(t) over t = 1, 2, ..., and no N(t) is greater than the number of patterns. The least
number of patterns for which that sum can reach the plates is the bound. It holds for every plan of as many plates
that makes the strips exactly; it is seldom tight.
"""

from __future__ import annotations

from stripplan.layout.strips.columns import StripWorld


def least_patterns(world: StripWorld, plates: int) -> int:
    """At least so many patterns for all strips of a world of one stock on so many plates.

    Raises ValueError if the strips are too much for the plates.
    """
    widths, capacity = world.widths(0), world.capacity(0)
    free = plates * capacity - sum(n * width for n, width in zip(world.demands, widths, strict=True))
    if free < 0:
        raise ValueError(f"The strips are {-free} units wider than {plates} plates: no plan has so few.")
    running = [_most_running(world, times, free) for times in range(1, plates + 1)]
    return next(k for k in range(plates + 1) if sum(min(k, n) for n in running) >= plates)


def _most_running(world: StripWorld, times: int, free: int) -> int:
    """At most so many patterns run `times` times or more."""
    held = sum(demand // times * width for demand, width in zip(world.demands, world.widths(0), strict=True))
    return (held + free // times) // world.capacity(0)
