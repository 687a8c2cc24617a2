"""The date that a plan or report carries: asked for from outside, so that the same input gives the same bytes."""

from __future__ import annotations

import os

from stripplan.errors import Fault, InputError
from stripplan.wording.message import Facts


def made_at() -> str | None:
    """The date for the plan where SOURCE_DATE_EPOCH asks for one; no clock is read."""
    from datetime import UTC, datetime

    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return None
    try:
        return datetime.fromtimestamp(int(epoch), UTC).isoformat()
    except (ValueError, OverflowError, OSError):
        raise InputError(Fault("date", "SOURCE_DATE_EPOCH", facts=Facts(said=repr(epoch)))) from None


def today() -> str:
    """The day on which work begins where nobody says another (ISO 8601): SOURCE_DATE_EPOCH, where it is set, else the
    clock.
    """
    from datetime import datetime

    return (made_at() or datetime.now().astimezone().isoformat())[:10]
