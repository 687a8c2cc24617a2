"""`stripplan pictures`: plates and the order of work as pictures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.replayed_plan import plan_to_print, unchecked_option
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan


@click.command(short_help="Write pictures that play the cuts in order.")
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), metavar="FOLDER", help="Folder to write.")
@click.option("--steps", is_flag=True, help="Also a still picture of the plate before each cut.")
@click.option("--png", "as_png", is_flag=True, help="Plates and steps as PNG, for messages; nothing moves in these.")
@click.option(
    "--width", type=click.IntRange(100, 10_000), default=1600, show_default=True, help="Width of a PNG in pixels."
)
@unchecked_option
def pictures(plan_file: Path, out: Path, steps: bool, as_png: bool, width: int, unchecked: bool) -> None:
    """Write one SVG for each plate that plays its cuts in order, to look at in a browser."""
    from stripplan.sheets.file_writer import Made, write_files
    from stripplan.sheets.paper.stamp import stamped_svg
    from stripplan.sheets.rows.plan_rows import plan_id

    with plan_to_print(plan_file, unchecked=unchecked) as made:
        drawn = _still(made, steps=steps) if as_png else _played(made, steps=steps)
        svgs = {name: stamped_svg(svg) if unchecked else svg for name, svg in drawn}
        if as_png:
            from stripplan.sheets.picture.png import png

            files = {f"{name}.png": png(svg, width=width) for name, svg in svgs.items()}
        else:
            files = {f"{name}.svg": svg.encode() for name, svg in svgs.items()}
        shown = plan_id(made)
    pictures = {name: Made(data, "pictures", shown) for name, data in files.items()}
    written = write_files(pictures, out, stale="pictures", inputs=[plan_file], former=files_of_earlier_edition)
    tell_untouched(written)
    say(f"Wrote {len(written.files)} pictures in {out}.")


def _still(made: Plan, *, steps: bool) -> Iterator[tuple[str, str]]:
    """Name and SVG of each plate, and of each step where they are wanted."""
    from stripplan.sheets.folder import plate_names
    from stripplan.sheets.picture.svg import plate_picture

    names = plate_names(made)
    yield from ((f"plate-{names[each.id]}", plate_picture(made, each.id)) for each in made.plates)
    yield from _steps(made, steps=steps)


def _played(made: Plan, *, steps: bool) -> Iterator[tuple[str, str]]:
    """Name and moving SVG of each plate that is cut, and still ones of each step where they are wanted."""
    from stripplan.sheets.folder import plate_names
    from stripplan.sheets.picture.order_of_work.animation import sequence_svgs

    names = plate_names(made)
    yield from ((f"sequence-{names[plate]}", svg) for plate, svg in sequence_svgs(made))
    yield from _steps(made, steps=steps)


def _steps(made: Plan, *, steps: bool) -> Iterator[tuple[str, str]]:
    from stripplan.sheets.picture.order_of_work.step import step_svgs

    if steps:
        yield from ((f"step-{number}", svg) for number, svg in step_svgs(made))
