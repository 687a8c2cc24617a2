"""A thing as a job file with its picture beside it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stripplan.cli.streams import say
from stripplan.cli.written_files import tell_untouched
from stripplan.errors import Fault, InputError

if TYPE_CHECKING:
    from stripplan.things.thing import Thing
    from stripplan.wording.show import Units


def write_thing(kind: str, size: str, keys: tuple[str, ...], given: dict[str, Any]) -> None:
    """Write the job file and the picture of a thing, and show its list with the sums."""
    from stripplan.cli.screen import Table, show
    from stripplan.sheets.file_writer import Made, write_files
    from stripplan.sheets.picture.thing import thing_svg
    from stripplan.things import typed_thing
    from stripplan.wording.show import Units, worded

    units = Units(given["units"], exact=True)
    sizes = _sizes(size, keys)
    thing = typed_thing(
        kind,
        {**given, **sizes},
        units=units.system,
        called=lambda key: size if key in sizes else f"--{key.replace('_', '-')}",
    )
    name = given["name"] or kind
    out = given["out"] or Path(f"{_file_name(name)}.toml")
    if out.suffix != ".toml":
        raise click.UsageError(f"--out names a job file, {out.name}.toml or the like; the picture lies beside it")
    files = {
        out.name: Made(_job_text(thing, name, given).encode(), "things"),
        out.with_suffix(".svg").name: Made(thing_svg(thing, name=name, units=units).encode(), "things"),
    }
    written = write_files(files, out.parent)
    tell_untouched(written)
    rows = [
        (each.name, worded(each.width.sum, units).text, "= " + _shown(each.width.mm, units),
         worded(each.length.sum, units).text, "= " + _shown(each.length.mm, units),
         _shown(each.thickness, units), str(each.quantity * given["times"]))
        for each in thing.pieces
    ]  # fmt: skip
    show(Table(("piece", "width", "", "length", "", "thick", "quantity"), tuple(rows), right=(6,)))
    say(f"Wrote {out} and {out.with_suffix('.svg')}.")
    if not given["plates"]:
        say("The job names no plate yet: add [[plate]] to it, or plan it with --rack.")


def _sizes(text: str, keys: tuple[str, ...]) -> dict[str, str]:
    """The outer sizes of a word like 800x600, still as they were typed. Raises InputError."""
    from stripplan.wording.message import Facts

    words = re.split("[xX×]", text)
    if len(words) != len(keys):
        facts = Facts(keys=tuple(keys), count=len(keys), example="x".join(("800", "600", "300")[: len(keys)]))
        raise InputError(Fault("thing", text[:60], facts, "thing.sizes"))
    return dict(zip(keys, words, strict=True))


def _shown(mm: float, units: Units) -> str:
    from stripplan.wording.message import length
    from stripplan.wording.show import show as shown

    return shown(length(mm), units)


def _file_name(name: str) -> str:
    from stripplan.sheets.file_names import plain_name

    return plain_name(name, instead="job")


def _job_text(thing: Thing, name: str, given: dict[str, Any]) -> str:
    """The job file. Raises InputError where it could not be read as a job."""
    from stripplan.files.job.in_units import shown_length
    from stripplan.files.job.read import job_from
    from stripplan.files.job.write import job_text
    from stripplan.files.toml.document import toml_from
    from stripplan.files.words import parse_plate
    from stripplan.things.typed import allowance_of

    units, material = given["units"], given["material"]
    named = {"material": material} if material else {}
    plates: list[dict[str, Any]] = []
    for number, word in enumerate(given["plates"], 1):
        plate = parse_plate(word, units=units, number=number, material=material)
        sizes = {"length": plate.length, "width": plate.width, "thickness": plate.thickness or thing.thickest}
        shown = {key: shown_length(mm, units) for key, mm in sizes.items()}
        count = {} if plate.quantity is None else {"quantity": plate.quantity}
        plates.append({"name": plate.name, **shown, **named, **count})
    lengths = {mm: shown_length(mm, units) for mm in thing.lengths}
    left = allowance_of(given["allowance"], units, "--allowance")
    parts = thing.table(shown=lengths, times=given["times"], allowance=left and shown_length(left, units))
    several = {"plate": plates} if plates else {}
    text = job_text({"name": name, "units": units, **several, "part": [{**each, **named} for each in parts]})
    job_from(toml_from(text, name=name, folder=Path()), name=name, rack=True)
    return text
