"""The rig view in a browser where the work is rough: gloves that bounce, a network that comes and goes, figures of
every length.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from stripplan.files.job.write import job_text
from stripplan.sheets.plan_json import plan_text
from stripplan.sheets.rows.plan_rows import plan_id
from stripplan.web import tasks
from stripplan.web.plan_for_page import shown
from tests.replay.bevelled import bevelled
from tests.web.browser import DESK, PHONE, Opened, launched, opened, served, until

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
ON_ITS_SIDE = {"width": 844, "height": 390}
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


def unlocked(page: Any) -> None:
    """Wait until another cut can be ticked."""
    page.wait_for_selector("#next:not([aria-disabled])")


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
@pytest.mark.parametrize("job", [IN_INCHES, pytest.param(IN_MM, marks=pytest.mark.slow)], ids=["in", "mm"])
def test_figures_fit_the_screen_and_are_read_from_two_metres(
    it: Opened | None, job: dict[str, Any], size: dict[str, int], least: float
) -> None:
    """On every screen none runs out of it or into another; on a phone held upright and on a tablet those that are to be
    set are high enough where a run begins, and its count where it goes on.
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
            """[...document.querySelectorAll('.begins:not([hidden]) :is(.big, .next) strong, '
            + '.goes-on:not([hidden]) .run strong')].map((each) => {
            const box = each.getBoundingClientRect();
            return [box.left, box.top, box.right, box.bottom, parseFloat(getComputedStyle(each).fontSize)]; })"""
        )
        assert len(boxes) == (3 if page.locator(".begins:not([hidden])").count() else 1)
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
    """Three taps beside each other, and a key that is held down, go on by one cut; the space bar goes on where no
    button is meant."""
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    at(page, 1)
    box = page.locator("#next").bounding_box()
    for tap in range(3):  # 60 px apart: each is a click of its own
        page.mouse.click(box["x"] + 40 + 60 * tap, box["y"] + 40)
    at(page, 2)
    unlocked(page)
    for _ in range(4):
        page.keyboard.down("ArrowRight")
    page.keyboard.up("ArrowRight")
    at(page, 3)
    unlocked(page)
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


@pytest.mark.slow
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


LANDSCAPE = {"width": 1024, "height": 600}
AXE_TAGS = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
}
"""Rules of axe-core (Deque Systems) for WCAG 2.2, levels A and AA, and its best practices."""


@pytest.mark.slow
@pytest.mark.parametrize("size", [PHONE, LANDSCAPE], ids=["phone", "landscape"])
def test_what_matters_is_in_sight(it: Opened | None, size: dict[str, int]) -> None:
    """How the piece lies, left and right, the width to measure and what went wrong lie in the window, under nothing
    else, at every cut, without scrolling; the picture beside what is set. The plate is one tap away, with the line of
    the cut lit; a unit stands at each figure.
    """
    if it is None:
        return
    address, _, cuts = kept(it, IN_MM)
    page = it.page(size)
    page.goto(address)
    for cut in range(1, 6):
        at(page, cut)
        for selector in (".picture", ".side.left", ".side.right", ".measure input", ".measure button", "[data-wrong]"):
            for each in here(page, selector).all():
                hit = each.evaluate(
                    """(one) => { const box = one.getBoundingClientRect(), off = 3;
                    return [[box.left + off, box.top + off], [box.right - off, box.bottom - off]].every(([x, y]) => {
                    const top = document.elementFromPoint(x, y); return top && (one.contains(top)); }); }"""
                )
                assert hit, (cut, selector)
        if size == PHONE:  # what of it goes under the foot is counted there
            until(
                page,
                """(() => { const shown = document.querySelector('.cut:not([hidden])'), one = (each) =>
                shown.querySelector(each), foot = one('.foot').getBoundingClientRect().top, sign = one('[data-more]');
                const under = [...shown.querySelectorAll('.first li')].filter((each) =>
                each.getBoundingClientRect().bottom > foot + 4).length;
                return under ? !sign.hidden && sign.textContent.includes(`${under} more`) : sign.hidden; })()""",
            )
        picture, reading = (
            here(page, each).bounding_box() for each in (".picture", ":is(.begins .big, .goes-on .run)")
        )
        assert reading["x"] + reading["width"] <= picture["x"]  # beside what is set, or counted
        assert abs(reading["y"] - picture["y"]) < reading["height"]
        units = here(page, ".figures-of p").all_text_contents()
        assert all("mm" in each for each in units), units
        sides = here(page, ".side").all_text_contents()
        assert all("nothing" in each or "mm" in each for each in sides)
        page.locator("#plates").click()
        assert page.locator(f"#whole .plate:not([hidden]) line.lit[data-cut='{cut}']").count() == 1
        assert page.locator("#whole").bounding_box()["height"] > 0.5 * size["height"]
        page.locator("#whole").click()
        page.locator("#next").click()
    assert cuts[0]["piece"]
    page.context.close()


