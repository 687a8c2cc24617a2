"""What is told of files that were written, and what earlier editions wrote."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from stripplan.cli.streams import say
from stripplan.errors import InputError

if TYPE_CHECKING:
    from stripplan.sheets.file_writer import Entry, Written


@cache
def files_of_earlier_edition(place: Path) -> Mapping[str, Entry]:
    """Files in a folder without list that the plan there gives again."""
    from stripplan.files.plan.read import load_plan
    from stripplan.sheets.folder import recognised

    try:
        return recognised(place, load_plan(place / "plan.json"))
    except (InputError, ValueError, KeyError, LookupError, ArithmeticError):
        return {}  # a plan that cannot be drawn: no file of this folder is known to be ours


def tell_untouched(written: Written) -> None:
    """What was not touched: beside the output, not in it."""
    for each in written.left:
        say(f"note: {each.sentence()}", err=True)
