"""What came out of planning: five lines, what needs heed, how good the plan is; all of it in full where that is asked.

The five lines are what a person asks first: what to take from the rack, how many cuts, how long, what it comes to, what
is left. No line is longer than `screen.MOST`; what does not fit is told in full behind `--explain`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING

from stripplan.cli.screen import INDENT, MOST, ROOM, Block, Items, Line, Table
from stripplan.wording.figures import show_minutes, unit_of_costs
from stripplan.wording.message import Message, facts_from_record
from stripplan.wording.short import cut_short, short_words
from stripplan.wording.show import Units

if TYPE_CHECKING:
    from stripplan.model.plan.plan import Plan, PlanWarning
    from stripplan.sheets.rows.row_types import Sheet

FULL = "--explain says all of it in full"
STANDS_ALONE = "not_planned"
"""Code of what a list holds and the plan does not: nobody may miss it, so it stands before the five lines."""
HIDDEN_BY_PLATE = frozenset({"rests_on_plate_size"})
"""Codes that one line a plate says: the plate is to be measured."""


def result(made: Plan, *, explain: bool = False) -> list[Block]:
    """What came out, as it is shown."""
    from stripplan.sheets.rows.plan_rows import sheet

    rows = sheet(made)
    some = [*_missing(made, rows), *five_lines(made, rows), *_shapes(rows), *_fillers(rows)]
    jobs = _jobs(rows)
    rest = _in_full(made, rows) if explain else _in_short(made, rows)
    return [Line(), *(some if explain else map(on_one_line, some)), *jobs, Line(), *rest]


def on_one_line(block: Block) -> Block:
    """As many of the texts as fit one line behind their name."""
    return replace(block, texts=(_listed(block.texts),)) if isinstance(block, Items) else block


def _in_short(made: Plan, rows: Sheet) -> Iterator[Block]:
    if heed := heeds(made, rows):
        yield Items("heed", tuple(heed), "heed")
    yield Items("proof", (proof_line(made),), "good" if made.proof.plates.proven else "plain")


def _in_full(made: Plan, rows: Sheet) -> Iterator[Block]:
    from stripplan.sheets.rows.job.summary import no_hoist

    hoist = filter(None, [no_hoist(made, rows.cuts)])
    if heed := (*rows.first, *hoist, *rows.measure_first, *rows.warnings):
        yield Items("heed", heed, "heed")
    yield Items("proof", rows.proof)
    if rows.other_order:
        yield Items("instead", (rows.other_order,))
    yield Table((), rows.totals, name="figures")


def _missing(made: Plan, rows: Sheet) -> Iterator[Block]:
    """What is not planned, and parts that are not all made, stand before everything else."""
    for each in made.warnings:
        if each.code == STANDS_ALONE:
            yield Line(f"{' ' * INDENT}{cut_short(each.text, MOST - INDENT)}", "stop")
    short = [f"{row.name}: {row.made} of {row.wanted}" for row in rows.parts if row.made < row.wanted]
    if short:
        yield Items("NOT MADE", tuple(short), "stop")


def _shapes(rows: Sheet) -> Iterator[Block]:
    """What shapes save, where they do."""
    if saved := dict(rows.totals).get("shapes save"):
        yield Items("shapes", (f"save {saved} beside each out of a rectangle of its own",))


def _jobs(rows: Sheet) -> list[Block]:
    """When each of several jobs is done, and what planning them together saves."""
    if not rows.jobs:
        return []
    money = any(each.quoted for each in rows.jobs)
    heads = ("job", "due", "done", "plates", "time", "plate", *(("quoted",) if money else ()))
    cells = tuple(
        (
            each.name, each.due, each.done + (", LATE" if each.late else ""), each.plates, each.time, each.plate,
            *((each.quoted,) if money else ()),
        )
        for each in rows.jobs
    )  # fmt: skip
    table = Table(heads, cells, right=(4, 5, 6) if money else (4, 5))
    return [Line(), table, *([Items("together", (rows.together,))] if rows.together else [])]


def _fillers(rows: Sheet) -> Iterator[Block]:
    made = tuple(f"{row.name}, {row.size}: {row.made} made" for row in rows.parts if row.filler)
    if made:
        yield Items("fillers", made)


# --- five lines -----------------------------------------------------------------------------------------------------


def five_lines(made: Plan, rows: Sheet) -> tuple[Items, ...]:
    """The five, each with all that there is to say."""
    offcuts = [f"{row.piece} {row.size}, {row.mass}" for row in rows.offcuts]
    return (
        Items("take", tuple(_stock(rows)) or ("nothing",)),
        Items("cuts", (_cuts(made),)),
        *_bevels(made),
        Items("time", (_time(made, dict(rows.totals)),)),
        Items("total", (_total(made, rows),)),
        Items("left", tuple(offcuts) or ("nothing",)),
    )


def _listed(things: Sequence[str]) -> str:
    """As many things as fit a line, and how many there are beyond."""
    for count in range(len(things), 0, -1):
        rest = len(things) - count
        text = "; ".join([*things[:count], *([f"and {rest} more"] if rest else [])])
        if len(text) <= ROOM:
            return text
    return cut_short("; ".join(things), ROOM)


def _stock(rows: Sheet) -> list[str]:
    """Plates that are alike in one phrase: how many, which, how large."""
    alike = attrgetter("stock", "size", "material")
    return [
        f"{len(list(group))} × {stock}, {size}" + (f" {material}" if material else "")
        for (stock, size, material), group in groupby(sorted(rows.stock, key=alike), key=alike)
    ]


def _cuts(made: Plan) -> str:
    totals = made.totals
    settings = [f"{_count(totals.fence_settings, 'setting')} of the fence"]
    bar = sum(cut.setup.mitre for cut in made.cuts)
    settings += [f"{bar} of the mitre bar"] if bar else []
    settings += [f"{totals.end_stop_settings} of the end stop"] if totals.end_stop_settings else []
    settings += [_count(totals.process_changes, "change") + " of process"] if totals.process_changes else []
    return f"{_count(len(made.cuts), 'cut')}, {', '.join(settings)}"


def _bevels(made: Plan) -> Iterator[Items]:
    """Bevels after the cuts, and what of them is left for the hand."""
    told = []
    if made.bevels:
        settings = _count(made.totals.tilt_settings, "setting")
        told.append(f"{len(made.bevels)} after the cuts, {settings} of the tilt")
    if made.hand_bevels:
        told.append(f"{len(made.hand_bevels)} by hand")
    if told:
        yield Items("bevels", (", ".join(told),))


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _time(made: Plan, figures: dict[str, str]) -> str:
    rest = sum(cut.rest_before for cut in made.cuts)
    rests = f", {show_minutes(rest)} the power source rests" if rest else ""
    finish = f"; then {figures['edges to finish']} of edges to finish" if made.totals.finish_metres else ""
    arc = f", the arc burns {show_minutes(made.totals.arc_minutes)}"
    return f"{show_minutes(made.totals.minutes)} at the rig{arc}{rests}{finish}"


def _total(made: Plan, rows: Sheet) -> str:
    total = made.total
    quoted = f"; quoted {rows.quoted.total}" if rows.quoted is not None else ""
    if total is None or not total.minute:
        return f"{dict(rows.totals)['plate cost']} of plate{quoted}"
    unit, one = unit_of_costs(total.currency, made.job.currency, made.job.units)
    kept = f" - offcuts kept {total.offcuts / one:.2f}" if total.offcuts else ""
    whole = f"{total.total / one:.2f} {unit}".strip()
    return f"{whole} = plates {total.plates / one:.2f} + time {total.hands / one:.2f}{kept}{quoted}"


# --- how good it is -------------------------------------------------------------------------------------------------


def proof_line(made: Plan) -> str:
    """How good the plan is known to be, in one plain line; how that was found is told where it is asked."""
    plates = made.proof.plates
    if plates.proven:
        said = "fewest plates: proven"
    elif round(plates.bound) >= round(plates.found):
        said = "fewest plates: not proven"
    else:
        said = f"fewest plates: not proven, {plates.bound:.0f} might do"
    if made.total is None or not made.total.minute or made.total.bound <= 0:
        return said
    return f"{said}; {best_hoped_for(made.total.total, made.total.bound)}"


FAR_FROM_BOUND = 0.5
"""A plan that is farther from its bound than this is not told so: bounds of few parts, offcuts and shapes are weak."""


def best_hoped_for(total: float, bound: float) -> str:
    """How far a total may be from what no plan undercuts.

    >>> best_hoped_for(104, 100), best_hoped_for(100, 100)
    ('4 % from the best that could be hoped for in plate and time', 'none is cheaper in plate and time: proven')
    """
    share = (total - bound) / bound
    if share < 5e-4:
        return "none is cheaper in plate and time: proven"
    if share > FAR_FROM_BOUND:  # of plans as good as any: the bound is far below what can be
        return "how near the best in plate and time is not known"
    percent = f"{100 * share:.1f}" if share < 0.01 else f"{100 * share:.0f}"
    return f"{percent} % from the best that could be hoped for in plate and time"


# --- what needs heed ------------------------------------------------------------------------------------------------


def heeds(made: Plan, rows: Sheet) -> list[str]:
    """What needs heed, what may not be overlooked first, each short enough for a line."""
    from stripplan.sheets.rows.job.summary import no_hoist, stands_first

    some = [each for each in _worst_of_part(made.warnings) if each.code != STANDS_ALONE]
    first = [each for each in some if stands_first(each)]
    later = [each for each in some if not stands_first(each)]
    plates = [cut_short(each, ROOM) for each in rows.measure_first]
    hidden = HIDDEN_BY_PLATE if plates else frozenset()
    return [
        *_told_together(made, first),
        *filter(None, [no_hoist(made, rows.cuts)]),
        *plates,
        *_told_together(made, (each for each in later if each.code not in hidden)),
    ]


def _worst_of_part(some: Sequence[PlanWarning]) -> Iterator[PlanWarning]:
    """Without what another says worse of the same dimension: a size beyond its class is not equal either."""
    worse = {(each.about, each.facts.get("dimension")) for each in some if each.code == "size_class"}
    for each in some:
        if each.code != "unequal" or (each.about, each.facts.get("dimension")) not in worse:
            yield each


def _told_together(made: Plan, some: Iterable[PlanWarning]) -> Iterator[str]:
    """A line for each warning; those on many pieces of one part are told once, with their count."""
    part_of = {piece.id: piece.part for piece in made.pieces}
    groups: dict[tuple[str, str], list[PlanWarning]] = {}
    for each in some:
        groups.setdefault((each.code, part_of.get(each.about) or each.text), []).append(each)
    for group in groups.values():
        more = f" And {len(group) - 1} more." if len(group) > 1 else ""
        yield _short(made, group[0], ROOM - len(more)) + more


def _short(made: Plan, warning: PlanWarning, most: int) -> str:
    """The short sentence of a warning where there is one and the plan holds its facts, else what fits of its text."""
    try:
        message = Message(warning.code, warning.about, facts_from_record(warning.facts))
        said = short_words(message, Units(made.job.units, made.job.inch_fraction), most=most)
    except (ValueError, KeyError):  # facts of another edition
        said = None
    return said or cut_short(warning.text, most)
