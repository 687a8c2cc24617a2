"""Prints the lowest release of each dependency that pyproject.toml allows, as constraints for pip."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

PROJECT = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def lowest(wanted: str) -> str:
    """The release at the floor.

    >>> lowest("highspy>=1.11,!=1.16.0"), lowest("reportlab[accel]>=4.2")
    ('highspy==1.11', 'reportlab==4.2')
    """
    found = re.fullmatch(r"([A-Za-z0-9._-]+)(?:\[[^\]]*\])?>=([0-9.]+)(?:,.*)?", wanted)
    assert found is not None, f"{wanted} states no floor"
    return f"{found[1]}=={found[2]}"


if __name__ == "__main__":
    print("\n".join(map(lowest, [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["xlsx"]])))
