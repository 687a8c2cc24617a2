"""Cuts on the mitre bar, worked backwards: from face, angle, corner and stop to the line of the torch.

The face passes through the crossing of start line and torch line; the piece lies with a whole edge on it, ahead of it,
and that edge's corner is the stop's distance from the crossing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stripplan.model.plan.cut import Cut, Mitre, Segment
from stripplan.model.rig import Rig
from stripplan.replay import metal as m
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench, Step, clean, name
from stripplan.replay.metal import NEAR

SMALL = 1e-6
"""Slack for figures that are copied [mm, deg]."""

CLEAR = 15.0
"""Nearer to the torch's line the stop would be cut [mm]: common practice, no source."""

Setting = tuple[float, float, bool]
"""Angle or mark, stop, and whether the stop is on the left of the travel."""


def check_bar(bench: Bench, step: Step) -> Iterator[Finding]:
    """A whole, clean edge lies on the bar, its end at the stop; angle and stop can be set; the torch enters there."""
    cut, bar, rig = step.cut, step.cut.mitre, bench.plan.rig
    if cut.located != "mitre" or bar is None:
        return
    if not m.full_edge(step.metal.shape, bar.edge):
        yield Finding("bar", name(cut), f"Cut {cut.number} lays an edge on the mitre bar that {cut.piece} has not.")
    elif not clean(step, bar.edge):
        yield Finding("bar_fresh", name(cut), f"Cut {cut.number} lays a freshly cut edge on the mitre bar, undressed.")
    if min(math.dist(bar.corner, end) for end in bar.edge) > NEAR:
        yield Finding("bar", name(cut), f"What cut {cut.number} has at the stop is no end of the edge on the bar.")
    if not rig.mitre_min - SMALL <= bar.angle <= rig.mitre_max + SMALL:
        yield Finding(
            "mitre_angle",
            name(cut),
            f"Cut {cut.number}: the mitre bar cannot be set to {bar.angle:g}°, only to {rig.mitre_min:g}° up to "
            f"{rig.mitre_max:g}°.",
        )
    if not _is_nearest_mark(rig, bar):
        text = f"Cut {cut.number}: the mark of the mitre bar nearest to {bar.angle:g}° is not {bar.reading}."
        yield Finding("mitre_mark", name(cut), text)
    if not rig.mitre_stop_zero - SMALL <= bar.stop <= rig.mitre_stop_max + SMALL:
        yield Finding(
            "mitre_stop",
            name(cut),
            f"Cut {cut.number}: the stop of the mitre bar cannot be set to {bar.stop:g} mm, only to "
            f"{rig.mitre_stop_zero:g} up to {rig.mitre_stop_max:g} mm.",
        )
    elif bar.stop < CLEAR - SMALL:
        text = f"Cut {cut.number}: the stop of the mitre bar is {bar.stop:g} mm from the torch's line, which cuts it."
        yield Finding("mitre_stop", name(cut), text)
    if len(cut.passes) != 1:
        yield Finding("pass", name(cut), f"Cut {cut.number} is made on the mitre bar, where one pass can be made.")
    if any(not _same_edge(each.leading, bar.edge) for each in cut.passes):
        yield Finding("entry", name(cut), f"Cut {cut.number} does not enter through the edge on the mitre bar.")


def _is_nearest_mark(rig: Rig, bar: Mitre) -> bool:
    """Whether what is read off the bar is a mark that it can stand at, and none of those beside it is nearer."""
    step, said = rig.mitre_step, bar.reading
    if step is None or said is None:
        return step is None and said is None
    if abs(said / step - round(said / step)) > 1e-4:
        return False
    beside = [each for each in (said - step, said + step) if rig.mitre_min - SMALL <= each <= rig.mitre_max + SMALL]
    return all(abs(said - bar.angle) <= abs(each - bar.angle) + SMALL for each in beside)


def _same_edge(one: Segment, other: Segment) -> bool:
    return any(
        all(math.dist(a, b) <= NEAR for a, b in zip(one, ends, strict=True)) for ends in (other, (other[1], other[0]))
    )


def check_set(bench: Bench) -> Iterator[Finding]:
    """The bar is set exactly where the cut before was not made on it, or not as it stands now."""
    for cut, anew in set_anew(bench):
        if cut.setup.mitre != anew:
            what = "is set" if anew else "is not set anew"
            yield Finding("mitre_flag", name(cut), f"Cut {cut.number}: the mitre bar {what}, the plan says otherwise.")


def set_anew(bench: Bench) -> Iterator[tuple[Cut, bool]]:
    """Each cut, and whether the bar is set before it. Between, the bar is taken off: it would be in a piece's way."""
    stands: Setting | None = None
    for cut in bench.plan.cuts:
        wanted = setting(cut)
        yield cut, wanted is not None and not alike(wanted, stands)
        stands = wanted


def setting(cut: Cut) -> Setting | None:
    """How the bar stands for a cut; None where it is not made on it."""
    if cut.located != "mitre" or cut.mitre is None or not cut.passes:
        return None
    left = m.leftward(cut.line, cut.mitre.corner) > 0
    mark = cut.mitre.angle if cut.mitre.reading is None else cut.mitre.reading
    return mark, cut.mitre.stop, left == cut.passes[0].face_up


def alike(one: Setting | None, other: Setting | None) -> bool:
    """Whether the bar stands the same, as the person reads it: figures are told to hundredths."""
    if one is None or other is None:
        return one is other
    return one[2] == other[2] and all(f"{one[n]:.2f}" == f"{other[n]:.2f}" for n in (0, 1))
