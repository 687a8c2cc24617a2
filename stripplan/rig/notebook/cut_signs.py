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
from dataclasses import dataclass
from numbers import Real
from typing import Any, Literal

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

NOT_SEVERED = "the piece did not part along its whole length"

CAUTION = (
    "Arc off, torch parked and the piece cold before an edge is looked at, felt or scraped: fresh edges are hot and "
    "sharp, dross flies off. Eye and hand protection, fume extraction, nothing that burns below the bed. Local rules "
    "and the maker's manual of the power source come first."
)


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
            raise ValueError("\n".join(faults))


@dataclass(frozen=True)
class Finding:
    """One thing that a test cut shows: a code, what it is, the reason in one sentence, the sign that supports it, what
    to do, and the status of that knowledge.

    `differs` says how sources, or signs of this cut, differ; empty where they do not.
    """

    code: str
    what: str
    reason: str
    sign: str
    do: str
    status: str = SEVERAL
    differs: str = ""


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
    if starts_on_tip is not None and (fault := _count_fault(starts_on_tip)):
        raise ValueError(fault)
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


def _slow_signs(seen: Observation) -> list[str]:
    """Signs of too slow a travel, in words."""
    return _said(
        (seen.dross == "easy", "thick bead on the lower edge that comes off easily"),
        (seen.kerf_wide is True, "kerf burnt wide"),
        (
            _lag_counts(seen) and (seen.lag_angle or 0) < LAG_RIGHT[0],
            f"arc leaves the lower face almost straight down or forward ({_deg(seen.lag_angle)})",
        ),
    )


def _fast_signs(seen: Observation) -> list[str]:
    """Signs of too fast a travel, in words."""
    return _said(
        (seen.severed is False, NOT_SEVERED),
        (seen.dross == "hard", "thin hard line on the lower edge"),
        (seen.drag_lines == "j", "J-shaped drag lines"),
        (
            _lag_counts(seen) and (seen.lag_angle or 0) > LAG_RIGHT[1],
            f"arc trails by {_deg(seen.lag_angle)}, more than about {LAG_RIGHT[1]:g} deg",
        ),
    )


def _lag_counts(seen: Observation) -> bool:
    """A clean edge outvotes the lag angle: sources differ on what angle is right, not on what dross means."""
    return seen.lag_angle is not None and seen.dross != "none"


def _lag_right(seen: Observation) -> bool:
    return seen.lag_angle is not None and LAG_RIGHT[0] <= seen.lag_angle <= LAG_RIGHT[1]


def _said(*signs: tuple[bool, str]) -> list[str]:
    return [words for there, words in signs if there]


def _deg(angle: float | None) -> str:
    return "" if angle is None else f"{angle:g} deg"


# --- findings --------------------------------------------------------------------------------------------------------


def _contradiction(seen: Observation) -> list[Finding]:
    slow, fast = _slow_signs(seen), _fast_signs(seen)
    if not (slow and fast):
        return []
    return [
        Finding(
            "contradiction",
            "the signs contradict each other",
            "One sign says that the travel was too slow, another that it was too fast, and one speed cannot be both.",
            f"too slow: {', '.join(slow)}; too fast: {', '.join(fast)}",
            "Look again at the cold, clean edge, then cut once more at the same speed; if both signs stay, look at "
            "tip, stand-off and air before the speed is changed.",
            "rule of this project",
            "The signs of this cut differ, so it gives no answer.",
        )
    ]


def _not_severed(seen: Observation) -> list[Finding]:
    if seen.severed is not False:
        return []
    return [
        Finding(
            "not_severed",
            "not severed",
            "The arc did not bring enough heat to each millimetre to melt through: too fast, or too weak an arc.",
            NOT_SEVERED,
            "Go slower or use more current; if that speed has cut before, look at tip, air pressure, stand-off "
            "and earth clamp first.",
            FROM_MEMORY,
        )
    ]


def _speed(seen: Observation) -> list[Finding]:
    """Too slow or too fast; neither where signs of both are there, and a cut that did not part has its own finding."""
    slow, fast = _slow_signs(seen), _fast_signs(seen)
    if slow and fast:
        return []
    fast = [each for each in fast if each != NOT_SEVERED]
    if slow:
        by_lag_alone = seen.dross != "easy" and not seen.kerf_wide
        return [
            Finding(
                "too_slow",
                "too slow",
                "At too low a speed more metal melts than the gas blows out, and it hangs on below as a thick "
                "soft bead.",
                ", ".join(slow),
                "Go faster, or use less current with the nozzle meant for it.",
                FROM_MEMORY if by_lag_alone else SEVERAL,
            )
        ]
    if fast:
        return [
            Finding(
                "too_fast",
                "too fast",
                "At too high a speed the foot of the cut lags behind and the melt freezes to the edge as a thin "
                "hard line.",
                ", ".join(fast),
                "Go slower; where the drag lines or the lag are right, lower the stand-off first.",
                SEVERAL,
                _lag_differs(seen),
            )
        ]
    return []


