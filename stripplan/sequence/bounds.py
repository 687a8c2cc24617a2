"""Lower bounds over all orders of one layout. They say nothing about other layouts."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.cut import Cut
from ..model.rig import Rig


def settings_bound(cuts: Sequence[Cut]) -> int:
    """Least number of fence settings: 1 as soon as some cut cannot but be located by the fence."""
    return int(any(cut.located == "fence" for cut in cuts))


def minutes_bound(rig: Rig, cuts: Sequence[Cut]) -> float:
    """Least minutes: arcs, returns and flows of the least end stops, and one fetch for each plate.

    The lengths of the cuts are the layout's, whatever their order; an end stop is never below what its cut
    needs, and a cut plate is fetched at least once.
    """
    fixed = 0.0
    for cut in cuts:
        for each in cut.passes:
            over = rig.overrun if len(cut.passes) == 1 else 0.0
            least = rig.lead_in + each.length + over
            fixed += least / cut.travel_speed + least / rig.return_speed
        fixed += len(cut.passes) * (rig.pre_flow + rig.post_flow) / 60
    return fixed + len({cut.plate for cut in cuts}) * rig.seconds.fetch / 60
