"""What a list of parts is read as, and the cells that it is read from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.errors import Fault
from stripplan.files.toml.quantities import ValueRefusedError
from stripplan.model.job import LeftOut
from stripplan.model.part import Part


@dataclass(frozen=True)
class CutList:
    """The parts of a list, what its reader should know about how it was read (`notes`), and in a drawing the layer of
    each part and what is left out."""

    parts: tuple[Part, ...]
    notes: tuple[Fault, ...] = ()
    layers: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


Cell = str | ValueRefusedError
"""What a cell says, or why that cannot be used."""

Row = tuple[int, Sequence[Cell]]
"""The number of a row, as a spreadsheet counts, and its cells."""
