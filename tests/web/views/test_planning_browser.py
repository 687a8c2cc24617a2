"""The planning view as a person meets it: what is typed stays, what is on the screen is what is kept."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest

from tests.web.browser import DESK, PHONE, Opened, launched, opened, until
from tests.web.on_the_page import example, line, names, shown, typed

CSV = b"part;width;length;quantity;thickness\nleg;40;500;4;6\nfoot;80;80;4;6\n"
SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="200mm" viewBox="0 0 500 200">'
    b'<rect id="a" x="0" y="0" width="300" height="100"/><circle cx="50" cy="50" r="5"/></svg>'
)
MANY = [(f"piece {n}", str(40 + n % 13), str(150 + 5 * n), "1") for n in range(40)]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """The browser of these tests, None where there is none."""
    with launched() as made:
        yield made


@pytest.fixture
def it(browser: Any, tmp_path: Path) -> Iterator[Opened]:
    """The page, opened."""
    if browser is None:
        pytest.skip("there is no browser")
    with opened(browser, tmp_path) as made:
        yield made


def desk(it: Opened, **more: Any) -> Any:
    """A page at a desk."""
    page = it.page(DESK, **more)
    page.goto(it.address)
    return page


def paste(page: Any, text: str) -> None:
    """Paste into the first cell of the parts."""
    page.evaluate(
        """(text) => { const field = document.querySelector('[data-table="part"] [data-key="name"]');
        const data = new DataTransfer(); data.setData('text/plain', text);
        const said = {clipboardData: data, bubbles: true, cancelable: true};
        field.dispatchEvent(new ClipboardEvent('paste', said)); }""",
        text,
    )


def test_a_list_becomes_a_plan_and_a_sheet(it: Opened) -> None:
    """The example is offered and not imposed; typed parts appear in the plan; pointing at a cut lights its row, line
    and picture; the PDF has every reading, and is called after the job.
    """
    page = desk(it, accept_downloads=True)
    assert names(page) == [""]
    typed(page, [("bar", "2 1/2 in", "", "3"), ("shelf", "120", "300", "2")])
    page.locator('[name="name"]').fill("Side gate")
    until(page, "document.querySelector('#rest')?.textContent.includes('shelf, 2 of 2')")
    plan_id = shown(page)
    page.locator("#rest tr[data-cut='2'] td").first.hover()
    page.wait_for_selector("#plan line.lit[data-cut='2']", state="attached")  # a level line has no height
    assert page.locator("#plan circle.lit").count() == 1
    page.wait_for_selector("#lie svg")
    assert page.locator("#lie svg title").text_content() == "How the piece lies for cut 2"
    readings = [each.split()[-1] for each in page.locator("#rest .run summary b").all_text_contents()]
    with page.expect_download() as download:
        page.get_by_role("link", name="Setup sheet (PDF)").click()
    assert download.value.suggested_filename == "Side-gate-setup-sheet.pdf"
    data = Path(download.value.path()).read_bytes()
    text = " ".join(each.extract_text() for each in pypdf.PdfReader(io.BytesIO(data)).pages)
    assert plan_id in text
    assert len(readings) >= 8
    assert all(reading in text for reading in readings)
    assert it.said == []


@pytest.mark.slow
def test_nothing_typed_is_lost(it: Opened) -> None:
    """Half a list is there again after another view, a reload, and a fall of the program while it was typed; a second
    window goes on with a job of its own; jobs are copied, deleted and had back.
    """
    page = desk(it)
    typed(page, [("bar", "5O", "", "")])
    page.locator('[name="name"]').fill("gate")
    page.get_by_role("link", name="Notebook").click()
    page.wait_for_url("**/notebook")
    page.get_by_role("link", name="Plan", exact=True).click()
    page.wait_for_url("**/?job=*")
    assert line(page, 0).locator('[data-key="width"]').input_value() == "5O"
    page.route("**/jobs/*", lambda route: route.abort())  # the program is gone
    line(page, 0).locator('[data-key="quantity"]').fill("7")
    until(page, "document.querySelector('#saved').textContent.includes('in this browser')")
    page.unroute("**/jobs/*")
    page.reload()
    assert line(page, 0).locator('[data-key="quantity"]').input_value() == "7"
    until(page, "!document.querySelector('#saved').textContent")
    until(page, lambda: it.shared.drafts.recent()[0][0].job["part"][0].get("quantity") == "7")
    other = page.context.new_page()
    other.goto(page.url)
    line(other, 0).locator('[data-key="width"]').fill("60")
    until(other, lambda: it.shared.drafts.recent()[0][0].job["part"][0]["width"] == "60")
    line(page, 0).locator('[data-key="width"]').fill("70")
    until(page, "document.querySelector('[name=name]').value.includes('another window')")
    until(page, lambda: len(it.shared.drafts.recent()[0]) == 2)
    page.get_by_role("button", name="Jobs").click()
    before = page.url
    page.get_by_role("button", name="Copy gate", exact=True).click()
    until(page, lambda: page.url != before)
    page.wait_for_load_state()
    until(page, "document.querySelector('[name=name]').value === 'gate, copy'")
    page.get_by_role("button", name="Jobs").click()
    page.get_by_role("button", name="Delete gate, from another window").click()
    page.get_by_role("button", name="Bring it back").click()
    until(page, "document.querySelectorAll('#job-list li').length === 3")
    assert len(it.shared.drafts.recent()[0]) == 3


@pytest.mark.slow
def test_edits_are_undone_and_lines_doubled_and_moved(it: Opened) -> None:
    """Each edit is one step back, a line removed too, its warnings with it; doubled and moved lines are edits."""
    page = desk(it)
    example(page)
    shown(page)
    assert page.locator(".said-row.mind").count() == 1  # of the rail, which will bow
    line(page, 0).locator("[data-remove]").click()
    assert page.locator(".said-row.mind").count() == 0
    assert names(page)[0] == "shelf"
    page.get_by_role("button", name="Undo").click()
    assert names(page)[:2] == ["rail", "shelf"]
    page.get_by_role("button", name="Redo").click()
    assert names(page)[0] == "shelf"
    page.keyboard.press("Control+z")
    line(page, 0).locator("[data-more]").click()
    line(page, 0).locator('[data-key="note"]').fill("drill")
    line(page, 0).locator("[data-double]").click()
    assert names(page)[:3] == ["rail", "rail 2", "shelf"]
    assert line(page, 1).locator(".use-row").text_content().strip() == "Note drill"
    line(page, 1).locator('[data-key="name"]').press("Alt+ArrowDown")
    assert names(page)[:3] == ["rail", "shelf", "rail 2"]
    until(page, "document.querySelector('#rest').textContent.includes('rail 2, 6 of 6')")


@pytest.mark.slow
def test_what_is_on_the_screen_is_what_is_kept(it: Opened) -> None:
    """With a refused field the plan before is marked and can be neither kept nor downloaded; the field says what is
    wrong, what was typed stays, and the list as it was has its plan back at once.
    """
    page = desk(it)
    example(page)
    before = shown(page)
    field = line(page, 0).locator('[data-key="width"]')
    field.fill("5O")
    page.wait_for_selector('[data-key="width"][aria-invalid="true"]')
    assert field.input_value() == "5O"
    assert "width" in page.locator(f"#{field.get_attribute('aria-describedby')}").text_content()
    assert page.locator("#stale").is_visible()
    assert page.get_by_role("button", name="Keep it and cut").is_disabled()
    assert page.locator("#plan a[href]").count() == 0
    page.keyboard.press("Enter")  # to the first field of the next line
    assert page.evaluate("document.activeElement.closest('tbody').at") == 1
    assert page.evaluate("document.activeElement.dataset.key") == "name"
    field.fill("50")
    assert shown(page) == before
    assert page.locator("[aria-invalid]").count() == 0
    page.get_by_role("button", name="Keep it and cut").click()
    page.wait_for_url(f"**/rig/{before}/*")


@pytest.mark.slow
def test_a_plan_is_there_at_once_and_better_ones_follow(it: Opened) -> None:
    """Of a large list first the parts on the plates, then a plan, and the search can be ended with the best so far; a
    list that is changed meanwhile is checked while the plan runs.
    """
    page = desk(it)
    typed(page, MANY[:1])
    paste(page, "\n".join("\t".join(each) for each in MANY))
    page.wait_for_selector("#plan .sketch figure svg")
    page.wait_for_selector("#plan .plan")
    assert page.locator("#enough").count() == 1
    assert re.search(r"more than \d+(\.\d)? % better", page.locator("#state").text_content())
    line(page, 3).locator('[data-key="width"]').fill("4O")
    page.wait_for_selector('[data-key="width"][aria-invalid="true"]')
    line(page, 3).locator('[data-key="width"]').fill("41")
    page.wait_for_selector("#plan:not(.stale) .plan")
    page.locator("#enough").click()
    assert shown(page)
    page.get_by_role("button", name="Keep it and cut").click()
    page.wait_for_url("**/rig/**")
    assert it.said == []


@pytest.mark.slow
def test_behind_each_point_of_the_choices_is_a_plan(it: Opened) -> None:
    """The points of the chart and the lines of the table are the same plans; one that is taken is shown, and can be
    kept.
    """
    page = desk(it)
    typed(page, [("bar", "90", "700", "7"), ("plate", "260", "330", "5"), ("strip", "45", "980", "9")])
    shown(page)
    page.get_by_role("button", name="Find other plans").click()
    until(page, "document.querySelector('#choices-state').textContent.startsWith('Each can')")
    points = page.locator(".choice-chart g[data-choice]")
    rows = page.locator("#choices-found button[data-choice]")
    assert points.count() == rows.count() >= 2
    ids = set()
    for number in range(points.count()):
        points.nth(number).click()
        ids.add(shown(page))
    assert len(ids) == points.count()
    page.get_by_role("button", name="Keep it and cut").click()
    page.wait_for_url("**/rig/**")


@pytest.mark.slow
def test_the_plate_is_in_sight(it: Opened) -> None:
    """At a desk the picture stands high beside the list and stays there; letters are never smaller than 9 px, from
    afar and near; a part's lines and pieces light up together; runs are folded where a job is long.
    """
    page = desk(it)
    typed(page, MANY[:1])
    paste(page, "\n".join("\t".join(each) for each in MANY))
    page.wait_for_selector("#plan:not(.stale) .plan")
    if page.locator("#enough").count():
        page.locator("#enough").click()
    shown(page)
    assert page.locator("#plan figure svg").first.bounding_box()["y"] < 320
    assert page.evaluate("document.documentElement.scrollHeight") < 6000
    assert page.locator("details.run").count() > 12
    assert page.locator("details.run[open]").count() == 0
    smallest = """Math.min(...[...document.querySelectorAll('#plan figure:not([hidden]) svg text')].map((each) => {
        const box = each.ownerSVGElement.viewBox.baseVal, place = each.ownerSVGElement.getBoundingClientRect();
        return getComputedStyle(each).display === 'none' ? 99
            : each.getAttribute('font-size') * Math.min(place.width / box.width, place.height / box.height); }))"""
    assert page.evaluate(smallest) >= 9
    read = "[...document.querySelectorAll('#plan figure:not([hidden]) svg text:not([data-small])')].length"
    from_afar = page.evaluate(read)
    for _ in range(4):
        page.get_by_role("button", name="Nearer").click()
    assert page.evaluate(smallest) >= 9
    assert page.evaluate(read) > from_afar
    line(page, 4).locator('[data-key="name"]').focus()
    lit = page.locator("#plan polygon.lit")
    assert lit.evaluate_all("all => all.map((each) => each.dataset.part)") == ["piece 4"]
    page.get_by_role("button", name="Whole").click()
    page.locator("#plan figure:not([hidden]) polygon[data-part]").first.hover(force=True)
    part = page.locator("#plan polygon.lit").first.get_attribute("data-part")
    assert page.locator('tbody.line.lit [data-key="name"]').input_value() == part
    page.mouse.wheel(0, 2000)
    page.wait_for_timeout(200)
    assert page.locator("#plan figure:not([hidden]) svg").bounding_box()["y"] < 400
    assert it.said == []


@pytest.mark.slow
def test_lists_and_drawings_are_opened_here(it: Opened) -> None:
    """A list is shown as it is understood before it is taken; a drawing with a hole asks what is to become of it; a job
    file keeps what the page has no field for.
    """
    page = desk(it)
    example(page)
    shown(page)

    def give(name: str, data: bytes) -> None:
        page.locator("#open").set_input_files({"name": name, "mimeType": "text/plain", "buffer": data})

    give("parts.csv", CSV)
    page.wait_for_selector("#as-read[open]")
    assert page.locator("#read-table tbody tr").count() == 2
    page.get_by_role("button", name="Add to the parts").click()
    assert names(page)[:4] == ["rail", "shelf", "leg", "foot"]
    give("frame.svg", SVG)
    page.wait_for_selector("#read-notes .said")
    assert page.get_by_role("button", name="Add to the parts").is_hidden()
    page.get_by_label("Holes are drilled later").check()
    page.get_by_role("button", name="Read it again").click()
    page.wait_for_selector("#read-table tbody tr")
    page.get_by_role("button", name="In place of the parts").click()
    until(page, "document.querySelector('.use-row:not([hidden])')?.textContent.includes('1 hole to drill later')")
    plate = 'name = "gate"\n[[plate]]\nname = "s"\nlength = 1000\nwidth = 500\nthickness = 6\n'
    before = page.url
    give("gate.toml", f'{plate}edges = ["cut", "mill", "mill", "mill"]\n[[part]]\nname = "pin"\nwidth = 40\n'.encode())
    until(page, lambda: page.url != before)  # a job of its own
    line(page, 0).locator('[data-key="width"]').fill("40,5")
    plan_id = shown(page)
    got = page.request.get(f"{it.address.rstrip('/')}/plans/{plan_id}/job.toml").text()
    assert 'edges = ["cut", "mill", "mill", "mill"]' in got
    assert "width = 40.5" in got


@pytest.mark.slow
def test_units_are_converted_after_asking(it: Opened) -> None:
    """Leaving the units, calling the figures inches, and converting them are three answers; one step back undoes it."""
    page = desk(it)
    typed(page, [("bar", "25.4", "", "3")])
    shown(page)
    units, width = page.locator('[name="units"]'), line(page, 0).locator('[data-key="width"]')
    units.select_option("in")
    page.get_by_role("button", name="Leave the units").click()
    assert (units.input_value(), width.input_value()) == ("mm", "25.4")
    units.select_option("in")
    page.get_by_role("button", name="Convert them").click()
    until(page, "document.querySelector('[data-table=part] [data-key=width]').value === '1'")
    assert page.locator('[data-table="plate"] [data-key="length"]').first.input_value() == "1250 mm"
    shown(page)
    page.get_by_role("button", name="Undo").click()
    assert (units.input_value(), line(page, 0).locator('[data-key="width"]').input_value()) == ("mm", "25.4")


@pytest.mark.slow
def test_a_plate_without_a_process_is_no_dead_end(it: Opened) -> None:
    """It is said, a process for it is begun beside those of the rig, and with kerf and speed it is planned; papers come
    short, without cautions, and for some of the cuts.
    """
    page = desk(it, accept_downloads=True)
    typed(page, [("bar", "50", "", "3")])
    page.locator('[data-table="plate"] [data-key="thickness"]').fill("1/4 in")
    page.locator('[data-table="plate"] [data-key="material"]').fill("hardox")
    page.get_by_role("button", name="Add a process for this plate").click()
    process = page.locator('[data-table="process"] tbody.line').last
    until(page, "document.activeElement.dataset.key === 'kerf'")
    assert page.locator('[data-table="process"] tbody.line').count() > 3
    process.locator('[data-key="kerf"]').fill("1.6")
    process.locator('[data-key="travel_speed"]').fill("450")
    shown(page)
    page.locator("summary", has_text="Papers and files").click()
    page.get_by_label("Only cuts").fill("2-")
    page.get_by_label("Cuts as").select_option("short")
    with page.expect_download() as download:
        page.get_by_role("link", name="Setup sheet like that").click()
    assert download.value.suggested_filename == "job-cuts-2.pdf"
    pages = pypdf.PdfReader(io.BytesIO(Path(download.value.path()).read_bytes())).pages
    assert len(pages) == 1


@pytest.mark.slow
def test_why_a_cut_stands_where_it_does(it: Opened) -> None:
    """Asked of a cut, the answer is the engine's own: what it waits for, and what its next best place would cost."""
    page = desk(it)
    example(page)
    shown(page)
    page.locator("#rest tr[data-cut='3']").focus()
    page.get_by_role("button", name="Why here?").click()
    until(page, "document.querySelector('#cut-said').textContent.startsWith('Cut 3 must follow cut 2')")
    page.get_by_role("button", name="What if not?").click()
    until(page, "document.querySelectorAll('#cut-said p').length > 1")
    told = page.locator("#cut-said p").all_inner_texts()
    assert any(each.startswith(("Instead of cut 3:", "No other cut can be made")) for each in told)
    assert told[-1].startswith("Without cut 3 ")


