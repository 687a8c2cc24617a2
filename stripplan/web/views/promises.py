"""Plans of the page in the stock book: what one that is kept is promised, what one that was cut made, and what one that
is forgotten gives back; each as `stripplan plan --rack`, `done` and `undo` have it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from stripplan.errors import Fault, InputError
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import CutProgress
from stripplan.model.rack.piece import numbers_said, piece_number
from stripplan.web.shared_state import SharedState, sent
from stripplan.web.store import stock_book
from stripplan.web.store.batches import FIRST
from stripplan.web.store.plan_store import PlanStore
from stripplan.web.store.stock_book import now, opened, usual
from stripplan.web.views.typed_list import AGAIN, FROM_RACK, PIECES, numbers_in
from stripplan.wording.message import Facts
from stripplan.wording.quantity import show_length

if TYPE_CHECKING:
    from stripplan.book.database import Database
    from stripplan.book.plans import Done, KeptPlan

Begun = tuple[str, int]
"""A plan that was begun, and the batch of it."""


# --- what a list asks of the book -----------------------------------------------------------------------------------


def begun_of(typed: Mapping[str, Any]) -> Begun | None:
    """The plan that a list is the rest of."""
    given = typed.get(AGAIN)
    if not isinstance(given, Mapping) or not isinstance(given.get("plan"), str):
        return None
    batch = given.get("batch")
    return given["plan"], batch if isinstance(batch, int) and 0 < batch < 1000 else FIRST


def asked_of(typed: Mapping[str, Any]) -> dict[str, Any]:
    """What a list says of the rack, for `rack_of_list`; nothing where it says nothing."""
    rows = typed.get("plate")
    plates = {
        str(row.get("name") or f"plate {number}"): numbers
        for number, row in enumerate(rows if isinstance(rows, list) else (), 1)
        if isinstance(row, Mapping) and (numbers := numbers_in(row.get(PIECES)))
    }
    takes_any = bool(typed.get(FROM_RACK))
    if not plates and not takes_any:
        return {}
    begun = begun_of(typed)
    return {"book": str(usual()), "any": takes_any, "plates": plates, "plan": begun[0] if begun else ""}


def rest_asked(store: PlanStore, typed: Mapping[str, Any]) -> dict[str, Any] | None:
    """What is known of the plan that a list is the rest of, for the process that plans it; None where it is the rest of
    none, or of one that is no more."""
    begun = begun_of(typed)
    if begun is None:
        return None
    try:
        stock_book.agree(store, begun[0])
        job = store.job(begun[0])
        progress = store.progress(*begun).of_cuts(str(job.get("units", "mm")))
        return {
            "text": store.plan_text(begun[0]),
            "job": job,
            "done": sorted(progress.done),
            "spoilt": {str(number): sorted(sides) for number, sides in progress.spoilt.items()},
            "usable": [[number, side, *size] for (number, side), size in sorted(progress.usable.items())],
        }
    except InputError:
        return None


# --- promised at keeping --------------------------------------------------------------------------------------------


def keep(store: PlanStore, plan_id: str, text: str, typed: Mapping[str, Any], then: Callable[[], None]) -> None:
    """Promise a plan the pieces of the rack that it uses, and write its files by `then`: both, or neither. Of the rest
    of a plan that the book knows that one is ended first: what was not touched of it is free, what lies half cut on the
    bench is on the rack, and both are promised to this one as far as it uses them. A list that may take off the rack
    what is free is of the book also where it found nothing there: what it needs is to be bought. Raises InputError.
    """
    from stripplan.book.plans import keep_plan, plans_to_replace
    from stripplan.files.plan.read import plan_from
    from stripplan.model.plan.jobs import names_of

    plan = plan_from(text, name="the plan")
    plates = {each.id: number for each in plan.plates if (number := piece_number(each.piece)) is not None}
    begun = begun_of(typed)
    takes_any = bool(typed.get(FROM_RACK))
    if not (plates or takes_any or begun is not None) or not (usual().exists() or takes_any):
        then()
        return
    with opened(create=True) as book, book.changing():  # the old plan's end and the new one's promise: both, or neither
        if begun is not None:
            plates |= _from_the_bench(book, store, begun, plan)
        for each in plans_to_replace(book, names_of(plan.jobs, plan.job.name)):
            if ticked := stock_book.own_ticks(store, each):
                raise _refused(book, "begun_on_page", plan=each, job=plan.job.name, ticked=ticked)
        if plates or takes_any:
            keep_plan(book, plan, plan_id, text, plates, now(), then=then)
        else:
            then()


def _from_the_bench(book: Database, store: PlanStore, begun: Begun, plan: Plan) -> dict[str, int]:
    """End the plan that was begun, where the book knows it; which pieces of the rack the plates of the rest are that
    came from it, by their ids."""
    from stripplan.book.pieces import wanted_pieces
    from stripplan.planner import left_to_cut

    tag, batch = begun
    known = _known(book, tag)
    if known is None:
        return {}
    before, text, progress = _read(store, tag, batch)
    if not known.done:
        _finish(book, store, begun, (before, text), place="")
    there = {each.code: each.number for each in wanted_pieces(book)}
    names = {each.stock: f"stripplan:{tag}:{each.id}" for each in left_to_cut(before, store.job(tag), progress).plates}
    codes = {each.id: names.get(each.stock, "") for each in plan.plates}
    return {plate: there[code] for plate, code in codes.items() if code in there}


def _finish(book: Database, store: PlanStore, begun: Begun, read: tuple[Plan, str], *, place: str) -> Done:
    """Write down how far a plan is cut, and what that made. Raises InputError where another batch of it stands in the
    book."""
    from stripplan.book.plans import finish, keep_to_go_on

    (tag, batch), (plan, text) = begun, read
    if (stands := stock_book.standing_batch(store, tag)) != batch:
        if _known(book, tag) is not None:
            raise _refused(book, "other_batch", plan=tag, batch=batch, stands=stands)
        stock_book.stands_as(store, tag, batch)
    at = now()
    with book.changing() as connection:
        keep_to_go_on(book, connection, plan, tag, text, at)
        stock_book.tell(book, store, tag, batch)
        return finish(book, plan, tag, text, at, place=place, so_far=True)


# --- how plans stand in the book ------------------------------------------------------------------------------------


def standing(store: PlanStore, plan_ids: Sequence[str]) -> dict[str, str]:
    """What the book says of each of these plans, in a few words; nothing of one that has nothing to do with the
    rack. Where the book cannot be read, why, under ""."""
    from stripplan.book.plans import kept_plans

    said: dict[str, str] = {}
    known: dict[str, KeptPlan] = {}
    if usual().exists():
        try:
            with opened(writes=False) as book:
                known = {each.id: each for each in kept_plans(book)}
        except InputError as error:  # plans can be cut all the same
            return {"": " ".join(each.sentence() for each in error.faults)}
    for each in plan_ids:
        if (kept := known.get(each)) is not None:
            pieces = numbers_said(kept.plates.values())
            if kept.done:
                ended = "" if kept.ticked in (0, kept.cuts) else ", as far as it was cut: do not cut on by it"
                said[each] = f"It is ended in the stock book{ended}."
            elif pieces:
                said[each] = f"Promised to it off the rack: {pieces}."
            elif not kept.ticked:
                said[each] = "Nothing on the rack is promised to it: its plates are on the list of what to buy."
            continue
        if taken := _pieces_in(store, each):
            names = numbers_said(taken)
            said[each] = f"Not promised to it any more: {names}. Plan it again before you cut."
    return said


def _pieces_in(store: PlanStore, plan_id: str) -> list[int]:
    """The pieces of the rack that a kept plan cuts; none where its file cannot be read."""
    from stripplan.files.plan.read import plan_from

    try:
        text = store.plan_text(plan_id)
        plates = plan_from(text, name="the plan").plates if '"piece": "R' in text else ()
    except InputError:
        return []
    return [number for plate in plates if (number := piece_number(plate.piece)) is not None]


async def forget(request: Request) -> Response:
    """Forget a plan that was kept: what it was promised is free again. One that was begun stays."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]

    def gone() -> str:
        from stripplan.book.plans import undo

        freed = ""
        if usual().exists():
            with opened() as book:
                known = _known(book, plan_id)
                if known is not None and not known.done:
                    if ticked := stock_book.own_ticks(shared.store, plan_id):
                        raise _refused(book, "begun_on_page", plan=plan_id, job=known.job, ticked=ticked)
                    freed = numbers_said(undo(book, plan_id, now()).plates.values())
        shared.store.forget(plan_id)
        return freed

    freed = await asyncio.to_thread(gone)
    return JSONResponse({"state": "forgotten", "said": f"Free again: {freed}." if freed else ""})


