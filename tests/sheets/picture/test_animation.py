"""The order of work in pictures: what lies there before each cut, and the same played in time."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.sheets.picture import svg
from stripplan.sheets.picture.animation import LEAST_SECONDS, sequence_svg, step_pictures, step_svgs
from stripplan.sheets.picture.lettering import meet, text_box
from stripplan.sheets.picture.plate import plate_picture
from stripplan.sheets.picture.shapes import Outline, Picture
from stripplan.sheets.rows.plan_rows import sheet
from tests.checking import calls, in_turn
from tests.replay import by_hand
from tests.replay.bevelled import bevelled
from tests.sheets.plans import NAMES, PLANS, hair_strips, in_units

SVG = "{http://www.w3.org/2000/svg}"
KINDS = {"part": "PART", "offcut": "OFFCUT", "scrap": "SCRAP", "blank": "PLATE", "plate": "PLATE"}

Shape = tuple[tuple[float, float], ...]


def step_picture(plan: Plan, number: int) -> Picture:
    """The picture before a cut."""
    return next(picture for each, _, picture in step_pictures(plan) if each == number)


def step_svg(plan: Plan, number: int) -> str:
    """The same as SVG."""
    return dict(step_svgs(plan))[number]


def narrow(*, upright: bool) -> Plan:
    """Two bars of 200 mm off a flat of 3000 x 60 mm, lying along or across the page;
    the second cut leaves an offcut.
    """

    def box(x0: float, x1: float) -> by_hand.Box:
        return (0.0, x0, 60.0, x1) if upright else (x0, 0.0, x1, 60.0)

    def line(x: float) -> list[list[float]]:  # the fence on the right of the travel: towards the least x, or y
        return [[60.0, x], [0.0, x]][::-1] if upright else [[x, 60.0], [x, 0.0]]

    pieces = [
        by_hand.piece(1, None, "plate", box(0, 3000)),
        by_hand.piece(2, 1, "part", box(0, 200), "bar"),
        by_hand.piece(3, 1, "blank", box(201.5, 3000)),
        by_hand.piece(4, 3, "part", box(201.5, 401.5), "bar"),
        by_hand.piece(5, 3, "offcut", box(403, 3000)),
    ]
    cuts = [
        by_hand.fence_cut(
            number, of, makes, line(low + 200.75), line(low), 200.75, 201.0,
            [(True, line(low), 60.0, 80.0)], fence=True, end_stop=True, fetch=True,
        )
        for number, of, makes, low in ((1, 1, (2, 3), 0.0), (2, 3, (4, 5), 201.5))
    ]  # fmt: skip
    stock = {"length": 60.0, "width": 3000.0} if upright else {"length": 3000.0, "width": 60.0}
    part = {**by_hand.PART, "width": 60.0, "length": 200.0, "quantity": 2}
    return in_units(by_hand.plan_of(pieces, cuts, [part], {"bar": ([[60.0, 200.25]], [0.0, 0.25])}, stock=stock))


def two_plates() -> Plan:
    """The three strips on each of two plates, the plates in turn: cuts 1, 3, 5 on P1, cuts 2, 4, 6 on P2."""
    record = to_record(PLANS["pushed up"]())
    other: dict[str, object] = to_record(PLANS["pushed up"]())
    as_p2 = re.compile(r"\bP1\b")

    def renamed(value: object) -> object:
        if isinstance(value, str):
            return as_p2.sub("P2", value)
        if isinstance(value, dict):
            return {key: renamed(each) for key, each in value.items()}
        return [renamed(each) for each in value] if isinstance(value, (list, tuple)) else value

    second = renamed({key: other[key] for key in ("plates", "pieces", "cuts")})
    assert isinstance(second, dict)
    cuts = [cut for pair in zip(record["cuts"], second["cuts"], strict=True) for cut in pair]
    record["plates"] = [*record["plates"], *second["plates"]]
    record["pieces"] = [*record["pieces"], *second["pieces"]]
    record["cuts"] = [{**cut, "number": number} for number, cut in enumerate(cuts, 1)]
    return from_record(Plan, record)


SMALL = {name: make for name, make in PLANS.items() if not name.startswith(("hair", "name", "uncut"))} | {
    "narrow along": lambda: narrow(upright=False),
    "narrow across": lambda: narrow(upright=True),
    "two plates": two_plates,
}
STEPS = [(name, cut.number) for name, make in sorted(SMALL.items()) for cut in make().cuts]


def on_the_bench(plan: Plan, cut: Cut) -> dict[str, Piece]:
    """Pieces of the cut's plate before it: the root, and cut by cut what is cut goes and its children come."""
    lying = {each.id: each for each in plan.pieces if each.parent is None and each.plate == cut.plate}
    for done in sorted(plan.cuts, key=lambda each: each.number):
        if done.number == cut.number:
            return lying
        if done.plate == cut.plate:
            del lying[done.piece]
            lying |= {each.id: each for each in plan.pieces if each.parent == done.piece}
    raise AssertionError(cut.number)


