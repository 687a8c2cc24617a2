"""`stripplan rest`: what is still wanted of a job that was begun, as a job of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
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
@click.option("--on-rack", is_flag=True, help="What lies on the bench is on the rack: name no plate for it.")
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
    PLAN may be an id that the stock book knows. With --out the rest is planned at once: what changes of the order that
    is left, and why, is said too.
    """
    if out is not None and on_rack:
        raise click.UsageError("--out plans from what lies on the bench: with --on-rack plan the job with --rack")
    from stripplan.cli.replayed_plan import checked_plan
    from stripplan.files.job.write import job_text
    from stripplan.files.toml.document import read_toml
    from stripplan.model.plan.progress import CutProgress
    from stripplan.model.rack.salvage import not_salvaged
    from stripplan.planner import rest_of_job, what_changed

    if ticked or book_file is not None:
        plan, book_progress = _from_book(plan_file, book_file)
    else:
        plan, book_progress = checked_plan(Path(plan_file)), CutProgress()
    most = len(plan.cuts)
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
    if out is not None:
        _planned(plan, (job_file, table), progress, out, page)
    put(job_text(table).encode())


def _planned(
    before: Plan, job: tuple[Path, dict[str, Any]], progress: CutProgress, out: Path, page: Literal["a4", "letter"]
) -> None:
    """The rest planned into a folder, with what changed and why."""
    from stripplan.cli.source_date import made_at
    from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched
    from stripplan.files.job.read import job_from
    from stripplan.files.job.write import job_text
    from stripplan.files.read_file import noted
    from stripplan.files.toml.document import read_toml, toml_from
    from stripplan.planner import left_to_cut, plan_again
    from stripplan.sheets.folder import all_files, check_folder, write_plan

    path, table = job
    with noted() as inputs:
        given = read_toml(path)
        rest = job_from(toml_from(job_text(table), name="the rest of the job", folder=path.parent), name="rest")
    check_folder(out, inputs=inputs, former=files_of_earlier_edition)
    again = plan_again(rest.job, rest.rig, left_to_cut(before, given.data, progress), made_at=made_at())
    written = write_plan(all_files(again.plan, page=page), out, inputs=inputs, former=files_of_earlier_edition)
    tell_untouched(written)
    units = Units(again.plan.job.units, again.plan.job.inch_fraction)
    for each in again.said:
        say(f"note: {worded(each, units).text}", err=True)
    say(f"note: planned, {len(written.files)} files in {out}: read setup-sheet.pdf at the rig", err=True)


def _from_book(plan: str, book_file: Path | None) -> tuple[Plan, CutProgress]:
    """A plan and how far the book says it is."""
    from stripplan.book.day import day_of

    with opened(book_file, writes=False) as book:
        made, tag, _ = plan_named(book, plan)
        return made, day_of(book, tag).progress


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
        if not 1 <= cut <= len(plan.cuts) or side not in _SIDES or (colon and side not in ("left", "right")):
            raise InputError(Fault("option", "--spoilt", Facts(given=text, most=len(plan.cuts)), says="no_spoilt_cut"))
        spoilt[cut] = spoilt.get(cut, frozenset()) | _SIDES[side]
        if colon:
            long, wide = sizes(size, plan.job.units, (2,))
            usable[cut, side] = long, wide
    return spoilt, usable
