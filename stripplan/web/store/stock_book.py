"""Ticks of the page and of the stock book: one truth, which is the book's.

Of each plan that the book knows one batch stands in it, the first that was begun. What a device does in that batch lies
in its file at once, then is told to the book, and then the file says what the book says, with whatever the book could
not hear yet on top. So the shell and all devices see the same, and what was done while the book could not be written
is told when it can be. Of a plan that the book does not know the page alone knows how far it is.
"""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stripplan.errors import InputError
from stripplan.web.store.batches import FIRST, arcs_in
from stripplan.web.store.plan_store import PlanStore
from stripplan.web.store.progress import Progress, read_usable
from stripplan.web.widths import read_width

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.book.told import Standing, Step, Teller
    from stripplan.model.plan.plan import Plan

SHORT = 2.0
"""So long a tick waits for another program that holds the book [s]."""
SAID_ELSEWHERE = "said in the shell"
SAME = 1e-4
"""Two sizes closer than this are one [mm]."""
ONE = 2.0
"""Two times closer than this are one: the book counts whole seconds [s]."""
_agreeing = threading.Lock()
"""What the book said last is what is written last."""


@dataclass(frozen=True)
class Agreed:
    """The batch of a plan that stands in the book, 0 for none, and what a person at the rig is to know of that."""

    batch: int = 0
    said: str = ""


def usual() -> Path:
    """Where the book lies."""
    from stripplan.book.database import usual_book

    return usual_book()


def opened(*, create: bool = False, writes: bool = True, patience: float | None = None) -> Database:
    """The book. Raises InputError."""
    from stripplan.book.database import PATIENCE, Database

    return Database(usual(), create=create, writes=writes, patience=PATIENCE if patience is None else patience)


