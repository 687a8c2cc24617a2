"""`stripplan notebook`: what was measured on the rig, and what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from stripplan.cli.console_output import table
from stripplan.cli.notebook_rows import change_rows
from stripplan.cli.source_date import made_at
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched

if TYPE_CHECKING:
    from stripplan.model.report import Section


@click.command()
@click.argument("file", metavar="[NOTEBOOK.toml]", required=False, type=click.Path(path_type=Path))
@click.option("--rig", metavar="RIG.toml", help="Rig file or profile name; left out: the built-in one.")
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
def notebook(
    file: Path | None,
    rig: str | None,
    out: Path | None,
    page: Literal["a4", "letter"],
    add: tuple[str, ...],
    change: tuple[str, ...],
    ignore: tuple[str, ...],
) -> None:
    """Say what the measurements in a notebook mean, and which test cut to make next.

    Left out, the notebook is the one that the rig file names. Rows are written into the notebook that is given; its
    text before lies beside it as NAME.bak. Exit status 2: some rows cannot be understood.
    """
    from dataclasses import replace

    from stripplan.files.notebook.read import load_notebook
    from stripplan.files.read_file import noted
    from stripplan.files.rig.read import load_rig
    from stripplan.model.report import UNITS
    from stripplan.planner import report

    with noted() as inputs:
        profile = load_rig(rig)
        if add or change or ignore:
            if file is None:
                raise click.UsageError("Name the notebook to write into: stripplan notebook NOTEBOOK.toml --add ROW")
            change_rows(file, replace(profile, notebook=None), add=add, change=change, ignore=ignore)
        if file is not None:
            profile = replace(profile, notebook=load_notebook(file))
    title = profile.notebook.name if profile.notebook is not None else profile.name
    sections = report(profile)
    say(f"{title}. {UNITS[sections[0].units if sections else 'mm']}")
    for section in sections:
        _show(section)
    if out is not None:
        from stripplan.sheets.file_writer import Made, write_files
        from stripplan.sheets.notebook_files import notebook_files

        files = notebook_files(sections, title=title, page=page, made_at=made_at())
        made = {name: Made(data, "notebook") for name, data in files.items()}
        written = write_files(made, out, stale="notebook", inputs=inputs, former=files_of_earlier_edition)
        tell_untouched(written)
        click.echo()
        say(f"Wrote {out}: {', '.join(path.name for path in written.files)}")
    if any(section.problem for section in sections):
        raise click.exceptions.Exit(2)


def _show(section: Section) -> None:
    from stripplan.wording.show import Units, worded

    units = Units(section.units)
    click.echo()
    say(worded(section.title).text)
    for each in section.said:
        say(f"  {worded(each, units).text}")
    if section.table:
        for row in table(section.table, right=()):
            say(f"  {row}")
    if section.problem is not None:
        say(f"  Cannot be worked out: {worded(section.problem, units).text}")
