"""Plan to the rows that paper, page and terminal show alike: plain strings in the job's units."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from stripplan.model.part import Part, Shape
from stripplan.model.plan.older_editions import is_first
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import (
    Accuracy,
    AsRectangles,
    Bound,
    ExpectedOfShape,
    PartLine,
    Plan,
    PlanPlate,
    TotalCost,
)
from stripplan.model.plan.quotation import CostLine
from stripplan.sheets.plan_json import filed_record
from stripplan.sheets.rows.bevels import bevel_groups, bevel_totals, bevel_trueness, hand_rows
from stripplan.sheets.rows.cuts import cut_rows, lifting
from stripplan.sheets.rows.forms import detail_of, form_of, is_box, is_mirrored
from stripplan.sheets.rows.jobs import job_rows, together_words
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.part_notes import notes_of
from stripplan.sheets.rows.row_types import (
    CutRow,
    Fall,
    Field,
    Lie,
    Measure,
    OffcutRow,
    PartRow,
    PlateMark,
    Quoted,
    RunRow,
    Setting,
    Sheet,
    StockRow,
    Torch,
)
from stripplan.sheets.rows.runs import plate_marks, run_rows
from stripplan.sheets.rows.summary import assumed_times, other_order, warnings
from stripplan.sheets.rows.torch import PROVED, kerf_known
from stripplan.sheets.worked_out_once import once_a_plan
from stripplan.wording.figures import KG_PER_LB, show_about, show_exact, show_fine, show_minutes, unit_of_costs
from stripplan.wording.message import Facts, Message
from stripplan.wording.show import Units, worded

__all__ = [
    "CutRow", "Fall", "Field", "Lie", "Measure", "OffcutRow", "PartRow", "PlateMark", "RunRow", "Setting", "Sheet",
    "StockRow", "Torch", "plan_id", "sheet", "sheet_of_cuts",
]  # fmt: skip


@once_a_plan
def sheet(plan: Plan) -> Sheet:
    """Rows of a whole plan."""
    bench = Bench(plan)
    cuts, said = cut_rows(bench), bool(_most_of_all(bench))
    return Sheet(
        job=plan.job.name,
        plan=plan_id(plan),
        units=bench.units,
        made_at=plan.made_at or "",
        stock=tuple(_stock(bench, plate) for plate in plan.plates),
        cuts=cuts,
        runs=run_rows(bench, cuts),
        parts=tuple(_part(bench, line, said=said) for line in plan.parts),
        offcuts=tuple(_offcut(bench, piece) for piece in plan.pieces if piece.kind == "offcut"),
        measure_first=_measure_first(bench),
        first=warnings(plan, first=True),
        warnings=warnings(plan, first=False),
        totals=_totals(bench),
        proof=_proof(bench),
        other_order=other_order(bench),
        assumed_times=assumed_times(bench),
        settings=_settings(bench),
        measured=tuple(_measured(plan)),
        quoted=_quoted(plan),
        two_person_mass=bench.mass(plan.rig.two_person_mass),
        square_side=_SQUARE[plan.rig.square_side],
        marks=tuple(plate_marks(bench)),
        lasts=show_about(plan.totals.minutes),
        jobs=job_rows(plan),
        together=together_words(plan),
        bevels=bevel_groups(bench),
        by_hand=hand_rows(bench),
        of_all_sizes=_of_all_sizes(bench),
        kept_from=_kept_from(bench),
    )


def sheet_of_cuts(plan: Plan, first: int, last: int) -> Sheet:
    """Rows of a plan with some of its cuts alone, to go on with the work: at the first of them everything is to be set,
    and the end stop proved. ValueError where there is no such cut."""
    if not 1 <= first <= last <= len(plan.cuts):
        raise ValueError(f"cuts {first} to {last}: the plan has cuts 1 to {len(plan.cuts)}")
    bench = Bench(plan)
    begin, *others = cut_rows(bench, first, last)
    fields: dict[str, Any] = {
        key: replace(value, changed=True) for key, value in vars(begin).items() if isinstance(value, Field)
    }
    rows = (replace(begin, **fields, dry_run=PROVED), *others)
    whole = sheet(plan)
    bevels = whole.bevels if last == len(plan.cuts) else ()  # they follow the last of the cuts
    return replace(whole, cuts=rows, runs=run_rows(bench, rows), bevels=bevels, by_hand=())


_SQUARE = {"fence": "right, on the fence", "far": "left, away from the fence", "equal": "both alike"}
"""By the rig's `square_side`, as seen along the travel."""


