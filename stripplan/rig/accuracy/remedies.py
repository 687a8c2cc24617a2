"""What would make a strip bow less, each with its figure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stripplan.rig.process.camber import (
    DATUM_SHARE,
    MILD_STEEL,
    RESIDUE,
    BowEstimate,
    Steel,
    bow,
    edge_values,
    least_width_of_model,
    positive,
    straightness_limit,
)
from stripplan.rig.process.heat import warm_bow
from stripplan.rig.process.kerf import mm
from stripplan.rig.uncertainty import Estimate
from stripplan.wording.message import Facts, Message, Quantity
from stripplan.wording.message import length as quantity
from stripplan.wording.show import worded

RemedyKind = Literal["trim", "inside", "pair", "cool", "wider"]
NOTICED = 0.01
"""Bow below which a difference is not worth a sentence [mm]."""
_EPS = 1e-9


@dataclass(frozen=True)
class Remedy:
    """One way to less bow: what is to be done, the bow then estimated [mm], and whether it keeps to the limit (None =
    no limit).
    """

    kind: RemedyKind
    message: Message
    bow: float
    meets: bool | None

    @property
    def text(self) -> str:
        """The remedy in words, in mm."""
        return worded(self.message).text


Tried = tuple[RemedyKind, Message, float]
"""A way to less bow, what is to be done, and the bow that cooling leaves then [mm]."""


@dataclass(frozen=True)
class _Strip:
    """A strip that bows more than it may: its size, how hot the hotter edge was cut (see `bow`), what it bows `now`,
    what is `allowed` (None = no limit), and how much the piece that it is cut from is bent by heat, `warm` [mm].
    """

    length: float
    width: float
    hottest: float
    now: BowEstimate
    allowed: float | None
    warm: float
    residue: float
    steel: Steel


def remedies(
    length: float,
    width: float,
    edges: Sequence[float | Estimate],
    *,
    kerf: float,
    limit: float | None = None,
    count: int = 1,
    from_width: float | None = None,
    pause: float = 0.0,
    thickness: float | None = None,
    residue: float = RESIDUE,
    steel: Steel = MILD_STEEL,
) -> tuple[Remedy, ...]:
    """What would make a strip bow less, each with its figure; only what lowers the estimate, nothing where its high end
    keeps the limit.

    `edges` as for `bow`; `limit` [mm], default `straightness_limit`. `count` strips of that kind are wanted.
    `from_width` [mm] is the piece that the strip is cut from where an edge of that was cut `pause` seconds earlier: it
    may still be bent by heat. The answer counts that in.

    >>> found = remedies(1000, 50, (0.00556, 0), kerf=1.5)
    >>> [(each.kind, round(each.bow, 2)) for each in found]
    [('trim', 0.56), ('inside', 0.56), ('wider', 1.17)]
    >>> found[-1].text
    'Make it wider: from 69 mm on about 1.2 mm is kept (97 mm for the high end of the range).'
    """
    if count < 1:
        raise ValueError(f"{count} strips: at least 1 is needed")
    positive(kerf=kerf)
    now = bow(length, width, edges, residue=residue, steel=steel)
    allowed = straightness_limit(length, limit).value
    hottest = max(edge_values(edges))
    warm = 0.0
    if from_width is not None and hottest > 0:
        if from_width < width:
            raise ValueError(f"from width {mm(from_width)}: a strip of {mm(width)} mm cannot be cut from it")
        warm = warm_bow(length, from_width, hottest, pause, thickness=thickness, steel=steel)
    if hottest == 0 or (allowed is not None and not now.beyond_model and now.high + warm <= allowed + _EPS):
        return ()
    strip = _Strip(length, width, hottest, now, allowed, warm, residue, steel)
    found: list[Tried] = []
    if not now.beyond_model:
        if now.hot_edges == 1:
            found += _second_edge(strip, kerf=kerf, count=count)
        if warm > 0 and from_width is not None:
            found += _let_cool(strip, from_width, pause, thickness)
    found += _wider(strip)
    return tuple(
        Remedy(kind, message, after + warm, None if allowed is None else after + warm <= allowed + _EPS)
        for kind, message, after in found
        if kind == "wider" or after < now.bow - NOTICED
    )


def _second_edge(strip: _Strip, *, kerf: float, count: int) -> list[Tried]:
    """Three ways to a second hot edge: a trim, another place, a pair that is split last."""
    edges = (strip.hottest, strip.hottest)
    after = bow(strip.length, strip.width, edges, residue=strip.residue, steel=strip.steel).bow
    gain = {"after": _short(after), "now": _short(strip.now.bow)}
    found: list[Tried] = [
        ("trim", Message("remedy", facts=Facts(**gain), says="remedy_trim"), after),
        ("inside", Message("remedy", facts=Facts(**gain), says="remedy_inside"), after),
    ]
    if count >= 2:
        pair = 2 * strip.width + kerf
        together = bow(strip.length, pair, edges, residue=strip.residue, steel=strip.steel).bow
        facts = Facts(pair=quantity(round(pair, 3)), together=_short(together), **gain)
        found.append(("pair", Message("remedy", facts=facts, says="remedy_pair"), after))
    return found


def _let_cool(strip: _Strip, from_width: float, pause: float, thickness: float | None) -> list[Tried]:
    """The advice to wait until what is left of the bow by heat is small; nothing where it is small already."""
    target = DATUM_SHARE * (strip.warm if strip.allowed is None else strip.allowed)
    if strip.warm <= target:
        return []

    def left(seconds: float) -> float:
        return warm_bow(strip.length, from_width, strip.hottest, seconds, thickness=thickness, steel=strip.steel)

    # The slope falls with time throughout: double until small enough, then halve the bracket.
    early, late = pause, max(1.0, 2 * pause)
    while left(late) > target:
        early, late = late, 2 * late
    while late - early > 0.5:
        middle = (early + late) / 2
        early, late = (middle, late) if left(middle) > target else (early, middle)
    wait = math.ceil(late)
    facts = Facts(wait=_time(wait), pause=_time(pause), left=_short(left(wait)), warm=_short(strip.warm))
    return [("cool", Message("remedy", facts=facts, says="remedy_cool"), strip.now.bow + left(wait) - strip.warm)]


def _wider(strip: _Strip) -> list[Tried]:
    """The least width that keeps the limit, by the estimate and by its high end; nothing where no width does."""
    width, now, warm = strip.width, strip.now, strip.warm
    void = least_width_of_model(strip.hottest, steel=strip.steel)
    budget = None if strip.allowed is None else strip.allowed - warm
    if budget is None or budget <= 0:
        if not now.beyond_model:
            return []
        message = Message("remedy", facts=Facts(least=quantity(math.ceil(void))), says="remedy_wider_for_the_model")
        return [("wider", message, now.bow * (width / math.ceil(void)) ** 2)]
    by_estimate, by_high = (
        math.ceil(max(void, width * math.sqrt(each / budget)) - _EPS) for each in (now.bow, now.high)
    )
    chosen = by_estimate if by_estimate > width else by_high
    if chosen <= width:
        return []
    facts = {"least": quantity(chosen), "kept": _short(budget + warm)}
    if warm > NOTICED:
        facts["warm"] = _short(warm)
    if chosen < by_high:
        facts["least_for_high_end"] = quantity(by_high)
    says = "remedy_wider_at_high_end" if chosen >= by_high and by_estimate <= width else "remedy_wider"
    return [("wider", Message("remedy", facts=Facts(**facts), says=says), now.bow * (width / chosen) ** 2)]


def _short(value: float) -> Quantity:
    """A bow for a sentence: two decimals below 10 mm, else one."""
    return quantity(round(value, 2 if value < 10 else 1))


def _time(seconds: float) -> str:
    """A time in words: seconds up to two minutes, then minutes."""
    return f"{math.ceil(seconds)} s" if seconds <= 120 else f"{math.ceil(seconds / 60)} min"
