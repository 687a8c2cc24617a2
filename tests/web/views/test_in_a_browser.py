"""The page as a person meets it: in Chromium, by mouse, by keyboard, on a phone, with another device beside it."""

from __future__ import annotations

import io
import json
import re
import shutil
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pypdf
import pytest

from tests.checking import few
from tests.web.browser import DESK, PHONE, Opened, launched, opened, until

ROOT = Path(__file__).parents[3]
AXE_TAGS = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
}
"""Rules of axe-core (Deque Systems) for WCAG 2.2, levels A and AA, and its best practices."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """The browser of these tests, None where there is none."""
    with launched() as made:
        yield made


def typed(page: Any, parts: list[tuple[str, str, str, str]]) -> None:
    """Type a list of parts (name, width, length, quantity) in place of the one that is there."""
    for _ in range(page.locator('[data-table="part"] [data-remove]').count()):
        page.locator('[data-table="part"] [data-remove]').first.click()
    for name, width, length, quantity in parts:
        page.get_by_role("button", name="Add a part").click()
        row = page.locator('[data-table="part"] tbody tr').last
        for key, value in (("name", name), ("width", width), ("length", length), ("quantity", quantity)):
            row.locator(f'[data-key="{key}"]').fill(value)


def shown(page: Any) -> str:
    """The id of the plan that is up to date on the page."""
    page.wait_for_selector("#plan .plan:not(.stale)")
    text: str = page.locator("#plan .plan").get_attribute("data-plan")
    return text


def kept(it: Opened) -> str:
    """Plan a few strips, keep the plan; the address of its rig view."""
    page = it.page(DESK)
    page.goto(it.address)
    typed(page, [("bar", "50", "", "4")])
    until(page, "document.querySelectorAll('#plan tr[data-cut]').length === 4")
    shown(page)
    page.get_by_role("button", name="Keep it and cut").click()
    page.wait_for_url("**/rig/*/1")
    address: str = page.url
    page.context.close()
    return address


def test_a_list_becomes_a_plan_and_a_sheet(browser: Any, tmp_path: Path) -> None:
    """Typed parts appear in the plan; pointing at a cut lights its row, line and picture; the PDF has every reading."""
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK, accept_downloads=True)
        page.goto(it.address)
        typed(page, [("bar", "2 1/2 in", "", "3"), ("shelf", "120", "300", "2")])
        until(page, "document.querySelector('#plan')?.textContent.includes('shelf, 2 of 2')")
        plan_id = shown(page)
        page.locator("#plan tr[data-cut='2'] td").first.hover()
        page.wait_for_selector("#plan line.lit[data-cut='2']", state="attached")  # a level line has no height
        assert page.locator("#plan circle.lit").count() == 1
        assert page.locator("#lie svg title").text_content() == "How the piece lies for cut 2"
        readings = page.locator("#plan .order tbody tr td:nth-of-type(2)").all_text_contents()
        with page.expect_download() as download:
            page.get_by_role("link", name="Setup sheet (PDF)").click()
        data = Path(download.value.path()).read_bytes()
        text = " ".join(each.extract_text() for each in pypdf.PdfReader(io.BytesIO(data)).pages)
        assert plan_id in text
        assert all(reading in text for reading in readings)
        assert it.said == []


@pytest.mark.slow
def test_a_job_file_is_opened_and_keeps_what_the_tables_do_not_show(browser: Any, tmp_path: Path) -> None:
    """Its rows stand in the tables, its tolerance is in the plan and in the job file that is downloaded; a decimal
    comma is understood.
    """
    if browser is None:
        return
    plate = 'name = "gate"\n[[plate]]\nname = "s"\nlength = 1000\nwidth = 500\nthickness = 6\n'
    text = f'{plate}[[part]]\nname = "pin"\nwidth = 40\nplus_minus = 0.25\n'
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        shown(page)
        page.locator("summary", has_text="Open a job file").click()
        page.locator("#open").set_input_files({"name": "gate.toml", "mimeType": "text/plain", "buffer": text.encode()})
        until(page, "document.querySelector('#plan')?.textContent.includes('0.25')")
        width = page.locator('[data-table="part"] [data-key="width"]').first
        assert width.input_value() == "40"
        width.fill("40,5")
        until(page, "document.querySelector('#plan .plan:not(.stale)')?.textContent.includes('40.5')")
        got = page.request.get(f"{it.address.rstrip('/')}/plans/{shown(page)}/job.toml").text()
        assert "plus_minus = 0.25" in got
        assert "width = 40.5" in got
        width.fill("1,200")
        page.wait_for_selector('[data-key="width"][aria-invalid="true"]')
        assert it.said == []


@pytest.mark.slow
def test_what_cannot_be_understood_is_said_at_its_field_and_kept(browser: Any, tmp_path: Path) -> None:
    """The field is marked, its words are tied to it, what was typed stays, and mending it makes the plan."""
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        shown(page)
        field = page.locator('[data-table="part"] [data-key="width"]').first
        field.fill("5O")
        page.wait_for_selector('[data-key="width"][aria-invalid="true"]')
        assert field.input_value() == "5O"
        words = page.locator(f"#{field.get_attribute('aria-describedby')}").text_content()
        assert "width" in words
        assert page.locator("#faults li").count() == 1
        field.fill("50")
        page.wait_for_selector("#plan .plan:not(.stale)")
        assert page.locator("[aria-invalid]").count() == 0


@pytest.mark.slow
def test_rows_are_pasted_from_a_spreadsheet(browser: Any, tmp_path: Path) -> None:
    """Cells between tabs fill the rows from the cell on that they are pasted into; markup in them stays text."""
    if browser is None:
        return
    rows = "rail\t50\t\t6\nshelf <b>\t120\t300\t2\r\npad\t60\t60\t10\n"
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        page.evaluate(
            """(text) => { const field = document.querySelector('[data-table="part"] [data-key="name"]');
            const data = new DataTransfer(); data.setData('text/plain', text);
            const said = {clipboardData: data, bubbles: true, cancelable: true};
            field.dispatchEvent(new ClipboardEvent('paste', said)); }""",
            rows,
        )
        until(page, "document.querySelector('#plan')?.textContent.includes('pad, 10 of 10')")
        assert "shelf <b>" in page.locator("#plan .order").text_content()
        assert it.said == []


@pytest.mark.slow
def test_keyboard_alone_plans_and_keeps(browser: Any, tmp_path: Path) -> None:
    """Without a mouse: to the tables by Tab, down by Enter, a plan kept, its cuts worked by the arrow keys."""
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        shown(page)
        first = page.locator('[data-table="part"] [data-key="width"]').first
        for _ in range(60):
            page.keyboard.press("Tab")
            if first.evaluate("each => each === document.activeElement"):
                break
        page.keyboard.press("Control+A")
        page.keyboard.type("77")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.dataset.key") == "width"
        until(page, "document.querySelector('#plan')?.textContent.includes('× 77')")
        shown(page)
        keep = page.get_by_role("button", name="Keep it and cut")
        for _ in range(120):
            if keep.evaluate("each => each === document.activeElement"):
                break
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_url("**/rig/*/1")
        page.wait_for_selector(".cut[data-cut='1']:not([hidden])")
        page.keyboard.press("ArrowRight")
        page.wait_for_selector(".cut[data-cut='2']:not([hidden])")
        page.keyboard.press("ArrowLeft")
        page.wait_for_selector(".cut[data-cut='1']:not([hidden]) .done-mark:not([hidden])")


def test_at_the_rig_a_cut_is_worked_measured_and_stays_after_a_reload(browser: Any, tmp_path: Path) -> None:
    """On a phone: figures high enough, Next marks done, a width within its band goes, one outside stops, a reload
    changes nothing.
    """
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        address = kept(it)
        page = it.page(PHONE)
        page.goto(address)
        cut = page.locator(".cut[data-cut='1']")
        size = cut.locator(".big strong").evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
        assert size * 0.729 / 6.3 >= 8.0  # capitals on a phone of 6.3 px a mm, read from 2 m (NUREG-0700, 11.4.1.5-1)
        assert page.locator("#next").bounding_box()["height"] >= 72
        band = re.search(r"go (\S+) to (\S+)", cut.locator(".measure label").text_content())
        assert band is not None
        cut.locator(".measure input").fill(band[1])
        cut.get_by_role("button", name="Check").click()
        page.wait_for_selector(".verdict.go")
        cut.locator(".measure input").fill(str(float(band[2]) + 0.2))
        cut.get_by_role("button", name="Check").click()
        page.wait_for_selector(".verdict.out")
        cut.locator(".measure input").fill("about fifty")
        cut.get_by_role("button", name="Check").click()
        until(page, "document.querySelector('.cut:not([hidden]) .verdict').textContent.includes('about fifty')")
        page.locator("#next").click()
        page.locator("#next").click()
        page.wait_for_selector(".cut[data-cut='3']:not([hidden])")
        until(page, "!document.querySelector('#store').textContent")
        page.reload()
        page.wait_for_selector(".cut[data-cut='3']:not([hidden])")
        page.locator("#all").click()
        assert page.locator("#list i", has_text="done").count() == 2
        plan_id = address.split("/")[-2]
        assert it.shared.store.progress(plan_id).done == [1, 2]


def test_two_devices_agree_and_a_lost_connection_loses_nothing(browser: Any, tmp_path: Path) -> None:
    """What one device does the other shows; offline work goes on, is told, and is stored once the connection is
    back.
    """
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        address = kept(it)
        one, two = it.page(PHONE), it.page(DESK)
        one.goto(address)
        two.goto(address)
        one.locator("#next").click()
        two.wait_for_selector(".cut[data-cut='1']:not([hidden]) .done-mark:not([hidden])")
        one.context.set_offline(True)
        one.locator("#next").click()
        one.wait_for_selector("#store:not(:empty)")
        one.locator("#next").click()
        one.wait_for_selector(".cut[data-cut='4']:not([hidden])")
        two.locator("#all").click()
        assert two.locator("#list i", has_text="done").count() == 1
        one.context.set_offline(False)
        until(
            two,
            (
                "[...document.querySelectorAll('#list i')].filter((each) => "
                "each.textContent.includes('done')).length === 3"
            ),
        )
        until(one, "!document.querySelector('#store').textContent")
        assert it.shared.store.progress(address.split("/")[-2]).done == [1, 2, 3]


def test_a_cut_that_went_wrong_leads_to_a_new_plan(browser: Any, tmp_path: Path) -> None:
    """Written down with what it spoilt, it opens a list of what is still wanted, from what is still whole."""
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(PHONE)
        page.goto(kept(it))
        page.locator("#next").click()
        page.locator("#next").click()  # two bars are made: each falls on the fence
        page.locator(".cut:not([hidden]) [data-wrong]").click()
        page.get_by_label("the piece slipped").check()
        page.locator("#wrong [value=right]").check()
        page.locator("#wrong [value=store]").click()
        page.wait_for_selector(".cut:not([hidden]) .trouble:not([hidden])")
        until(page, "!document.querySelector('#store').textContent")
        page.get_by_role("link", name="Plan the rest again").click()
        page.wait_for_url("**/?again=*")
        shown(page)
        job = json.loads(page.locator("#job").text_content())
        assert [part["quantity"] for part in job["part"]] == [2]
        assert any("of the plan before" in plate["name"] for plate in job["plate"])


@pytest.mark.slow
def test_a_run_has_its_head_in_the_order_and_is_counted_at_the_rig(browser: Any, tmp_path: Path) -> None:
    """Cuts with one setting stand together under what falls in them; arrow keys go over that line; the rig view says
    which of how many it is.
    """
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        typed(page, [("rail", "50", "", "6"), ("shelf", "120", "300", "4")])
        until(page, "document.querySelector('#plan')?.textContent.includes('shelf, 4 of 4')")
        shown(page)
        heads = page.locator("#plan .order .run").all_text_contents()
        assert [each.strip() for each in heads] == ["6 with one setting: rail", "4 with one setting: shelf"]
        first = page.locator("#plan tr.run + tr[data-cut]").nth(1)
        cut = int(first.get_attribute("data-cut"))
        first.focus()
        page.keyboard.press("ArrowUp")
        assert page.evaluate("document.activeElement.dataset.cut") == str(cut - 1)
        page.keyboard.press("ArrowDown")
        assert page.evaluate("document.activeElement.dataset.cut") == str(cut)
        page.get_by_role("button", name="Keep it and cut").click()
        page.wait_for_url("**/rig/*/1")
        for number in range(1, cut + 3):
            page.wait_for_selector(f".cut[data-cut='{number}']:not([hidden])")
            page.locator("#next").click()
        page.wait_for_selector(f".cut[data-cut='{cut + 3}']:not([hidden])")
        assert page.locator(".cut:not([hidden]) .run").text_content().startswith("4 of 4 with one setting: shelf")
        assert it.said == []


@pytest.mark.slow
def test_two_plans_beside_each_other(browser: Any, tmp_path: Path) -> None:
    """A plan that is held stays in view while the list changes, and what is better is said in words."""
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        shown(page)
        page.get_by_role("button", name="Hold it beside the next").click()
        page.locator('[data-table="part"] [data-key="quantity"]').first.fill("2")
        until(page, "document.querySelector('#plan')?.textContent.includes('rail, 2 of 2')")
        shown(page)
        cells = page.locator(".compare tr", has_text="minutes at the rig").locator("td")
        held, now = (float(each) for each in cells.all_text_contents())
        assert held > now
        assert "better" in cells.nth(1).get_attribute("class")


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(browser: Any, tmp_path: Path, scheme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No violation of WCAG 2.2 A and AA, nor of best practices, on any view, in light and dark, at desk and phone
    size.
    """
    if browser is None or find_spec("axe_playwright_python") is None:
        return
    from axe_playwright_python.sync_playwright import Axe

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    shutil.copytree(ROOT / "examples" / "shed-rig", tmp_path / "stripplan" / "rigs")
    with opened(browser, tmp_path) as it:
        rig = kept(it)
        for path in (
            it.address,
            f"{it.address}/plans",
            rig,
            f"{rig.removesuffix('/1')}/batches",
            f"{it.address}/notebook",
            f"{it.address}/pair",
            f"{it.address}/nowhere",
        ):
            for size in (DESK, {"width": 320, "height": 640}):
                page = it.page(size, color_scheme=scheme)
                page.goto(path)
                if path == it.address:
                    shown(page)
                found = Axe().run(page, options=AXE_TAGS).response["violations"]
                told = [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found]
                assert told == [], (path, size, scheme)
                page.context.close()


