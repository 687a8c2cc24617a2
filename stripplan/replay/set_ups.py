"""What is done between two cuts: who lifts, what is pushed up or cleared, and the minutes that it takes.

Times come from the rig's own seconds; what they depend on (readings, stops, masses, edges) is read off the plan and the
metal, not off the flags of other rules. What editions of the program count in their own way stands in `rules`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from stripplan.model.plan.cut import Cut
from stripplan.model.rig import Rig
from stripplan.replay import metal as m
from stripplan.replay.aslant.mitre_bar import set_anew
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench, name
from stripplan.replay.parts_made import mass_of

Span = tuple[float, float]
"""Least and greatest time that the rig's figures allow [s]; equal unless something is not known."""

NOTHING: Span = (0.0, 0.0)


def check_setup_minutes(bench: Bench) -> Iterator[Finding]:
    """Each cause of set-up takes what the rig's seconds give for it; what is not done takes no time."""
    reading: float | None = None
    stop: float | None = None
    for cut, anew in set_anew(bench):
        bar = bench.plan.rig.seconds.mitre if anew else 0.0
        stops = [*([] if stop is None else [stop]), *(each.end_stop for each in cut.passes)]
        given = cut.minutes
        rows = (
            ("fence", _fence(bench, cut, reading), given.fence),
            ("end stop", _end_stop(bench, stops, first=stop is None), given.end_stop),
            ("mitre bar", (bar, bar), given.mitre),
            *(_lifting(bench, cut) if known(bench, cut) else ()),
        )
        for cause, span, said in rows:
            yield from beside(cut, cause, span, said)
        reading = cut.fence_reading if cut.located == "fence" else reading
        stop = stops[-1] if stops else None


def known(bench: Bench, cut: Cut) -> bool:
    """Whether the piece and the plate of a cut are there: what is lifted can be weighed."""
    return cut.piece in bench.pieces and cut.plate in bench.plates


def beside(cut: Cut, cause: str, span: Span, said: float) -> Iterator[Finding]:
    """What a cause takes, beside what the plan says."""
    least, most = span[0] / 60, span[1] / 60
    slack = 1e-6 * max(1.0, most)
    if not least - slack <= said <= most + slack:
        near, time = figures(least if said < least else most, said)
        text = f"Cut {cut.number}: {cause} takes {near} min, not {time} min."
        yield Finding("minutes", f"{name(cut)}, {cause}", text)


def _fence(bench: Bench, cut: Cut, before: float | None) -> Span:
    """Setting, and moving the fence; marking out and lining up a marked cut counts as one setting."""
    seconds, reading = bench.plan.rig.seconds, cut.fence_reading
    base, per_mm = seconds.fence, seconds.fence_per_mm
    if cut.located == "mitre":
        return NOTHING
    if cut.located != "fence" or reading is None:
        return base, base
    if before is None:  # from where it is moved first, nobody knows
        return base, base + per_mm * abs(reading)
    if reading == before:
        return NOTHING
    moved = abs(reading - before)
    scaled = sorted((moved, moved * bench.plan.rig.fence_scale))  # read off the scale, or true millimetres
    return base + per_mm * scaled[0], base + per_mm * scaled[1]


def _end_stop(bench: Bench, stops: list[float], *, first: bool) -> Span:
    """Setting and moving the end stop as often as it changes over the passes."""
    seconds = bench.plan.rig.seconds
    base, per_mm = seconds.end_stop, seconds.end_stop_per_mm
    time = sum(base + per_mm * abs(b - a) for a, b in pairwise(stops) if a != b)
    return (time + base, time + base + per_mm * stops[0]) if first and stops else (time, time)


def _lifting(bench: Bench, cut: Cut) -> tuple[tuple[str, Span, float], ...]:
    """Cause, time of it and what the plan says for turning, turning over and fetching."""
    rig, setup, given, two = bench.plan.rig.seconds, cut.setup, cut.minutes, len(cut.passes) == 2
    quarters = {1: 1, 2: 2, 3: 1}.get(setup.quarter_turns, 0)  # three to one side are one to the other
    times = (
        ("turning", quarters * _lift(bench, cut, rig.quarter_turn), given.quarter_turn),
        ("turning over", (setup.turn_over + two) * _lift(bench, cut, rig.turn_over), given.turn_over),
        ("fetching", setup.fetch * _lift(bench, cut, rig.fetch), given.fetch),
    )
    odd = not 0 <= setup.quarter_turns <= 3  # said already; its time means nothing
    return tuple((cause, (time, time), said) for cause, time, said in times if not (odd and cause == "turning"))


