"""`stripplan plan --rack`: what a job takes off the rack, promised to it together with its files."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from stripplan.cli.rack.opening import now, opened
from stripplan.cli.streams import say

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.model.job import Job
    from stripplan.model.plan.plan import Plan
    from stripplan.model.rack.buying import ToBuy
    from stripplan.model.rack.piece import RackPiece
    from stripplan.model.rig import Rig


class RackOfJob:
    """The rack as one job sees it: what it may take, and what its plan took."""

    def __init__(self, book_file: Path | None, job: Job, rig: Rig, rest_of: str = "") -> None:
        """Look the pieces up that are free or reserved for the job, and tell what was left out; of the rest of the plan
        `rest_of` also what was still to be cut of them (`left`, None where that is nothing). Raises InputError."""
        from stripplan.book.offered import offered
        from stripplan.planner import left_on_rack, off_rack, to_be_cut

        with opened(book_file, create=True) as book:
            self._file = book.path
            there = offered(book, job)
            begun = _begun(book, rest_of, there.pieces) if rest_of else None
        stay = to_be_cut(*begun) if begun else frozenset[int]()
        self._rack = off_rack(job, rig, there.pieces, there.rules, stay=stay, costs=there.costs)
        left = left_on_rack(*begun, self._rack.kinds) if begun and self._rack.kinds else None
        self.left = left if left is not None and left.cuts else None
        self.job = self._rack.job
        self.taken: dict[str, int] = {}
        for each in self._rack.said:
            say(f"note: {each}", err=True)

    def named(self, made: Plan) -> Plan:
        """The plan with the names of its very pieces."""
        self.taken = self._rack.taken(made)
        return self._rack.named(made)

    def promise(self, made: Plan, then: Callable[[], None]) -> None:
        """Promise the pieces of a plan to it in the book, and write its files: both, or neither. Raises InputError
        where a piece went to another plan meanwhile.
        """
        from stripplan.book.plans import keep_plan
        from stripplan.sheets.plan_json import plan_text
        from stripplan.sheets.rows.plan_rows import plan_id

        with opened(self._file) as book:
            keep_plan(book, made, plan_id(made), plan_text(made), self.taken, now(), then=then)

    def show(self, made: Plan) -> None:
        """Which plate is which piece, where it lies, and what is to be bought."""
        from stripplan.cli.screen import Items, Line, show
        from stripplan.model.rack.buying import to_buy
        from stripplan.sheets.rows.plan_rows import plan_id
        from stripplan.sheets.rows.rack_piece import size_shown

        lines = []
        for plate in made.plates:
            if plate.id in self.taken:
                piece = self._rack.there[self.taken[plate.id]]
                place = f", lies: {piece.place}" if piece.place else ""
                other = f", {piece.material}" if piece.material != plate.material else ""
                lines.append(f"{plate.id} is {piece.name}, {size_shown(piece, made.job.units)}{other}{place}")
        bought = to_buy([(made, self.taken)])
        show(
            Line(),
            Items("rack", tuple(lines) or ("nothing of it is used",)),
            Items("to buy", tuple(line_to_buy(each, made.job.units) for each in bought) or ("nothing",)),
            Items("next", (f"when it is cut: stripplan done {plan_id(made)}",)),
        )


def _begun(book: Database, tag: str, free: Iterable[RackPiece]) -> tuple[Plan, dict[str, int]] | None:
    """What is left of a plan that ended before its last cut, and which piece of the rack each plate of that is; None
    where the book does not know the plan, which is told. Raises InputError where it has not ended.
    """
    from stripplan.book.database import refused
    from stripplan.book.day import day_of
    from stripplan.book.plans import kept_plan, plan_text_of
    from stripplan.files.plan.read import plan_from
    from stripplan.planner import left_to_cut

    text = plan_text_of(book, tag)
    if text is None:
        say(f"note: the book does not know plan {tag}, of which this is the rest: all is planned afresh", err=True)
        return None
    kept = kept_plan(book, tag)
    if not kept.done:
        raise refused(book.path, "not_ended", plan=tag, job=kept.job)
    left = left_to_cut(plan_from(text, name=f"plan {tag}"), {}, day_of(book, tag).progress)
    there = {each.number for each in free}
    of_code = {each.code: each.number for each in free}
    whole = {plate: number for plate, number in kept.plates.items() if number in there}
    cut = {each.id: of_code.get(f"stripplan:{tag}:{each.id}") for each in left.plates}
    gone = {plate: 0 for plate in kept.plates if plate not in whole}  # no piece has that number
    return left, {**gone, **whole, **{plate: number for plate, number in cut.items() if number is not None}}


def line_to_buy(each: ToBuy, units: str) -> str:
    """Plates to be bought in one line."""
    from stripplan.wording.quantity import show_length

    cost = "" if each.cost is None else f", {each.cost:.2f}"
    size = " × ".join(show_length(side, units) for side in (each.length, each.width, each.thickness))
    return f"{each.count} of {size}{' mm' * (units == 'mm')} {each.material}, {each.mass:.1f} kg{cost}"
