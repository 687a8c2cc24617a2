"""`stripplan plan`: from a job, or plates and a list, to a folder of sheets and drawings."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from stripplan.cli.console_output import is_priced, show_choices, show_job, show_plan
from stripplan.cli.job_and_rig import PlanOptions, job_and_rig
from stripplan.cli.kernel_notice import tell_kernel
from stripplan.cli.list_options import any_file, list_options
from stripplan.cli.rack.opening import book_option
from stripplan.cli.replayed_plan import cautions_option, checked_plan, page_option
from stripplan.cli.source_date import made_at
from stripplan.cli.streams import put, say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched

if TYPE_CHECKING:
    from stripplan.cli.rack.drawing import RackOfJob
    from stripplan.cli.search_watch import SearchWatch
    from stripplan.model.job import Job
    from stripplan.model.plan.choice import Choice
    from stripplan.model.plan.plan import Plan
    from stripplan.model.rig import Rig
    from stripplan.sheets.file_writer import Made, Written
    from stripplan.wording.message import Message


@click.command()
@click.argument("what", nargs=-1, metavar="[JOB.toml ... | PART ...]", shell_complete=any_file)
@click.option(
    "--plate",
    "plates",
    multiple=True,
    metavar="LENGTHxWIDTH[xTHICKNESS][*N]",
    help="A plate, as 2000x1000x6; may be repeated.",
)
@click.option(
    "--list",
    "lists",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="LIST",
    help="A list of parts: CSV, workbook (.xlsx) or drawing (.dxf, .svg); may be repeated.",
)
@list_options
@click.option(
    "--filler",
    "fillers",
    multiple=True,
    metavar="WIDTHxLENGTH[*N]",
    help="A part to make from what is left, as 60x60; may be repeated.",
)
@click.option(
    "--fill",
    type=click.Choice(["scrap", "offcuts", "all"]),
    help="What fillers are taken from; offcuts, if left out: the most valuable one is spared.",
)
@click.option("--material", help="Material of the plates given by --plate.")
@click.option("--trim", metavar="LENGTH", help="Scrap to take off mill edges that would become a part's edge.")
@click.option(
    "--rig",
    metavar="RIG.toml",
    help="Rig file or profile name; left out: the job's, or the built-in one.",
    shell_complete=any_file,
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Folder to write; left out: output/<name of the job>.",
)
@click.option("--rack", is_flag=True, help="Take pieces off the rack too; what the plan uses is reserved for it.")
@book_option
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units of what is typed, and of what is shown.")
@click.option("--seed", type=click.IntRange(0), help="Seed of the search; same seed and steps, same plan.")
@click.option("--steps", type=click.IntRange(0), help="Search steps; more may find a better plan.")
@click.option("--seconds", type=float, help="Cap on the search time.")
@click.option(
    "--good-enough", metavar="SHARE", help="Stop once the cost is proven within this share of the least, as 2%."
)
@click.option(
    "--stop-after",
    type=click.IntRange(0),
    help="Stop after so many steps in all: steps_done of a plan, to get it again.",
)
@click.option(
    "--pin", "pins", multiple=True, metavar="PART=PLATE", help="A part must come from a plate; may be repeated."
)
@click.option(
    "--use-first",
    multiple=True,
    metavar="PLATE",
    help="A plate that is filled before any other is taken, an offcut say; may be repeated.",
)
@click.option(
    "--fence",
    "fences",
    multiple=True,
    metavar="PART=READING",
    help="A reading that the fence stays at for the width of a part; may be repeated.",
)
@click.option("--end-stop", metavar="LENGTH", help="A mark that the end stop stays at, for every cut that it serves.")
@click.option(
    "--aim",
    type=click.Choice(["one_setting", "plate", "time", "few_settings", "light_hands", "plate_by_plate"]),
    help=(
        "What the plan makes least; one_setting, if left out: plate and hands together, with one fence setting for all "
        "parts of a width."
    ),
)
@click.option(
    "--hours-a-day",
    type=click.FloatRange(0, 24, min_open=True),
    metavar="HOURS",
    help="Hours at the rig on each day from Monday to Friday; tells on which day each job is done.",
)
@click.option(
    "--start",
    type=click.DateTime(["%Y-%m-%d"]),
    callback=lambda _context, _option, day: None if day is None else day.date().isoformat(),
    metavar="DATE",
    help="The first of these days, as 2026-12-01; left out: today.",
)
@click.option("--choices", is_flag=True, help="Show several plans to choose from; at a terminal it asks which to make.")
@click.option("--choose", type=click.IntRange(1), metavar="N", help="Make this one of the plans that --choices shows.")
@click.option(
    "--keep",
    type=click.Path(path_type=Path),
    metavar="PLAN.json",
    help="Change as little as can be of a plan of before: its plates and the order of its cuts stay.",
    shell_complete=any_file,
)
@click.option("--partial", is_flag=True, help="Plan the rest where some part cannot be made.")
@page_option
@click.option("--short-sheet", is_flag=True, help="Sheet with a row for each cut instead of a block with a picture.")
@cautions_option
@click.option(
    "--dxf",
    type=click.Choice(["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"], case_sensitive=False),
    default="R2000",
    show_default=True,
    help="Version of the drawings.",
)
@click.option(
    "--json", "as_json", is_flag=True, help="Print plan.json and nothing else; files only where --out is given."
)
@click.option(
    "--explain", is_flag=True, help="Say in full what needs heed, how the proof was got, and all figures of the plan."
)
@click.option("--quiet", is_flag=True, help="Print nothing but faults.")
def plan(**options: Any) -> None:
    """Plan a job and write its setup sheet, drawings and lists.

    Give a job file, several to be planned together, or plates with --plate and the parts as words or
    as a list. A part is WIDTHxQUANTITY for strips as long as the plate, WIDTHxLENGTHxQUANTITY for
    rectangles, with NAME= in front if wanted; behind it :triangle, :ends=45/45 or :corners=20 make it
    a gusset, a strip with slanted ends, a rectangle without its corners:

    \b
      stripplan plan JOB.toml
      stripplan plan GATE.toml SHELF.toml BOX.toml --rack
      stripplan plan --plate 1250x1000x6 50x6 75x4 shelf=120x300x2
      stripplan plan --plate 1250x1000x6 gusset=80x120x8:triangle rail=50x600x2:ends=45/45
      stripplan plan --plate 2000x1000x6 --list parts.csv
      stripplan plan --plate 2000x1000x6 --list frame.dxf --list-units mm
    """
    from stripplan.cli.search_watch import SearchWatch
    from stripplan.files.read_file import noted

    given = PlanOptions(**options)
    table_alone = given.choices and given.as_json
    if table_alone and (given.choose or given.out):
        raise click.UsageError(
            "--choices with --json prints the choices and makes no plan: no --choose or --out with it"
        )
    if given.keep is not None and (given.choices or given.choose):
        raise click.UsageError("--keep leaves nothing to choose: no --choices or --choose with it")
    with noted() as inputs:
        job, rig, rest_of = job_and_rig(given)
    before = None if given.keep is None else checked_plan(given.keep)  # it may be replaced by the new one
    rack, asked = None, job
    if given.from_rack:
        from stripplan.cli.rack.drawing import RackOfJob

        rack = RackOfJob(given.book_file, job, rig, rest_of if given.keep is None else "")
        job = rack.job
    folder = given.out or (None if given.as_json else Path("output") / folder_name(job.name))
    talk = not given.quiet and not given.as_json
    if talk:
        tell_kernel()
        show_job(asked)
    if folder is not None:
        from stripplan.sheets.folder import check_folder

        check_folder(folder, inputs=inputs, former=files_of_earlier_edition)
    watch = SearchWatch(
        line=talk and sys.stderr.isatty(),
        unit=job.currency if is_priced(job) else "m²",
        seconds=job.options.effort.seconds,
    )
    if table_alone:
        put(_choices_text(job, _choices(job, rig, watch)).encode())
        return
    choose = _asked(job, _choices(job, rig, watch), given, talk=talk) if given.choices or given.choose else None
    unused: list[Message] = []
    if rack is not None and rack.left is not None and choose is None:
        made = _again(job, rig, watch, rack.left)
    else:
        made = _planned(job, rig, watch, choose, before, unused.extend if talk else None)
    if before is not None:
        _tell_kept(before, made, lambda: _planned(job, rig, watch, None, None))
    if rack is not None:
        made = rack.named(made)
    with watch.meanwhile("writing the sheets"):
        files = _written(made, folder, given, inputs, rack)
    if given.as_json:
        from stripplan.sheets.plan_json import plan_text

        put(plan_text(made).encode())
    if talk and folder is not None:
        show_plan(made, folder, [path.name for path in files], explain=given.explain, unused=unused)
        if rack is not None:
            rack.show(made)


def _tell_kept(before: Plan, made: Plan, afresh: Callable[[], Plan]) -> None:
    """What of the plan before stayed, and what that costs where planning `afresh` would be cheaper: beside the output,
    not in it.
    """
    from stripplan.planner import dearer_than_afresh, what_was_kept
    from stripplan.wording.show import worded

    stayed = what_was_kept(before, made)
    say(f"note: {worded(stayed).text}", err=True)
    if stayed.facts["kept"] and (dearer := dearer_than_afresh(before, made, afresh())) is not None:
        say(f"note: {worded(dearer).text} (leave out --keep for that)", err=True)


def _planned(
    job: Job,
    rig: Rig,
    watch: SearchWatch,
    choose: Choice | None,
    keep: Plan | None,
    unused: Callable[[tuple[Message, ...]], None] | None = None,
) -> Plan:
    """The plan; on a terminal a line tells how the search gets on, and Ctrl-C ends it with the best so far."""
    from stripplan.planner import plan as front_door

    with watch:
        return front_door(
            job, rig, made_at=made_at(), progress=watch.tell, stop=watch.stop, choose=choose, keep=keep, unused=unused
        )


def _again(job: Job, rig: Rig, watch: SearchWatch, left: Plan) -> Plan:
    """The rest of a plan, of which as little changes as the saving justifies; what changes, and why, is told beside the
    output."""
    from stripplan.planner import plan_again
    from stripplan.wording.show import Units, worded

    with watch:
        again = plan_again(job, rig, left, made_at=made_at(), progress=watch.tell, stop=watch.stop)
    for each in again.said:
        say(f"note: {worded(each, Units(job.units, job.inch_fraction)).text}", err=True)
    return again.plan


def _choices(job: Job, rig: Rig, watch: SearchWatch) -> tuple[Choice, ...]:
    """The plans to choose from; watched as a plan is."""
    from stripplan.planner import choices

    with watch:
        return choices(job, rig, progress=watch.tell, stop=watch.stop)


def _choices_text(job: Job, some: tuple[Choice, ...]) -> str:
    import json

    from stripplan.sheets.rows.job.choices import choices_record

    return json.dumps(choices_record(job, some), ensure_ascii=False, indent=1) + "\n"


def _asked(job: Job, some: tuple[Choice, ...], given: PlanOptions, *, talk: bool) -> Choice:
    """The one that is chosen: by --choose, by the person at a terminal, else the first. Raises InputError for a number
    that is none.
    """
    from stripplan.planner import choice_of_number

    if talk:
        show_choices(job, some)
    number = given.choose
    if number is None:
        asks = talk and len(some) > 1 and sys.stdin.isatty()
        number = click.prompt("  Which one", default=1, type=click.IntRange(1, len(some))) if asks else 1
    chosen = choice_of_number(some, number)
    if talk:
        click.echo(f"\n  made: {chosen.number}")
    return chosen


def _written(
    made: Plan, folder: Path | None, given: PlanOptions, inputs: Iterable[Path], rack: RackOfJob | None
) -> tuple[Path, ...]:
    """Write the files of a plan, and promise it its pieces of the rack in the same step: both, or neither. Sheets are
    made before, so that the book is held for no longer than it takes to write them.
    """
    files: dict[str, Made] = {}
    if folder is not None:
        from stripplan.sheets.folder import all_files

        form: Literal["full", "short"] = "short" if given.short_sheet else "full"
        files = all_files(made, page=given.page, form=form, cautions=given.cautions, dxf_version=given.dxf)
    written: list[Written] = []

    def write() -> None:
        if folder is not None:
            from stripplan.sheets.folder import write_plan

            written.append(write_plan(files, folder, inputs=inputs, former=files_of_earlier_edition))

    if rack is None:
        write()
    else:
        rack.promise(made, write)
    for each in written:
        tell_untouched(each)
    return tuple(path for each in written for path in each.files)


def folder_name(name: str) -> str:
    """A job's name as the name of a folder on any machine.

    >>> folder_name("Gate, 2nd try"), folder_name("../.."), folder_name("CON")
    ('gate-2nd-try', 'job', 'con-1')
    """
    from stripplan.sheets.file_names import plain_name

    return plain_name(name.lower(), instead="job")
