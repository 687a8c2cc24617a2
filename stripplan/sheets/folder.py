"""All files of a plan into one folder: whole or not at all."""

from __future__ import annotations

import fnmatch
import shutil
import tempfile
from pathlib import Path
from typing import Literal

from ..errors import Fault, InputError
from ..model.plan import Plan

Page = Literal["a4", "letter"]

OURS = ("plan.json", "setup-sheet.pdf", "setup-sheet*.png", "plate-P*.dxf", "plate-P*.svg", "job.dxf", "cut-list.csv")
"""Names of files that a plan's folder may hold and that a new plan replaces."""


def contents(plan: Plan, *, page: Page = "a4") -> dict[str, bytes]:
    """Every file of a plan by name."""
    from . import dxf, pdf, plan_json, svg, table

    files = {
        "plan.json": plan_json.plan_text(plan).encode(),
        "setup-sheet.pdf": pdf.setup_sheet(plan, page=page),
        "cut-list.csv": table.cut_list(plan).encode(),
        "job.dxf": dxf.job_drawing(plan),
    }
    for plate in plan.plates:
        files[f"plate-{plate.id}.dxf"] = dxf.plate_drawing(plan, plate.id)
        files[f"plate-{plate.id}.svg"] = svg.plate_picture(plan, plate.id).encode()
    return files


def write_all(plan: Plan, folder: Path, *, page: Page = "a4") -> tuple[Path, ...]:
    """Write all files of a plan into `folder`; what lay there before is replaced only if it was all ours.

    Written beside the folder first and renamed at the end, so that nothing is ever half there. Raises
    InputError where the folder cannot be written or holds something else.
    """
    folder = Path(folder)
    check_folder(folder)
    files = contents(plan, page=page)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        new = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}-", dir=folder.parent))
    except OSError as error:
        raise _cannot_write(folder, error) from None
    try:
        for name, data in files.items():
            (new / name).write_bytes(data)
        new.chmod(0o755)
        _exchange(new, folder)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    finally:
        shutil.rmtree(new, ignore_errors=True)
    return tuple(folder / name for name in files)


def check_folder(folder: Path) -> None:
    """InputError if the folder exists and holds anything that is not ours."""
    if not folder.exists():
        return
    if not folder.is_dir():
        raise InputError(Fault("in_the_way", str(folder), "a file of that name is in the way", "choose another --out"))
    foreign = sorted(
        each.name for each in folder.iterdir() if not any(fnmatch.fnmatchcase(each.name, ours) for ours in OURS)
    )
    if foreign:
        raise InputError(
            Fault(
                "in_the_way",
                str(folder),
                f"the folder holds what no plan wrote: {', '.join(foreign[:3])}",
                "choose another --out, or move it away",
            )
        )


def _exchange(new: Path, folder: Path) -> None:
    """Put the new folder in the old one's place; the old one comes back if that fails."""
    if not folder.exists():
        new.rename(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}-", dir=folder.parent)) / "old"
    folder.rename(old)
    try:
        new.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    finally:
        shutil.rmtree(old.parent, ignore_errors=True)


def _cannot_write(folder: Path, error: OSError) -> InputError:
    return InputError(
        Fault(
            "cannot_write",
            str(folder),
            f"the folder cannot be written: {error.strerror or error}",
            "choose another --out",
        )
    )
