"""Plans in the book: what they are promised, what they made when they are done, and both taken back.

A plan is known by the digest of its content, a job by its name. Each call is one transaction.
"""

from __future__ import annotations

import sqlite3
import zlib
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from stripplan.book.database import Database, refused
from stripplan.book.history import write_entry
from stripplan.book.keep import rules_in
from stripplan.book.pieces import Wanted, find, insert, numbered, still_there
from stripplan.book.reservations import release_of_plan, reserve_for_plan, reserved_again
from stripplan.model.plan.jobs import jobs_on, names_of
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress, Side
from stripplan.model.rack.outcome import Left, Outcome, outcome, worth_of_offcut
from stripplan.model.rack.piece import RackPiece, piece_name

ALL = Wanted()
"""All pieces that are on the rack."""
SIDES: Mapping[str, frozenset[Side]] = {
    "left": frozenset(("left",)),
    "right": frozenset(("right",)),
    "both": frozenset(("left", "right")),
}
"""Words for the sides that a cut spoilt."""


@dataclass(frozen=True, kw_only=True)
class KeptPlan:
    """A plan in the book: its id and job, whether it is `done`, when it was kept and done (ISO 8601), its cuts, how
    many of them are ticked, its minutes at the rig, those of the cuts that are `left`, those that ticks say were
    `taken` (None: none says so), and which piece of the rack each plate is, by the plate's id.
    """

    id: str
    job: str
    done: bool
    made: str
    done_at: str
    cuts: int
    ticked: int
    minutes: float
    left: float
    taken: float | None
    plates: Mapping[str, int]


@dataclass(frozen=True, kw_only=True)
class Done:
    """What became of a plan: its outcome, pieces that were used up, offcuts that are on the rack now, and pieces that
    it was promised and did not touch.
    """

    outcome: Outcome
    used: tuple[RackPiece, ...]
    offcuts: tuple[RackPiece, ...]
    released: tuple[int, ...]


def keep_plan(
    book: Database,
    plan: Plan,
    tag: str,
    text: str,
    plates: Mapping[str, int],
    at: str,
    *,
    then: Callable[[], None] = lambda: None,
) -> tuple[str, ...]:
    """Keep a plan and promise it the pieces that its `plates` are, in place of earlier plans of the same jobs; ids of
    those that it replaces. Raises InputError where a piece was promised elsewhere meanwhile, where work on an earlier
    plan of a job has begun or it is planned together with others, or where this very plan is done. `then` writes what
    belongs to the plan: where it fails, nothing is promised.
    """
    names = names_of(plan.jobs, plan.job.name)
    with book.changing() as connection:
        if state_of(connection, tag) == "done":
            raise refused(book.path, "done_already", plan=tag, job=plan.job.name)
        earlier = _to_replace(book, connection, names)
        for each in earlier:
            release_of_plan(connection, each)
            connection.execute("DELETE FROM plan WHERE id = ?", (each,))
        insert_plan(connection, plan, tag, text, at)
        jobs = {each: ", ".join(jobs_on(plan.jobs, each, plan.job.name)) for each in plates}
        reserve_for_plan(book, connection, tag, names, plates, jobs, at)
        replaced = tuple(each for each in earlier if each != tag)
        write_entry(connection, at, "planned", plan=tag, pieces=plates.values(), note=plan.job.name)
        then()
    return replaced


def plans_to_replace(book: Database, names: Sequence[str], apart: Sequence[str] = ()) -> tuple[str, ...]:
    """Ids of the plans that one of these jobs takes the place of, but for those set `apart`. Raises InputError where
    work on one has begun, or it is of other jobs too: they cannot be planned anew.
    """
    with book.reading() as connection:
        return _to_replace(book, connection, names, apart)


def pieces_for(
    book: Database,
    names: Sequence[str],
    plans: Sequence[str] = (),
    *,
    wanted: Wanted = ALL,
    named: Sequence[int] = (),
) -> tuple[RackPiece, ...]:
    """The pieces that jobs of these names may be planned with, in the order in which they came in: those that are free,
    promised to them by hand, or to a plan that theirs takes the place of, or to one of `plans`, begun or not. Of the
    free ones those that are `wanted`, or `named` by their numbers. Raises as `plans_to_replace`.
    """
    own = {*plans_to_replace(book, names, plans), *plans}
    with book.reading() as connection:
        held = [row[0] for tag in plans for row in connection.execute(_HELD, (tag,))]
        more = [each for each in numbered(book, connection, [*held, *named]) if each.state == "there"]
        there = {each.number: each for each in (*find(connection, wanted), *more)}
    return tuple(each for _, each in sorted(there.items()) if each.job in ("", *names) or each.plan in own)


