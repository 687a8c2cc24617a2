"""What one test cut with a plasma torch shows: signs at dross, drag lines, bevel and edge, what is wrong, and the
ordered answer slow, good or fast.

Nothing here is a standard. The signs stand in several makers' manuals and trade pages: common practice, no source.
Where those differ, the finding says so; where two signs of one cut contradict each other, that is said too, and no
answer is given.

| sign | means |
|---|---|
| thick bead below, comes off easily | too slow |
| thin hard line below, hard to remove | too fast, or stand-off too great |
| no dross, arc leaves the lower face trailing 5 to 15 deg | right |
| kerf burnt wide; sparks straight down or forward | too slow |
| J-shaped drag lines; not severed | too fast (or the arc too weak) |
| spatter on top; rounded top edge | stand-off too great or tip worn; on speed the sources differ |
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from numbers import Real
from typing import Any, Literal

from stripplan.errors import FiguresError
from stripplan.wording.message import Fact, Facts, Message, Quantity, length

Verdict = Literal["slow", "good", "fast"]
Dross = Literal["none", "easy", "hard"]
DragLines = Literal["straight", "curved", "j"]

DROSS = ("none", "easy", "hard")
DRAG_LINES = ("straight", "curved", "j")

LAG_RIGHT = (5.0, 15.0)
"""Angle by which the arc trails at the lower face at the right speed [deg]: common practice, seen in several manuals
and trade pages.
"""
LAG_BY_HAND = (30.0, 40.0)
"""What one trade page calls normal for cutting by hand [deg]; it differs from the others."""
BEVEL_ORDINARY = 5.0
"""Bevel of an ordinary plasma edge, 1 to 5 deg: slide of a training course (seen)."""
STAND_OFF = (1.6, 3.2)
"""Stand-off of an exposed nozzle [mm], 1/16 to 1/8 in: common practice, seen in a trade article and on a maker's page.
"""
BEVEL_NEGATIVE_FROM = 6.4
"""Thickness from which a stand-off that is too low may turn the bevel negative [mm]: one maker's manual (seen), common
practice.
"""

SEVERAL = "common practice, no source (seen in several makers' manuals and trade pages)"
FROM_MEMORY = "common practice, no source (from memory, fair)"
DIFFER = "common practice, no source (seen; sources differ)"
ONE_MANUAL = "common practice, no source (seen in one maker's manual)"
ONE_SLIDE = "slide of a training course (seen)"

CAUTION = Message("look_at_edges")
"""What goes before any look at an edge."""


@dataclass(frozen=True)
class Observation:
    """What was seen at one test cut; what was not looked at stays None.

    `speed` [mm/min]. `dross` on the lower edge: "none", "easy" (a thick bead that comes off easily) or "hard" (a thin
    line that does not). `lag_angle` of the arc at the lower face against the torch [deg], + trailing, 0 straight down.
    `drag_lines` on the cut face: "straight", "curved", or "j" where they hook at the foot. `bevel` of the part's edge
    [deg], + where the top is the narrower face of the part. `severed`: parted along its whole length. `stand_off` [mm]
    and `thickness` [mm] as set and measured; `starts_on_tip`: arcs struck on this tip before.

    >>> verdict(Observation(300, dross="easy"))
    'slow'
    """

    speed: float
    dross: Dross | None = None
    top_spatter: bool | None = None
    lag_angle: float | None = None
    bevel: float | None = None
    severed: bool | None = None
    kerf_wide: bool | None = None
    rounded_top_edge: bool | None = None
    drag_lines: DragLines | None = None
    stand_off: float | None = None
    thickness: float | None = None
    starts_on_tip: int | None = None

    def __post_init__(self) -> None:
        faults = _faults(self)
        if faults:
            raise FiguresError(*faults)


@dataclass(frozen=True)
class Finding:
    """One thing that a test cut shows: a code, the signs that support it, and the status of that knowledge.

    `differs` says how sources, or signs of this cut, differ. `facts` are for its words.
    """

    code: str
    signs: tuple[Message, ...]
    status: str = SEVERAL
    differs: tuple[Message, ...] = ()
    facts: Facts = field(default_factory=Facts)

    @property
    def said(self) -> Message:
        """What it is, with what to do as the hint; the signs are among its facts."""
        return Message(self.code, facts=Facts(signs=self.signs, **self.facts), says=f"cut_{self.code}")

    @property
    def reason(self) -> Message:
        """Why the signs mean that, in one sentence."""
        return Message(self.code, facts=self.facts, says=f"why_cut_{self.code}")


def verdict(observation: Observation) -> Verdict | None:
    """The ordered answer of the cut; None where nothing seen decides, or signs contradict each other.

    A cut that did not part counts as fast. No dross is good unless drag lines or kerf speak against it, whatever the
    lag angle. Where dross was not looked at, lag angle, drag lines and kerf decide. Signs: common practice, no source;
    how they are weighed is a rule of this project.

    >>> verdict(Observation(300, dross="none", lag_angle=10)), verdict(Observation(300, severed=False))
    ('good', 'fast')
    >>> verdict(Observation(300, dross="hard", lag_angle=2)) is None
    True
    """
    slow, fast = bool(_slow_signs(observation)), bool(_fast_signs(observation))
    if slow and fast:
        return None
    if slow or fast:
        return "slow" if slow else "fast"
    return "good" if observation.dross == "none" or _lag_right(observation) else None


def diagnosis(observation: Observation, *, starts_on_tip: int | None = None) -> tuple[Finding, ...]:
    """What is wrong at the cut and what to do, most telling first; one finding that all is well, or that nothing can be
    said.

    `starts_on_tip` goes before the count in the observation. No life of a tip is taken for granted: no figure is held.

    >>> [each.code for each in diagnosis(Observation(300, dross="hard", lag_angle=2))]
    ['contradiction']
    >>> [each.code for each in diagnosis(Observation(300, dross="none", lag_angle=9))]
    ['right']
    """
    if starts_on_tip is not None and not _count(starts_on_tip):
        raise FiguresError(_no_count(starts_on_tip))
    starts = observation.starts_on_tip if starts_on_tip is None else starts_on_tip
    found: list[Finding] = []
    found += _contradiction(observation)
    found += _not_severed(observation)
    found += _speed(observation)
    found += _height(observation)
    found += _tip(observation, starts)
    found += _bevel(observation)
    found += _lag_unsure(observation)
    return tuple(found) or (_nothing_wrong(observation),)


# --- which way each sign points --------------------------------------------------------------------------------------


def _slow_signs(seen: Observation) -> list[Message]:
    """Signs of too slow a travel."""
    return _said(
        (seen.dross == "easy", Message("sign_easy_dross")),
        (seen.kerf_wide is True, Message("sign_kerf_wide")),
        (_lag_counts(seen) and (seen.lag_angle or 0) < LAG_RIGHT[0], _lag("sign_lag_small", seen)),
    )


def _fast_signs(seen: Observation) -> list[Message]:
    """Signs of too fast a travel."""
    return _said(
        (seen.severed is False, NOT_SEVERED),
        (seen.dross == "hard", Message("sign_hard_dross")),
        (seen.drag_lines == "j", Message("sign_j_lines")),
        (
            _lag_counts(seen) and (seen.lag_angle or 0) > LAG_RIGHT[1],
            _lag("sign_lag_great", seen, most=LAG_RIGHT[1]),
        ),
    )


NOT_SEVERED = Message("sign_not_severed")


def _lag(code: str, seen: Observation, **more: Fact) -> Message:
    return Message(code, facts=Facts(lag=float(seen.lag_angle or 0), **more))


def _lag_counts(seen: Observation) -> bool:
    """A clean edge outvotes the lag angle: sources differ on what angle is right, not on what dross means."""
    return seen.lag_angle is not None and seen.dross != "none"


def _lag_right(seen: Observation) -> bool:
    return seen.lag_angle is not None and LAG_RIGHT[0] <= seen.lag_angle <= LAG_RIGHT[1]


def _said(*signs: tuple[bool, Message]) -> list[Message]:
    return [said for there, said in signs if there]


# --- findings --------------------------------------------------------------------------------------------------------


def _contradiction(seen: Observation) -> list[Finding]:
    slow, fast = tuple(_slow_signs(seen)), tuple(_fast_signs(seen))
    if not (slow and fast):
        return []
    both = Message("signs_both_ways", facts=Facts(slow=slow, fast=fast))
    return [Finding("contradiction", (both,), "rule of this project", (Message("signs_differ"),))]


def _not_severed(seen: Observation) -> list[Finding]:
    return [Finding("not_severed", (NOT_SEVERED,), FROM_MEMORY)] if seen.severed is False else []


def _speed(seen: Observation) -> list[Finding]:
    """Too slow or too fast; neither where signs of both are there, and a cut that did not part has its own finding."""
    slow, fast = _slow_signs(seen), _fast_signs(seen)
    if slow and fast:
        return []
    fast = [each for each in fast if each != NOT_SEVERED]
    if slow:
        by_lag_alone = seen.dross != "easy" and not seen.kerf_wide
        return [Finding("too_slow", tuple(slow), FROM_MEMORY if by_lag_alone else SEVERAL)]
    return [Finding("too_fast", tuple(fast), SEVERAL, _lag_differs(seen))] if fast else []


def _lag_differs(seen: Observation) -> tuple[Message, ...]:
    if seen.lag_angle is None or seen.lag_angle <= LAG_RIGHT[1]:
        return ()
    return (Message("lag_differs", facts=Facts(least=LAG_BY_HAND[0], most=LAG_BY_HAND[1])),)


def _height(seen: Observation) -> list[Finding]:
    return [*_too_high(seen), *_too_low(seen)]


def _stand_off(code: str, seen: Observation) -> Message:
    usual = {"least": length(STAND_OFF[0]), "most": length(STAND_OFF[1])}
    return Message(code, facts=Facts(stand_off=length(seen.stand_off or 0), **usual))


def _too_high(seen: Observation) -> list[Finding]:
    signs = _said(
        (seen.rounded_top_edge is True, Message("sign_rounded_edge")),
        (
            seen.stand_off is not None and seen.stand_off > STAND_OFF[1],
            _stand_off("sign_stand_off_great", seen),
        ),
    )
    if not signs:
        return []
    return [Finding("too_high", (*signs, *_said((seen.top_spatter is True, Message("sign_spatter")))))]


def _too_low(seen: Observation) -> list[Finding]:
    thick = seen.thickness is None or seen.thickness >= BEVEL_NEGATIVE_FROM
    by_bevel = seen.bevel is not None and seen.bevel < 0
    signs = _said(
        (
            seen.stand_off is not None and seen.stand_off < STAND_OFF[0],
            _stand_off("sign_stand_off_small", seen),
        ),
        (by_bevel and thick, Message("sign_bevel_negative", facts=Facts(bevel=float(seen.bevel or 0)))),
    )
    if not signs:
        return []
    only_thick = Message("bevel_of_thick_plate", facts=Facts(thickness=length(BEVEL_NEGATIVE_FROM)))
    differs = () if seen.thickness is not None else (only_thick,)
    return [Finding("too_low", tuple(signs), ONE_MANUAL if by_bevel else SEVERAL, differs)]


def _tip(seen: Observation, starts: int | None) -> list[Finding]:
    spatter = seen.top_spatter is True
    signs = _said((spatter, Message("sign_loose_spatter")), (seen.severed is False, NOT_SEVERED))
    if not signs:
        return []
    known = {} if starts is None else {"starts": starts}
    doubt = Message("starts_on_tip", facts=Facts(**known))
    differs = (doubt, Message("spatter_differs")) if spatter else (doubt,)
    return [Finding("worn_tip", tuple(signs), DIFFER if spatter else FROM_MEMORY, differs)]


def _bevel(seen: Observation) -> list[Finding]:
    if seen.bevel is None or seen.bevel <= BEVEL_ORDINARY:
        return []
    sign = Message("sign_bevel", facts=Facts(bevel=float(seen.bevel), most=BEVEL_ORDINARY))
    status = ONE_SLIDE + "; the check by turning: one maker's manual"
    return [Finding("bevel", (sign,), status, (Message("bevel_of_square"),))]


def _lag_unsure(seen: Observation) -> list[Finding]:
    """A clean edge with a lag angle outside the usual: good, with a hint."""
    if seen.dross != "none" or seen.lag_angle is None or _lag_right(seen) or _slow_signs(seen) or _fast_signs(seen):
        return []
    slow = seen.lag_angle < LAG_RIGHT[0]
    sign = _lag("sign_lag_unusual", seen, least=LAG_RIGHT[0], most=LAG_RIGHT[1])
    return [Finding("lag_unusual", (sign,), SEVERAL if slow else DIFFER, _lag_differs(seen), Facts(slow=slow))]


def _nothing_wrong(seen: Observation) -> Finding:
    if verdict(seen) == "good":
        signs = _said(
            (seen.dross == "none", Message("sign_no_dross")),
            (_lag_right(seen), _lag("sign_lag_right", seen)),
            (seen.drag_lines == "straight", Message("sign_straight_lines")),
        )
        return Finding("right", tuple(signs))
    return Finding("not_judged", (Message("sign_none"),))


# --- checks ----------------------------------------------------------------------------------------------------------


def _faults(seen: Observation) -> list[Message]:
    """All that is wrong with one row."""
    return [*_words_not_known(seen), *_figures_out_of_reach(seen), *_contradicting(seen)]


def _words_not_known(seen: Observation) -> Iterator[Message]:
    for name, value, known, verb in (
        ("dross", seen.dross, DROSS, "is"),
        ("drag lines", seen.drag_lines, DRAG_LINES, "are"),
    ):
        if value is not None and value not in known:
            yield Message("sign_unknown", facts=Facts(name=name, value=str(value), known=known, verb=verb))
    for name in ("top_spatter", "severed", "kerf_wide", "rounded_top_edge"):
        value = getattr(seen, name)
        if value is not None and not isinstance(value, bool):
            yield Message("sign_true_or_false", facts=Facts(name=name, value=value))


def _figures_out_of_reach(seen: Observation) -> Iterator[Message]:
    if not _number(seen.speed) or seen.speed <= 0:
        yield Message("speed_above_0", facts=Facts(name="speed", speed=Quantity(seen.speed, "speed")))
    for name, least, most in (("lag_angle", -60, 80), ("bevel", -45, 45)):
        value = getattr(seen, name)
        if value is not None and not (_number(value) and least <= value <= most):
            yield Message("sign_angle", facts=Facts(name=name, value=value, least=least, most=most))
    for name, smallest, limit in (("stand_off", 0.0, "of 0 or more"), ("thickness", 1e-9, "above 0")):
        value = getattr(seen, name)
        if value is not None and not (_number(value) and value >= smallest):
            yield Message("sign_length", facts=Facts(name=name, value=length(value), limit=limit))
    if seen.starts_on_tip is not None and not _count(seen.starts_on_tip):
        yield _no_count(seen.starts_on_tip)


def _contradicting(seen: Observation) -> list[Message]:
    """Fields that cannot both be true: what lies below the plate was seen only where the cut went through."""
    if seen.severed is not False:
        return []
    below = _said(
        (seen.dross is not None, Message("dross_given", facts=Facts(dross=str(seen.dross)))),
        (seen.lag_angle is not None, Message("lag_given", facts=Facts(lag=seen.lag_angle or 0))),
    )
    return [Message("not_severed_yet", facts=Facts(given=tuple(below)))] if below else []


def _count(starts: int) -> bool:
    return isinstance(starts, int) and not isinstance(starts, bool) and starts >= 0


def _no_count(starts: int) -> Message:
    return Message("sign_count", facts=Facts(value=starts))


def _number(value: Any) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)
