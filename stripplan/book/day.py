"""The day at the rig: cuts ticked one by one, what was measured after them, what went wrong, how long it took."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import stdev
from typing import Literal

from stripplan.book.database import Database, refused
from stripplan.book.history import write_entry
from stripplan.book.plans import keep_to_go_on, progress_in, state_of
from stripplan.errors import Fault, InputError
from stripplan.model.plan.lying import cuts_made
from stripplan.model.plan.measure import to_measure
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress, Side
from stripplan.model.rack.salvage import not_salvaged
from stripplan.wording.figures import in_runs
from stripplan.wording.message import length
from stripplan.wording.show import Units

NO_DRIFT = 10.0
"""A size so far from the one expected is no drift of the rig [mm]: another side was measured, or the cut went wrong.
Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Ticked:
    """One cut as it was made: when (ISO 8601), the minutes it took where that was said, the side that it spoilt ("" for
    none), and a note."""

    number: int
    made: str
    minutes: float | None
    spoilt: str
    note: str


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A size that was measured after a cut, beside the one expected [mm]; `on_fence`: of the piece right of the
    travel."""

    plan: str
    cut: int
    piece: str
    size: float
    expected: float
    on_fence: bool
    made: str


@dataclass(frozen=True, kw_only=True)
class Timed:
    """Cuts that were ticked at once with the minutes that they took: their numbers, and minutes planned and taken."""

    plan: str
    job: str
    made: str
    numbers: tuple[int, ...]
    planned: float
    taken: float

    @property
    def cuts(self) -> int:
        """How many."""
        return len(self.numbers)


@dataclass(frozen=True, kw_only=True)
class Day:
    """How far a plan is: its ticks and measured sizes by number of cut, and its progress."""

    ticked: tuple[Ticked, ...]
    measured: tuple[Measured, ...]
    progress: CutProgress


def tick(
    book: Database,
    plan: Plan,
    tag: str,
    text: str,
    numbers: Sequence[int],
    at: str,
    *,
    minutes: float | None = None,
    spoilt: str | None = None,
    usable: Mapping[Side, tuple[float, float]] | None = None,
    measured: Mapping[int, float] | None = None,
    note: str = "",
) -> tuple[int, ...]:
    """Write down that cuts are made; numbers of cuts before them that count as made too, as a cut had its piece to cut.

    `minutes` are those of all of them together, `spoilt` ("left", "right", "both") is of the last, `usable` what is
    still good of the piece on a side of that [mm], `measured` the size after a cut. A plan that the book does not know
    is kept. Raises InputError, and then nothing is written down.
    """
    measured = measured or {}
    with book.changing() as connection:
        keep_to_go_on(book, connection, plan, tag, text, at)
        implied = write_ticks(connection, plan, tag, numbers, at, minutes=minutes, spoilt=spoilt, note=note)
        _write_measured(book, connection, plan, tag, measured, at)
        good = [(tag, max(numbers), side, *size) for side, size in (usable or {}).items()]
        connection.executemany("INSERT OR REPLACE INTO salvage VALUES (?, ?, ?, ?, ?)", good)
        if wrong := [Fault.of(each) for each in not_salvaged(plan, progress_in(connection, tag))]:
            raise InputError(wrong, Units(plan.job.units, plan.job.inch_fraction))
        said = cuts_said(numbers) + (f", spoilt: {spoilt}" if spoilt else "")
        write_entry(connection, at, "ticked", plan=tag, note=said)
    return implied


def write_ticks(
    connection: sqlite3.Connection,
    plan: Plan,
    tag: str,
    numbers: Sequence[int],
    at: str,
    *,
    minutes: float | None = None,
    spoilt: str | None = None,
    note: str = "",
    on_page: bool = False,
) -> tuple[int, ...]:
    """The rows of cuts that are made, within a transaction, and of those before them that count as made too: which
    these are. The rest as of `tick`."""
    before = progress_in(connection, tag).done
    made = {cut.number for cut in cuts_made(plan, CutProgress(done=frozenset(numbers)))}
    implied = tuple(sorted(made - set(numbers) - before))
    each_took = None if minutes is None or not numbers else minutes / len(numbers)
    of = {each.number: (each.minutes.total, each.plate) for each in plan.arcs}
    asked = "SELECT number, minutes, spoilt, note FROM cut WHERE plan = ?"
    known = {row[0]: row[1:] for row in connection.execute(asked, (tag,))}
    rows = []
    for each in numbers:
        now = each_took, spoilt if each == max(numbers) else None, note
        took, spoils, noted = _more(known.get(each), now)
        rows.append((tag, each, at, took, of[each][0], spoils, noted, of[each][1], on_page))
    rows += [(tag, each, at, None, of[each][0], None, "", of[each][1], on_page) for each in implied]
    connection.executemany("INSERT OR REPLACE INTO cut VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
    return implied


def cuts_said(numbers: Iterable[int]) -> str:
    """Numbers of cuts in a few words, neighbours drawn together.

    >>> cuts_said([5]), cuts_said([3, 1, 2, 7])
    ('cut 5', 'cuts 1-3, 7')
    """
    rows = in_runs(sorted(set(numbers)))
    said = ", ".join(str(row[0]) if len(row) == 1 else f"{row[0]}-{row[-1]}" for row in rows)
    return f"cuts {said}" if sum(map(len, rows)) > 1 else f"cut {said}"


_Said = tuple[float | None, str | None, str]
"""Minutes of a cut, what it spoilt, a note."""


def _more(before: _Said | None, now: _Said) -> _Said:
    """What is known of a cut that is ticked again: what is not said stays, and a second piece that is spoilt does not
    make the first one good."""
    if before is None:
        return now
    (old_minutes, old_spoilt, old_note), (minutes, spoilt, note) = before, now
    if spoilt and old_spoilt and spoilt != old_spoilt:
        spoilt = "both"
    return old_minutes if minutes is None else minutes, spoilt or old_spoilt, note or old_note


def untick(book: Database, tag: str, numbers: Iterable[int] | None, at: str) -> int:
    """Take ticks back, all of a plan where no numbers are given; how many. Raises InputError for a plan that is not
    there, or done."""
    with book.changing() as connection:
        state = state_of(connection, tag)
        if state is None:
            raise refused(book.path, "no_plan", plan=tag)
        if state == "done":
            raise refused(book.path, "done_already", plan=tag, job="")
        gone = remove_ticks(connection, tag, numbers, sizes="of these cuts")
        write_entry(connection, at, "unticked", plan=tag, note=f"{len(gone)} cuts")
    return len(gone)


def remove_ticks(
    connection: sqlite3.Connection,
    tag: str,
    numbers: Iterable[int] | None = None,
    *,
    sizes: Literal["of these cuts", "of all cuts", "stay"],
) -> tuple[int, ...]:
    """Take ticks out of the rows of a plan, within a transaction, with what was still good of what these cuts spoilt;
    all of them where no numbers are given. Numbers of those that were there.

    Which `sizes` go along is the caller's: those that were measured after these cuts; all of the plan, also after cuts
    that are not ticked; or none, as on the page a size is typed for itself.
    """
    known = [row[0] for row in connection.execute("SELECT number FROM cut WHERE plan = ? ORDER BY number", (tag,))]
    wanted = None if numbers is None else set(numbers)
    gone = tuple(each for each in known if wanted is None or each in wanted)
    rows = [(tag, each) for each in gone]
    connection.executemany("DELETE FROM cut WHERE plan = ? AND number = ?", rows)
    connection.executemany("DELETE FROM salvage WHERE plan = ? AND cut = ?", rows)
    if sizes == "of these cuts":
        connection.executemany("DELETE FROM measured WHERE plan = ? AND cut = ?", rows)
    elif sizes == "of all cuts":
        connection.execute("DELETE FROM measured WHERE plan = ?", (tag,))
    return gone


def day_of(book: Database, tag: str) -> Day:
    """How far a plan is; nothing is ticked of one that the book does not know."""
    with book.reading() as connection:
        return day_in(connection, tag)


def day_in(connection: sqlite3.Connection, tag: str) -> Day:
    """The same within a transaction."""
    rows = connection.execute(
        "SELECT number, made, minutes, coalesce(spoilt, ''), note FROM cut WHERE plan = ? ORDER BY number", (tag,)
    ).fetchall()
    ticked = tuple(
        Ticked(number=number, made=made, minutes=minutes, spoilt=spoilt, note=note)
        for number, made, minutes, spoilt, note in rows
    )
    sizes = _measured(connection, "WHERE plan = ? ORDER BY cut", (tag,))
    return Day(ticked=ticked, measured=sizes, progress=progress_in(connection, tag))


def measured_since(book: Database, plans: Sequence[str] = (), *, most: int = 200) -> tuple[Measured, ...]:
    """The newest sizes that were measured, of some plans or of all, the oldest of them first."""
    marks = f"WHERE plan IN ({', '.join('?' * len(plans))}) " if plans else ""
    with book.reading() as connection:
        found = _measured(connection, f"{marks}ORDER BY made DESC, plan DESC, cut DESC LIMIT {int(most)}", tuple(plans))
    return found[::-1]


def times(book: Database) -> tuple[Timed, ...]:
    """What was said of the time that cuts took, tick by tick, the oldest first; a clock may be too coarse to tell ticks
    apart, so those of one second are told by the minutes of a cut as well."""
    with book.reading() as connection:
        rows = connection.execute(
            """SELECT cut.plan, plan.job, cut.made, group_concat(cut.number), sum(cut.planned), sum(cut.minutes)
            FROM cut JOIN plan ON plan.id = cut.plan WHERE cut.minutes IS NOT NULL
            GROUP BY cut.plan, cut.made, cut.minutes ORDER BY cut.made, cut.plan, min(cut.number)"""
        ).fetchall()
    return tuple(
        Timed(plan=plan, job=job, made=made, numbers=tuple(sorted(map(int, numbers.split(",")))), planned=planned,
              taken=taken)
        for plan, job, made, numbers, planned, taken in rows
    )  # fmt: skip


def factor_of(timed: Sequence[Timed]) -> tuple[float, float | None] | None:
    """How many times as long as planned the work took, all together, and how far single ticks are spread about that
    (their standard deviation, None for one alone); None where nothing is known.

    >>> one = Timed(plan="0a1b2c3d", job="gate", made="", numbers=(1, 2), planned=10.0, taken=12.0)
    >>> factor_of([one]), factor_of([])
    ((1.2, None), None)
    """
    planned = sum(each.planned for each in timed)
    if not planned:
        return None
    ratios = [each.taken / each.planned for each in timed if each.planned]
    return sum(each.taken for each in timed) / planned, stdev(ratios) if len(ratios) > 1 else None


def _measured(connection: sqlite3.Connection, rest: str, values: tuple[str, ...]) -> tuple[Measured, ...]:
    rows = connection.execute(f"SELECT plan, cut, piece, size, expected, on_fence, made FROM measured {rest}", values)
    return tuple(
        Measured(plan=plan, cut=cut, piece=piece, size=size, expected=expected, on_fence=bool(on_fence), made=made)
        for plan, cut, piece, size, expected, on_fence, made in rows
    )


def _write_measured(
    book: Database, connection: sqlite3.Connection, plan: Plan, tag: str, measured: Mapping[int, float], at: str
) -> None:
    cuts = {cut.number: cut for cut in plan.cuts}
    for number, size in measured.items():
        known = to_measure(plan, cuts[number]) if number in cuts else None  # of a bevel the book holds no size
        if known is None:
            raise refused(book.path, "not_measured" if number in cuts else "not_measured_bevel", cut=number)
        if abs(size - known.expected) > NO_DRIFT:
            raise refused(book.path, "measured_far", cut=number, size=length(size), expected=length(known.expected))
        connection.execute(
            "INSERT OR REPLACE INTO measured VALUES (?, ?, ?, ?, ?, ?, ?)",
            (tag, number, known.piece, size, known.expected, int(known.on_fence), at),
        )
