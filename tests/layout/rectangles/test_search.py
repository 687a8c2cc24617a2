"""Rectangles: planted layouts and the material bound."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.errors import CannotMakeError
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from tests.checking import few

RIG = Rig(
    processes=(Process(name="p", material="mild steel", thickness=6, kerf=2, travel_speed=600),), narrowest_offcut=5
)


def planted(seed: int, pieces: int) -> list[tuple[int, int]]:
    """Sizes that a 1000 x 600 plate was cut into by straight cuts with a kerf of 2, nothing left over."""
    chance, whole = random.Random(seed), [(1000, 600)]
    while len(whole) < pieces:
        whole.sort(key=lambda size: size[0] * size[1])
        length, width = whole.pop()
        if length > width:
            at = chance.randint(length // 4, length // 2)
            whole += [(at, width), (length - at - 2, width)]
        else:
            at = chance.randint(width // 4, width // 2)
            whole += [(length, at), (length, width - at - 2)]
    return whole


def job(sizes: list[tuple[int, int]], **plate: object) -> Job:
    """A job of single rectangles on 1000 x 600 plates."""
    parts = tuple(Rectangle(name=f"r{n}", length=a, width=b) for n, (a, b) in enumerate(sizes))
    stock = Plate(name="sheet", length=1000, width=600, thickness=6, material="mild steel", measured=True, **plate)  # type: ignore[arg-type]
    return Job(name="planted", plates=(stock,), parts=parts, options=Options(effort=Effort(steps=60)))


@pytest.mark.parametrize("seed", few(3, range(8)))
def test_bound_never_passes_a_planted_layout(seed: int) -> None:
    """Pieces cut from one plate without waste: the bound is 1 plate, and two at most are found."""
    made = plan(job(planted(seed, 6)), RIG)
    assert made.proof.plates.bound == 1
    assert made.totals.plates <= 2
    assert made.proof.plates.proven == (made.totals.plates == 1)


def test_too_large_and_used_up_are_told_apart() -> None:
    """A part bigger than the plate is named with the plate's size; a plate too few with the stock."""
    with pytest.raises(CannotMakeError, match="bigger than any plate: the largest is 1000 x 600"):
        plan(job([(1200, 300)]), RIG)
    with pytest.raises(CannotMakeError, match="the stock is used up"):
        plan(job([(900, 500), (900, 500)], quantity=1), RIG)


def test_cut_longer_than_the_rig_can_make_is_named() -> None:
    """Stroke 300, one pass: no cut across a 1000 x 600 plate can be made."""
    short = Rig(stroke=300, two_pass=False, processes=RIG.processes)
    with pytest.raises(CannotMakeError, match="no cut that it needs across its plates is within the 282 mm"):
        plan(job([(500, 300)]), short)


@pytest.mark.long
@pytest.mark.parametrize("seed", few(2, range(6)))
def test_no_part_is_lost_among_alike_rectangles(seed: int) -> None:
    """Many alike parts leave many alike free rectangles: each part is still made exactly once."""
    parts = (
        Rectangle(name="a", width=100, length=200, quantity=9),
        Rectangle(name="b", width=90, length=90, quantity=12),
        Rectangle(name="c", width=60, length=90, quantity=12),
    )
    stock = Plate(name="sheet", length=640, width=420, thickness=6, material="mild steel")
    alike = Job(name="alike", plates=(stock,), parts=parts, options=Options(effort=Effort(seed=seed, steps=30)))
    assert [line.made for line in plan(alike, RIG).parts] == [9, 12, 12]


@pytest.mark.long
@pytest.mark.parametrize(
    ("length", "kerf", "sizes"),
    [
        (1000.2, 1.6, [(87, 192, 3), (132, 161, 3), (62, 161, 1), (30, 159, 4)]),
        (640, 1.6, [(225, 36, 2), (227, 146, 3), (131, 135, 3), (196, 77, 4)]),
        (803.4, 0.8, [(214, 91, 3), (169, 58, 3), (233, 78, 3), (191, 145, 2)]),
        (1000.2, 2.2, [(28, 55, 2), (224, 125, 2), (108, 132, 1), (28, 159, 4)]),
    ],
)
def test_little_room_beyond_the_torch_with_marked_cuts(
    length: float, kerf: float, sizes: list[tuple[int, int, int]]
) -> None:
    """Pieces come apart as they were laid out, so no cut is left that cannot be located on the rig."""
    rig = replace(RIG, far_max=150.0, narrowest_offcut=0.0, processes=(replace(RIG.processes[0], kerf=kerf),))
    parts = tuple(Rectangle(name=f"r{n}", length=a, width=b, quantity=q) for n, (a, b, q) in enumerate(sizes))
    stock = Plate(name="sheet", length=length, width=300.6, thickness=6, material="mild steel")
    made = plan(Job(name="narrow", plates=(stock,), parts=parts, options=Options(effort=Effort(steps=20))), rig)
    assert [line.made for line in made.parts] == [quantity for *_, quantity in sizes]
