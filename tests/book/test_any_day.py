"""Whatever is done to a book in whatever order, it says what a plain list of the rack says, and no metal is lost."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from stripplan.book.copies import faults_of, restore
from stripplan.book.database import Database
from stripplan.book.pieces import Wanted, add, wanted_pieces, write_off
from stripplan.book.plans import finish, keep_plan, undo
from stripplan.book.reservations import release, reserve
from stripplan.errors import InputError
from tests.book.workshop import AT, SIZES, kerf_area, of_job, piece, planned

JOBS = ("gate", "shelf", "stand")


@dataclass
class Rack:
    """What a person would write on a sheet of paper: pieces by number with area, whom they are for, and plans."""

    there: dict[int, float] = field(default_factory=dict)
    sizes: dict[int, tuple[float, float]] = field(default_factory=dict)
    promised: dict[int, tuple[str, str]] = field(default_factory=dict)
    plans: dict[str, tuple[str, tuple[float, float], list[int]]] = field(default_factory=dict)
    done: dict[str, list[int]] = field(default_factory=dict)
    brought: float = 0.0
    written_off: float = 0.0
    parts_scrap_kerf: dict[str, float] = field(default_factory=dict)


class AnyDay(RuleBasedStateMachine):
    """Adds, reserves, plans, cuts, takes back, copies and restores."""

    @initialize()
    def begin(self) -> None:
        """An empty book."""
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "rack.db"
        self.book = Database(self.path, create=True)
        self.rack, self.plan_number = Rack(), 0

    def teardown(self) -> None:
        """The file is sound at the end of any day."""
        self.book.close()
        assert faults_of(self.path) == ()
        self.folder.cleanup()

    def pick(self, data: st.DataObject, numbers: list[int]) -> list[int]:
        """One to three of some pieces."""
        return data.draw(st.lists(st.sampled_from(sorted(numbers)), min_size=1, max_size=3, unique=True))

    @rule(size=st.sampled_from(SIZES), count=st.integers(1, 3))
    def bring(self, size: tuple[float, float], count: int) -> None:
        """Plates come in."""
        for each in add(self.book, [piece(size)] * count, AT):
            self.rack.there[each.number], self.rack.sizes[each.number] = size[0] * size[1], size
            self.rack.brought += size[0] * size[1]

    @precondition(lambda self: self.rack.there)
    @rule(data=st.data(), job=st.sampled_from(JOBS))
    def promise(self, data: st.DataObject, job: str) -> None:
        """Pieces are reserved by hand: all, or none where one is another's."""
        some = self.pick(data, list(self.rack.there))
        allowed = all(self.rack.promised.get(each, (job, ""))[0] == job for each in some)
        if self.succeeds(lambda: reserve(self.book, some, job, AT), allowed):
            for each in some:
                self.rack.promised.setdefault(each, (job, ""))

    @precondition(lambda self: self.rack.there)
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        """A reservation by hand is taken back; that of a plan is not."""
        some = self.pick(data, list(self.rack.there))
        allowed = all(self.rack.promised.get(each, ("", "plan"))[1] == "" for each in some)
        if self.succeeds(lambda: release(self.book, some, AT), allowed):
            for each in some:
                del self.rack.promised[each]

    @precondition(lambda self: self.rack.there)
    @rule(data=st.data())
    def throw_away(self, data: st.DataObject) -> None:
        """Pieces are written off, unless one is promised."""
        some = self.pick(data, list(self.rack.there))
        if self.succeeds(lambda: write_off(self.book, some, AT), not any(each in self.rack.promised for each in some)):
            for each in some:
                self.rack.written_off += self.rack.there.pop(each)

    @rule(
        data=st.data(), job=st.sampled_from(JOBS), plates=st.sampled_from(((SIZES[0], 1), (SIZES[0], 2), (SIZES[1], 1)))
    )
    def plan(self, data: st.DataObject, job: str, plates: tuple[tuple[float, float], int]) -> None:
        """A job is planned, or planned again; some of its plates are pieces of the rack, maybe another job's."""
        size, count = plates
        fitting = [each for each in self.rack.there if self.rack.sizes.get(each) == size]
        some = data.draw(st.lists(st.sampled_from(sorted(fitting)), max_size=count, unique=True)) if fitting else []
        before = {tag for tag, (of, _, _) in self.rack.plans.items() if of == job and tag not in self.rack.done}
        held = {each: by for each, by in self.rack.promised.items() if by[1] not in before}
        allowed = all(held.get(each, (job, "")) == (job, "") for each in some)
        made = of_job(planned(size, count), job)
        ids = [each.id for each in made.plates]
        self.plan_number += 1
        tag = f"{self.plan_number:08x}"
        if self.succeeds(
            lambda: keep_plan(self.book, made, tag, "{}", dict(zip(ids, some, strict=False)), AT), allowed
        ):
            for each in before:
                del self.rack.plans[each]
            self.rack.promised = held | dict.fromkeys(some, (job, tag))
            self.rack.plans[tag] = (job, size, some)
            self.made = {**getattr(self, "made", {}), tag: made}

    @precondition(lambda self: self.rack.plans.keys() - self.rack.done.keys())
    @rule(data=st.data())
    def cut_up(self, data: st.DataObject) -> None:
        """A plan is done: its pieces are gone, its offcuts lie there; plates that were no pieces were bought."""
        tag = data.draw(st.sampled_from(sorted(self.rack.plans.keys() - self.rack.done.keys())))
        made = self.made[tag]
        done = finish(self.book, made, tag, "{}", AT)
        _, size, some = self.rack.plans[tag]
        self.rack.brought += (len(made.plates) - len(some)) * size[0] * size[1]
        for each in some:
            del self.rack.there[each], self.rack.promised[each]
        assert done.outcome.kerf_area == pytest.approx(kerf_area(made), abs=1e-3)
        self.rack.done[tag] = [each.number for each in done.offcuts]
        self.rack.there |= {each.number: each.area for each in done.offcuts}
        self.rack.parts_scrap_kerf[tag] = done.outcome.area("part") + done.outcome.area("scrap") + kerf_area(made)

    @precondition(lambda self: self.rack.plans)
    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        """What was done, or planned, is taken back, unless an offcut of it is in other hands."""
        tag = data.draw(st.sampled_from(sorted(self.rack.plans)))
        _, size, some = self.rack.plans[tag]
        offcuts = self.rack.done.get(tag, [])
        allowed = all(each in self.rack.there and each not in self.rack.promised for each in offcuts)
        if not self.succeeds(lambda: undo(self.book, tag, AT), allowed):
            return
        if tag not in self.rack.done:
            for each in some:
                del self.rack.promised[each]
            del self.rack.plans[tag]
            return
        for each in self.rack.done.pop(tag):
            del self.rack.there[each]
        del self.rack.parts_scrap_kerf[tag]
        job = self.rack.plans[tag][0]
        for each in some:
            self.rack.there[each], self.rack.promised[each] = size[0] * size[1], (job, tag)
        self.rack.brought -= (len(self.made[tag].plates) - len(some)) * size[0] * size[1]

    @rule()
    def copy_and_restore(self) -> None:
        """A copy that is put back says the same."""
        copy = self.path.with_name("copy.db")
        self.book.copied_to(copy, over=True)
        self.book.close()
        aside = restore(self.path, copy, AT)
        assert aside is not None
        aside.unlink()
        self.book = Database(self.path)

    def succeeds(self, work: object, allowed: bool) -> bool:
        """Whether it was done; it is refused exactly where it may not be."""
        try:
            work()  # type: ignore[operator]
        except InputError:
            assert not allowed
            return False
        assert allowed
        return True

    @invariant()
    def the_book_says_what_lies_there(self) -> None:
        """Pieces, and whom they are promised to."""
        found = wanted_pieces(self.book)
        assert {each.number: pytest.approx(each.area) for each in found} == self.rack.there
        assert {each.number: (each.job, each.plan) for each in found if each.job} == self.rack.promised
        assert len(wanted_pieces(self.book, Wanted(reserved=False))) == len(found) - len(self.rack.promised)

    @invariant()
    def no_metal_is_lost(self) -> None:
        """What was brought = what lies there + parts + scrap + kerf + what was written off, by area."""
        accounted = sum(self.rack.there.values()) + sum(self.rack.parts_scrap_kerf.values()) + self.rack.written_off
        assert accounted == pytest.approx(self.rack.brought, abs=1.0)


@pytest.mark.parametrize(
    ("days", "steps"), [(2, 15), pytest.param(2000, 40, marks=pytest.mark.slow)], ids=["few", "thousands"]
)
def test_any_day(days: int, steps: int) -> None:
    """Random days end with the books right."""
    run_state_machine_as_test(
        AnyDay, settings=settings(max_examples=days, stateful_step_count=steps, deadline=None, derandomize=days < 10)
    )
