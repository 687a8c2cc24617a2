"""Whatever is done to a book in whatever order, it says what a plain list of the rack says, and no metal is lost.

Cuts are ticked in the shell and as the page tells them, pieces are spoilt and partly still good, plans end half cut,
and what is still wanted is planned again from what lies there.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

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
from stripplan.book.day import day_of, tick, untick
from stripplan.book.offered import offered
from stripplan.book.pieces import Wanted, add, wanted_pieces, write_off
from stripplan.book.plans import Done, finish, keep_plan, undo
from stripplan.book.reservations import release, reserve
from stripplan.book.told import Step, Teller, agree
from stripplan.errors import InputError
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.plan.cut import Cut
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.progress import Side
from stripplan.planner import off_rack
from tests.book.workshop import AT, SIZES, kerf_area, of_job, piece, planned
from tests.planned import planned as laid

JOBS = ("gate", "shelf", "stand")


RIG = load_rig(None)


@dataclass
class Paper:
    """A plan on paper: whose it is, which pieces its plates are, what is ticked with the sides that were spoilt, what
    is still good of these; and once it is done the plates that were begun, its offcuts, and all else that became of
    them.
    """

    job: str
    made: Plan
    plates: dict[str, int]
    ticks: dict[int, str] = field(default_factory=dict)
    good: dict[tuple[int, Side], tuple[float, float]] = field(default_factory=dict)
    begun: set[str] | None = None
    offcuts: list[int] = field(default_factory=list)
    rest: float = 0.0
    steps: int = 0

    @property
    def is_done(self) -> bool:
        """Whether its plates were turned into parts and offcuts."""
        return self.begun is not None

    @property
    def cuts(self) -> dict[int, Cut]:
        """All of them by number."""
        return {each.number: each for each in self.made.cuts}

    def closed(self, number: int) -> set[int]:
        """A cut with those that made its piece."""
        makers = {name: each.number for each in self.made.cuts for name in each.makes if name is not None}
        found, cuts = {number}, self.cuts
        while (before := makers.get(cuts[number].piece)) is not None:
            number = before
            found.add(number)
        return found

    @property
    def cut(self) -> set[int]:
        """Cuts that were made, ticked or not: what was ticked had its piece."""
        return {each for number in self.ticks for each in self.closed(number)}

    def lies(self, name: str | None) -> bool:
        """Whether a piece is there, and was not cut further."""
        made = {each for number in self.cut for each in self.cuts[number].makes}
        return name in made and name not in {self.cuts[number].piece for number in self.cut}

    def area(self, plate: str) -> float:
        """Area of a plate [mm2]."""
        (found,) = (each for each in self.made.plates if each.id == plate)
        return found.length * found.width


@dataclass
class Rack:
    """What a person would write on a sheet of paper: pieces by number with area, whom they are for, and plans."""

    there: dict[int, float] = field(default_factory=dict)
    sizes: dict[int, tuple[float, float]] = field(default_factory=dict)
    promised: dict[int, tuple[str, str]] = field(default_factory=dict)
    plans: dict[str, Paper] = field(default_factory=dict)
    brought: float = 0.0
    written_off: float = 0.0


class AnyDay(RuleBasedStateMachine):
    """Adds, reserves, plans, ticks, spoils, cuts, plans again, takes back, copies and restores."""

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
        self.kept(of_job(planned(size, count), job), job, some)

    def kept(self, made: Plan, job: str, some: list[int]) -> None:
        """A plan is kept, its first plates pieces of the rack: in place of another of the job that is not begun."""
        before = {tag for tag, each in self.rack.plans.items() if each.job == job and not each.is_done}
        held = {each: by for each, by in self.rack.promised.items() if by[1] not in before}
        allowed = all(held.get(each, (job, "")) == (job, "") for each in some)
        allowed &= not any(self.rack.plans[tag].ticks for tag in before)
        self.plan_number += 1
        tag = f"{self.plan_number:08x}"
        plates = dict(zip((each.id for each in made.plates), some, strict=False))
        if self.succeeds(lambda: keep_plan(self.book, made, tag, "{}", plates, AT), allowed):
            for each in before:
                del self.rack.plans[each]
            self.rack.promised = held | dict.fromkeys(some, (job, tag))
            self.rack.plans[tag] = Paper(job, made, plates)

    def open_plan(self, data: st.DataObject) -> tuple[str, Paper]:
        """A plan that is not done."""
        tag = data.draw(st.sampled_from(sorted(tag for tag, each in self.rack.plans.items() if not each.is_done)))
        return tag, self.rack.plans[tag]

    @precondition(lambda self: any(not each.is_done for each in self.rack.plans.values()))
    @rule(data=st.data(), side=st.sampled_from(("", "", "left", "right", "both")), good=st.booleans())
    def tick_in_shell(self, data: st.DataObject, side: str, good: bool) -> None:
        """A cut is ticked, and with it those that made its piece; what it has spoilt may be still good in part, where
        it lies there as it fell."""
        tag, paper = self.open_plan(data)
        number = data.draw(st.sampled_from(sorted(paper.cuts)))
        usable = self.good_of(paper, number, side) if good else {}
        cut = {**paper.ticks, **dict.fromkeys(paper.closed(number), "")}
        allowed = all(self.still_lies(paper, cut, each) for each in (*paper.good, *((number, of) for of in usable)))
        if self.succeeds(
            lambda: tick(self.book, paper.made, tag, "{}", [number], AT, spoilt=side or None, usable=usable), allowed
        ):
            self.ticked(paper, number, side)
            paper.good |= {(number, of): size for of, size in usable.items()}

    def good_of(self, paper: Paper, number: int, side: str) -> dict[Side, tuple[float, float]]:
        """Of the one piece that was spoilt as much as is left without 20 mm of its length."""
        if side not in ("left", "right"):
            return {}
        name = paper.cuts[number].makes[0 if side == "right" else 1]
        found = next((each for each in paper.made.pieces if each.id == name), None)
        if found is None or found.box[2] - found.box[0] < 40:
            return {}
        of: Side = "left" if side == "left" else "right"
        return {of: (found.box[2] - found.box[0] - 20, found.box[3] - found.box[1])}

    def still_lies(self, paper: Paper, ticks: dict[int, str], of: tuple[int, Side]) -> bool:
        """Whether a piece that is said to be good in part was not cut further."""
        number, side = of
        name = paper.cuts[number].makes[0 if side == "right" else 1]
        return name is not None and replace(paper, ticks=ticks).lies(name)

    def ticked(self, paper: Paper, number: int, side: str) -> None:
        """A tick on paper."""
        paper.ticks |= {each: "" for each in paper.closed(number) if each not in paper.ticks}
        if side:
            paper.ticks[number] = side if paper.ticks[number] in ("", side) else "both"

    @precondition(lambda self: any(each.ticks and not each.is_done for each in self.rack.plans.values()))
    @rule(data=st.data())
    def untick(self, data: st.DataObject) -> None:
        """A tick is taken back, with what was said of what it had spoilt."""
        tag, paper = self.open_plan(data)
        if paper.ticks:
            number = data.draw(st.sampled_from(sorted(paper.ticks)))
            if any(self.cut_before(paper, number, each) for each in paper.good):
                return  # what is good would hang in the air
            assert untick(self.book, tag, [number], AT) == 1
            del paper.ticks[number]
            paper.good = {of: size for of, size in paper.good.items() if of[0] != number}

    def cut_before(self, paper: Paper, number: int, of: tuple[int, Side]) -> bool:
        """Whether a cut made the piece that another has spoilt in part."""
        return number != of[0] and number in paper.closed(of[0])

    @precondition(lambda self: any(not each.is_done for each in self.rack.plans.values()))
    @rule(data=st.data(), what=st.sampled_from(("made", "made", "not made", "right", "spoilt")), twice=st.booleans())
    def tick_on_page(self, data: st.DataObject, what: Any, twice: bool) -> None:
        """The page tells what was done there; where it does not know whether it was heard it tells it again, and that
        is one tick."""
        tag, paper = self.open_plan(data)
        number = data.draw(st.sampled_from(sorted(paper.cuts)))
        if any(
            number == of[0] or self.cut_before(paper, number, of) or number in self.after(paper, of)
            for of in paper.good
        ):
            return  # of pieces that are good in part the shell's rule tells
        paper.steps += 1
        step = Step(number=paper.steps, at=AT, what=what, cut=number, side="left" if what == "spoilt" else "")
        teller = Teller(store="page", newest=paper.steps, known=0, steps=[step], whole=[step])
        for _ in range(1 + twice):
            standing = agree(self.book, tag, teller, lambda: paper.made)
            assert standing is not None
            assert standing.heard == paper.steps
        before = paper.ticks.get(number)
        if what == "spoilt" or (what == "made" and before is None):
            self.ticked(paper, number, step.side)
        elif before is not None and (what == "right" or (what == "not made" and before == "")):
            del paper.ticks[number]

    def after(self, paper: Paper, of: tuple[int, Side]) -> set[int]:
        """Cuts of a piece that is good in part, and of what comes of it."""
        number, side = of
        name = paper.cuts[number].makes[0 if side == "right" else 1]
        return {each for each in paper.cuts if name in {paper.cuts[one].piece for one in paper.closed(each)}}

    @precondition(lambda self: any(not each.is_done for each in self.rack.plans.values()))
    @rule(data=st.data(), so_far=st.booleans())
    def cut_up(self, data: st.DataObject, so_far: bool) -> None:
        """A plan is done, or ends as far as it was cut: pieces that were begun are gone, offcuts and what is half cut
        lie there, the others are free; plates that were no pieces were bought."""
        tag, paper = self.open_plan(data)
        allowed = so_far or not paper.ticks or len(paper.ticks) == len(paper.cuts)
        done: list[Done] = []
        if not self.succeeds(lambda: done.append(finish(self.book, paper.made, tag, "{}", AT, so_far=so_far)), allowed):
            return
        made = paper.cut if so_far or paper.ticks else set(paper.cuts)
        cut = [each for each in paper.made.cuts if each.number in made]
        paper.begun = {each.plate for each in cut}
        kerfs = kerf_area(replace(paper.made, cuts=tuple(cut)))
        of = done[0].outcome
        assert of.kerf_area == pytest.approx(kerfs, abs=1e-3)
        self.bought(paper, 1)
        for plate, number in paper.plates.items():
            del self.rack.promised[number]
            if plate in paper.begun:
                del self.rack.there[number]
        paper.offcuts = [each.number for each in done[0].offcuts]
        self.rack.there |= {each.number: each.area for each in done[0].offcuts}
        paper.rest = of.area("part") + of.area("scrap") + kerfs
        parts = {each.id for each in paper.made.pieces if each.kind == "part" and self.sound(paper, each.id)}
        assert parts.isdisjoint(each.code.rpartition(":")[2] for each in done[0].offcuts)

    def sound(self, paper: Paper, name: str) -> bool:
        """Whether nobody said that a piece was spoilt."""
        spoilt = {
            each
            for number, side in paper.ticks.items()
            for each, of in zip(paper.cuts[number].makes, ("right", "left"), strict=True)
            if side in (of, "both")
        }
        return name not in spoilt

    def bought(self, paper: Paper, times: int) -> None:
        """Plates that were begun and are no pieces of the rack came from the merchant."""
        self.rack.brought += times * sum(paper.area(each) for each in (paper.begun or set()) - paper.plates.keys())

    @precondition(lambda self: any(each.is_done and each.ticks for each in self.rack.plans.values()))
    @rule(data=st.data())
    def plan_the_rest(self, data: st.DataObject) -> None:
        """What is still wanted of a plan that has ended is planned again from what is free on the rack, and from plates
        that are bought; the pieces are promised to it."""
        tags = sorted(tag for tag, each in self.rack.plans.items() if each.is_done and each.ticks)
        tag = data.draw(st.sampled_from(tags))
        paper = self.rack.plans[tag]
        made = Counter(
            each.part
            for each in paper.made.pieces
            if each.kind == "part" and paper.lies(each.id) and self.whole(paper, each.id)
        )
        parts = tuple(
            replace(each, quantity=each.quantity - made[each.name])
            for each in paper.made.job.parts
            if each.quantity > made[each.name]
        )
        again = any(each.job == paper.job and not each.is_done for each in self.rack.plans.values())
        if not parts or again:
            return
        options = replace(paper.made.job.options, effort=Effort(steps=1))
        own = tuple(replace(each, quantity=None) for each in paper.made.job.plates if not each.offcut)[-1:]
        job = replace(paper.made.job, parts=parts, plates=own, options=options)
        there = offered(self.book, job, rest_of=tag)
        assert {each.number for each in there.pieces} == {
            number for number in self.rack.there if self.rack.promised.get(number, (job.name, "")) == (job.name, "")
        }
        rack = off_rack(job, RIG, there.pieces, there.rules, costs=there.costs)
        found = laid(rack.job, RIG)
        taken = rack.taken(found)
        plates = sorted(found.plates, key=lambda each: each.id not in taken)  # those of the rack first
        self.kept(
            replace(found, plates=tuple(plates)), paper.job, [taken[each.id] for each in plates if each.id in taken]
        )

    def whole(self, paper: Paper, name: str) -> bool:
        """Whether neither a piece nor one that it was cut from was spoilt."""
        parents = {each.id: each.parent for each in paper.made.pieces}
        here: str | None = name
        while here is not None:
            if not self.sound(paper, here):
                return False
            here = parents[here]
        return True

    @precondition(lambda self: self.rack.plans)
    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        """What was done, or planned, is taken back, unless an offcut of it is in other hands, a piece that it did not
        touch is another's now, or cuts are ticked of what is only planned."""
        tag = data.draw(st.sampled_from(sorted(self.rack.plans)))
        paper = self.rack.plans[tag]
        if not paper.is_done:
            if self.succeeds(lambda: undo(self.book, tag, AT), not paper.ticks):
                for number in paper.plates.values():
                    del self.rack.promised[number]
                del self.rack.plans[tag]
            return
        free = self.rack.there.keys() - self.rack.promised.keys()
        untouched = {number for plate, number in paper.plates.items() if plate not in (paper.begun or set())}
        if not self.succeeds(lambda: undo(self.book, tag, AT), {*paper.offcuts, *untouched} <= free):
            return
        for number in paper.offcuts:
            del self.rack.there[number]
        for other in self.rack.plans.values():  # one that is done and did not begin it has to buy that plate now
            other.plates = {plate: number for plate, number in other.plates.items() if number not in paper.offcuts}
        for plate, number in paper.plates.items():
            self.rack.there[number], self.rack.promised[number] = paper.area(plate), (paper.job, tag)
        self.bought(paper, -1)
        paper.begun, paper.offcuts, paper.rest = None, [], 0.0

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
    def ticks_are_what_was_ticked(self) -> None:
        """Of each plan, with what was spoilt and what is good of that; a piece that is being cut is called so."""
        for tag, paper in self.rack.plans.items():
            day = day_of(self.book, tag)
            assert {each.number: each.spoilt for each in day.ticked} == paper.ticks
            assert day.progress.usable == paper.good
        for each in wanted_pieces(self.book, Wanted(reserved=True)):
            if each.plan:
                paper = self.rack.plans[each.plan]
                (plate,) = (plate for plate, number in paper.plates.items() if number == each.number)
                assert each.cuts == sum(paper.cuts[number].plate == plate for number in paper.ticks)

    @invariant()
    def nothing_is_promised_twice(self) -> None:
        """No two plans that are not done hold one piece."""
        held = Counter(
            number for each in self.rack.plans.values() if not each.is_done for number in each.plates.values()
        )
        assert all(count == 1 for count in held.values())

    @invariant()
    def no_metal_is_lost(self) -> None:
        """What was brought = what lies there + parts + scrap + kerf + what was written off, by area."""
        cut = sum(each.rest for each in self.rack.plans.values())
        accounted = sum(self.rack.there.values()) + cut + self.rack.written_off
        assert accounted == pytest.approx(self.rack.brought, abs=1.0)


@pytest.mark.parametrize(
    ("days", "steps"), [(2, 15), pytest.param(2000, 40, marks=pytest.mark.slow)], ids=["few", "thousands"]
)
def test_any_day(days: int, steps: int) -> None:
    """Random days end with the books right."""
    run_state_machine_as_test(
        AnyDay, settings=settings(max_examples=days, stateful_step_count=steps, deadline=None, derandomize=days < 10)
    )
