"""Time marks of a plan: when work on each plate begins, goes on and ends."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from stripplan.model.plan.cut import Cut
from stripplan.sheets.rows.lookup import Bench
from stripplan.sheets.rows.row_types import PlateMark
from stripplan.wording.figures import show_about, show_exact


def plate_marks(bench: Bench) -> Iterator[PlateMark]:
    """Plates in the order in which they are begun; a plate without a cut has none."""
    begun, passed = dict[int, float](), 0.0
    of: dict[str, list[Cut]] = {}
    for cut in bench.plan.cuts:
        begun[cut.number] = passed
        passed += cut.minutes.total
        of.setdefault(cut.plate, []).append(cut)
    for name, cuts in of.items():
        plate = bench.plates[name]
        back = next((later.number for one, later in pairwise(cuts) if later.number > one.number + 1), None)
        last = cuts[-1]
        yield PlateMark(
            plate=plate.id,
            stock=plate.stock,
            size=f"{bench.long(plate.length)} × {bench.long(plate.width)} × {show_exact(plate.thickness, bench.units)}",
            begins=(cuts[0].number, _about(begun[cuts[0].number])),
            again=None if back is None else (back, _about(begun[back])),
            ends=(last.number, _about(begun[last.number] + last.minutes.total)),
        )


def _about(minutes: float) -> str:
    return show_about(minutes) if minutes else ""
