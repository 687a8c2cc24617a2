"""The page as a person meets it: in Chromium, by mouse, by keyboard, on a phone, with another device beside it."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from tests.checking import few
from tests.web.browser import DESK, PHONE, Opened, launched, opened, until
from tests.web.on_the_page import shown, typed

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


def kept(it: Opened) -> str:
    """Plan a few strips, keep the plan; the address of its rig view."""
    page = it.page(DESK)
    page.goto(it.address)
    typed(page, [("bar", "50", "", "4")])
    until(page, "document.querySelectorAll('#rest tr[data-cut]').length === 4")
    shown(page)
    page.get_by_role("button", name="Keep it and cut").click()
    page.wait_for_url("**/rig/*/1")
    address: str = page.url
    page.context.close()
    return address


@pytest.mark.long
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


@pytest.mark.slow
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


@pytest.mark.slow
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
        page.wait_for_url("**/?job=*")  # a list of its own, kept at once
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
        until(page, "document.querySelector('#rest')?.textContent.includes('shelf, 4 of 4')")
        shown(page)
        heads = page.locator("#rest .run summary").all_text_contents()
        assert [each.split()[1] for each in heads] == ["1–6", "7", "8–11"]
        assert "shelf × 4" in heads[2]
        cut = 8
        page.locator("#rest tr[data-cut='8']").focus()
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


def violations(page: Any) -> list[tuple[str, list[str]]]:
    """What axe finds wrong with a page as it stands: rules, and the elements that break them.

    Words in pictures are black on a white ground of their own in both schemes; of upright ones axe looks behind the box
    that they would fill lying, and finds the page.
    """
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=AXE_TAGS).response["violations"]
    told = [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found]
    told = [(rule, [html for html in nodes if not re.match("<text .*rotate", html)]) for rule, nodes in told]
    return [(rule, nodes) for rule, nodes in told if nodes]


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(browser: Any, tmp_path: Path, scheme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No violation of WCAG 2.2 A and AA, nor of best practices, on any view, in light and dark, at desk and phone
    size.
    """
    if browser is None or find_spec("axe_playwright_python") is None:
        return
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
                assert violations(page) == [], (path, size, scheme)
                if path == it.address:
                    for button in ("#open-jobs", '[data-table="part"] [data-more]'):
                        page.locator(button).first.click()
                        page.wait_for_timeout(300)
                        assert violations(page) == [], (button, size, scheme)
                        page.keyboard.press("Escape")
                    page.locator('[data-table="part"] [data-key="width"]').first.fill("5O")
                    page.wait_for_selector('[aria-invalid="true"]')
                    assert violations(page) == [], ("refused and stale", size, scheme)
                    page.locator('[data-table="part"] [data-key="width"]').first.fill("50")
                    shown(page)  # the next page opens this list
                page.context.close()


@pytest.mark.slow
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