@pytest.mark.slow
def test_a_spoilt_piece_blocks_what_it_was_for(it: Opened | None) -> None:
    """Nothing is chosen beforehand; what is written down is red and no tick; its later cuts are blocked and passed
    over; the end counts what was really made."""
    if it is None:
        return
    address, plan_id, cuts = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    at(page, 1)
    here(page, "[data-wrong]").click()
    assert page.locator("#wrong input:checked").count() == 0
    page.locator("#wrong [value=store]").click()
    assert page.locator("#wrong").is_visible()  # it asks for what is missing
    page.get_by_label("the piece slipped").check()
    assert page.locator("#usable").is_hidden()
    page.locator("#wrong [value=right]").check()
    assert "Blocked: cut" in page.locator("#spoils").text_content()
    assert page.locator("[data-good=left]").is_hidden()
    page.locator("[data-good=right] input").fill("5000x30")
    page.locator("#wrong [value=store]").click()
    until(page, lambda: "does not lie on" in page.locator("#spoils").text_content())  # asked once more, nothing is lost
    assert page.locator("#wrong [value=right]").is_checked()
    assert page.locator("[data-good=right] input").input_value() == "5000x30"
    page.locator("[data-good=right] input").fill("600x30")
    page.locator("#wrong [value=store]").click()
    until(page, lambda: "right 600 × 30" in here(page, ".trouble").text_content())
    assert here(page, ".done-mark").is_hidden()
    page.locator("#next").click()
    until_stored(page)
    now = it.shared.store.progress(plan_id)
    assert (now.done, now.wrong) == ([], {"1": "right: the piece slipped"})
    assert now.usable == {"1": "right 600x30"}
    lost = [cut["number"] for cut in cuts if cut["piece"] == cuts[0]["right"]["piece"]]
    page.locator("#all").click()
    assert page.locator("#list [data-to='1'][data-state=wrong]").count() == 1
    colours = [
        page.locator(f"#list [data-to='{n}'] i").evaluate("(one) => getComputedStyle(one).color") for n in (1, *lost)
    ]
    page.locator(f"#list [data-to='{lost[0]}']").click()
    assert "BLOCKED: cut 1" in here(page, ".blocked").text_content()
    page.locator("#next").click()
    until_stored(page)
    assert it.shared.store.progress(plan_id).done == []
    blocked = page.locator("#list [data-state=blocked]").evaluate_all(
        "(all) => all.map((one) => Number(one.dataset.to))"
    )
    assert set(lost) <= set(blocked)
    page.locator("#all").click()
    page.locator("#list [data-to='2']").click()
    at(page, 2)
    page.locator("#next").click()
    page.locator("#all").click()
    assert page.locator("#list [data-to='2'] i").evaluate("(one) => getComputedStyle(one).color") not in colours
    page.keyboard.press("Escape")
    for _ in range(len(cuts)):
        if page.locator(".cut[data-cut='end']:not([hidden])").count():
            break
        page.locator("#next").click()
    page.wait_for_selector(".cut[data-cut='end']:not([hidden])")
    until_stored(page)
    assert page.locator("#ended").text_content() == "All cuts are through, not all of them right"
    made = page.locator("#made li").all_text_contents()
    assert any("SHORT" in each for each in made)
    parts = {cut[side]["name"].partition(",")[0]: 0 for cut in cuts for side in ("left", "right") if cut[side]}
    for cut in cuts:
        for side in ("left", "right"):
            fall = cut[side]
            if fall and fall["kind"] == "part" and cut["number"] not in blocked:
                parts[fall["name"].partition(",")[0]] += 1
    for name in ("rail", "leg"):
        assert any(each.startswith(f"{name}: {parts.get(name, 0)} of ") for each in made), (made, parts)
    page.context.close()


