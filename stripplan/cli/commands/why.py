"""`stripplan why`: why a cut stands where it does."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan


@click.command(short_help="Say why cuts stand where they do.")
@click.argument("file", metavar="PLAN.json | JOB.toml", type=click.Path(path_type=Path))
@click.argument("cuts", metavar="[CUT ...]", type=int, nargs=-1)
@click.option("--instead", is_flag=True, help="Say what could be done in place of the cuts, and what it would take.")
@click.option("--json", "as_json", is_flag=True, help="Print the reasons as data.")
def why(file: Path, cuts: tuple[int, ...], instead: bool, as_json: bool) -> None:
    """Say what cuts wait for, why they stand where they do, and what their next best place would cost.

    CUT is a number on the setup sheet; left out, all are told. A plan is read from its file. A job is planned anew, as
    it is: without options of `plan` on the command line.

    With --instead: the best other cut at that place, the same cut set another way, and what is lost and saved without
    it. Orders are worked out anew from there, with a light search.
    """
    from stripplan.planner import instead_of_cut, reasons_for_cuts
    from stripplan.wording.show import Units

    made = _plan(file)
    if instead:
        if not cuts:
            raise click.UsageError("--instead wants the number of a cut")
        reasons = [each for number in cuts for each in instead_of_cut(made, number)]
    else:
        reasons = reasons_for_cuts(made, cuts)
    units = Units(made.job.units, made.job.inch_fraction)
    if as_json:
        from stripplan.cli.as_json import print_json, said

        print_json("why", job=made.job.name, cuts=[said(each, units) for each in reasons])
        return
    from stripplan.cli.screen import Line, show
    from stripplan.wording.show import worded

    show(*(Line(worded(each, units).text) for each in reasons))


def _plan(file: Path) -> Plan:
    if file.suffix.lower() == ".json":
        from stripplan.cli.replayed_plan import checked_plan

        return checked_plan(file)
    from stripplan.files.job.read import load_job
    from stripplan.planner import plan

    return plan(*load_job(file))
