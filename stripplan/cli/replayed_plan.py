"""A plan that is read from its file to be printed: replayed first, so that nothing unsound gets to the rig."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan

page_option = click.option(
    "--page", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper of the sheet."
)
cautions_option = click.option(
    "--cautions",
    type=click.Choice(["with", "once"]),
    default="with",
    show_default=True,
    help="Cautions with the sheet, or once: as cautions.pdf, a poster for the rig that each sheet points to.",
)
unchecked_option = click.option(
    "--unchecked", is_flag=True, help="Print a plan that is not sound all the same, with NOT CHECKED on every page."
)


def plan_in(plan_file: Path) -> Plan:
    """The plan in a file; or of the stock book, where no file is called so, and it is the beginning of an id. Raises
    InputError.
    """
    from stripplan.files.plan.read import load_plan, plan_from

    if re.fullmatch("[0-9a-f]{4,8}", str(plan_file)) and not plan_file.exists():
        from stripplan.book.database import Database, usual_book
        from stripplan.book.plans import plan_text_of, whole_id

        if (path := usual_book()).exists():
            with Database(path, create=False, writes=False) as book:
                tag = whole_id(book, str(plan_file))
                return plan_from(plan_text_of(book, tag) or "", name=f"plan {tag}")
    return load_plan(plan_file)


def checked_plan(plan_file: Path) -> Plan:
    """A plan that the replay finds sound, by its file or its id. Raises InputError with every fault that it finds."""
    from stripplan.errors import InputError
    from stripplan.replay.verdict import replay

    made = plan_in(plan_file)
    if findings := replay(made):
        raise InputError(each.fault() for each in findings)
    return made


@contextmanager
def plan_to_print(plan_file: Path, *, unchecked: bool) -> Iterator[Plan]:
    """A sound plan; with `unchecked` any plan that can be read, and what cannot be drawn of it is refused."""
    from stripplan.errors import Fault, InputError, StripplanError
    from stripplan.wording.message import Facts

    if not unchecked:
        try:
            made = checked_plan(plan_file)
        except InputError as error:
            facts = Facts(file=plan_file.name)
            raise InputError([*error.faults, Fault("not_printed", "", facts=facts)]) from None
        yield made
        return
    made = plan_in(plan_file)
    try:
        yield made
    except (StripplanError, click.ClickException):
        raise
    except Exception as error:  # drawing leans on what the replay would have found
        facts = Facts(kind=type(error).__name__)
        raise InputError(Fault("not_drawn", plan_file.name, facts=facts)) from None
