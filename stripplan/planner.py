"""The front door: `plan(job, rig)`. Layout, then order of work, then the independent replay; no file touched."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from .errors import CannotMakeError, Fault, InputError, PlanFaultError
from .layout.build import Ware, build_problem, why_not
from .layout.grid import common_grid, rounded_down, rounded_up
from .layout.solve import Layout, lay_out
from .model.job import Job
from .model.part import Part, Rectangle, Strip
from .model.pattern import Pattern
from .model.plan import SCHEMA, Bound, OrderBound, PartLine, Plan, PlanPlate, PlanWarning, Proof, Totals
from .model.plate import Plate, plate_mass
from .model.realise import Edges, start
from .model.record import to_record
from .model.rig import Process, Rig
from .rig.duty import duty_at
from .rig.rules import SAME_THICKNESS, cut_rules, process_for
from .rig.setting import greatest_end_stop
from .rig.timing import arc_seconds
from .sequence.bounds import minutes_bound, settings_bound
from .sequence.order import best_order
from .sequence.placing import Lay, Stock
from .sequence.work import BenchPlate, Work
from .version import VERSION

T = TypeVar("T")

Progress = Callable[[str, float], None]


def plan(job: Job, rig: Rig, *, progress: Progress | None = None, made_at: str | None = None) -> Plan:
    """Plan a job on a rig: one call, no file touched.

    `progress` is called with what is being worked on and the share done (0..1). `made_at` goes into the
    plan as it is. Raises InputError where job and rig contradict themselves, CannotMakeError where a sound
    job has a part that cannot be made (unless job.options.partial), PlanFaultError where the plan does
    not pass the replay.
    """
    say = progress or (lambda _words, _share: None)
    clock = _Clock(job.options.effort.seconds)
    job, warnings = settled(job, rig)
    say("laying out", 0.1)
    groups, layouts, more = _lay_out_all(job, rig, clock)
    warnings += more
    say("ordering the cuts", 0.5)
    bench = _bench(job, rig, groups, layouts)
    order = best_order(
        rig,
        [plate.bench.lay for plate in bench],
        effort=job.options.effort,
        weights=job.options.weights,
        out_of_time=clock.over,
    )
    work = Work(rig, [part.name for part in job.parts]).run([plate.bench for plate in bench], order)
    say("checking", 0.9)
    made = _assembled(job, rig, bench, layouts, work, warnings, clock, made_at)
    _replayed(made)
    return made


class _Clock:
    """The cap on seconds; `stopped` tells whether it ended a search."""

    def __init__(self, seconds: float | None) -> None:
        self._end = None if seconds is None else time.monotonic() + seconds
        self.stopped = False

    def over(self) -> bool:
        self.stopped |= self._end is not None and time.monotonic() > self._end
        return self.stopped


@dataclass(frozen=True)
class _Group:
    """One material and thickness: its plates with their processes, its parts by index in the job."""

    wares: list[Ware]
    processes: dict[int, Process]
    parts: list[tuple[int, Part]]


@dataclass(frozen=True)
class _BenchPlate:
    """A plate to be cut: which of the job's plates, its group's price, as the order sees it."""

    index: int
    ware: Ware
    bench: BenchPlate


# --- settling: what was left out, and rounding once ---------------------------------------------------------------


def settled(job: Job, rig: Rig) -> tuple[Job, list[PlanWarning]]:
    """The job with materials and thicknesses filled in and, only where no exact grid serves, rounded."""
    faults: list[Fault] = []
    if not job.plates:
        faults.append(Fault("no_plate", "job", "there is no plate", "add a plate"))
    if not job.parts:
        faults.append(Fault("no_part", "job", "there is no part", "add a part"))
    if faults:
        raise InputError(faults)
    warnings: list[PlanWarning] = []
    job = _filled(job, rig, warnings)
    _priced_alike(job)
    _strip_lengths(job)
    _arcs_allowed(job, rig)
    job = _rounded(job, rig, warnings)
    return job, warnings


def _filled(job: Job, rig: Rig, warnings: list[PlanWarning]) -> Job:
    material = _only({each.material for each in (*job.plates, *job.parts)} - {None})
    thickness = _only({each.thickness for each in (*job.plates, *job.parts)} - {None})
    process = next(
        (p for p in rig.processes if p.name == job.options.process), rig.processes[0] if rig.processes else None
    )
    plates_open = any(plate.thickness is None or plate.material is None for plate in job.plates)
    missing = (material is None, thickness is None)
    if plates_open and process is not None and (material is None or thickness is None):
        material = material if material is not None else _default_material(job, process)
        thickness = thickness if thickness is not None else _default_thickness(job, process)
        warnings.append(
            PlanWarning(
                code="assumed_plate",
                about="plates",
                text=_assumed_words(material, thickness, missing),
            )
        )
    plates = tuple(replace(p, material=p.material or material, thickness=p.thickness or thickness) for p in job.plates)
    open_plates = [p for p in plates if p.material is None or p.thickness is None]
    if open_plates:
        raise InputError(
            [
                Fault(
                    "plate_open",
                    f"plate {p.name}",
                    "its material or thickness is not clear",
                    "give both for each plate",
                )
                for p in open_plates
            ]
        )
    return replace(job, plates=plates, parts=tuple(_part_filled(part, plates) for part in job.parts))


def _assumed_words(material: str, thickness: float, missing: tuple[bool, bool]) -> str:
    what = {(True, True): f"{material}, {thickness:g} mm", (True, False): material, (False, True): f"{thickness:g} mm"}
    asked = {(True, True): "material or thickness", (True, False): "material", (False, True): "thickness"}
    return f"No {asked[missing]} was given: {what[missing]} is assumed, as in the rig's first process."


def _only(found: set[T | None]) -> T | None:
    return found.pop() if len(found) == 1 else None


def _default_material(job: Job, process: Process) -> str:
    named = {each.material for each in (*job.plates, *job.parts)} - {None}
    if named:
        raise InputError(
            Fault("plate_open", "plates", "the job has several materials", "give the material of each plate")
        )
    return process.material


def _default_thickness(job: Job, process: Process) -> float:
    named = {each.thickness for each in (*job.plates, *job.parts)} - {None}
    if named:
        raise InputError(Fault("plate_open", "plates", "the job has several thicknesses", "give that of each plate"))
    return process.thickness


def _part_filled(part: Part, plates: Sequence[Plate]) -> Part:
    materials = {_word(plate.material) for plate in plates}
    material = part.material or (plates[0].material if len(materials) == 1 else None)
    fitting = [plate for plate in plates if material is None or _word(plate.material) == _word(material)]
    thicknesses = {plate.thickness for plate in fitting}
    thickness = part.thickness or (next(iter(thicknesses)) if len(thicknesses) == 1 else None)
    if material is None or (thickness is None and fitting):
        raise InputError(
            Fault(
                "part_open",
                f"part {part.name}",
                "the plates differ in material or thickness, and the part does not say which it wants",
                "give the part's material and thickness",
            )
        )
    return replace(part, material=material, thickness=thickness)


def _word(material: str | None) -> str:
    return " ".join((material or "").lower().split())


def _priced_alike(job: Job) -> None:
    with_cost = [p.name for p in job.plates if p.cost is not None]
    with_mass = [p.name for p in job.plates if p.price_per_kg is not None]
    bare = [p.name for p in job.plates if p.cost is None and p.price_per_kg is None]
    if sum(1 for each in (with_cost, with_mass, bare) if each) > 1:
        words = [
            f"{', '.join(names)} {what}"
            for names, what in ((with_cost, "by cost"), (with_mass, "by price_per_kg"), (bare, "not at all"))
            if names
        ]
        raise InputError(
            Fault("mixed_prices", "plates", "prices are mixed: " + "; ".join(words), "price all plates alike, or none")
        )


def _strip_lengths(job: Job) -> None:
    faults = []
    for part in job.parts:
        if isinstance(part, Strip):
            lengths = sorted({plate.length for plate in job.plates if _same_stock(part, plate)})
            if len(lengths) > 1:
                faults.append(
                    Fault(
                        "strip_length",
                        f"part {part.name}",
                        "a strip runs as long as its plate, and its plates are "
                        + " and ".join(f"{each:g}" for each in lengths)
                        + " mm long",
                        "give the part a length",
                    )
                )
    if faults:
        raise InputError(faults)


def _same_stock(part: Part, plate: Plate) -> bool:
    same = abs((part.thickness or 0) - (plate.thickness or 0)) <= SAME_THICKNESS + 1e-9
    return same and _word(part.material) == _word(plate.material)


def _arcs_allowed(job: Job, rig: Rig) -> None:
    """Currents within the ratings, travel speeds within the rig's range."""
    faults = []
    for plate in job.plates:
        process = process_for(rig, plate, job.options.process)
        if not rig.travel_min <= process.travel_speed <= rig.travel_max:
            faults.append(
                Fault(
                    "travel_speed",
                    f"process {process.name}",
                    f"travel speed {process.travel_speed:g} mm/min is outside the rig's {rig.travel_min:g} to {rig.travel_max:g} mm/min",
                    "choose a current that cuts well at a speed the rig has",
                )
            )
        if process.current is not None and duty_at(process.duty, process.current) is None:
            faults.append(
                Fault(
                    "current",
                    f"process {process.name}",
                    f"current {process.current:g} A is above the highest rating, {max(p[0] for p in process.duty):g} A",
                    "lower the current",
                )
            )
    if faults:
        raise InputError(list(dict.fromkeys(faults)))


