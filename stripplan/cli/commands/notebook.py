"""`stripplan notebook`: what was measured on the rig, and what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from stripplan.cli.list_options import any_file
from stripplan.cli.notebook_rows import change_rows
from stripplan.cli.screen import Table, show
from stripplan.cli.source_date import made_at
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched

if TYPE_CHECKING:
    from stripplan.model.report import Section
    from stripplan.sheets.rows.notebook import Part


@click.command(short_help="Say what the measurements of a rig mean.")
@click.argument("file", metavar="[NOTEBOOK.toml]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--rig",
    metavar="RIG.toml",
    help="Rig file or profile name; left out: the built-in one.",
    shell_complete=any_file,
)
@click.option("--out", type=click.Path(path_type=Path), metavar="FOLDER", help="Folder for the report and its charts.")
@click.option(
    "--page", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper of the report."
)
@click.option(
    "--add", multiple=True, metavar="ROW", help="Write a row down: 'timed_run mark=4 distance=500 seconds=93.6'."
)
@click.option(
    "--change", multiple=True, metavar="ROW", help="Correct a row, the second of its kind: 'timed_run 2 seconds=94.1'."
)
@click.option(
    "--ignore", multiple=True, metavar="ROW", help="Leave a row out of everything, or take it in again: 'timed_run 2'."
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as data.")
def notebook(
    file: Path | None,
    rig: str | None,
    out: Path | None,
    page: Literal["a4", "letter"],
    add: tuple[str, ...],
    change: tuple[str, ...],
    ignore: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what the measurements in a notebook mean, and which test cut to make next.

    Left out, the notebook is the one that the rig file names. Rows are written into the notebook that is given; its
    text before lies beside it as NAME.bak. Exit status 2: some rows cannot be understood.
    """
    from dataclasses import replace

    from stripplan.files.notebook.read import load_notebook
    from stripplan.files.read_file import noted
    from stripplan.files.rig.read import read_rig
    from stripplan.planner import report
    from stripplan.sheets.rows.notebook import part_of, units_told

    with noted() as inputs:
        read = read_rig(rig)
        profile = read.rig
        if add or change or ignore:
            if file is None:
                raise click.UsageError("Name the notebook to write into: stripplan notebook NOTEBOOK.toml --add ROW")
            change_rows(file, replace(profile, notebook=None), add=add, change=change, ignore=ignore)
        if file is not None:
            profile = replace(profile, notebook=load_notebook(file))
    title = profile.notebook.name if profile.notebook is not None else profile.name
    sections = report(profile, units=read.units)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("notebook-report", name=title, sections=[_as_data(each) for each in sections])
    else:
        say(f"{title}. {units_told(sections)}")
        for section in sections:
            _show(part_of(section))
    if out is not None:
        from stripplan.sheets.file_writer import Made, write_files
        from stripplan.sheets.notebook_files import notebook_files

        files = notebook_files(sections, title=title, page=page, made_at=made_at())
        made = {name: Made(data, "notebook") for name, data in files.items()}
        written = write_files(made, out, stale="notebook", inputs=inputs, former=files_of_earlier_edition)
        tell_untouched(written)
        if not as_json:
            click.echo()
            say(f"Wrote {out}: {', '.join(path.name for path in written.files)}")
    if any(section.problem for section in sections):
        raise click.exceptions.Exit(2)


def _as_data(section: Section) -> dict[str, Any]:
    """A part of the report for programs: what is said and the table in words of its reader's units, all figures as
    facts in mm.
    """
    from stripplan.cli.as_json import said
    from stripplan.sheets.rows.notebook import table, units_of
    from stripplan.wording.message import facts_record

    units = units_of(section)
    cuts = [
        {"process": each.process, "standing": each.standing, "speed": each.speed, "said": said(each.said, units)}
        for each in section.next_cuts
    ]
    return {
        "topic": section.topic,
        "about": section.about,
        "title": said(section.title)["text"],
        "said": [said(each, units) for each in section.said],
        "table": table(section.topic, section.rows, units),
        "rows": [{"facts": facts_record(each)} for each in section.rows],
        "next_cuts": cuts,
        "problem": None if section.problem is None else said(section.problem, units),
    }


def _show(part: Part) -> None:
    click.echo()
    say(part.title)
    for each in part.lines:
        say(f"  {each}")
    if part.table:
        heads, *rows = part.table
        show(Table(heads, tuple(rows)))
    if part.problem is not None:
        say(f"  Cannot be worked out: {part.problem}")
