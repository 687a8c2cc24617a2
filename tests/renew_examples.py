"""Plan every example and write its output: `python -m tests.renew_examples`."""

from __future__ import annotations

import subprocess
from pathlib import Path

from stripplan import load_job, plan
from stripplan.sheets.folder import write_all

ROOT = Path(__file__).parent.parent


def renew(into: Path) -> list[Path]:
    """Write each example's files below `into`; the folders written."""
    folders = []
    for job_file in sorted((ROOT / "examples").glob("*.toml")):
        job, rig = load_job(job_file)
        write_all(plan(job, rig), into / job_file.stem)
        folders.append(into / job_file.stem)
    return folders


def picture(sheet: Path, page: int) -> None:
    """A page of a sheet as a picture beside it, for README.md; pdftoppm of poppler-utils must be there."""
    stem = str(sheet.with_suffix(""))
    words = ["pdftoppm", "-f", str(page), "-l", str(page), "-r", "80", "-png", "-singlefile", str(sheet), stem]
    subprocess.run(words, check=True)


if __name__ == "__main__":
    for each in renew(ROOT / "output"):
        print(each.relative_to(ROOT))
    picture(ROOT / "output" / "strips" / "setup-sheet.pdf", page=3)
