"""`stripplan rest`: what is still wanted of a job that was begun, as a job of its own."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.streams import put
from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts

if TYPE_CHECKING:
    from stripplan.model.plan.progress import Side


@click.command(short_help="Print the job for what is still wanted.")
@click.argument("job_file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option("--done", multiple=True, metavar="CUTS", help="Cuts that were made: 1-12, or 7. May be given again.")
@click.option(
    "--spoilt",
    multiple=True,
    metavar="CUT[:SIDE]",
    help="A cut that went wrong, and which piece beside it is lost, as seen along the travel: left, right, none, or "
    "both where nothing is said. May be given again.",
)
def rest(job_file: Path, plan_file: Path, done: tuple[str, ...], spoilt: tuple[str, ...]) -> None:
    """Print the job for what is still wanted of a plan that was begun.

    Parts that lie there are made; blanks and offcuts are plates now; what was spoilt is neither. What is printed is a
    job file: put it beside JOB.toml, and plan it.

    A cut that was made had its piece to cut: the cuts before it that made that piece count as done too.
    """
    from stripplan.cli.replayed_plan import checked_plan
    from stripplan.files.job.write import job_text
    from stripplan.files.toml.document import read_toml
    from stripplan.model.plan.progress import CutProgress
    from stripplan.planner import rest_of_job

    plan = checked_plan(plan_file)
    most = len(plan.cuts)
    progress = CutProgress(
        done=frozenset(number for each in done for number in _numbers(each, most)),
        spoilt=dict(_spoilt(each, most) for each in spoilt),
    )
    put(job_text(rest_of_job(plan, read_toml(job_file).data, progress)).encode())


def _numbers(text: str, most: int) -> Iterable[int]:
    """Numbers of cuts: "7", or "1-12" with both ends."""
    found = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", text.strip())
    first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
    if not 1 <= first <= last <= most:
        raise InputError(Fault("option", "--done", facts=Facts(given=text, most=most), says="no_such_cuts"))
    return range(first, last + 1)


def _spoilt(text: str, most: int) -> tuple[int, frozenset[Side]]:
    """The number of a cut and the sides that it spoilt: "13", "13:left"."""
    number, _, side = text.strip().partition(":")
    sides: dict[str, frozenset[Side]] = {
        "": frozenset(("left", "right")),
        "both": frozenset(("left", "right")),
        "left": frozenset(("left",)),
        "right": frozenset(("right",)),
        "none": frozenset(),
    }
    if not re.fullmatch("[0-9]{1,6}", number) or not 1 <= int(number) <= most or side not in sides:
        raise InputError(Fault("option", "--spoilt", facts=Facts(given=text, most=most), says="no_spoilt_cut"))
    return int(number), sides[side]
