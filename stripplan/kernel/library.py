"""The library found and opened, or why it is not."""

from __future__ import annotations

import ctypes
import functools
import os
from pathlib import Path
from typing import Literal

from stripplan.kernel.compiler import HERE, LIBRARY, is_current

SWITCH = "STRIPPLAN_KERNEL"
"""Environment variable: `off` = do without; a folder = look for the library there."""

State = Literal["ready", "off", "missing", "outdated", "foreign"]
"""`off`: by the switch; `outdated`: made of other sources than those here; `foreign`: this machine cannot open it."""


def library() -> ctypes.CDLL | None:
    """The library, or None where there is none."""
    return _opened()[0]


def state() -> State:
    """Whether the library is there, or why not."""
    return _opened()[1]


def available() -> bool:
    """Whether the compiled searches can be used."""
    return library() is not None


@functools.cache
def _opened() -> tuple[ctypes.CDLL | None, State]:
    switch = os.environ.get(SWITCH, "")
    if switch == "off":
        return None, "off"
    path = (Path(switch) if switch else HERE) / LIBRARY
    try:
        if not is_current(path):
            return None, "outdated"
        return ctypes.CDLL(str(path)), "ready"
    except FileNotFoundError:
        return None, "missing"
    except OSError:
        return None, "foreign"


def look_again() -> None:
    """Look for the library anew: it was built, or the switch was changed."""
    _opened.cache_clear()
