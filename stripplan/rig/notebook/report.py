"""What the notebook says, in parts: what is found as codes with quantities, tables and charts, for every face alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from stripplan.errors import InputError
from stripplan.model.material import family_of
from stripplan.model.notebook import Measured, Notebook
from stripplan.model.report import Chart, NextCut, Points, Section
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine import drive
from stripplan.rig.machine.timing import dial_for
from stripplan.rig.notebook import calibrate, dial, rig_checks
from stripplan.rig.notebook.report_in_inches import section_in_inches
from stripplan.rig.notebook.test_cuts import said, trial_section
from stripplan.rig.process import camber, speed
from stripplan.wording.message import Facts, Message, length
from stripplan.wording.message import speed as speed_of


def notebook_report(rig: Rig) -> tuple[Section, ...]:
    """The report on a rig's notebook, in the units of its owner; a rig without one gives the starting speeds of its
    processes alone.

    A kind of row that cannot be worked out has its problem said in its section; the others stand.
    """
    book = rig.notebook or Notebook(name=rig.name)
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
    return tuple(found) if book.units == "mm" else tuple(map(section_in_inches, found))


def _tried(part: Section, make: Callable[[Notebook, Rig], Section], book: Notebook, rig: Rig) -> Section:
    try:
        return make(book, rig)
    except ValueError as error:
        return replace(part, problem=said(str(error)))


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
        lines.append(said(drive.serving_output(wanted, book.drive.teeth, pitch, rpm_now=book.drive.rpm).text))
    return Section(topic="drive", said=tuple(lines))


def _dial(book: Notebook, rig: Rig) -> Section:
    try:
        curve = calibrate.dial_of(book)
    except dial.NotYetError as error:
        return Section(
            topic="dial", said=(Message("dial_not_yet", facts=Facts(why=str(error))), Message("dial_wanted"))
        )
    least, most = curve.speed_range
    rows = [("process", "mm/min", "mark")]
    for process in rig.processes:
        mark = dial_for(rig, process.travel_speed)
        rows.append(
            (
                process.name,
                f"{process.travel_speed:g}",
                f"{mark:.2f}" if mark is not None else "not within what was timed",
            )
        )
    marks = [
        Message(
            "dial_mark",
            facts=Facts(
                mark=each.mark, speed=speed_of(each.speed), half=speed_of(curve.speed_at(each.mark).half_width())
            ),
        )
        for each in curve.marks
    ]
    chart = Chart(
        name="dial",
        title="Dial and speed",
        x="mark",
        y="mm/min",
        points=(
            Points(
                words="timed", mark="dot",
                at=tuple((mark, value, curve.speed_at(mark).half_width()) for mark, value, _ in curve.points()),
            ),
        ),
        curve=tuple((mark, value) for mark, value, _, _ in curve.band()),
        band=tuple((mark, low, high) for mark, _, low, high in curve.band()),
    )  # fmt: skip
    facts = Facts(runs=len(book.timed_runs), marks=len(curve.marks), least=speed_of(least), most=speed_of(most))
    notes = map(said, curve.notes)
    return Section(
        topic="dial", said=(Message("dial", facts=facts), *marks, *notes), table=tuple(rows), charts=(chart,)
    )


# --- kerf and fence -------------------------------------------------------------------------------------------------


def _kerf(book: Notebook, rig: Rig) -> Section:
    lines: list[Message] = []
    rows = [("process", "kerf", "±", "pieces", "last", "profile", "plans use")]
    measured: list[tuple[float, float, float]] = []
    for process in rig.processes:
        same, other = calibrate.kerf_tests(book, process)
        if other:
            lines.append(Message("kerf_elsewhere", process.name, Facts(tests=len(other))))
        if not same:
            continue
        found = calibrate.kerf_of(book, process, same)
        last = calibrate.days(same)[1] or "-"
        rows.append(
            (
                process.name,
                f"{found.value:.3f}",
                f"{found.half_width():.2g}",
                str(len(same)),
                last,
                f"{process.kerf:g}",
                f"{calibrate.kerf_used(found):g}",
            )
        )
        measured.append((process.thickness, found.value, found.half_width()))
        notes = found.notes if len(same) == 1 else (*found.notes, *found.effects())
        lines += [Message("of_process", process.name, Facts(what=each)) for each in notes]
    assumed = tuple((each.thickness, each.kerf, 0.0) for each in rig.processes if len(rows) > 1)
    chart = Chart(
        name="kerf",
        title="Kerf by thickness",
        x="mm thick",
        y="mm kerf",
        points=(
            Points(words="measured", mark="dot", at=tuple(measured)),
            Points(words="in the profile", mark="ring", at=assumed),
        ),
    )
    return Section(topic="kerf", said=tuple(lines), table=tuple(rows), charts=(chart,) if measured else ())


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
    rows = [("row", "reading", "width", "off the line")]
    rows += [
        (str(n), f"{each.reading:g}", f"{each.width:g}", f"{off:+.2f}")
        for n, (each, off) in enumerate(zip(book.fence_checks, found.residuals, strict=False), 1)
    ]
    chart = Chart(
        name="fence",
        title="Fence: what each strip is off by",
        x="reading",
        y="mm",
        points=(
            Points(
                words="strips", mark="dot",
                at=tuple((each.reading, off, 0.0) for each,
                 off in zip(book.fence_checks, found.residuals, strict=False)),
            ),
        ),
        curve=((found.lowest, 0.0), (found.highest, 0.0)),
    )  # fmt: skip
    return Section(topic="fence", said=(*lines, *found.notes), table=tuple(rows), charts=(chart,))


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
    charts = []
    for number, each in enumerate(book.height_checks, 1):
        check = rig_checks.MeasuredHeights(
            each.positions, each.heights, each.other or None, each.rail_distance, resolution=book.caliper
        )
        found = rig_checks.check_heights(check)
        lines += [*_dated(each.on, number, len(book.height_checks)), *found.advice]
        charts.append(
            Chart(
                name=f"height-{number}",
                title="Height of the torch along the travel",
                x="mm from home",
                y="mm",
                points=(
                    Points(
                        words="torch",
                        mark="dot",
                        at=tuple((x, y, 0.0) for x, y in zip(each.positions, check.at_torch, strict=True)),
                    ),
                ),
                curve=tuple(zip(each.positions, check.at_torch, strict=True)),
            )
        )
    return Section(topic="torch_height", said=tuple(lines), charts=tuple(charts))


def _rail_distances(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.rail_checks, 1):
        found = rig_checks.rail_distances(each.positions, each.distances, resolution=book.caliper)
        lines += [*_dated(each.on, number, len(book.rail_checks)), *found.advice]
    return Section(topic="rail_distance", said=tuple(lines))


def _parallel(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.parallel_checks, 1):
        found = rig_checks.fence_parallel(each.entry, each.exit_, each.length, resolution=book.caliper)
        lines += [*_dated(each.on, number, len(book.parallel_checks)), *found.advice]
    return Section(topic="fence_angle", said=tuple(lines))


def _square(book: Notebook, _: Rig) -> Section:
    lines: list[Message] = []
    for number, each in enumerate(book.square_checks, 1):
        found = rig_checks.square_check(each.width, each.length, *each.diagonals, resolution=book.rule)
        lines += [*_dated(each.on, number, len(book.square_checks)), *found.advice]
    return Section(topic="square", said=tuple(lines))


def _dated(on: str | None, number: int, of: int) -> list[Message]:
    """Which of several checks is spoken of, and its day."""
    if of == 1:
        return [Message("check_of_day", facts=Facts(day=on))] if on else []
    return [Message("check_of_several", facts=Facts(number=number, **({"day": on} if on else {})))]


# --- bow, speed, profile --------------------------------------------------------------------------------------------


def _bow(book: Notebook, rig: Rig) -> Section:
    rows = [("process", "C of bow = C (length/width)²", "±", "strips", "as the model has it")]
    for process in rig.processes:
        strips = [each for each in book.bow_checks if each.process == process.name]
        if strips:
            found = camber.calibrate([(each.bow, each.length, each.width) for each in strips], resolution=book.rule)
            steel = family_of(process.material) == "mild steel"
            model = f"{camber.heat_constant(process.travel_speed, process.kerf):.4f} mm" if steel else "not known"
            rows.append(
                (
                    process.name,
                    f"{found.value:.4f} mm",
                    f"{found.half_width():.4f}",
                    str(len(strips)),
                    model,
                )
            )
    return Section(topic="bow", table=tuple(rows))


def _trials_of(process: Process) -> Callable[[Notebook, Rig], Section]:
    return lambda book, rig: trial_section(book, rig, process)


def _starting(book: Notebook, rig: Rig) -> Iterator[Section]:
    """Speeds to begin with, for processes without a test cut."""
    rows = [("process", "A", "in the profile, mm/min", "to begin with", "between")]
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
        now = f"{process.travel_speed:g}"
        if found.speed is None:
            rows.append((process.name, f"{process.current:g}", now, "not held", "-"))
        else:
            between = f"{found.low:.0f} to {found.high:.0f}"
            rows.append((process.name, f"{process.current:g}", now, f"{found.speed:.0f}", between))
            cuts.append(_first_cut(process, found, rig))
        notes += [
            Message("of_process", process.name, Facts(what=said(each.text)))
            for each in found.notes
            if each.code.startswith("too_")
        ]
    if len(rows) > 1:
        yield Section(
            topic="starting_speeds",
            said=(Message("starting_speeds"), *notes),
            table=tuple(rows),
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
    try:
        used = calibrate.calibrated(rig)
    except InputError as error:
        raise ValueError("; ".join(each.sentence() for each in error.faults)) from None
    head = ("figure", "value", "±", "rows", "measured", "in place of")
    return Section(topic="profile", table=(head, *(profile_row(each) for each in used.measured)))


def profile_row(each: Measured) -> tuple[str, ...]:
    """A measured figure in cells."""
    when = each.last or "day not noted"
    if each.first is not None and each.first != each.last:
        when = f"{each.first} to {each.last}"
    before = "-" if each.before is None else f"{each.before:g}"
    return each.key, f"{each.value:g}", f"{2 * each.u:.2g}", str(each.n), when, before
