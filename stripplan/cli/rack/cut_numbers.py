"""Numbers of cuts as they are typed."""

from __future__ import annotations

import re

from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts


def cut_numbers(text: str, most: int, where: str) -> range:
    """Numbers of cuts: "7", or "1-12" with both ends; `where` is what messages call the option. Raises InputError.

    >>> list(cut_numbers("3-5", 9, "--done"))
    [3, 4, 5]
    """
    found = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", text.strip())
    first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
    if not 1 <= first <= last <= most:
        raise InputError(Fault("option", where, facts=Facts(given=text, most=most), says="no_such_cuts"))
    return range(first, last + 1)
