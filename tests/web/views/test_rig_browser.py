"""The rig view in a browser where the work is rough: gloves that bounce, a network that comes and goes, figures of
every length.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from stripplan.files.job.write import job_text
from stripplan.web import tasks
from tests.web.browser import DESK, PHONE, Opened, launched, opened, until

PLATE = {"name": "sheet", "length": 1250, "width": 1250, "thickness": 10, "material": "mild steel"}
IN_MM: dict[str, Any] = {
    "name": "gate",
    "plate": [PLATE],
    "part": [{"name": "rail", "width": 60, "quantity": 9}, {"name": "leg", "width": 80, "length": 700, "quantity": 4}],
}
IN_INCHES: dict[str, Any] = {
    "name": "hopper",
    "units": "in",
    "plate": [{"name": "sheet", "length": 72, "width": 48, "thickness": "6 mm", "material": "mild steel"}],
    "part": [{"name": "side", "width": "13 13/16", "length": "33 1/8", "quantity": 3}],
}
"""Set on a rig whose scales are in mm: figures with their unit, the longest that there are."""
PX_PER_MM = 6.3
CAPITALS = 0.729
"""Height of capitals of DejaVu Sans Condensed, as a share of the size: its own glyph H, 1493 of 2048 units."""
LEAST = 8.0
"""Least height of capitals read from 2 m [mm]: 0.004 of the distance (NUREG-0700 rev. 3, 11.4.1.5-1)."""


@pytest.fixture(scope="module")
def it(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened | None]:
    """A browser on the page, None where there is none."""
    with launched() as browser:
        if browser is None:
            yield None
            return
        with opened(browser, tmp_path_factory.mktemp("shop")) as made:
            yield made


def kept(it: Opened, job: dict[str, Any]) -> tuple[str, str, list[dict[str, Any]]]:
    """Plan and keep a job afresh: its rig view's address, the plan's id, its cuts."""
    made = tasks.planned(job, str(it.shared.store.folder), tell=lambda _: None, stop=lambda: False)
    plan_id = made["shown"]["id"]
    it.shared.store.keep(plan_id, made["text"], job_text(job), made["shown"], "2030-01-02T03:04:05+00:00")
    for each in (it.shared.store.folder / "plans" / plan_id).glob("progress*"):
        each.unlink()
    return f"{it.address.rstrip('/')}/rig/{plan_id}", plan_id, made["shown"]["cuts"]


def here(page: Any, selector: str) -> Any:
    """What is on the screen of the cut that is shown."""
    return page.locator(f".cut:not([hidden]) {selector}")


def check(page: Any, width: str) -> None:
    """Type a width and have it checked."""
    here(page, ".measure input").fill(width)
    here(page, ".measure button").click()


def at(page: Any, cut: int) -> None:
    """Wait until a cut is shown."""
    page.wait_for_selector(f".cut[data-cut='{cut}']:not([hidden])")


def until_stored(page: Any) -> None:
    """Wait until nothing waits to be stored."""
    until(
        page,
        (
            "document.querySelector('#store').textContent === '' && !Object.keys(localStorage).some((each) => "
            "each.includes('waiting'))"
        ),
    )


@pytest.mark.parametrize(
    ("size", "least"),
    [(PHONE, LEAST),
     *(pytest.param({"width": x, "height": y}, least, marks=pytest.mark.slow)
       for x, y, least in ((844, 390, 0.0), (800, 1280, LEAST), (320, 568, 0.0), (1280, 800, LEAST)))],
)  # fmt: skip
@pytest.mark.parametrize("job", [IN_MM, IN_INCHES], ids=["mm", "in"])
def test_figures_fit_the_screen_and_are_read_from_two_metres(
    it: Opened | None, job: dict[str, Any], size: dict[str, int], least: float
) -> None:
    """On every screen none runs out of it or into another;
    on a phone held upright and on a tablet all are high enough.
    """
    if it is None:
        return
    address, _, cuts = kept(it, job)
    page = it.page(size)
    page.goto(address)
    for cut in range(1, min(len(cuts), 4) + 1):
        at(page, cut)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        boxes = page.evaluate(
            """[...document.querySelectorAll('.cut:not([hidden]) :is(.big, .next) strong')].map((each) => {
            const box = each.getBoundingClientRect();
            return [box.left, box.top, box.right, box.bottom, parseFloat(getComputedStyle(each).fontSize)]; })"""
        )
        assert len(boxes) == 3
        for number, (left, top, right, bottom, high) in enumerate(boxes):
            assert right <= size["width"]
            assert high * CAPITALS / PX_PER_MM >= least, (cut, number)
            for x0, y0, x1, y1, _ in boxes[:number]:
                assert right <= x0 or x1 <= left or bottom <= y0 + 0.3 * high or y1 <= top + 0.3 * high
        assert page.locator("#next").bounding_box()["width"] >= 20 * PX_PER_MM
        page.locator("#next").click()
    page.context.close()


@pytest.mark.slow
def test_a_glove_that_bounces_ticks_one_cut(it: Opened | None) -> None:
    """A double click, and a key that is held down, go on by one cut; the space bar goes on where no button is meant."""
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    at(page, 1)
    page.locator("#next").dblclick()
    at(page, 2)
    for _ in range(4):
        page.keyboard.down("ArrowRight")
    page.keyboard.up("ArrowRight")
    at(page, 3)
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press(" ")
    at(page, 4)
    until_stored(page)
    assert it.shared.store.progress(plan_id).done == [1, 2, 3]
    page.context.close()


@pytest.mark.slow
def test_what_is_said_of_one_width_is_not_said_of_another(it: Opened | None) -> None:
    """GO goes as soon as another width is typed; Next has it checked before it goes on;
    offline nothing is said of it yet.
    """
    if it is None:
        return
    address, _, cuts = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    check(page, cuts[0]["measure"]["low"])
    page.wait_for_selector(".verdict.go")
    here(page, ".measure input").fill("12")
    assert here(page, ".verdict").text_content() == ""
    page.locator("#next").click()
    page.wait_for_selector(".cut[data-cut='1']:not([hidden]) .verdict.out")
    page.context.set_offline(True)
    check(page, cuts[0]["measure"]["high"])
    assert "yet to check" in here(page, ".verdict").text_content()
    page.context.set_offline(False)
    page.wait_for_selector(".cut[data-cut='1']:not([hidden]) .verdict.go")
    page.context.close()


@pytest.mark.slow
def test_of_what_waited_only_what_cannot_be_is_left_out(it: Opened | None) -> None:
    """Three widths typed without a connection, one of them no width:
    the others are stored, and the one is shown with what is wrong.
    """
    if it is None:
        return
    address, plan_id, cuts = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    page.context.set_offline(True)
    widths = [cuts[0]["measure"]["expected"], "wide", cuts[2]["measure"]["expected"]]
    for cut, width in enumerate(widths, 1):
        at(page, cut)
        check(page, width)
        page.locator("#next").click()
    page.wait_for_selector("#store:not(:empty)")
    assert "Not yet stored" in page.locator("#store").text_content()
    page.context.set_offline(False)
    until_stored(page)
    now = it.shared.store.progress(plan_id)
    assert (now.done, now.measured) == ([1, 2, 3], {"1": widths[0], "3": widths[2]})
    page.locator("#all").click()
    page.locator("#list [data-to='2']").click()
    assert "'wide' is no length" in here(page, ".verdict.out").text_content()
    assert here(page, ".measure input").input_value() == "wide"
    page.context.close()


def test_what_the_computer_cannot_store_waits_until_it_can(it: Opened | None) -> None:
    """A file that cannot be read, or an answer that never comes, loses nothing:
    it is said, it stays on the device over a reload, and is stored later.
    """
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    file = it.shared.store.folder / "plans" / plan_id / "progress.json"
    file.mkdir()  # no file can be read or written there
    page.locator("#next").click()
    page.locator("#store", has_text="cannot be read").wait_for()  # it stays until the cause is gone
    file.rmdir()
    page.reload()
    at(page, 2)
    until_stored(page)
    assert it.shared.store.progress(plan_id).done == [1]
    page.route("**/progress", lambda _: None)  # what is sent gets no answer at all
    page.locator("#next").click()
    page.wait_for_selector("#store:not(:empty)")
    page.unroute("**/progress")
    until_stored(page)
    assert it.shared.store.progress(plan_id).done == [1, 2]
    page.context.close()


@pytest.mark.slow
def test_what_happened_to_a_damaged_file_is_told_until_it_is_seen_to(it: Opened | None) -> None:
    """On the screen beside the rig, from the copy before on; work goes on, and a button takes the words away."""
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    for cut in (2, 3):
        page.locator("#next").click()
        at(page, cut)
        until_stored(page)
    file = it.shared.store.folder / "plans" / plan_id / "progress.json"
    file.write_text("{")
    page.locator("#happened strong", has_text="set aside as progress-damaged-1.json").wait_for()
    page.locator("#next").click()
    at(page, 4)
    until_stored(page)
    assert 3 in it.shared.store.progress(plan_id).done
    page.locator("#happened button").click()
    page.locator("#happened").wait_for(state="hidden")
    assert it.shared.store.happened(plan_id) == ()
    page.context.close()


@pytest.mark.slow
def test_an_older_state_of_the_computer_is_taken_without_a_race(it: Opened | None) -> None:
    """Where an older copy of the folder was put back, devices show it and go on waiting; they do not ask on and on."""
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(DESK)
    page.goto(address)
    file = it.shared.store.folder / "plans" / plan_id / "progress.json"
    page.locator("#next").click()
    until_stored(page)
    old = file.read_bytes()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.locator("#next").click()
    until_stored(page)
    waits = f"since={it.shared.store.progress(plan_id).version}"
    # it now waits for what is newer than the later copy
    until(page, lambda: any(each.endswith(waits) for each in asked))
    asked.clear()
    file.write_bytes(old)
    until(page, lambda: bool(asked))
    page.wait_for_timeout(1500)
    assert len(asked) <= 3
    page.locator("#all").click()
    assert page.locator("#list i", has_text="done").count() == 1
    page.context.close()


@pytest.mark.slow
def test_a_device_that_is_no_longer_known_is_told_so(it: Opened | None) -> None:
    """The program was started anew: what was done waits, and the screen says what to do."""
    if it is None:
        return
    address, _, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    page.route("**/progress*", lambda route: route.fulfill(status=303, headers={"location": "/pair"}))
    page.locator("#next").click()
    page.wait_for_selector("#store:not(:empty)")
    assert "give the code" in page.locator("#store").text_content()
    page.context.close()
