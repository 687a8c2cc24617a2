"""What of a job contradicts itself or its rig, each said with a way out; all raise InputError."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from stripplan.errors import Fault, InputError
from stripplan.model.job import Job
from stripplan.model.part import Strip
from stripplan.model.rig import Process, Rig
from stripplan.planner.settling.materials import may_serve, same_stock
from stripplan.rig.machine.duty import duty_at
from stripplan.rig.machine.setting import greatest_end_stop, settable_end_stop
from stripplan.sequence import precedence_circle
from stripplan.wording.message import Facts, current, length, speed

MOST_OFFERED = 6
"""So many names are offered in place of one that is not known: more are no help (set by trial, not studied)."""


def check_complete(job: Job) -> None:
    """There is a plate, and a part that is wanted."""
    faults: list[Fault] = []
    if not job.plates:
        faults.append(Fault("no_plate", "job"))
    if not any(part.wanted for part in job.parts):
        faults.append(Fault("no_part", "job", says="fillers_alone" if job.parts else ""))
    _refuse(faults)


def check_names(job: Job) -> None:
    """No two parts, and no two plates, have one name."""
    faults: list[Fault] = []
    for kind, names in (("part", [part.name for part in job.parts]), ("plate", [plate.name for plate in job.plates])):
        twice = [name for name, count in Counter(names).items() if count > 1]
        faults += [Fault("same_name", "job", facts=Facts(kind=kind, name=name)) for name in twice]
    _refuse(faults)


def check_trim(job: Job, rig: Rig) -> None:
    """What is trimmed off is no sliver."""
    trim = job.options.trim
    if 0 < trim < rig.narrowest_offcut:
        facts = Facts(trim=length(trim), narrowest=length(rig.narrowest_offcut))
        _refuse([Fault("trim", "options, trim", facts=facts)])


def check_prices(job: Job) -> None:
    """All plates are priced in one way, or none: else plates cannot be compared."""
    by_cost = tuple(p.name for p in job.plates if p.cost is not None)
    by_mass = tuple(p.name for p in job.plates if p.price_per_kg is not None)
    bare = tuple(p.name for p in job.plates if p.cost is None and p.price_per_kg is None)
    if sum(1 for each in (by_cost, by_mass, bare) if each) > 1:
        _refuse([Fault("mixed_prices", "plates", facts=Facts(by_cost=by_cost, by_mass=by_mass, bare=bare))])


def check_strip_lengths(job: Job) -> None:
    """A strip runs as long as its plate, so its plates are equally long."""
    faults = []
    for part in job.parts:
        if isinstance(part, Strip):
            lengths = sorted({plate.length for plate in job.plates if may_serve(part, plate)})
            if len(lengths) > 1:
                facts = Facts(shorter=tuple(length(each) for each in lengths[:-1]), longest=length(lengths[-1]))
                faults.append(Fault("strip_length", f"part {part.name}", facts=facts))
    _refuse(faults)


def check_processes(rig: Rig, processes: Iterable[Process]) -> None:
    """Currents within the ratings, travel speeds within the rig's range."""
    faults = []
    for process in processes:
        where = f"process {process.name}"
        if not rig.travel_min <= process.travel_speed <= rig.travel_max:
            facts = {"speed": speed(process.travel_speed), "low": speed(rig.travel_min), "high": speed(rig.travel_max)}
            too_quick = process.travel_speed > rig.travel_max
            ratio = {"ratio": process.travel_speed / rig.travel_max} if too_quick else {}
            faults.append(Fault("travel_speed", where, facts=Facts(**facts, **ratio)))
        if process.current is not None and duty_at(process.duty, process.current) is None:
            highest = max(point for point, _ in process.duty)
            facts_of_current = Facts(current=current(process.current), highest=current(highest))
            faults.append(Fault("current", where, facts=facts_of_current))
    _refuse(list(dict.fromkeys(faults)))


def check_order_options(job: Job) -> None:
    """Names in `before` and `first` are known, and `before` does not contradict itself."""
    options = job.options
    plates, parts = {plate.name for plate in job.plates}, {part.name for part in job.parts}
    faults = []
    for name in dict.fromkeys(name for pair in options.before for name in pair if name not in plates):
        faults.append(_unknown("plate", "options, before", name, plates))
    for name in dict.fromkeys(name for name in options.first if name not in parts):
        faults.append(_unknown("part", "options, first", name, parts))
    waiting = precedence_circle(options.before)
    if waiting:
        faults.append(Fault("circle", "options, before", facts=Facts(plates=tuple(waiting))))
    _refuse(faults)


def check_named_plates(job: Job) -> None:
    """Plates that parts are to come from are there, and of those to be used first there are so many."""
    plates = {plate.name for plate in job.plates}
    faults = [
        _unknown("plate", f"part {part.name}, plate", part.plate, plates)
        for part in job.parts
        if part.plate is not None and part.plate not in plates
    ]
    faults += [
        Fault("first", f"plate {plate.name}, first", says="first_without_limit")
        for plate in job.plates
        if plate.first and plate.limit is None
    ]
    _refuse(faults)


def check_end_stop(job: Job, rig: Rig) -> None:
    """A mark that the end stop is to stay at can be set."""
    asked = job.options.end_stop
    if asked is None:
        return
    at = settable_end_stop(rig, asked)
    low = max(rig.end_stop_min, at - rig.end_stop_step)
    if abs(at - asked) > 1e-6 or asked > greatest_end_stop(rig) + 1e-6 or asked < rig.end_stop_min - 1e-6:
        near = sorted({length(min(each, greatest_end_stop(rig))).value for each in (low, at)})
        facts = Facts(asked=length(asked), near=tuple(length(each) for each in near))
        _refuse([Fault("end_stop", "options, end_stop", facts=facts, says="end_stop_no_mark")])


def check_pins(job: Job) -> None:
    """A plate that a part is to come from is of its material and thickness."""
    plates, faults = {plate.name: plate for plate in job.plates}, list[Fault]()
    for part in job.parts:
        plate = None if part.plate is None else plates[part.plate]
        if plate is not None and not same_stock(part, plate):
            facts = Facts(
                plate=plate.name, thickness=length(plate.thickness or 0.0), material=plate.material or "",
                asked=length(part.thickness or 0.0), asked_material=part.material or "",
            )  # fmt: skip
            faults.append(Fault("pin", f"part {part.name}, plate", facts, "pin_of_other_stock"))
    _refuse(faults)


def _unknown(kind: str, where: str, name: str, known: set[str]) -> Fault:
    facts = Facts(name=name, known=tuple(sorted(known)[:MOST_OFFERED]))
    return Fault(f"no_{kind}", where, facts=facts, says=f"no_{kind}_of_that_name")


def _refuse(faults: Sequence[Fault]) -> None:
    if faults:
        raise InputError(faults)
