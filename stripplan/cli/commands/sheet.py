"""`stripplan sheet`: the setup sheet of a plan once more, on other paper or shorter."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from stripplan.cli.replayed_plan import plan_to_print, unchecked_option
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option(
    "--out",
    metavar="FILE.pdf",
    type=click.Path(path_type=Path),
    help="File to write; left out: setup-sheet.pdf beside the plan.",
)
@click.option(
    "--page", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper of the sheet."
)
@click.option("--short", is_flag=True, help="A row for each cut instead of a block with a picture.")
@unchecked_option
def sheet(plan_file: Path, out: Path | None, page: Literal["a4", "letter"], short: bool, unchecked: bool) -> None:
    """Write the setup sheet of a plan again."""
    from stripplan.sheets.file_writer import Made, write_one
    from stripplan.sheets.pdf.setup_sheet import setup_sheet
    from stripplan.sheets.rows.plan_rows import plan_id

    with plan_to_print(plan_file, unchecked=unchecked) as made:
        data = setup_sheet(made, page=page, form="short" if short else "full", checked=not unchecked)
    file = out if out is not None else plan_file.parent / "setup-sheet.pdf"
    tell_untouched(
        write_one(file, Made(data, "sheet", plan_id(made)), inputs=[plan_file], former=files_of_earlier_edition)
    )
    say(f"Wrote {file}.")
