"""The specimens themselves."""

from __future__ import annotations

import pytest

from stripplan.replay.verdict import replay
from tests.sheets.plans import PLANS


@pytest.mark.parametrize("name", sorted(PLANS))
def test_specimens_are_sound(name: str) -> None:
    """The independent replay finds nothing wrong with a specimen."""
    assert replay(PLANS[name]()) == ()
