"""An order of work with what it costs: the record that is handed over, and the sum on the real bench.

Searches work on kinds, ticks and tables; whatever they propose is summed here once more with the real pieces,
state by state, as the plan will say it. So a fault in a search can make an order worse than it thought, but
never a plan that says other minutes than its cuts take. Exact; cost: one changeover for each cut.
"""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.sequence.bench import DUE_SECONDS, FIRST_SECONDS, LOOSE_SECONDS, TICKS, UNMEASURED_SECONDS, Bench
from stripplan.sequence.changeover import Changeover, RigState, changeover, state_after, weighted_seconds
from stripplan.sequence.cut_options import ChosenCut
from stripplan.sequence.duty_timeline import rests_and_dry_runs
from stripplan.sequence.part_sizes import WRONG_SECONDS


@dataclass(frozen=True)
class CutOrder:
    """An order of work with what changes before each cut.

    `seconds` is what the search makes least: set-up with weights, arc and return beyond the least end stops,
    and `UNMEASURED_SECONDS` for each part size that rests on the plate's own, `LOOSE_SECONDS` for each part
    that asks how true it is and lay beside the fence when it was cut, and `CutOption.unequal_seconds` for
    part sizes that are not as their own fence setting would make them. `least` is a lower bound on it over
    all orders. `extra` are rests of the power source and dry runs, on top. `least_setup` bounds the plain
    seconds of set-up and `least_settings` the number of fence settings, whatever is weighed. `proven`: no
    order has fewer seconds, these counted.
    """

    cuts: list[ChosenCut]
    changes: list[Changeover]
    seconds: float
    extra: float = 0.0
    least: float = 0.0
    least_setup: float = 0.0
    least_settings: int = 0
    proven: bool = False

    @property
    def size_loss(self) -> float:
        """What parts are worth less for sizes other than fence settings of their own would make them [s]."""
        return sum(cut.option.unequal_seconds + cut.option.bowed_seconds for cut in self.cuts)

    @property
    def wrong_sizes(self) -> int:
        """Cuts that make a part whose size is further off than it may be."""
        return sum(cut.option.unequal_seconds >= WRONG_SECONDS for cut in self.cuts)


def simulate(bench: Bench, cuts: list[ChosenCut]) -> CutOrder:
    """What an order costs on the real bench.

    Beside set-up it counts what the search trades against it: arc and return beyond the least end stops,
    sizes that come out less well, and cuts before a part that is wanted first. What no order changes, arc and
    return at the least stops, is left out.

    The cuts must be an order that can be worked: whether a piece has been made before it is cut is not asked
    here. Bounds are not asked either, so those of the answer are 0 and it counts as not proven.
    """
    state, changes, total = RigState(), [], 0.0
    for cut in cuts:
        made = changeover(bench.rig, state, cut.plate, cut.piece, cut.option, cut.stops)
        changes.append(made)
        speed = cut.piece.conditions.process.travel_speed
        longer = bench.travel_ticks(cut.stops, speed) - bench.travel_ticks(cut.option.least_stops, speed)
        trueness = UNMEASURED_SECONDS * cut.option.unmeasured_sizes + LOOSE_SECONDS * cut.option.loose
        trueness += bench.unequal_ticks(cut.option) / TICKS
        total += weighted_seconds(made.seconds, bench.weights) + trueness + longer / TICKS
        state = state_after(state, cut.plate, cut.option, made)
    # Each cut before the last one that a wanted part needs has made the person wait for it.
    if bench.constraints.first:
        total += FIRST_SECONDS * max(
            (n for n, cut in enumerate(cuts) if bench.constraints.holds_first(cut.piece)), default=0
        )
    total += _due_seconds(bench, cuts)
    return CutOrder(cuts, changes, total, rests_and_dry_runs(bench.rig, cuts, changes))


def _due_seconds(bench: Bench, cuts: list[ChosenCut]) -> float:
    """What parts that are due one after the other count for each cut after which some of them still wait."""
    ranks = len(bench.constraints.ranks)
    if not bench.constraints.due:
        return 0.0
    total, wait = 0.0, ranks
    for cut in reversed(cuts):
        total += DUE_SECONDS * (ranks - wait)
        wait = min(wait, bench.constraints.rank(cut.piece))
    return total