# --- when it is cut -------------------------------------------------------------------------------------------------


async def book_says(request: Request) -> Response:
    """Whether the stock book knows a plan, what it is promised, and whether it is done there."""
    shared: SharedState = request.app.state.shared
    plan_id = request.path_params["id"]

    def asked() -> dict[str, Any]:
        stock_book.agree(shared.store, plan_id)
        shared.store.progress(plan_id, request.path_params["batch"])
        if not usual().exists():
            return {"known": False, "done": False, "pieces": ""}
        with opened(writes=False) as book:
            known = _known(book, plan_id)
        pieces = numbers_said(known.plates.values()) if known else ""
        return {"known": known is not None, "done": known is not None and known.done, "pieces": pieces}

    return JSONResponse(await asyncio.to_thread(asked))


async def booked(request: Request) -> Response:
    """Write into the stock book what was cut: plates that were begun are used up, what is worth keeping of them is on
    the rack, what was not touched is free."""
    shared: SharedState = request.app.state.shared
    plan_id, batch = request.path_params["id"], request.path_params["batch"]
    place = str((await sent(request)).get("place", "")).strip()[:200]

    def done() -> dict[str, Any]:
        stock_book.agree(shared.store, plan_id)
        plan, text, progress = _read(shared.store, plan_id, batch)
        if not progress.done and not any(progress.spoilt.values()):
            raise InputError(Fault("change", "the stock book", says="nothing_cut"))
        with opened(create=True) as book:
            became = _finish(book, shared.store, (plan_id, batch), (plan, text), place=place)
        stock_book.agree(shared.store, plan_id)
        units = plan.job.units
        return {
            "used": numbers_said(each.number for each in became.used),
            "free": numbers_said(became.released),
            "offcuts": [
                {"name": each.name, "piece": each.code.rpartition(":")[2],
                 "size": " × ".join(show_length(side, units) for side in (each.length, each.width))}
                for each in became.offcuts
            ],
        }  # fmt: skip

    async with shared.lock(plan_id):
        return JSONResponse({"state": "booked", **await asyncio.to_thread(done)})


def _read(store: PlanStore, plan_id: str, batch: int) -> tuple[Plan, str, CutProgress]:
    from stripplan.files.plan.read import plan_from

    text = store.plan_text(plan_id)
    plan = plan_from(text, name="the plan")
    return plan, text, store.progress(plan_id, batch).of_cuts(plan.job.units)


def _known(book: Database, plan_id: str) -> KeptPlan | None:
    from stripplan.book.plans import kept_plan, plan_text_of

    return None if plan_text_of(book, plan_id) is None else kept_plan(book, plan_id)


def _refused(book: Database, says: str, **facts: Any) -> InputError:
    return InputError(Fault("book", str(book.path), Facts(**facts), says=f"book.{says}"))


routes = [
    Route("/plans/{id}/forget", forget, methods=["POST"]),
    Route("/rig/{id}/{batch:int}/book", book_says),
    Route("/rig/{id}/{batch:int}/book", booked, methods=["POST"]),
]
