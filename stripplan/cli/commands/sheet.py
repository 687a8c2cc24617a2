"""`stripplan sheet`: the setup sheet of a plan once more, on other paper or shorter, or some of its cuts."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

import click

from stripplan.cli.replayed_plan import cautions_option, page_option, plan_to_print, unchecked_option
from stripplan.cli.streams import say
from stripplan.cli.written_files import files_of_earlier_edition, tell_untouched


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option(
    "--out",
    metavar="FILE.pdf",
    type=click.Path(path_type=Path),
    help="File to write; left out: setup-sheet.pdf beside the plan, or cuts-40-63.pdf where --cuts is given.",
)
@page_option
@click.option("--short", is_flag=True, help="A row for each cut instead of a block with a picture.")
@cautions_option
@click.option("--cuts", metavar="RANGE", help="These cuts alone, to go on with the work: 40-, 12-20, -8 or 7.")
@unchecked_option
def sheet(
    plan_file: Path,
    out: Path | None,
    page: Literal["a4", "letter"],
    short: bool,
    cautions: Literal["with", "once"],
    cuts: str | None,
    unchecked: bool,
) -> None:
    """Write the setup sheet of a plan again, or some of its cuts."""
    from stripplan.sheets.file_writer import Made, write_one
    from stripplan.sheets.folder import POSTER, sheets
    from stripplan.sheets.pdf.setup_sheet import setup_sheet
    from stripplan.sheets.rows.plan_rows import plan_id

    form: Literal["full", "short"] = "short" if short else "full"
    with plan_to_print(plan_file, unchecked=unchecked) as made:
        if cuts is None:
            files = sheets(made, page=page, form=form, cautions=cautions, checked=not unchecked)
        else:
            first, last = cut_range(cuts, len(made.cuts))
            some = setup_sheet(made, page=page, form=form, cuts=(first, last), checked=not unchecked)
            files = {f"cuts-{first}-{last}.pdf": some}
    for name, data in files.items():
        file = out if out is not None and name != POSTER else (out or plan_file).parent / name
        tell_untouched(
            write_one(file, Made(data, "sheet", plan_id(made)), inputs=[plan_file], former=files_of_earlier_edition)
        )
        say(f"Wrote {file}.")


def cut_range(text: str, count: int) -> tuple[int, int]:
    """First and last of the cuts that are meant, of so many. UsageError where there are none such.

    >>> cut_range("40-", 63), cut_range("-8", 63), cut_range("7", 63), cut_range("12 - 20", 63)
    ((40, 63), (1, 8), (7, 7), (12, 20))
    """
    found = re.fullmatch(r"\s*(\d*)\s*(-?)\s*(\d*)\s*", text)
    if found is None or not (found[1] or found[3]):
        raise click.UsageError(f"--cuts {text}: write 40-, 12-20, -8 or 7.")
    first = int(found[1] or 1)
    last = int(found[3] or count) if found[2] else first
    if not 1 <= first <= last <= count:
        raise click.UsageError(f"--cuts {text}: the plan has cuts 1 to {count}." if count else "The plan has no cut.")
    return first, last
