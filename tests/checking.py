"""What many tests check with."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from itertools import islice
from typing import Any

import pytest
from hypothesis import settings

from stripplan.wording.message import Message
from stripplan.wording.show import worded


def examples(tries: int, **more: Any) -> settings:
    """So many random examples in a usual run, ten times as many in a deep one (`--hypothesis-profile=deep`)."""
    return settings(max_examples=tries * settings.default.max_examples // 100, **more)


def few(suite: int, whole: Iterable[Any]) -> list[Any]:
    """Values for `parametrize`: so many in a usual run, the others where slow tests are asked for (`-m slow`)."""
    values = iter(whole)
    return [*islice(values, suite), *(pytest.param(each, marks=pytest.mark.slow) for each in values)]


def calls(work: Callable[[], object]) -> int:
    """How many calls of functions some work takes: how it grows can be told without a clock."""
    count = 0

    def counted(_frame: object, event: str, _about: object) -> None:
        nonlocal count
        count += event in {"call", "c_call"}

    before = sys.getprofile()
    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


def in_words(messages: Iterable[Message]) -> list[str]:
    """Messages as a person who reads millimetres reads them."""
    return [worded(each).text for each in messages]
