"""What the notebook says, in parts: what is found as codes with quantities, tables and charts, for every face alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Literal

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.model.material import family_of
from stripplan.model.notebook import Measured, Notebook
from stripplan.model.report import Axis, Graph, NextCut, Section, Series
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine import drive
from stripplan.rig.machine.timing import dial_for
from stripplan.rig.notebook import calibrate, rail_heights, rails_parallel, squareness
from stripplan.rig.notebook.dial.order import NotYetError
from stripplan.rig.notebook.test_cuts import trial_section
from stripplan.rig.process import camber, speed
from stripplan.wording.message import Fact, Facts, Message, length
from stripplan.wording.message import current as current_of
from stripplan.wording.message import speed as speed_of

OF_THE_RIG = ("too_slow_for_current", "too_fast_for_current")
"""What is said of a starting speed that the rig cannot travel."""


def notebook_report(rig: Rig, *, units: Literal["mm", "in"] = "mm") -> tuple[Section, ...]:
    """The report on a rig's notebook, in the units of the notebook; a rig without one gives the starting speeds of its
    processes alone, in `units`.

    A kind of row that cannot be worked out has its problem said in its section; the others stand.
    """
    book = rig.notebook or Notebook(name=rig.name, units=units)
    rig = calibrate.with_dial(rig, book)
    parts: tuple[tuple[str, bool, Callable[[Notebook, Rig], Section]], ...] = (
        ("drive", book.drive is not None, _drive),
        ("dial", bool(book.timed_runs), _dial),
        ("kerf", bool(book.kerf_tests), _kerf),
        ("fence", bool(book.fence_checks), _fence),
        ("torch_height", bool(book.height_checks), _heights),
        ("rail_distance", bool(book.rail_checks), _rail_distances),
        ("fence_angle", bool(book.parallel_checks), _parallel),
        ("square", bool(book.square_checks), _square),
        ("bow", bool(book.bow_checks), _bow),
    )
    found = [_tried(Section(topic=topic), make, book, rig) for topic, there, make in parts if there]
    for process in rig.processes:
        if any(each.process == process.name for each in book.test_cuts):
            found.append(_tried(Section(topic="speed", about=process.name), _trials_of(process), book, rig))
    found += _starting(book, rig)
    if rig.notebook is not None:
        found.append(_tried(Section(topic="profile"), _profile, book, rig))
    return tuple(replace(each, units=book.units) for each in found)


def _tried(part: Section, make: Callable[[Notebook, Rig], Section], book: Notebook, rig: Rig) -> Section:
    try:
        return make(book, rig)
    except FiguresError as error:
        return replace(part, problem=error.message)
    except InputError as error:  # what other rows say is wanted too, and cannot be worked out
        return replace(part, problem=FiguresError(*map(_told_of, error.faults)).message)


# --- drive and dial -------------------------------------------------------------------------------------------------


def _drive(book: Notebook, rig: Rig) -> Section:
    assert book.drive is not None
    pitch = book.drive.pitch if book.drive.belt is None else drive.belt(book.drive.belt).pitch
    assert pitch is not None
    top = drive.travel_speed(book.drive.rpm, book.drive.teeth, pitch)
    turn = drive.distance_per_turn(book.drive.teeth, pitch)
    facts = Facts(
        rpm=float(book.drive.rpm), teeth=book.drive.teeth, pitch=length(pitch), turn=length(turn), top=speed_of(top)
    )
    lines = [Message("drive", facts=facts)]
    fastest = max((each.distance / each.seconds * 60 for each in book.timed_runs), default=0.0)
    if fastest > top * 1.05:
        lines.append(Message("drive_timed_faster", facts=Facts(fastest=speed_of(fastest))))
    if rig.travel_max > top * 1.02:
        facts = Facts(travel_max=speed_of(rig.travel_max), top=speed_of(top))
        lines.append(Message("drive_below_profile", facts=facts))
    beyond = [each for each in rig.processes if each.travel_speed > top]
    if beyond:
        processes = tuple(
            Message("process_speed", each.name, Facts(speed=speed_of(each.travel_speed))) for each in beyond
        )
        lines.append(Message("drive_too_slow", facts=Facts(processes=processes)))
        wanted = [each.travel_speed for each in rig.processes]
        lines.append(drive.serving_output(wanted, book.drive.teeth, pitch, rpm_now=book.drive.rpm).said)
    return Section(topic="drive", said=tuple(lines))


def _dial(book: Notebook, rig: Rig) -> Section:
    try:
        curve = calibrate.dial_of(book)
    except NotYetError as error:
        return Section(
            topic="dial", said=(Message("dial_not_yet", facts=Facts(why=error.message)), Message("dial_wanted"))
        )
    least, most = curve.speed_range
    rows = []
    for process in rig.processes:
        mark = dial_for(rig, process.travel_speed)
        at: dict[str, Fact] = {} if mark is None else {"mark": mark}
        rows.append(Facts(process=process.name, speed=speed_of(process.travel_speed), **at))
    marks = [
        Message(
            "dial_mark",
            facts=Facts(
                mark=each.mark, speed=speed_of(each.speed), half=speed_of(curve.speed_at(each.mark).half_width())
            ),
        )
        for each in curve.marks
    ]
    graph = Graph(
        name="dial",
        title=Message("chart_dial"),
        x=Axis("axis_mark"),
        y=Axis("axis_speed", "speed"),
        series=(
            Series(
                code="points_timed", mark="dot",
                at=tuple((mark, value, curve.speed_at(mark).half_width()) for mark, value, _ in curve.points()),
            ),
        ),
        curve=tuple((mark, value) for mark, value, _, _ in curve.band()),
        band=tuple((mark, low, high) for mark, _, low, high in curve.band()),
    )  # fmt: skip
    facts = Facts(runs=len(book.timed_runs), marks=len(curve.marks), least=speed_of(least), most=speed_of(most))
    return Section(
        topic="dial", said=(Message("dial", facts=facts), *marks, *curve.notes), rows=tuple(rows), graphs=(graph,)
    )


# --- kerf and fence -------------------------------------------------------------------------------------------------


def _kerf(book: Notebook, rig: Rig) -> Section:
    lines: list[Message] = []
    rows: list[Facts] = []
    measured: list[tuple[float, float, float]] = []
    for process in rig.processes:
        same, other = calibrate.kerf_tests(book, process)
        if other:
            lines.append(Message("kerf_elsewhere", process.name, Facts(tests=len(other))))
        if not same:
            continue
        found = calibrate.kerf_of(book, process, same)
        last = calibrate.days(same)[1]
        on: dict[str, Fact] = {} if last is None else {"last": last}
        rows.append(
            Facts(
                process=process.name, kerf=length(found.value), half=length(found.half_width()), pieces=len(same), **on,
                profile=length(process.kerf), used=length(calibrate.kerf_used(found)),
            )
        )  # fmt: skip
        measured.append((process.thickness, found.value, found.half_width()))
        notes = found.notes if len(same) == 1 else (*found.notes, *found.effects())
        lines += [Message("of_process", process.name, Facts(what=each)) for each in notes]
    assumed = tuple((each.thickness, each.kerf, 0.0) for each in rig.processes if rows)
    graph = Graph(
        name="kerf",
        title=Message("chart_kerf"),
        x=Axis("axis_thickness", "length"),
        y=Axis("axis_kerf", "length"),
        series=(
            Series(code="points_measured", mark="dot", at=tuple(measured)),
            Series(code="points_in_profile", mark="ring", at=assumed),
        ),
    )
    return Section(topic="kerf", said=tuple(lines), rows=tuple(rows), graphs=(graph,) if measured else ())


def _fence(book: Notebook, rig: Rig) -> Section:
    used = _with_kerfs(rig, book)
    found = calibrate.fence_of(book, used)
    facts = Facts(
        zero=length(found.zero.value), scale=found.scale.value,
        zero_half=length(found.zero.half_width()), scale_half=found.scale.half_width(),
    )  # fmt: skip
    lines = [Message("fence", facts=facts)]
    if found.repeatability is not None:
        lines.append(Message("fence_repeats", facts=Facts(deviation=length(found.repeatability))))
    middle = (found.lowest + found.highest) / 2
    width = found.width_at(middle)
    facts = Facts(reading=middle, width=length(width.value), half=length(width.half_width()))
    lines.append(Message("fence_strip", facts=facts))
    strips = list(zip(book.fence_checks, found.residuals, strict=False))
    rows = tuple(
        Facts(row=n, reading=float(each.reading), width=length(each.width), off=length(off))
        for n, (each, off) in enumerate(strips, 1)
    )
    graph = Graph(
        name="fence",
        title=Message("chart_fence"),
        x=Axis("axis_reading"),
        y=Axis("axis_length", "length"),
        series=(
            Series(code="points_strips", mark="dot", at=tuple((each.reading, off, 0.0) for each, off in strips)),
        ),
        curve=((found.lowest, 0.0), (found.highest, 0.0)),
    )  # fmt: skip
    return Section(topic="fence", said=(*lines, *found.notes), rows=rows, graphs=(graph,))


def _with_kerfs(rig: Rig, book: Notebook) -> Rig:
    """The rig with the kerfs of the notebook alone."""
    return calibrate.calibrated(
        replace(
            rig, notebook=replace(book, timed_runs=(), fence_checks=(), bow_checks=(), test_cuts=(), parallel_checks=())
        )
    )


# --- rails ----------------------------------------------------------------------------------------------------------


def _heights(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    graphs = []
    for number, each in enumerate(book.height_checks, 1):
        check = rail_heights.MeasuredHeights(
            each.positions, each.heights, each.other or None, each.rail_distance, resolution=book.caliper
        )
        found = rail_heights.check_heights(check)
        lines += [*_dated(each.on, number, len(book.height_checks)), *found.advice]
        heights = tuple(zip(each.positions, check.at_torch, strict=True))
        graphs.append(
            Graph(
                name=f"height-{number}",
                title=Message("chart_height"),
                x=Axis("axis_from_home", "length"),
                y=Axis("axis_length", "length"),
                series=(Series(code="points_torch", mark="dot", at=tuple((x, y, 0.0) for x, y in heights)),),
                curve=heights,
            )
        )
    return Section(topic="torch_height", said=tuple(lines), graphs=tuple(graphs))


def _rail_distances(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.rail_checks, 1):
        found = rails_parallel.rail_distances(each.positions, each.distances, resolution=book.caliper)
        lines += [*_dated(each.on, number, len(book.rail_checks)), *found.advice]
    return Section(topic="rail_distance", said=tuple(lines))


def _parallel(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.parallel_checks, 1):
        found = squareness.fence_parallel(each.entry, each.exit_, each.length, resolution=book.caliper)
        lines += [*_dated(each.on, number, len(book.parallel_checks)), *found.advice]
    return Section(topic="fence_angle", said=tuple(lines))


def _square(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.square_checks, 1):
        found = squareness.square_check(each.width, each.length, *each.diagonals, resolution=book.rule)
        lines += [*_dated(each.on, number, len(book.square_checks)), *found.advice]
    return Section(topic="square", said=tuple(lines))


def _dated(on: str | None, number: int, of: int) -> list[Message]:
    """Which of several checks is spoken of, and its day."""
    if of == 1:
        return [Message("check_of_day", facts=Facts(day=on))] if on else []
    return [Message("check_of_several", facts=Facts(number=number, **({"day": on} if on else {})))]


# --- bow, speed, profile --------------------------------------------------------------------------------------------


def _bow(book: Notebook, rig: Rig) -> Section:
    rows = []
    for process in rig.processes:
        strips = [each for each in book.bow_checks if each.process == process.name]
        if strips:
            found = camber.calibrate([(each.bow, each.length, each.width) for each in strips], resolution=book.rule)
            steel = family_of(process.material) == "mild steel"
            constant = camber.heat_constant(process.travel_speed, process.kerf) if steel else None
            model: dict[str, Fact] = {} if constant is None else {"model": length(constant)}
            half = length(found.half_width())
            constant_of = {"constant": length(found.value), "half": half}
            rows.append(Facts(process=process.name, **constant_of, strips=len(strips), **model))
    return Section(topic="bow", rows=tuple(rows))


def _trials_of(process: Process) -> Callable[[Notebook, Rig], Section]:
    return lambda book, rig: trial_section(book, rig, process)


def _starting(book: Notebook, rig: Rig) -> Iterator[Section]:
    """Speeds to begin with, for processes without a test cut."""
    rows: list[Facts] = []
    notes: list[Message] = []
    cuts: list[NextCut] = []
    tested = {each.process for each in book.test_cuts}
    for process in rig.processes:
        if process.name in tested or process.current is None:
            continue
        found = speed.starting_speed(
            process.material, process.thickness, process.current,
            kerf=process.kerf, v_max=rig.travel_max, v_min=rig.travel_min or None,
        )  # fmt: skip
        begin: dict[str, Fact] = {}
        if found.speed is not None and found.low is not None and found.high is not None:
            begin = {"speed": speed_of(found.speed), "low": speed_of(found.low), "high": speed_of(found.high)}
            cuts.append(_first_cut(process, found, rig))
        own = {"current": current_of(process.current), "profile": speed_of(process.travel_speed)}
        rows.append(Facts(process=process.name, **own, **begin))
        notes += [
            Message("of_process", process.name, Facts(what=each)) for each in found.notes if each.code in OF_THE_RIG
        ]
    if rows:
        yield Section(
            topic="starting_speeds",
            said=(Message("starting_speeds"), *notes),
            rows=tuple(rows),
            next_cuts=tuple(cuts),
        )


def _first_cut(process: Process, found: speed.StartingSpeed, rig: Rig) -> NextCut:
    """An estimate as it can be cut: beyond the rig's speeds, at the nearest of them."""
    assert found.speed is not None
    assert found.low is not None
    assert found.high is not None
    wanted = round(found.speed)
    at = round(min(max(wanted, rig.travel_min), rig.travel_max))
    facts = Facts(speed=speed_of(at), estimate=speed_of(wanted), low=speed_of(found.low), high=speed_of(found.high))
    message = Message("first_cut", process.name, facts, "first_cut" if at == wanted else "first_cut_beyond")
    return NextCut(process=process.name, standing="untested", speed=at, said=message)


def _profile(_: Notebook, rig: Rig) -> Section:
    return Section(topic="profile", rows=tuple(map(_profile_row, calibrate.calibrated(rig).measured)))


def _told_of(fault: Fault) -> Message:
    """A fault within a part of the report: its place, what is wrong, what would mend it."""
    return Message("of_place", fault.where, Facts(what=fault.message))


def _profile_row(each: Measured) -> Facts:
    """A measured figure: its doubt, how many rows it comes from and of which days, what it stands for."""
    days: dict[str, Fact] = {name: day for name, day in (("first", each.first), ("last", each.last)) if day is not None}
    before: dict[str, Fact] = {} if each.before is None else {"before": each.in_its_dimension(each.before)}
    return Facts(
        key=each.key, value=each.quantity, half=each.in_its_dimension(2 * each.u), rows=each.n, **days, **before
    )  # fmt: skip
