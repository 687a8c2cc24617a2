"""Write what the commands print, the manual page and the screen in README.md anew: `python -m tests.renew_console`."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.cli.test_snapshots import COMMANDS, SNAPSHOTS, screen
from tests.man_page import PAGE, man_page
from tests.renew_examples import ROOT, renew_readme

if __name__ == "__main__":
    SNAPSHOTS.mkdir(exist_ok=True)
    for path in SNAPSHOTS.iterdir():
        path.unlink()
    for name in COMMANDS:
        with tempfile.TemporaryDirectory() as folder:
            (SNAPSHOTS / f"{name}.txt").write_text(screen(name, Path(folder)), encoding="utf-8")
        print((SNAPSHOTS / f"{name}.txt").relative_to(ROOT))
    PAGE.write_text(man_page(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
    renew_readme()
