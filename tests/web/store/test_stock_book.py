"""A shell, devices and the book on one plan: whoever ticks, all see the same, and nothing is lost or done twice."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from stripplan.book.copies import restore
from stripplan.book.database import Database
from stripplan.book.day import day_of, tick, untick
from stripplan.book.pieces import add, wanted_pieces
from stripplan.book.plans import finish, keep_plan, kept_plan, undo
from stripplan.errors import InputError
from stripplan.model.plan.measure import to_measure
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web.plan_for_page import shown
from stripplan.web.store import stock_book
from stripplan.web.store.batches import taken
from stripplan.web.store.plan_store import PlanStore
from stripplan.web.store.stock_book import agree
from tests.book.workshop import AT, piece
from tests.replay.bevelled import bevelled

PLAN = bevelled()
TAG = plan_id(PLAN)
CUTS = tuple(each.number for each in PLAN.arcs)
SIZED = {cut.number: known.expected for cut in PLAN.cuts if (known := to_measure(PLAN, cut)) is not None}


class Stopped(BaseException):
    """The program ends here."""


class Shop:
    """A book that knows a plan, and a page that has kept it."""

    def __init__(self, folder: Path, *, known: bool = True) -> None:
        self.file = folder / "rack.db"
        self.book = Database(self.file, create=True)
        self.count = 0
        if known:
            keep_plan(self.book, PLAN, TAG, plan_text(PLAN), {}, AT)
        self.store = PlanStore(folder / "shop")
        self.store.keep(TAG, plan_text(PLAN), "", shown(PLAN), AT)

    def changed(self, what: str, cut: int, text: str = "", usable: str = "", batch: int = 1) -> None:
        """What a device sends, as it lies in the page's file."""
        self.count += 1
        change = {"name": f"change-{self.count:06}", "what": what, "cut": cut, "text": text, "usable": usable}
        self.store.change(TAG, [change], time.time(), batch)

    def on_page(self) -> tuple[dict[int, str], dict[int, str]]:
        """Cuts that the page shows as made, with the side that each has spoilt, and the sizes."""
        now = self.store.progress(TAG)
        sides = {int(cut): text.partition(":")[0] for cut, text in now.wrong.items()}
        made = {cut: side for cut, side in sides.items() if side != "none"}
        return dict.fromkeys(now.done, "") | made, {int(cut): text for cut, text in now.measured.items()}

    def in_book(self) -> tuple[dict[int, str], dict[int, float]]:
        """The same of the book."""
        day = day_of(self.book, TAG)
        return {each.number: each.spoilt for each in day.ticked}, {each.cut: each.size for each in day.measured}


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Shop]:
    """A shop of one plan with bevels."""
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "rack.db"))
    made = Shop(tmp_path)
    yield made
    made.book.close()


def test_what_the_shell_ticks_is_seen_on_the_page_and_the_other_way_round(shop: Shop) -> None:
    """Cuts, bevels, sizes, spoilt pieces and what is still good of them; each taken back from either side."""
    sized, bevel = next(iter(SIZED)), PLAN.bevels[0].number
    tick(shop.book, PLAN, TAG, "", [sized], AT, measured={sized: SIZED[sized] + 0.25}, minutes=3.0)
    tick(shop.book, PLAN, TAG, "", [bevel], AT, spoilt="left")
    assert agree(shop.store, TAG).batch == 1
    made, sizes = shop.on_page()
    ticked = shop.in_book()[0]
    assert made == ticked | {bevel: "right"}  # of a bevel its part is spoilt, whichever side is said
    assert float(sizes[sized]) == pytest.approx(SIZED[sized] + 0.25)
    assert shop.store.progress(TAG).wrong[str(bevel)] == "right: said in the shell"
    shop.changed("undone", sized)
    shop.changed("measured", sized, f"{SIZED[sized]:g}")
    shop.changed("wrong", bevel, "")
    agree(shop.store, TAG)
    assert shop.in_book() == ({cut: "" for cut in ticked if cut not in (sized, bevel)}, {sized: SIZED[sized]})
    untick(shop.book, TAG, None, AT)
    agree(shop.store, TAG)
    assert shop.on_page() == ({}, {sized: f"{SIZED[sized]:g}"})  # taken back before, its size stays for a look
    assert shop.in_book() == ({}, {sized: SIZED[sized]})


