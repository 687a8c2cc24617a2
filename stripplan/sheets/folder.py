"""All files of a plan into one folder: whole or not at all."""

from __future__ import annotations

import fnmatch
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from ..errors import Fault, InputError
from ..model.plan import Plan
from .choices import DxfVersion, Form, Page

OURS = (
    "plan.json", "setup-sheet.pdf", "setup-sheet*.png", "plate-P*.dxf", "plate-P*.svg", "plate-P*.png", "job.dxf", "cut-list.csv",
    "labels.pdf", "sequence-P*.svg", "step-*.svg", "step-*.png", "notebook.pdf", "chart-*.svg",
)  # fmt: skip
"""Names of files that a folder of ours may hold and that a new plan or report replaces."""


def contents(
    plan: Plan, *, page: Page = "a4", form: Form = "full", dxf_version: DxfVersion = "R2000"
) -> dict[str, bytes]:
    """Every file of a plan by name."""
    from . import dxf, pdf, plan_json, svg, table

    plan = plan_json.as_filed(plan)
    files = {
        "plan.json": plan_json.plan_text(plan).encode(),
        "setup-sheet.pdf": pdf.setup_sheet(plan, page=page, form=form),
        "cut-list.csv": table.cut_list(plan).encode(),
        "job.dxf": dxf.job_drawing(plan, version=dxf_version),
    }
    for plate in plan.plates:
        files[f"plate-{plate.id}.dxf"] = dxf.plate_drawing(plan, plate.id, version=dxf_version)
        files[f"plate-{plate.id}.svg"] = svg.plate_picture(plan, plate.id).encode()
    return files


def write_all(
    plan: Plan, folder: Path, *, page: Page = "a4", form: Form = "full", dxf_version: DxfVersion = "R2000"
) -> tuple[Path, ...]:
    """Write all files of a plan into `folder`, as `write_files` does."""
    check_folder(folder)
    return write_files(contents(plan, page=page, form=form, dxf_version=dxf_version), folder)


def write_files(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files into `folder`; what lay there before is replaced only if it was all ours.

    Written beside the folder first and renamed at the end, so that nothing is ever half there. A link is
    followed and stays. Raises InputError where the folder cannot be written or holds something else.
    """
    folder = Path(folder)
    check_folder(folder)
    place = _real(folder)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        new = Path(tempfile.mkdtemp(prefix=f".{place.name[:40]}-", dir=place.parent))
    except OSError as error:
        raise _cannot_write(folder, error) from None
    try:
        for name, data in files.items():
            (new / name).write_bytes(data)
        new.chmod(0o755)
        _exchange(new, place)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    finally:
        shutil.rmtree(new, ignore_errors=True)
    return tuple(folder / name for name in files)


def write_file(file: Path, data: bytes) -> None:
    """One file, whole or not at all: written beside its place first. Raises InputError where it cannot be."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{file.name[:40]}-", dir=file.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
            Path(name).chmod(0o644)
            Path(name).replace(file)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        words = f"it cannot be written: {error.strerror or error}"
        raise InputError(Fault("cannot_write", str(file), words, "choose another --out")) from None


def check_folder(folder: Path) -> None:
    """InputError if the folder is where the program runs, or exists and holds anything that is not ours."""
    try:
        if Path.cwd().is_relative_to(_real(folder)):
            raise _in_the_way(folder, "the command runs in this folder", "choose a folder inside it for --out")
        if not folder.exists():
            return
        if not folder.is_dir():
            raise _in_the_way(folder, "a file of that name is in the way", "choose another --out")
        foreign = sorted(each.name for each in folder.iterdir() if not _is_ours(each))
    except OSError as error:
        raise _cannot_write(folder, error) from None
    if foreign:
        held = f"the folder holds what no plan wrote: {', '.join(foreign[:3])}"
        raise _in_the_way(folder, held, "choose another --out, or move it away")


def _in_the_way(folder: Path, text: str, hint: str) -> InputError:
    return InputError(Fault("in_the_way", str(folder), text, hint))


def _real(folder: Path) -> Path:
    """The folder itself, whatever links lead to it and wherever the program runs."""
    return Path(os.path.realpath(folder))


def _is_ours(path: Path) -> bool:
    """Whether a plan may have written it: a plain file of one of our names, never a folder or a link."""
    named = any(fnmatch.fnmatchcase(path.name, ours) for ours in OURS)
    return named and path.is_file() and not path.is_symlink()


def _exchange(new: Path, folder: Path) -> None:
    """Put the new folder in the old one's place; the old one comes back if that fails.

    Whatever stops it, the old folder is removed only once the new one stands: if it cannot even be
    put back, it is left beside `folder`, and the OSError says where.
    """
    if not folder.exists():
        new.rename(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}-", dir=folder.parent)) / "old"
    try:
        folder.rename(old)
        new.rename(folder)
    except BaseException:
        _put_back(old, folder)
        raise
    shutil.rmtree(old.parent, ignore_errors=True)


def _put_back(old: Path, folder: Path) -> None:
    """The old folder to its place again, and the empty folder that held it away."""
    if old.exists():
        try:
            old.rename(folder)
        except OSError as error:
            raise OSError(error.errno, f"{error.strerror}; what was there before is in {old}") from error
    old.parent.rmdir()


def _cannot_write(folder: Path, error: OSError) -> InputError:
    return InputError(
        Fault(
            "cannot_write",
            str(folder),
            f"the folder cannot be written: {error.strerror or error}",
            "choose another --out",
        )
    )
