"""The replay finds what is wrong with a plan: sound plans pass, each kind of mistake is named."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan import plan
from stripplan.files.rig.read import load_rig
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.record import from_record, to_record
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.replay.verdict import replay
from tests.checking import examples

PROCESS = Process(
    name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=600, current=40, duty=((40, 50),)
)


@cache
def specimen() -> Plan:
    """Strips and rectangles in two stages, trims, an offcut, a part with square edges, two-pass cuts."""
    rig = Rig(stroke=1203, processes=(PROCESS,))
    job = Job(
        name="specimen",
        plates=(Plate(name="sheet", length=1500, width=700, thickness=6, material="mild steel"),),
        parts=(
            Strip(name="bar", width=50, quantity=3),
            Rectangle(name="plate", width=120, length=300, quantity=3),
            Rectangle(name="square one", width=80, length=200, square="long"),
        ),
        options=Options(trim=10),
    )
    return plan(job, rig)


def codes(made: Plan) -> set[str]:
    """Codes of all findings; each has a sentence."""
    findings = replay(made)
    assert all(each.text.endswith(".") and each.about for each in findings)
    return {each.code for each in findings}


def with_cut(number: int, **changes: object) -> Plan:
    """The specimen with one cut changed."""
    made = specimen()
    cuts = list(made.cuts)
    cuts[number - 1] = replace(cuts[number - 1], **changes)  # type: ignore[arg-type]
    return replace(made, cuts=tuple(cuts))


def first(**wanted: object) -> int:
    """Number of the first cut with such attributes."""
    return next(c.number for c in specimen().cuts if all(getattr(c, key) == value for key, value in wanted.items()))


def test_sound_plan_has_no_finding() -> None:
    """The specimen has two-pass cuts, dressed edges and several readings, and nothing is wrong with it."""
    made = specimen()
    assert any(len(cut.passes) == 2 for cut in made.cuts)
    assert any(cut.setup.dress for cut in made.cuts)
    assert not replay(made)


def test_fence_offset_off_by_a_millimetre() -> None:
    """A wrong offset takes the torch elsewhere: line and reading no longer agree with it,
    and nothing else is blamed.
    """
    number = first(located="fence")
    found = codes(with_cut(number, fence_offset=specimen().cuts[number - 1].fence_offset + 1))  # type: ignore[operator]
    assert found == {"line", "reading"}


def test_reading_a_mark_off() -> None:
    """A reading that is not the nearest mark is named."""
    number = first(located="fence")
    cut = specimen().cuts[number - 1]
    assert "reading" in codes(with_cut(number, fence_reading=cut.fence_reading + 1))  # type: ignore[operator]


def test_undressed_datum() -> None:
    """A freshly cut edge on the fence or at the start line without dressing is named."""
    number = next(c.number for c in specimen().cuts if c.setup.dress)
    setup = replace(specimen().cuts[number - 1].setup, dress=())
    assert {"datum_fresh", "leading_fresh"} & codes(with_cut(number, setup=setup))


def test_swapped_products() -> None:
    """Fence side and far side exchanged: both outlines are wrong."""
    number = next(c.number for c in specimen().cuts if None not in c.makes)
    right, left = specimen().cuts[number - 1].makes
    assert "outline" in codes(with_cut(number, makes=(left, right)))


def test_face_the_wrong_way() -> None:
    """The piece lying on its other face puts the fence on the left of the travel."""
    cut = specimen().cuts[0]
    passes = tuple(replace(each, face_up=not each.face_up) for each in cut.passes)
    assert codes(with_cut(1, passes=passes))


def test_end_stop_short() -> None:
    """A stop short of lead-in, cut and overrun leaves the strip hanging on."""
    single = [c for c in specimen().cuts if len(c.passes) == 1]  # one stop may serve several: the longest of these
    number = min(single, key=lambda c: c.passes[0].end_stop - c.passes[0].length).number
    one = specimen().cuts[number - 1].passes[0]
    assert "end_stop" in codes(with_cut(number, passes=(replace(one, end_stop=one.end_stop - 20),)))


def test_cut_in_a_piece_that_is_not_there() -> None:
    """Two cuts exchanged in the order of work: the later piece does not exist yet."""
    made = specimen()
    cuts = list(made.cuts)
    cuts[0], cuts[-1] = replace(cuts[-1], number=1), replace(cuts[0], number=len(cuts))
    assert "no_piece" in codes(replace(made, cuts=tuple(cuts)))


def test_part_too_narrow() -> None:
    """A job that asks for wider strips than were cut."""
    made = specimen()
    parts = (replace(made.job.parts[0], width=52.0), *made.job.parts[1:])
    assert "size" in codes(replace(made, job=replace(made.job, parts=parts)))


def test_square_edge_on_the_bevelled_side() -> None:
    """The same plan on a rig whose other side is square."""
    made = specimen()
    assert "square" in codes(replace(made, rig=replace(made.rig, square_side="far")))


def test_limits_of_the_rig() -> None:
    """A lesser rig cannot make the plan: stroke, reach, mass, two passes, slivers, duty are each named."""
    made = specimen()
    lesser = {
        "stroke": 400, "fence_max": 100, "piece_mass_max": 5, "two_pass": False, "narrowest_offcut": 60,
        "bed_length": 300,
    }  # fmt: skip
    codes_of = {"stroke", "reach", "piece_mass", "two_pass", "sliver", "bed"}
    assert codes_of <= codes(replace(made, rig=replace(made.rig, **lesser)))
    process = replace(made.rig.processes[0], duty=((40.0, 1.0),))
    assert "duty" in codes(replace(made, rig=replace(made.rig, processes=(process,))))


@pytest.mark.long
def test_square_parts_of_a_strip_as_wide_as_they_are() -> None:
    """A square piece may lie either way; where no cut makes one of its sizes, that says nothing of how true it is."""
    common = {"thickness": 6, "material": "mild steel", "offcut": True}
    plates = (
        Plate(name="strip", length=1000, width=170, **common),  # type: ignore[arg-type]
        Plate(name="bit", length=420, width=420, **common),  # type: ignore[arg-type]
    )
    tile = Rectangle(name="tile", width=170, length=170, quantity=7)
    job = Job(name="tiles", plates=plates, parts=(tile,), options=Options(effort=Effort(steps=2)))
    made = plan(job, load_rig(Path(__file__).parents[1] / "benchmarks" / "rig.toml"))
    assert [line.made for line in made.parts] == [7]


def test_proof_that_is_none() -> None:
    """A bound above what was found, or a proof without a bound, is named."""
    made = specimen()
    plates = replace(made.proof.plates, bound=made.proof.plates.found + 1)
    assert "proof" in codes(replace(made, proof=replace(made.proof, plates=plates)))


@pytest.mark.parametrize("key", ["plates", "pieces", "cuts", "parts"])
def test_a_list_that_is_gone(key: str) -> None:
    """A plan without its plates, pieces, cuts or parts is no sound plan, and nothing crashes."""
    assert codes(replace(specimen(), **{key: ()}))


def test_number_that_is_none() -> None:
    """Not-a-number is said, once."""
    assert codes(with_cut(1, length=float("nan"))) == {"number"}


def _numbers(value: object, path: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
    if isinstance(value, dict):
        return [found for key, each in value.items() for found in _numbers(each, (*path, key))]
    if isinstance(value, list):
        return [found for n, each in enumerate(value) for found in _numbers(each, (*path, n))]
    return [path] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


GEOMETRY = {
    "outline",
    "line",
    "fence_offset",
    "fence_reading",
    "reading_error",
    "end_stop",
    "kerf",
    "mass",
    "number",
    "made",
}
"""Figures of which none may be changed unnoticed."""


@examples(40)
@given(data=st.data())
def test_any_changed_figure_is_noticed(data: st.DataObject) -> None:
    """Change one figure of the geometry, the settings or the counts by 3: something is found."""
    record = to_record(specimen())
    paths = [
        path
        for key in ("pieces", "cuts", "parts")
        for path in _numbers(record[key], (key,))
        if GEOMETRY & set(map(str, path))
    ]
    path = data.draw(st.sampled_from(paths))
    inner = record
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] += 3
    assert replay(from_record(Plan, record))