@pytest.mark.slow
def test_a_fence_that_stays_where_it_is(it: Opened) -> None:
    """Set on a part's line it is cut there, and the plan says what that makes of the size; what is out of tolerance is
    refused at the field, with the readings that can be.
    """
    page = desk(it)
    typed(page, [("bar", "50", "", "3")])
    shown(page)
    line(page, 0).get_by_role("button", name="more").click()
    fence = line(page, 0).locator('[data-key="fence"]')
    fence.fill("51")
    until(page, "document.body.textContent.includes('the fence stays at 51 mm')")
    fence.fill("60")
    until(page, "document.body.textContent.includes('can be')")


@pytest.mark.slow
def test_keyboard_alone_plans_and_keeps(it: Opened) -> None:
    """Without a mouse: to the tables by Tab, down by Enter, to the order of work by Tab and through it by arrows, and a
    plan is kept.
    """
    page = desk(it)
    page.keyboard.type("bar")  # the first field is ready
    page.keyboard.press("Tab")
    page.keyboard.type("77")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.dataset.key") == "name"

    def tab_to(true: str) -> None:
        for _ in range(150):
            if page.evaluate(true):
                return
            page.keyboard.press("Tab")
        raise AssertionError(true)

    tab_to("document.activeElement.getAttribute('aria-label') === 'plate, length'")
    for text in ("1000", "500", "6"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    until(page, "document.querySelector('#rest')?.textContent.includes('× 77')")
    shown(page)
    tab_to("document.activeElement.matches('[data-keep]')")
    tab_to("document.activeElement.matches('#rest tr[data-cut=\"1\"]')")
    for _ in range(150):
        if page.evaluate("document.activeElement.matches('[data-keep]')"):
            break
        page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/rig/**")


@pytest.mark.slow
def test_rows_are_pasted_from_a_spreadsheet(it: Opened) -> None:
    """Cells between tabs fill the lines from the cell on that they are pasted into; markup in them stays text."""
    page = desk(it)
    example(page)
    shown(page)
    paste(page, "rail\t50\t\t6\nshelf <b>\t120\t300\t2\r\npad\t60\t60\t10\n")
    until(page, "document.querySelector('#rest')?.textContent.includes('pad, 10 of 10')")
    assert "shelf <b>" in page.locator("#rest").text_content()
    assert it.said == []


@pytest.mark.slow
def test_two_plans_beside_each_other(it: Opened) -> None:
    """A plan that is held stays in view while the list changes, and what is better is said in words; it cannot be kept
    for another list.
    """
    page = desk(it)
    example(page)
    shown(page)
    page.get_by_role("button", name="Hold it beside the next").click()
    line(page, 0).locator('[data-key="quantity"]').fill("2")
    until(page, "document.querySelector('#rest')?.textContent.includes('rail, 2 of 2')")
    shown(page)
    cells = page.locator(".compare tr", has_text="minutes at the rig").locator("td")
    held, now = (float(each) for each in cells.all_text_contents())
    assert held > now
    assert "better" in cells.nth(1).get_attribute("class")
    page.get_by_role("button", name="Keep the one that is held").click()
    until(page, "document.querySelector('#faults').textContent.includes('has changed since')")


@pytest.mark.slow
def test_warnings_stand_once_at_what_they_are_about(it: Opened) -> None:
    """A strip that will bow is warned of under its own line alone, and no more once it is mended; what was read once is
    folded the next time.
    """
    page = desk(it)
    typed(page, [("short", "200", "300", "1"), ("thin", "50", "", "2")])
    until(page, "document.querySelector('#rest')?.textContent.includes('thin, 2 of 2')")
    shown(page)
    thin = page.locator('[data-table="part"] tbody.line:has(.said-row.mind)')
    assert "thin will bow" in thin.text_content()
    assert page.locator("#rest", has_text="thin will bow").count() == 0
    assert page.locator("#rest .mind").get_attribute("open") is not None
    page.locator("#rest .mind > summary").click()
    thin.locator('[data-key="width"]').fill("300")
    until(page, "document.querySelector('#rest')?.textContent.includes('1250 × 300')")
    shown(page)
    assert page.locator(".said-row").count() == 0
    assert page.locator("#rest .mind").get_attribute("open") is None


@pytest.mark.slow
def test_on_a_phone_the_plate_is_one_tap_away(it: Opened) -> None:
    """The button at the foot brings the picture into sight; nothing has to be moved sideways."""
    page = it.page(PHONE)
    page.goto(it.address)
    example(page)
    shown(page)
    page.locator("#to-plate").click()
    page.wait_for_timeout(300)
    assert page.locator("#plan figure svg").bounding_box()["y"] < PHONE["height"] / 2
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


@pytest.mark.slow
def test_parts_of_a_thing_are_shown_and_taken(it: Opened) -> None:
    """Figures of the kind that is chosen, its picture while one types, then its parts in the list; a fault is said at
    once and nothing can be taken.
    """
    page = desk(it)
    page.get_by_role("button", name="Parts of a frame").click()
    dialog = page.locator("#thing")
    dialog.locator("#thing-kind").select_option("box")
    for key, value in (("length", "800"), ("width", "400"), ("height", "300"), ("thickness", "6"), ("gap", "1")):
        dialog.locator(f'label:not([hidden]) > [data-figure="{key}"]').fill(value)
    page.wait_for_selector("#thing-shown svg")
    assert "400 - 2 x 6 - 2 x 1 = 386" in dialog.inner_text()
    dialog.locator('[data-figure="width"]').fill("12")
    until(page, "document.querySelector('#thing-said p')")
    assert dialog.get_by_role("button", name="Add to the parts").is_disabled()
    dialog.locator('[data-figure="width"]').fill("400")
    page.wait_for_selector("#thing-shown svg")
    dialog.get_by_role("button", name="In place of the parts").click()
    until(page, "document.querySelectorAll('[data-table=part] tbody.line').length === 4")
    assert names(page)[:3] == ["base", "side", "end"]


@pytest.mark.slow
def test_shapes_are_typed_in_a_parts_row(it: Opened) -> None:
    """A triangle, mitred ends, clipped corners and an outline, entered behind "more", are planned and drawn as such;
    under a closed row stands what is set there, and the fields say the same after a reload.
    """
    page = desk(it)
    parts = [("gusset", "150", "200", "2"), ("side", "50", "600", "1"), ("base", "200", "300", "1")]
    typed(page, [*parts, ("wedge", "", "", "1")])
    said = {
        "side": ("ends", "45; 60"),
        "base": ("corners", "20; 0; 15 x 30; 0"),
        "wedge": ("outline", "0, 0; 90, 0; 0, 70"),
    }
    for number, name in enumerate(names(page)):
        if not name:
            continue
        row = line(page, number)
        row.locator("[data-more]").click()
        if name in said:
            row.locator(f'[data-key="{said[name][0]}"]').fill(said[name][1])
        else:
            row.locator('[data-key="shape"]').select_option("triangle")
        row.locator("[data-more]").click()
    assert "ends 45; 60" in page.locator(".use-row").all_text_contents()
    shown(page)
    assert page.locator("#rest").text_content().count("bar") >= 3
    triangles = page.locator('#plan polygon[data-part="gusset"]')
    assert len(triangles.first.get_attribute("points").split()) == 3
    page.reload()
    until(page, "document.querySelectorAll('[data-table=part] tbody.line').length > 3")
    kept = page.evaluate("[...document.querySelectorAll('[data-key=corners]')].map((each) => each.value)")
    assert "20; 0; 15 x 30; 0" in kept


@pytest.mark.slow
def test_a_plan_is_kept_while_the_list_changes(it: Opened) -> None:
    """Ticked, the plan of the changed list keeps that which was shown, and says so; without the tick it is afresh."""
    page = desk(it)
    example(page)
    before = shown(page)
    page.locator("#keep-order").check()
    row = line(page, 2)
    for key, value in (("name", "rush"), ("width", "40"), ("length", "90")):
        row.locator(f'[data-key="{key}"]').fill(value)
    until(page, "document.querySelector('#state').innerText.includes('stay as they were')")
    assert shown(page) != before
    page.locator("#keep-order").uncheck()
    until(page, "!document.querySelector('#state').innerText.includes('stay as they were')")
    shown(page)


@pytest.mark.slow
def test_keeping_that_costs_a_plate_offers_the_plan_made_afresh(it: Opened) -> None:
    """Both totals are told, and the other plan is a button away; it unticks the wish to keep."""
    page = desk(it)
    for key, value in (("length", "1000"), ("width", "500"), ("thickness", "6"), ("material", "mild steel")):
        page.locator(f'[data-table="plate"] [data-key="{key}"]').first.fill(value)
    typed(page, [("rail", "80", "600", "5"), ("wide", "90", "600", "5")])
    shown(page)
    assert page.locator("#plan figure.plate").count() == 2
    page.locator("#keep-order").check()
    for row in (names(page).index("rail"), names(page).index("wide")):
        line(page, row).locator('[data-key="quantity"]').fill("2")
    page.locator("#afresh").wait_for(timeout=60_000)
    assert re.search(r"Kept, it comes to [0-9.,]+ kg of steel in all on 2 plates.*afresh to [0-9.,]+ on 1 plate",
                     page.locator("#state").inner_text())  # fmt: skip
    assert page.locator("#plan figure.plate").count() == 2
    page.locator("#afresh").click()
    until(page, "document.querySelectorAll('#plan figure.plate').length === 1")
    assert not page.locator("#keep-order").is_checked()
    shown(page)