def _lag_differs(seen: Observation) -> str:
    if seen.lag_angle is None or seen.lag_angle <= LAG_RIGHT[1]:
        return ""
    low, high = LAG_BY_HAND
    return f"Most sources call 5 to 15 deg right; one trade page gives {low:g} to {high:g} deg as normal by hand."


def _height(seen: Observation) -> list[Finding]:
    found = []
    high = _said(
        (seen.rounded_top_edge is True, "rounded top edge"),
        (
            seen.stand_off is not None and seen.stand_off > STAND_OFF[1],
            f"stand-off {seen.stand_off} mm, above the usual {STAND_OFF[0]:g} to {STAND_OFF[1]:g} mm of an exposed "
            "nozzle",
        ),
    )
    if high:
        high += _said((seen.top_spatter is True, "spatter on top"))
        found.append(
            Finding(
                "too_high",
                "torch too high",
                "From too far the arc spreads before it enters: it rounds the top edge and gives more bevel.",
                ", ".join(high),
                "Lower the torch to the maker's stand-off and cut again before the speed is changed.",
                SEVERAL,
            )
        )
    low = _said(
        (
            seen.stand_off is not None and seen.stand_off < STAND_OFF[0],
            f"stand-off {seen.stand_off} mm, below the usual {STAND_OFF[0]:g} to {STAND_OFF[1]:g} mm of an exposed "
            "nozzle",
        ),
        (
            seen.bevel is not None
            and seen.bevel < 0
            and (seen.thickness is None or seen.thickness >= BEVEL_NEGATIVE_FROM),
            f"negative bevel ({_deg(seen.bevel)})",
        ),
    )
    if low:
        found.append(
            Finding(
                "too_low",
                "torch too low",
                "From too near the arc cannot open up, and the cut gets wider below than above.",
                ", ".join(low),
                "Raise the torch to the maker's stand-off; a nozzle that drags on the plate is only for an "
                "unshielded one up to about 30 A, or a drag tip.",
                ONE_MANUAL if seen.bevel is not None and seen.bevel < 0 else SEVERAL,
                ""
                if seen.thickness is not None
                else f"Negative bevel is told only of plate from {BEVEL_NEGATIVE_FROM:g} mm up.",
            )
        )
    return found


def _tip(seen: Observation, starts: int | None) -> list[Finding]:
    spatter = seen.top_spatter is True
    signs = _said((spatter, "spatter on top that wipes off"), (seen.severed is False, NOT_SEVERED))
    if not signs:
        return []
    if starts == 0:
        doubt = "This was the first arc on the tip: wear is unlikely, so look at the stand-off first."
    elif starts is None:
        doubt = "The starts on this tip are not known."
    else:
        doubt = f"{starts} starts on this tip before; no figure for how many a tip lasts is held."
    differs = doubt
    if spatter:
        differs += (
            " Sources agree on stand-off or nozzle, and differ on speed: one manual also says slow travel, others say "
            "too fast; so spatter alone gives no answer."
        )
    return [
        Finding(
            "worn_tip",
            "tip worn, or torch too high",
            "A bore that is no longer round and sharp lets the arc spread and stray.",
            ", ".join(signs),
            "Look at the bore with the power off: round, sharp-edged and centred, or change the tip; then measure "
            "the kerf again.",
            DIFFER if spatter else FROM_MEMORY,
            differs,
        )
    ]


def _bevel(seen: Observation) -> list[Finding]:
    if seen.bevel is None or seen.bevel <= BEVEL_ORDINARY:
        return []
    return [
        Finding(
            "bevel",
            "bevel above the ordinary",
            "A torch that leans or stands too high, a worn tip, or the part on the bevelled side gives an edge "
            "out of square.",
            f"bevel {_deg(seen.bevel)}; ordinary is 1 to {BEVEL_ORDINARY:g} deg",
            "Turn the torch a quarter in its holder and cut again: what turns with the torch is the torch's "
            "fault; look which side the part lay on.",
            ONE_SLIDE + "; the check by turning: one maker's manual",
            "One maker's manual asks for a mean below 4 deg over the sides of a square.",
        )
    ]


