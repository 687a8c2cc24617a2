"""A program that works on a book until it is killed, for tests: `python -m tests.book.hand FOLDER WHAT ...`.

What has come to an end is said on stdout, a line each, only after the book has it.
"""

from __future__ import annotations

import pickle
import sys
from dataclasses import replace
from itertools import count
from pathlib import Path

from stripplan.book.database import Database
from stripplan.book.day import tick
from stripplan.book.pieces import add
from stripplan.book.plans import finish, keep_plan, undo
from stripplan.book.reservations import reserve
from stripplan.book.told import Step, Teller, agree
from stripplan.errors import InputError
from stripplan.model.plan.plan import Plan
from stripplan.model.rack.piece import RackPiece

AT = "2026-03-31T08:00:00+00:00"


def work(folder: Path) -> None:
    """Piece after piece is brought, planned, cut, and each third is taken back again. Each second has its cuts ticked,
    by turns in the shell and as the page tells them."""
    plan = pickle.loads((folder / "plan.pickle").read_bytes())
    with Database(folder / "rack.db", create=True) as book:
        with book.reading() as connection:
            begun = connection.execute("SELECT coalesce(max(number), 0) FROM piece").fetchone()[0]
        for number in count(begun + 1):
            tag = f"{number:08x}"
            made = replace(plan, job=replace(plan.job, name=f"job {number}"))
            (put,) = add(book, [RackPiece(length=600.0, width=400.0, thickness=6.0, material="S235", note=tag)], AT)
            print("added", tag, flush=True)
            keep_plan(book, made, tag, "{}", {"P1": put.number}, AT)
            print("planned", tag, flush=True)
            for cut in made.cuts if number % 2 else ():
                tick_by_turns(book, made, tag, cut.number)
                print("ticked", tag, cut.number, flush=True)
            finish(book, made, tag, "{}", AT)
            print("done", tag, flush=True)
            if number % 3 == 0:
                undo(book, tag, AT)
                print("undone", tag, flush=True)


def tick_by_turns(book: Database, made: Plan, tag: str, number: int) -> None:
    """A cut is ticked in the shell, the next as the page tells it, which is not sure whether it was heard."""
    if number % 2:
        tick(book, made, tag, "{}", [number], AT)
        return
    step = Step(number=number, at=AT, what="made", cut=number)
    teller = Teller(store="page", newest=number, known=0, steps=[step], whole=[step])
    for _ in range(2):
        agree(book, tag, teller, lambda: made)


def grab(folder: Path, job: str, pieces: int) -> None:
    """Every piece is tried to be reserved for the job, once the word is given; those that were had are said."""
    with Database(folder / "rack.db") as book:
        print("ready", flush=True)
        sys.stdin.readline()
        for number in range(1, pieces + 1):
            try:
                reserve(book, [number], job, AT)
            except InputError as error:
                assert error.faults[0].says == "book.promised", error
            else:
                print(number, flush=True)


if __name__ == "__main__":
    if sys.argv[2] == "work":
        work(Path(sys.argv[1]))
    else:
        grab(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
