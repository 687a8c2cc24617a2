"""Ticks that are made elsewhere than in the book, as on the page, and told to it: each is taken over once, and what the
book says then holds everywhere.

Whoever ticks numbers his steps upward and keeps them until the book has them. The number of the last one lies in the
book, written in the transaction that takes it over: told again after a kill, nothing happens twice, and nothing that
was ticked by another meanwhile is undone.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from stripplan.book.database import Database
from stripplan.book.day import NO_DRIFT, Day, cuts_said, day_in, remove_ticks, write_ticks
from stripplan.book.history import write_entry
from stripplan.book.plans import progress_in, state_of
from stripplan.model.plan.measure import ToMeasure, to_measure
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import Side
from stripplan.model.rack.salvage import not_salvaged


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing that was done at the rig: its number, when (ISO 8601), what became of which cut.

    A cut is `made`; it is `not made` after all, or `right` after all where it was spoilt; it has `spoilt` a `side`
    ("left", "right", "both"), of which `usable` is still good [mm]; after it a `size` was `measured` [mm], None takes
    that back.
    """

    number: int
    at: str
    what: Literal["made", "not made", "right", "spoilt", "measured"]
    cut: int
    side: str = ""
    note: str = ""
    usable: Mapping[Side, tuple[float, float]] = field(default_factory=dict)
    size: float | None = None


@dataclass(frozen=True, kw_only=True)
class Teller:
    """Who tells: the name of the store, the number of the newest step, the number up to which the book has told it to
    know them, the steps since, and `whole`, all that is ticked there, for a book that knows of nothing yet or was put
    back to an earlier day.
    """

    store: str
    newest: int
    known: int
    steps: Sequence[Step]
    whole: Sequence[Step]


@dataclass(frozen=True, kw_only=True)
class Standing:
    """How a plan stands in the book: whether it is done, its day, up to which step the teller was heard, and whether
    it is one that this book has heard of before."""

    done: bool
    day: Day
    heard: int
    joined: bool


def agree(book: Database, tag: str, teller: Teller, plan: Callable[[], Plan]) -> Standing | None:
    """Tell the book what it has not heard yet, and what it says then; None where it does not know the plan. Of a plan
    that is done no step is taken over: they wait until it is undone. Raises InputError.
    """
    with book.reading() as connection:
        standing = _standing(connection, tag, teller)
    if standing is None or not _to_tell(standing, teller):
        return standing
    with book.changing() as connection:
        standing = _standing(connection, tag, teller)
        if standing is None or not _to_tell(standing, teller):
            return standing
        if not standing.done:
            _take_over(connection, plan, tag, _news(standing, teller))
        connection.execute("INSERT OR REPLACE INTO told VALUES (?, ?, ?)", (tag, teller.store, teller.newest))
        return _standing(connection, tag, teller)


def leave(book: Database, tag: str, store: str, at: str) -> None:
    """What a store ticks of a plan is the book's no more, as it was deleted there: of one that is not done all ticks
    are taken back."""
    with book.changing() as connection:
        if state_of(connection, tag) == "planned":
            gone = remove_ticks(connection, tag, sizes="of all cuts")
            if gone:
                write_entry(connection, at, "unticked", plan=tag, note=f"on the page: {len(gone)} cuts")
        connection.execute("DELETE FROM told WHERE plan = ? AND store = ?", (tag, store))


def size_in_book(plan: Plan, number: int, size: float) -> ToMeasure | None:
    """What a size that was measured after a cut is held against; None where the book holds none of that cut, as it is
    a bevel, runs aslant, or the size is no drift."""
    cut = next((each for each in plan.cuts if each.number == number), None)
    known = None if cut is None else to_measure(plan, cut)
    return None if known is None or abs(size - known.expected) > NO_DRIFT else known


def _standing(connection: sqlite3.Connection, tag: str, teller: Teller) -> Standing | None:
    state = state_of(connection, tag)
    if state is None:
        return None
    asked = "SELECT step FROM told WHERE plan = ? AND store = ?"
    row = connection.execute(asked, (tag, teller.store)).fetchone()
    joined = row is not None and row[0] >= teller.known
    heard = row[0] if joined else teller.newest
    return Standing(done=state == "done", day=day_in(connection, tag), heard=heard, joined=joined)


def _to_tell(standing: Standing, teller: Teller) -> bool:
    return not standing.joined or bool(not standing.done and _news(standing, teller))


def _news(standing: Standing, teller: Teller) -> list[Step]:
    if not standing.joined:
        return list(teller.whole)
    return [each for each in teller.steps if each.number > standing.heard]


def _take_over(connection: sqlite3.Connection, plan_of: Callable[[], Plan], tag: str, steps: Sequence[Step]) -> None:
    """Steps in their order. What would contradict what was said of a cut elsewhere is left out: a cut that is known to
    have spoilt something is not untold by one that was unticked without a look."""
    if not steps:
        return
    plan = plan_of()
    last, ticked, unticked = max(each.number for each in plan.arcs), list[int](), list[int]()
    for step in steps:
        if not 1 <= step.cut <= last:
            continue
        row = connection.execute("SELECT spoilt FROM cut WHERE plan = ? AND number = ?", (tag, step.cut)).fetchone()
        if step.what == "measured":
            _measure(connection, plan, tag, step)
        elif step.what in ("made", "spoilt"):
            if step.what == "spoilt" or row is None:
                write_ticks(
                    connection, plan, tag, [step.cut], step.at, spoilt=step.side or None, note=step.note, on_page=True
                )
                _salvage(connection, plan, tag, step)
                ticked.append(step.cut)
        elif row is not None and (step.what == "right" or row[0] is None):
            unticked += remove_ticks(connection, tag, [step.cut], sizes="stay")
    for what, numbers in (("ticked", ticked), ("unticked", unticked)):
        if numbers:
            write_entry(connection, steps[-1].at, what, plan=tag, note=f"on the page: {cuts_said(numbers)}")


def _measure(connection: sqlite3.Connection, plan: Plan, tag: str, step: Step) -> None:
    known = None if step.size is None else size_in_book(plan, step.cut, step.size)
    connection.execute("DELETE FROM measured WHERE plan = ? AND cut = ?", (tag, step.cut))
    if known is not None:
        connection.execute(
            "INSERT INTO measured VALUES (?, ?, ?, ?, ?, ?, ?)",
            (tag, step.cut, known.piece, step.size, known.expected, int(known.on_fence), step.at),
        )


def _salvage(connection: sqlite3.Connection, plan: Plan, tag: str, step: Step) -> None:
    """What is still good of what a cut has spoilt, as far as it can be: a piece that was cut further meanwhile cannot
    be told about any more."""
    for side, size in step.usable.items():
        connection.execute("INSERT OR REPLACE INTO salvage VALUES (?, ?, ?, ?, ?)", (tag, step.cut, side, *size))
    wrong = {(each.facts["cut"], each.facts["side"]) for each in not_salvaged(plan, progress_in(connection, tag))}
    for side in step.usable:
        if (step.cut, side) in wrong:
            connection.execute("DELETE FROM salvage WHERE plan = ? AND cut = ? AND side = ?", (tag, step.cut, side))