def test_what_was_typed_stays_as_it_was_typed_and_what_no_book_holds_stays_too(shop: Shop) -> None:
    """A width in another unit, words of what went wrong, a size after a cut that runs aslant."""
    sized, other = list(SIZED)[:2]
    aslant = next((cut.number for cut in PLAN.cuts if cut.number not in SIZED), None)
    shop.changed("measured", sized, f"{SIZED[sized] / 10:g} cm")
    shop.changed("wrong", other, "left: the arc went out")
    if aslant is not None:
        shop.changed("measured", aslant, "123.4")
    agree(shop.store, TAG)
    agree(shop.store, TAG)
    now = shop.store.progress(TAG)
    assert now.measured[str(sized)] == f"{SIZED[sized] / 10:g} cm"
    assert now.wrong == {str(other): "left: the arc went out"}
    assert aslant is None or now.measured[str(aslant)] == "123.4"
    (said,) = (each for each in day_of(shop.book, TAG).ticked if each.number == other)
    assert (said.spoilt, said.note) == ("left", "the arc went out")


def test_the_page_counts_the_minutes_of_its_own_ticks(shop: Shop) -> None:
    """What the shell ticks is ticked when somebody comes to it: no time is known of it, and none is counted; from then
    on the next cut is timed."""
    first, second, third = (each.number for each in PLAN.cuts[:3])
    shop.changed("at", first)
    began = shop.store.progress(TAG).begun
    shop.changed("done", first)
    agree(shop.store, TAG)
    made = datetime.fromtimestamp(began + 300).astimezone().isoformat()
    tick(shop.book, PLAN, TAG, "", [second], made)
    agree(shop.store, TAG)
    now = shop.store.progress(TAG)
    assert (set(now.ticked), set(now.elsewhere)) == ({str(first)}, {str(second)})
    now.ticked |= {str(first): began + 60, str(third): began + 420}
    assert taken(now, {}) == pytest.approx(1 + 2)  # by hand: a minute to the first, two from the shell's to the third


def test_a_cut_that_is_to_be_made_again_is_not_made(shop: Shop) -> None:
    """Nothing was spoilt: the book has no tick, and the page keeps its mark until somebody ticks the cut."""
    shop.changed("done", 1)
    shop.changed("wrong", 1, "none: not cut through")
    agree(shop.store, TAG)
    assert shop.in_book()[0] == {}
    assert shop.store.progress(TAG).wrong == {"1": "none: not cut through"}
    tick(shop.book, PLAN, TAG, "", [1], AT)
    agree(shop.store, TAG)
    assert (shop.store.progress(TAG).wrong, shop.store.progress(TAG).done) == ({}, [1])


