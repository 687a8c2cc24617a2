"""Rows of a notebook written, corrected and left out by the shell command."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stripplan.model.rig import Rig


def change_rows(path: Path, rig: Rig, *, add: Sequence[str], change: Sequence[str], ignore: Sequence[str]) -> None:
    """Change rows of a notebook as they were typed, all or none; the text before lies beside it as NAME.bak.

    Raises InputError where a row cannot be, or the rig is not known from the notebook any more.
    """
    from stripplan.files.notebook.edit import added, changed, check_row, ignored, notebook_in
    from stripplan.files.notebook.typed import typed_row
    from stripplan.files.toml.document import read_toml
    from stripplan.planner.notebook_change import check_change
    from stripplan.sheets.notebook_files import rewrite

    file, before, name = read_toml(path, name=path.name), path.read_bytes(), path.name
    units, processes = str(file.data.get("units", "mm")), [each.name for each in rig.processes]
    text = before
    for each in change:
        row = typed_row(each, numbered=True)
        text = changed(text, row.kind, row.number or 0, row.values, name=name)
    for each in ignore:
        row = typed_row(each, numbered=True)
        text = ignored(text, row.kind, row.number or 0, name=name)
    for each in add:
        row = typed_row(each, numbered=False)
        check_row(row.kind, row.text, processes, units=units)
        text = added(text, row.kind, row.text, name=name)
    check_change(rig, notebook_in(before, file), notebook_in(text, file))
    rewrite(path, before, text, kept=path.with_name(f"{path.name}.bak"))