def plan_id(plan: Plan) -> str:
    """Eight characters that change whenever anything in the plan file changes but its date."""
    record = {key: value for key, value in filed_record(plan).items() if key != "made_at"}
    text = json.dumps(record, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


# --- the job ------------------------------------------------------------------------------------------------------


def _stock(bench: Bench, plate: PlanPlate) -> StockRow:
    root = next(piece for piece in bench.pieces.values() if piece.plate == plate.id and piece.parent is None)
    given = next((each for each in bench.plan.job.plates if each.name == plate.stock), None)
    notes = [plate.piece] if plate.piece not in ("", plate.stock) else []
    notes += [f"lies: {plate.lies}"] if plate.lies else []
    notes += ["to be bought"] if not plate.piece and any(each.piece for each in bench.plan.plates) else []
    notes += ["offcut"] if given is not None and given.offcut else []
    notes += [] if plate.measured else ["nominal size, not measured"]
    notes += [given.note] if given is not None and given.note else []
    if root.id not in bench.cut_in:
        notes.append(f"no cut: it is {bench.name(root) or root.kind} as it stands")
    return StockRow(
        plate=plate.id,
        stock=plate.stock,
        size=f"{bench.long(plate.length)} × {bench.long(plate.width)} × {show_exact(plate.thickness, bench.units)}",
        material=plate.material,
        mass=bench.mass(plate.mass),
        lifting=lifting(bench, root),
        note="; ".join(notes),
    )


def _part(bench: Bench, line: PartLine, *, said: bool) -> PartRow:
    width, length = line.size_wanted
    given = next((each for each in bench.plan.job.parts if each.name == line.name), None)
    allowance = 0.0 if given is None else given.allowance
    form = form_of(given.outline).word if isinstance(given, Shape) else ""
    detail = detail_of(given.outline, bench.long) if isinstance(given, Shape) else ""
    wanted = f"{bench.long(length) if length is not None else 'as the plate'} × {bench.long(width)}"
    ends = 0.0 if length is None else allowance
    return PartRow(
        name=line.name,
        wanted=line.wanted,
        made=line.made,
        size=f"{form} {wanted}".strip(),
        as_cut=f"cut {bench.long(allowance)} over on each edge" + ("" if ends else ", length as it comes")
        if allowance
        else "",
        expected=tuple(
            f"{show_fine(each[1], bench.units)} × {show_fine(each[0], bench.units)}" for each in line.size_expected
        ),
        tolerance=", ".join(
            [
                *(f"{each.of} ±{show_fine(each.likely, bench.units)}" for each in line.accuracy),
                *_least_true(bench, line),
            ]
        ),
        pieces=tuple(piece.id for piece in bench.plan.pieces if piece.kind == "part" and piece.part == line.name),
        filler=line.filler,
        trueness=(
            *([detail] if detail else []),
            *_mirrored(bench, given),
            *_trueness(bench, line, said=said),
            *bevel_trueness(bench, line.name),
            *_not_foretold(bench, given, line),
        ),
        notes=notes_of(bench.plan.job).get(line.name, ()),
    )


def _kept_from(bench: Bench) -> str:
    """What goes to the scrap bin, and which setting says so; nothing where no piece is scrap."""
    if not any(piece.kind == "scrap" for piece in bench.plan.pieces):
        return ""
    long, short = sorted(bench.plan.job.options.keep, reverse=True)
    size = f"{bench.long(long)} × {bench.long(short)}"
    return f"What is left below {size} goes to the scrap bin: `keep` in [options], or `stripplan rack keep`, sets it."


def _most(size: Accuracy | ExpectedOfShape) -> str:
    """What a doubt about a size comes from, most of it."""
    most = [f"{doubt.cause}{' (assumed)' if doubt.assumed else ''}" for doubt in size.doubts[:2]]
    return " and ".join(most)


def _most_of_all(bench: Bench) -> str:
    """The same where it is one thing for all sizes of all parts, so that it is said once; empty where it is not."""
    told = {_most(each) for line in bench.plan.parts for each in line.accuracy}
    return told.pop() if len(told) == 1 else ""


def _of_all_sizes(bench: Bench) -> tuple[str, ...]:
    """What holds for how true all sizes are, said once."""
    if not any(line.accuracy for line in bench.plan.parts):
        return ()
    most = _most_of_all(bench)
    told = f"Most of what sizes may be off comes from {most}. " if most else ""
    return (f"{told}9013, 2768-1: classes of ISO 9013 and ISO 2768-1 that are likely met; * as a yardstick.",)


def _trueness(bench: Bench, line: PartLine, *, said: bool) -> Iterator[str]:
    """How true each size will be, and what that comes from where that is not `said` of all; how far the part will
    bow."""
    told: dict[str, list[str]] = {}
    for each in line.accuracy:
        words = f"±{show_fine(each.likely, bench.units)} likely, ±{show_fine(each.worst, bench.units)} at worst"
        most = "" if said else f"; most of it from {_most(each)}"
        told.setdefault(f"{words}{_kept(bench, each)}{most}; {_in_few(each.classes)}", []).append(each.of)
    for of in line.shape:
        words = f"±{_plus_minus(bench, of, of.likely)} likely, ±{_plus_minus(bench, of, of.worst)} at worst"
        most = f"; most of it from {_most(of)}"
        told.setdefault(f"{words}{_kept(bench, of)}{most}", []).append(_of_shape(bench, of))
    yield from (f"{' and '.join(of)}: {words}" for words, of in told.items())
    if line.bow is not None:
        bow, low, high = (show_fine(each, bench.units) for each in (line.bow.bow, line.bow.low, line.bow.high))
        limit = f"; {show_fine(line.bow.limit, bench.units)} allowed" if line.bow.limit is not None else ""
        yield f"bow: about {bow} ({low} to {high}; {'as measured' if line.bow.calibrated else 'a model'}){limit}"
    if line.touch_minutes is not None:
        yield f"too hot for bare hands for about {show_about(line.touch_minutes)} after its cuts (a model)"


def _least_true(bench: Bench, line: PartLine) -> Iterator[str]:
    """The least true length of a shape, and its corners."""
    lengths = [each for each in line.shape if each.of != "angle"]
    if lengths:
        yield f"±{show_fine(max(each.likely for each in lengths), bench.units)}"
    yield from (f"corners ±{_plus_minus(bench, each, each.likely)}" for each in line.shape if each.of == "angle")


def _kept(bench: Bench, size: Accuracy | ExpectedOfShape) -> str:
    """What is asked of a size, and whether it is likely kept."""
    if size.asked is None:
        return ""
    return f"; ±{show_exact(size.asked, bench.units)} asked: {'likely kept' if size.met else 'NOT LIKELY KEPT'}"


def _of_shape(bench: Bench, size: ExpectedOfShape) -> str:
    """Which size of a shape is meant."""
    if size.of == "angle":
        return "corners"
    return f"{bench.long(size.size)} {'between two edges' if size.of == 'across' else 'along an edge'}"


def _plus_minus(bench: Bench, size: ExpectedOfShape, value: float) -> str:
    return f"{value:.1f}°" if size.of == "angle" else show_fine(value, bench.units)


def _in_few(classes: str) -> str:
    """Classes as the check list says them of each part: what they are is said once, and the plan file has why they are
    a yardstick only.

    >>> _in_few("ISO 9013 class 2 (outside its scope: a yardstick), ISO 2768-1 class v")
    '9013: 2*, 2768-1: v'
    """
    short = classes.replace(" (outside its scope: a yardstick)", "*")
    return short.replace("ISO 9013 class ", "9013: ").replace("ISO 2768-1 class ", "2768-1: ")


def _mirrored(bench: Bench, given: Part | None) -> Iterator[str]:
    """Pieces of a shape that come out in mirror image: the face that was up is the other one."""
    if isinstance(given, Shape):
        made = (piece for piece in bench.plan.pieces if piece.kind == "part" and piece.part == given.name)
        if found := [piece.id for piece in made if is_mirrored(piece.outline, given.outline_as_cut)]:
            yield f"in mirror image, to be turned over: {', '.join(found)}"


def _not_foretold(bench: Bench, given: Part | None, line: PartLine) -> Iterator[str]:
    """What is asked of a straight-sided shape where a plan of before does not say how true it will be."""
    if isinstance(given, Shape) and given.plus_minus is not None and not line.shape:
        asked = show_exact(given.plus_minus, bench.units)
        yield f"±{asked} asked: not foretold of such a shape, measure the first one"


def _offcut(bench: Bench, piece: Piece) -> OffcutRow:
    """What is left, by its longer side first, as it is named on the rack and in the picture."""
    plate, size = bench.plates[piece.plate], bench.size(piece)
    if is_box(piece.outline):
        short, long = sorted((piece.box[2] - piece.box[0], piece.box[3] - piece.box[1]))
        size = f"{bench.long(long)} × {bench.long(short)}"
    return OffcutRow(
        piece=piece.id,
        size=f"{size} × {show_exact(plate.thickness, bench.units)}",
        material=plate.material,
        mass=bench.mass(piece.mass),
    )


def _measure_first(bench: Bench) -> tuple[str, ...]:
    """A line for each plate whose own size some part takes over."""
    resting = {each.about.split("-")[0] for each in bench.plan.warnings if each.code == "rests_on_plate_size"}
    return tuple(
        f"Plate {plate.id} ({plate.stock}): the plan counts on {bench.long(plate.length)} × {bench.long(plate.width)}."
        for plate in bench.plan.plates
        if plate.id in resting
    )


def _totals(bench: Bench) -> tuple[tuple[str, str], ...]:
    plan, totals = bench.plan, bench.plan.totals
    rest, bar = sum(cut.rest_before for cut in plan.cuts), sum(cut.setup.mitre for cut in plan.cuts)
    rows = [
        ("time at the rig", show_minutes(totals.minutes)),
        ("of that arc", show_minutes(totals.arc_minutes)),
        ("of that rests", show_minutes(rest)),
        ("cuts", str(len(plan.cuts))),
        ("arc starts", str(totals.starts)),
        ("fence settings", str(totals.fence_settings)),
        *([("mitre bar settings", str(bar))] if bar else []),
        ("end stop settings", str(totals.end_stop_settings)),
        ("turns", str(totals.turns)),
        ("pieces fetched", str(totals.fetches)),
        ("edges scraped", str(totals.dressings)),
        *bevel_totals(bench),
        ("process changes", str(totals.process_changes)),
        ("edges to finish", _finish(bench)),
        ("plates", str(totals.plates)),
        ("plate cost", _cost(bench)),
        ("plate made into parts", f"{100 * totals.plate_used:.0f} %"),
        ("kept as offcuts", bench.area(totals.offcut_area)),
        ("scrap", bench.area(totals.scrap_area)),
    ]
    if plan.as_rectangles is not None and (saved := _saved(bench, plan.as_rectangles)):
        rows.append(("shapes save", saved))
    if not is_first(plan.stripplan_version):
        return tuple(rows)
    return tuple(row for row in rows if row[0] not in ("process changes", "edges to finish"))


def _used(plan: Plan) -> float:
    """Area of the plates less the offcuts kept [mm2]."""
    return sum(plate.length * plate.width for plate in plan.plates) - plan.totals.offcut_area


def _saved(bench: Bench, other: AsRectangles) -> str:
    """What shapes save against each out of a rectangle of its own, in plate and hands together; where hands cost
    nothing the area used up. Empty where it is nothing.
    """
    plan = bench.plan
    if plan.total is None or not plan.total.minute:
        less = other.used_area - _used(plan)
        return f"{bench.area(less)} ({100 * less / other.used_area:.0f} %)" if less > 0 else ""
    unit, one = unit_of_costs(plan.total.currency, plan.job.currency, plan.job.units)
    money = f"{(other.total - plan.total.total) / one:.2f}"
    return f"{money} {unit}".strip() if float(money) > 0 else ""


def _as_rectangles(bench: Bench, other: AsRectangles) -> str:
    """What the job would take with each shape out of a rectangle of its own, beside what it takes."""
    plan = bench.plan
    plates = f"{other.plates} plate{'' if other.plates == 1 else 's'}"
    words = f"Each shape out of a rectangle of its own would take {plates}, {bench.area(other.used_area)} used up"
    here = f"; this plan uses up {bench.area(_used(plan))}"
    if plan.total is None or not plan.total.minute:
        return f"{words}{here}."
    unit, one = unit_of_costs(plan.total.currency, plan.job.currency, plan.job.units)
    return f"{words}, {f'{other.total / one:.2f} {unit}'.strip()} in all{here}, {plan.total.total / one:.2f} in all."


def _finish(bench: Bench) -> str:
    """Metres of cut edges of finished parts, and how long finishing them takes where the job asks for it."""
    totals = bench.plan.totals
    return bench.metres(totals.finish_metres) + (
        f", {show_minutes(totals.finish_minutes)}" if totals.finish_minutes else ""
    )


def _priced(plan: Plan) -> bool:
    """Whether the plates have prices; without them cost is plate area in m2."""
    return any(each.cost is not None or each.price_per_kg is not None for each in plan.job.plates)


def _cost(bench: Bench) -> str:
    plan = bench.plan
    if not _priced(plan):
        return f"{bench.area(plan.totals.cost * 1e6)} (no price given)"
    return f"{plan.totals.cost:.2f} {plan.job.currency}".strip()


def _proof(bench: Bench) -> tuple[str, ...]:
    """What is known of how good the plan is, in plain words."""
    plan, proof = bench.plan, bench.plan.proof
    lines = [_bound(proof.plates, "plate")]
    if not math.isclose(proof.cost.found, proof.plates.found):
        cost = proof.cost
        what, found, least = "Plate cost", f"{cost.found:.2f}", f"{cost.bound:.2f}"
        if not _priced(plan):
            what, found, least = "Plate area", bench.area(cost.found * 1e6), bench.area(cost.bound * 1e6)
        lines.append(f"{what} {found}; not below {least} ({cost.how}): {_verdict(cost)}.")
    setups, minutes = proof.setups, proof.minutes
    settings = "fence setting" if round(setups.found) == 1 else "fence settings"
    fewest = f"; for {setups.holds_for} no order needs fewer than {setups.bound:.0f}" if round(setups.bound) else ""
    lines.append(f"{setups.found:.0f} {settings}{fewest}.")
    times = show_minutes(minutes.found), show_minutes(minutes.bound)
    lines.append(f"{times[0]} at the rig; for {minutes.holds_for} no order takes less than {times[1]}.")
    if plan.total is not None and plan.total.minute:
        lines.append(_in_all(plan, plan.total))
    if plan.as_rectangles is not None:
        lines.append(_as_rectangles(bench, plan.as_rectangles))
    return tuple(lines)


PRICE_OF_HOUR = {"job": "", "rig": " of the rig", "assumed": ", assumed"}
"""What is said of the price of an hour, by where it comes from."""


def _in_all(plan: Plan, total: TotalCost) -> str:
    """Plate and hands in one currency, and what no plan of the job undercuts."""
    unit, one = unit_of_costs(total.currency, plan.job.currency, plan.job.units)
    hour = f"{60 * total.minute / one:.2f} an hour{PRICE_OF_HOUR[total.minute_from]}"
    hands = f"{show_minutes(plan.totals.minutes)} at {hour}"
    kept = f" - offcuts kept {total.offcuts / one:.2f}" if total.offcuts else ""
    least = f" No plan costs less than {total.bound / one:.2f} in all ({total.how})." if total.bound else ""
    return (
        f"In all {f'{total.total / one:.2f} {unit}'.strip()}: plates {total.plates / one:.2f} + {hands}{kept}.{least}"
    )


def _bound(bound: Bound, noun: str) -> str:
    found, least = round(bound.found), math.ceil(bound.bound - 1e-6)
    words = f"{found} {noun}{'' if found == 1 else 's'}"
    return f"{words}; at least {least} {'is' if least == 1 else 'are'} needed ({bound.how}): {_verdict(bound)}."


def _verdict(bound: Bound) -> str:
    return "proven" if bound.proven else "not proven best"


def _settings(bench: Bench) -> tuple[Setting, ...]:
    plan, rig = bench.plan, bench.plan.rig
    assumed = set(rig.assumed)

    def length(name: str, key: str) -> Setting:
        return Setting(name, show_exact(getattr(rig, key), bench.units), "assumed" if key in assumed else "")

    rows = [_kerf(bench, name) for name in dict.fromkeys(plate.process for plate in plan.plates)]
    rows += [
        Setting("trim off mill edges", show_exact(plan.settings.trim, bench.units)),
        length("fence zero", "fence_zero"),
        Setting("fence scale", f"{rig.fence_scale:g}", "assumed" if "fence_scale" in assumed else ""),
        length("fence read to", "fence_step"),
        length("lead-in", "lead_in"),
        length("overrun", "overrun"),
        length("stroke", "stroke"),
        length("narrowest offcut", "narrowest_offcut"),
        Setting("rig", rig.name),
        Setting("search", _search(plan)),
    ]
    return tuple(rows)


def _quoted(plan: Plan) -> Quoted | None:
    quoted = plan.quotation
    if quoted is None:
        return None
    lines = tuple(
        (
            line.what,
            _quantity(plan, line.quantity, line.unit),
            f"{line.price * (KG_PER_LB if _in_pounds(plan, line.unit) else 1.0):,.4g}",
            f"{line.amount:,.2f}",
            line.how + (" (in part assumed)" if line.assumed and not _says_what_is_assumed(line) else ""),
        )
        for line in quoted.lines
    )
    parts = tuple(
        (part.name, str(part.made), "-" if part.each is None else f"{part.each:,.2f}", f"{part.total:,.2f}")
        for part in quoted.parts
    )
    return Quoted(lines, parts, f"{quoted.total:,.2f} {quoted.currency}".strip(), (*quoted.left_out, quoted.how))


def _says_what_is_assumed(line: CostLine) -> bool:
    """Whether the words of a line name what is assumed; those of an earlier edition hold no facts to tell."""
    return any(line.facts.get(name) for name in ("assumed", "starts_assumed", "hours_assumed"))


def _quantity(plan: Plan, quantity: float, unit: str) -> str:
    """A quantity that is paid for; masses in pounds for a person who reads inches."""
    if _in_pounds(plan, unit):
        return f"{quantity / KG_PER_LB:,.2f} lb"
    return f"{quantity:,.2f} {unit}"


def _in_pounds(plan: Plan, unit: str) -> bool:
    return unit == "kg" and plan.job.units == "in"


def _measured(plan: Plan) -> Iterator[Setting]:
    """What the rig's notebook gave: figure, likely plus-or-minus, how many rows, when, and how old that is where the
    plan has a date."""
    others = {each.name for each in plan.rig.processes} - {plate.process for plate in plan.plates}
    units = Units(plan.job.units, exact=True, decimal=True)
    for each in plan.rig.measured:
        if each.key.rpartition(", ")[0] in others:
            continue
        days = each.last or "day not noted"
        if each.first and each.first != each.last:
            days = f"{each.first} to {each.last}"
        age = _age(plan.made_at, each.last)
        told = Message(
            "measured_figure",
            each.key,
            Facts(key=each.key, value=each.quantity, half=each.in_its_dimension(2 * each.u)),
        )
        how = each.how if each.said is None else worded(each.said, units).text
        yield Setting(each.key, f"{worded(told, units).text}; {how}; {days}{age}")


def _age(made_at: str | None, day: str | None) -> str:
    if made_at is None or day is None:
        return ""
    try:
        days = (datetime.fromisoformat(made_at).date() - date.fromisoformat(day)).days
    except ValueError:
        return ""
    return f", {days} {'day' if days == 1 else 'days'} old" if days >= 0 else ""


def _kerf(bench: Bench, process: str) -> Setting:
    plate = next(each for each in bench.plan.plates if each.process == process)
    given = next((each for each in bench.plan.rig.processes if each.name == process), None)
    called = bench.process(process).removesuffix(" ESTIMATED")  # which stands behind the figure
    value = f"{bench.long(plate.kerf) if bench.units == 'mm' else show_fine(plate.kerf, 'in')} ({called})"
    known = kerf_known(given)
    measured = known.startswith("measured")
    return Setting("kerf", value + (f", {known}" if measured else ""), "" if measured else known)


_STOPPED = {
    "seconds": ", stopped by the clock",
    "steps": ", stopped after the steps that were asked for",
    "interrupt": ", stopped by hand",
    "look": ", looked at while it went on",
    "good enough": ", stopped as good enough",
}


def _search(plan: Plan) -> str:
    stopped = plan.settings.stopped
    words = f"seed {plan.settings.seed}"
    if plan.settings.steps is not None:
        words += f", steps {plan.settings.steps}"
    return words + _STOPPED.get(str(stopped), "")