def test_a_plan_that_both_began_before_they_knew_of_each_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All ticks of both count once the book knows the plan; the batch that was begun stands in it, a second does
    not."""
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "rack.db"))
    shop = Shop(tmp_path, known=False)
    shop.changed("done", 1)
    assert agree(shop.store, TAG).batch == 0
    tick(shop.book, PLAN, TAG, plan_text(PLAN), [2], AT)
    assert agree(shop.store, TAG).batch == 1
    assert {1, 2} <= shop.in_book()[0].keys()
    assert shop.on_page()[0] == shop.in_book()[0]
    second, before = shop.store.begin(TAG), shop.in_book()
    shop.changed("done", 3, batch=second)
    agree(shop.store, TAG)
    assert shop.in_book() == before
    assert shop.store.progress(TAG, second).done == [3]


def test_a_batch_that_is_deleted_takes_its_ticks_along(shop: Shop) -> None:
    """Those in the book as well, so that nothing is held by what nobody sees."""
    shop.changed("done", 1)
    agree(shop.store, TAG)
    stock_book.leave(shop.store, TAG, 1)
    shop.store.delete(TAG, 1)
    assert shop.in_book() == ({}, {})
    agree(shop.store, TAG)
    assert shop.on_page() == ({}, {})
    undo(shop.book, TAG, AT)  # it is not begun


def test_a_plan_that_is_ended_in_the_shell(shop: Shop) -> None:
    """All is made then; what a device ticks after that is kept, told to the person, and told to the book when the plan
    is opened again."""
    tick(shop.book, PLAN, TAG, "", [1], AT)
    agree(shop.store, TAG)
    finish(shop.book, PLAN, TAG, "", AT, so_far=True)
    shop.changed("done", 2)
    assert f"stripplan undo {TAG}" in agree(shop.store, TAG).said
    assert set(shop.on_page()[0]) == {1, 2}
    assert set(shop.in_book()[0]) == {1}
    undo(shop.book, TAG, AT)
    assert agree(shop.store, TAG).said == ""
    assert set(shop.in_book()[0]) == set(shop.on_page()[0]) == {1, 2}
    untick(shop.book, TAG, None, AT)
    finish(shop.book, PLAN, TAG, "", AT)
    agree(shop.store, TAG)
    assert shop.store.progress(TAG).done == list(CUTS)


def test_a_book_that_is_held_or_put_back_to_an_earlier_day(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it did not hear is kept, said, and told later; a copy of before learns what has been ticked since."""
    monkeypatch.setattr(stock_book, "SHORT", 0.05)
    copy = shop.file.with_name("copy.db")
    shop.changed("done", 1)
    agree(shop.store, TAG)
    shop.book.copied_to(copy)
    with shop.book.changing():
        shop.changed("done", 2)
        assert "Not in the stock book yet" in agree(shop.store, TAG).said
        assert set(shop.on_page()[0]) == {1, 2}
    assert agree(shop.store, TAG).said == ""
    assert set(shop.in_book()[0]) == {1, 2}
    shop.book.close()
    restore(shop.file, copy, AT)
    shop.book = Database(shop.file)
    assert set(shop.in_book()[0]) == {1}
    agree(shop.store, TAG)
    assert set(shop.in_book()[0]) == set(shop.on_page()[0]) == {1, 2}


def closed(cut: int) -> set[int]:
    """A cut with those that made its piece, by the pieces alone."""
    makers = {name: each.number for each in PLAN.cuts for name in each.makes if name is not None}
    pieces = {each.number: each.piece for each in PLAN.arcs}
    found = {cut}
    while (before := makers.get(pieces[cut])) is not None:
        cut = before
        found.add(cut)
    return found


SIDES = st.sampled_from(("left", "right", "both"))


