"""Plan every example and write its output: `python -m tests.renew_examples`."""

from __future__ import annotations

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


if __name__ == "__main__":
    for each in renew(ROOT / "output"):
        print(each.relative_to(ROOT))