@pytest.mark.slow
def test_after_a_restart_the_page_finds_its_way_back(it: Opened | None, tmp_path: Path) -> None:
    """The computer goes and comes again, with another secret: the page says so, keeps what is done meanwhile, and
    stores it without being loaded again."""
    if it is None:
        return
    with served(tmp_path) as (address, shared):
        there = Opened(it.browser, address, shared)
        view, plan_id, _ = kept(there, IN_MM)
        page = there.page(PHONE)
        page.goto(view)
        page.locator("#next").click()
        until_stored(page)
    port = int(address.rpartition(":")[2])
    page.locator("#next").click()
    page.locator("#store", has_text="does not answer").wait_for()
    with served(tmp_path, port) as (_, again):
        assert again.token != shared.token
        until_stored(page)
        until(page, lambda: again.store.progress(plan_id).done == [1, 2])
        page.locator("#next").click()
        until(page, lambda: again.store.progress(plan_id).done == [1, 2, 3])
        page.context.close()


@pytest.mark.slow
def test_a_batch_is_begun_named_and_deleted_on_the_page(it: Opened | None) -> None:
    """From the list of batches: a new one opens unticked, its name stands at the rig, deleting asks first."""
    if it is None:
        return
    address, plan_id, _ = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    page.locator("#next").click()
    until_stored(page)
    page.get_by_role("link", name="Leave").click()
    page.get_by_role("button", name="Begin a new batch").click()
    page.wait_for_url("**/2")
    at(page, 1)
    assert here(page, ".done-mark").is_hidden()
    page.locator("#next").click()
    until_stored(page)
    assert (it.shared.store.progress(plan_id, 1).done, it.shared.store.progress(plan_id, 2).done) == ([1], [1])
    page.get_by_role("link", name="Leave").click()
    row = page.locator("[data-batch='2']")
    row.get_by_label("Name").fill("second gate")
    row.get_by_role("button", name="Name it").click()
    page.get_by_role("link", name="Batch 2: second gate").click()
    page.locator("#batch", has_text="second gate").wait_for(state="attached")
    page.get_by_role("link", name="Leave").click()
    page.locator("[data-batch='1'] [data-delete]").click()
    page.get_by_role("button", name="Keep it").click()
    assert it.shared.store.batches(plan_id) == [1, 2]
    page.locator("[data-batch='1'] [data-delete]").click()
    page.get_by_role("button", name="Delete it").click()
    page.locator("[data-batch='1']").wait_for(state="detached")
    assert it.shared.store.batches(plan_id) == [2]
    page.context.close()


