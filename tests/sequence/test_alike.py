"""Pieces that look the same but for their place share the ways to cut them, and what is worked out once stays right."""

from __future__ import annotations

import pickle
from dataclasses import fields, replace
from functools import partial

import pytest

from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle
from stripplan.model.plate import Plate
from stripplan.model.rig import Rig
from stripplan.planner.job_layout import job_layout
from stripplan.planner.order.bench_plates import bench_plates
from stripplan.planner.order.order_of_work import OrderOfWork, light_order
from stripplan.planner.search_control import Search
from stripplan.planner.settled import settle
from stripplan.sequence import CutConditions, best_order
from stripplan.sequence.cut_options import BenchPiece, CutOption
from tests.sequence.plates import PROCESS, RIG, plate, strips

LIGHT = Effort(steps=1)


def facts(option: CutOption) -> tuple[object, ...]:
    """All that an option says, but for where its pieces lie."""
    given = tuple(getattr(option, field.name) for field in fields(option) if field.name != "piece")
    sizes = tuple(
        None if each is None else (round(each.workpiece.length, 6), round(each.workpiece.width, 6), each.errors)
        for each in (option.right, option.left)
    )
    return (
        *given, sizes, option.dress_seconds, option.unmeasured_sizes, option.loose, option.unequal_seconds,
        option.bowed_seconds, option.loss, option.piece.workpiece.edges, option.piece.mass,
    )  # fmt: skip


def rests(piece: BenchPiece, depth: int) -> list[BenchPiece]:
    """All pieces still to be cut that come of so many cuts of a piece."""
    if not depth:
        return [piece]
    products = (each for option in piece.options for each in (option.right, option.left))
    return [
        rest for each in products if each is not None and not each.workpiece.done for rest in rests(each, depth - 1)
    ]


@pytest.mark.parametrize("equal", [True, False])
def test_pieces_alike_have_the_options_that_they_would_have_alone(equal: bool) -> None:
    """Each piece with conditions of its own, which have met no other, has the same options in the same order."""
    root = strips([40.0, 60.3, 40.0, 90.1], 80)
    root = replace(root, conditions=replace(root.conditions, equal=equal))
    some = rests(root, 2)
    shared = [piece for piece in some if piece.alike is not piece]
    assert shared
    assert len({(piece.workpiece.x0, piece.workpiece.y0) for piece in shared}) > 1
    for piece in shared:
        alone = replace(piece, conditions=replace(piece.conditions))
        assert alone.alike is alone
        assert [facts(option) for option in piece.options] == [facts(option) for option in alone.options]


def test_pieces_that_differ_are_not_alike() -> None:
    """Edges, face, sizes measured or not and errors are part of the look; of errors only where parts are to be
    equal.
    """
    root = plate([40, 60])
    for other in (
        replace(root, face_up=False), replace(root, unmeasured=(False, True)), replace(root, errors=(0.0, 0.1)),
        replace(root, workpiece=replace(root.workpiece, edges=("fresh", "mill", "mill", "mill"))),
    ):  # fmt: skip
        assert other.alike is not root.alike
    free = replace(root.conditions, equal=False)
    assert replace(root, conditions=free).alike is replace(root, conditions=free, errors=(0.0, 0.1)).alike


def test_a_node_hands_over_no_hash_to_another_process() -> None:
    """Equal nodes have equal hashes; a pickled one leaves its hash behind, for strings are hashed anew in each
    process.
    """
    node = plate([40, 60]).workpiece.node
    before = hash(node)
    again = pickle.loads(pickle.dumps(node))
    assert again == node
    assert "_hash" in vars(node)
    assert "_hash" not in vars(again)
    assert hash(again) == before


def test_without_bounds_the_light_order_is_the_same() -> None:
    """Bounds are told, not used, where a light search has more than a few cuts."""
    roots = [plate([40, 60, 40, 90]), plate([90, 40, 60, 70, 40])]
    order = partial(best_order, RIG, roots, effort=LIGHT, weights={})
    with_bounds, without = order(), order(bounds=False)
    assert with_bounds.cuts == without.cuts
    assert with_bounds.least_setup > 0 == without.least_setup


def test_layouts_of_a_job_share_their_conditions_and_each_has_the_minutes_it_has_alone() -> None:
    """Plates of one kind have one record of conditions over several layouts; sharing changes no minutes."""
    job = Job(
        name="two",
        plates=(Plate(name="s", length=900, width=500, thickness=6, material="mild steel"),),
        parts=tuple(Rectangle(name=f"r{n}", width=90 + 11 * n, length=200 + 17 * n, quantity=5) for n in range(4)),
        options=Options(effort=Effort(steps=750), price_per_minute=1.0),
    )
    settled, search = settle(job, Rig(processes=(PROCESS,))), Search(job.options.effort)
    found = job_layout(settled, search)
    groups = [found.by_group[0], *(replace(found.by_group[0], patterns=each) for each in found.by_group[0].others)]
    layouts = [replace(found, by_group=(group,)) for group in groups]
    assert len(layouts) > 1
    known: list[CutConditions] = []
    for layout in layouts:
        plates = bench_plates(settled, layout, known)
        assert {id(each.to_cut.piece.conditions) for each in plates} == {id(known[0])}
    alone = [minutes(light_order(settled, layout, [], search)) for layout in layouts]
    assert [minutes(light_order(settled, layout, known, search)) for layout in layouts] == pytest.approx(alone)


def minutes(order: OrderOfWork) -> float:
    """Minutes of all cuts."""
    return sum(cut.minutes.total for cut in order.work.cuts)