_HELD = "SELECT piece FROM reservation WHERE plan = ?"


def kept_plans(book: Database, *, done: bool | None = None) -> tuple[KeptPlan, ...]:
    """The plans of the book, the oldest first; only those that are done, or not done, where that is asked."""
    with book.reading() as connection:
        rows = connection.execute("SELECT id FROM plan ORDER BY made, id").fetchall()
        found = [_kept(connection, row[0]) for row in rows]
    return tuple(each for each in found if each is not None and done in (None, each.done))


def kept_plan(book: Database, tag: str) -> KeptPlan:
    """One plan. Raises InputError where the book does not know it."""
    with book.reading() as connection:
        found = _kept(connection, tag)
    if found is None:
        raise refused(book.path, "no_plan", plan=tag)
    return found


def whole_id(book: Database, begins: str) -> str:
    """The id of the one plan whose id begins so. Raises InputError where there is none, or more than one."""
    with book.reading() as connection:
        rows = connection.execute("SELECT id FROM plan WHERE substr(id, 1, ?) = ? ORDER BY id", (len(begins), begins))
        found = tuple(str(row[0]) for row in rows)
    if len(found) > 1:
        raise refused(book.path, "several_plans", plan=begins, found=found)
    if not found:
        raise refused(book.path, "no_plan", plan=begins)
    return found[0]


def plan_text_of(book: Database, tag: str) -> str | None:
    """The plan file that was kept; None where the book does not know the plan."""
    with book.reading() as connection:
        row = connection.execute("SELECT text FROM plan WHERE id = ?", (tag,)).fetchone()
    return None if row is None else zlib.decompress(row[0]).decode()


def progress_in(connection: sqlite3.Connection, tag: str) -> CutProgress:
    """How far a plan is ticked, within a transaction."""
    rows = connection.execute("SELECT number, spoilt FROM cut WHERE plan = ?", (tag,)).fetchall()
    good = connection.execute("SELECT cut, side, length, width FROM salvage WHERE plan = ?", (tag,)).fetchall()
    return CutProgress(
        done=frozenset(number for number, _ in rows),
        spoilt={number: SIDES[spoilt] for number, spoilt in rows if spoilt is not None},
        usable={(number, side): (long, wide) for number, side, long, wide in good},
    )


def keep_to_go_on(book: Database, connection: sqlite3.Connection, plan: Plan, tag: str, text: str, at: str) -> None:
    """Keep a plan that the book does not know, within a transaction. Raises InputError where it is done already."""
    state = state_of(connection, tag)
    if state == "done":
        raise refused(book.path, "done_already", plan=tag, job=plan.job.name)
    if state is None:
        insert_plan(connection, plan, tag, text, at)


def finish(book: Database, plan: Plan, tag: str, text: str, at: str, *, place: str = "", so_far: bool = False) -> Done:
    """Turn the plates of a plan into its parts and offcuts: all of it, or as far as its cuts are ticked (`so_far`).

    A plan that the book does not know is kept first, its plates counted as bought. Raises InputError where it is done,
    and where some of its cuts are ticked and others not, unless `so_far`; then nothing has changed.
    """
    with book.changing() as connection:
        keep_to_go_on(book, connection, plan, tag, text, at)
        progress = progress_in(connection, tag)
        if not so_far and progress.done and len(progress.done) < len(plan.arcs):
            raise refused(book.path, "not_all_ticked", plan=tag, ticked=len(progress.done), cuts=len(plan.arcs))
        made = outcome(plan, tag, rules_in(connection), progress if so_far or progress.done else None)
        plates = _plates(connection, tag)
        used = numbered(book, connection, [plates[each] for each in made.begun if each in plates])
        still_there(book, used)
        released = _use_up(connection, tag, used, at)
        offcuts = _write_down(
            book, connection, plan, tag, made, dict(zip(_of(made, plates), used, strict=True)), place, at
        )
        connection.execute("UPDATE plan SET state = 'done', done = ? WHERE id = ?", (at, tag))
        pieces = [each.number for each in (*used, *offcuts)]
        write_entry(connection, at, "done", plan=tag, pieces=pieces, note=plan.job.name)
    return Done(outcome=made, used=used, offcuts=offcuts, released=released)


