"""How long a cold `stripplan plan` takes beside the import of its libraries: `python tests/benchmarks/start_up.py`.

Both run as fresh processes by turns, so that a busy machine slows both alike; what is printed is the ratio
of the medians. Not part of the test run.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
REPEATS = 15
IMPORTS = ["-c", "import shapely, ezdxf, reportlab.pdfgen.canvas, networkx, pydantic"]
PLAN = ["-m", "stripplan", "plan", str(ROOT / "examples" / "strips.toml"), "--quiet"]
HELP = ["-m", "stripplan", "--help"]


def seconds(words: list[str], folder: str) -> float:
    """Wall time of one fresh interpreter [s]."""
    start = time.perf_counter()
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, *words], cwd=folder, env=environment, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main() -> None:
    """Measure by turns and print medians and ratio."""
    runs = {"imports": IMPORTS, "plan of 20 strips": PLAN, "--help": HELP}
    taken: dict[str, list[float]] = {name: [] for name in runs}
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(REPEATS + 1):
            for name, words in runs.items():
                taken[name].append(seconds(words, folder))
    middle = {name: statistics.median(each[1:]) for name, each in taken.items()}  # the first round warms the disk
    for name, value in middle.items():
        print(f"{name + ':':<20}{1000 * value:6.0f} ms")
    print(f"plan / imports: {middle['plan of 20 strips'] / middle['imports']:.2f}")


if __name__ == "__main__":
    main()
