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
    from stripplan.model.plan.plan import Plan


@click.command(short_help="Check a plan file, or show how a list is read.")
@click.argument("file", metavar="PLAN.json | LIST", type=click.Path(path_type=Path))
@list_options
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units of what is typed, and of what is shown.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as data.")
def check(file: Path, units: Units | None, reading: ListOptions, as_json: bool) -> None:
    """Replay a plan file and name its faults, or show a list of parts as it is read.

    A list is CSV, a workbook (.xlsx) or a drawing (.dxf, .svg): its parts are shown, with what else
    is drawn and why that is no part.

    Of a sound plan it says what was not checked.

    Exit status 0: sound; 2: not sound, or not to be read.
    """
    from stripplan.files.parts.read import LISTS

    if file.suffix.lower() in LISTS:
        _show(file, units or "mm", reading, as_json=as_json)
        return
    given = [*reading.given(), *(["--units"] if units else [])]
    if given:
        raise click.UsageError(f"{given[0]} goes with a list ({', '.join(LISTS)}), and {file.name} is none")
    _replay_as_data(file) if as_json else _replay(file)


def _show(path: Path, units: Units, reading: ListOptions, *, as_json: bool) -> None:
    from stripplan.files.parts.read import DRAWINGS, read_lists

    (file,) = list_files([path], reading, units)
    if path.suffix.lower() in DRAWINGS:  # to show what is no part is what the command is for
        file = replace(file, how=replace(file.how, leave_out=True))
    listed = read_lists([file], units=units)
    if not as_json:
        from stripplan.cli.console_output import show_list

        show_list(listed, path.name, units)
        return
    from stripplan.cli.as_json import print_json, said
    from stripplan.cli.console_output import not_planned
    from stripplan.model.plan.record import to_record
    from stripplan.wording.show import Units as Read

    parts = [to_record(each) for each in listed.parts]
    for part, layer in zip(parts, listed.layers, strict=False):
        part["layer"] = layer
    print_json(
        "list",
        file=path.name,
        parts=parts,
        not_planned=not_planned(listed.left_out),
        notes=[said(each, Read(units)) for each in listed.notes],
    )


def _replay_as_data(plan_file: Path) -> None:
    """What was found, also of a plan that is not sound."""
    from stripplan.cli.as_json import print_json, said
    from stripplan.errors import InputError
    from stripplan.replay.unchecked import not_checked

    try:
        made = checked_plan(plan_file)
    except InputError as error:
        print_json("check", file=plan_file.name, sound=False, faults=[said(each) for each in error.faults])
        raise click.exceptions.Exit(2) from None
    rest = [each.words for each in not_checked(made)]
    print_json("check", file=plan_file.name, sound=True, faults=[], **_counts(made), not_checked=rest)


def _counts(made: Plan) -> dict[str, int]:
    return {"plates": len(made.plates), "pieces": len(made.pieces), "cuts": len(made.cuts)}


def _replay(plan_file: Path) -> None:
    from stripplan.replay.unchecked import not_checked

    made = checked_plan(plan_file)
    counts = _counts(made)
    say(f"{plan_file.name} is sound: " + ", ".join(f"{what} {count}" for what, count in counts.items()) + ".")
    say("Not checked, as the plan alone does not tell:")
    for each in not_checked(made):
        say(f"- {each.words}.")