def shapes(picture: Picture) -> list[tuple[str, Shape]]:
    """Outlines that are pieces, with their layer."""
    return sorted((each.layer, each.points) for each in picture.outlines if each.layer not in ("TEXT", "KERF"))


def cut_of(plan: Plan, number: int) -> Cut:
    """A cut by its number."""
    return next(each for each in plan.cuts if each.number == number)


def around(each: Outline) -> tuple[float, float, float, float]:
    """The box of an outline."""
    xs, ys = zip(*each.points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


# --- one step -----------------------------------------------------------------------------------------------------


@in_turn(("name", "number"), STEPS)
def test_before_a_cut_exactly_the_pieces_are_drawn_that_lie_there(name: str, number: int) -> None:
    """Each piece of the plate that exists before the cut is drawn once, in its kind; nothing that comes later is."""
    plan = SMALL[name]()
    lying = on_the_bench(plan, cut_of(plan, number))
    assert shapes(step_picture(plan, number)) == sorted((KINDS[each.kind], each.outline) for each in lying.values())


@pytest.mark.parametrize("number", [1, 2, 40])
def test_before_one_of_40_cuts_exactly_the_pieces_are_drawn_that_lie_there(number: int) -> None:
    """Before cut n of the 0.5 mm strips there are n - 1 strips and the rest."""
    plan = PLANS["hair strips"]()
    lying = on_the_bench(plan, cut_of(plan, number))
    assert len(lying) == number
    assert shapes(step_picture(plan, number)) == sorted((KINDS[each.kind], each.outline) for each in lying.values())


@in_turn(("name", "number"), STEPS)
def test_a_step_shows_its_cut_with_number_arrow_and_reading(name: str, number: int) -> None:
    """One torch line from lead-in to overrun, one number before it, the reading beside it,
    and all figures above the plate.
    """
    plan = SMALL[name]()
    cut, picture = cut_of(plan, number), step_picture(plan, number)
    row = next(each for each in sheet(plan).cuts if each.number == number)
    (line,), (bubble,) = picture.lines, picture.bubbles
    (ax, ay), (bx, by) = cut.line
    dx, dy = (bx - ax) / cut.length, (by - ay) / cut.length
    lead = (ax - line.start[0]) * dx + (ay - line.start[1]) * dy
    over = (line.end[0] - bx) * dx + (line.end[1] - by) * dy
    assert lead == pytest.approx(plan.rig.lead_in)
    assert over >= plan.rig.overrun - 1e-6
    assert bubble.number == number
    assert (line.start[0] - bubble.at[0]) * dx + (line.start[1] - bubble.at[1]) * dy == pytest.approx(bubble.radius)
    reading = f"fence {row.fence.text}" if cut.located == "fence" else f"mark {row.scribe} from edge {row.scribe_from}"
    texts = [each.text for each in picture.texts]
    caption = " · ".join(
        each.text for each in picture.texts if each.bold and each.at[1] > max(y for _, y in corners(plan, cut))
    )
    assert reading in texts
    for each in (f"Cut {number} of {len(plan.cuts)}", reading, f"end stop {row.end_stop.text}", f"piece {cut.piece}"):
        assert each in caption


def corners(plan: Plan, cut: Cut) -> list[tuple[float, float]]:
    """Two corners of the cut's plate."""
    plate = next(each for each in plan.plates if each.id == cut.plate)
    return [(0.0, 0.0), (plate.length, plate.width)]


@in_turn(("name", "number"), STEPS)
def test_teeth_stand_outside_the_edge_on_the_fence(name: str, number: int) -> None:
    """Of the signs outside the framed piece, teeth lie right of the edge on the fence only; a marked cut has none."""
    plan = SMALL[name]()
    cut = cut_of(plan, number)
    picture = step_picture(plan, number)
    squares = [each for each in picture.outlines if each.layer == "TEXT" and len(each.points) == 4][4:-1]
    if cut.edge_on_fence is None:
        assert squares == []
        return
    assert len(squares) >= 2
    (ax, ay), (bx, by) = cut.edge_on_fence
    for each in squares:
        for x, y in each.points:
            assert (x - ax) * (by - ay) - (y - ay) * (bx - ax) > 0  # right of the travel
            assert -1e-6 <= (x - ax) * (bx - ax) + (y - ay) * (by - ay) <= (bx - ax) ** 2 + (by - ay) ** 2 + 1e-6


def test_a_cut_of_two_passes_has_two_heads_that_meet() -> None:
    """Halves of 505 mm of a 1000 mm cut end at 495 and 505 mm from the entry: 10 mm of overlap."""
    plan = PLANS["two passes"]()
    picture = step_picture(plan, 1)
    tips = [each.points[2] for each in picture.outlines if each.layer == "TEXT" and len(each.points) == 3]
    along = sorted(abs(x - plan.cuts[0].line[0][0]) for x, _ in tips)
    assert along == [pytest.approx(495), pytest.approx(505)]
    assert any("TWO PASSES" in each.text for each in picture.texts)
    assert not any("TWO PASSES" in each.text for each in step_picture(plan, 3).texts)


@in_turn(("name", "number"), STEPS)
def test_nothing_written_leaves_the_picture_or_lies_on_other_writing(name: str, number: int) -> None:
    """Captions, names, numbers, heads: all in the box, none on another, on the narrowest plate too."""
    picture = step_picture(SMALL[name](), number)
    bubble, x0, y0 = picture.bubbles[0], *picture.bubbles[0].at
    r = bubble.radius
    heads = [around(each) for each in picture.outlines if each.layer == "TEXT" and len(each.points) == 3]
    boxes = [text_box(each) for each in picture.texts] + [(x0 - r, y0 - r, x0 + r, y0 + r)]
    for box in boxes + heads + [around(each) for each in picture.outlines]:
        assert all(low <= inner for low, inner in zip(picture.box[:2], box[:2], strict=True))
        assert all(high >= inner for high, inner in zip(picture.box[2:], box[2:], strict=True))
    assert [pair for pair in combinations(boxes, 2) if overlap(*pair) > 1e-6] == []
    assert [(box, head) for box in boxes for head in heads if overlap(box, head) > 1e-6] == []


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """How far two boxes reach into each other at the least [mm]."""
    if not meet((one[0], one[1], one[2], one[3]), (other[0], other[1], other[2], other[3])):
        return 0.0
    return min(min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1]))


