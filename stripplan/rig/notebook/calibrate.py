"""From the notebook to the profile that plans use: each measured figure in the place of the one that was given, with
where it comes from.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Protocol

from stripplan.errors import Fault, FiguresError, InputError
from stripplan.model.notebook import KerfTest, Measured, Notebook
from stripplan.model.rig import Process, Rig
from stripplan.rig.accuracy import tolerance
from stripplan.rig.machine import drive
from stripplan.rig.notebook import fence_scale, squareness
from stripplan.rig.notebook.dial.curve import DialCurve
from stripplan.rig.notebook.dial.fit import fit_dial
from stripplan.rig.notebook.dial.order import NotYetError
from stripplan.rig.process import camber, kerf
from stripplan.rig.uncertainty import Estimate, rectangular_u
from stripplan.wording.message import Fact, Facts, Message, facts_record, length
from stripplan.wording.message import speed as speed_of
from stripplan.wording.show import worded

KERF_STEP = 0.02
"""Measured kerfs are taken to the nearest of these [mm], so that half of one is a whole number of hundredths: finer
than any is known.
"""
SAME_SPEED = 0.05
"""A kerf test at a speed within this share of the process's counts as made at it."""
DIAL_POINTS = 4
"""Points of the dial's curve that are kept between two timed marks."""


class _Dated(Protocol):
    @property
    def on(self) -> str | None: ...


def calibrated(rig: Rig) -> Rig:
    """The rig with the figures of its notebook, which is then put away; a rig without one as it is.

    Raises InputError where rows of the notebook cannot be understood, one fault for each kind of row.
    """
    book = rig.notebook
    if book is None:
        return rig
    faults: list[Fault] = []
    known = {each.name for each in rig.processes}
    faults += [
        Fault(
            "notebook",
            f"notebook {book.name}, {kind}",
            Facts(name=name, rig=rig.name, **_processes(rig, name)),
            says="notebook_process",
        )
        for kind, name in sorted(_named(book))
        if name not in known
    ]
    rig = replace(rig, notebook=None)
    for step in _ROWS:
        try:
            rig = step(rig, book)
        except FiguresError as error:
            faults.append(Fault("notebook", f"notebook {book.name}, {_ROWS[step]}", Facts(what=error.message)))
    if faults:
        raise InputError(faults)
    return rig


def kerf_tests(book: Notebook, process: Process) -> tuple[list[KerfTest], list[KerfTest]]:
    """Kerf tests of a process: those made as it is cut now, and those made at another current, tip or speed."""
    same: list[KerfTest] = []
    other: list[KerfTest] = []
    for test in book.kerf_tests:
        if test.process == process.name:
            (same if _as_now(test, process) else other).append(test)
    return same, other


def kerf_of(book: Notebook, process: Process, tests: Sequence[KerfTest]) -> kerf.KerfEstimate:
    """The kerf of a process from its rows of the notebook. Raises FiguresError that names the process."""
    try:
        return kerf.measured_kerf([kerf.KerfWidths(each.before, each.after, book.caliper) for each in tests])
    except FiguresError as error:
        raise FiguresError(Message("tests_of_process", process.name, Facts(what=error.message))) from None


def kerf_used(found: Estimate) -> float:
    """The kerf that plans use [mm]: to the nearest `KERF_STEP`."""
    return max(KERF_STEP, round(round(found.value / KERF_STEP) * KERF_STEP, 6))


def fence_of(book: Notebook, rig: Rig) -> fence_scale.FenceFit:
    """Zero and scale from rows of the notebook, with the kerfs of `rig`. Raises FiguresError."""
    processes = {each.name: each for each in rig.processes}
    first = rig.processes[0] if rig.processes else None
    rows = [
        (each, processes.get(each.process, first) if each.process is not None else first) for each in book.fence_checks
    ]
    common = rows[0][1]
    checks = [
        replace(each, kerf=process.kerf) if each.kerf is None and process not in (common, None) else each
        for each, process in rows
    ]
    return fence_scale.fit_fence(
        checks,
        kerf=common.kerf if common is not None else 0.0,
        kerf_u=kerf_doubt(common) if common is not None else 0.0,
        resolution=book.caliper,
        scale=rig.fence_scale,
    )


def dial_of(book: Notebook) -> DialCurve:
    """The dial's curve from rows of the notebook. Raises FiguresError."""
    runs = book.timed_runs
    return fit_dial(runs, watch=book.watch, rule=book.rule)


def kerf_doubt(process: Process) -> float:
    """Standard uncertainty of a process's kerf [mm]: as measured, else a tenth of it, rectangular +-: common practice,
    no source.
    """
    return process.kerf_u if process.kerf_u is not None else rectangular_u(tolerance.KERF_SHARE * process.kerf)


