"""What the page asks for that may take long: run in a process of its own (`worker`), plain values in and out."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from stripplan.wording.message import Message
from stripplan.wording.show import MM, Units, worded

if TYPE_CHECKING:
    from stripplan.files.job.in_units import System
    from stripplan.files.job.read import JobFile
    from stripplan.model.effort import Progress
    from stripplan.model.part import Part
    from stripplan.model.plan.plan import Plan
    from stripplan.model.rack.piece import RackPiece
    from stripplan.model.report import Section
    from stripplan.model.rig import Rig
    from stripplan.planner import OffRack, PlateInSight

STANDINGS = ("testing", "untested", "enough")
"""In what order the page shows the next test cuts."""

Stop = Callable[[], bool]

FEW_PIECES = 30
"""A job of so many pieces has its first plan in about the time in which it could be sketched."""
LOOKS = (3.0, 15.0, 45.0)
"""Between the first plan and the last, what the search has found is shown after so many seconds, where it is better;
the search goes on, and so the last is the plan that the command makes."""


_OF_HOLES = ("x", "y", "length", "width")


Tell = Callable[[dict[str, Any]], None]
"""Takes what a task tells of itself: how far it is, of which the last word counts, or what it gives already, which
has a "kind" and is kept."""


def planned(
    data: dict[str, Any],
    folder: str,
    keep: str = "",
    rack: dict[str, Any] | None = None,
    again: dict[str, Any] | None = None,
    *,
    tell: Tell,
    stop: Stop,
) -> dict[str, Any]:
    """A plan of the job in a table: its text and what the page shows of it. Raises what the front door raises.

    On the way it gives what there is already: of a large job a first layout, then a first plan, then better ones. Once
    it is to stop it gives the best so far. `keep` is the text of a plan that is to be changed as little as can be:
    there is one plan then, and a word of what stayed. `rack` is what may be taken off the rack (`rack_of_list`).
    `again` is a plan that was begun, of which this is the rest: as little changes of it as the saving justifies.
    """
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import Looks, plan
    from stripplan.web.plan_for_page import sketched

    on_rack, told = _on_the_rack(data, folder, rack or {})

    def progress(each: Progress) -> None:
        tell({"words": each.words, "share": each.share, "gap": each.gap})

    def afresh() -> Plan:
        return plan(on_rack.job, told.rig, progress=progress, stop=stop)

    if again:
        return _again(again, on_rack, told, progress, tell, stop)
    if keep:
        before = plan_from(keep, name="the plan before")
        made = on_rack.named(plan(on_rack.job, told.rig, progress=progress, stop=stop, keep=before))
        return _kept(before, made, told, lambda: on_rack.named(afresh()), tell)

    def sight(plates: Sequence[PlateInSight]) -> None:
        tell({"kind": "sketch", "plates": sketched(on_rack.job, plates)})

    many = sum(part.wanted for part in on_rack.job.parts) > FEW_PIECES
    best = plan(on_rack.job, told.rig, progress=progress, at_once=True, sight=sight if many else None)
    if stop():
        return _told(on_rack.named(best), told, last=True)
    tell(_told(on_rack.named(best), told, last=False))
    cheapest = _total(best)

    def look(each: Plan) -> None:
        nonlocal cheapest
        if _total(each) < cheapest:
            cheapest = _total(each)
            tell(_told(on_rack.named(each), told, last=False))

    made = plan(on_rack.job, told.rig, progress=progress, stop=stop, looks=Looks(LOOKS, look))
    return _told(on_rack.named(made), told, last=True)


@dataclass(frozen=True)
class _Told:
    """The rig of a list, and what is to be said beside its plan of how it was read and of the rack."""

    rig: Rig
    notes: tuple[str, ...]


def _on_the_rack(data: dict[str, Any], folder: str, rack: dict[str, Any]) -> tuple[OffRack, _Told]:
    """The job of a list with what it may take off the rack."""
    from stripplan.web.off_the_rack import rack_of_list

    read = read_list(data, folder, rack=bool(rack.get("any")))
    found = rack_of_list(rack, read.job, read.rig)
    return found, _Told(read.rig, (*(note.sentence() for note in read.notes), *map(_as_sentence, found.said)))


def _again(
    begun: dict[str, Any],
    on_rack: OffRack,
    told: _Told,
    progress: Callable[[Progress], None],
    tell: Tell,
    stop: Stop,
) -> dict[str, Any]:
    """The rest of a plan that was `begun` (its text, the table of its job, cuts done, what they spoilt and what is
    still good of that), with what has changed and why; the cheapest other one beside it.
    """
    from stripplan.files.plan.read import plan_from
    from stripplan.model.plan.progress import CutProgress
    from stripplan.planner import left_to_cut, plan_again, what_changed

    before = plan_from(begun["text"], name="the plan before")
    spoilt = {int(number): frozenset(sides) for number, sides in begun["spoilt"].items()}
    usable = {(number, side): (long, wide) for number, side, long, wide in begun["usable"]}
    so_far = CutProgress(done=frozenset(begun["done"]), spoilt=spoilt, usable=usable)
    left = left_to_cut(before, begun["job"], so_far)
    found = plan_again(on_rack.job, told.rig, left, progress=progress, stop=stop)
    units = Units(before.job.units, before.job.inch_fraction)
    said = [_sentence(each, units) for each in (*what_changed(before, so_far), *found.said)]
    cheaper = found.other is not None and _total(found.other) < _total(found.plan) - 0.005
    if found.other is not None and cheaper:
        tell({**_told(on_rack.named(found.other), told, last=True), "kind": "afresh"})
    made = _told(on_rack.named(found.plan), told, last=True)
    return {**made, "notes": [*said, *made["notes"]], "afresh": cheaper}


def _kept(before: Plan, made: Plan, told: _Told, afresh: Callable[[], Plan], tell: Tell) -> dict[str, Any]:
    """A plan that keeps one of before, and what stayed; beside it the one made `afresh`, where that is cheaper."""
    from stripplan.planner import dearer_than_afresh, what_was_kept

    stayed = what_was_kept(before, made)
    values, said = _told(made, told, last=True), [stayed]
    if not stayed.facts["kept"]:
        return {**values, "notes": [*map(_sentence, said), *values["notes"]]}
    tell({**values, "notes": [*map(_sentence, said), *values["notes"]], "last": False})
    other = afresh()
    dearer = dearer_than_afresh(before, made, other)
    if dearer is not None:
        said.append(dearer)
        tell({**_told(other, told, last=True), "kind": "afresh"})
    return {**values, "notes": [*map(_sentence, said), *values["notes"]], "afresh": dearer is not None}


def _sentence(message: Message, units: Units = MM) -> str:
    return _as_sentence(worded(message, units).text)


def _as_sentence(said: str) -> str:
    return f"{said[0].upper()}{said[1:]}."


def _total(made: Plan) -> float:
    """What a plan costs in plate and hands."""
    assert made.total is not None
    return made.total.total


def read_list(data: dict[str, Any], folder: str, *, rack: bool = False) -> JobFile:
    """The job that the page's list is, with the rig that it names; where plates may come off the `rack` it need not
    name any. Raises InputError with every fault."""
    from stripplan.files.job.read import job_from
    from stripplan.files.toml.document import TomlFile

    return job_from(TomlFile("the list", "", data, Path(folder)), name="job", rack=rack)


def _told(made: Plan, told: _Told, *, last: bool) -> dict[str, Any]:
    """A plan for the page; `last`: no better one follows."""
    from stripplan.sheets.plan_json import plan_text
    from stripplan.web.plan_for_page import shown

    return {"kind": "plan", "text": plan_text(made), "shown": shown(made), "notes": list(told.notes), "last": last}


def chosen(
    data: dict[str, Any], folder: str, rack: dict[str, Any] | None = None, *, tell: Tell, stop: Stop
) -> dict[str, Any]:
    """The plans of a job that a person may choose from: first the table of all, then one plan after the other, each
    with its number. `rack` is what may be taken off the rack."""
    from stripplan.planner import choices, plan
    from stripplan.web.choices_for_page import choices_shown

    on_rack, told = _on_the_rack(data, folder, rack or {})

    def progress(each: Progress) -> None:
        tell({"words": each.words, "share": each.share, "gap": None})

    some = choices(on_rack.job, told.rig, progress=progress, stop=stop)
    tell({"kind": "choices", **choices_shown(on_rack.job, some)})
    for each in some:
        if stop():
            break
        made = on_rack.named(plan(on_rack.job, told.rig, progress=progress, stop=stop, choose=each))
        tell({**_told(made, told, last=True), "kind": "choice", "number": each.number})
    return {"kind": "all chosen"}


def listed(name: str, raw: bytes, units: System, how: dict[str, Any], *, tell: Tell, stop: Stop) -> dict[str, Any]:
    """The parts of a list or drawing as rows of a job in these units, with what is to be said of how it was read, and
    what it holds beside them. Raises InputError.
    """
    from tempfile import TemporaryDirectory

    from stripplan.files.parts.read import HowRead
    from stripplan.files.parts.read import read_list as parts_of

    del tell, stop
    with TemporaryDirectory(prefix="stripplan-") as folder:
        path = Path(folder, name)
        path.write_bytes(raw)
        asked = HowRead(**how).fitting(path)
        found = parts_of(path, asked, units=units)
    return {
        "parts": [part_row(each, units) for each in found.parts],
        "notes": [note.sentence(Units(units)) for note in found.notes],
        "left_out": [vars(each) for each in found.left_out],
    }


def stock_listed(
    name: str, raw: bytes, bare: str, units: System, how: dict[str, str], *, tell: Tell, stop: Stop
) -> tuple[tuple[RackPiece, ...], list[str]]:
    """The pieces of a list of plates and offcuts, whose `bare` numbers are in these units, and what is to be said of
    how it was read; `how` says, in the `units` of the page, what holds for rows that name none, and which sheet of a
    workbook is meant. Raises InputError.
    """
    from tempfile import TemporaryDirectory

    from stripplan.files.stock.cells import sides_in
    from stripplan.files.stock.read import Given, read_stock

    del tell, stop
    thickness = how.get("thickness")
    thick = sides_in(thickness, "thickness", units, (1,))[0] if thickness else None
    given = Given(bare, how.get("material") or None, thick, how.get("place", ""))
    with TemporaryDirectory(prefix="stripplan-") as folder:
        path = Path(folder, name)
        path.write_bytes(raw)
        found = read_stock(path, given, sheet=how.get("sheet") or None)
    return found.pieces, [note.sentence() for note in found.notes]


def part_row(part: Part, units: System) -> dict[str, Any]:
    """A part as a row of a job in these units; what is as it is where nothing is said is left out.

    >>> from stripplan.model.part import Strip
    >>> part_row(Strip(name="bar", width=50.8, quantity=2), "in")
    {'name': 'bar', 'width': '2', 'quantity': 2}
    """
    from stripplan.files.job.in_units import shown_length

    lengths = ("width", "length", "thickness", "allowance", "tolerance", "plus_minus", "straightness", "fence")
    row: dict[str, Any] = {}
    for each in fields(part):
        value = getattr(part, each.name)
        if value == each.default or value is None or (each.name == "holes" and not value):
            continue
        if each.name == "holes":
            value = [{**vars(hole), **{k: shown_length(getattr(hole, k), units) for k in _OF_HOLES}} for hole in value]
        row[each.name] = shown_length(value, units) if each.name in lengths else value
    order = ("name", "width", "length", "quantity")
    return {key: row[key] for key in (*(each for each in order if each in row), *(k for k in row if k not in order))}


def reasons(text: str, cut: int, *, tell: Tell, stop: Stop) -> str:
    """Why a cut of a plan stands where it does, and what the next best place would cost. Raises InputError."""
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import reasons_for_cuts

    del tell, stop
    made = plan_from(text, name="the plan")
    units = Units(made.job.units, made.job.inch_fraction)
    return " ".join(worded(each, units).text for each in reasons_for_cuts(made, [cut]))


def instead(text: str, cut: int, *, tell: Tell, stop: Stop) -> list[str]:
    """What could be done in place of a cut of a plan, and what it would take. Raises InputError."""
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import instead_of_cut

    del tell, stop
    made = plan_from(text, name="the plan")
    units = Units(made.job.units, made.job.inch_fraction)
    return [worded(each, units).text for each in instead_of_cut(made, cut)]


def written(text: str, name: str, choices: dict[str, str], *, tell: Tell, stop: Stop) -> bytes:
    """One file of a plan by its name, as the command line writes it.

    Raises InputError; so it does where the plan is not sound, for every file but the plan file itself.
    """
    from stripplan.errors import Fault, InputError
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import unsound
    from stripplan.sheets.cut_list_csv import cut_list
    from stripplan.sheets.dxf.drawing import job_drawing, plate_drawing
    from stripplan.sheets.labels.label_sheet import label_sheet
    from stripplan.sheets.labels.labels import labels
    from stripplan.sheets.pdf.setup_sheet import poster, setup_sheet
    from stripplan.sheets.picture import png, svg
    from stripplan.sheets.picture.order_of_work.animation import sequence_svg
    from stripplan.sheets.plan_json import plan_text
    from stripplan.wording.message import Facts

    del tell, stop  # none of these takes long enough to be asked
    made = plan_from(text, name="the plan")
    stem, _, ending = name.rpartition(".")
    plate = stem.removeprefix("plate-").removeprefix("sequence-")
    version: Any = choices.get("dxf", "R2000")
    if plate != stem and plate not in {each.id for each in made.plates}:
        raise InputError(Fault("no_plan", name, facts=Facts(plate=plate), says="no_such_plate"))
    if name == "plan.json":
        return plan_text(made).encode()
    if faults := [replace(each, where="") for each in unsound(made)]:
        raise InputError([*faults, Fault("not_printed", "", facts=Facts(file=name), says="not_made")])
    page: Any = choices.get("page", "a4")
    form: Any = choices.get("form", "full")
    cautions: Any = choices.get("cautions", "with")
    if name == "setup-sheet.pdf":
        cuts = _range(choices["cuts"], len(made.cuts)) if "cuts" in choices else None
        return setup_sheet(made, page=page, form=form, cautions=cautions, cuts=cuts)
    if name == "cautions.pdf":
        return poster(made, page=page, form=form)
    if stem.startswith("quotation-"):
        return _quotation(made, int(stem.removeprefix("quotation-")), page)
    if name == "labels.pdf":
        return labels(made, label_sheet(choices.get("grid", "a4-3x8-70x36")))
    if name == "cut-list.csv":
        return cut_list(made).encode()
    if name == "job.dxf":
        return job_drawing(made, version=version)
    if ending == "dxf":
        return plate_drawing(made, plate, version=version)
    if stem.startswith("sequence-"):
        return sequence_svg(made, plate).encode()
    picture = svg.plate_picture(made, plate)
    return png.png(picture) if ending == "png" else picture.encode()


def _quotation(made: Plan, number: int, page: Literal["a4", "letter"]) -> bytes:
    """The quotation of one of several jobs, by its number from 1 as the page lists them. Raises InputError."""
    from stripplan.errors import Fault, InputError
    from stripplan.sheets.pdf.jobs import job_quotation
    from stripplan.sheets.rows.job.jobs import job_rows

    rows = job_rows(made)
    if not 1 <= number <= len(rows):
        raise InputError(Fault("no_plan", f"quotation {number}", says="no_such_file"))
    return job_quotation(made, rows[number - 1].name, page=page)


def _range(text: str, count: int) -> tuple[int, int]:
    """First and last of the cuts that are meant, of so many. Raises InputError where there are none such.

    >>> _range("40-", 63), _range("-8", 63), _range("7", 63), _range("12 - 20", 63)
    ((40, 63), (1, 8), (7, 7), (12, 20))
    """
    from stripplan.errors import Fault, InputError
    from stripplan.wording.message import Facts

    found = re.fullmatch(r"\s*([0-9]{0,6})\s*(-?)\s*([0-9]{0,6})\s*", text)
    if found is not None and (found[1] or found[3]):
        first = int(found[1] or 1)
        last = int(found[3] or count) if found[2] else first
        if 1 <= first <= last <= count:
            return first, last
    raise InputError(Fault("no_cut", "the cuts", facts=Facts(said=text[:20], count=count), says="no_cuts_like_that"))


def reported(rig: str, *, tell: Tell, stop: Stop) -> dict[str, Any]:
    """What a profile's notebook says: the next test cuts, and part by part; charts are pictures with their words."""
    from stripplan.planner import report
    from stripplan.sheets.picture.charts.painter import described, svg_text
    from stripplan.sheets.rows.notebook import part_of, units_told
    from stripplan.web.store import profiles

    del tell, stop
    profile = profiles.profile(rig)
    sections = report(profiles.rig_of(profile, profiles.book_of(profile)))
    return {
        "units": units_told(sections),
        "next": next_cuts(sections),
        "parts": [
            {
                "title": part.title,
                "problem": part.problem,
                "lines": list(part.lines),
                "table": [list(row) for row in part.table],
                "charts": [{"words": described(chart), "svg": svg_text(chart)} for chart in part.charts],
            }
            for part in map(part_of, sections)
        ],
    }


def next_cuts(sections: Sequence[Section]) -> list[dict[str, str]]:
    """The next test cut of each process: those under test, those without a cut, those that are done.

    `speed` [mm/min] is "" where there is nothing more to test.
    """
    from stripplan.sheets.rows.notebook import units_of

    cuts = [(each, units_of(section)) for section in sections for each in section.next_cuts]
    return [
        {
            "process": each.process,
            "speed": "" if each.speed is None else f"{each.speed:g}",
            "words": worded(each.said, units).text,
        }
        for each, units in sorted(cuts, key=lambda pair: STANDINGS.index(pair[0].standing))
    ]
