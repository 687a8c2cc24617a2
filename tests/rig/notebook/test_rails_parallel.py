"""Whether rails are parallel: figures, limit and what to do."""

from __future__ import annotations

import pytest
from scipy import stats

from stripplan.rig.notebook.rails_parallel import PARALLEL, rail_distances
from tests.checking import in_words


def test_rails_parallel() -> None:
    """Spread, taper and place; within 0.2 mm is parallel (common practice, no source); slope by
    scipy.stats.linregress."""
    at, wide = (0.0, 700.0, 1500.0), (600.0, 600.25, 600.4)
    report = rail_distances(at, wide)
    assert (report.spread, report.narrowest_at, report.widest_at) == (pytest.approx(0.4), 0, 1500)
    assert report.taper.value == pytest.approx(1000 * stats.linregress(at, wide).slope)
    assert report.parallel is False
    assert (
        "They open by 0.397 mm towards the far end: move one rail in by that much there" in in_words(report.advice)[1]
    )
    assert in_words(rail_distances(at, (600.4, 600.15, 600.0)).advice)[1].startswith("They close by 0.397 mm")
    assert rail_distances(at, (600.0, 600.05, 600.1)).parallel is True


def test_rails_bent() -> None:
    """Level ends and a wide middle: no taper, but one rail is bent there."""
    report = rail_distances((0, 500, 1000), (600, 600.6, 600))
    assert report.over_length == pytest.approx(0)
    assert len(in_words(report.advice)) == 2
    assert "0.4 mm too wide at 500 mm: one rail is bent there" in in_words(report.advice)[1]


def test_too_near_the_limit_to_tell() -> None:
    """0.25 mm with a rule of 0.5 mm: neither parallel nor not."""
    report = rail_distances((0, 1000), (600, 600.25), resolution=0.5)
    assert report.parallel is None
    assert "measure with a finer one" in in_words(report.advice)[0]


@pytest.mark.parametrize(
    ("at", "wide", "limit", "words"),
    [
        ((0, 500), (600, -1), 0.2, "row 2: distance -1: must be above 0 mm"),
        ((0, 500, 900), (600, 600.1, 23.63), 0.2, r"row 3 looks like inches: 23\.63 beside 600 in row 1"),
        ((0, 500), (600, 600), 0, "limit 0: must be above 0 mm"),
        ((0,), (600,), 0.2, "1 position: at least 2"),
    ],
)
def test_distance_faults(at: tuple[float, ...], wide: tuple[float, ...], limit: float, words: str) -> None:
    """Distances that cannot be are refused with their row."""
    with pytest.raises(ValueError, match=words):
        rail_distances(at, wide, limit=limit)


def test_limit_of_the_trade() -> None:
    """Rails within 0.2 mm: common practice, no source."""
    assert PARALLEL == 0.2
