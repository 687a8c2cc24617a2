"""The order of work against every order there is, on tiny jobs: nothing cheaper, and no bound above it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given
from hypothesis import strategies as st

from stripplan.model.cut_rules import CutRules
from stripplan.model.effort import Effort
from stripplan.model.pattern import Blank, Leaf, Node
from stripplan.model.rig import Process, Rig, Seconds
from stripplan.model.workpiece import uncut
from stripplan.rig.machine.setting import longest_one_pass, longest_two_pass
from stripplan.sequence import best_order
from stripplan.sequence.bench import cuts_of
from stripplan.sequence.conditions import CutConditions
from stripplan.sequence.cut_options import BenchPiece
from tests.checking import examples
from tests.sequence.every_order import least_seconds

KERF = 2.0
PROCESS = Process(name="p", material="mild steel", thickness=6, kerf=KERF, travel_speed=600)
OTHER = Process(name="q", material="mild steel", thickness=8, kerf=KERF, travel_speed=600)


@st.composite
def nodes(draw: st.DrawFn, length: float, width: float, depth: int, along: bool) -> Node:
    """A rectangle cut up at random, siblings alike now and then, ends of scrap now and then."""
    size, other = (width, length) if along else (length, width)
    if depth == 0 or size < 40 or draw(st.integers(0, 3)) == 0:
        return Leaf("part", length, width, draw(st.integers(0, 2)))

    def oblong(extent: float) -> tuple[float, float]:
        return (other, extent) if along else (extent, other)

    low = high = None
    if draw(st.integers(0, 4)) == 0:
        low, size = Leaf("scrap", *oblong(6.0)), size - 6 - KERF
    children: list[Node] = []
    each = draw(st.sampled_from([14.0, 20.0, 24.0]))
    while len(children) < draw(st.sampled_from([1, 2, 3])) and size > each + KERF + 12:
        children.append(draw(nodes(*oblong(each), depth - 1, not along)))
        size -= each + KERF
        if draw(st.booleans()):
            each = draw(st.sampled_from([14.0, 20.0, 24.0]))
    if draw(st.booleans()):
        high = Leaf("scrap", *oblong(size))
    else:
        children.append(draw(nodes(*oblong(size), depth - 1, not along)))
    return Blank(length, width, "along" if along else "across", tuple(children), low, high)


seconds = st.sampled_from([0.0, 5.0, 20.0, 45.0])


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    """Set-ups dear and cheap; strokes for one pass and two; scales coarse and fine."""
    return Rig(
        stroke=draw(st.sampled_from([2100.0, 110.0])), end_stop_min=20,
        end_stop_step=draw(st.sampled_from([5.0, 20.0])),
        overrun_max=draw(st.sampled_from([8.0, 60.0])), fence_min=draw(st.sampled_from([0.0, 12.0, 18.0])),
        fence_max=draw(st.sampled_from([60.0, 1300.0])), fence_step=draw(st.sampled_from([0.5, 1.0, 40.0])),
        travel_max=1e9, processes=(PROCESS, OTHER),
        seconds=Seconds(
            fence=draw(seconds), end_stop=draw(seconds), quarter_turn=draw(seconds), turn_over=draw(seconds),
            fetch=draw(seconds), push=draw(seconds), clear=draw(seconds), process=draw(seconds),
            scrape_each=draw(st.sampled_from([0.0, 4.0])), scrape_per_m=draw(st.sampled_from([0.0, 45.0, 400.0])),
            per_kg=draw(st.sampled_from([0.0, 0.6, 20.0])),
            fence_per_mm=draw(st.sampled_from([0.0, 0.1])), end_stop_per_mm=draw(st.sampled_from([0.0, 0.1])),
        ),
    )  # fmt: skip


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Rig, list[BenchPiece]]:
    """One or two plates of at most six cuts together:
    what may go wrong goes wrong with few, and trying everything takes seconds.
    """
    rig = draw(rigs())
    rules = CutRules(
        kerf=KERF, longest_one_pass=longest_one_pass(rig), longest_two_pass=longest_two_pass(rig), narrowest_offcut=5,
        fence_min=rig.fence_min, fence_max=rig.fence_max, marked=True, areal_mass=6 * 7850e-9,
    )  # fmt: skip
    asked = draw(st.sampled_from([(), (), (True, False, True)]))
    sized = (True, True), (True, False), (False, False)
    limits = draw(st.sampled_from([(), ((0.3, 0.3), (1.0, 0.2), (0.5, 0.5))]))
    conditions_of = [
        CutConditions(rig, rules, each, sized, asked, limits, draw(st.sampled_from([0.0, 0.1])))
        for each in draw(st.sampled_from([(PROCESS,), (PROCESS, OTHER)]))
    ]
    roots, left = [], 6
    for _ in range(draw(st.integers(1, 2))):
        node = draw(nodes(90.0, draw(st.sampled_from([60.0, 90.0])), 3, draw(st.booleans())))
        if isinstance(node, Blank) and 0 < cuts_of(node) <= left:
            left -= cuts_of(node)
            edge = draw(st.sampled_from(["mill", "fresh"]))
            conditions = draw(st.sampled_from(conditions_of))
            roots.append(BenchPiece(conditions, uncut(node, (edge,) * 4), True, (draw(st.booleans()),) * 2))  # type: ignore[arg-type]
    return rig, roots


@examples(4, suppress_health_check=list(HealthCheck))
@given(job=jobs(), weights=st.sampled_from([{}, {}, {"fence": 10.0}, {"fetch": 3.0, "quarter_turn": 3.0}]))
def test_the_least_of_all_orders_is_found_and_proven(
    job: tuple[Rig, list[BenchPiece]], weights: dict[str, float]
) -> None:
    """Up to six cuts on up to two plates: the seconds are the least there are, and the bound meets them."""
    rig, roots = job
    assume(roots)
    truth = least_seconds(rig, roots, weights)
    found = best_order(rig, roots, effort=Effort(), weights=weights)
    assert abs(found.seconds - truth) < 1e-3
    assert found.least <= truth + 1e-3
    assert found.proven
    begun = best_order(rig, roots, effort=Effort(stop_after=0, steps=0), weights=weights, out_of_time=lambda: True)
    assert begun.least <= truth + 1e-3
    unasked = [
        BenchPiece(replace(piece.conditions, asked=(), equal=False), piece.workpiece, piece.face_up, piece.unmeasured)
        for piece in roots
    ]
    plain = least_seconds(rig, unasked, {})
    assert found.least_setup <= plain + 1e-3


@pytest.mark.slow
@examples(6, suppress_health_check=list(HealthCheck))
@given(job=jobs())
def test_no_order_has_fewer_fence_settings_than_the_bound(job: tuple[Rig, list[BenchPiece]]) -> None:
    """With nothing but fence settings to pay for, the least of all orders counts them."""
    rig, roots = job
    assume(roots)
    only = replace(
        rig,
        seconds=Seconds(
            fence=1, fence_per_mm=0, end_stop=0, end_stop_per_mm=0, quarter_turn=0, turn_over=0, fetch=0, push=0,
            clear=0,
            scrape_each=0, scrape_per_m=0, per_kg=0, process=0,
        ),
    )  # fmt: skip
    free = [
        BenchPiece(replace(piece.conditions, rig=only, equal=False), piece.workpiece, piece.face_up, (False, False))
        for piece in roots
    ]
    least_settings = best_order(rig, roots, effort=Effort(steps=0), weights={}).least_settings
    marked_count_too = least_seconds(only, free, {})
    assert least_settings <= marked_count_too + 1e-6
