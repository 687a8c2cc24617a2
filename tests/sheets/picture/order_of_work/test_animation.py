"""All cuts of a plate played one after another: what appears when, what stays, the last state."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.sheets.picture import svg
from stripplan.sheets.picture.on_plate.plate import plate_picture
from stripplan.sheets.picture.order_of_work.animation import LEAST_SECONDS, sequence_svg
from stripplan.sheets.picture.order_of_work.step import step_svgs
from stripplan.sheets.rows.plan_rows import sheet
from tests.checking import calls
from tests.replay.bevelled import bevelled
from tests.sheets.picture.order_of_work.test_step import SMALL, SVG, narrow, step_picture, step_svg, two_plates
from tests.sheets.plans import NAMES, PLANS, hair_strips, in_units


def seconds(each: ElementTree.Element) -> list[float]:
    """Times at which the values of an animation begin [s]."""
    whole = float(each.attrib["dur"].removesuffix("s"))
    return [float(share) * whole for share in each.attrib["keyTimes"].split(";")]


def timed(root: ElementTree.Element, tag: str) -> list[tuple[float, ElementTree.Element]]:
    """Groups that appear and stay, with the moment at which they do, of those that hold a `tag`."""
    found = []
    for group in root.iter(f"{SVG}g"):
        moves = [each for each in group.findall(f"{SVG}animate") if each.attrib["values"] == "none;inline"]
        if moves and group.find(f"{SVG}{tag}") is not None:
            found.append((seconds(moves[0])[1], group))
    return found


@pytest.mark.parametrize("name", sorted([*SMALL, "hair strips"]))
def test_each_cut_appears_at_its_time_and_stays(name: str) -> None:
    """Numbers come one a step in the order of work and never go; the pieces of a cut come within its step."""
    plan = (SMALL | PLANS)[name]()
    for plate in plan.plates:
        root = ElementTree.fromstring(sequence_svg(plan, plate.id, seconds_a_step=3))
        numbers = [cut.number for cut in plan.cuts if cut.plate == plate.id]
        found = timed(root, "circle")
        assert [int(group.findtext(f"{SVG}text") or "") for _, group in found] == numbers
        assert [when for when, _ in found] == [pytest.approx(3 * n, abs=1e-2) for n in range(1, len(numbers) + 1)]
        settled = [when for when, group in timed(root, "polygon") if group.find(f"{SVG}circle") is None]
        assert len(settled) == len(numbers)
        assert all(start < done < start + 3 for (start, _), done in zip(found, settled, strict=True))
        assert {each.attrib["repeatCount"] for each in root.iter(f"{SVG}animate")} == {"indefinite"}
        assert {each.attrib["dur"] for each in root.iter(f"{SVG}animate")} == {f"{3 * (len(numbers) + 3)}s"}


@pytest.mark.parametrize("name", sorted(SMALL))
def test_each_step_shows_its_caption_in_its_time_alone(name: str) -> None:
    """Captions follow one another without gap or overlap, with the figures of the sheet."""
    plan = SMALL[name]()
    rows = {each.number: each for each in sheet(plan).cuts}
    for plate in plan.plates:
        root = ElementTree.fromstring(sequence_svg(plan, plate.id))
        steps = next(each for each in root.iter(f"{SVG}g") if each.get("class") == "stripplan-steps")
        spans, captions = [], []
        for group in steps:
            assert group.attrib["display"] == "none"  # without animation only the last state is seen
            move = group.findall(f"{SVG}animate")[-1]
            values, times = move.attrib["values"].split(";"), seconds(move)
            at = values.index("inline")
            spans.append((times[at], times[at + 1]))
            captions.append(" · ".join(each.text or "" for each in group.findall(f"{SVG}text")))
        assert all(one[1] == other[0] for one, other in pairwise(spans))
        cuts = [cut for cut in plan.cuts if cut.plate == plate.id]
        assert len(captions) == len(cuts) + 1
        for cut, caption in zip(cuts, captions[1:], strict=True):
            row = rows[cut.number]
            assert caption.startswith(f"Cut {cut.number} of {len(plan.cuts)}")
            assert f"end stop {row.end_stop.text}" in caption
            assert (f"fence {row.fence.text}" if cut.located == "fence" else f"mark {row.scribe}") in caption


def test_bevels_are_played_after_the_cuts() -> None:
    """One step for each, with its tilt and what lies on the fence; the last state waits until they are through."""
    plan = bevelled()
    root = ElementTree.fromstring(sequence_svg(plan, "P1", seconds_a_step=3))
    steps = next(each for each in root.iter(f"{SVG}g") if each.get("class") == "stripplan-steps")
    last = list(steps)[-len(plan.bevels) :]
    for n, (group, bevel) in enumerate(zip(last, plan.bevels, strict=True)):
        move = group.findall(f"{SVG}animate")[-1]
        assert seconds(move)[1] == pytest.approx(3 * (1 + len(plan.cuts) + n), abs=1e-2)
        caption = " · ".join(each.text or "" for each in group.findall(f"{SVG}text"))
        assert caption.startswith(f"Bevel {bevel.number} of {len(plan.arcs)} · tilt {bevel.angle:g}°")
        assert ("on the fence" in caption) == (bevel.located == "fence")
    assert {each.attrib["dur"] for each in root.iter(f"{SVG}animate")} == {f"{3 * (len(plan.arcs) + 3)}s"}


@pytest.mark.parametrize("name", sorted([*SMALL, "hair strips", "uncut"]))
def test_the_last_state_has_all_pieces_of_the_plate(name: str) -> None:
    """With all that hides taken away there is every finished piece once, every kerf,
    name and number of the plate's picture.
    """
    plan = (SMALL | PLANS)[name]()
    for plate in plan.plates:
        root = ElementTree.fromstring(sequence_svg(plan, plate.id))
        last = polygons(root, shown_only=True)
        ends = [each for each in plan.pieces if each.plate == plate.id and each.kind not in ("plate", "blank")]
        want = [" ".join(f"{svg.plain_number(x)},{svg.plain_number(-y)}" for x, y in each.outline) for each in ends]
        assert sorted(want) == sorted(points for points in last[1:] if points in set(want))  # the first is the plate
        picture = plate_picture(plan, plate.id)
        for shape in picture.outlines:
            assert " ".join(f"{svg.plain_number(x)},{svg.plain_number(-y)}" for x, y in shape.points) in last
        written = ["".join(each.itertext()) for each in root.iter(f"{SVG}text")]
        clean = [
            "".join(letter if letter.isprintable() else "\ufffd" for letter in each.text) for each in picture.texts
        ]
        assert set(clean) <= set(written)


def polygons(root: ElementTree.Element, *, shown_only: bool) -> list[str]:
    """Points of all polygons outside groups that are hidden where nothing is animated."""
    if shown_only and root.get("display") == "none":
        return []
    own = [root.attrib["points"]] if root.tag == f"{SVG}polygon" else []
    return own + [each for child in root for each in polygons(child, shown_only=shown_only)]


def test_nothing_moves_for_a_person_who_asks_for_less_motion() -> None:
    """The style hides the steps and shows what stays, stronger than any animation (SVG 2:
    `!important` wins over SMIL).
    """
    root = ElementTree.fromstring(sequence_svg(PLANS["pushed up"](), "P1"))
    style = root.findtext(f"{SVG}style") or ""
    assert "@media (prefers-reduced-motion:reduce)" in style
    assert ".stripplan-steps>g{display:none!important}" in style
    assert ".stripplan-stays>g{display:inline!important}" in style
    for each in root.iter(f"{SVG}g"):
        moved = {move.attrib["attributeName"] for move in each.findall(f"{SVG}animate")}
        if moved:
            parent = next(above for above in root.iter() if each in list(above))
            assert parent.get("class") in ("stripplan-steps", "stripplan-stays")
    assert "<script" not in sequence_svg(PLANS["pushed up"](), "P1")


def test_kinds_are_told_apart_without_colour() -> None:
    """In both pictures an offcut is filled with lines and scrap is crossed from corner to corner."""
    plan = PLANS["trimmed"]()
    played = sequence_svg(plan, "P1")
    assert played.count('fill="url(#hatch-') == 1
    for text in (played, step_svg(plan, 2)):
        cross = 'x1="0" y1="0" x2="1000" y2="-10"'
        assert cross in text
        assert "hatched: offcut" in text
    pattern = re.search(r'<pattern id="([^"]+)"', played)
    assert pattern is not None
    assert f"url(#{pattern[1]})" in played
    offcut = step_picture(narrow(upright=False), 2)
    assert "OFFCUT" not in {each.layer for each in offcut.outlines}  # it comes by this very cut


@pytest.mark.parametrize("number", range(len(NAMES)))
def test_foreign_names_are_text_and_nothing_else(number: int) -> None:
    """Markup in names of job, stock and part shows as it was typed, in steps and animation."""
    record = to_record(PLANS[f"name {number}"]())
    record["job"]["name"] = record["plates"][0]["stock"] = NAMES[number]
    plan = from_record(Plan, record)
    clean = "".join(letter if letter.isprintable() else "�" for letter in NAMES[number])
    for text in (step_svg(plan, 3), sequence_svg(plan, "P1")):
        root = ElementTree.fromstring(text)
        assert (root.findtext(f"{SVG}title") or "").startswith(f"{clean}: plate P1 ({clean})")
        written = ["".join(each.itertext()) for each in root.iter(f"{SVG}text")]
        assert any((clean if len(clean) <= 14 else clean[:13]) in each for each in written)
        allowed = {
            "svg",
            "title",
            "desc",
            "defs",
            "pattern",
            "style",
            "g",
            "rect",
            "polygon",
            "line",
            "path",
            "circle",
            "text",
            "animate",
        }
        assert {each.tag.removeprefix(SVG) for each in root.iter()} <= allowed
        assert not re.search(r"\bhref=|https?://(?!www\.w3\.org/2000/svg)|\bnan\b|\binf\b", text.partition("<defs>")[2])


def test_the_same_plan_gives_the_same_bytes() -> None:
    """Nothing of clock or chance is in either picture."""
    assert len({sequence_svg(two_plates(), "P2") for _ in range(2)}) == 1
    assert len({step_svg(two_plates(), 4) for _ in range(2)}) == 1


@pytest.mark.long
def test_the_plate_is_not_drawn_anew_for_each_step() -> None:
    """Four times the cuts take four times the work, and a cut takes less than 2.5 kB; the first step is as far off."""
    few, many = in_units(hair_strips(40)), in_units(hair_strips(160))
    assert calls(lambda: sequence_svg(many, "P1")) < 5 * calls(lambda: sequence_svg(few, "P1"))
    assert calls(lambda: next(step_svgs(many))) < 5 * calls(lambda: next(step_svgs(few)))
    assert len(sequence_svg(many, "P1").encode()) < 160 * 2500


@pytest.mark.parametrize("wrong", [0.0, LEAST_SECONDS - 0.01, -2.0, float("nan"), float("inf")])
def test_steps_that_would_flash_are_refused(wrong: float) -> None:
    """Three flashes a second are the most that is safe to look at (W3C, WCAG 2.2, 2.3.1),
    so a step lasts half a second.
    """
    with pytest.raises(ValueError, match=r"at least 0\.5 s"):
        sequence_svg(PLANS["pushed up"](), "P1", seconds_a_step=wrong)


def test_what_is_not_in_the_plan_is_named() -> None:
    """A plate that the plan lacks is an error that says what there is; a plan without cuts has no steps."""
    plan = PLANS["pushed up"]()
    with pytest.raises(ValueError, match="no plate P2; the plan has P1"):
        sequence_svg(plan, "P2")
    assert not list(step_svgs(PLANS["uncut"]()))