def _rounded(job: Job, rig: Rig, warnings: list[PlanWarning]) -> Job:
    if common_grid(*_lengths(job, rig)) is not None:
        return job
    plates = tuple(replace(p, length=rounded_down(p.length), width=rounded_down(p.width)) for p in job.plates)
    parts = tuple(_part_rounded(part) for part in job.parts)
    warnings.append(
        PlanWarning(
            code="rounded",
            about="lengths",
            text="The sizes share no workable unit: parts and kerf are rounded up, plates down, to hundredths of a millimetre.",
        )
    )
    return replace(job, plates=plates, parts=parts, options=replace(job.options, trim=rounded_up(job.options.trim)))


def _part_rounded(part: Part) -> Part:
    part = replace(part, width=rounded_up(part.width), allowance=rounded_up(part.allowance))
    return replace(part, length=rounded_up(part.length)) if isinstance(part, Rectangle) else part


def _lengths(job: Job, rig: Rig) -> tuple[list[float], list[float], float]:
    """Every length and kerf that layout counts in, and the largest plate."""
    lengths = [each for plate in job.plates for each in (plate.length, plate.width)]
    for part in job.parts:
        lengths.append(part.width_as_cut)
        if isinstance(part, Rectangle):
            lengths.append(part.length_as_cut)
    lengths += [job.options.trim, rig.narrowest_offcut]
    kerfs = [process_for(rig, plate, job.options.process).kerf for plate in job.plates]
    return lengths, kerfs, max(max(plate.length, plate.width) for plate in job.plates)


