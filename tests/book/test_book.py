"""The book as a file: what it refuses, how it comes back, and what single calls promise."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from stripplan.book.copies import faults_of, restore
from stripplan.book.database import Database, usual_book
from stripplan.book.day import tick
from stripplan.book.history import entries
from stripplan.book.keep import set_rule
from stripplan.book.pieces import Wanted, add, change, first_wanted, rack_worth, wanted_pieces
from stripplan.book.plans import finish, keep_plan, kept_plan, plan_text_of
from stripplan.book.schema import APPLICATION, MIGRATIONS
from stripplan.errors import InputError, told
from stripplan.model.rack.keep import KeepRule
from stripplan.model.rack.outcome import outcome
from tests.book.workshop import AT, COST, SIZES, kerf_area, of_job, piece, planned


@pytest.fixture
def book(tmp_path: Path) -> Database:
    """An empty one."""
    return Database(tmp_path / "rack.db", create=True)


def said(error: pytest.ExceptionInfo[InputError]) -> str:
    return error.value.faults[0].says


def test_it_is_kept_as_it_should_be(book: Database) -> None:
    """A log, written through to the disk, marked as ours, of the newest version."""
    with book.reading() as connection:
        found = [connection.execute(f"PRAGMA {each}").fetchone()[0] for each in
                 ("journal_mode", "synchronous", "foreign_keys", "application_id", "user_version")]  # fmt: skip
    assert found == ["wal", 2, 1, APPLICATION, len(MIGRATIONS)]  # 2 = FULL (sqlite.org/pragma.html)


def test_a_piece_comes_back_as_it_was_put_in(book: Database) -> None:
    """Every field of it."""
    given = piece(
        batch="H7", cost=12.5, place="bay 1", edges=("mill", "cut", "dressed", "mill"), rolling="width", measured=True,
        out_of_square=0.4, note="rusty", code="stripplan:0a1b2c3d:P1-1", added="2025-12-31", job="gate", kind="offcut",
    )  # fmt: skip
    (put,) = add(book, [given], AT)
    assert wanted_pieces(book) == (put,)
    assert put.number == 1
    with pytest.raises(InputError) as error:
        add(book, [piece(), given], AT)
    assert said(error) == "book.code_there"
    assert len(wanted_pieces(book)) == 1


def test_pieces_are_found_by_what_is_said_of_them(book: Database) -> None:
    """By material and its family, thickness, the size that fits either way, and any text; worth by material."""
    add(book, [piece((2000, 1000), cost=95.0, place="Bay 1"), piece((300, 700), material="1.4301", thickness=3.0),
               piece((400, 400), material="S235JR", job="gate")], AT)  # fmt: skip

    def found(**wanted: object) -> list[int]:
        return [each.number for each in wanted_pieces(book, Wanted(**wanted))]  # type: ignore[arg-type]

    assert found(materials=("S235",)) == [1, 3]
    assert found(materials=("stainless",)) == [2]
    assert found(materials=("brass",)) == []
    assert found(materials=("brass", "1.4301", "S235JR")) == [2, 3]
    assert found(thicknesses=(3.0,)) == [2]
    assert found(thicknesses=(3.0, 6.0)) == [1, 2, 3]
    assert found(least=(650, 300)) == [1, 2]
    assert found(text="bay 1") == [1]
    assert found(text="GATE") == found(job="gate") == found(reserved=True) == [3]
    assert found(text="R2") == [2]
    first, there = first_wanted(book, Wanted(materials=("S235",)), 1)
    assert ([each.number for each in first], there) == ([1], 2)
    assert first_wanted(book, Wanted(materials=("S235",)), 5)[1] == 2
    worth = {(each.material, each.thickness): each for each in rack_worth(book)}
    assert worth["S235", 6.0].mass == pytest.approx(2 * 6 * 7.85)
    assert (worth["S235", 6.0].cost, worth["S235JR", 6.0].without_cost) == (95.0, 1)


def test_a_plan_is_kept_with_what_it_is_promised(book: Database) -> None:
    """Its text, its pieces; a size that it rests on cannot be changed, a place can."""
    add(book, [piece(), piece()], AT)
    keep_plan(book, planned(), "0a1b2c3d", "text of the plan", {"P1": 2}, AT)
    kept = kept_plan(book, "0a1b2c3d")
    assert (kept.job, kept.plates, kept.cuts, kept.done) == ("brackets", {"P1": 2}, len(planned().cuts), False)
    assert plan_text_of(book, "0a1b2c3d") == "text of the plan"
    change(book, [2], {"place": "bench"}, AT)
    with pytest.raises(InputError) as error:
        change(book, [2], {"length": 1.0}, AT)
    assert said(error) == "book.planned_size"


def test_a_plan_is_promised_nothing_where_its_files_cannot_be_written(book: Database) -> None:
    """The one and the other, or neither: what fails on the way leaves the book as it was."""
    add(book, [piece()], AT)

    def full() -> None:
        raise InputError(told("disk", "no space left"))

    with pytest.raises(InputError, match="no space"):
        keep_plan(book, planned(), "0a1b2c3d", "", {"P1": 1}, AT, then=full)
    assert plan_text_of(book, "0a1b2c3d") is None
    assert [each.job for each in wanted_pieces(book)] == [""]
    assert [each.what for each in entries(book)] == ["added"]
    keep_plan(book, planned(), "0a1b2c3d", "", {"P1": 1}, AT, then=lambda: None)
    assert kept_plan(book, "0a1b2c3d").left == pytest.approx(planned().totals.minutes)


def test_what_a_plan_made(book: Database) -> None:
    """Its area is that of its plates; offcuts carry material and batch of the piece, a share of its price, and the
    state of each edge; the rule of what is worth keeping decides."""
    made = planned()
    done = outcome(made, "0a1b2c3d", (KeepRule(size=(60, 60)),))
    assert done.plate_area == SIZES[0][0] * SIZES[0][1]
    assert done.kerf_area == pytest.approx(kerf_area(made))
    assert done.area("part") == pytest.approx(
        sum((x1 - x0) * (y1 - y0) for each in made.pieces if each.kind == "part" for x0, y0, x1, y1 in [each.box])
    )
    add(book, [piece(batch="H7", material="S235JR")], AT)
    set_rule(book, KeepRule(size=(60, 60)), AT)
    keep_plan(book, made, "0a1b2c3d", "", {"P1": 1}, AT)
    put = finish(book, made, "0a1b2c3d", "", AT, place="bay 2").offcuts
    assert put
    offcuts = {f"stripplan:0a1b2c3d:{each.id}": each for each in made.pieces if each.kind == "offcut"}
    assert {each.code for each in put} == offcuts.keys()
    for each in put:
        assert (each.batch, each.material, each.place, each.kind) == ("H7", "S235JR", "bay 2", "offcut")
        assert each.cost is not None
        x0, y0, x1, y1 = offcuts[each.code].box
        assert each.edges == tuple(
            "mill" if at_rim else "cut" for at_rim in (y0 == 0, x1 == SIZES[0][0], y1 == SIZES[0][1], x0 == 0)
        )
    for each in put:
        assert each.cost == pytest.approx(COST * 0.5 * each.area / done.plate_area, abs=0.005)
    assert [each.what for each in entries(book, piece=1)] == ["added", "planned", "done"]


def test_offcuts_alike_are_worth_the_same(book: Database) -> None:
    """Whatever they were cut beside, and whether from a plate or from an offcut of it, whose price is a share already:
    by hand, half of 40 for 600 x 400, and 20 for such an offcut."""
    set_rule(book, KeepRule(size=(10, 10)), AT)
    add(book, [piece(cost=COST), piece(cost=COST / 2, kind="offcut")], AT)
    made = planned()
    found = []
    for number, tag in ((1, "0a1b2c3d"), (2, "1a1b2c3d")):
        some = of_job(made, tag)
        keep_plan(book, some, tag, "", {"P1": number}, AT)
        tick(book, some, tag, "", [1], AT)  # both pieces of the first cut lie there then
        found.append(finish(book, some, tag, "", AT, so_far=True).offcuts)
    of_plate, of_offcut = found
    assert len(of_plate) == 2
    assert [each.cost for each in of_plate] == [each.cost for each in of_offcut]
    assert [each.cost for each in of_plate] == [pytest.approx(20 * each.area / 240000, abs=0.005) for each in of_plate]


def test_a_later_edition_a_stranger_and_a_damaged_file_are_refused(book: Database, tmp_path: Path) -> None:
    """Each with its own words, and none of them is changed; a copy brings the damaged one back."""
    add(book, [piece()], AT)
    copy = tmp_path / "copy.db"
    book.copied_to(copy)
    book.close()
    with closing(sqlite3.connect(book.path)) as later:
        later.execute("PRAGMA user_version = 99")
    for path, data, says in (
        (book.path, None, "book.newer"),
        (tmp_path / "other.db", _stranger(tmp_path / "other.db"), "book.not_ours"),
        (tmp_path / "text.db", b"these are no pieces of a rack" * 100, "book.damaged"),
        (tmp_path / "none.db", None, "book.missing"),
    ):
        if data is not None:
            path.write_bytes(data)
        before = path.read_bytes() if path.exists() else None
        with pytest.raises(InputError) as error:
            Database(path)
        assert said(error) == says
        assert (path.read_bytes() if path.exists() else None) == before
    aside = restore(tmp_path / "text.db", copy, AT)
    assert aside is not None
    assert aside.read_bytes().startswith(b"these are no pieces")
    with Database(tmp_path / "text.db") as back:
        assert len(wanted_pieces(back)) == 1
    copy.write_bytes(copy.read_bytes()[:5000])
    with pytest.raises(InputError):
        restore(tmp_path / "text.db", copy, AT)
    assert faults_of(tmp_path / "text.db") == ()


def _stranger(path: Path) -> bytes:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name)")
    data = path.read_bytes()
    path.unlink()
    return data


def test_a_book_of_an_earlier_edition_is_brought_up_to_date(tmp_path: Path) -> None:
    """Step by step in one transaction, with a copy of before beside it; a step that fails leaves it as it was."""
    path = tmp_path / "rack.db"
    with Database(path, create=True) as book:
        add(book, [piece()], AT)
    one, two = ("ALTER TABLE piece ADD COLUMN weighed REAL",), ("UPDATE piece SET weighed = 1",)
    with pytest.raises(sqlite3.Error):
        Database(path, migrations=(*MIGRATIONS, one, ("no statement",)))
    with Database(path) as book:
        assert book.version == len(MIGRATIONS)
    with Database(path, migrations=(*MIGRATIONS, one, two)) as book, book.reading() as connection:
        assert book.version == len(MIGRATIONS) + 2
        assert connection.execute("SELECT weighed FROM piece").fetchall() == [(1.0,)]
    with Database(tmp_path / f"rack.db.version-{len(MIGRATIONS)}") as before:
        assert len(wanted_pieces(before)) == 1


def test_a_book_of_the_first_edition_knows_no_outlines_and_gets_them(tmp_path: Path) -> None:
    """Its pieces stay as they were, and a copy of before lies beside it."""
    path = tmp_path / "rack.db"
    with Database(path, create=True, migrations=MIGRATIONS[:1]) as book, book.changing() as connection:
        connection.execute(
            "INSERT INTO piece VALUES (1, 'plate', 900, 500, 6, 'S235', '', 40, 'bay 1', 'mill mill mill mill', "
            "'none', 0, 0, '', '', '2026-03-01', 'there', '', '')"
        )
    with Database(path) as book:
        (found,) = wanted_pieces(book)
        assert (found.length, found.outline, book.version) == (900, (), len(MIGRATIONS))
    assert (tmp_path / "rack.db.version-1").exists()


def test_a_full_disk_loses_nothing(book: Database) -> None:
    """The change is refused as a whole, and what was there stays (a limit on the pages stands for the disk)."""
    add(book, [piece()] * 20, AT)
    with book.reading() as connection:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(InputError) as error:
        add(book, [piece(note="x" * 500)] * 200, AT)
    assert said(error) == "book.full"
    assert len(wanted_pieces(book)) == 20
    assert faults_of(book.path) == ()


def test_another_program_holds_it(book: Database) -> None:
    """A change waits for it, and says so when that takes too long; looking goes on meanwhile."""
    other = Database(book.path, patience=0.02)
    with book.changing():
        with pytest.raises(InputError) as error:
            add(other, [piece()], AT)
        assert said(error) == "book.busy"
        assert wanted_pieces(other) == ()
    add(other, [piece()], AT)
    other.close()


def test_where_the_book_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As the environment says, else in the person's data folder (XDG Base Directory Specification)."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("STRIPPLAN_BOOK", raising=False)
    assert usual_book() == tmp_path / "stripplan" / "rack.db"
    monkeypatch.setenv("STRIPPLAN_BOOK", "shop.db")
    assert usual_book() == Path("shop.db")