def days(rows: Iterable[_Dated]) -> tuple[str | None, str | None]:
    """The first and the last day of rows; None where no row has one."""
    found = sorted(each.on for each in rows if each.on is not None)
    return (found[0], found[-1]) if found else (None, None)


# --- each figure ----------------------------------------------------------------------------------------------------


def with_dial(rig: Rig, book: Notebook) -> Rig:
    """The rig with the timed dial alone; as it is where there is none, or it cannot be worked out."""
    try:
        return replace(_with_dial(rig, book), measured=rig.measured, assumed=rig.assumed)
    except FiguresError:
        return rig


def _with_dial(rig: Rig, book: Notebook) -> Rig:
    if not book.timed_runs:
        return rig
    try:
        curve = dial_of(book)
    except NotYetError:  # the report says what is needed; until then the profile serves
        return rig
    table = curve.table(between=DIAL_POINTS)
    least, most = curve.speed_range
    worst = max(curve.speed_at(each.mark).half_width() for each in curve.marks) / 2
    first, last = days(book.timed_runs)
    facts = Facts(
        runs=len(book.timed_runs), marks=len(curve.marks), least=speed_of(least), most=speed_of(most)
    )  # fmt: skip
    row = _row(
        "dial, top speed", Message("how_timed_runs", facts=facts), value=round(most, 1), u=round(worst, 2),
        n=len(book.timed_runs), days=(first, last),
    )  # fmt: skip
    return _noted(replace(rig, dial=table), row, ("dial",))


def _with_return(rig: Rig, book: Notebook) -> Rig:
    """A return speed that was not given: that of the fastest timed run, else of the drive, and then no faster than the
    rig is said to be.
    """
    if "return_speed" not in rig.assumed:
        return rig
    if book.timed_runs:
        run = max(book.timed_runs, key=lambda each: each.distance / each.seconds)
        speed, on = run.distance / run.seconds * 60, run.on
        how = Message("how_fastest_run", facts=Facts(mark=float(run.mark)))
        u = speed * rectangular_u(book.watch) / run.seconds
    elif book.drive is not None:
        pitch = book.drive.belt or book.drive.pitch or 0.0
        speed = min(rig.travel_max, drive.travel_speed(book.drive.rpm, book.drive.teeth, pitch))
        u, on, how = 0.0, None, Message("how_drive")
    else:
        return rig
    row = _row(
        "return_speed", how, value=round(speed, 1), u=round(u, 2), n=1, days=(on, on), before=rig.return_speed
    )  # fmt: skip
    return _noted(replace(rig, return_speed=row.value), row, ("return_speed",))


def _with_kerfs(rig: Rig, book: Notebook) -> Rig:
    processes, rows = [], []
    for process in rig.processes:
        tests, _ = kerf_tests(book, process)
        if tests:
            found = kerf_of(book, process, tests)
            value = kerf_used(found)
            first, last = days(tests)
            how = Message("how_test_pieces", facts=Facts(pieces=len(tests), cuts=found.cuts))
            row = _measured(f"{process.name}, kerf", found, first, last, how, process.kerf)
            rows.append(replace(row, value=value))
            # One test cannot show how tests scatter: what is assumed of a kerf that was not measured is then the least.
            u = (
                max(_plain(found), kerf_doubt(replace(process, kerf=value, kerf_u=None)))
                if len(tests) == 1
                else _plain(found)
            )
            process = replace(process, kerf=value, kerf_u=u, kerf_measured_on=last or "day not noted")
        processes.append(process)
    rig = replace(rig, processes=tuple(processes))
    for row in rows:
        rig = _noted(rig, row, ())
    return rig


def _with_fence(rig: Rig, book: Notebook) -> Rig:
    if not book.fence_checks:
        return rig
    found = fence_of(book, rig)
    worst = max(range(len(found.residuals)), key=lambda n: abs(found.residuals[n]), default=None)
    if worst is not None and abs(found.residuals[worst]) > fence_scale.APART:
        row = book.fence_checks[worst]
        facts = Facts(
            row=worst + 1, width=length(row.width), reading=float(row.reading), off=length(found.residuals[worst]),
            most=length(fence_scale.APART),
        )  # fmt: skip
        raise FiguresError(Message("fence_row_off", facts=facts))
    first, last = days(book.fence_checks)
    reach = {"lowest": found.lowest, "highest": found.highest}
    how = Message("how_strips", facts=Facts(strips=len(book.fence_checks), **reach))
    ends = [found.offset_at(at) for at in (found.lowest, found.highest)]
    # Where the scale's doubt reaches zero, the zero alone says more than a slope that is not borne out.
    zero, scale = (found.zero, found.scale) if found.scale_differs else (found.zero_only, None)
    changed = replace(
        rig,
        fence_zero=round(zero.value, 3),
        fence_scale=round(scale.value, 6) if scale is not None else rig.fence_scale,
        fence_u=max(map(_plain, ends)),
        fence_repeat=rig.fence_repeat if found.repeatability is None else round(found.repeatability, 4),
    )
    keys = ["fence_zero", "fence_u"]
    keys += ["fence_repeat"] if found.repeatability is not None else []
    keys += ["fence_scale"] if found.scale_differs is not None else []  # borne out, if not changed
    changed = _noted(changed, _measured("fence_zero", zero, first, last, how, rig.fence_zero), keys)
    if scale is None:
        return changed
    return _noted(changed, _measured("fence_scale", scale, first, last, how, rig.fence_scale), ("fence_scale",))