def test_all_steps_of_a_plate_have_one_box() -> None:
    """Pictures of a plate can be leafed through: nothing jumps."""
    for name in ("two passes", "two plates", "pushed up"):
        plan = SMALL[name]()
        for plate in plan.plates:
            assert len({step_picture(plan, cut.number).box for cut in plan.cuts if cut.plate == plate.id}) == 1


def test_finished_pieces_keep_their_names_and_blanks_their_ids() -> None:
    """Before the last of three strips two bars are named, and the rest shows the id that is chalked on it."""
    texts = [each.text for each in step_picture(PLANS["pushed up"](), 3).texts]
    assert sum(each.startswith("bar") for each in texts) == 2
    assert any(each.startswith("P1-5") for each in texts)


def test_a_step_says_itself_in_words() -> None:
    """The description of a step names cut, reading, end stop and edge, and counts what lies there."""
    root = ElementTree.fromstring(step_svg(PLANS["trimmed"](), 2))
    words = root.findtext(f"{SVG}desc") or ""
    assert words == (
        "Cut 2 of 2, fence 51.0, end stop 1020, edge A (cut 1) on the fence, piece P1-3. "
        "Lying apart already: 1 scrap; 1 still to be cut."
    )
    assert "before cut 2" in (root.findtext(f"{SVG}title") or "")


# --- the animation ------------------------------------------------------------------------------------------------


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
