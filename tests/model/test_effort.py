"""Stop rules, and parts that are fillers."""

from __future__ import annotations

import pytest

from stripplan.model.effort import Effort, Progress
from stripplan.model.part import AS_MANY_AS_FIT, Rectangle, Strip


def test_good_enough_is_a_share_of_the_bound() -> None:
    """2 % above the bound is enough for 0.02 and not for less; at the bound it is always enough."""
    assert Effort(good_enough=0.02).is_enough(10.2, 10.0)
    assert not Effort(good_enough=0.0199).is_enough(10.2, 10.0)
    assert Effort().is_enough(10.0, 10.0)
    assert not Effort().is_enough(10.01, 10.0)


@pytest.mark.parametrize("given", [{"good_enough": 1.0}, {"good_enough": -0.1}, {"stop_after": -1}, {"steps": -1}])
def test_stop_rules_that_make_no_sense(given: dict[str, float]) -> None:
    """They are refused by name."""
    (key,) = given
    with pytest.raises(ValueError, match=key):
        Effort(**given)  # type: ignore[arg-type]


def test_the_gap_is_not_known_without_best_and_bound() -> None:
    """Nothing is said of a gap where either is missing or the bound is 0."""
    assert Progress(words="", share=0, best=1.0).gap is None
    assert Progress(words="", share=0, best=1.0, bound=0.0).gap is None
    assert Progress(words="", share=0, best=3.0, bound=2.0).gap == 0.5


def test_a_filler_is_never_wanted() -> None:
    """None must be made; at most its quantity may be, and any number where that is 0."""
    filler = Rectangle(name="pad", width=60, length=60, quantity=7, filler=True)
    assert (filler.wanted, filler.most) == (0, 7)
    endless = Strip(name="bar", width=60, quantity=AS_MANY_AS_FIT, filler=True)
    assert (endless.wanted, endless.most) == (0, None)
    part = Strip(name="bar", width=60, quantity=7)
    assert (part.wanted, part.most) == (7, 7)


def test_parts_that_make_no_sense() -> None:
    """No part is wanted 0 times, and a filler has no square edges."""
    with pytest.raises(ValueError, match="quantity 0 must be at least 1"):
        Strip(name="bar", width=60, quantity=0)
    with pytest.raises(ValueError, match="a filler has no square edges"):
        Strip(name="bar", width=60, square="long", filler=True)
