"""What many tests check with."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from functools import wraps
from inspect import signature
from itertools import islice
from typing import Any

import pytest
from hypothesis import settings

from stripplan.wording.message import Message
from stripplan.wording.show import worded


def examples(tries: int, **more: Any) -> settings:
    """So many random examples in a usual run, ten times as many in a deep one (`--hypothesis-profile=deep`)."""
    return settings(max_examples=tries * settings.default.max_examples // 100, **more)


def few(suite: int, whole: Iterable[Any], *, rows: bool = False) -> list[Any]:
    """Values for `parametrize`, or `rows` of several: so many in a usual run, the others where slow tests are asked for
    (`-m slow`).
    """
    values = iter(whole)
    first = list(islice(values, suite))
    return [*first, *(pytest.param(*(each if rows else (each,)), marks=pytest.mark.slow) for each in values)]


def in_turn(names: str | tuple[str, ...], cases: Iterable[Any]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """As `parametrize`, within one test, for tables of cases that take no time: a test of its own costs pytest more
    than such a case. The one that fails is named; temporary folders are shared.
    """
    keys = tuple(each.strip() for each in names.split(",")) if isinstance(names, str) else tuple(names)
    rows = [(each,) if len(keys) == 1 else tuple(each) for each in cases]
    assert rows

    def looped(test: Callable[..., None]) -> Callable[..., None]:
        @wraps(test)
        def all_cases(**fixtures: Any) -> None:
            for row in rows:
                try:
                    test(**fixtures, **dict(zip(keys, row, strict=True)))
                except BaseException as error:
                    error.add_note(f"in the case of {row!r}")
                    raise

        asked = signature(test)
        left = [each for name, each in asked.parameters.items() if name not in keys]
        all_cases.__signature__ = asked.replace(parameters=left)  # type: ignore[attr-defined]
        return all_cases

    return looped


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