def _lag_unsure(seen: Observation) -> list[Finding]:
    """A clean edge with a lag angle outside the usual: good, with a hint."""
    if seen.dross != "none" or seen.lag_angle is None or _lag_right(seen) or _slow_signs(seen) or _fast_signs(seen):
        return []
    slow = seen.lag_angle < LAG_RIGHT[0]
    return [
        Finding(
            "lag_unusual",
            "clean edge, unusual lag",
            f"The edge is clean, yet the arc trails {'less' if slow else 'more'} than usual: the speed may lie "
            f"near the {'slow' if slow else 'fast'} end of the window.",
            f"lag angle {_deg(seen.lag_angle)}; usual is {LAG_RIGHT[0]:g} to {LAG_RIGHT[1]:g} deg",
            "Keep the speed if the edge stays clean over a longer cut.",
            SEVERAL if slow else DIFFER,
            _lag_differs(seen),
        )
    ]


def _nothing_wrong(seen: Observation) -> Finding:
    if verdict(seen) == "good":
        signs = _said(
            (seen.dross == "none", "no dross"),
            (_lag_right(seen), f"arc trails by {_deg(seen.lag_angle)}"),
            (seen.drag_lines == "straight", "straight drag lines"),
        )
        return Finding(
            "right",
            "right",
            "Nothing hangs on the edge and nothing speaks against the speed.",
            ", ".join(signs),
            "Keep the speed; cut the kerf test at it.",
        )
    return Finding(
        "not_judged",
        "cannot be judged",
        "Nothing was seen that tells too slow from too fast.",
        "no telling sign was noted",
        "Look at the lower edge: no dross, a bead that comes off easily, or a thin line that does not; and "
        "whether the piece parted.",
    )


# --- checks ----------------------------------------------------------------------------------------------------------


def _faults(seen: Observation) -> list[str]:
    """All that is wrong with one row, in plain sentences."""
    faults = []
    if not _number(seen.speed) or seen.speed <= 0:
        faults.append(f"speed {seen.speed} mm/min must be a number above 0")
    if seen.dross is not None and seen.dross not in DROSS:
        faults.append(
            f"dross {seen.dross!r} is not known; known are {', '.join(DROSS)}, or nothing where it was not looked at"
        )
    if seen.drag_lines is not None and seen.drag_lines not in DRAG_LINES:
        faults.append(f"drag lines {seen.drag_lines!r} are not known; known are {', '.join(DRAG_LINES)}")
    for name in ("top_spatter", "severed", "kerf_wide", "rounded_top_edge"):
        value = getattr(seen, name)
        if value is not None and not isinstance(value, bool):
            faults.append(f"{name} {value!r} must be true or false, or nothing where it was not looked at")
    for name, least, most in (("lag_angle", -60, 80), ("bevel", -45, 45)):
        value = getattr(seen, name)
        if value is not None and not (_number(value) and least <= value <= most):
            faults.append(f"{name} {value} deg must be a number from {least} to {most}")
    for name in ("stand_off", "thickness"):
        value = getattr(seen, name)
        least_ok = 0 if name == "stand_off" else 1e-9
        if value is not None and not (_number(value) and value >= least_ok):
            faults.append(f"{name} {value} mm must be a number {'of 0 or more' if name == 'stand_off' else 'above 0'}")
    if seen.starts_on_tip is not None and (fault := _count_fault(seen.starts_on_tip)):
        faults.append(fault)
    return faults + _contradicting(seen)


def _contradicting(seen: Observation) -> list[str]:
    """Fields that cannot both be true: what lies below the plate was seen only where the cut went through."""
    if seen.severed is not False:
        return []
    below = _said(
        (seen.dross is not None, f"dross {seen.dross!r}"),
        (seen.lag_angle is not None, f"a lag angle of {seen.lag_angle} deg"),
    )
    if not below:
        return []
    return [
        f"not severed, yet {' and '.join(below)} given: the lower edge can be judged only where the cut parted; "
        "leave it out, or say severed"
    ]


def _count_fault(starts: int) -> str:
    good = isinstance(starts, int) and not isinstance(starts, bool) and starts >= 0
    return "" if good else f"starts on the tip {starts} must be a whole number of 0 or more"


def _number(value: Any) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)
