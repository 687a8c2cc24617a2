"""`stripplan rig`: the built-in profile, to look at and to copy."""

from __future__ import annotations

import os
from pathlib import Path

import click

from stripplan.cli.streams import say


@click.group()
def rig() -> None:
    """Show the built-in rig profile, or copy it."""


@rig.command()
def show() -> None:
    """Print the built-in rig profile."""
    from stripplan.files.rig.read import builtin_rig_text

    click.echo(builtin_rig_text(), nl=False)


@rig.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def copy(file: Path, force: bool) -> None:
    """Copy the built-in rig profile to FILE, to put your own figures in."""
    from stripplan.errors import Fault, InputError
    from stripplan.files.rig.read import builtin_rig_text
    from stripplan.sheets.file_writer import write_file

    if not force and os.path.lexists(file):
        raise InputError(Fault("exists", str(file)))
    write_file(file, builtin_rig_text().encode())
    say(f"Wrote {file}. Measure, change the figures, and name it with --rig {file} or in the job.")