def undo(book: Database, tag: str, at: str) -> KeptPlan:
    """Take back what `finish` did: its pieces are on the rack again and promised to it, its offcuts are in no book. A
    plan that is not done gives back what it was promised and is forgotten. Raises InputError where an offcut of it was
    used, promised or written off since, or where cuts of a plan that is not done are ticked.
    """
    with book.changing() as connection:
        kept = _kept(connection, tag)
        if kept is None:
            raise refused(book.path, "no_plan", plan=tag)
        if not kept.done:
            if kept.ticked:
                raise refused(book.path, "begun", plan=tag, job=kept.job, ticked=kept.ticked)
            numbers = release_of_plan(connection, tag)
            connection.execute("DELETE FROM plan WHERE id = ?", (tag,))
            write_entry(connection, at, "forgotten", plan=tag, pieces=numbers, note=kept.job)
            return kept
        _take_out(book, connection, tag)
        numbers = tuple(kept.plates.values())
        cut = {row[0] for row in connection.execute("SELECT plate FROM plate_cut WHERE plan = ?", (tag,))}
        connection.executemany(
            "UPDATE piece SET state = 'there', gone = '' WHERE number = ?",
            [(piece,) for plate, piece in kept.plates.items() if plate in cut],
        )
        pieces = numbered(book, connection, numbers)
        still_there(book, pieces)
        for each in pieces:
            if each.job:
                raise refused(book.path, "promised", piece=each.name, job=each.job, plan=each.plan)
        reserved_again(connection, tag, kept.job, at)
        for table in ("made", "plate_cut"):
            connection.execute(f"DELETE FROM {table} WHERE plan = ?", (tag,))
        connection.execute("UPDATE plan SET state = 'planned', done = '' WHERE id = ?", (tag,))
        write_entry(connection, at, "undone", plan=tag, pieces=numbers, note=kept.job)
    return kept


# --- within a transaction -------------------------------------------------------------------------------------------


def state_of(connection: sqlite3.Connection, tag: str) -> str | None:
    """Whether a plan is planned or done; None for one that is not known."""
    row = connection.execute("SELECT state FROM plan WHERE id = ?", (tag,)).fetchone()
    return None if row is None else str(row[0])


def insert_plan(connection: sqlite3.Connection, plan: Plan, tag: str, text: str, at: str) -> None:
    """A plan as one that is not done."""
    values = (tag, plan.job.name, at, len(plan.arcs), plan.totals.minutes, zlib.compress(text.encode()))
    connection.execute("INSERT INTO plan VALUES (?, ?, 'planned', ?, '', ?, ?, ?)", values)
    if plan.job.jobs:
        connection.executemany("INSERT INTO job_of_plan VALUES (?, ?)", [(tag, each.name) for each in plan.job.jobs])


def _to_replace(
    book: Database, connection: sqlite3.Connection, names: Sequence[str], apart: Sequence[str] = ()
) -> tuple[str, ...]:
    rows = connection.execute(
        "SELECT id, job, (SELECT count(*) FROM cut WHERE plan = id) FROM plan WHERE state = 'planned' ORDER BY made, id"
    ).fetchall()
    several = defaultdict[str, list[str]](list)
    for tag, job in connection.execute("SELECT plan, job FROM job_of_plan ORDER BY rowid"):
        several[tag].append(job)
    found = []
    for tag, job, ticked in rows:
        jobs = several.get(tag, [job])
        if tag in apart or not set(jobs).intersection(names):
            continue
        if ticked:
            raise refused(book.path, "begun", plan=tag, job=job, ticked=ticked)
        if others := tuple(each for each in jobs if each not in names):
            mine = next(each for each in jobs if each in names)
            raise refused(book.path, "planned_together", plan=tag, job=mine, others=others)
        found.append(tag)
    return tuple(found)


def _plates(connection: sqlite3.Connection, tag: str) -> dict[str, int]:
    return dict(connection.execute("SELECT plate, piece FROM plan_plate WHERE plan = ? ORDER BY rowid", (tag,)))