@pytest.mark.parametrize("width", few(1, (320, 640)))
def test_nothing_runs_out_of_a_narrow_screen(
    browser: Any, tmp_path: Path, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 320 px (a phone, or 200 % zoom on a small screen) no view has to be moved sideways (WCAG 2.2, 1.4.10)."""
    if browser is None:
        return
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    shutil.copytree(ROOT / "examples" / "shed-rig", tmp_path / "stripplan" / "rigs")
    with opened(browser, tmp_path) as it:
        rig = kept(it)
        for path in (it.address, f"{it.address}/plans", rig, f"{it.address}/notebook?rig=rig"):
            page = it.page({"width": width, "height": 640})
            page.goto(path)
            if path == it.address:
                shown(page)
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, path
            page.context.close()


@pytest.mark.slow
def test_a_warning_stands_under_the_part_that_it_is_about(browser: Any, tmp_path: Path) -> None:
    """A strip that will bow is warned of above the drawings and under its own row, and goes when the strip is
    mended.
    """
    if browser is None:
        return
    with opened(browser, tmp_path) as it:
        page = it.page(DESK)
        page.goto(it.address)
        typed(page, [("short", "200", "300", "1"), ("thin", "50", "", "2")])
        until(page, "document.querySelector('#plan')?.textContent.includes('thin, 2 of 2')")
        shown(page)
        row = page.locator('[data-table="part"] tbody tr').nth(2)
        assert "thin will bow" in row.text_content()
        page.locator('[data-table="part"] [data-key="width"]').last.press("Enter")  # over what is said, to a new row
        assert page.evaluate(
            "document.activeElement.closest('tr') === document.querySelector('[data-table=part] "
            "tbody').lastElementChild"
        )
        page.locator('[data-table="part"] [data-key="width"]').nth(1).fill("300")
        until(page, "document.querySelector('#plan')?.textContent.includes('1250 × 300')")
        shown(page)
        assert page.locator(".said-row").count() == 0