def _with_angle(rig: Rig, book: Notebook) -> Rig:
    """The last check counts: the one before it was to be mended."""
    if not book.parallel_checks:
        return rig
    last = book.parallel_checks[-1]
    found = squareness.fence_parallel(last.entry, last.exit_, last.length, resolution=book.caliper).angle
    how = Message("how_both_ends", facts=Facts(length=length(last.length)))
    row = _measured("fence_angle", found, last.on, last.on, how, rig.fence_angle)
    return _noted(replace(rig, fence_angle=round(found.value, 5)), row, ("fence_angle",))


def _with_bows(rig: Rig, book: Notebook) -> Rig:
    processes = []
    for process in rig.processes:
        strips = [each for each in book.bow_checks if each.process == process.name]
        if strips:
            try:
                found = camber.calibrate([(each.bow, each.length, each.width) for each in strips], resolution=book.rule)
            except FiguresError:  # the report says why; until then the model serves
                processes.append(process)
                continue
            first, last = days(strips)
            key = f"{process.name}, bow_constant"
            how = Message("how_bowed_strips", facts=Facts(strips=len(strips)))
            rig = _noted(rig, _measured(key, found, first, last, how, process.bow_constant), ())
            process = replace(
                process, bow_constant=round(found.value, 6), bow_constant_u=_plain(found), bow_strips=found.n
            )
        processes.append(process)
    return replace(rig, processes=tuple(processes))


_ROWS = {
    _with_dial: "timed_run",
    _with_return: "drive",
    _with_kerfs: "kerf_test",
    _with_fence: "fence_check",
    _with_angle: "parallel_check",
    _with_bows: "bow_check",
}
"""Each kind of row, in the order in which figures rest on one another."""


def _as_now(test: KerfTest, process: Process) -> bool:
    near = test.travel_speed is None or math.isclose(test.travel_speed, process.travel_speed, rel_tol=SAME_SPEED)
    return near and test.current in (None, process.current) and test.tip in (None, process.tip)


def _plain(found: Estimate) -> float:
    """Standard uncertainty that gives the same interval with a factor of 2: few readings count as less sure than they
    look.
    """
    return round(found.half_width() / 2, 4) if math.isfinite(found.half_width()) else round(found.u, 4)


def _measured(
    key: str, found: Estimate, first: str | None, last: str | None, how: Message, before: float | None
) -> Measured:
    return _row(key, how, value=round(found.value, 6), u=_plain(found), n=found.n, days=(first, last), before=before)


def _row(
    key: str,
    how: Message,
    *,
    value: float,
    u: float,
    n: int,
    days: tuple[str | None, str | None],
    before: float | None = None,
) -> Measured:
    """A figure and how it was measured, in words as the plan file holds them and as what they are made of."""
    words, facts = worded(how).text, facts_record(how.facts)
    return Measured(
        key=key, value=value, u=u, n=n, first=days[0], last=days[1], how=words, before=before, code=how.code,
        facts=facts,
    )  # fmt: skip


def _noted(rig: Rig, row: Measured, keys: Sequence[str]) -> Rig:
    """The rig with one more measured figure; what is measured is no longer assumed."""
    assumed = tuple(each for each in rig.assumed if each not in keys)
    return replace(rig, measured=(*rig.measured, row), assumed=assumed)


def _named(book: Notebook) -> set[tuple[str, str]]:
    """(kind of row, process) that rows of the notebook name."""
    named = {("kerf_test", each.process) for each in book.kerf_tests}
    named |= {("test_cut", each.process) for each in book.test_cuts}
    named |= {("bow_check", each.process) for each in book.bow_checks}
    return named | {("fence_check", each.process) for each in book.fence_checks if each.process is not None}


def _processes(rig: Rig, name: str) -> dict[str, Fact]:
    """The process that was meant, most likely; else those there are."""
    near = difflib.get_close_matches(name[:60], [each.name for each in rig.processes], 1, 0.6)
    return {"near": near[0]} if near else {"processes": tuple(each.name for each in rig.processes[:24])}
