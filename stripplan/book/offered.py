"""What the book offers a job: pieces that it may take, and what is worth keeping of its plates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stripplan.book.database import Database, refused
from stripplan.book.keep import keep_rules
from stripplan.book.pieces import Wanted, costs_of, numbered, still_there
from stripplan.book.plans import pieces_for
from stripplan.model.job import Job
from stripplan.model.plan.jobs import names_of
from stripplan.model.rack.keep import KeepRule
from stripplan.model.rack.piece import Costs, RackPiece


@dataclass(frozen=True)
class Offered:
    """Pieces that are free or promised to the job, in the order in which they came in, the rules of keeping, and what
    all pieces with a cost came to, where the job names no plate to take a price from."""

    pieces: tuple[RackPiece, ...]
    rules: tuple[KeepRule, ...]
    costs: tuple[Costs, ...] = ()


def offered(book: Database, job: Job, *, named: Sequence[int] = (), rest_of: str = "") -> Offered:
    """What a job may take of its materials and thicknesses: also what the plan `rest_of` was promised, of which it is
    the rest. Raises InputError where a piece that it has `named` is gone or another's, and where work on an earlier
    plan of it has begun.
    """
    names = names_of(job.jobs, job.name)
    pieces = pieces_for(book, names, [rest_of] if rest_of else [], wanted=_of_job(job), named=named)
    there = {each.number for each in pieces}
    with book.reading() as connection:
        asked = numbered(book, connection, named)
    still_there(book, asked)
    for each in asked:
        if each.number not in there:
            raise refused(book.path, "promised", piece=each.name, job=each.job, plan=each.plan)
    return Offered(pieces, keep_rules(book), () if job.plates else costs_of(book, names))


def _of_job(job: Job) -> Wanted:
    """Pieces of the materials and thicknesses of a job; of any, where a plate leaves them open."""
    every = (*job.plates, *job.parts)
    materials = sorted({each.material for each in every if each.material is not None})
    thicknesses = sorted({each.thickness for each in every if each.thickness is not None})
    return Wanted(
        materials=() if any(each.material is None for each in job.plates) else tuple(materials),
        thicknesses=() if any(each.thickness is None for each in job.plates) else tuple(thicknesses),
    )
