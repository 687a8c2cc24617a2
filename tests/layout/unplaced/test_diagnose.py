"""Why a part cannot be made: the limit that stops it, and changes that really help."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.layout.grid import common_grid
from stripplan.layout.problem import Stock, build_problem
from stripplan.layout.solver import lay_out
from stripplan.layout.unplaced.case import Case
from stripplan.layout.unplaced.diagnose import excluded, not_found, used_up, why_not
from stripplan.layout.unplaced.offers import offers
from stripplan.layout.unplaced.place_singly import OneByOne
from stripplan.model.effort import Effort
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.pattern import leaves
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.limits import cut_rules
from stripplan.wording.message import Message
from stripplan.wording.show import worded
from tests.checking import examples
from tests.strategies import parts, plates, rigs

PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=2, travel_speed=600)
RIG = Rig(processes=(PROCESS,), narrowest_offcut=5)


def said(message: Message) -> tuple[str, str]:
    """What a person who reads mm is told: what stops the part, and what would help."""
    words = worded(message)
    return words.text, words.hint


def stocks_of(rig: Rig, *stock: Plate, trim: float = 0.0) -> tuple[Stock, ...]:
    """Plates with the rules of a rig."""
    return tuple(
        Stock(n, plate, cut_rules(rig, plate, rig.processes[0], trim=trim), 1.0) for n, plate in enumerate(stock)
    )


def plate(length: float, width: float, name: str = "sheet", **more: object) -> Plate:
    """A plate of mild steel, 6 mm."""
    return Plate(name=name, length=length, width=width, thickness=6, material="mild steel", **more)  # type: ignore[arg-type]


def part(length: float, width: float, **more: object) -> Rectangle:
    """One rectangle."""
    return Rectangle(name="r", length=length, width=width, **more)  # type: ignore[arg-type]


SHEET = plate(1000, 600)


@pytest.mark.parametrize(
    ("wanted", "served", "stops", "helps"),
    [
        (part(1200, 300), stocks_of(RIG, SHEET), "bigger than any plate: the largest is 1000 x 600",
         ("200 mm shorter", "sheet 200 mm longer")),
        (part(1200, 700), stocks_of(RIG, SHEET), "bigger than any plate", ("a plate of 1200 x 700 mm",)),
        (part(600, 600), stocks_of(RIG, plate(600, 600), trim=10), "a trim of 10 mm",
         ("a plate of 624 x 624 mm", "trim = 0")),
        (part(700, 300, rotate=False), stocks_of(RIG, plate(600, 1000)), "fits only turned", ("rotate = true",)),
        (part(700, 300, rolling="width", rotate=False), stocks_of(RIG, plate(1000, 600, rolling="length")),
         "rolling direction", ("leave its rolling direction free",)),
        (part(500, 300), stocks_of(Rig(stroke=300, two_pass=False, processes=(PROCESS,)), SHEET), "within the 282 mm",
         ("a rig that cuts 600 mm at once",)),
        (part(300, 200), stocks_of(Rig(bed_length=250, processes=(PROCESS,)), SHEET), "bed's 250 mm",
         ("sheet 400 mm narrower", "a bed of 600 mm")),
        (part(300, 200), stocks_of(Rig(piece_mass_max=20, processes=(PROCESS,)), SHEET),
         "28 kg and more, above .* 20 kg",
         ("a greatest piece mass of 29 kg",)),
        (part(980, 560), stocks_of(Rig(marked=False, fence_min=60, fence_max=150, processes=(PROCESS,)), SHEET),
         "reach of 60 to 150 mm", ("allow marked cuts", "a fence that reaches 981 mm")),
        (part(300, 200), stocks_of(Rig(marked=False, fence_max=150, far_max=120, processes=(PROCESS,)), SHEET),
         "reach of 12 to 150 mm with the other within the 120 mm", ("allow marked cuts", "room for 849 mm beside")),
        (part(300, 200), stocks_of(replace(RIG, far_max=3), SHEET), "narrowest offcut, 5 mm wide, and at most 3 mm",
         ("room for 11 mm",)),
        (part(998, 300), stocks_of(RIG, SHEET), "sliver .* 5 mm behind a kerf of 2 mm",
         ("a tolerance of 2 mm", "2 mm longer", "sheet 2 mm shorter")),
        (Strip(name="s", width=596), stocks_of(RIG, SHEET), "sliver", ("3 mm narrower", "a tolerance of 4 mm")),
        (part(300, 200, square="all"), stocks_of(RIG, plate(310, 200, edges=("cut",) * 4)), "square edges",
         ("ask for no square edges",)),
        (part(300, 200), stocks_of(RIG, plate(1000, 600, quantity=0)), "none left of its plates", ("add plates",)),
    ],
)  # fmt: skip
def test_the_limit_is_named_with_the_nearest_ways_out(
    wanted: Part, served: tuple[Stock, ...], stops: str, helps: tuple[str, ...]
) -> None:
    """Figures by hand: what stops the part, and changes that would do."""
    text, hint = said(why_not(wanted, served))
    assert re.search(stops, text)
    assert all(each in hint for each in helps), hint


@pytest.mark.parametrize(
    ("wanted", "served", "text"),
    [
        (part(1200, 300), stocks_of(RIG, plate(90, 80, "bit"), SHEET),
         "300 x 1200 mm as cut is bigger than any plate: the largest is 1000 x 600 mm"),
        (part(597, 597, allowance=1), stocks_of(RIG, plate(600, 600), trim=10),
         "599 x 599 mm as cut is bigger than what a trim of 10 mm and its kerf leave of any plate"),
        (part(500, 300), stocks_of(Rig(stroke=300, two_pass=False, processes=(PROCESS,)), SHEET),
         "no cut that it needs across its plates is within the 282 mm that the rig can make at once"),
        (part(300, 200), stocks_of(Rig(bed_length=250, processes=(PROCESS,)), SHEET),
         "for a cut that it needs its plate lies farther along the travel than the bed's 250 mm"),
        (part(300, 200), stocks_of(Rig(piece_mass_max=20, processes=(PROCESS,)), plate(2000, 600, "large"), SHEET),
         "its plates weigh 28 kg and more, above the greatest piece mass of 20 kg"),
        (part(980, 560), stocks_of(Rig(marked=False, fence_min=60, fence_max=150, processes=(PROCESS,)), SHEET),
         "its fence offset 561 mm, or that of what lies beside it, lies outside the fence's reach of 60 to 150 mm, "
         "and marking out is not allowed"),
        (part(300, 200), stocks_of(Rig(marked=False, fence_max=150, far_max=120, processes=(PROCESS,)), SHEET),
         "whatever comes off first, a cut that it needs has no side within the fence's reach of 12 to 150 mm with the "
         "other within the 120 mm that may lie beside the torch, and marking out is not allowed"),
        (part(998, 300), stocks_of(RIG, SHEET),
         ("beside 300 x 998 mm a sliver would be left on every plate: the narrowest offcut is 5 mm behind a kerf "
             "of 2 mm")),
    ],
)  # fmt: skip
def test_every_figure_of_a_refusal_is_right(wanted: Part, served: tuple[Stock, ...], text: str) -> None:
    """Word for word; by hand: 300 - 10 - 8 = 282; 1000 x 600 x 6 mm at 7850 kg/m3 = 28.3 kg; 560 + 2 / 2 = 561;
    597 + 2 x 1 = 599.
    """
    assert said(why_not(wanted, served))[0] == text


def test_depth_is_named() -> None:
    """Cuts in two directions where one is allowed."""
    text, hint = said(why_not(part(300, 200), stocks_of(RIG, SHEET), depth=1))
    assert "depth = 1" in text
    assert "depth = 2" in hint


def test_changes_of_the_caller_are_offered_where_they_help() -> None:
    """Stroke 400: two passes of 782 mm together reach across 600 mm; no such offer where the part is too big."""
    short = Rig(stroke=400, two_pass=False, processes=(PROCESS,))
    others = [(Message("allow_two_passes"), stocks_of(replace(short, two_pass=True), SHEET))]
    assert "allow two passes" in said(why_not(part(500, 300), stocks_of(short, SHEET), others=others))[1]
    assert "allow two passes" not in said(why_not(part(1200, 300), stocks_of(short, SHEET), others=others))[1]


def test_used_up_stock_says_how_many_plates_more() -> None:
    """The figure is the least that a bound shows."""
    text, hint = said(used_up(part(300, 200, quantity=9), 4, stocks_of(RIG, plate(1000, 600, quantity=2)), 3))
    assert text == "4 of 9 cannot be made: the stock is used up (sheet: 2)"
    assert hint == "add plates (at least 3 more for all parts), or make fewer"


def test_what_was_not_found_is_not_called_impossible() -> None:
    """What was searched is said, and which plate would help;
    a part that comes from no plate by itself may from one beside others.
    """
    text, hint = said(
        not_found(part(300, 200, quantity=9), 4, stocks_of(RIG, plate(90, 90, "bit"), plate(1000, 600, quantity=2)), 50)
    )
    assert text.startswith("no place was found for 4 of 9 on the plates there are (sheet: 2). Searched: 50 steps")
    assert text.endswith("is not shown")
    assert "one more sheet" in hint
    text, _ = said(not_found(part(998, 300), 1, stocks_of(RIG, SHEET), 50))
    assert text.startswith("no place was found for 1 of 1: by itself it comes from no plate")


def test_a_part_that_only_a_neighbour_saves_from_a_sliver_is_not_excluded() -> None:
    """90 of 100 leaves 8 behind a kerf of 2: a sliver, but a part of 8 fits there;
    without that part it is shown to be impossible.
    """
    sheet, wide, narrow = stocks_of(replace(RIG, narrowest_offcut=20), plate(500, 100)), part(500, 90), part(500, 8)
    assert not excluded(wide, sheet, depth=None, parts=[wide, narrow])
    assert excluded(wide, sheet, depth=None, parts=[wide])


def test_without_a_grid_only_a_part_larger_than_every_plate_is_called_impossible() -> None:
    """A tenth of a micrometre beside 2 m is more than 10^7 units; the part is as long as the plate and needs one
    cut.
    """
    sheet = stocks_of(RIG, plate(2000.0000001, 600))
    fits, large = part(2000.0000001, 300), part(2000.0000002, 300)
    assert not excluded(fits, sheet, depth=None, parts=[fits])
    assert excluded(large, sheet, depth=None, parts=[large])
    assert not excluded(Strip(name="s", width=599.9999999), sheet, depth=None, parts=[])
    assert excluded(Strip(name="s", width=600.0000001), sheet, depth=None, parts=[])
    assert not excluded(part(1000.01, 300), stocks_of(RIG, SHEET), depth=None, parts=[], rounding=0.02)


@pytest.mark.parametrize(
    ("sheet", "wanted", "possible"),
    [
        (plate(3000, 1000), part(900, 800), True),  # across in one pass; 900 mm are left for the cut along
        (plate(1000, 3000), part(900, 800), True),
        (plate(3000, 2000), part(900, 800), False),  # the first cut is of 2000 mm at least, at 283 kg
        (plate(2000, 3000), part(900, 800), False),
        (plate(1000, 2000), part(900, 2000), False),  # one cut, of 2000 mm at 94 kg
    ],
)
def test_a_plate_too_heavy_to_turn_over_may_be_cut_where_one_pass_is_enough(
    sheet: Plate, wanted: Part, possible: bool
) -> None:
    """One pass reaches 1217 mm, two 2440; 3000 x 1000 x 6 mm weigh 141 kg, and 50 kg may be turned over."""
    rig = replace(RIG, stroke=1236, turn_over_mass_max=50)
    (served,) = stocks_of(rig, sheet)
    assert (served.rules.longest_one_pass, served.rules.longest_two_pass) == (1217, 2440)
    assert Case(wanted, (served,)).possible() == possible
    assert excluded(wanted, [served], depth=None, parts=[wanted]) != possible
    assert made_by_layout(Case(wanted, (served,))) == possible


def made_by_layout(case: Case) -> bool:
    """Whether the layout itself cuts the part of a case."""
    one = replace(case.part, quantity=1)
    lengths = [one.width_as_cut, *([one.length_as_cut] if isinstance(one, Rectangle) else [])]
    kerfs = []
    for stock in case.stocks:
        lengths += [stock.plate.length, stock.plate.width, stock.rules.trim, stock.rules.narrowest_offcut]
        kerfs.append(stock.rules.kerf)
    grid = common_grid(lengths, kerfs, max(lengths))
    assert grid is not None
    problem = build_problem(grid, case.stocks, [(0, one)], (300.0, 100.0), case.depth)
    layout = lay_out(problem, [one], effort=Effort(steps=2), out_of_time=lambda: False)
    one_by_one = OneByOne(grid, case.stocks, [(0, one)], keep=(300.0, 100.0), depth=case.depth)
    patterns = one_by_one.added(layout.patterns, layout.short).patterns
    return any(leaf.part == 0 for pattern in patterns for leaf in leaves(pattern.root))


@pytest.mark.slow
@examples(100)
@given(
    rig=rigs(), wanted=parts(1), length=st.sampled_from([150.0, 500.0, 1250.0]), trim=st.sampled_from([0.0, 12.0]),
    data=st.data(), depth=st.sampled_from([None, None, 1]),
)  # fmt: skip
def test_every_change_offered_makes_the_part_possible(
    rig: Rig, wanted: Part, length: float, trim: float, data: st.DataObject, depth: int | None
) -> None:
    """Random parts, plates and rigs: what is possible, as it is or with a change done, the layout cuts."""
    stock = [data.draw(plates(n, length, priced=False)) for n in range(1, data.draw(st.integers(1, 2)) + 1)]
    case = Case(wanted, stocks_of(rig, *stock, trim=trim), depth)
    if case.possible():
        assert made_by_layout(case)
        return
    for change in offers(case):
        assert made_by_layout(change.case), worded(change.message).text
