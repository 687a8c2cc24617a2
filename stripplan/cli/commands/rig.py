"""`stripplan rig`: the built-in profile, to look at and to copy."""

from __future__ import annotations

import os
from pathlib import Path

import click

from stripplan.cli.list_options import any_file
from stripplan.cli.streams import say


@click.group()
def rig() -> None:
    """Show the built-in rig profile, or copy it."""


@rig.command()
@click.option(
    "--rig",
    "source",
    metavar="RIG.toml",
    help="Rig file or profile name, with --json; left out: the built-in one.",
    shell_complete=any_file,
)
@click.option("--json", "as_json", is_flag=True, help="Print a profile as data, what it leaves out filled in.")
def show(source: str | None, as_json: bool) -> None:
    """Print the built-in rig profile, or any as data."""
    if as_json:
        from stripplan.cli.as_json import print_json
        from stripplan.files.rig.read import load_rig
        from stripplan.model.plan.record import to_record

        print_json("rig-profile", rig=to_record(load_rig(source)))
        return
    if source is not None:
        raise click.UsageError("--rig goes with --json; a rig file is text that any editor shows")
    from stripplan.files.rig.read import builtin_rig_text

    click.echo(builtin_rig_text(), nl=False)


@rig.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def copy(file: Path, force: bool) -> None:
    """Copy the built-in rig profile to FILE, to put your own figures in."""
    from stripplan.errors import Fault, InputError
    from stripplan.files.rig.read import rig_text_to_fill_in
    from stripplan.sheets.file_writer import write_file

    if not force and os.path.lexists(file):
        raise InputError(Fault("exists", str(file)))
    write_file(file, rig_text_to_fill_in(file.stem).encode())
    say(
        f"Wrote {file}. Measure, put your figures in for those behind a #, and name it with --rig {file} or in the job."
    )
