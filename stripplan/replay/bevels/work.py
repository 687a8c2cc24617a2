"""The bevels one after the other: what is set, what lies on the bed, and how long each takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from stripplan.model.plan.bevel import BevelCut
from stripplan.model.plan.cut import Segment
from stripplan.model.plan.record import to_record
from stripplan.model.rig import Rig
from stripplan.replay import metal as m
from stripplan.replay.bevels.cuts import SMALL, about, named, travel
from stripplan.replay.finding import Finding, figures
from stripplan.replay.lookup import Bench
from stripplan.replay.set_ups import mass_on_bed
from stripplan.replay.sums import of_plate

QUARTER = math.pi / 2


@dataclass
class _Bed:
    """What stands and lies, before a bevel."""

    tilt: float = 0.0
    process: str | None = None
    reading: float | None = None
    stop: float | None = None
    lies: list[str] = field(default_factory=list)
    last: BevelCut | None = None
    clean: list[tuple[str, Segment]] = field(default_factory=list)


def check_work(bench: Bench) -> Iterator[Finding]:
    """Numbers, what is said to be set or moved, and each cause of each bevel's minutes."""
    cuts = bench.plan.cuts
    bed = _Bed()
    if cuts:
        last = cuts[-1]
        bed = _Bed(
            process=bench.plates[last.plate].process,
            reading=next((cut.fence_reading for cut in reversed(cuts) if cut.located == "fence"), None),
            stop=last.passes[-1].end_stop,
            lies=[each for each in last.makes if each is not None],
        )
    for number, cut in enumerate(bench.plan.bevels, len(cuts) + 1):
        if cut.number != number:
            yield Finding("numbers", about(cut), f"{named(cut)} should have number {number}.")
        if cut.piece not in bench.pieces or bench.shape(bench.pieces[cut.piece]) is None:
            return
        yield from _flags(bench, bed, cut)
        yield from _minutes(bench, bed, cut)
        _done(bed, cut)


def _done(bed: _Bed, cut: BevelCut) -> None:
    bed.tilt, bed.process, bed.stop, bed.last, bed.lies = cut.angle, cut.process, cut.end_stop, cut, [cut.piece]
    bed.reading = cut.fence_reading if cut.located == "fence" else bed.reading
    bed.clean += [(cut.piece, each.edge) for each in cut.setup.dress]
    bed.clean = [each for each in bed.clean if each[0] != cut.piece or not _same(each[1], cut.edge)]


def _same(one: Segment, other: Segment) -> bool:
    return math.dist(one[0], other[0]) + math.dist(one[1], other[1]) < SMALL or (
        math.dist(one[0], other[1]) + math.dist(one[1], other[0]) < SMALL
    )


def _flags(bench: Bench, bed: _Bed, cut: BevelCut) -> Iterator[Finding]:
    """What changes follows from what stood and lay before."""
    setup, stays = cut.setup, bed.last is not None and bed.last.piece == cut.piece
    over = stays and bed.last is not None and bed.last.face_up != cut.face_up
    turns = _turned(bench, bed.last, cut) if stays and not over and bed.last is not None else {0}
    due = {
        "tilt": abs(bed.tilt - cut.angle) > SMALL,
        "process": bed.process != cut.process,
        "fence": cut.located == "fence" and cut.fence_reading != bed.reading,
        "end_stop": cut.end_stop != bed.stop,
        "dry_run": cut.end_stop != bed.stop,
        "fetch": not stays,
        "turn_over": over,
        "push": stays and not over and setup.quarter_turns == 0,
        "clear": not stays and bool(bed.lies),
        "mitre": False,
    }
    for key, right in due.items():
        if getattr(setup, key) != right:
            text = f"{named(cut)}: {key.replace('_', ' ')} {'is' if right else 'is not'} due, the plan says otherwise."
            yield Finding("bevel_setup", f"{about(cut)}, {key}", text)
    if setup.quarter_turns not in turns:
        text = f"{named(cut)} asks for {setup.quarter_turns} quarter turns of {cut.piece}, not for {min(turns)}."
        yield Finding("turns", about(cut), text)
    if setup.two_person not in _for_two(bench, cut.piece):
        yield Finding("two_person", about(cut), f"{named(cut)}: who lifts {cut.piece} is not said rightly.")
    yield from _scraped(bench, bed, cut)


def _turned(bench: Bench, before: BevelCut, cut: BevelCut) -> set[int]:
    """Quarter turns of a piece that stays, the nearest; both where it lies halfway between two."""
    shape = bench.shape(bench.pieces[cut.piece])
    (ax, ay), (bx, by) = m.direction(travel(before, shape)), m.direction(travel(cut, shape))
    turn = (math.atan2(ay, ax) - math.atan2(by, bx)) / QUARTER * (1 if cut.face_up else -1)
    return {math.floor(turn + 0.5 + near) % 4 for near in (-1e-6, 1e-6)}


def _for_two(bench: Bench, piece: str) -> set[bool]:
    """Whether a piece is for two people: by its mass, or from 0.6 of that where it is long along the plate."""
    rig, shape = bench.plan.rig, bench.shape(bench.pieces[piece])
    mass, limit = mass_on_bed(bench, piece), rig.two_person_mass
    x0, y0, x1, y1 = (0.0,) * 4 if shape is None else shape.bounds
    most = limit * 0.6 if max(x1 - x0, y1 - y0) > rig.two_person_length else limit
    return {two for two in (True, False) if (mass > most * (1 - 1e-9) if two else mass <= most * (1 + 1e-9))}