# --- layout -------------------------------------------------------------------------------------------------------


def _lay_out_all(job: Job, rig: Rig, clock: _Clock) -> tuple[list[_Group], list[Layout], list[PlanWarning]]:
    grid = common_grid(*_lengths(job, rig))
    assert grid is not None
    groups = _groups(job, rig)
    layouts, faults = [], _without_plate(job, groups)
    for group in groups:
        problem = build_problem(grid, group.wares, group.parts, job.options.keep, job.options.depth)
        layout = lay_out(problem, job.parts, effort=job.options.effort, out_of_time=clock.over)
        faults += [_short_fault(group, number, count, layout) for number, count in layout.short.items()]
        layouts.append(layout)
    if faults and not job.options.partial:
        raise CannotMakeError(faults)
    return groups, layouts, [PlanWarning(code=f.code, about=f.where, text=f.sentence()) for f in faults]


def _groups(job: Job, rig: Rig) -> list[_Group]:
    groups: list[_Group] = []
    for index, plate in enumerate(job.plates):
        process = process_for(rig, plate, job.options.process)
        ware = Ware(index, plate, cut_rules(rig, plate, process, trim=job.options.trim), plate_cost(plate))
        group = next((g for g in groups if _alike(g.wares[0].plate, plate)), None)
        if group is None:
            group = _Group([], {}, [(n, part) for n, part in enumerate(job.parts) if _same_stock(part, plate)])
            groups.append(group)
        group.wares.append(ware)
        group.processes[index] = process
    return [group for group in groups if group.parts]