def _lift(bench: Bench, cut: Cut, base: float) -> float:
    """Seconds to lift or turn the piece once: more with its mass, and by a factor where two people do it."""
    seconds = bench.plan.rig.seconds
    return float(
        (base + seconds.per_kg * mass_on_bed(bench, cut.piece)) * (seconds.two_person if cut.setup.two_person else 1)
    )


def mass_on_bed(bench: Bench, piece: str) -> float:
    """Mass of a piece as the cuts made it [kg]."""
    shape, plate = bench.shape(bench.pieces[piece]), bench.plates[bench.pieces[piece].plate]
    return mass_of(shape.area, plate) if shape is not None else 0.0


def check_two_person(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """What is too heavy for one person is lifted by two; what is light and short is not.

    Between lies what is long and not light: whether that needs two is left to the plan.
    """
    rig, setup, piece = bench.plan.rig, cut.setup, bench.pieces.get(cut.piece)
    shape = bench.shape(piece) if piece else None
    if piece is None or shape is None or cut.plate not in bench.plates:
        return
    mass, limit = mass_on_bed(bench, cut.piece), rig.two_person_mass
    handled = setup.fetch or setup.turn_over or setup.quarter_turns > 0 or len(cut.passes) == 2
    if handled and not setup.two_person and mass > limit * (1 + 1e-9):
        text = (
            f"Cut {cut.number}: {piece.id} weighs {mass:.1f} kg, above {limit:g} kg it is lifted by two; the plan "
            "says one."
        )
        yield Finding("two_person", name(cut), text)
    long = max(math.dist(*edge) for edge in m.edges(shape)) > rig.two_person_length
    if setup.two_person and mass < limit * (1 - 1e-9) and not long:
        text = f"Cut {cut.number}: {piece.id} weighs {mass:.1f} kg; up to {limit:g} kg one person lifts it, not two."
        yield Finding("two_person", name(cut), text)


def check_bed(bench: Bench) -> Iterator[Finding]:
    """What is on the bed and not cut next is cleared away; only what is on the bed is pushed up."""
    for last, cut in in_turn(bench.plan.cuts):
        if cut.setup.push and not stays(last, cut):
            text = f"Cut {cut.number}: {cut.piece} is pushed up, but it is not on the bed."
            yield Finding("push", name(cut), text)
        others = cleared(last, cut)
        if cut.setup.clear != bool(others):
            what = f"{' and '.join(others)} must be cleared away" if others else "there is nothing to clear away"
            yield Finding("clear", name(cut), f"Cut {cut.number}: {what}, the plan says otherwise.")


def in_turn(cuts: Sequence[Cut]) -> Iterator[tuple[Cut | None, Cut]]:
    """Each cut with the one before it."""
    return zip((None, *cuts), cuts, strict=False)


def stays(last: Cut | None, cut: Cut) -> bool:
    """Whether what is cut is still on the bed from the cut before."""
    return last is not None and cut.piece in last.makes


def cleared(last: Cut | None, cut: Cut) -> list[str]:
    """What lies on the bed from the cut before and is not cut now."""
    return [] if last is None else [each for each in last.makes if each is not None and each != cut.piece]


def check_travel(bench: Bench, cut: Cut) -> Iterator[Finding]:
    """The travel speed is that of the plate's process, and the dial's mark the one for that speed."""
    plate = bench.plates[cut.plate]
    process = next((each for each in bench.plan.rig.processes if each.name == plate.process), None)
    if process is not None and not math.isclose(cut.travel_speed, process.travel_speed, rel_tol=1e-6):
        right, said = figures(process.travel_speed, cut.travel_speed)
        text = f"Cut {cut.number} travels at {said} mm/min; {plate.process} cuts at {right} mm/min."
        yield Finding("travel_speed", name(cut), text)
    if cut.dial is None:
        return
    mark = dial_mark(bench.plan.rig, cut.travel_speed)
    if mark is None or abs(mark - cut.dial) > 0.005 + 1e-6:
        right = "not on the dial" if mark is None else f"mark {mark:.2f}"
        text = f"Cut {cut.number}: {cut.travel_speed:g} mm/min is {right}, the plan says mark {cut.dial:g}."
        yield Finding("dial", name(cut), text)


def dial_mark(rig: Rig, speed: float) -> float | None:
    """Mark for a speed [mm/min], straight between two measured marks; None outside them."""
    points = sorted((each[1], each[0]) for each in rig.dial)
    for (slow, low), (fast, high) in pairwise(points):
        if slow <= speed <= fast:
            return float(low if fast == slow else low + (high - low) * (speed - slow) / (fast - slow))
    return None
