"""The walk along a sheet: every claim of a plan in turn.

Nothing that writes the sheet is asked. A `Claim` is a run of words with the numbers that belong to it; claims are found
on paper in the order of reading, and between two of them no digit may stand. Where a figure is in the plan and can also
be reckoned from others, both must agree. Drawings are walked by place: what stands where on the plate.
"""

from __future__ import annotations

from typing import Any

from tests.sheets.pdf.walk.claims import Claim, Cursor, claim
from tests.sheets.pdf.walk.paper import Paper
from tests.sheets.pdf.walk.reckoning import Reckoning

_GOES = "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
FOOT = {
    "full": "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
    "Print 7 and 3.5 mm high for 1 and 0.7 m (NUREG-0700, 11.4.1.5).",
    "short": "Bold: new. Grey: as before. Carriage runs up the page, fence on the right. "
    "Print 5 and 2.8 mm high for 0.8 and 0.7 m (NUREG-0700, 11.4.1.5).",
    "full in": f"{_GOES}Print 0.28 and 0.14 in high for 40 and 28 in (NUREG-0700, 11.4.1.5).",
    "short in": f"{_GOES}Print 0.2 and 0.11 in high for 32 and 28 in (NUREG-0700, 11.4.1.5).",
}


class Walk:
    """A plan's claims, ready to be walked along one sheet or many."""

    def __init__(self, plan: dict[str, Any], form: str = "full", *, by_id: bool = True) -> None:
        self.reckoning, self.form, self.by_id = Reckoning(plan, form), form, by_id
        self.claims = self.reckoning.claims(by_id=by_id)
        self.foot = claim(FOOT[form] if plan["job"]["units"] == "mm" else FOOT[f"{form} in"])
        self._heads: list[Claim] = []

    def along(self, paper: Paper) -> None:
        """AstrayError where the sheet and the plan part."""
        if len(self._heads) != len(paper):
            self._heads = self.reckoning.heads(len(paper), by_id=self.by_id)
        cursor = Cursor(paper, self._heads, self.foot)
        for each in self.claims:
            cursor.take(each)
        cursor.end()
