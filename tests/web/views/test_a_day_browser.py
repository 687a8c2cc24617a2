"""A day with the page, from the rack to the rig and back onto the rack, in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from stripplan.book.database import Database
from stripplan.book.day import day_of, tick
from stripplan.book.pieces import Wanted, add, wanted_pieces
from stripplan.book.plans import finish
from stripplan.model.rack.piece import RackPiece
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web.plan_for_page import shown as shown_of
from tests.replay.bevelled import bevelled
from tests.web.browser import DESK, PHONE, launched, served, until
from tests.web.on_the_page import line, names, shown, typed


def pieces(file: Path) -> dict[str, tuple[str, str]]:
    """State of each piece, and the job that it is promised to."""
    with Database(file, writes=False) as book:
        return {each.name: (each.state, each.job) for each in wanted_pieces(book, Wanted(gone=True))}


def to_the_rig(page: Any) -> None:
    """Keep the plan that is shown, and go on on a phone."""
    page.locator("[data-keep]").click()
    page.wait_for_url("**/rig/**")
    page.set_viewport_size(PHONE)


def ticked(page: Any) -> None:
    """Tick the cut that is shown, and wait until the next one can be."""
    page.locator("#next").click()
    page.wait_for_selector("#next:not([aria-disabled])")


@pytest.mark.slow
def test_a_day_from_the_rack_over_a_spoilt_piece_and_a_restart_to_the_rack(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A job without plates is planned from the rack and kept, a mistyped width is asked about, the computer goes and
    comes again, a piece is spoilt, the rest is planned again from what lies there, cut to its end and written into the
    book.
    """
    file = tmp_path / "rack.db"
    monkeypatch.setenv("STRIPPLAN_BOOK", str(file))
    with Database(file, create=True) as book:
        piece = RackPiece(kind="offcut", length=620.0, width=200.0, thickness=6.0, material="S235", place="bay 2")
        add(book, [piece] * 3, "2026-01-02T03:04:05+00:00")
    with launched() as browser:
        if browser is None:
            pytest.skip("no browser")
        page = browser.new_context(viewport=DESK).new_page()
        said: list[str] = []
        page.on("pageerror", lambda error: said.append(str(error)))
        with served(tmp_path / "shop") as (address, _):
            page.goto(f"{address}/?new")
            page.get_by_label("Take pieces off the rack too").check()
            typed(page, [("bar", "90", "300", "6")])
            page.locator('[data-table="plate"] [data-remove]').first.click()
            page.locator("input[name=name]").fill("stand")
            bar = line(page, names(page).index("bar"))
            bar.locator("[data-more]").click()
            bar.locator('[data-key="thickness"]').fill("6")
            bar.locator('[data-key="material"]').fill("S235")
            shown(page)
            assert "bay 2" in page.locator("#plan").inner_text()
            to_the_rig(page)
            assert sorted(job for _, job in pieces(file).values()) == ["", "stand", "stand"]
            field = page.locator(".cut:not([hidden]) .measure")
            width = field.locator(".band").inner_text().split()[0]
            for value, look in ((f"{10 * float(width):g}", "out"), (width, "go")):
                field.locator("input").fill(value)
                field.locator("button").click()
                page.locator(f".cut:not([hidden]) .verdict.{look}").wait_for()
                assert (f"did you mean {width}?" in field.locator(".verdict").inner_text()) is (look == "out")
            ticked(page)
        page.locator("#next").click()
        page.locator("#store", has_text="does not answer").wait_for()
        with served(tmp_path / "shop", int(address.rpartition(":")[2])):
            until(page, "document.querySelector('#store').textContent === ''")
            page.get_by_role("button", name="Went wrong").locator("visible=true").click()
            page.locator("#wrong [name=what]").first.check()
            page.locator("#wrong [name=side]:not([disabled])").first.check()
            page.get_by_role("button", name="Write it down").click()
            page.get_by_role("link", name="Plan the rest again").locator("visible=true").click()
            page.locator(".notes-of").wait_for()
            shown(page)
            told = page.locator("#state").inner_text()
            assert "Spoilt, " in told
            assert "stay as they were" in told
            page.set_viewport_size(DESK)
            to_the_rig(page)
            assert "used" in {state for state, _ in pieces(file).values()}
            page.wait_for_selector("#next")
            while page.locator("#next").inner_text() != "Batches":
                ticked(page)
            assert "SHORT" not in page.locator("#made").inner_text()
            page.locator("#book [name=place]").fill("bay 3")
            page.get_by_role("button", name="Write into the stock book").click()
            page.locator("#book .verdict", has_text="It is in the stock book").wait_for()
            assert not any(job for _, job in pieces(file).values())
            assert not said
            page.context.close()


@pytest.mark.slow
def test_a_shell_and_two_phones_on_one_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the shell ticks is seen on both without loading again; what one phone ticks after the plan is ended in the
    shell is kept, and the screen says that it is on the page alone."""
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "rack.db"))
    plan = bevelled()
    tag, bevel = plan_id(plan), plan.bevels[0].number
    with launched() as browser, served(tmp_path / "shop") as (address, shared):
        if browser is None:
            pytest.skip("no browser")
        shared.store.keep(tag, plan_text(plan), 'name = "bevels"\n', shown_of(plan), "2030-01-02T03:04:05+00:00")
        phones = [browser.new_context(viewport=PHONE).new_page() for _ in range(2)]
        for phone in phones:
            phone.goto(f"{address}/rig/{tag}/1")
        with Database(tmp_path / "rack.db", create=True) as book:
            tick(book, plan, tag, plan_text(plan), [1, bevel], "2030-01-02T03:04:05+00:00")
            made = {each.number for each in day_of(book, tag).ticked}
            for phone in phones:
                until(phone, f"document.querySelectorAll('#list [data-state=done]').length === {len(made)}")
            phones[0].locator("#next").click()  # it stands at the first cut, which is done: on to the second
            phones[0].wait_for_selector(".cut[data-cut='2']:not([hidden])")
            finish(book, plan, tag, plan_text(plan), "2030-01-02T03:04:05+00:00", so_far=True)
            last = len(plan.cuts) + len(plan.bevels)
            phones[0].locator("#all").click()
            phones[0].locator(f"#list [data-to='{last}']").click()
            phones[0].wait_for_selector("#next:not([aria-disabled])")
            phones[0].locator("#next").click()
            phones[0].locator("#store", has_text="ended in the stock book").wait_for()
            assert last not in {each.number for each in day_of(book, tag).ticked}
            assert last in shared.store.progress(tag).done
        for phone in phones:
            phone.context.close()
