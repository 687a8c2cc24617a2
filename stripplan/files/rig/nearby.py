"""Rig files that lie near the place where one was looked for, so that a slip in a name costs no search."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from stripplan.wording.message import Fact

MOST_LOOKED_AT = 200
"""So many TOML files are looked at: a home folder may hold thousands."""
LARGEST = 256 * 1024
"""Longer files are no rigs [bytes]."""
MOST_TOLD = 4
SCHEMA = "stripplan/rig/"


def rigs_nearby(path: Path) -> dict[str, Fact]:
    """Facts for a hint: a few rig files in the folder of a path that is not there and in the folders within it; where
    there is no such folder, in the one where the program was called.

    `rigs` may be typed in place of the path, those that are called alike first; `beside` is how a job in that folder
    names the first.
    """
    folder = path.parent if path.parent.is_dir() else Path()
    found = [each for each in islice(_toml_files(folder), MOST_LOOKED_AT) if is_rig(each)]
    found.sort(key=lambda each: (each.stem.lower() != path.stem.lower(), len(each.parts), str(each)))
    names = tuple(map(str, found[:MOST_TOLD]))
    if not names:
        return {"rigs": ()}
    return {"rigs": names, "first": names[0], "beside": found[0].relative_to(folder).as_posix()}


def _toml_files(folder: Path) -> Iterator[Path]:
    try:
        yield from sorted(folder.glob("*.toml"))
        for inner in sorted(each for each in folder.iterdir() if each.is_dir() and not each.name.startswith(".")):
            yield from sorted(inner.glob("*.toml"))
    except OSError:  # who may not look there is told nothing
        return


def is_rig(path: Path) -> bool:
    """Whether a file is a rig by its own words: its schema, or processes or a stroke and nothing to cut."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return False
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return False
    schema = data.get("schema")
    if isinstance(schema, str):
        return schema.startswith(SCHEMA)
    return bool(data.keys() & {"process", "stroke"}) and not data.keys() & {"plate", "part", "drive"}