@pytest.mark.slow
@pytest.mark.parametrize("lit", [False, True], ids=["dark", "light"])
def test_axe_finds_nothing_in_any_state(it: Opened | None, lit: bool) -> None:
    """A cut that goes on, the dialogs, a cut that went wrong, a blocked one, a width out of its band, and the end, dark
    and light."""
    if it is None or find_spec("axe_playwright_python") is None:
        return
    from axe_playwright_python.sync_playwright import Axe

    address, _, cuts = kept(it, IN_MM)
    page = it.page(PHONE)
    page.goto(address)
    at(page, 1)
    if lit:
        page.locator("#light").click()

    def clean(state: str) -> None:
        # Figures of the plate's drawing that stand upright are taken for letters on what lies behind the dialog; their
        # ground is a white rectangle of the drawing itself, which is looked at where the plan is shown.
        found = Axe().run(page, context={"exclude": [["#whole svg"]]}, options=AXE_TAGS).response["violations"]
        told = [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found]
        assert told == [], state

    check(page, f"{float(here(page, '.band').inner_text().split()[0]) + 6:g}")
    page.wait_for_selector(".verdict.out")
    page.locator("#next").click()
    at(page, 2)
    page.wait_for_selector(".forecast.out")
    unlocked(page)
    clean("goes on, out of the band to come")
    page.locator("#plates").click()
    clean("plate")
    page.locator("#whole").click()
    here(page, "[data-wrong]").click()
    clean("what went wrong")
    page.get_by_label("the piece slipped").check()
    page.locator("#wrong [value=right]").check()
    page.locator("#wrong [value=store]").click()
    clean("wrong")
    page.locator("#all").click()
    clean("list")
    page.locator("#list [data-state=blocked]").first.click()
    clean("blocked")
    page.locator("#all").click()
    page.locator(f"#list [data-to='{len(cuts)}']").click()
    page.locator("#next").click()
    page.wait_for_selector(".cut[data-cut='end']:not([hidden])")
    page.wait_for_selector("#widths:not([hidden])")
    clean("end")
    page.context.close()


@pytest.mark.slow
def test_bevels_are_ticked_after_the_cuts_and_can_spoil_their_part(it: Opened | None) -> None:
    """Each bevel has a screen of its own with its tilt; one that went wrong takes its part away, and stops the bevels
    that were to come on that."""
    if it is None:
        return
    plan = bevelled()
    name, cuts = plan_id(plan), len(plan.cuts)
    it.shared.store.keep(name, plan_text(plan), 'name = "bevels"\n', shown(plan), "2030-01-02T03:04:05+00:00")
    it.said.clear()  # of pages before: a change that is refused is told on the console too
    page = it.page(PHONE)
    page.goto(f"{it.address.rstrip('/')}/rig/{name}")
    page.locator("#all").click()
    page.locator(f"#list [data-to='{cuts + 1}']").click()
    at(page, cuts + 1)
    assert here(page, ".big strong").text_content() == "30°"
    assert page.locator("#sort").text_content() == "bevel"
    here(page, "[data-wrong]").click()
    sides = page.locator("#wrong label:visible input[name=side]")
    assert sides.evaluate_all("(all) => all.map((one) => one.value)") == ["right", "none"]
    page.locator("#wrong [name=what]").first.check()
    page.locator("#wrong [value=right]").check()
    assert "web, 1 of 2. Blocked: cut 13" in page.locator("#spoils").text_content()
    page.locator("#wrong [value=store]").click()
    page.locator("#next").click()
    at(page, cuts + 3)  # the other bevel of that part is left out
    page.locator("#next").click()
    until_stored(page)
    assert it.shared.store.progress(name).done == [cuts + 3]
    assert it.said == []