def _scraped(bench: Bench, bed: _Bed, cut: BevelCut) -> Iterator[Finding]:
    """Edges on the fence and at the start line are scraped, but for the plate's own and those that are clean."""
    plate = bench.plates[cut.plate]
    due = [
        edge
        for edge in (cut.edge_on_fence, cut.leading)
        if edge is not None
        and not of_plate(edge, plate)
        and not any(name == cut.piece and _same(each, edge) for name, each in bed.clean)
    ]
    said = [each.edge for each in cut.setup.dress]
    if len(due) != len(said) or not all(any(_same(one, other) for other in said) for one in due):
        text = f"{named(cut)}: {len(due)} edges of {cut.piece} are to be scraped, the plan names others."
        yield Finding("dress", about(cut), text)


def _minutes(bench: Bench, bed: _Bed, cut: BevelCut) -> Iterator[Finding]:
    """Each cause takes what the rig's seconds and speeds give for it."""
    rig, s, setup = bench.plan.rig, bench.plan.rig.seconds, cut.setup
    lifted = _handled(bench, cut.piece, two=setup.two_person)
    wanted: dict[str, set[float]] = {
        "arc": {60 * cut.end_stop / cut.travel_speed},
        "return": {60 * cut.end_stop / rig.return_speed},
        "pre_flow": {rig.pre_flow},
        "post_flow": {_air_after(rig, cut)},
        "rest": {60 * cut.rest_before},
        "tilt": {s.tilt * setup.tilt},
        "process": {s.process if setup.process and bed.process is not None else 0.0},
        "fence": {_fence(rig, bed, cut)},
        "end_stop": {s.end_stop + s.end_stop_per_mm * abs((bed.stop or cut.end_stop) - cut.end_stop)}
        if setup.end_stop
        else {0.0},
        "mitre": {0.0},
        "quarter_turn": {lifted(s.quarter_turn) * min(setup.quarter_turns, 4 - setup.quarter_turns)},
        "turn_over": {lifted(s.turn_over) * setup.turn_over},
        "fetch": {lifted(s.fetch) * setup.fetch},
        "push": {lifted(s.push) * setup.push},
        "clear": _clearing(bench, bed) if setup.clear else {0.0},
        "dress": {sum(s.scrape_each + s.scrape_per_m * math.dist(*each.edge) / 1000 for each in setup.dress)},
        "dry_run": {60 * cut.end_stop * (1 / rig.travel_max + 1 / rig.return_speed) * setup.dry_run},
    }
    for cause, said in to_record(cut.minutes).items():
        right = wanted[cause]
        if not any(math.isclose(each / 60, said, rel_tol=1e-6, abs_tol=1e-6) for each in right):
            true, given = figures(min(right) / 60, said)
            text = f"{named(cut)}: {cause.replace('_', ' ')} takes {true} min, not {given} min."
            yield Finding("minutes", f"{about(cut)}, {cause}", text)
    if cut.rest_before < 0:
        yield Finding("minutes", about(cut), f"{named(cut)} has a rest below 0.")


def _handled(bench: Bench, piece: str, *, two: bool) -> Callable[[float], float]:
    """What handling a piece takes for a base time [s]: more with its mass, and by a factor for two people."""
    s = bench.plan.rig.seconds
    mass = mass_on_bed(bench, piece)
    return lambda base: float((base + s.per_kg * mass) * (s.two_person if two else 1.0))


def _clearing(bench: Bench, bed: _Bed) -> set[float]:
    """What lies there is carried away, each by one or by two."""
    found = {bench.plan.rig.seconds.clear}
    for each in bed.lies:
        if each in bench.pieces and bench.shape(bench.pieces[each]) is not None:
            ways = [_handled(bench, each, two=two)(0.0) for two in _for_two(bench, each)]
            found = {time + way for time in found for way in ways}
    return found


def _fence(rig: Rig, bed: _Bed, cut: BevelCut) -> float:
    """Setting and moving the fence; scribing a line and lining up with it counts as one setting."""
    s = rig.seconds
    if cut.located == "marked":
        return s.fence
    if not cut.setup.fence:
        return 0.0
    moved = 0.0 if bed.reading is None or cut.fence_reading is None else abs(cut.fence_reading - bed.reading)
    return s.fence + s.fence_per_mm * moved


def _air_after(rig: Rig, cut: BevelCut) -> float:
    """Seconds of air after the arc that are waited for."""
    if not rig.post_flow_returning:
        return rig.post_flow
    return max(0.0, rig.post_flow - 60 * cut.end_stop / rig.return_speed)


def check_sums(bench: Bench) -> Iterator[Finding]:
    """What is told of bevels in the totals."""
    plan, said = bench.plan, bench.plan.totals
    wanted = {
        "bevel_minutes": sum(sum(to_record(each.minutes).values()) for each in plan.bevels),
        "bevel_metres": sum(math.dist(*each.edge) for each in plan.bevels) / 1000,
        "hand_bevel_metres": sum(math.dist(*each.edge) for each in plan.hand_bevels) / 1000,
        "tilt_settings": sum(each.setup.tilt for each in plan.bevels),
        "bevel_fence_settings": sum(each.setup.fence for each in plan.bevels),
    }
    for key, right in wanted.items():
        if not math.isclose(right, getattr(said, key), rel_tol=1e-6, abs_tol=1e-5):
            true, given = figures(right, getattr(said, key))
            yield Finding("totals", f"totals, {key}", f"The total of {key.replace('_', ' ')} is {true}, not {given}.")
