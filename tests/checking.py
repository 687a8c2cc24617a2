"""What many tests check with."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from hypothesis import settings

from stripplan.wording.message import Message
from stripplan.wording.show import worded


def examples(tries: int, **more: Any) -> settings:
    """So many random examples in a usual run, ten times as many in a deep one (`--hypothesis-profile=deep`)."""
    return settings(max_examples=tries * settings.default.max_examples // 100, **more)


def in_words(messages: Iterable[Message]) -> list[str]:
    """Messages as a person who reads millimetres reads them."""
    return [worded(each).text for each in messages]