def _alike(one: Plate, other: Plate) -> bool:
    return _word(one.material) == _word(other.material) and one.thickness == other.thickness


def plate_cost(plate: Plate) -> float:
    """Cost of one plate: as given, by its mass, or its area in m2 where no price is known."""
    if plate.cost is not None:
        return plate.cost
    if plate.price_per_kg is not None:
        return plate.price_per_kg * plate.mass
    return plate.length * plate.width * 1e-6


def _without_plate(job: Job, groups: list[_Group]) -> list[Fault]:
    grouped = {index for group in groups for index, _ in group.parts}
    return [
        Fault("cannot_make", f"part {part.name}", *why_not(part, []))
        for index, part in enumerate(job.parts)
        if index not in grouped
    ]


def _short_fault(group: _Group, number: int, count: int, layout: Layout) -> Fault:
    part = group.parts[number][1]
    if count < part.quantity or _stock_used_up(group, layout):
        stock = "; ".join(f"{w.plate.name}: {w.plate.limit}" for w in group.wares if w.plate.limit is not None)
        return Fault(
            "stock_used_up",
            f"part {part.name}",
            f"{count} of {part.quantity} cannot be made: the stock is used up ({stock or 'no plate serves'})",
            "add plates, or make fewer",
        )
    return Fault("cannot_make", f"part {part.name}", *why_not(part, group.wares))


def _stock_used_up(group: _Group, layout: Layout) -> bool:
    used = Counter({ware.index: 0 for ware in group.wares})
    for pattern in layout.patterns:
        used[pattern.plate] += pattern.count
    return all(w.plate.limit is not None and used[w.index] >= w.plate.limit for w in group.wares)


# --- the bench ----------------------------------------------------------------------------------------------------


def _bench(job: Job, rig: Rig, groups: list[_Group], layouts: list[Layout]) -> list[_BenchPlate]:
    """All plates that are used, in the order of the job's plates, each as the order of work sees it."""
    sized = tuple((True, isinstance(part, Rectangle)) for part in job.parts)
    uses: list[tuple[int, Pattern, _Group]] = []
    for group, layout in zip(groups, layouts, strict=True):
        uses += [(pattern.plate, pattern, group) for pattern in layout.patterns]
    uses.sort(key=lambda use: use[0])
    bench: list[_BenchPlate] = []
    for index, pattern, group in uses:
        plate = job.plates[index]
        ware = next(w for w in group.wares if w.index == index)
        edges: Edges = tuple("fresh" if state == "cut" else state for state in plate.edges)  # type: ignore[assignment]
        lay = Lay(Stock(rig, ware.rules, sized), start(pattern.root, edges), True, (not plate.measured,) * 2)
        for _ in range(pattern.count):
            bench.append(_BenchPlate(index, ware, BenchPlate(f"P{len(bench) + 1}", lay, group.processes[index])))
    return bench


# --- the plan -----------------------------------------------------------------------------------------------------


