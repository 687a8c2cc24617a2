"""The sentences, by code: one module for each room that has something to say.

A sentence is what is so, and a hint at what would help. Either may be a function of the facts that gives the text,
where the words depend on them. How fields in a text are written: `wording.show`.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from importlib import import_module

from stripplan.wording.sentence import Sentence

ROOMS: tuple[str, ...] = (
    "files",
    "plan_file",
    "planner",
    "notebook",
    "rig",
    "layout",
    "sheets",
    "things",
    "book",
    "web",
    "cli",
)
"""Modules and rooms of this room, each with a table `SENTENCES`."""


@functools.cache
def all_sentences() -> Mapping[str, Sentence]:
    """Every sentence by its key. ValueError where two rooms use one key."""
    found: dict[str, Sentence] = {}
    for room in ROOMS:
        table: Mapping[str, Sentence] = import_module(f"{__name__}.{room}").SENTENCES
        if twice := found.keys() & table.keys():
            raise ValueError(f"{room}: there is a sentence for {', '.join(sorted(twice))} already")
        found |= table
    return found


def sentence_of(key: str) -> Sentence:
    """The sentence of a key; KeyError where there is none."""
    return all_sentences()[key]
