"""What the person wants of the order of work, as the order understands it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.job import AIM_WEIGHTS, Aim, Options
from stripplan.planner.order.bench_plates import BenchPlate
from stripplan.planner.order.due import due_ranks
from stripplan.planner.settled import Settled
from stripplan.sequence import OrderConstraints
from stripplan.wording.message import Facts


def weights_of(options: Options, aim: Aim | None = None) -> Mapping[str, float]:
    """Factors on set-up time: the person's own, times those of the aim; of another `aim` than the job's where one is
    given.
    """
    weights, aimed = options.weights, AIM_WEIGHTS[options.aim if aim is None else aim]
    return {key: weights.get(key, 1.0) * aimed.get(key, 1.0) for key in {**weights, **aimed}}


def constraints_of(settled: Settled, plates: Sequence[BenchPlate]) -> OrderConstraints:
    """Constraints by number of plate to cut and index of part; raises InputError where a part first and a plate before
    contradict.
    """
    job, options = settled.job, settled.job.options
    numbers: dict[str, list[int]] = {}
    for number, each in enumerate(plates):
        numbers.setdefault(each.plate.plate.name, []).append(number)
    before = tuple(
        (one, other)
        for first, later in options.before
        for one in numbers.get(first, [])
        for other in numbers.get(later, [])
    )
    constraints = OrderConstraints(
        before=before,
        one_go=options.aim == "plate_by_plate",
        first=frozenset(n for n, part in enumerate(job.parts) if part.name in options.first),
        due=tuple(
            frozenset(n for n, part in enumerate(job.parts) if part.name in names and not part.filler)
            for names in due_ranks(job)
        ),
        end_stop=options.end_stop,
    )
    holds = {
        n
        for n, each in enumerate(plates)
        if not each.to_cut.piece.workpiece.done and constraints.holds_first(each.to_cut.piece)
    }
    for one, other in before:
        if other in holds and one not in holds:
            earlier, later_plate = (plates[n].plate.plate.name for n in (one, other))
            facts = Facts(parts=options.first, earlier=earlier, later=later_plate)
            raise InputError(Fault("circle", "options, first", facts=facts, says="part_first_waits"))
    return constraints
