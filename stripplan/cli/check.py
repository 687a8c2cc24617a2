"""`stripplan check`: the independent replay of a plan file."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
def check(plan_file: Path) -> None:
    """Check a plan file by replaying it: every fault in a sentence, exit status 2 if there is one."""
    from ..errors import Fault, InputError
    from ..files.plan_json import load_plan
    from ..replay.verdict import replay

    made = load_plan(plan_file)
    findings = replay(made)
    if findings:
        raise InputError([Fault(each.code, "", each.text) for each in findings])
    click.echo(f"{plan_file.name}: sound. {len(made.cuts)} cuts on {len(made.plates)} plates, {len(made.pieces)} pieces.")
