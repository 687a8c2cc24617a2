"""Few plates of different sizes: what they hold is found plate by plate, and no more is said than is known."""

from __future__ import annotations

import math

import pytest

from stripplan import Job, Plate, Rig, Shape, plan
from stripplan.errors import CannotMakeError
from stripplan.files.parts.named_shapes import mitred
from stripplan.model.effort import Effort
from stripplan.model.job import Options
from stripplan.model.rig import Process

KERF = 1.7
RIG = Rig(processes=(Process(name="steel 8", material="mild steel", thickness=8, kerf=KERF, travel_speed=500),))
QUICK = Options(effort=Effort(steps=2))
PAIR = 120 + KERF * math.sqrt(2)
"""Two gussets that share the cut of their slanted edges: a kerf at 45 degrees takes k / sin 45 of the length."""


def blank(name: str, length: float, width: float) -> Plate:
    """A blank that lies there once."""
    return Plate(
        name=name, length=length, width=width, thickness=8, material="mild steel", quantity=1,
        edges=("cut", "cut", "cut", "cut"),
    )  # fmt: skip


def gusset(quantity: int) -> Shape:
    """A right-angled triangle."""
    return Shape(name="gusset", outline=((0, 0), (120, 0), (0, 120)), quantity=quantity)


def job(parts: tuple[Shape, ...], *plates: Plate) -> Job:
    """A small job."""
    return Job(name="small", plates=plates, parts=parts, options=QUICK)


def test_blanks_that_were_cut_to_rows_hold_them_once_more() -> None:
    """Three blanks, each just as long as its row, to a millionth of a millimetre: one of six gussets, one of two, one
    of two braces that share a cut. All parts are made, a row out of each."""
    brace = Shape(name="brace", outline=mitred(500, 50, (45, 60), "long"), quantity=2)
    # Of two braces head to tail the 60 degree ends share a cut: 1 / sin 60 of the kerf, less the slant of one end.
    braces = 1000 - 50 / math.tan(math.radians(60)) + KERF / math.sin(math.radians(60))
    found = plan(
        job(
            (gusset(8), brace),
            blank("six", round(3 * PAIR + 2 * KERF + 4e-4, 6), 120),
            blank("two", round(PAIR + 8e-4, 6), 120),
            blank("braces", round(braces + 1e-4, 6), 50),
        ),
        RIG,
    )
    there = {plate.id: plate.stock for plate in found.plates}
    fallen = [(there[piece.plate], piece.part) for piece in found.pieces if piece.kind == "part"]
    assert sorted(fallen) == [("braces", "brace")] * 2 + [("six", "gusset")] * 6 + [("two", "gusset")] * 2


def test_only_what_is_shown_cannot_be_made() -> None:
    """A bar 374 x 120: five gussets come out of it, what is over falls beside the last slanted edge. Of six, which it
    holds by area (43 200 mm2 of 44 880 mm2), no place is found for one. Of six from a bar that two pairs fill two
    cannot be made: four have 28 800 mm2 of its 29 530 mm2."""
    bar, just = blank("bar", 374, 120), blank("bar", math.ceil(1000 * (2 * PAIR + KERF)) / 1000, 120)
    assert [line.made for line in plan(job((gusset(5),), bar), RIG).parts] == [5]
    for plate, code, words in (
        (bar, "not_found", "no place was found for 1 of 6"),
        (just, "stock_used_up", "2 of 6 cannot be made"),
    ):
        with pytest.raises(CannotMakeError) as stopped:
            plan(job((gusset(6),), plate), RIG)
        (fault,) = stopped.value.faults
        assert fault.code == code
        assert words in str(stopped.value)
