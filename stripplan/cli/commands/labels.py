"""`stripplan labels`: labels for parts and offcuts on ordinary label paper."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from stripplan.cli.replayed_plan import plan_to_print, unchecked_option
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched

WHAT = {"all": ("part", "offcut"), "parts": ("part",), "offcuts": ("offcut",)}


@click.command(short_help="Print labels for parts and offcuts.")
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option(
    "--out",
    metavar="FILE.pdf",
    type=click.Path(path_type=Path),
    help="File to write; left out: labels.pdf beside the plan.",
)
@click.option(
    "--grid",
    default="a4-3x8-70x36",
    show_default=True,
    metavar="GRID",
    help="Label paper: a name, or page:columns x rows:width x height:left,top[:pitch x,pitch y].",
)
@click.option(
    "--what", type=click.Choice(list(WHAT)), default="all", show_default=True, help="Pieces that get a label."
)
@click.option(
    "--first",
    type=click.IntRange(1),
    default=1,
    show_default=True,
    help="First place to use, on a sheet that is partly used.",
)
@click.option(
    "--test-page",
    is_flag=True,
    help="Begin with a page of borders and a ruler, to be printed on plain paper and held against the labels.",
)
@unchecked_option
def labels(
    plan_file: Path,
    out: Path | None,
    grid: str,
    what: Literal["all", "parts", "offcuts"],
    first: int,
    test_page: bool,
    unchecked: bool,
) -> None:
    """Print a label for each part and offcut of a plan, with a code that carries the piece.

    The code reads `stripplan:PLAN:PIECE`. Names of grids: see the reference.
    """
    from stripplan.errors import Fault, InputError
    from stripplan.sheets.file_writer import Made, write_one
    from stripplan.sheets.labels.label_sheet import label_sheet
    from stripplan.sheets.labels.labels import labels as drawn
    from stripplan.sheets.rows.plan_rows import plan_id
    from stripplan.wording.message import Facts

    with plan_to_print(plan_file, unchecked=unchecked) as made:
        try:
            sheet, which = label_sheet(grid), WHAT[what]
            data = drawn(made, sheet, which=which, first=first, calibration=test_page, checked=not unchecked)  # type: ignore[arg-type]
        except ValueError as error:
            raise InputError(Fault("labels", "labels", facts=Facts(said=str(error)))) from None
    file = out if out is not None else plan_file.parent / "labels.pdf"
    tell_untouched(
        write_one(file, Made(data, "labels", plan_id(made)), inputs=[plan_file], former=files_of_earlier_edition)
    )
    say(f"Wrote {file}. Print it without scaling.")
