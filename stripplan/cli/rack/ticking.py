"""`stripplan tick`: the day's cuts, what lies on the bench, what was measured."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stripplan.cli.rack.cut_numbers import cut_numbers
from stripplan.cli.rack.opening import book_option, json_option, now, opened, plan_named, refused, sizes
from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.book.day import Day, Ticked
    from stripplan.model.plan.plan import Plan
    from stripplan.model.plan.progress import Side


@click.command(short_help="Tick cuts that are made, and say what lies on the bench.")
@click.argument("plan", metavar="PLAN")
@click.argument("cuts", nargs=-1, metavar="[CUTS ...]")
@click.option(
    "--measured",
    multiple=True,
    metavar="SIZE",
    help="What was measured after the last of these cuts; 7=120.2: after cut 7.",
)
@click.option("--minutes", type=click.FloatRange(0), help="Minutes that these cuts took together.")
@click.option(
    "--spoilt",
    type=click.Choice(["left", "right", "both"]),
    help="Which piece the last of them spoilt, as along the travel.",
)
@click.option(
    "--usable",
    multiple=True,
    metavar="SIZE",
    help="What is still good of the piece that was spoilt, once it is trimmed: 980x640; left=980x640 where both were.",
)
@click.option("--note", default="", help="What is to be remembered.")
@click.option("--undo", "take_back", is_flag=True, help="Take ticks back: of these cuts, or all.")
@book_option
@json_option
def tick(
    plan: str,
    cuts: tuple[str, ...],
    measured: tuple[str, ...],
    minutes: float | None,
    spoilt: str | None,
    usable: tuple[str, ...],
    note: str,
    take_back: bool,
    book_file: Path | None,
    as_json: bool,
) -> None:
    """Tick cuts that are made: `stripplan tick PLAN 1-8`. Without cuts it says how far the plan is.

    PLAN is a plan file, or the id of a plan that the book knows. A tick is on the disk when the command ends. Of a cut
    that is ticked the cuts that made its piece count as made too. Bevels are numbered on from the cuts; what one has
    spoilt is its part, whichever side is said.
    """
    from stripplan.book.day import day_of, untick
    from stripplan.book.day import tick as write_down

    with opened(book_file, create=bool(cuts), writes=bool(cuts) or take_back) as book:
        made, tag, text = plan_named(book, plan)
        numbers = sorted({number for each in cuts for number in cut_numbers(each, len(made.arcs), "CUTS")})
        read = _sizes(measured, numbers, made)
        if take_back:
            count = untick(book, tag, numbers or None, now())
            say(f"taken back: {count} cuts" if count != 1 else "taken back: 1 cut")
        elif numbers:
            implied = write_down(
                book, made, tag, text, numbers, now(), minutes=minutes, spoilt=spoilt,
                usable=usable_sizes(usable, spoilt, made), measured=read, note=note,
            )  # fmt: skip
            if implied and not as_json:
                say(f"made too, as they made the pieces: cuts {', '.join(map(str, implied))}")
        elif measured or spoilt or usable or minutes is not None or note:
            raise refused("no_cuts_measured")
        day = day_of(book, tag)
    if as_json:
        from stripplan.cli.as_json import print_json

        print_json("day", **_record(made, tag, day))
    else:
        _show(made, day)


def _sizes(words: Iterable[str], numbers: Sequence[int], plan: Plan) -> dict[int, float]:
    """Measured sizes by cut [mm]; a bare one is of the last cut. Raises InputError."""
    from stripplan.wording.quantity import UnitError, parse_length

    found: dict[int, float] = {}
    for word in words:
        cut, equals, size = word.rpartition("=")
        if not numbers and not equals:
            raise refused("no_cuts_measured")
        number = int(cut) if re.fullmatch("[0-9]{1,6}", cut) else 0 if equals else numbers[-1]
        try:
            mm = parse_length(size, plan.job.units)
        except UnitError:
            raise refused("measured", given=word) from None
        if mm <= 0 or not 1 <= number <= len(plan.arcs):
            raise refused("measured", given=word)
        found[number] = mm
    return found


def usable_sizes(words: Iterable[str], spoilt: str | None, plan: Plan) -> dict[Side, tuple[float, float]]:
    """What is still good of spoilt pieces, by side [mm]; a bare size is of the one that was spoilt. Raises
    InputError."""
    found: dict[Side, tuple[float, float]] = {}
    for word in words:
        side, equals, size = word.strip().rpartition("=")
        side = side if equals else spoilt or ""
        long, wide = sizes(size, plan.job.units, (2,))
        if side == "left":
            found["left"] = long, wide
        elif side == "right":
            found["right"] = long, wide
        else:
            raise refused("usable", given=word)
    return found


def _record(plan: Plan, tag: str, day: Day) -> dict[str, Any]:
    """How far a plan is, as data; lengths in mm."""
    from stripplan.model.plan.lying import cuts_made, lying_there
    from stripplan.model.rack.salvage import salvaged

    done = cuts_made(plan, day.progress)
    left = salvaged(plan, day.progress, done)
    there = [*lying_there(plan, day.progress, done), *(each.piece for each in left)]
    return {
        "plan": tag,
        "job": plan.job.name,
        "cuts": len(plan.cuts),
        "bevels": len(plan.bevels),
        "next": _next(plan, day),
        "ticked": [asdict(each) for each in day.ticked],
        "measured": [asdict(each) for each in day.measured],
        "bench": [{"piece": each.id, "kind": each.kind, "part": each.part, "box": list(each.box)} for each in there],
        "minutes": _minutes(plan, day),
    }


def _next(plan: Plan, day: Day) -> int | None:
    """The first cut or bevel in the order of work that is not made and whose piece was not spoilt; None where none is
    left."""
    from stripplan.model.plan.lying import bevels_made, cuts_made, leaves

    made = cuts_made(plan, day.progress)
    lost = {piece.id for piece, sound in leaves(plan, day.progress, made) if not sound}
    numbers = {cut.number for cut in made}
    gone = {cut.piece for cut in made}
    for cut in plan.cuts:
        if cut.number in numbers:
            continue
        if cut.piece in lost:
            lost |= {name for name in cut.makes if name is not None}
        elif cut.piece not in gone:
            return cut.number
    cut_so_far = {each.number for each in bevels_made(plan, day.progress)}
    left = (each.number for each in plan.bevels if each.number not in cut_so_far and each.piece not in lost)
    return next(left, None)


def _minutes(plan: Plan, day: Day) -> dict[str, float]:
    """Minutes at the rig: planned of all cuts and bevels, planned of those ticked, and of those whose time was said
    planned beside taken."""
    of = {each.number: each.minutes.total for each in plan.arcs}
    timed = [each for each in day.ticked if each.minutes is not None]
    return {
        "planned": round(sum(of.values()), 2),
        "planned_of_ticked": round(sum(of[each.number] for each in day.ticked), 2),
        "planned_of_timed": round(sum(of[each.number] for each in timed), 2),
        "taken_of_timed": round(sum(each.minutes or 0.0 for each in timed), 2),
    }


def _show(plan: Plan, day: Day) -> None:
    from stripplan.cli.screen import Items, Table, show
    from stripplan.wording.quantity import show_length

    record, units = _record(plan, "", day), plan.job.units
    spent = record["minutes"]
    time = f"{spent['planned_of_ticked']:.0f} of {spent['planned']:.0f} min as planned"
    if spent["planned_of_timed"]:
        time += (
            f"; where it was said, {spent['taken_of_timed']:.0f} min taken for {spent['planned_of_timed']:.0f} planned"
        )
    following = f"{_called(plan, record['next'])}" if record["next"] is not None else f"{_all_of(plan)} are made"
    show(
        Items("made", (_so_far(plan, day),)),
        Items("time", (time,)),
        Items("next", (following,)),
    )
    if spoilt := [f"{_called(plan, each.number)}: {_what(plan, each)}" for each in day.ticked if each.spoilt]:
        show(Items("spoilt", tuple(spoilt), "heed"))
    for each in day.measured[-3:]:
        off = each.size - each.expected
        sizes = f"{show_length(each.size, units)} for {show_length(each.expected, units)}"
        show(Items("measured", (f"after cut {each.cut}: {sizes}, {off:+.2f} mm",)))
    if record["bench"]:
        rows = tuple(
            (each["piece"], each["part"] or each["kind"], _box(each["box"], units)) for each in record["bench"]
        )
        show(Table(("there", "", f"size, {units}"), rows))


def _called(plan: Plan, number: int) -> str:
    """A cut or a bevel by its number."""
    return f"cut {number}" if number <= len(plan.cuts) else f"bevel {number}"


def _what(plan: Plan, ticked: Ticked) -> str:
    """What a cut has spoilt, in a word."""
    return ticked.spoilt if ticked.number <= len(plan.cuts) else "its part"


def _all_of(plan: Plan) -> str:
    return "all cuts and bevels" if plan.bevels else "all cuts"


def _so_far(plan: Plan, day: Day) -> str:
    """How many are ticked."""
    bevels = sum(each.number > len(plan.cuts) for each in day.ticked)
    cuts = f"{len(day.ticked) - bevels} of {len(plan.cuts)} cuts"
    return f"{cuts}, {bevels} of {len(plan.bevels)} bevels" if plan.bevels else cuts


def _box(box: Sequence[float], units: str) -> str:
    from stripplan.wording.quantity import show_length

    x0, y0, x1, y1 = box
    return f"{show_length(x1 - x0, units)} × {show_length(y1 - y0, units)}"
