"""What ticks with their minutes say of the rig's figures for set-ups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Seconds
from stripplan.rig.notebook.hand_seconds import FIGURES, CauseLearnt, TimedCuts, hand_factors, learnt_seconds


@dataclass(frozen=True, kw_only=True)
class TimedTick:
    """Cuts of a plan, by number, that were made in so many minutes all together."""

    plan: Plan
    cuts: tuple[int, ...]
    minutes: float


@dataclass(frozen=True, kw_only=True)
class LearntSeconds:
    """How far each cause of minutes is off, the figures that the plans count with, and what they would be.

    `used` ticks are of plans that count with the figures of the newest; those of others say nothing of these.
    """

    causes: tuple[CauseLearnt, ...]
    now: Seconds
    learnt: Seconds
    used: int


def seconds_learnt(ticks: Sequence[TimedTick]) -> LearntSeconds | None:
    """What ticks say, the oldest first; None where there are none."""
    if not ticks:
        return None
    now = ticks[-1].plan.rig.seconds
    used = [_timed(each) for each in ticks if each.plan.rig.seconds == now]
    causes = hand_factors(used)
    return LearntSeconds(causes=causes, now=now, learnt=learnt_seconds(now, causes), used=len(used))


def _timed(tick: TimedTick) -> TimedCuts:
    minutes = [cut.minutes for cut in tick.plan.cuts if cut.number in tick.cuts]
    return TimedCuts(
        taken=tick.minutes,
        planned=sum(each.total for each in minutes),
        by_cause={cause: sum(getattr(each, cause) for each in minutes) for cause in FIGURES},
    )