@pytest.mark.slow
@pytest.mark.parametrize("size", [PHONE, ON_ITS_SIDE])
def test_on_a_phone_what_is_set_for_a_bevel_is_in_sight(it: Opened | None, size: dict[str, int]) -> None:
    """Its four figures, how the part lies and the letters of its edges are seen without scrolling, upright and on its
    side, with nothing over them; more that is to be done is counted, and comes in sight where that is tapped."""
    if it is None:
        return
    plan = bevelled()
    name, cuts, counted = plan_id(plan), len(plan.cuts), 0
    it.shared.store.keep(name, plan_text(plan), 'name = "bevels"\n', shown(plan), "2030-01-02T03:04:05+00:00")
    for each in (it.shared.store.folder / "plans" / name).glob("progress*"):
        each.unlink()
    page = it.page(size)
    page.goto(f"{it.address.rstrip('/')}/rig/{name}/1")
    for number in range(cuts + 1, cuts + len(plan.bevels) + 1):
        page.locator("#all").click()
        page.locator(f"#list [data-to='{number}']").click()
        at(page, number)
        right = size["width"] if size == PHONE else page.locator(".hands").bounding_box()["x"]
        sign = here(page, "[data-more]")
        until(page, partial(counts_what_is_under, page))
        bottom = clear_down_to(page)
        over = sign.bounding_box() if sign.is_visible() else None
        must = here(page, ":is(.figures-of strong, .edges strong, .picture svg)").all()
        assert len(must) >= 7
        for each in must:
            box = each.bounding_box()
            assert box["y"] + box["height"] <= bottom + 1
            assert box["x"] + box["width"] <= right
            assert over is None or not meet(box, over)
        if over is not None:
            counted += 1
            sign.click()
            until(page, lambda: here(page, "[data-more]").is_hidden())
            tops = [each.bounding_box()["y"] for each in here(page, ".first li").all()]
            assert min(tops) >= 0
            page.evaluate("scrollTo(0, 0)")
    assert counted
    page.context.close()


def clear_down_to(page: Any) -> float:
    """How far down nothing stands over what is to be done: to the foot, on a phone on its side to the end [px]."""
    size = page.viewport_size
    return float(here(page, ".foot").bounding_box()["y"] if size["height"] > size["width"] else size["height"])


def counts_what_is_under(page: Any) -> bool:
    """Whether the sign counts what is to be done and is not in sight, and is there only where there is any."""
    if "Air after: " not in here(page, "[data-air]").text_content():
        return False  # buttons still change, and with them what stands where
    boxes, bottom = [each.bounding_box() for each in here(page, ".first li").all()], clear_down_to(page)
    under, sign = sum(box["y"] + box["height"] > bottom + 4 for box in boxes), here(page, "[data-more]")
    return bool(sign.text_content() == f"\u25bc {under} more" if under else sign.is_hidden())


def meet(one: dict[str, float], other: dict[str, float]) -> bool:
    """Whether two boxes lie over each other."""
    return all(
        one[at] < other[at] + other[long] and other[at] < one[at] + one[long]
        for at, long in (("x", "width"), ("y", "height"))
    )


@pytest.mark.slow
def test_on_a_phone_the_edge_on_the_bar_is_in_sight(it: Opened | None) -> None:
    """At a cut at an angle there is more to set than at others: what lies against the bar is seen without scrolling,
    above what falls; what is set keeps capitals of 8 mm (NUREG-0700 rev. 3, 11.4.1.5-1)."""
    if it is None:
        return
    plan = bevelled()
    name = plan_id(plan)
    it.shared.store.keep(name, plan_text(plan), 'name = "bevels"\n', shown(plan), "2030-01-02T03:04:05+00:00")
    (number,) = [cut.number for cut in plan.cuts if cut.located == "mitre"][:1]
    page = it.page(PHONE)
    page.goto(f"{it.address.rstrip('/')}/rig/{name}/1")
    page.locator("#all").click()
    page.locator(f"#list [data-to='{number}']").click()
    at(page, number)
    foot = here(page, ".foot").bounding_box()["y"]
    edge = here(page, ".edges p").first.bounding_box()
    assert edge["y"] + edge["height"] < foot
    assert here(page, "[data-more]").is_visible()
    for each in here(page, ".figures-of .set strong").all():
        assert float(each.evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)")) * 0.73 / 6.3 > 8 - 0.5
    page.context.close()
