"""Sizes to expect: hand sums over readings and kerfs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.model.job import Job
from stripplan.model.part import Rectangle
from stripplan.model.plan.size_chain import expected_sizes
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig


def test_a_kerf_that_runs_off_the_edge_still_counts_in_full() -> None:
    """99 mm from a plate of 100 with a kerf of 3: whichever side has no metal left, the part is 99, not 97 wide."""
    rig = Rig(
        narrowest_offcut=0, fence_step=0.25, square_side="equal",
        processes=(Process(name="p", material="mild steel", thickness=6, kerf=3, travel_speed=600),),
    )  # fmt: skip
    plate = Plate(name="sheet", length=400, width=100, thickness=6, material="mild steel", measured=True)
    job = Job(name="edge", plates=(plate,), parts=(Rectangle(name="a", width=99, length=400, rotate=False),))
    made = plan(job, rig)
    pieces = {piece.id: piece for piece in made.pieces}
    (part,) = (piece.id for piece in made.pieces if piece.kind == "part")
    low = replace(made.cuts[0], makes=(None, part), line=((0.0, -0.5), (400.0, -0.5)), reading_error=0.0)
    high = replace(low, makes=(part, None), line=((0.0, 100.5), (400.0, 100.5)))
    for cut in (low, high):
        size = expected_sizes(pieces, [cut], fence_step=0.25, fence_scale=1.0)[part]
        assert (size.x, size.y) == (400, 99)
    assert made.parts[0].size_expected == ((pytest.approx(99, abs=0.125), 400),)
