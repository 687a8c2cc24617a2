"""The rack in a browser: put in, searched, reserved, written off, and planned from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.web.browser import DESK, PHONE, Opened, launched, opened, until
from tests.web.on_the_page import line, names, shown, typed


@pytest.fixture
def it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Opened]:
    """A browser on the page, with a rack of its own that is empty."""
    monkeypatch.setenv("STRIPPLAN_BOOK", str(tmp_path / "rack.db"))
    with launched() as browser:
        if browser is None:
            pytest.skip("no browser")
        with opened(browser, tmp_path / "shop") as made:
            yield made


def put_in(page: Any, size: str, material: str, **more: str) -> None:
    """Fill the form and send it; the list comes anew."""
    form = page.locator("#add")
    if not form.is_visible():
        page.locator(".put-in summary").click()
    form.locator("[name=size]").fill(size)
    form.locator("[name=material]").fill(material)
    for key, value in more.items():
        field = form.locator(f"[name={key}]")
        field.select_option(value) if key == "kind" else field.fill(value)
    page.evaluate("document.querySelector('#said').textContent = ''")
    form.get_by_role("button", name="Put in").click()
    until(page, "['#said', '#add-said'].some((each) => document.querySelector(each).textContent)")


def chosen(page: Any, *names: str) -> None:
    """Tick pieces."""
    for name in names:
        page.locator(f"input[name=piece][value={name}]").check()


@pytest.mark.slow
def test_the_rack_from_putting_in_to_planning_from_it(it: Opened) -> None:
    """Pieces get numbers, worth and age; a search finds them; one is reserved, given back and written off; two become
    the plates of a list, by their numbers, to one of which a part is bound; what is wrong is said.
    """
    page = it.page(DESK)
    page.goto(f"{it.address}/rack")
    put_in(page, "2000x1000", "S235")
    assert "is no size" in page.locator("#add-said").inner_text()
    assert page.locator("#add [aria-invalid]").get_attribute("name") == "size"
    put_in(page, "2000 x 1000 x 6", "S235", cost="113", place="bay 1", count="2")
    put_in(page, "620x410x6", "S235", kind="offcut", place="by the door", note="rusty")
    rows = page.locator(".pieces tbody tr")
    assert rows.count() == 3
    assert "R1" in rows.nth(0).inner_text() + rows.nth(1).inner_text() + rows.nth(2).inner_text()
    assert "226.00" in page.locator("table[class=order] tbody").inner_text()
    page.locator("[name=text]").fill("rusty")
    page.get_by_role("button", name="Search").click()
    until(page, "document.querySelectorAll('.pieces tbody tr').length === 1")
    assert "by the door" in rows.inner_text()
    chosen(page, "R3")
    page.locator("#job").fill("gate")
    page.get_by_role("button", name="Reserve for it").click()
    until(page, "document.querySelector('#said').textContent.includes('reserved for gate')")
    assert "gate" in rows.inner_text()
    chosen(page, "R3")
    page.get_by_role("button", name="Give back").click()
    until(page, "document.querySelector('#said').textContent.includes('free')")
    page.goto(f"{it.address}/rack")
    chosen(page, "R2")
    page.locator("#why").fill("sold")
    page.get_by_role("button", name="Write off").click()
    until(page, "document.querySelector('#said').textContent.includes('off the rack')")
    assert rows.count() == 2
    chosen(page, "R1", "R3")
    page.get_by_role("button", name="Plan from these").click()
    page.wait_for_selector('[data-table="plate"] tbody.line')
    plates = page.locator('[data-table="plate"] [data-key="name"]')
    assert sorted(plates.nth(n).input_value() for n in range(2)) == ["R1", "R3"]
    typed(page, [("bar", "50", "300", "3")])
    bar = line(page, names(page).index("bar"))
    bar.locator("[data-more]").click()
    bar.locator('[data-key="plate"]').fill("R3")
    shown(page)
    until(page, "document.querySelector('#plan').textContent.includes('R3')")
    assert not [each for each in it.said if "422" not in each]


@pytest.mark.slow
def test_the_rack_on_a_phone_does_not_run_out_of_the_screen(it: Opened) -> None:
    """The list scrolls by itself, and what is done with pieces wraps."""
    page = it.page(PHONE)
    page.goto(f"{it.address}/rack")
    put_in(page, "2000 x 1000 x 6", "S235", cost="113", place="bay 1, behind the door on the left", count="30")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    answer = page.locator("#said").bounding_box()  # the numbers to be written on the metal, above a list of thirty
    assert 0 <= answer["y"] < PHONE["height"]
    chosen(page, "R1")
    assert page.locator("#plan").is_visible()
    boxes = [each.bounding_box() for each in page.locator(".doing button").all()]
    assert all(box["x"] + box["width"] <= PHONE["width"] for box in boxes)


LIST = """length,width,thickness,material,qty,place,label
620,410,6,S235,2,by the door,
900,300,8,S355,1,bay 2,4006381333931
"""


@pytest.mark.slow
def test_a_list_is_read_a_label_scanned_and_what_lies_there_put_right(it: Opened, tmp_path: Path) -> None:
    """A faulty list is told row by row and puts nothing in; a sound one is shown first. A code with Enter behind it
    opens its piece, whatever is typed then falls into no field; what is changed there is in the list, several pieces
    are changed at once, and the one that was scanned is written off.
    """
    page = it.page(DESK)
    page.goto(f"{it.address}/rack")
    files, box = page.locator("#list"), page.locator("#list-dialog")
    (tmp_path / "stock.csv").write_text(LIST.replace("S355", ""))
    files.set_input_files(tmp_path / "stock.csv")
    box.wait_for()
    assert "row 3, material" in box.inner_text()
    assert not box.get_by_role("button", name="Put all of them in").is_visible()
    box.locator("[data-how=material]").fill("S355")
    box.get_by_role("button", name="Read it again").click()
    until(page, "document.querySelector('#list-table tbody')?.rows.length === 2")
    assert page.locator(".pieces").count() == 0
    box.get_by_role("button", name="Put all of them in").click()
    until(page, "document.querySelector('#said').textContent.includes('R1-R3 put in')")
    rows = page.locator(".pieces tbody tr")
    assert rows.count() == 3
    scanned, piece = page.locator("#find [name=named]"), page.locator("#piece-dialog")
    scanned.focus()
    page.keyboard.type("4006381333931\n")
    piece.wait_for()
    assert piece.locator("h2").inner_text() == "R3"
    page.keyboard.type("4006381333932\n")
    assert piece.is_visible()
    assert piece.locator("[name=size]").input_value() == "900 x 300 x 8"
    piece.locator("[name=size]").fill("90000x300")
    piece.get_by_role("button", name="Save").click()
    until(page, "document.querySelector('#piece-dialog .said').textContent.includes('no plate measures')")
    assert piece.locator("[aria-invalid]").get_attribute("name") == "size"
    piece.locator("[name=size]").fill("890x300")
    piece.get_by_role("button", name="Save").click()
    piece.wait_for(state="hidden")
    assert "890 × 300 × 8" in rows.nth(2).inner_text()
    chosen(page, "R1", "R2")
    page.locator("#change").click()
    page.locator("#pieces-dialog [name=place]").fill("bay 7")
    page.locator("#pieces-dialog").get_by_role("button", name="Save").click()
    until(page, "document.querySelector('#said').textContent.includes('R1-R2: put right')")
    assert page.locator(".pieces").inner_text().count("bay 7") == 2
    page.locator("[data-piece=R3]").click()
    piece.wait_for()
    piece.get_by_role("button", name="Write it off").click()
    until(page, "document.querySelector('#said').textContent.includes('R3: off the rack')")
    assert rows.count() == 2
    scanned.fill("R3")
    page.keyboard.press("Enter")
    scanned.press("Enter")
    until(page, "document.querySelector('#faults').textContent.includes('not on the rack any more')")
    assert not [each for each in it.said if "422" not in each]


@pytest.mark.slow
def test_pieces_and_lists_on_a_phone_fit_the_screen(it: Opened, tmp_path: Path) -> None:
    """Both dialogs, their buttons in them, and no field beside the screen."""
    page = it.page(PHONE)
    page.goto(f"{it.address}/rack")
    (tmp_path / "stock.csv").write_text(LIST)
    page.locator("#list").set_input_files(tmp_path / "stock.csv")
    page.locator("#list-dialog").wait_for()
    fits(page, "#list-dialog")
    page.locator("#list-dialog").get_by_role("button", name="Put all of them in").click()
    until(page, "document.querySelector('#said').textContent.includes('put in')")
    page.locator("[data-piece=R1]").click()
    page.locator("#piece-dialog").wait_for()
    fits(page, "#piece-dialog")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def fits(page: Any, dialog: str) -> None:
    """No button or field of a dialog runs out of the screen."""
    every = page.locator(f"{dialog} :is(button, input, select)").all()
    boxes = [each.bounding_box() for each in every if each.is_visible()]
    assert len(boxes) > 1
    assert all(box["x"] >= 0 and box["x"] + box["width"] <= PHONE["width"] for box in boxes)
