"""`stripplan plan`: from a job, or a plate and a list, to a folder of sheets and drawings."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from ..model.job import Job
    from ..model.plan import Plan
    from ..model.rig import Rig


@click.command()
@click.argument("what", nargs=-1, metavar="JOB.toml | PART ...")
@click.option("--plate", "plates", multiple=True, metavar="LENGTHxWIDTH[xTHICKNESS][*N]", help="A plate, e.g. 2000x1000x6.")
@click.option("--list", "cut_list", type=click.Path(path_type=Path), help="A CSV list of parts.")
@click.option("--material", help="Material of the plates given by --plate.")
@click.option("--trim", metavar="LENGTH", help="Scrap to take off mill edges.")
@click.option("--rig", "rig_name", metavar="FILE|NAME", help="Rig profile; left out: the job's, or the built-in one.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder to write; left out: output/<name of the job>.")
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units to read and show.")
@click.option("--seed", type=click.IntRange(0), help="Seed of the search.")
@click.option("--steps", type=click.IntRange(0), help="Search steps: more may find a better plan.")
@click.option("--seconds", type=click.FloatRange(0, min_open=True), help="Cap on the search time.")
@click.option("--partial", is_flag=True, help="Plan the rest where some part cannot be made.")
@click.option("--page", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper of the sheet.")
@click.option("--json", "as_json", is_flag=True, help="Print only plan.json, write no files.")
@click.option("--quiet", is_flag=True, help="Print nothing but faults.")
def plan(
    what: tuple[str, ...],
    plates: tuple[str, ...],
    cut_list: Path | None,
    material: str | None,
    trim: str | None,
    rig_name: str | None,
    out: Path | None,
    units: str | None,
    seed: int | None,
    steps: int | None,
    seconds: float | None,
    partial: bool,
    page: str,
    as_json: bool,
    quiet: bool,
) -> None:
    """Plan a job and write its setup sheet, drawings and lists.

    Either a job file, or plates with --plate and parts as words: WIDTHxQUANTITY for strips as long as
    the plate, WIDTHxLENGTHxQUANTITY for rectangles, NAME= in front if wanted:

        stripplan plan --plate 2000x1000x6 50x6 75x4 shelf=120x300x2
    """
    job, rig = _given(what, plates, cut_list, material, rig_name, units or "mm")
    job = _with_options(job, units, trim, seed, steps, seconds, partial)
    folder = out or Path("output") / safe_name(job.name)
    talk = not quiet and not as_json
    if talk:
        echo_parts(job)
    if not as_json:
        from ..sheets.folder import check_folder

        check_folder(folder)
    from ..planner import plan as front_door

    made = front_door(job, rig, made_at=made_at())
    if as_json:
        from ..sheets.plan_json import plan_text

        click.echo(plan_text(made), nl=False)
        return
    from ..sheets.folder import write_all

    paths = write_all(made, folder, page=page)
    if talk:
        echo_plan(made, folder, len(paths))


def _given(
    what: tuple[str, ...], plates: tuple[str, ...], cut_list: Path | None, material: str | None, rig_name: str | None,
    units: str,
) -> tuple[Job, Rig]:  # fmt: skip
    from ..files.rig_toml import load_rig

    if len(what) == 1 and what[0].lower().endswith(".toml"):
        if plates or cut_list or material:
            raise click.UsageError("give a job file, or --plate with parts, not both")
        from ..files.job_toml import load_job

        job, rig = load_job(Path(what[0]))
        return job, load_rig(rig_name) if rig_name else rig
    if not plates:
        raise click.UsageError("give a job file, or --plate with parts: stripplan plan --plate 2000x1000x6 50x6 75x4")
    return _typed(what, plates, cut_list, material, units), load_rig(rig_name)


def _typed(what: tuple[str, ...], plates: tuple[str, ...], cut_list: Path | None, material: str | None, units: str) -> Job:
    from ..errors import Fault, InputError
    from ..files.arguments import parse_part, parse_plate
    from ..files.job_toml import check_job
    from ..files.tables import load_cut_list
    from ..model.job import Job

    faults: list[Fault] = []
    parts, stock = [], []
    for number, word in enumerate(what, 1):
        try:
            parts.append(parse_part(word, units=units, number=number))
        except InputError as error:
            faults += error.faults
    for number, word in enumerate(plates, 1):
        try:
            stock.append(parse_plate(word, units=units, number=number, material=material))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    if cut_list is not None:
        parts += load_cut_list(cut_list, units=units)
    job = Job(name=cut_list.stem if cut_list else "job", plates=tuple(stock), parts=tuple(parts))
    check_job(job, "the command line")
    return job


def _with_options(
    job: Job, units: str | None, trim: str | None, seed: int | None, steps: int | None, seconds: float | None, partial: bool
) -> Job:
    from ..errors import Fault, InputError
    from ..model.units import parse_length

    effort = job.options.effort
    effort = replace(
        effort,
        seed=effort.seed if seed is None else seed,
        steps=effort.steps if steps is None else steps,
        seconds=effort.seconds if seconds is None else seconds,
    )
    options = replace(job.options, effort=effort, partial=job.options.partial or partial)
    if trim is not None:
        try:
            options = replace(options, trim=parse_length(trim, units or job.units))
        except ValueError as error:
            raise InputError(Fault("length", "--trim", str(error))) from None
    return replace(job, options=options, units=units or job.units)  # type: ignore[arg-type]


def made_at() -> str | None:
    """The date for the plan where SOURCE_DATE_EPOCH asks for one; no clock is read."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(epoch), UTC).isoformat() if epoch.isdigit() else None


