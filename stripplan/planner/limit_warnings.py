"""What a person must know of the rig's limits before the first cut: what was assumed, what is estimated, what is heavy,
narrow or small.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stripplan.model.plate import plate_mass
from stripplan.model.rig import Rig
from stripplan.planner.accuracy import SLENDER
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.order.order_of_work import OrderOfWork
from stripplan.planner.settled import Settled
from stripplan.rig.accuracy.forecast import bow_known
from stripplan.rig.machine.limits import hold_down_reason, turn_over_limit
from stripplan.rig.machine.setting import longest_one_pass
from stripplan.rig.process.estimate import Estimated, estimated
from stripplan.sequence import PiecesAndCuts
from stripplan.wording.message import Fact, Facts, Message, current, length, mass, speed

NARROW = 3.0
"""Parts narrower than so many times their thickness get hot right through: shop rule, common practice, no source."""

TEST_CUT = {"mm": 150.0, "in": 152.4}
"""Length of a test cut that shows kerf and dross well enough, round in the person's units [mm]: common practice, no
source."""
ROUND_SPEED = {"mm": 10.0, "in": 25.4}
"""Speeds of test cuts are whole in these [mm/min]."""


def with_estimates(rig: Rig, plates: Sequence[BenchPlate]) -> Rig:
    """The rig with the processes that were estimated for these plates, so that the plan holds what it rests on."""
    known = {each.name for each in rig.processes}
    new = dict.fromkeys(each.plate.process for each in plates if each.plate.process.name not in known)
    return replace(rig, processes=(*rig.processes, *new))


def limit_warnings(settled: Settled, best: OrderOfWork) -> list[Message]:
    """What stands in the first lines."""
    rig, plates, work = settled.rig, best.plates, best.work
    return [
        *_two_pass_heavy(rig, plates, work),
        *_estimates(rig, plates, settled.job.units),
        *_stroke_assumed(rig),
        *_small_parts(rig, plates, work),
        *_narrow_fillers(settled),
        *_bow_not_known(plates, work),
    ]


def _stroke_assumed(rig: Rig) -> Iterator[Message]:
    if "stroke" in rig.assumed:
        facts = Facts(stroke=length(rig.stroke), longest=length(longest_one_pass(rig)))
        yield Message("stroke_assumed", "stroke", facts)


def _estimates(rig: Rig, plates: Sequence[BenchPlate], units: str) -> Iterator[Message]:
    own = replace(rig, processes=tuple(each for each in rig.processes if not each.estimated))
    for name, plate in {each.plate.process.name: each.plate.plate for each in plates}.items():
        found = estimated(own, plate)
        if found is not None and found.process.name == name:
            yield _estimate(rig, found, units)


def _estimate(rig: Rig, found: Estimated, units: str) -> Message:
    """The figures, where they come from, and the test cut that would settle them."""
    made, whole = found.process, ROUND_SPEED[units]
    speeds = (round(made.travel_speed * share / whole) * whole for share in (0.8, 1.0, 1.2))
    strokes = sorted({min(rig.travel_max, max(rig.travel_min, each)) for each in speeds})
    facts: dict[str, Fact] = {
        "material": made.material,
        "thickness": length(made.thickness),
        "kerf": length(made.kerf),
        "current": current(made.current or 0.0),
        "speed": speed(made.travel_speed),
        "low": speed(found.low),
        "high": speed(found.high),
        "how": found.how,
        "test": length(TEST_CUT[units]),
        "slower": tuple(speed(each) for each in strokes[:-1]),
        "quickest": speed(strokes[-1]),
    }
    if found.too_quick is not None and found.low > rig.travel_max:
        facts["too_quick"] = speed(found.too_quick)
    return Message("estimated", made.name, Facts(**facts))


def _two_pass_heavy(rig: Rig, plates: Sequence[BenchPlate], work: PiecesAndCuts) -> Iterator[Message]:
    """Heavy pieces that are turned over between the two passes of a cut, one warning a plate of the job."""
    masses = {piece.id: piece.mass for piece in work.pieces}
    named = {each.to_cut.id: each.plate.plate.name for each in plates}
    heavy: dict[str, list[float]] = {}
    for cut in work.cuts:
        if len(cut.passes) == 2 and masses[cut.piece] > rig.two_person_mass:
            heavy.setdefault(named[cut.plate], []).append(masses[cut.piece])
    for name, found in heavy.items():
        limit = turn_over_limit(rig)
        lifted = "two people" if limit is None or max(found) <= limit else "a hoist"
        facts = Facts(
            times=len(found),
            heaviest=mass(max(found)),
            lifted_by="two people or the hoist" if rig.hoist else lifted,
            longest=length(longest_one_pass(rig)),
        )
        yield Message("two_pass_heavy", name, facts)


def _narrow_fillers(settled: Settled) -> Iterator[Message]:
    """Fillers that are too narrow to be cut: nothing is missing, and none is made."""
    for index, why in settled.too_narrow.items():
        part = settled.job.parts[index]
        if part.filler:
            yield Message("narrow", part.name, Facts(why=why), "filler_not_made")


def _bow_not_known(plates: Sequence[BenchPlate], work: PiecesAndCuts) -> Iterator[Message]:
    """Processes of long parts for which no strip was measured and no model holds."""
    processes = {each.to_cut.id: each.plate.process for each in plates}
    sides = ((processes[piece.plate], piece.sides) for piece in work.pieces if piece.kind == "part")
    slender = (process for process, (narrow, long) in sides if long >= SLENDER * narrow)
    for process in dict.fromkeys(slender):
        if not bow_known(process):
            yield Message("bow_not_known", process.name, Facts(narrow=length(40), wide=length(50)))


def _small_parts(rig: Rig, plates: Sequence[BenchPlate], work: PiecesAndCuts) -> Iterator[Message]:
    """Parts that are narrow for their thickness, and parts that do not stay where they lie."""
    stock = {each.to_cut.id: each.plate.plate for each in plates}
    seen = set()
    for piece in work.pieces:
        if piece.kind != "part" or piece.part is None or piece.part in seen:
            continue
        seen.add(piece.part)
        (narrow, long), plate = piece.sides, stock[piece.plate]
        thickness = plate.thickness or 0.0
        if narrow < NARROW * thickness - 1e-6:
            yield Message("narrow", piece.part, Facts(width=length(narrow), times=NARROW, thickness=length(thickness)))
        weighs = plate_mass(narrow, long, thickness, plate.material) if piece.is_rectangle else piece.mass
        reason = hold_down_reason(rig, narrow, long, weighs)
        if reason is not None:
            yield Message("hold_down", piece.part, Facts(reason=reason))