def now() -> str:
    """This moment, as the book writes it."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def agree(store: PlanStore, plan_id: str) -> Agreed:
    """Tell the book what is ticked on the page of a plan that it knows, and take over what it says.

    Cutting goes on where the book cannot be read or written: what it has not heard is told at the next look. Raises
    InputError for a plan that is not kept here.
    """
    if not usual().exists():
        return Agreed()
    batch = standing_batch(store, plan_id)
    try:
        with _agreeing, opened(patience=SHORT) as book:
            standing = tell(book, store, plan_id, batch)
            if standing is None:
                return Agreed()
            waits = _take(store, plan_id, batch, standing)
    except InputError as error:
        why = " ".join(each.sentence() for each in error.faults)
        known = store.progress(plan_id, batch).key
        return Agreed(batch, f"Not in the stock book yet, but kept here: {why}") if known else Agreed()
    if standing.done and waits:
        return Agreed(
            batch,
            "This plan is ended in the stock book. What is ticked from now on is kept on this page alone, until "
            f"`stripplan undo {plan_id}` opens it again.",
        )
    return Agreed(batch)


def agree_all(store: PlanStore) -> None:
    """The same for all plans that are kept here, as far as that can be done now."""
    from stripplan.book.plans import kept_plans

    if not usual().exists():
        return
    with suppress(InputError), _agreeing, opened(patience=SHORT) as book:
        for plan_id in store.among(each.id for each in kept_plans(book)):
            with suppress(InputError):
                batch = standing_batch(store, plan_id)
                if (standing := tell(book, store, plan_id, batch)) is not None:
                    _take(store, plan_id, batch, standing)


def tell(book: Database, store: PlanStore, plan_id: str, batch: int) -> Standing | None:
    """Tell an open book what it has not heard of a batch, in a transaction of the caller where there is one; how the
    plan stands there then, None where the book does not know it. Raises InputError."""
    from stripplan.book import told
    from stripplan.book.plans import plan_text_of

    progress = store.progress(plan_id, batch)
    if not progress.key:
        if plan_text_of(book, plan_id) is None:
            return None
        progress = store.brought(plan_id, batch, _named)
    return told.agree(book, plan_id, _teller(store, plan_id, progress), _plan_of(store, plan_id))


def standing_batch(store: PlanStore, plan_id: str) -> int:
    """The batch that stands in the book, or would: the one that has, else the first that was begun. Raises
    InputError."""
    every = {each: store.progress(plan_id, each) for each in store.batches(plan_id)}
    begun = (each for each, progress in every.items() if progress.done or progress.wrong)
    named = (each for each, progress in every.items() if progress.key)
    return next(named, next(begun, min(every, default=FIRST)))


def stands_as(store: PlanStore, plan_id: str, batch: int) -> None:
    """Let this batch be the one that stands in the book, and no other. Raises InputError."""
    for each in store.batches(plan_id):
        if each != batch and store.progress(plan_id, each).key:
            store.brought(plan_id, each, _nameless)


def own_ticks(store: PlanStore, plan_id: str) -> int:
    """So many cuts of a plan are ticked on the page in batches that do not stand in the book; those of the one that
    does the book counts itself."""
    with suppress(InputError):  # kept by the command, or gone
        every = [store.progress(plan_id, each) for each in store.batches(plan_id)]
        return sum(
            len({each["cut"] for each in progress.untold} & set(progress.done)) if progress.key else len(progress.done)
            for progress in every
        )
    return 0


def leave(store: PlanStore, plan_id: str, batch: int) -> None:
    """Before a batch is deleted: what of it stands in the book is taken back there. Raises InputError."""
    from stripplan.book import told

    key = store.progress(plan_id, batch).key
    if key and usual().exists():
        with _agreeing, opened() as book:
            told.leave(book, plan_id, key, now())


def _named(progress: Progress) -> bool:
    progress.key = progress.key or secrets.token_hex(8)
    return False


def _nameless(progress: Progress) -> bool:
    progress.key, progress.told, progress.untold = "", 0, []
    return False


def _plan_of(store: PlanStore, plan_id: str) -> Callable[[], Plan]:
    @cache
    def read() -> Plan:
        from stripplan.files.plan.read import plan_from

        return plan_from(store.plan_text(plan_id), name="the plan")

    return read


# --- what is told ---------------------------------------------------------------------------------------------------


def _teller(store: PlanStore, plan_id: str, progress: Progress) -> Teller:
    from stripplan.book.told import Teller

    units = str(store.shown(plan_id).get("units", "mm"))
    return Teller(
        store=progress.key,
        newest=progress.version,
        known=progress.told,
        steps=_steps(progress.untold, units),
        whole=_steps(_all_of(progress), units),
    )


def _all_of(progress: Progress) -> Iterable[dict[str, Any]]:
    """All that is ticked in a batch, as changes."""
    last = progress.last_at or progress.begun
    plain = {"number": progress.version, "text": "", "usable": "", "when": last}
    for cut in progress.done:
        yield {**plain, "what": "done", "cut": cut, "when": progress.ticked.get(str(cut), last)}
    for number, text in progress.wrong.items():
        yield {**plain, "what": "wrong", "cut": int(number), "text": text, "usable": progress.usable.get(number, "")}
    for number, text in progress.measured.items():
        yield {**plain, "what": "measured", "cut": int(number), "text": text}


def _steps(changes: Iterable[dict[str, Any]], units: str) -> list[Step]:
    found = (_step(each, units) for each in changes)
    return [each for each in found if each is not None]


def _step(change: dict[str, Any], units: str) -> Step | None:
    """A change as the book hears it; None for one whose figures nobody understands, which stays on the page."""
    from stripplan.book.told import Step

    at = datetime.fromtimestamp(change["when"], UTC).astimezone().isoformat(timespec="seconds")
    number, cut, what, text = change["number"], change["cut"], change["what"], change["text"].strip()
    if what == "measured":
        try:
            size = read_width(text, units) if text else None
        except InputError:
            return None
        return Step(number=number, at=at, what="measured", cut=cut, size=size)
    if what != "wrong":
        return Step(number=number, at=at, what="made" if what == "done" else "not made", cut=cut)
    side, _, note = text.partition(":")
    if not text:
        return Step(number=number, at=at, what="right", cut=cut)
    if side == "none":  # the cut is to be made again: so far it is not made
        return Step(number=number, at=at, what="not made", cut=cut)
    try:
        usable = read_usable(change["usable"], units)
    except InputError:
        usable = {}
    side = side if side in ("left", "right") else "both"
    return Step(number=number, at=at, what="spoilt", cut=cut, side=side, note=note.strip(), usable=usable)


# --- what is taken over ---------------------------------------------------------------------------------------------


def _take(store: PlanStore, plan_id: str, batch: int, standing: Standing) -> bool:
    """Bring a batch in line with the book; whether changes wait that the book did not hear."""
    shown = store.shown(plan_id)
    units, cuts, arcs = str(shown.get("units", "mm")), len(shown["cuts"]), arcs_in(shown)

    def holds(cut: int, text: str) -> bool:
        """Whether a size that was typed is one that the book could hold."""
        from stripplan.book.told import size_in_book

        try:
            return size_in_book(_plan_of(store, plan_id)(), cut, read_width(text, units)) is not None
        except InputError:
            return False

    def bring(progress: Progress) -> bool:
        seen = ("done", "wrong", "measured", "usable")
        before = {each: getattr(progress, each) for each in seen}
        progress.told = standing.heard
        progress.untold = [each for each in progress.untold if each["number"] > standing.heard]
        _as_in_book(progress, standing, units, cuts, arcs)
        _sizes_as_in_book(progress, standing, units, holds)
        for each in progress.untold:
            progress.apply(each)
        return before != {each: getattr(progress, each) for each in seen}

    return bool(store.brought(plan_id, batch, bring).untold)


def _as_in_book(progress: Progress, standing: Standing, units: str, cuts: int, arcs: int) -> None:
    """What is made, and what went wrong; of a plan that is done and was never ticked all is made."""
    rows = {each.number: each for each in standing.day.ticked}
    spoilt = {number: each for number, each in rows.items() if each.spoilt}
    done = sorted(rows.keys() - spoilt.keys())
    if standing.done and not rows:
        done = list(range(1, arcs + 1))
    again = {cut: text for cut, text in progress.wrong.items() if text.startswith("none:") and int(cut) not in done}
    wrong = {}
    for number, each in spoilt.items():
        side = "right" if number > cuts else each.spoilt  # a bevel has spoilt its part, whichever side is said
        before = progress.wrong.get(str(number), "")
        same = before.partition(":")[0] == side or (
            side == "both" and before and not before.startswith(("left:", "right:", "none:"))
        )
        wrong[str(number)] = before if same else f"{side}: {each.note or SAID_ELSEWHERE}"
    times = {str(number): _time_of(each.made) for number, each in rows.items() if number in set(done)}
    known = progress.ticked
    progress.ticked = {cut: known[cut] for cut, when in times.items() if cut in known and abs(known[cut] - when) < ONE}
    progress.elsewhere = {cut: when for cut, when in times.items() if cut not in progress.ticked}
    progress.done, progress.wrong = done, {cut: text for cut, text in again.items() if cut not in wrong} | wrong
    progress.last_at = max([progress.last_at, *times.values()])
    progress.begun = progress.begun or min(times.values(), default=0.0)
    good: dict[str, list[str]] = {}
    for (number, of), size in sorted(standing.day.progress.usable.items()):
        good.setdefault(str(number), []).append(f"{of} {_text(size[0], units)}x{_text(size[1], units)}")
    progress.usable = {
        cut: kept
        if (kept := progress.usable.get(cut, "")) and _same_usable(kept, "; ".join(texts), units)
        else "; ".join(texts)
        for cut, texts in good.items()
    }


def _sizes_as_in_book(progress: Progress, standing: Standing, units: str, holds: Callable[[int, str], bool]) -> None:
    """Sizes that were measured: as they were typed here, where the book says the same; what it cannot hold stays."""
    sizes = {str(each.cut): each.size for each in standing.day.measured}
    found = {}
    for cut, text in progress.measured.items():
        if cut in sizes:
            with suppress(InputError):
                if abs(read_width(text, units) - sizes[cut]) < SAME:
                    found[cut] = text
        elif not holds(int(cut), text):
            found[cut] = text
    progress.measured = found | {cut: _text(size, units) for cut, size in sizes.items() if cut not in found}


def _same_usable(one: str, other: str, units: str) -> bool:
    with suppress(InputError):
        first, second = read_usable(one, units), read_usable(other, units)
        return first.keys() == second.keys() and all(
            abs(mine - yours) < SAME for side in first for mine, yours in zip(first[side], second[side], strict=True)
        )
    return False


def _text(size: float, units: str) -> str:
    """A size as it could have been typed."""
    return f"{size / 25.4:.7g}" if units == "in" else f"{size:.7g}"


def _time_of(made: str) -> float:
    with suppress(ValueError):
        return datetime.fromisoformat(made).timestamp()
    return 0.0
