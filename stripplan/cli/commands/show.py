"""`stripplan show`: what came out of planning, once more, from the plan's file."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(short_help="Show what came out of a plan again.")
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option(
    "--explain", is_flag=True, help="Say in full what needs heed, how the proof was got, and all figures of the plan."
)
def show(plan_file: Path, explain: bool) -> None:
    """Show what came out of a plan again: the list, five lines, what needs heed, the proof.

    The plan is replayed first; one that is not sound is not shown.
    """
    from stripplan.cli.console_output import show_job
    from stripplan.cli.replayed_plan import checked_plan
    from stripplan.cli.result import FULL, result
    from stripplan.cli.screen import Items
    from stripplan.cli.screen import show as show_blocks

    made = checked_plan(plan_file)
    show_job(made.job)
    show_blocks(*result(made, explain=explain), *(() if explain else (Items("", (FULL,)),)))
