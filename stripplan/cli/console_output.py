"""What `stripplan plan` shows: the list as it was understood, plans to choose from, then what came out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stripplan.cli.screen import Items, Line, Table, show

if TYPE_CHECKING:
    from stripplan.files.parts.lists.cut_list import CutList
    from stripplan.model.job import Job, LeftOut, Units
    from stripplan.model.part import Part
    from stripplan.model.plan.choice import Choice
    from stripplan.model.plan.plan import Plan
    from stripplan.model.plate import Plate
    from stripplan.sheets.rows.job.choices import ChoiceRow
    from stripplan.wording.message import Message

LONGEST_NOTE = 40
"""Most letters of a note in the table of parts."""


def show_job(job: Job) -> None:
    """The list as it was understood, before any work is done, so that a slip of the finger shows."""
    plates = (Line(f"  from {_plate_words(plate, job.units)}") for plate in job.plates)
    show(_title(job.name, job.units), *_stops(job.left_out), part_table(job.parts, job.units), *plates)


def not_planned(left_out: Iterable[LeftOut]) -> list[str]:
    """What lists hold beside the parts, a line for each: nobody may miss it."""
    from stripplan.wording.message import Facts, Message
    from stripplan.wording.show import worded

    messages = (
        Message("not_planned", each.name, Facts(quantity=each.quantity, why=each.why, count=each.count))
        for each in left_out
    )
    return [worded(each).text for each in messages]


def show_list(listed: CutList, name: str, units: Units) -> None:
    """A list as it was understood: its parts, what in it is none, and how it was read."""
    skipped = [note for note in listed.notes if note.code == "skipped"]
    show(
        _title(name, units),
        *_stops(listed.left_out),
        part_table(listed.parts, units, listed.layers),
        Items("note", tuple(note.sentence() for note in listed.notes if note.code != "skipped")),
        Items("not taken", tuple(note.sentence().replace(" is not taken:", ":") for note in skipped)),
    )


def _stops(left_out: Iterable[LeftOut]) -> list[Line]:
    return [Line(f"  {words}", "stop") for words in not_planned(left_out)]


def _title(name: str, units: str) -> Line:
    return Line(f"{name}, sizes in {'inches' if units == 'in' else 'mm'}")


def part_table(parts: Sequence[Part], units: str, layers: Sequence[str] = ()) -> Table:
    """A list; thickness, material, form, bevels, note and layer only where one of its parts has them."""
    from stripplan.sheets.rows.part_notes import bevels_in_short
    from stripplan.wording.quantity import show_length

    apart = {
        "thickness": ["" if part.thickness is None else show_length(part.thickness, units, 64) for part in parts],
        "material": [part.material or "" for part in parts],
        "shape": [_shape(part, units) for part in parts],
        "bevels": [bevels_in_short(part, units, 64) for part in parts],
        "note": [_note(part) for part in parts],
        "layer": list(layers),
    }
    more = {head: column for head, column in apart.items() if any(column)}
    rows = [
        (str(number), *_part_row(part, units), *(column[number - 1] for column in more.values()))
        for number, part in enumerate(parts, 1)
    ]
    rows.append(("", "", "", "in all", str(sum(part.wanted for part in parts)), *("" for _ in more)))
    right = (0, 2, 3, 4, 5) if "thickness" in more else (0, 2, 3, 4)
    return Table(("", "part", "width", "length", "quantity", *more), tuple(rows), right)


def _shape(part: Part, units: str) -> str:
    """What a part is that is no rectangle, so that an angle that was mistyped is seen."""
    from stripplan.model.part import Shape
    from stripplan.sheets.rows.forms import detail_of, form_of
    from stripplan.wording.quantity import show_length

    if not isinstance(part, Shape):
        return ""
    detail = detail_of(part.outline, lambda mm: show_length(mm, units, 64))
    return ", ".join(filter(None, (form_of(part.outline).word, detail)))


def _note(part: Part) -> str:
    """A note and the count of holes, as far as a line of the table bears them."""
    words = "; ".join([*([part.note] if part.note else []), *([f"holes: {len(part.holes)}"] if part.holes else [])])
    return words if len(words) <= LONGEST_NOTE else f"{words[: LONGEST_NOTE - 3]}..."


def is_priced(job: Job) -> bool:
    """Whether plates have prices; without them cost is plate area in m2."""
    return any(plate.cost is not None or plate.price_per_kg is not None for plate in job.plates)


def _part_row(part: Part, units: str) -> tuple[str, str, str, str]:
    from stripplan.model.part import Shape, Strip
    from stripplan.sheets.rows.forms import sides_of
    from stripplan.wording.quantity import show_length

    if isinstance(part, Strip):
        return part.name, show_length(part.width, units, 64), "as long as the plate", quantity_in(part)
    long, wide = sides_of(part.outline) if isinstance(part, Shape) else (part.length, part.width)
    return part.name, show_length(wide, units, 64), show_length(long, units, 64), quantity_in(part)


def quantity_in(part: Part) -> str:
    if not part.filler:
        return str(part.quantity)
    return "filler, as many as fit" if part.most is None else f"filler, at most {part.most}"


def _plate_words(plate: Plate, units: str) -> str:
    from stripplan.wording.quantity import show_length

    sizes = [each for each in (plate.length, plate.width, plate.thickness) if each is not None]
    words = [f"{plate.name}: {' x '.join(show_length(each, units, 64) for each in sizes)}"]
    words += [plate.material] if plate.material else []
    words.append("as many as needed" if plate.limit is None else f"{plate.limit} at most")
    return ", ".join(words)


def show_plan(made: Plan, folder: Path, files: Sequence[str], *, explain: bool, unused: Sequence[Message] = ()) -> None:
    """What came out: five lines, what needs heed, the proof, why plates that were there are `unused`, where the files
    are."""
    from stripplan.cli.result import FULL, on_one_line, result
    from stripplan.wording.show import worded

    where = (f"{len(files)} in {folder}: read setup-sheet.pdf at the rig", *(() if explain else (FULL,)))
    not_used = Items("not used", tuple(worded(each).text for each in unused))
    lines = [not_used if explain else on_one_line(not_used)] if unused else []
    show(*result(made, explain=explain), *lines, Items("files", where))


BAR = 60
"""Letters of the longest bar."""


def show_choices(job: Job, some: Sequence[Choice]) -> None:
    """The plans to choose from: a table, what each is chosen for, and bars of what plate and time come to."""
    from stripplan.sheets.rows.job.choices import choice_table

    shown = choice_table(job, some)
    show(
        Line(),
        Table(shown.heads, tuple(shown.cells), right=tuple(range(len(shown.heads) - 1)), name="choices"),
        Line(),
        Table((), tuple((row.number, row.buys) for row in shown.rows), name="buys"),
        Line(),
        Table((), tuple((row.number, _bar(row)) for row in shown.rows), name="in total"),
        Items("", (shown.bars,)),
        Items("heed", shown.about, "heed"),
    )


def _bar(row: ChoiceRow) -> str:
    metal = round(BAR * row.plate_share)
    return "#" * metal + "=" * (round(BAR * (row.plate_share + row.time_share)) - metal)