class TwoHands(RuleBasedStateMachine):
    """A shell and a phone on one plan, the page's program stopped now and then; beside them a list on paper."""

    @initialize()
    def begin(self) -> None:
        """Nothing is ticked."""
        self.folder = tempfile.TemporaryDirectory()
        self.patch = pytest.MonkeyPatch()
        self.patch.setenv("STRIPPLAN_BOOK", str(Path(self.folder.name) / "rack.db"))
        self.shop = Shop(Path(self.folder.name))
        agree(self.shop.store, TAG)
        self.made: dict[int, str] = {}
        self.sizes: dict[int, float] = {}
        self.waiting: list[tuple[str, int, Any]] = []

    def teardown(self) -> None:
        """The end of a day."""
        self.shop.book.close()
        self.patch.undo()
        self.folder.cleanup()

    def written(self, what: str, cut: int, said: Any) -> None:
        """One thing that was done, on paper."""
        before = self.made.get(cut)
        if what == "done" and before is None:
            self.made |= {each: "" for each in closed(cut) if each not in self.made}
        elif what == "spoilt":
            self.made |= {each: "" for each in closed(cut) if each not in self.made}
            self.made[cut] = said if before in (None, "", said) else "both"
        elif (what == "undone" and before == "") or (what == "right" and before is not None):
            del self.made[cut]
        elif what == "measured":
            self.sizes.pop(cut, None)
            self.sizes |= {} if said is None else {cut: said}

    @rule(cut=st.sampled_from(CUTS), what=st.sampled_from(("done", "undone", "right")))
    def phone(self, cut: int, what: str) -> None:
        """A tick on the page, set or taken back."""
        self.shop.changed("wrong" if what == "right" else what, cut)
        self.waiting.append((what, cut, None))

    @rule(cut=st.sampled_from(CUTS), side=SIDES)
    def phone_spoils(self, cut: int, side: str) -> None:
        """Something went wrong, by the page."""
        side = "right" if cut > len(PLAN.cuts) else side
        self.shop.changed("wrong", cut, f"{side}: the piece slipped")
        self.waiting.append(("spoilt", cut, side))

    @rule(cut=st.sampled_from(list(SIZED)), off=st.sampled_from((None, -0.5, 0.0, 0.3)))
    def phone_measures(self, cut: int, off: float | None) -> None:
        """A size, or none any more."""
        size = None if off is None else round(SIZED[cut] + off, 3)
        self.shop.changed("measured", cut, "" if size is None else f"{size:.7g}")
        self.waiting.append(("measured", cut, size))

    @rule(cut=st.sampled_from(CUTS), side=st.one_of(st.none(), SIDES), off=st.sampled_from((None, 0.1)))
    def shell(self, cut: int, side: str | None, off: float | None) -> None:
        """A tick in the shell."""
        side = "right" if side and cut > len(PLAN.cuts) else side
        size = {} if off is None or cut not in SIZED else {cut: round(SIZED[cut] + off, 3)}
        tick(self.shop.book, PLAN, TAG, "", [cut], AT, spoilt=side, measured=size)
        self.made |= {each: "" for each in closed(cut) if each not in self.made}
        if side:
            self.made[cut] = side if self.made[cut] in ("", side) else "both"
        self.sizes |= size

    @rule(cut=st.sampled_from(CUTS))
    def shell_takes_back(self, cut: int) -> None:
        """A tick is taken back in the shell."""
        untick(self.shop.book, TAG, [cut], AT)
        if self.made.pop(cut, None) is not None:
            self.sizes.pop(cut, None)

    @rule()
    def looked_at(self) -> None:
        """The page is loaded."""
        agree(self.shop.store, TAG)
        self.told()

    def told(self) -> None:
        """What waited is on paper too."""
        for each in self.waiting:
            self.written(*each)
        self.waiting.clear()

    @rule(heard=st.booleans())
    def stopped(self, heard: bool) -> None:
        """The program ends when it tells the book, before or after that has it, and is started again."""
        with pytest.MonkeyPatch.context() as patch:
            if heard:
                patch.setattr(stock_book, "_take", _stops)
            else:
                patch.setattr("stripplan.book.told._take_over", _stops)
            with suppress(Stopped):
                agree(self.shop.store, TAG)
        if heard:
            self.told()

    @rule()
    def restarted(self) -> None:
        """A new program in the same folder."""
        self.shop.store = PlanStore(self.shop.store.folder)

    @invariant()
    def the_book_is_the_list(self) -> None:
        """Ticks and sizes equal what was ticked and measured."""
        assert self.shop.in_book() == (self.made, self.sizes)

    @invariant()
    def after_a_look_all_agree(self) -> None:
        """The page says the same when nothing waits and it was looked at."""
        if self.waiting:
            return
        agree(self.shop.store, TAG)
        made, sizes = self.shop.on_page()
        as_shown = {cut: "right" if side and cut > len(PLAN.cuts) else side for cut, side in self.made.items()}
        assert made == as_shown
        assert {cut: float(text) for cut, text in sizes.items()} == self.sizes


def _stops(*_: object) -> None:
    raise Stopped


@pytest.mark.parametrize(
    ("days", "steps"), [(3, 15), pytest.param(1000, 40, marks=pytest.mark.slow)], ids=["few", "a thousand"]
)
def test_any_two_hands(days: int, steps: int) -> None:
    """However a shell and a phone tick, and wherever the program stops, book, page and paper say the same."""
    run_state_machine_as_test(
        TwoHands, settings=settings(max_examples=days, stateful_step_count=steps, deadline=None, derandomize=days < 10)
    )


def test_another_batch_cannot_end_what_the_first_has_begun(shop: Shop) -> None:
    """The plan is promised its pieces once: the batch that stands in the book is the one that uses them up."""
    from stripplan.web.views import promises

    add(shop.book, [piece()], AT)
    shop.changed("done", 1)
    agree(shop.store, TAG)
    second = shop.store.begin(TAG)
    shop.changed("done", 1, batch=second)
    with pytest.raises(InputError, match="batch 1 stands in the stock book"), stock_book.opened() as book:
        promises._finish(book, shop.store, (TAG, second), (PLAN, plan_text(PLAN)), place="")
    with stock_book.opened() as book:
        promises._finish(book, shop.store, (TAG, 1), (PLAN, plan_text(PLAN)), place="bay 1")
    assert kept_plan(shop.book, TAG).done
    assert len(wanted_pieces(shop.book)) >= 1
