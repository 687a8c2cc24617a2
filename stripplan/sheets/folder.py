"""All files of a plan, and into a folder: whole or not at all, and beside what a person keeps there."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from pathlib import Path
from typing import get_args

from stripplan.model.plan.plan import Plan
from stripplan.sheets.file_names import unlike
from stripplan.sheets.file_writer import Entry, Former, Kind, Made, Written, entry_of, is_as_written, write_files
from stripplan.sheets.file_writer import check_folder as check_names
from stripplan.sheets.file_writer import write_file as write_file
from stripplan.sheets.options import Cautions, DxfVersion, Form, Page
from stripplan.sheets.rows.plan_rows import plan_id

SHEET = "setup-sheet.pdf"
POSTER = "cautions.pdf"
"""The poster that hangs at the rig."""
NAMES = re.compile(
    r"plan\.json|setup-sheet\.pdf|cautions\.pdf|cut-list\.csv|job\.dxf|plate-P[0-9]+\.(dxf|svg)|quotation-[^/\\]+\.pdf"
)
"""What the files of a plan may be called that was made here."""


def contents(
    plan: Plan,
    *,
    page: Page = "a4",
    form: Form = "full",
    cautions: Cautions = "with",
    dxf_version: DxfVersion = "R2000",
) -> dict[str, bytes]:
    """Every file of a plan by name."""
    from stripplan.sheets import cut_list_csv, plan_json
    from stripplan.sheets.picture import svg

    plan = plan_json.as_filed(plan)
    names = plate_names(plan)
    return {
        "plan.json": plan_json.plan_text(plan).encode(),
        **sheets(plan, page=page, form=form, cautions=cautions),
        "cut-list.csv": cut_list_csv.cut_list(plan).encode(),
        **_drawings(plan, dxf_version),
        **{f"plate-{names[plate.id]}.svg": svg.plate_picture(plan, plate.id).encode() for plate in plan.plates},
        **_quotations(plan, page),
    }


def _quotations(plan: Plan, page: Page) -> dict[str, bytes]:
    """A quotation for each of several jobs."""
    if not plan.job.jobs:
        return {}
    from stripplan.sheets.pdf.jobs import job_quotation

    jobs = [each.name for each in plan.jobs]
    names = unlike([each.lower() for each in jobs], instead="job")
    return {f"quotation-{name}.pdf": job_quotation(plan, job, page=page) for name, job in zip(names, jobs, strict=True)}


def sheets(
    plan: Plan, *, page: Page, form: Form, cautions: Cautions = "with", checked: bool = True
) -> dict[str, bytes]:
    """The setup sheet, and the poster of cautions where it is printed once."""
    from stripplan.sheets.pdf.setup_sheet import poster, setup_sheet

    made = {SHEET: setup_sheet(plan, page=page, form=form, cautions=cautions, checked=checked)}
    return made if cautions == "with" else made | {POSTER: poster(plan, page=page, form=form)}


def plate_names(plan: Plan) -> dict[str, str]:
    """Each plate's id as part of a file's name: in a plan from elsewhere it may be any text."""
    ids = [plate.id for plate in plan.plates]
    return dict(zip(ids, unlike(ids, instead="plate"), strict=True))


def _drawings(plan: Plan, version: DxfVersion) -> dict[str, bytes]:
    from stripplan.sheets.dxf import drawing

    names = plate_names(plan)
    files = {"job.dxf": drawing.job_drawing(plan, version=version)}
    for plate in plan.plates:
        files[f"plate-{names[plate.id]}.dxf"] = drawing.plate_drawing(plan, plate.id, version=version)
    return files


def all_files(
    plan: Plan,
    *,
    page: Page = "a4",
    form: Form = "full",
    cautions: Cautions = "with",
    dxf_version: DxfVersion = "R2000",
) -> dict[str, Made]:
    """All files of a plan, ready to be written by `write_plan`."""
    return _made(contents(plan, page=page, form=form, cautions=cautions, dxf_version=dxf_version), plan)


def write_plan(
    files: Mapping[str, Made], folder: Path, *, inputs: Iterable[Path] = (), former: Former | None = None
) -> Written:
    """Write the files of a plan into `folder` in place of those of the plan before, as `write_files` does."""
    return write_files(files, folder, stale="plan", inputs=inputs, former=former)


def write_all(plan: Plan, folder: Path) -> Written:
    """Write all files of a plan (`stripplan.plan`, `stripplan.load_plan`) into `folder`, in place of those of the plan
    before; raises InputError, and then nothing is written, where files of the person's own would be overwritten.
    """
    return write_plan(all_files(plan), folder)


def check_folder(folder: Path, *, inputs: Iterable[Path] = (), former: Former | None = None) -> None:
    """InputError where a plan may not be written into `folder`, before it is sought."""
    check_names(folder, NAMES, kinds=("plan", "sheet"), inputs=inputs, former=former)


def recognised(place: Path, plan: Plan) -> dict[str, Entry]:
    """Files that an edition without list wrote for the plan that lies in a folder: those that it gives again to the
    byte.

    Whatever else is there may be a person's: a file that was changed, or that another edition drew otherwise, is not
    told apart from it. The plan file counts where one of its papers or drawings lies with it; alone it may have come
    from anywhere.
    """
    found: dict[str, Entry] = {}
    sought: set[str] = set()
    for files in _again(plan):
        sought = sought or set(files)
        for name, made in _made(files, plan).items():
            if name not in found and is_as_written(place / name, entry_of(made)):
                found[name] = entry_of(made)
        if not sought - set(found):
            break
    return found if len(found) > 1 else {}


def _again(plan: Plan) -> Iterator[Mapping[str, bytes]]:
    """Every file of a plan, with every choice that a command leaves."""
    from stripplan.sheets import plan_json

    yield contents(plan)
    plan = plan_json.as_filed(plan)
    for page, form in list(product(get_args(Page), get_args(Form)))[1:]:
        yield sheets(plan, page=page, form=form)
    for version in get_args(DxfVersion)[1:]:
        yield _drawings(plan, version)


def _made(files: Mapping[str, bytes], plan: Plan) -> dict[str, Made]:
    kinds: dict[str, Kind] = {SHEET: "sheet", POSTER: "sheet"}
    made_from = plan_id(plan)
    return {name: Made(data, kinds.get(name, "plan"), made_from) for name, data in files.items()}
