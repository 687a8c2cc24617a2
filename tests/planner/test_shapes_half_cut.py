"""Jobs with straight-sided shapes that are stopped half-way: what goes onto the rack, what the rest is made from."""

from __future__ import annotations

import pytest

from stripplan import plan
from stripplan.errors import CannotMakeError
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Shape
from stripplan.model.plan.progress import CutProgress
from stripplan.model.plate import Plate
from stripplan.model.rack.keep import KeepRule
from stripplan.model.rack.outcome import outcome
from stripplan.planner.rest_of_job import rest_of_job, what_changed
from tests.replay.aslant_by_hand import trapezia

TWO_CUTS = CutProgress(done=frozenset({1, 2}))


def test_a_piece_with_slanted_edges_goes_onto_the_rack_as_its_largest_rectangle() -> None:
    """Of 355.54 x 80 mm with one end at 60 degrees 309.35 x 80 mm lie between its square end and the inner corner of
    the other: 511.088059 - 201.732051. Where more is asked for it is scrap. No area is lost.
    """
    for least, kind in ((300.0, "offcut"), (320.0, "scrap")):
        made = outcome(trapezia(), "0a1b2c3d", [KeepRule(size=(least, 60.0))], TWO_CUTS)
        (blank,) = (each for each in made.left if each.piece == "P1-5")
        assert (blank.kind, blank.length, blank.width) == (kind, 309.3, 80.0)
        assert (blank.offcut is None) == (kind == "scrap")
        if blank.offcut is not None:
            assert (blank.offcut.edges, blank.offcut.area) == (("cut",) * 4, pytest.approx(blank.area))
            assert min(x for x, _ in blank.offcut.outline) == min(y for _, y in blank.offcut.outline) == 0
        assert sum(made.area(each) for each in ("part", "offcut", "scrap")) + made.kerf_area == pytest.approx(
            made.plate_area
        )
        assert 0 < made.kerf_area < 1.5 * 2 * 93


def test_the_rest_of_a_job_takes_no_slanted_piece_for_a_plate() -> None:
    """Two of three are still wanted, by the outline that was asked for; the half cut row is named, and is no plate."""
    plan = trapezia()
    table = {"name": "feet", "part": [{"name": "foot", "quantity": 3, "outline": [["0 mm", "0 mm"]]}], "plate": []}
    rest = rest_of_job(plan, table, TWO_CUTS)
    assert rest["plate"] == []
    assert rest["part"] == [{"name": "foot", "quantity": 2, "outline": [["0 mm", "0 mm"]]}]
    assert [each.facts["pieces"] for each in what_changed(plan, TWO_CUTS) if each.code == "rest_slanted"] == [("P1-5",)]
    listed = rest_of_job(plan, {**table, "cut_list": "feet.csv"}, TWO_CUTS)
    assert listed["part"][0]["outline"][1] == ["200 mm", "0 mm"]
    assert not {"width", "length"} & set(listed["part"][0])


def test_a_wedge_too_narrow_for_the_torch_gave_a_key_error() -> None:
    """A needle that lies aslant in its box: twice its area, 300 x 206 - 200 x 296 mm2, over its longest edge, 360.6 mm,
    is 7.21 mm; of 8 mm plate 12 mm are the least.
    """
    plate = Plate(name="sheet", length=1000, width=500, thickness=8, material="mild steel")
    wedge = Shape(name="wedge", outline=((0.0, 0.0), (300.0, 200.0), (296.0, 206.0)))
    with pytest.raises(CannotMakeError, match=r"at its narrowest it is 7\.2\d* mm as cut.*saw it"):
        plan(Job(name="wedges", plates=(plate,), parts=(wedge,), options=Options(effort=Effort(steps=1))), load_rig())