def safe_name(name: str) -> str:
    """A job's name as the name of a folder on any machine."""
    kept = "".join(letter if letter.isalnum() or letter in "-_" else "-" for letter in name.strip().lower())
    return "-".join(filter(None, kept.split("-")))[:60] or "job"


def echo_parts(job: Job) -> None:
    """The list as it was understood, so that a slip of the finger shows."""
    from ..model.part import Rectangle
    from ..model.units import show_length

    rows = [("", "part", "width", "length", "quantity")]
    for number, part in enumerate(job.parts, 1):
        length = show_length(part.length, job.units) if isinstance(part, Rectangle) else "as the plate"
        rows.append((str(number), part.name, show_length(part.width, job.units), length, str(part.quantity)))
    rows.append(("", "", "", "in all", str(sum(part.quantity for part in job.parts))))
    click.echo(f"{job.name}: lengths in {job.units}")
    _table(rows, right=(0, 2, 3, 4))
    for plate in job.plates:
        count = "as needed" if plate.limit is None else f"at most {plate.limit}"
        click.echo(f"Plate {plate.name}: {show_length(plate.length, job.units)} x {show_length(plate.width, job.units)}, {count}")


def _table(rows: list[tuple[str, ...]], right: tuple[int, ...]) -> None:
    wide = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(wide[n]) if n in right else cell.ljust(wide[n]) for n, cell in enumerate(row)]
        click.echo("  " + "  ".join(cells).rstrip())


def echo_plan(made: Plan, folder: Path, count: int) -> None:
    """What came out: figures, proof, offcuts, warnings, where the files are."""
    from ..sheets.rows import sheet

    rows = sheet(made)
    click.echo("")
    for what, figure in rows.totals:
        click.echo(f"  {what + ':':<26}{figure}")
    for text in rows.proof:
        click.echo(f"  {'Proof:':<26}{text}")
    for row in rows.offcuts:
        click.echo(f"  {'Left:':<26}{row.piece}, {row.size}, {row.mass}")
    for text in (*rows.measure_first, *rows.warnings):
        click.echo(f"  {'Note:':<26}{text}")
    click.echo(f"\n{count} files in {folder}; read setup-sheet.pdf at the rig.")
