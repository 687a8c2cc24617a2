"""Cold wall time of a 20-strip job with all outputs, as a ratio: `python -m tests.benchmarks.start_up`.

The yardstick is the import of the libraries that the outputs need, in the same run, interleaved.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

YARDSTICK = "import shapely, ezdxf, reportlab.pdfgen.canvas, networkx, pydantic"
ROUNDS = 9


def seconds(command: list[str]) -> float:
    """Wall time of a command [s]."""
    begin = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - begin


def main() -> None:
    """Print the medians and their ratio."""
    job = Path(__file__).parents[2] / "examples" / "strips.toml"
    with tempfile.TemporaryDirectory() as folder:
        plan = [sys.executable, "-m", "stripplan", "plan", str(job), "--out", f"{folder}/out"]
        yardstick = [sys.executable, "-c", YARDSTICK]
        pairs = [(seconds(plan), seconds(yardstick)) for _ in range(ROUNDS)]
    ours, theirs = (statistics.median(each) for each in zip(*pairs, strict=True))
    print(f"plan {ours:.3f} s, imports {theirs:.3f} s, ratio {ours / theirs:.2f}")


if __name__ == "__main__":
    main()
