"""CSV cut lists as spreadsheets write them: forgiving headers, `,` `;` or tab, decimal commas where they are clear."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from stripplan.files.parts.lists.csv_rows import csv_rows, decoded
from stripplan.files.parts.lists.cut_list import CutList
from stripplan.files.parts.lists.headers import is_known
from stripplan.files.parts.lists.table import parts_from_rows


def read_cut_list(path: Path | str, *, units: str = "mm", first: int = 1, asked: bool = False) -> CutList:
    """Parts from a CSV file, with notes; a row without length is a strip, one without name is part `first`, `first` + 1
    ...

    `units` are those of bare numbers where neither the column's header nor a title names one; where they were `asked`
    for, they go before a title. Raises InputError with every faulty row.
    """
    path = Path(path)
    text, notes = decoded(path)
    rows = csv_rows(text, path.name, known=is_known)
    listed = parts_from_rows(rows, path.name, units=units, first=first, asked=asked)
    return replace(listed, notes=(*notes, *listed.notes))
