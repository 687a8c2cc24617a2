"""Heavy plate is not turned over between two passes: what layout makes of it, and what it says where it cannot."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.errors import CannotMakeError
from stripplan.layout.rectangles.search_task import SearchStock
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.limits import cut_rules
from stripplan.rig.machine.setting import longest_one_pass
from tests.checking import examples
from tests.legal_cuts import lies_on_rig

RIG = Rig(stroke=1300, processes=(Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600),))
SHEET = Plate(name="sheet", length=2000, width=1000, thickness=6, material="mild steel")
LONG, SMALL = Strip(name="long", width=80, quantity=2), Rectangle(name="small", width=100, length=300, quantity=8)


def job(*parts: Part, plate: Plate = SHEET) -> Job:
    return Job(name="heavy", plates=(plate,), parts=parts, options=Options(effort=Effort(steps=6)))


def test_a_heavy_sheet_is_cut_across_first() -> None:
    """2000 x 1000 x 6 mm weighs 94.2 kg, above twice 25:
    no cut of 2000 mm while it is whole, and small parts come out all the same.
    """
    made = plan(job(SMALL), RIG)
    masses = {piece.id: piece.mass for piece in made.pieces}
    assert masses[made.plates[0].id + "-1"] == pytest.approx(94.2)
    assert all(masses[cut.piece] <= 50 for cut in made.cuts if len(cut.passes) == 2)
    assert made.cuts[0].length <= longest_one_pass(RIG)


def test_a_strip_of_a_heavy_sheet_is_refused_with_mass_limit_and_ways_out() -> None:
    """The refusal names 94 kg, 50 kg, the 1282 mm that one pass cuts (1300 - 10 - 8) and a hoist;
    with a hoist it is made.
    """
    with pytest.raises(CannotMakeError) as caught:
        plan(job(LONG), RIG)
    said = str(caught.value)
    assert "part long" in said
    for words in ("94 kg", "above 50 kg", "the longest plate that one pass cuts is 1282 mm", "hoist = true"):
        assert words in said
    assert plan(job(LONG), replace(RIG, hoist=True)).parts[0].made == 2
    assert plan(job(LONG), replace(RIG, turn_over_mass_max=95)).parts[0].made == 2
    assert plan(job(LONG, plate=replace(SHEET, width=500)), RIG).parts[0].made == 2  # 47.1 kg


def test_one_pass_has_no_such_limit() -> None:
    """A heavy plate that one pass crosses is not turned over."""
    rules = cut_rules(RIG, SHEET, RIG.processes[0])
    assert lies_on_rig(rules, 1282, 2000)
    assert not lies_on_rig(rules, 1283, 2000)
    assert lies_on_rig(rules, 2000, 50 / (2000 * 6 * 7850e-9) - 0.01)
    assert not lies_on_rig(rules, 2000, 50 / (2000 * 6 * 7850e-9) + 0.01)


def test_search_and_legal_agree_to_the_unit() -> None:
    """A board of the search turns over what `legal` turns over."""
    from stripplan.layout.grid import common_grid
    from stripplan.layout.problem import Stock, build_problem
    from stripplan.layout.rectangles.search import task_of

    stock = Stock(0, SHEET, cut_rules(RIG, SHEET, RIG.processes[0]), 1.0)
    grid = common_grid([2000, 1000, 100, 300, 5], [1.5], 2000)
    assert grid is not None
    board: SearchStock = task_of(build_problem(grid, [stock], [(0, SMALL)], (300, 100), None)).stocks[0]
    unit = float(grid.unit)
    assert board.turnable is not None
    for across in range(525, 536):
        assert (2000 * across / unit**2 <= board.turnable) == lies_on_rig(stock.rules, 2000, across)


@examples(12)
@given(
    sizes=st.lists(st.tuples(st.integers(5, 40), st.integers(10, 90), st.integers(1, 5)), min_size=1, max_size=4),
    stroke=st.sampled_from([500.0, 800.0]),
    limit=st.sampled_from([5.0, 12.0, 25.0]),
)
def test_no_plan_turns_over_more_than_may_be(sizes: list[tuple[int, int, int]], stroke: float, limit: float) -> None:
    """Whatever engine lays out: each plan passes the replay,
    which looks at the mass of every piece that is turned over between two passes.
    """
    rig = replace(RIG, stroke=stroke, turn_over_mass_max=limit)
    parts = tuple(
        Rectangle(name=f"part {number}", width=10 * width, length=10 * length, quantity=count)
        for number, (width, length, count) in enumerate(sizes)
    )
    try:
        made = plan(job(*parts, plate=replace(SHEET, length=1200, width=900)), rig)
    except CannotMakeError:
        return
    masses = {piece.id: piece.mass for piece in made.pieces}
    assert all(masses[cut.piece] <= limit + 1e-6 for cut in made.cuts if len(cut.passes) == 2)
