"""A list of parts in whatever file it comes: CSV, a workbook, or a drawing of their outlines."""

from __future__ import annotations

from pathlib import Path

from ..errors import Fault, InputError
from .faults import capped
from .tables import CutList, read_cut_list


def read_list(path: Path | str, *, units: str = "mm", first: int = 1) -> CutList:
    """The parts of a list, told apart by the file's ending; what a drawing holds that is no part is among the notes.

    Raises InputError, also where a drawing holds no part.
    """
    path = Path(path)
    ending = path.suffix.lower()
    if ending == ".xlsx":
        from .workbook import read_workbook

        return read_workbook(path, units=units, first=first)
    if ending == ".dxf":
        from .dxf_parts import read_dxf_parts

        drawn = read_dxf_parts(path, first=first)
    elif ending == ".svg":
        from .svg_parts import read_svg_parts

        drawn = read_svg_parts(path, first=first)
    else:
        return read_cut_list(path, units=units, first=first)
    skipped = tuple(
        Fault("skipped", f"{path.name}, {each.where}", f"{each.what} is not taken: {each.why}")
        for each in drawn.skipped
    )
    if not drawn.parts:
        hint = "draw each part as a closed rectangle of straight lines"
        raise InputError(capped([Fault("no_part", path.name, "the drawing holds no part", hint), *skipped]))
    return CutList(drawn.parts, (*drawn.notes, *skipped))
