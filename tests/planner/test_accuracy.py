"""How true and how straight parts are said to come out."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from stripplan import plan
from stripplan.errors import InputError
from stripplan.model.job import Job
from stripplan.model.part import Part, Rectangle, Strip
from stripplan.model.plan.plan import Plan
from stripplan.model.plan.size_chain import SizeChain, expected_sizes
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig
from stripplan.rig.process.camber import heat_constant
from stripplan.sheets.rows.plan_rows import sheet
from tests.planned import planned

PROCESS = Process(
    name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=762, kerf_u=0.058, bevel=0.0
)  # fmt: skip
RIG = Rig(travel_max=800, processes=(PROCESS,), fence_zero=0.25, fence_step=0.5, fence_u=0.1, fence_angle=0.0)


def made(*parts: Part, rig: Rig = RIG, width: float = 300.0, length: float = 1000.0, edges: str = "mill") -> Plan:
    plate = Plate(
        name="sheet", length=length, width=width, thickness=6, material="mild steel", measured=True,
        edges=(edges,) * 4,  # type: ignore[arg-type]
    )  # fmt: skip
    return planned(Job(name="true", plates=(plate,), parts=parts), rig)


def test_a_strip_on_the_fence_is_as_true_as_its_stack_says() -> None:
    """Reading +-0.25, zero u 0.10, half a kerf u 0.029, rail +-0.15 (assumed):
    u 0.204, U = 2 u = 0.41 mm, by root sum of squares (GUM).
    """
    (line,) = made(Strip(name="bar", width=60, plus_minus=0.6)).parts
    (found,) = line.accuracy
    u = math.sqrt(0.25**2 / 3 + 0.1**2 + 0.029**2 + 0.15**2 / 3)
    assert (found.of, found.likely) == ("width", pytest.approx(2 * u, abs=0.001))
    assert found.met is True
    assert found.doubts[0].cause == "fence reading"
    assert [each.cause for each in found.doubts if each.assumed] == ["rail straightness"]


def test_a_size_that_is_not_likely_is_warned_of_with_what_to_improve() -> None:
    """A third of a millimetre asked where 0.41 is likely;
    with an allowance it is dressed to size, and nothing is said.
    """
    said = {each.code: each for each in made(Strip(name="bar", width=60, plus_minus=0.3)).warnings}
    assert "asked within ± 0.3 mm, and ± 0.4" in said["plus_minus"].text
    assert "fence reading" in said["plus_minus"].text
    dressed = made(Strip(name="bar", width=60, plus_minus=0.3, allowance=1.0))
    assert "plus_minus" not in {each.code for each in dressed.warnings}


def test_marks_far_apart_make_a_part_small_and_that_is_said() -> None:
    """A scale in 1/16 in (1.5875 mm): the mark nearest to 76.2 + 0.75 mm is 76.2 mm, so a bar of 3 in comes out 0.75 mm
    too small, within ± 0.8 mm of class c. With an allowance it is dressed to size, on a finer scale it is nearer.
    """
    coarse = replace(RIG, fence_zero=0.0, fence_step=25.4 / 16)
    bar = Rectangle(name="bar", width=76.2, length=500)
    (said,) = (each for each in made(bar, rig=coarse, width=76.2 + 100).warnings if each.code == "coarse_marks")
    assert "its width comes out 0.75 mm too small, as the fence is read to 1.5875 mm" in said.text
    for part, rig in ((replace(bar, allowance=1.0), coarse), (bar, replace(coarse, fence_step=0.5))):
        assert "coarse_marks" not in {each.code for each in made(part, rig=rig, width=176.2).warnings}


def test_between_two_settings_the_zero_cancels_and_a_whole_kerf_counts() -> None:
    """w = F2 - F1 - k: two readings, no zero, the kerf once; a cut on the far side of what was left of another."""
    plan_ = made(Strip(name="bar", width=60, quantity=3))
    pieces = {piece.id: piece for piece in plan_.pieces}
    one, two, *_ = plan_.cuts
    # The first strip falls off the far side of what stays on the fence, and so does the second.
    stays = next(name for name in one.makes if name == two.piece)
    by_hand = [replace(one, makes=(stays, None)), replace(two, makes=(None, two.makes[0] or two.makes[1]))]
    size = expected_sizes(pieces, by_hand, fence_step=0.5, fence_scale=1.0)[by_hand[1].makes[1] or ""]
    chain = size.of_y if size.of_x == SizeChain() else size.of_x
    assert (chain.fence, chain.zero, chain.kerfs, chain.plate) == (2, 0, 1.0, False)


def test_a_strip_with_one_hot_edge_bows_and_two_nearly_cancel() -> None:
    """C = 0.00556 mm at 762 mm/min (a model, not calibrated):
    2.2 mm at 1000 x 50 with one hot edge, a quarter with two.
    """
    one = made(Strip(name="bar", width=50)).parts[0].bow
    assert one is not None
    assert (one.hot_edges, one.calibrated) == (1, False)
    assert one.bow == pytest.approx(2.2, abs=0.05)
    both = made(Rectangle(name="bar", width=50, length=1000), rig=replace(RIG, processes=(PROCESS,)), width=300)
    assert both.parts[0].bow is not None
    trimmed = plan(
        Job(
            name="trimmed",
            plates=(Plate(name="sheet", length=1000, width=300, thickness=6, material="mild steel", measured=True),),
            parts=(Strip(name="bar", width=50),),
            options=replace(Job(name="x", plates=(), parts=()).options, trim=10),
        ),
        RIG,
    )
    two = trimmed.parts[0].bow
    assert two is not None
    assert (two.hot_edges, two.bow) == (2, pytest.approx(2.2 / 4, abs=0.05))


def test_a_bow_beyond_the_limit_is_warned_of_with_a_remedy() -> None:
    """1.2 mm are allowed at one metre by ISO 2768-2 L; what the part asks goes before it;
    a measured C is said to be one.
    """
    said = {each.code: each.text for each in made(Strip(name="bar", width=50)).warnings}
    assert "bar will bow by about 2.2 mm" in said["bow"]
    assert "1.2 mm are allowed" in said["bow"]
    assert "not measured on this rig" in said["bow"]
    wide = made(Strip(name="bar", width=50, straightness=6))
    assert "bow" not in {each.code for each in wide.warnings}
    calibrated = replace(RIG, processes=(replace(PROCESS, bow_constant=0.008, bow_constant_u=0.001),))
    text = {each.code: each.text for each in made(Strip(name="bar", width=50), rig=calibrated).warnings}["bow"]
    assert "about 3.2 mm" in text  # 0.008 x 20^2
    assert "as strips of this rig did" in text


def test_cuts_against_a_bowed_edge_say_what_to_do_and_for_which_pieces() -> None:
    """Strips off a plate that gets narrow: the rest bows by C (L/w)^2, and the last ones are pressed to the fence."""
    whole = made(Rectangle(name="bar", width=50, length=1000, quantity=5), width=258.0)
    bowed = [cut for cut in whole.cuts if cut.edge_bow is not None]
    assert bowed
    assert len(bowed) < len(whole.cuts)
    pieces = {piece.id: piece for piece in whole.pieces}
    for cut, row in zip(whole.cuts, sheet(whole).cuts, strict=True):
        assert row.does("press") == (cut.edge_bow is not None)
        assert not row.does("press") or row.at_the_fence[-1].startswith("PRESS its middle to the fence.")
    for cut in bowed:
        x0, y0, x1, y1 = pieces[cut.piece].box
        across = y1 - y0 if cut.line[0][1] == cut.line[1][1] else x1 - x0
        assert cut.edge_bow == pytest.approx(heat_constant(762, 1.5) * (cut.length / across) ** 2, abs=0.002)
    (said,) = [each for each in whole.warnings if each.code == "bow_at_fence"]
    assert list(said.facts["cuts"]) == [cut.number for cut in bowed]
    assert all(f"{cut.makes[0]}" in said.text for cut in bowed[:4])


def test_short_parts_and_uncut_edges_have_no_bow() -> None:
    """A square piece does not bow to speak of, and a mill edge is cold."""
    lines = made(Rectangle(name="pad", width=200, length=200), Strip(name="rest", width=290.0 - 200 + 50)).parts
    assert lines[0].bow is None


def test_parts_that_ask_how_true_they_are_are_measured_from_the_fence() -> None:
    """Dressing costs more than a setting here, so strips would fall off the far side;
    those that ask lie on the fence when they are cut.
    """
    rig = replace(RIG, seconds=replace(RIG.seconds, scrape_per_m=120, fence=10))
    parts = [Strip(name="bar", width=40, quantity=4), Strip(name="rail", width=55, quantity=2)]
    loose = made(*parts, rig=rig)
    true = made(replace(parts[0], plus_minus=1.0), parts[1], rig=rig)
    settings = [
        next(doubt.plus_minus for doubt in each.parts[0].accuracy[0].doubts if doubt.cause == "fence reading") / 0.25
        for each in (loose, true)
    ]
    assert settings[0] >= 2
    assert settings[1] == 1
    assert true.proof.minutes.bound <= true.totals.minutes
    assert loose.proof.minutes.bound == pytest.approx(true.proof.minutes.bound, rel=0.2)


def test_a_speed_that_the_dial_was_not_timed_for_is_warned_of() -> None:
    """Timed to 700 mm/min, cut at 762: the sheet can give no mark, and says so."""
    said = {
        each.code: each.text
        for each in made(Strip(name="bar", width=60), rig=replace(RIG, dial=((1, 100), (9, 700)))).warnings
    }
    assert "timed from 100 to 700" in said["dial_range"]
    assert "dial_range" not in {each.code for each in made(Strip(name="bar", width=60)).warnings}


def test_a_speed_beyond_the_rig_names_the_gearbox_that_would_serve() -> None:
    """762 mm/min on a carriage of 600: 1.27 times as fast, or another current."""
    with pytest.raises(InputError, match=r"gearbox output 1\.27 times as fast"):
        made(Strip(name="bar", width=60), rig=replace(RIG, travel_max=600))


@pytest.mark.parametrize(
    ("dial", "said"),
    [
        (((1, 100), (2, 90), (3, 200)), "mark 2 (90 mm/min) and mark 3 (200 mm/min) go another way"),
        (((1, 100), (1, 120)), "mark 1 stands twice"),
        (((1, 100), (2, 100)), "have the same speed"),
    ],
)
def test_a_dial_that_cannot_be_is_refused(dial: tuple[tuple[float, float], ...], said: str) -> None:
    """Each mark has one speed, and speeds go one way; a dial that runs backwards is one."""
    with pytest.raises(ValueError, match=re.escape(said)):
        Rig(dial=dial)
    assert Rig(dial=((1, 700), (9, 100))).dial


def test_what_is_known_to_be_wrong_counts_in_full() -> None:
    """A scale in steps of 2 mm: the nearest mark for 80.75 is 80 or 82, so the strip is some 0.75 or 1.25 off,
    and that is no matter of chance.
    """
    rig = replace(RIG, fence_zero=0.0, fence_step=2.0, fence_u=0.02, processes=(replace(PROCESS, kerf_u=0.01),))
    (line,) = made(Strip(name="bar", width=80, plus_minus=0.9), rig=rig).parts
    ((width, _),) = line.size_expected
    (found,) = line.accuracy
    assert abs(width - 80) == pytest.approx(0.75)
    assert found.likely >= 0.75
    assert found.met is False
    repeated = (
        made(Strip(name="bar", width=80, plus_minus=0.9), rig=replace(rig, fence_repeat=0.03)).parts[0].accuracy[0]
    )
    assert 0.75 + 0.06 < repeated.likely < found.likely  # set to a hair, the mark is still beside the size


def test_a_strip_that_is_hot_right_through_has_no_figure() -> None:
    """Below four tension blocks, some 26 mm at this speed, the model is void: it must be straightened."""
    said = {each.code: each.text for each in made(Strip(name="sliver", width=15)).warnings}
    assert "so narrow that it is hot right through" in said["bow"]
    assert "about" not in said["bow"].split("straightened")[0]


def test_a_length_that_is_as_the_plate_is_not_asked() -> None:
    """A strip has no length of its own to be true to."""
    plan_ = made(Strip(name="bar", width=60, plus_minus=0.3))
    assert {each.of for each in plan_.parts[0].accuracy if each.asked is not None} == {"width"}


def test_touch_time_is_that_of_the_cooling_law() -> None:
    """A strip of 50 x 6 mm of mild steel, both edges cut at 762 mm/min: 108 deg C once its heat has spread, and
    16.3 min x ln(88/28) + 18 s = 19 min in still air until it may be held; nobody knows of aluminium."""
    from stripplan.rig.accuracy.forecast import touch_minutes

    steel = Process(name="p", material="mild steel", thickness=6, kerf=1.5, travel_speed=762)
    wanted = 981 / 60 * math.log(88.4 / 28) + 18 / 60
    assert touch_minutes(steel, length=10_000, width=50, long_edges=2, ends=0) == pytest.approx(wanted, rel=0.01)
    assert touch_minutes(replace(steel, material="aluminium"), length=1000, width=50, long_edges=2, ends=0) is None
    assert touch_minutes(steel, length=1000, width=900, long_edges=1, ends=0) == 5.0
    wide, narrow = (touch_minutes(steel, length=900, width=each, long_edges=2, ends=1) or 0.0 for each in (80, 30))
    assert narrow > wide > 5
