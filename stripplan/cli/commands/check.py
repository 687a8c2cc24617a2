"""`stripplan check`: the independent replay of a plan file, or a list as it would be read."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.list_options import ListOptions, list_files, list_options
from stripplan.cli.replayed_plan import checked_plan
from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.model.job import Units


@click.command()
@click.argument("file", metavar="PLAN.json | LIST", type=click.Path(path_type=Path))
@list_options
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units of what is typed, and of what is shown.")
def check(file: Path, units: Units | None, reading: ListOptions) -> None:
    """Replay a plan file and name its faults, or show a list of parts as it is read.

    A list is CSV, a workbook (.xlsx) or a drawing (.dxf, .svg): its parts are shown, with what else
    is drawn and why that is no part.

    Of a sound plan it says what was not checked.

    Exit status 0: sound; 2: not sound, or not to be read.
    """
    from stripplan.files.parts.read import LISTS

    if file.suffix.lower() in LISTS:
        _show(file, units or "mm", reading)
        return
    given = [*reading.given(), *(["--units"] if units else [])]
    if given:
        raise click.UsageError(f"{given[0]} goes with a list ({', '.join(LISTS)}), and {file.name} is none")
    _replay(file)


def _show(path: Path, units: Units, reading: ListOptions) -> None:
    from stripplan.cli.console_output import show_list
    from stripplan.files.parts.read import DRAWINGS, read_lists

    (file,) = list_files([path], reading, units)
    if path.suffix.lower() in DRAWINGS:  # to show what is no part is what the command is for
        file = replace(file, how=replace(file.how, leave_out=True))
    show_list(read_lists([file], units=units), path.name, units)


def _replay(plan_file: Path) -> None:
    from stripplan.replay.unchecked import not_checked

    made = checked_plan(plan_file)
    counts = {"plates": len(made.plates), "pieces": len(made.pieces), "cuts": len(made.cuts)}
    say(f"{plan_file.name} is sound: " + ", ".join(f"{what} {count}" for what, count in counts.items()) + ".")
    say("Not checked, as the plan alone does not tell:")
    for each in not_checked(made):
        say(f"- {each.words}.")
