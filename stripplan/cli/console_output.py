"""What `stripplan plan` shows: the list as it was understood, then what came out. Plain text, fit for a file too."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.files.parts.columns import CutList
    from stripplan.model.job import Job, LeftOut, Units
    from stripplan.model.part import Part
    from stripplan.model.plan.choice import Choice
    from stripplan.model.plan.plan import Plan
    from stripplan.model.plate import Plate
    from stripplan.sheets.rows.choices import ChoiceRow

LONGEST_NOTE = 40
"""Most letters of a note in the table of parts."""
ON_SCREEN = ("plates", "plate cost", "time at the rig", "of that arc", "of that rests", "cuts", "fence settings",
             "process changes", "edges to finish")  # fmt: skip
"""Totals that the screen shows; the sheet has them all."""


def show_job(job: Job) -> None:
    """The list as it was understood, before any work is done, so that a slip of the finger shows."""
    say(f"{job.name}, sizes in {'inches' if job.units == 'in' else 'mm'}")
    for words in not_planned(job.left_out):
        say(f"  {words}")
    for line in part_table(job.parts, job.units):
        say(f"  {line}")
    for plate in job.plates:
        say(f"  from {_plate_words(plate, job.units)}")


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
    say(f"{name}, sizes in {'inches' if units == 'in' else 'mm'}")
    for words in not_planned(listed.left_out):
        say(f"  {words}")
    for line in part_table(listed.parts, units, listed.layers):
        say(f"  {line}")
    skipped = [note for note in listed.notes if note.code == "skipped"]
    _item("note", [note.sentence() for note in listed.notes if note.code != "skipped"])
    _item("not taken", [note.sentence().replace(" is not taken:", ":") for note in skipped])


def part_table(parts: Sequence[Part], units: str, layers: Sequence[str] = ()) -> list[str]:
    """Lines of a list; thickness, material and layer only where one of its parts has them."""
    from stripplan.wording.quantity import show_length

    apart = {
        "thickness": ["" if part.thickness is None else show_length(part.thickness, units, 64) for part in parts],
        "material": [part.material or "" for part in parts],
        "note": [_note(part) for part in parts],
        "layer": list(layers),
    }
    more = {head: column for head, column in apart.items() if any(column)}
    rows = [("", "part", "width", "length", "quantity", *more)]
    for number, part in enumerate(parts, 1):
        rows.append((str(number), *_part_row(part, units), *(column[number - 1] for column in more.values())))
    rows.append(("", "", "", "in all", str(sum(part.wanted for part in parts)), *("" for _ in more)))
    return table(rows, right=(0, 2, 3, 4, 5) if "thickness" in more else (0, 2, 3, 4))


def _note(part: Part) -> str:
    """A note and the count of holes, as far as a line of the table bears them."""
    words = "; ".join([*([part.note] if part.note else []), *([f"holes: {len(part.holes)}"] if part.holes else [])])
    return words if len(words) <= LONGEST_NOTE else f"{words[: LONGEST_NOTE - 3]}..."


def is_priced(job: Job) -> bool:
    """Whether plates have prices; without them cost is plate area in m2."""
    return any(plate.cost is not None or plate.price_per_kg is not None for plate in job.plates)


def _part_row(part: Part, units: str) -> tuple[str, str, str, str]:
    from stripplan.model.part import Rectangle
    from stripplan.wording.quantity import show_length

    length = show_length(part.length, units, 64) if isinstance(part, Rectangle) else "as long as the plate"
    return part.name, show_length(part.width, units, 64), length, _quantity(part)


def _quantity(part: Part) -> str:
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


def show_plan(made: Plan, folder: Path, files: Sequence[str]) -> None:
    """What came out: figures, proof, what is left, what to heed, where the files are."""
    from stripplan.sheets.rows.plan_rows import sheet

    rows = sheet(made)
    figures = dict(rows.totals)
    click.echo()
    _item("first", rows.first)
    for name in ON_SCREEN:
        _item(name, [figures[name]] if name in figures else [])
    _item("fillers", [f"{row.name}, {row.size}: {row.made} made" for row in rows.parts if row.filler])
    _item("proof", rows.proof)
    _item("instead", [rows.other_order] if rows.other_order else [])
    if rows.quoted is not None:
        _item("cost in all", [f"{rows.quoted.total}: see the end of the sheet"])
    _item("left", [f"{row.piece}, {row.size}, {row.mass}" for row in rows.offcuts])
    _item("heed", [*rows.measure_first, *rows.warnings])
    _item("files", [f"{len(files)} in {folder}: read setup-sheet.pdf at the rig"])


BAR = 60
"""Letters of the longest bar."""


def show_choices(job: Job, some: Sequence[Choice]) -> None:
    """The plans to choose from: a table, what each is chosen for, and bars of what plate and time come to."""
    from stripplan.sheets.rows.choices import choice_table

    shown = choice_table(job, some)
    click.echo()
    _item("choices", table([shown.heads, *shown.cells], right=range(len(shown.heads) - 1)))
    click.echo()
    _item("which buy", [f"{row.number}  {row.buys}" for row in shown.rows])
    click.echo()
    _item("in total", [f"{row.number}  {_bar(row)}" for row in shown.rows])
    _item("", [shown.bars])
    _item("heed", shown.about)


def _bar(row: ChoiceRow) -> str:
    metal = round(BAR * row.plate_share)
    return "#" * metal + "=" * (round(BAR * (row.plate_share + row.time_share)) - metal)


def _item(name: str, texts: Iterable[str]) -> None:
    """Texts under one name, which stands before the first only."""
    for number, text in enumerate(texts):
        say(f"  {'' if number else name:<17}{text}")


def table(rows: Sequence[Sequence[str]], right: Sequence[int]) -> list[str]:
    """Rows as lines of even columns; columns in `right` are set flush right.

    >>> table([("width", "n"), ("50", "6")], right=(0, 1))
    ['width  n', '   50  6']
    """
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(w) if n in right else cell.ljust(w) for n, (cell, w) in enumerate(zip(row, wide, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return lines