def plates_there(book: Database, tag: str) -> frozenset[str]:
    """Plates of a plan that need not be bought any more, by their ids: pieces of the rack, and what is being cut."""
    with book.reading() as connection:
        begun = {row[0] for row in connection.execute("SELECT DISTINCT plate FROM cut WHERE plan = ?", (tag,))}
        return frozenset(begun | _plates(connection, tag).keys())


def _kept(connection: sqlite3.Connection, tag: str) -> KeptPlan | None:
    row = connection.execute("SELECT job, state, made, done, cuts, minutes FROM plan WHERE id = ?", (tag,)).fetchone()
    if row is None:
        return None
    job, state, made, done, cuts, minutes = row
    ticked, planned, taken = connection.execute(
        "SELECT count(*), total(planned), sum(minutes) FROM cut WHERE plan = ?", (tag,)
    ).fetchone()
    left = 0.0 if state == "done" else max(0.0, minutes - planned)
    return KeptPlan(
        id=tag, job=job, done=state == "done", made=made, done_at=done, cuts=cuts, ticked=ticked, minutes=minutes,
        left=left, taken=taken, plates=_plates(connection, tag),
    )  # fmt: skip


def _of(made: Outcome, plates: Mapping[str, int]) -> list[str]:
    return [each for each in made.begun if each in plates]


def _use_up(connection: sqlite3.Connection, tag: str, used: tuple[RackPiece, ...], at: str) -> tuple[int, ...]:
    """Pieces that were cut are gone; the others that were promised to the plan are free again: which those are."""
    numbers = {each.number for each in used}
    released = tuple(each for each in release_of_plan(connection, tag) if each not in numbers)
    connection.executemany(
        "UPDATE piece SET state = 'used', gone = ? WHERE number = ?", [(at[:10], each) for each in numbers]
    )
    return released


def _write_down(
    book: Database,
    connection: sqlite3.Connection,
    plan: Plan,
    tag: str,
    made: Outcome,
    used: Mapping[str, RackPiece],
    place: str,
    at: str,
) -> tuple[RackPiece, ...]:
    """What a plan made, and its offcuts onto the rack: of what the plate that they come from is truly of."""
    areas = {plate.id: plate.length * plate.width for plate in plan.plates}
    connection.executemany("INSERT INTO plate_cut VALUES (?, ?, ?)", [(tag, each, areas[each]) for each in made.begun])
    offcuts = []
    for each in made.left:
        number = None
        if each.offcut is not None:
            put = insert(book, connection, _true(each, used.get(each.plate), plan.job.options.offcut_share, place, at))
            offcuts.append(put)
            number = put.number
        connection.execute("INSERT INTO made VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", (*_made_row(tag, each), number))
    return tuple(offcuts)


def _made_row(tag: str, left: Left) -> tuple[object, ...]:
    return tag, left.piece, left.plate, left.kind, left.part, left.length, left.width, left.area


def _true(left: Left, plate: RackPiece | None, share: float, place: str, at: str) -> RackPiece:
    """An offcut as it goes onto the rack: of what the piece that it was cut from is truly of, and truly cost, which a
    plan may not know that takes what lies on the bench as paid for."""
    assert left.offcut is not None
    offcut = replace(left.offcut, place=place, added=at[:10])
    if plate is None:
        return offcut
    offcut = replace(offcut, material=plate.material, batch=plate.batch)
    if plate.cost is None or offcut.cost is None:
        return offcut
    share = 1.0 if plate.kind == "offcut" else share
    return replace(offcut, cost=worth_of_offcut(plate.cost, plate.length * plate.width, left.area, share))


def _take_out(book: Database, connection: sqlite3.Connection, tag: str) -> None:
    """Offcuts of a plan out of the book, as long as nothing was done with them. A plan that is done and did not begin
    one that it was to cut would have to buy that plate, if it is taken back too.
    """
    rows = connection.execute("SELECT number FROM made WHERE plan = ? AND number IS NOT NULL", (tag,)).fetchall()
    numbers = [row[0] for row in rows]
    for each in numbered(book, connection, numbers):
        if each.state != "there" or each.job:
            raise refused(book.path, "offcut_in_use", piece=piece_name(each.number), plan=tag)
    connection.execute("UPDATE made SET number = NULL WHERE plan = ?", (tag,))
    for table, column in (("plan_plate", "piece"), ("piece", "number")):
        connection.executemany(f"DELETE FROM {table} WHERE {column} = ?", [(each,) for each in numbers])
