"""Plan every example, and write its output and the screen in README.md: `python -m tests.renew_examples`."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

from stripplan import load_job, load_rig, plan, report
from stripplan.sheets.file_writer import Made, write_files
from stripplan.sheets.folder import write_all
from stripplan.sheets.notebook_files import notebook_files
from tests.cli.running import run

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
TYPED = "plan --plate 1250x1000x6 50x6 75x4 shelf=120x300x2"
"""The command whose screen README.md shows."""


EXAMPLES = [*sorted(path.stem for path in (ROOT / "examples").glob("*.toml")), "shed-rig"]
"""Jobs, and a rig with its notebook."""


def renew(name: str, into: Path) -> Path:
    """Write the files of one example below `into`; the folder written."""
    folder = into / name
    shutil.rmtree(folder, ignore_errors=True)  # what a merge brought counts as a person's
    if name == "shed-rig":
        files = notebook_files(report(load_rig(ROOT / "examples" / name / "rig.toml")), title="first weeks")
        write_files({each: Made(data, "notebook") for each, data in files.items()}, folder, stale="notebook")
    else:
        write_all(plan(*load_job(ROOT / "examples" / f"{name}.toml")), folder)
    return folder


def picture(sheet: Path, page: int, into: Path) -> None:
    """A page of a sheet as a PNG for README.md, beside the folders of the jobs;
    pdftoppm of poppler-utils must be there.
    """
    words = ["pdftoppm", "-f", str(page), "-l", str(page), "-r", "80", "-png", "-singlefile"]
    subprocess.run([*words, str(sheet), str(into.with_suffix(""))], check=True)


def screen() -> str:
    """What the command in README.md prints."""
    with tempfile.TemporaryDirectory() as folder:
        return run(*TYPED.split(), folder=Path(folder)).stdout


def renew_readme() -> None:
    """Put the screen into README.md."""
    block = f"```text\n{screen()}```"
    text = README.read_text(encoding="utf-8")
    README.write_text(re.sub(r"```text\n.*?```", lambda _: block, text, flags=re.DOTALL), encoding="utf-8")


if __name__ == "__main__":
    for each in EXAMPLES:
        print(renew(each, ROOT / "output").relative_to(ROOT))
    picture(ROOT / "output" / "strips" / "setup-sheet.pdf", 3, ROOT / "output" / "setup-sheet.png")
    renew_readme()
