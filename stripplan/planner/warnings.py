"""What a person must know of the rig's limits before the first cut: what was assumed, what is estimated, what is heavy, narrow or small."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stripplan.model.job import Job
from stripplan.model.plan.plan import PlanWarning
from stripplan.model.plate import plate_mass
from stripplan.model.rig import Rig
from stripplan.planner.accuracy import SLENDER
from stripplan.planner.layouts import too_narrow
from stripplan.planner.plates_used import UsedPlate
from stripplan.rig.accuracy.forecast import bow_known
from stripplan.rig.machine.limits import hold_down_reason, turn_over_limit
from stripplan.rig.machine.setting import longest_one_pass
from stripplan.rig.process.estimate import Estimated, estimated
from stripplan.sequence import PiecesAndCuts

NARROW = 3.0
"""Parts narrower than so many times their thickness get hot right through: shop rule, common practice, no source."""


def with_estimates(rig: Rig, plates: Sequence[UsedPlate]) -> Rig:
    """The rig with the processes that were estimated for these plates, so that the plan holds what it rests on."""
    known = {each.name for each in rig.processes}
    new = dict.fromkeys(each.bench.process for each in plates if each.bench.process.name not in known)
    return replace(rig, processes=(*rig.processes, *new))


def limits_told(job: Job, rig: Rig, plates: Sequence[UsedPlate], work: PiecesAndCuts) -> list[PlanWarning]:
    """What stands in the first lines."""
    return [
        *_two_pass_heavy(rig, plates, work),
        *_estimates(rig, plates),
        *_stroke_assumed(rig),
        *_small_parts(rig, plates, work),
        *_narrow_fillers(job, rig),
        *_bow_not_known(plates, work),
    ]


def _stroke_assumed(rig: Rig) -> Iterator[PlanWarning]:
    if "stroke" in rig.assumed:
        text = (
            f"The rig gives no stroke: {rig.stroke:g} mm are assumed, so one pass cuts up to {longest_one_pass(rig):g} mm. Measure yours and "
            "put it into the rig file."
        )
        yield PlanWarning(code="stroke_assumed", about="stroke", text=text)


def _estimates(rig: Rig, plates: Sequence[UsedPlate]) -> Iterator[PlanWarning]:
    own = replace(rig, processes=tuple(each for each in rig.processes if not each.estimated))
    for name, plate in {each.bench.process.name: each.ware.plate for each in plates}.items():
        guess = estimated(own, plate)
        if guess is not None and guess.process.name == name:
            yield PlanWarning(code="estimated", about=name, text=_estimate_words(rig, guess))


def _estimate_words(rig: Rig, guess: Estimated) -> str:
    """The figures, where they come from, and the test cut that would settle them."""
    made = guess.process
    strokes = sorted(
        {min(rig.travel_max, max(rig.travel_min, round(made.travel_speed * share, -1))) for share in (0.8, 1.0, 1.2)}
    )
    slow = ""
    if guess.too_quick is not None and guess.low > rig.travel_max:
        slow = (
            f" A good cut at {made.current:g} A wants about {guess.too_quick:.0f} mm/min, more than the rig has: the kerf is wide then, dross hangs on, "
            "strips bow more."
        )
    return (
        f"ESTIMATED: the rig has no process for {made.material} {made.thickness:g} mm. Kerf {made.kerf:g} mm, {made.current:g} A and "
        f"{made.travel_speed:.0f} mm/min (good is probably {guess.low:.0f} to {guess.high:.0f}) come from {guess.how}.{slow} First make test cuts of 150 mm on "
        f"scrap of this plate at {', '.join(f'{each:.0f}' for each in strokes)} mm/min, measure the kerf of the best, and put both into a [[process]]."
    )


def _two_pass_heavy(rig: Rig, plates: Sequence[UsedPlate], work: PiecesAndCuts) -> Iterator[PlanWarning]:
    """Heavy pieces that are turned over between the two passes of a cut, one warning a plate of the job."""
    masses = {piece.id: piece.mass for piece in work.pieces}
    stocks = {each.bench.id: each.ware.plate for each in plates}
    heavy: dict[str, list[float]] = {}
    for cut in work.cuts:
        if len(cut.passes) == 2 and masses[cut.piece] > rig.two_person_mass:
            heavy.setdefault(stocks[cut.plate].name, []).append(masses[cut.piece])
    for name, found in heavy.items():
        limit = turn_over_limit(rig)
        who = "two people" if limit is None or max(found) <= limit else "a hoist"
        if rig.hoist:
            who = "two people or the hoist"
        times = "once" if len(found) == 1 else f"{len(found)} times"
        text = (
            f"{name}: {times} a piece of up to {max(found):.0f} kg is turned over between two passes, by {who}. The other way: cut it across first, to at "
            f"most {longest_one_pass(rig):g} mm, and give what that makes as plates; then each cut is one pass."
        )
        yield PlanWarning(code="two_pass_heavy", about=name, text=text)


def _narrow_fillers(job: Job, rig: Rig) -> Iterator[PlanWarning]:
    """Fillers that are too narrow to be cut: nothing is missing, and none is made."""
    for part in job.parts:
        fault = too_narrow(job, rig, part) if part.filler else None
        if fault is not None:
            yield PlanWarning(code="narrow", about=part.name, text=f"{part.name} is not made: {fault[0]}.")


def _bow_not_known(plates: Sequence[UsedPlate], work: PiecesAndCuts) -> Iterator[PlanWarning]:
    """Processes of long parts for which no strip was measured and no model holds."""
    processes = {each.bench.id: each.bench.process for each in plates}
    boxes = ((processes[piece.plate], piece.box) for piece in work.pieces if piece.kind == "part")
    slender = (
        process for process, (x0, y0, x1, y1) in boxes if max(x1 - x0, y1 - y0) >= SLENDER * min(x1 - x0, y1 - y0)
    )
    for process in dict.fromkeys(slender):
        if not bow_known(process):
            text = (
                f"How far strips of {process.name} bow is not known: the model holds for mild steel alone. Cut one with one hot edge, 40 to 50 mm wide, "
                "measure its bow when cold, and write it down ([[bow_check]] of the notebook, or bow_constant)."
            )
            yield PlanWarning(code="bow_not_known", about=process.name, text=text)


def _small_parts(rig: Rig, plates: Sequence[UsedPlate], work: PiecesAndCuts) -> Iterator[PlanWarning]:
    """Parts that are narrow for their thickness, and parts that do not stay where they lie."""
    stocks = {each.bench.id: each.ware.plate for each in plates}
    seen = set()
    for piece in work.pieces:
        if piece.kind != "part" or piece.part is None or piece.part in seen:
            continue
        seen.add(piece.part)
        (x0, y0, x1, y1), plate = piece.box, stocks[piece.plate]
        narrow, long = sorted((x1 - x0, y1 - y0))
        thickness = plate.thickness or 0.0
        if narrow < NARROW * thickness - 1e-6:
            text = (
                f"{piece.part} is {narrow:g} mm wide as cut, less than {NARROW:g} times its {thickness:g} mm of thickness: it is hot right through, bows and "
                "twists. Cut it wider and dress it down, or straighten it."
            )
            yield PlanWarning(code="narrow", about=piece.part, text=text)
        reason = hold_down_reason(rig, narrow, long, plate_mass(narrow, long, thickness, plate.material))
        if reason:
            text = f"{piece.part} {reason}: hold it down, clear of the torch's way, before the arc reaches its end."
            yield PlanWarning(code="hold_down", about=piece.part, text=text)