def _assembled(
    job: Job,
    rig: Rig,
    bench: list[_BenchPlate],
    layouts: list[Layout],
    work: Work,
    warnings: list[PlanWarning],
    clock: _Clock,
    made_at: str | None,
) -> Plan:
    plates = tuple(_plan_plate(each) for each in bench)
    totals = _totals(plates, work)
    effort = job.options.effort
    return Plan(
        schema=SCHEMA,
        stripplan_version=VERSION,
        made_at=made_at,
        job=to_record(job),
        rig=to_record(rig),
        settings={
            "seed": effort.seed,
            "steps": effort.steps,
            "steps_done": sum(layout.steps for layout in layouts),
            "seconds": effort.seconds,
            "stopped": "seconds" if clock.stopped else "done",
            "trim": job.options.trim,
            "keep": list(job.options.keep),
            "end_stop_greatest": greatest_end_stop(rig),
        },
        plates=plates,
        pieces=tuple(work.pieces),
        cuts=tuple(work.cuts),
        parts=_part_lines(job, work),
        totals=totals,
        proof=_proof(rig, layouts, totals, work),
        warnings=tuple(dict.fromkeys(warnings + _plate_warnings(job, rig, bench, work))),
    )


def _plan_plate(each: _BenchPlate) -> PlanPlate:
    plate, process = each.ware.plate, each.bench.process
    assert plate.thickness is not None
    return PlanPlate(
        id=each.bench.id,
        stock=plate.name,
        length=plate.length,
        width=plate.width,
        thickness=plate.thickness,
        material=plate.material or "",
        cost=each.ware.cost,
        mass=plate_mass(plate.length, plate.width, plate.thickness, plate.material),
        kerf=process.kerf,
        process=process.name,
        measured=plate.measured,
        edges=plate.edges,
    )


def _part_lines(job: Job, work: Work) -> tuple[PartLine, ...]:
    lines = []
    for index, part in enumerate(job.parts):
        sizes, spreads = [], []
        for name, (leaf, _) in work.leaves.items():
            if leaf.part == index:
                size = work.sizes[name]
                width, length, wide, long = size.y, size.x, size.y_spread, size.x_spread
                if leaf.turned:
                    width, length, wide, long = length, width, long, wide
                off = 2 * part.allowance
                sizes.append((round(width - off, 3), round(length - (off if isinstance(part, Rectangle) else 0), 3)))
                spreads.append((wide, long))
        lines.append(
            PartLine(
                name=part.name,
                wanted=part.quantity,
                made=len(sizes),
                size_wanted=(part.width, part.length if isinstance(part, Rectangle) else None),
                size_expected=tuple(sorted(set(sizes))),
                tolerance_expected=(
                    round(max((s[0] for s in spreads), default=0.0), 3),
                    round(max((s[1] for s in spreads), default=0.0), 3),
                ),
            )
        )
    return tuple(lines)


def _totals(plates: Sequence[PlanPlate], work: Work) -> Totals:
    cuts = work.cuts
    area = {piece.id: _area(piece.outline) for piece in work.pieces}
    whole = sum(plate.length * plate.width for plate in plates)

    def of_kind(kind: str) -> float:
        return sum(area[piece.id] for piece in work.pieces if piece.kind == kind)

    return Totals(
        plates=len(plates),
        cost=sum(plate.cost for plate in plates),
        arc_minutes=sum(cut.minutes.arc for cut in cuts),
        minutes=sum(cut_minutes(cut.minutes) for cut in cuts),
        starts=sum(len(cut.passes) for cut in cuts),
        fence_settings=sum(cut.setup.fence for cut in cuts),
        end_stop_settings=sum(cut.setup.end_stop for cut in cuts),
        turns=sum(cut.setup.quarter_turns > 0 for cut in cuts),
        fetches=sum(cut.setup.fetch for cut in cuts),
        dressings=sum(len(cut.setup.dress) for cut in cuts),
        plate_used=of_kind("part") / whole if whole else 0.0,
        offcut_area=of_kind("offcut"),
        scrap_area=of_kind("scrap"),
    )


def cut_minutes(minutes: object) -> float:
    """All minutes of a cut together."""
    return float(sum(to_record(minutes).values()))


