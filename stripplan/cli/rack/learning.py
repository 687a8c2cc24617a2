"""`stripplan rack minutes`, `drift`: what was ticked and measured teaches of the rig."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.rack.opening import book_option, json_option, opened
from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.book.day import Measured, Timed
    from stripplan.model.plan.plan import Plan
    from stripplan.planner import LearntSeconds


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
    """What the ticks say of each cause."""
    from stripplan.planner import TimedTick, seconds_learnt

    plans = _plans(book, [each.plan for each in timed])
    return seconds_learnt(
        [
            TimedTick(plan=plans[each.plan], cuts=each.numbers, minutes=each.taken)
            for each in timed
            if each.plan in plans
        ]
    )


def _plans(book: Database, tags: Sequence[str]) -> dict[str, Plan]:
    """Plans of the book by their ids; each is read once."""
    from stripplan.book.plans import plan_text_of
    from stripplan.files.plan.read import plan_from

    texts = {tag: plan_text_of(book, tag) for tag in dict.fromkeys(tags)}
    return {tag: plan_from(text, name=f"plan {tag}") for tag, text in texts.items() if text is not None}


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
@click.option(
    "--into",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="NOTEBOOK.toml",
    help="Write what was measured on the fence into the rig's notebook, what stands there left out.",
)
@book_option
@json_option
def drift(plans: tuple[str, ...], most: int, into: Path | None, book_file: Path | None, as_json: bool) -> None:
    """Say whether the rig drifts, by what `stripplan tick --measured` wrote down, and offer a correction.

    Sizes measured beside those expected, one after the other, on a control chart: an individuals chart with limits by
    the moving range. PLAN is the id of a plan; left out, the newest sizes of all. With --into they are fence checks of
    the notebook as well; its text before lies beside it as NAME.bak.
    """
    from stripplan.book.day import measured_since
    from stripplan.cli.screen import Table, show
    from stripplan.planner import drift as found_in
    from stripplan.wording.show import worded

    with opened(book_file, writes=False) as book:
        sizes = measured_since(book, plans, most=most)
        if into is not None:
            _write_down(into, sizes, _plans(book, [each.plan for each in sizes]))
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


def _write_down(notebook: Path, sizes: Sequence[Measured], plans: dict[str, Plan]) -> None:
    """Sizes of pieces that lay on the fence as fence checks of a notebook, all or none."""
    from stripplan.cli.notebook_rows import change_rows
    from stripplan.files.notebook.read import load_notebook

    found = [each for size in sizes for each in _fence_check(size, plans)]
    there = {
        (round(each.reading, 6), round(each.width, 6), each.on, each.process)
        for each in load_notebook(notebook).fence_checks
    }
    new = [each for each in found if each not in there]
    rows = [
        f"fence_check reading='{reading:g} mm' width='{width:g} mm' process='{process}' on={day}"
        for reading, width, day, process in new
    ]
    if rows:
        change_rows(notebook, plans[sizes[-1].plan].rig, add=rows, change=(), ignore=())
    say(
        f"{len(rows)} fence checks written into {notebook.name}, {len(found) - len(rows)} stood there already", err=True
    )


def _fence_check(size: Measured, plans: dict[str, Plan]) -> Iterator[tuple[float, float, str, str]]:
    """Reading, width [mm], day and process of a size that was measured on the fence; nothing of any other."""
    plan = plans.get(size.plan)
    cut = None if plan is None else next((each for each in plan.cuts if each.number == size.cut), None)
    if plan is None or cut is None or cut.fence_reading is None or not size.on_fence:
        return
    process = next(each.process for each in plan.plates if each.id == cut.plate)
    yield round(cut.fence_reading, 6), round(size.size, 6), size.made[:10], process
