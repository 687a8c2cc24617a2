"""`stripplan why`: why a cut stands where it does."""

from __future__ import annotations

from pathlib import Path

import click

from stripplan.cli.streams import say


@click.command()
@click.argument("job_file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.argument("cuts", metavar="CUT ...", type=int, nargs=-1, required=True)
def why(job_file: Path, cuts: tuple[int, ...]) -> None:
    """Say why cuts stand where they do, and what their next best place would cost.

    CUT is a number on the setup sheet of the job as it is: without options of `plan` on the command line.
    """
    from stripplan.files.job.read import load_job
    from stripplan.planner import why as sentences

    for sentence in sentences(*load_job(job_file), cuts):
        say(sentence)
