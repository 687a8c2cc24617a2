"""`stripplan rest`: what is still wanted of a job that was begun, as a job of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from stripplan.cli.rack.cut_numbers import cut_numbers
from stripplan.cli.rack.opening import book_option, opened, plan_named, sizes
from stripplan.cli.replayed_plan import page_option
from stripplan.cli.streams import put, say
from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts
from stripplan.wording.show import Units, worded

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan
    from stripplan.model.plan.progress import CutProgress, Side


@click.command(short_help="Print the job for what is still wanted.")
@click.argument("job_file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.argument("plan_file", metavar="PLAN.json")
@click.option("--done", multiple=True, metavar="CUTS", help="Cuts that were made: 1-12, or 7. May be given again.")
@click.option(
    "--spoilt",
    multiple=True,
    metavar="CUT[:SIDE[:SIZE]]",
    help="A cut that went wrong, and which piece beside it is lost, as seen along the travel: left, right, none, or "
    "both where nothing is said; and what is still good of that piece once it is trimmed: 13:left:980x640. May be "
    "given again.",
)
@click.option("--ticked", is_flag=True, help="Cuts are made as the stock book says.")
@click.option(
    "--on-rack",
    is_flag=True,
    help="What lies on the bench is on the rack (`stripplan done --so-far`): name no plate for it.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Plan it at once into this folder: of what is left as little changes as the saving justifies.",
)
@page_option
@book_option
def rest(
    job_file: Path,
    plan_file: str,
    done: tuple[str, ...],
    spoilt: tuple[str, ...],
    ticked: bool,
    on_rack: bool,
    out: Path | None,
    page: Literal["a4", "letter"],
    book_file: Path | None,
) -> None:
    """Print the job for what is still wanted of a plan that was begun.

    Parts that lie there are made; blanks and offcuts are plates now; what was spoilt is neither. What is printed is a
    job file: put it beside JOB.toml, and plan it. What has changed is said beside it, on stderr.

    A cut that was made had its piece to cut: the cuts before it that made that piece count as done too. With --ticked
    or --on-rack PLAN may be an id that the stock book knows. With --out the rest is planned at once: what changes of
    the order that is left, and why, is said too.
    """
    from stripplan.cli.replayed_plan import checked_plan
    from stripplan.files.job.write import job_text
    from stripplan.files.toml.document import read_toml
    from stripplan.model.plan.progress import CutProgress
    from stripplan.model.rack.salvage import not_salvaged
    from stripplan.planner import rest_of_job, what_changed

    if ticked or on_rack or book_file is not None:
        plan, tag, book_progress = _from_book(plan_file, book_file)
    else:
        plan, tag, book_progress = checked_plan(Path(plan_file)), "", CutProgress()
    most = len(plan.arcs)
    wrong, usable = _spoilt(spoilt, plan)
    progress = CutProgress(
        done=frozenset(number for each in done for number in cut_numbers(each, most, "--done")) | book_progress.done,
        spoilt={**book_progress.spoilt, **wrong},
        usable={**book_progress.usable, **usable},
    )
    if faults := [Fault.of(each) for each in not_salvaged(plan, progress)]:
        raise InputError(faults, Units(plan.job.units, plan.job.inch_fraction))
    table = rest_of_job(plan, read_toml(job_file).data, progress, on_rack=on_rack)
    for each in what_changed(plan, progress):
        say(f"note: {worded(each, Units(plan.job.units, plan.job.inch_fraction)).text}", err=True)
    if on_rack:
        table = {"name": table["name"], "rest_of": tag, **table}
    if out is not None:
        _planned(plan, (job_file, table), progress, out, page, (book_file, tag) if on_rack else None)
    put(job_text(table).encode())


def _planned(
    before: Plan,
    job: tuple[Path, dict[str, Any]],
    progress: CutProgress,
    out: Path,
    page: Literal["a4", "letter"],
    on_rack: tuple[Path | None, str] | None,
) -> None:
    """The rest planned into a folder, with what changed and why; from what lies `on_rack` of a book as the rest of that
    plan, where one is named."""
    from stripplan.cli.rack.drawing import RackOfJob
    from stripplan.cli.source_date import made_at
    from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched
    from stripplan.files.job.read import job_from
    from stripplan.files.job.write import job_text
    from stripplan.files.read_file import noted
    from stripplan.files.toml.document import read_toml, toml_from
    from stripplan.planner import left_to_cut, plan_again
    from stripplan.sheets.file_writer import Written
    from stripplan.sheets.folder import all_files, check_folder, write_plan
    from stripplan.sheets.rows.plan_rows import plan_id

    path, table = job
    with noted() as inputs:
        given = read_toml(path)
        text = toml_from(job_text(table), name="the rest of the job", folder=path.parent)
        rest = job_from(text, name="rest", rack=on_rack is not None)
    check_folder(out, inputs=inputs, former=files_of_earlier_edition)
    rack, wanted, left = None, rest.job, left_to_cut(before, given.data, progress)
    if on_rack is not None:
        rack = RackOfJob(on_rack[0], rest.job, rest.rig, on_rack[1])
        wanted, left = rack.job, rack.left or replace(left, plates=(), pieces=(), cuts=())
    again = plan_again(wanted, rest.rig, left, made_at=made_at())
    made = again.plan if rack is None else rack.named(again.plan)
    files, written = all_files(made, page=page), list[Written]()

    def write() -> None:
        written.append(write_plan(files, out, inputs=inputs, former=files_of_earlier_edition))

    if rack is None:
        write()
    else:
        rack.promise(made, write)
    tell_untouched(written[0])
    units = Units(made.job.units, made.job.inch_fraction)
    for each in again.said:
        say(f"note: {worded(each, units).text}", err=True)
    say(f"note: planned, {len(files)} files in {out}: read setup-sheet.pdf at the rig", err=True)
    if rack is not None:
        say(f"note: pieces of the rack are promised to it; when it is cut: stripplan done {plan_id(made)}", err=True)


def _from_book(plan: str, book_file: Path | None) -> tuple[Plan, str, CutProgress]:
    """A plan, its id, and how far the book says it is."""
    from stripplan.book.day import day_of

    with opened(book_file, writes=False) as book:
        made, tag, _ = plan_named(book, plan)
        return made, tag, day_of(book, tag).progress


_SIDES: Mapping[str, frozenset[Side]] = {
    "": frozenset(("left", "right")),
    "both": frozenset(("left", "right")),
    "left": frozenset(("left",)),
    "right": frozenset(("right",)),
    "none": frozenset(),
}


def _spoilt(texts: tuple[str, ...], plan: Plan) -> tuple[dict[int, frozenset[Side]], dict[Any, tuple[float, float]]]:
    """The sides that cuts have spoilt, by number, and what is still good of pieces [mm]: "13", "13:left",
    "13:left:980x640"."""
    spoilt: dict[int, frozenset[Side]] = {}
    usable: dict[Any, tuple[float, float]] = {}
    for text in texts:
        number, _, said = text.strip().partition(":")
        side, colon, size = said.partition(":")
        cut = int(number) if re.fullmatch("[0-9]{1,6}", number) else 0
        if not 1 <= cut <= len(plan.arcs) or side not in _SIDES or (colon and side not in ("left", "right")):
            raise InputError(Fault("option", "--spoilt", Facts(given=text, most=len(plan.arcs)), says="no_spoilt_cut"))
        spoilt[cut] = spoilt.get(cut, frozenset()) | _SIDES[side]
        if colon:
            long, wide = sizes(size, plan.job.units, (2,))
            usable[cut, side] = long, wide
    return spoilt, usable
