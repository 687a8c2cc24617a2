"""What would make a strip bow less: which remedies there are, what they leave, which are left out."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.rig.accuracy import remedies
from stripplan.rig.process import camber
from stripplan.rig.process import heat as strip_heat
from tests.rig.process.test_camber import PLASMA, lengths, widths


@given(
    length=lengths,
    width=widths,
    edges=st.sampled_from([(PLASMA, 0.0), (0.0, PLASMA), (PLASMA, PLASMA), (PLASMA, 2 * PLASMA)]),
    limit=st.none() | st.floats(0.1, 5),
    count=st.integers(1, 4),
    wide=st.none() | st.floats(1, 8),
    pause=st.floats(0, 300),
)
def test_remedies_lower_the_estimate(
    length: float,
    width: float,
    edges: tuple[float, float],
    limit: float | None,
    count: int,
    wide: float | None,
    pause: float,
) -> None:
    """Each one named lowers bow and heat together, says its figure, and keeps the limit where it says so."""
    from_width = None if wide is None else width * wide
    found = remedies.remedies(
        length, width, edges, kerf=1.5, limit=limit, count=count, from_width=from_width, pause=pause
    )
    estimate = camber.bow(length, width, edges)
    warm = 0.0 if from_width is None else strip_heat.warm_bow(length, from_width, max(edges), pause)
    allowed = camber.straightness_limit(length, limit).value
    assert allowed is not None
    if estimate.high + warm <= allowed and not estimate.beyond_model:
        assert found == ()
    for each in found:
        assert each.bow < estimate.bow + warm
        assert each.meets == (each.bow <= allowed + 1e-9)
        assert re.search(r"\d mm", each.text)
    assert len({each.kind for each in found}) == len(found)


def kinds(found: Sequence[remedies.Remedy]) -> list[str]:
    """The remedies by their kind."""
    return [each.kind for each in found]


def test_remedies_of_a_strip_with_a_mill_edge() -> None:
    """1000 x 50 with one hot edge, limit 1.2 mm: trim, inside and pairs bring 0.56 mm, 69 mm width brings 1.17 mm."""
    found = remedies.remedies(1000, 50, (PLASMA, 0), kerf=1.5, count=2)
    assert kinds(found) == ["trim", "inside", "pair", "wider"]
    assert [each.bow for each in found] == pytest.approx([0.556, 0.556, 0.556, 1.167], abs=0.002)
    assert all(each.meets for each in found)
    assert "a blank of 101.5 mm" in found[2].text
    assert found[3].text == "Make it wider: from 69 mm on about 1.2 mm is kept (97 mm for the high end of the range)."


def test_no_pairs_of_one_strip() -> None:
    """A pair takes two."""
    assert "pair" not in kinds(remedies.remedies(1000, 50, (PLASMA, 0), kerf=1.5))


def test_no_second_edge_where_both_are_hot() -> None:
    """A strip from the inside of the plate: only more width is left to advise, and nothing where the limit is kept."""
    assert kinds(remedies.remedies(2500, 50, (PLASMA, PLASMA), kerf=1.5)) == ["wider"]
    assert remedies.remedies(1000, 50, (PLASMA, PLASMA), kerf=1.5) == ()
    assert remedies.remedies(1000, 50, (0, 0), kerf=1.5) == ()


def test_no_trim_where_all_of_the_bow_would_stay() -> None:
    """Residue 1: a second hot edge brings nothing, so it is not advised."""
    assert kinds(remedies.remedies(1000, 50, (PLASMA, 0), kerf=1.5, count=2, residue=1)) == ["wider"]


def test_wait_between_cuts() -> None:
    """A strip from a rest of 150 mm, cut 20 s after the last: the wait leaves a tenth of the limit, and not much
    less."""
    found = remedies.remedies(1500, 60, (PLASMA, PLASMA), kerf=1.5, limit=1.0, from_width=150, pause=20)
    cool = next(each for each in found if each.kind == "cool")
    seconds = 60 * int(re.search(r"cuts: (\d+) min after", cool.text)[1])
    assert strip_heat.warm_bow(1500, 150, PLASMA, seconds) <= 0.1
    assert strip_heat.warm_bow(1500, 150, PLASMA, seconds - 60) > 0.1
    assert strip_heat.warm_bow(1500, 150, PLASMA, 20) == pytest.approx(1.24, abs=0.01)  # worked by hand: 0.748 x 1.659
    assert "in place of 1.24 mm" in cool.text


def test_wider_strip_from_a_warm_plate() -> None:
    """The limit is named as it was asked; what heat takes of it is said, and the width leaves room for it."""
    wider = remedies.remedies(1000, 50, (PLASMA, 0), kerf=1.5, from_width=150, pause=20)[-1]
    warm = strip_heat.warm_bow(1000, 150, PLASMA, 20)
    assert wider.text.startswith("Make it wider: from 93 mm on about 1.2 mm is kept, 0.55 mm of it bent by heat")
    assert camber.bow(1000, 93, (PLASMA, 0)).bow + warm <= 1.2 < camber.bow(1000, 92, (PLASMA, 0)).bow + warm


def test_cold_plate_needs_no_wait() -> None:
    """After an hour, or where nothing is said of the cut before, waiting is not advised."""
    edges = (PLASMA, PLASMA)
    assert "cool" not in kinds(remedies.remedies(1500, 60, edges, kerf=1.5, limit=0.5, from_width=150, pause=3600))
    assert "cool" not in kinds(remedies.remedies(1500, 60, edges, kerf=1.5, limit=0.5))


def test_air_cools_too() -> None:
    """With the thickness given the plate's slope of heat falls faster."""
    assert strip_heat.warm_bow(1500, 400, PLASMA, 600, thickness=6) < strip_heat.warm_bow(1500, 400, PLASMA, 600)


def test_beyond_the_model_only_width_helps() -> None:
    """A strip of 20 mm is hot right through: figures for its edges would say nothing."""
    assert kinds(remedies.remedies(1000, 20, (PLASMA, 0), kerf=1.5, count=2)) == ["wider"]
    (longer,) = remedies.remedies(3500, 20, (PLASMA, 0), kerf=1.5)
    assert "below 27 mm" in longer.text
    assert longer.meets is None


def test_without_a_limit_bow_is_still_lowered() -> None:
    """Above 3 m ISO 2768-2 has no figure: the remedies stand without a verdict, and no width can be named."""
    found = remedies.remedies(3500, 60, (PLASMA, 0), kerf=1.5)
    assert kinds(found) == ["trim", "inside"]
    assert {each.meets for each in found} == {None}


def test_only_the_high_end_breaks_the_limit() -> None:
    """Estimate inside, high end outside: the width named keeps the high end."""
    found = remedies.remedies(1000, 80, (PLASMA, 0), kerf=1.5, limit=1.2)
    assert found[-1].text == "Make it wider: from 97 mm on about 1.2 mm is kept even at the high end of the range."
    assert camber.bow(1000, 97, (PLASMA, 0)).high <= 1.2
