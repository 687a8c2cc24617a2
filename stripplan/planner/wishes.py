"""What the person wants of the order of work, as the order understands it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.job import AIM_WEIGHTS, Job
from stripplan.planner.plates_used import UsedPlate
from stripplan.sequence import OrderConstraints, precedence_circle


def check_wishes(job: Job) -> None:
    """Names in `before` and `first` are known, and `before` does not contradict itself; raises InputError."""
    options = job.options
    plates, parts = {plate.name for plate in job.plates}, {part.name for part in job.parts}
    faults = []
    for name in dict.fromkeys(name for pair in options.before for name in pair if name not in plates):
        faults.append(Fault("no_plate", "options, before", f"there is no plate {name!r}", _one_of(plates)))
    for name in dict.fromkeys(name for name in options.first if name not in parts):
        faults.append(Fault("no_part", "options, first", f"there is no part {name!r}", _one_of(parts)))
    round_ = precedence_circle(options.before)
    if round_:
        words = f"the plates wait for each other: {' before '.join(round_)}"
        faults.append(Fault("circle", "options, before", words, "leave out one of these pairs"))
    if faults:
        raise InputError(faults)


def weights_of(job: Job) -> Mapping[str, float]:
    """Factors on set-up time: the person's own, times those of the aim."""
    weights, aimed = job.options.weights, AIM_WEIGHTS[job.options.aim]
    return {key: weights.get(key, 1.0) * aimed.get(key, 1.0) for key in {**weights, **aimed}}


def constraints_of(job: Job, used: Sequence[UsedPlate]) -> OrderConstraints:
    """Constraints by number of used plate and index of part; raises InputError where a part first and a plate before contradict."""
    options = job.options
    numbers: dict[str, list[int]] = {}
    for number, each in enumerate(used):
        numbers.setdefault(job.plates[each.index].name, []).append(number)
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
    )
    holds = {
        n
        for n, each in enumerate(used)
        if not each.bench.piece.workpiece.done and constraints.holds_first(each.bench.piece)
    }
    for one, other in before:
        if other in holds and one not in holds:
            names = [job.plates[used[n].index].name for n in (one, other)]
            wanted = ", ".join(options.first)
            raise InputError(
                Fault(
                    "circle", "options, first",
                    f"{wanted} before all others, but in {names[1]}, which waits for {names[0]}: "
                    f"{wanted} before {names[0]} before {names[1]} before {wanted}",
                    f"leave out the part, or that {names[0]} comes before {names[1]}",
                )
            )  # fmt: skip
    return constraints


def _one_of(names: set[str]) -> str:
    return "one of " + ", ".join(sorted(names)[:6])
