"""`stripplan done`, `undo`, `buy`: a plan is cut, taken back, or wants plates."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.rack.opening import book_option, json_option, now, opened, plan_named
from stripplan.cli.streams import put, say

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.book.plans import KeptPlan
    from stripplan.model.plan.plan import Plan
    from stripplan.model.rack.buying import ToBuy
    from stripplan.planner.rack.larger import Larger


@click.command(short_help="Say that a plan is cut: its offcuts go onto the rack.")
@click.argument("plan", metavar="PLAN")
@click.option("--place", default="", help="Where its offcuts lie.")
@click.option("--so-far", is_flag=True, help="It is cut as far as its cuts are ticked, and no further.")
@book_option
def done(plan: str, place: str, so_far: bool, book_file: Path | None) -> None:
    """Say that a plan is cut: its pieces of the rack are used up, and its offcuts that are worth keeping lie there.

    PLAN is a plan file, or the id of a plan that was planned with --rack. `stripplan undo PLAN` takes it back.
    """
    from stripplan.book.plans import finish
    from stripplan.cli.rack.rows import piece_table
    from stripplan.cli.screen import show
    from stripplan.model.rack.piece import numbers_said

    with opened(book_file, create=True) as book:
        made, tag, text = plan_named(book, plan)
        became = finish(book, made, tag, text, now(), place=place, so_far=so_far)
    of = became.outcome
    if became.used:
        say(f"used up: {numbers_said(each.number for each in became.used)}")
    if bought := len(of.begun) - len(became.used):
        say(f"bought and cut: {bought} plates" if bought != 1 else "bought and cut: 1 plate")
    if became.released:
        say(f"not touched, free again: {numbers_said(became.released)}")
    shares = ", ".join(
        f"{name} {area / of.plate_area:.1%}"
        for name, area in (
            ("parts", of.area("part")), ("offcuts kept", of.area("offcut")), ("scrap", of.area("scrap")),
            ("kerf", of.kerf_area),
        )
    )  # fmt: skip
    if of.plate_area:
        say(f"of the plates: {shares}")
    if became.offcuts:
        say("onto the rack; write the number on each:")
        show(piece_table(became.offcuts, made.job.units))


@click.command(short_help="Take back that a plan is done, or what it was promised.")
@click.argument("plan", metavar="PLAN")
@book_option
def undo(plan: str, book_file: Path | None) -> None:
    """Take back what `stripplan done` did: the pieces are there again and promised to the plan, its offcuts are not.

    A plan that is not done gives back what it was promised, and the book forgets it. PLAN is its id or its file.
    """
    from stripplan.book.plans import undo as take_back
    from stripplan.model.rack.piece import numbers_said

    with opened(book_file) as book:
        kept = take_back(book, plan_id_named(book, plan), now())
    pieces = numbers_said(kept.plates.values())
    if kept.done:
        say(f"plan {kept.id} of {kept.job} is to be cut again" + (f"; promised to it: {pieces}" if pieces else ""))
    else:
        say(f"plan {kept.id} of {kept.job} is forgotten" + (f"; free again: {pieces}" if pieces else ""))


@click.command(short_help="List the plates that plans need and the rack has not.")
@click.argument("plans", nargs=-1, metavar="[PLAN ...]")
@click.option(
    "--larger", is_flag=True, help="Plan each of them with sheets one size larger too, and say what that spares."
)
@click.option("--csv", "as_csv", is_flag=True, help="Print the list as CSV.")
@book_option
@json_option
def buy(plans: tuple[str, ...], larger: bool, as_csv: bool, book_file: Path | None, as_json: bool) -> None:
    """List the plates that plans need and the rack has not: how many, kilograms, cost, and for which jobs.

    PLAN is an id or a plan file; left out, all plans of the book that are not done.
    """
    from stripplan.book.plans import kept_plans, plates_there
    from stripplan.model.rack.buying import to_buy

    with opened(book_file, writes=False) as book:
        kept = {each.id: each for each in kept_plans(book)}
        names = plans or tuple(each.id for each in kept.values() if not each.done)
        several = [plan_named(book, each) for each in names]
        needed = to_buy([(made, plates_there(book, tag)) for made, tag, _ in several])
    if as_json:
        from stripplan.cli.as_json import print_json

        more = (
            [asdict(each) for made, tag, _ in several if (each := _larger(made, tag, kept)) is not None]
            if larger
            else []
        )
        print_json("buying-list", plates=[asdict(each) for each in needed], **({"larger": more} if larger else {}))
    elif as_csv:
        put(_buying_csv(needed).encode())
    elif needed:
        _show(needed)
        for made, tag, _ in several if larger else ():
            say(_larger_said(made.job.name, _larger(made, tag, kept)))
    else:
        say("nothing is to be bought")


def _larger(made: Plan, tag: str, kept: Mapping[str, KeptPlan]) -> Larger | None:
    from stripplan.planner import one_larger

    return one_larger(made, kept[tag].plates if tag in kept else {})


def _larger_said(job: str, found: Larger | None) -> str:
    """What larger sheets come to, in one line."""
    if found is None:
        return f"{job}: nothing to compare with larger sheets"
    sheets = ", ".join(f"{length:g} × {width:g}" for length, width in found.sizes)
    bought = f"{found.plates[1]} of {sheets}, {found.mass[1] - found.mass[0]:+.1f} kg"
    bought += f", {found.cost[1] - found.cost[0]:+.2f} to pay" if found.cost else ""
    spared = found.total[0] - found.total[1]
    verdict = f"spares {spared:.2f}" if spared > 0 else f"costs {-spared:.2f} more"
    return f"{job}: {bought}; with time and what is left counted it {verdict}"


def plan_id_named(book: Database, plan: str) -> str:
    """The id of a plan that is named by it, by how it begins, or by its file. Raises InputError."""
    import re

    from stripplan.book.plans import whole_id
    from stripplan.files.plan.read import load_plan
    from stripplan.sheets.rows.plan_rows import plan_id

    if re.fullmatch("[0-9a-f]{4,8}", plan) and not Path(plan).exists():
        return whole_id(book, plan)
    return plan_id(load_plan(plan))


def _buying_csv(needed: Sequence[ToBuy]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("quantity", "length", "width", "thickness", "material", "kg", "cost", "jobs"))
    for each in needed:
        cost = "" if each.cost is None else f"{each.cost:.2f}"
        size = (f"{side:.10g}" for side in (each.length, each.width, each.thickness))
        writer.writerow((each.count, *size, each.material, f"{each.mass:.1f}", cost, ", ".join(each.jobs)))
    return out.getvalue()


def _show(needed: Sequence[ToBuy]) -> None:
    from stripplan.cli.screen import Table, show

    rows = tuple(
        (
            str(each.count),
            f"{each.length:g} × {each.width:g} × {each.thickness:g}",
            each.material,
            f"{each.mass:.1f}",
            "" if each.cost is None else f"{each.cost:.2f}",
            ", ".join(each.jobs),
        )
        for each in needed
    )
    show(Table(("n", "size, mm", "material", "kg", "cost", "for"), rows, right=(0, 3, 4)))
    money = sum(each.cost or 0.0 for each in needed)
    say(f"together {sum(each.mass for each in needed):.1f} kg" + (f", {money:.2f}" if money else ""))
