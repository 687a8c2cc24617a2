"""What many tests check with."""

from __future__ import annotations

from typing import Any

from hypothesis import settings


def examples(tries: int, **more: Any) -> settings:
    """So many random examples in a usual run, ten times as many in a deep one (`--hypothesis-profile=deep`)."""
    return settings(max_examples=tries * settings.default.max_examples // 100, **more)
