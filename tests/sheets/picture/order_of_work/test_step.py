"""The picture of one step: what lies there before a cut, what is cut and what is said."""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest

from stripplan.model.plan.cut import Cut
from stripplan.model.plan.piece import Piece
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.sheets.picture.lettering import meet, text_box
from stripplan.sheets.picture.order_of_work.step import step_pictures, step_svgs
from stripplan.sheets.picture.shapes import Outline, Picture
from stripplan.sheets.rows.plan_rows import sheet
from tests.checking import in_turn
from tests.replay import by_hand
from tests.sheets.plans import PLANS, in_units

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
