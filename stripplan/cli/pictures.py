"""`stripplan pictures`: the order of work as pictures that move, and single steps."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), metavar="FOLDER", help="Folder to write.")
@click.option("--steps", is_flag=True, help="Also a still picture of the plate before each cut.")
def pictures(plan_file: Path, out: Path, steps: bool) -> None:
    """Write one SVG for each plate that plays its cuts in order, to look at in a browser."""
    from ..files.plan_json import load_plan
    from ..sheets.folder import write_files
    from ..sheets.sequence import sequence_svg, step_svg

    made = load_plan(plan_file)
    cut_up = {cut.plate for cut in made.cuts}
    files = {
        f"sequence-{each.id}.svg": sequence_svg(made, each.id).encode() for each in made.plates if each.id in cut_up
    }
    if steps:
        files |= {f"step-{cut.number}.svg": step_svg(made, cut.number).encode() for cut in made.cuts}
    written = write_files(files, out)
    click.echo(f"Wrote {len(written)} pictures in {out}.")