def _area(outline: Sequence[tuple[float, float]]) -> float:
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def _proof(rig: Rig, layouts: list[Layout], totals: Totals, work: Work) -> Proof:
    plates = sum(layout.bound.plates for layout in layouts)
    cost = sum(layout.bound.cost for layout in layouts)
    cost = min(cost, totals.cost)  # the sums are of binary fractions; a bound may not pass what was found
    proven = abs(cost - totals.cost) <= 1e-9 * max(1.0, totals.cost)
    complete = not any(layout.short for layout in layouts)
    plates = min(plates, totals.plates)
    return Proof(
        plates=Bound(
            found=totals.plates,
            bound=plates,
            how=", ".join(dict.fromkeys(layout.bound.plates_how for layout in layouts)),
            proven=complete and plates == totals.plates,
        ),
        cost=Bound(
            found=totals.cost,
            bound=totals.cost if proven else cost,
            how=", ".join(dict.fromkeys(layout.bound.cost_how for layout in layouts)),
            proven=complete and proven,
        ),
        setups=OrderBound(found=totals.fence_settings, bound=settings_bound(work.cuts)),
        minutes=OrderBound(found=totals.minutes, bound=min(totals.minutes, minutes_bound(rig, work.cuts))),
    )


def _plate_warnings(job: Job, rig: Rig, bench: list[_BenchPlate], work: Work) -> list[PlanWarning]:
    found = []
    for name, (leaf, lay) in work.leaves.items():
        if leaf.part is None:
            continue
        part = job.parts[leaf.part]
        width_rests, length_rests = (lay.rests[1], lay.rests[0]) if not leaf.turned else lay.rests
        if width_rests or (length_rests and isinstance(part, Rectangle)):
            found.append(
                PlanWarning(
                    code="rests_on_plate_size",
                    about=name,
                    text=f"{part.name} ({name}) takes a size from the plate itself: measure the plate first.",
                )
            )
        x, y = lay.piece.length, lay.piece.width
        want = (part.length_as_cut if isinstance(part, Rectangle) else (y if leaf.turned else x), part.width_as_cut)
        got = (y, x) if leaf.turned else (x, y)
        if got[0] > want[0] + 0.01 or got[1] > want[1] + 0.01:
            found.append(
                PlanWarning(
                    code="left_over_size",
                    about=name,
                    text=f"{part.name} ({name}) stays over size, within its tolerance: what is over could not be cut off.",
                )
            )
    seen = {each.index: each for each in bench}
    for each in seen.values():
        found += _one_plate_warnings(job, rig, each)
    return found


def _one_plate_warnings(job: Job, rig: Rig, each: _BenchPlate) -> list[PlanWarning]:
    plate, process = each.ware.plate, each.bench.process
    found: list[PlanWarning] = []
    if plate.out_of_square > job.options.trim:
        found.append(
            PlanWarning(
                code="out_of_square",
                about=plate.name,
                text=f"{plate.name} is {plate.out_of_square:g} mm out of square, and {job.options.trim:g} mm is trimmed off its edges.",
            )
        )
    asked = [part.name for part in job.parts if part.rolling != "free" and _same_stock(part, plate)]
    if plate.rolling == "none" and asked:
        found.append(
            PlanWarning(
                code="rolling_unknown",
                about=plate.name,
                text=f"The rolling direction of {plate.name} is not known; {', '.join(asked)} asks for one: look at the plate.",
            )
        )
    if process.kerf_measured_on is None:
        found.append(
            PlanWarning(
                code="kerf_not_measured",
                about=process.name,
                text=f"The kerf of {process.name}, {process.kerf:g} mm, was not measured: make a test cut before the first strip.",
            )
        )
    lead_seconds = arc_seconds([rig.lead_in], process.travel_speed)
    if lead_seconds > rig.pilot_limit:
        found.append(
            PlanWarning(
                code="pilot",
                about=process.name,
                text=f"The arc burns {lead_seconds:.1f} s in air before the metal; the source allows about {rig.pilot_limit:g} s.",
            )
        )
    return found


def _replayed(made: Plan) -> None:
    from .replay.verdict import replay

    findings = replay(made)
    if findings:
        raise PlanFaultError([Fault(each.code, each.about, each.text) for each in findings])
