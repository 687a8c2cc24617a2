"""Warnings that follow from the plan itself: each that is due is there, and none without a ground."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from stripplan.model.plate import Plate
from stripplan.model.rig import Process
from stripplan.replay.finding import Finding
from stripplan.replay.lookup import Bench
from stripplan.replay.parts_made import process_of, word
from stripplan.replay.set_ups import dial_mark

Due = Iterator[tuple[str, str]]
"""Code, and what it is about."""

KERF_FAR = 1.5
"""A measured kerf so many times wider or narrower than the profile's is asked about."""

FROM_ELSEWHERE = ("assumed_plate", "rounded", "speed_doubted")
"""Codes of warnings that follow from what was typed, or from test cuts: whether they are due is not in the plan."""

ALSO = ("rests_on_plate_size", "left_over_size")
"""Codes whose being due is looked at piece by piece, in `sizes` and `wants`."""

Rules = Mapping[str, Callable[[Bench], Due]]


def check_warnings(
    bench: Bench, rules: Rules, also: Collection[str] = ALSO, allowed: Collection[tuple[str, str]] = ()
) -> Iterator[Finding]:
    """Every warning that is due by a rule stands there once, about the right thing; one of these codes that is not due
    does not.

    `also` are codes that other rules look after, `allowed` (code, thing) of what may stand there or not.
    """
    due: dict[str, set[str]] = {code: set() for code in rules}
    for code, rule in rules.items():
        due[code] |= {about for _, about in rule(bench)}
    said = [(each.code, each.about) for each in bench.plan.warnings]
    for code, things in due.items():
        for about in sorted(things):
            if (code, about) not in said:
                yield Finding("warning", f"{about}, {code}", f"No warning says of {about}: {code.replace('_', ' ')}.")
    for code, about in said:
        if code in due and about not in due[code] and (code, about) not in allowed:
            yield Finding(
                "warning", f"{about}, {code}", f"{about} is warned of ({code.replace('_', ' ')}) without a ground."
            )
    yield from _others(bench, {*rules, *also, *FROM_ELSEWHERE})


def _others(bench: Bench, known: Collection[str]) -> Iterator[Finding]:
    """Codes that no rule derives: what comes from elsewhere, and parts that are not all made."""
    short = {line.name for line in bench.plan.parts if line.made < line.wanted}
    for each in bench.plan.warnings:
        if each.code in known:
            continue
        if not any(name in each.about + each.text for name in short):
            text = f"A warning of {each.about} ({each.code.replace('_', ' ')}) is about nothing in the plan."
            yield Finding("warning", f"{each.about}, {each.code}", text)


def _parts(bench: Bench) -> Due:
    """Sizes that are not likely to be kept, strips that bow beyond what is allowed."""
    for line in bench.plan.parts:
        if any(each.met is False for each in line.accuracy):
            yield "plus_minus", line.name


def _shapes(bench: Bench) -> Due:
    for line in bench.plan.parts:
        if any(each.met is False for each in line.shape):
            yield "plus_minus_of_shape", line.name


def _bow(bench: Bench) -> Due:
    for line in bench.plan.parts:
        if line.bow is not None and line.bow.limit is not None and line.bow.bow > line.bow.limit:
            yield "bow", line.name


def _stocks(bench: Bench) -> Iterator[Plate]:
    used = {plate.stock for plate in bench.plan.plates}
    return (each for each in bench.plan.job.plates if each.name in used)


def _processes(bench: Bench) -> Iterator[Process]:
    found = {plate.process: process_of(bench, plate) for plate in bench.plan.plates}
    return (each for each in found.values() if each is not None)


def _square(bench: Bench) -> Due:
    trim = bench.plan.job.options.trim
    for stock in _stocks(bench):
        if stock.out_of_square > trim:
            yield "out_of_square", stock.name


def _rolling(bench: Bench) -> Due:
    for stock in _stocks(bench):
        for part in bench.plan.job.parts:
            same = word(part.material or "") == word(stock.material or "")
            close = abs((part.thickness or 0) - (stock.thickness or 0)) <= 0.05 + 1e-9
            if stock.rolling == "none" and part.rolling != "free" and same and close:
                yield "rolling_unknown", stock.name


def _kerf_far(bench: Bench) -> Due:
    before = {each.key: each.before for each in bench.plan.rig.measured}
    for process in _processes(bench):
        was = before.get(f"{process.name}, kerf")
        if was is not None and not was / KERF_FAR <= process.kerf <= was * KERF_FAR:
            yield "kerf_far", process.name


def _kerf_not_measured(bench: Bench) -> Due:
    for process in _processes(bench):
        if process.kerf_measured_on is None and not process.estimated:
            yield "kerf_not_measured", process.name


def _dial(bench: Bench) -> Due:
    for process in _processes(bench):
        if bench.plan.rig.dial and dial_mark(bench.plan.rig, process.travel_speed) is None:
            yield "dial_range", process.name


def _pilot(bench: Bench) -> Due:
    rig = bench.plan.rig
    for process in _processes(bench):
        if rig.lead_in / process.travel_speed * 60 > rig.pilot_limit:
            yield "pilot", process.name


def _fence_fixed(bench: Bench) -> Due:
    yield from (("fence_fixed", part.name) for part in bench.plan.job.parts if part.fence is not None)


def _left_out(bench: Bench) -> Due:
    for each in bench.plan.job.left_out:
        yield "not_planned", each.name


def _holed(bench: Bench) -> Due:
    for part in bench.plan.job.parts:
        if part.holes:
            yield "drill_later", part.name


def _first(bench: Bench) -> Due:
    used = {plate.stock for plate in bench.plan.plates}
    for stock in bench.plan.job.plates:
        if stock.first and stock.name not in used:
            yield "first_not_used", stock.name


RULES: Rules = {
    "not_planned": _left_out,
    "fence_fixed": _fence_fixed,
    "drill_later": _holed,
    "first_not_used": _first,
    "plus_minus": _parts,
    "plus_minus_of_shape": _shapes,
    "bow": _bow,
    "out_of_square": _square,
    "rolling_unknown": _rolling,
    "kerf_far": _kerf_far,
    "kerf_not_measured": _kerf_not_measured,
    "dial_range": _dial,
    "pilot": _pilot,
}
"""Codes that are due exactly where their rule says, in plans of every edition."""
