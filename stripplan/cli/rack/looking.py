"""`stripplan rack list`, `value`, `history`, `plans`: what the book says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from stripplan.cli.rack.opening import book_option, json_option, now, opened, pieces_named, sizes, units_option
from stripplan.cli.streams import put, say

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.book.day import Timed
    from stripplan.planner import LearntSeconds


@click.command("list", short_help="List what lies on the rack.")
@click.option("--material", help="Material, grade or family: S235 finds S235JR too.")
@click.option("--thickness", metavar="LENGTH", help="Thickness.")
@click.option("--least", metavar="LENGTHxWIDTH", help="Size that fits onto the piece, either way round.")
@click.option("--text", default="", help="What stands in name, material, batch, place, note, label or job.")
@click.option("--kind", type=click.Choice(["plate", "offcut"]), help="Plates or offcuts alone.")
@click.option("--place", help="Where it lies.")
@click.option("--job", help="What is reserved for a job.")
@click.option("--reserved/--free", default=None, help="What is reserved, or what is not.")
@click.option("--gone", is_flag=True, help="What is used up or written off too.")
@click.option("--csv", "as_csv", is_flag=True, help="Print a list that `stripplan rack read` reads.")
@units_option
@book_option
@json_option
def list_pieces(
    material: str | None,
    thickness: str | None,
    least: str | None,
    text: str,
    kind: str | None,
    place: str | None,
    job: str | None,
    reserved: bool | None,
    gone: bool,
    as_csv: bool,
    units: Literal["mm", "in"],
    book_file: Path | None,
    as_json: bool,
) -> None:
    """List what lies on the rack, and search it."""
    from stripplan.book.pieces import Wanted, wanted_pieces
    from stripplan.cli.rack.rows import piece_record, piece_table, pieces_csv
    from stripplan.cli.screen import show

    size = sizes(least, units, (2,)) if least is not None else None
    wanted = Wanted(
        material=material,
        thickness=None if thickness is None else sizes(thickness, units, (1,))[0],
        least=None if size is None else (size[0], size[1]),
        text=text,
        kind=kind,
        place=place,
        job=job,
        reserved=reserved,
        gone=gone,
    )
    with opened(book_file, writes=False) as book:
        found = wanted_pieces(book, wanted)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-list", pieces=[piece_record(each) for each in found])
    elif as_csv:
        put(pieces_csv(found).encode())
    elif found:
        show(piece_table(found, units))
        say(f"{len(found)} pieces" if len(found) != 1 else "1 piece")
    else:
        say("nothing of that kind lies there")


@click.command(short_help="Say what the rack is worth, and how old it is.")
@click.option("--material", help="Material, grade or family.")
@book_option
@json_option
def value(material: str | None, book_file: Path | None, as_json: bool) -> None:
    """Say what lies there by material and thickness: pieces, area, mass, money, age.

    Pieces without a cost are counted apart: they are in area and mass, not in the money.
    """
    from stripplan.book.pieces import Wanted, wanted_pieces, worth_of
    from stripplan.cli.rack.rows import worth_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        found = worth_of(wanted_pieces(book, Wanted(material=material)))
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-value", rows=[asdict(each) for each in found])
        return
    if not found:
        say("nothing lies there")
        return
    show(worth_table(found, now()))
    bare = sum(each.without_cost for each in found)
    say(
        f"together {sum(each.mass for each in found):.0f} kg, worth {sum(each.cost for each in found):.2f}"
        + (f"; {bare} without a cost" if bare else "")
    )


@click.command(short_help="Say what happened to a piece or a plan.")
@click.argument("what", required=False, metavar="[PIECE | PLAN]")
@click.option("--most", type=click.IntRange(1), default=50, show_default=True, help="So many lines, the newest.")
@book_option
@json_option
def history(what: str | None, most: int, book_file: Path | None, as_json: bool) -> None:
    """Say what happened: to all, to a piece (R12), or with a plan by its id."""
    import re

    from stripplan.book.history import entries
    from stripplan.cli.rack.rows import entry_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        if what and re.fullmatch("[0-9a-f]{8}", what):
            found = entries(book, plan=what, most=most)
        elif what:
            with book.reading() as connection:
                (number, *_) = pieces_named(connection, [what])
            found = entries(book, piece=number, most=most)
        else:
            found = entries(book, most=most)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-history", entries=[asdict(each) for each in found])
    elif found:
        show(entry_table(found))
    else:
        say("nothing happened yet")


@click.command(short_help="Name the plans that the book knows.")
@click.option("--done/--not-done", default=None, help="Plans that are done, or not.")
@book_option
@json_option
def plans(done: bool | None, book_file: Path | None, as_json: bool) -> None:
    """Name the plans that the book knows, which pieces they use, and how far they are."""
    from stripplan.book.plans import kept_plans
    from stripplan.cli.rack.rows import plan_table
    from stripplan.cli.screen import show

    with opened(book_file, writes=False) as book:
        found = kept_plans(book, done=done)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("rack-plans", plans=[asdict(each) for each in found])
    elif found:
        show(plan_table(found))
    else:
        say("no plan is kept")


@click.command(short_help="Say what the work took beside what was planned.")
@click.option("--causes", is_flag=True, help="What each kind of set-up takes, and the figures that follow.")
@book_option
@json_option
def minutes(causes: bool, book_file: Path | None, as_json: bool) -> None:
    """Say what the work took beside what was planned, by what `stripplan tick --minutes` wrote down, and its spread.

    With --causes: how far the figures of the rig file's [seconds] are off by that, each with its spread, and lines to
    put there.
    """
    from stripplan.book.day import factor_of, times
    from stripplan.cli.screen import Table, show

    with opened(book_file, writes=False) as book:
        timed = times(book)
        learnt = _learnt(book, timed) if causes else None
    found = factor_of(timed)
    if as_json:
        from stripplan.cli.as_json import print_json

        factor, spread = found or (None, None)
        more = {} if learnt is None else {"learnt": _record(learnt)}
        ticks = [{**asdict(each), "cuts": each.cuts} for each in timed]
        print_json("rack-minutes", ticks=ticks, factor=factor, spread=spread, **more)
        return
    if found is None:
        say("no time is written down: stripplan tick PLAN 1-8 --minutes 14")
        return
    if learnt is not None:
        _show_learnt(learnt)
        return
    rows = tuple(
        (
            each.made[:16].replace("T", " "),
            each.job,
            each.plan,
            str(each.cuts),
            f"{each.planned:.1f}",
            f"{each.taken:.1f}",
        )
        for each in timed
    )
    show(Table(("when", "job", "plan", "cuts", "planned, min", "taken"), rows, right=(3, 4, 5)))
    about = "" if found[1] is None else f", single ticks ± {found[1]:.2f}"
    say(f"taken {found[0]:.2f} times what was planned{about}")


def _learnt(book: Database, timed: Sequence[Timed]) -> LearntSeconds | None:
    """What the ticks say of each cause; each plan is read once."""
    from stripplan.book.plans import plan_text_of
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import TimedTick, seconds_learnt

    texts = {tag: plan_text_of(book, tag) for tag in dict.fromkeys(each.plan for each in timed)}
    plans = {tag: plan_from(text, name=f"plan {tag}") for tag, text in texts.items() if text is not None}
    return seconds_learnt(
        [
            TimedTick(plan=plans[each.plan], cuts=each.numbers, minutes=each.taken)
            for each in timed
            if each.plan in plans
        ]
    )


def _record(learnt: LearntSeconds) -> dict[str, object]:
    causes = [{**asdict(each), "learnt": each.learnt, "off": each.off} for each in learnt.causes]
    return {**asdict(learnt), "causes": causes}


def _show_learnt(learnt: LearntSeconds) -> None:
    """A table of causes, and lines for the rig file."""
    from stripplan.cli.screen import Table, show

    if not learnt.causes:
        say(f"{learnt.used} ticks with minutes tell too little: go on with stripplan tick PLAN 9-12 --minutes 7")
        return
    rows = tuple(
        (
            each.cause.replace("_", " "),
            f"{each.minutes:.1f}",
            f"{each.factor:.2f}",
            f"± {each.spread:.2f}",
            "off" if each.off else "" if each.learnt else "too little seen",
        )
        for each in learnt.causes
    )
    show(Table(("set-up", "planned, min", "takes, times that", "", ""), rows, right=(1, 2)))
    now, then = asdict(learnt.now), asdict(learnt.learnt)
    changed = [key for key in then if not math.isclose(now[key], then[key], rel_tol=0.05)]
    if not changed:
        say("nothing to change in the rig file")
        return
    say("for the rig file:")
    say("[seconds]")
    for key in changed:
        say(f"{key} = {then[key]:g}  # was {now[key]:g}")


@click.command(short_help="Say whether the rig drifts, by what was measured.")
@click.argument("plans", nargs=-1, metavar="[PLAN ...]")
@click.option("--most", type=click.IntRange(1), default=40, show_default=True, help="So many sizes, the newest.")
@book_option
@json_option
def drift(plans: tuple[str, ...], most: int, book_file: Path | None, as_json: bool) -> None:
    """Say whether the rig drifts, by what `stripplan tick --measured` wrote down, and offer a correction.

    Sizes measured beside those expected, one after the other, on a control chart: an individuals chart with limits by
    the moving range. PLAN is the id of a plan; left out, the newest sizes of all.
    """
    from stripplan.book.day import measured_since
    from stripplan.cli.screen import Table, show
    from stripplan.planner import drift as found_in
    from stripplan.wording.show import worded

    with opened(book_file, writes=False) as book:
        sizes = measured_since(book, plans, most=most)
    off = [(each.size - each.expected, each.on_fence) for each in sizes]
    found = found_in([mm for mm, on in off if on], [mm for mm, on in off if not on])
    if as_json:
        from stripplan.cli.as_json import print_json, said

        print_json(
            "drift",
            measured=[asdict(each) for each in sizes],
            chart=None if found.chart is None else asdict(found.chart),
            correction=found.correction,
            kerf=found.kerf,
            said=[said(each) for each in found.said],
        )
        return
    if sizes:
        rows = tuple(
            (each.plan, str(each.cut), each.piece, f"{each.expected:.2f}", f"{each.size:.2f}", f"{mm:+.2f}")
            for each, (mm, _) in zip(sizes, off, strict=True)
        )
        show(Table(("plan", "cut", "piece", "expected, mm", "measured", "off"), rows, right=(1, 3, 4, 5)))
    for each in found.said:
        say(worded(each).text)
