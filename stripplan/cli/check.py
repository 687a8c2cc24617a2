"""`stripplan check`: the independent replay of a plan file."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
def check(plan_file: Path) -> None:
    """Replay a plan file and name its faults.

    Exit status 0: sound; 2: not sound, or not to be read.
    """
    from ..errors import Fault, InputError
    from ..files.plan_json import load_plan
    from ..replay.verdict import replay

    made = load_plan(plan_file)
    findings = replay(made)
    if findings:
        raise InputError([Fault(each.code, "", each.text) for each in findings])
    counts = {"plates": len(made.plates), "pieces": len(made.pieces), "cuts": len(made.cuts)}
    click.echo(f"{plan_file.name} is sound: " + ", ".join(f"{what} {count}" for what, count in counts.items()) + ".")
