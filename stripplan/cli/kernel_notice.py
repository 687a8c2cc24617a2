"""What is said where the compiled searches are not there: plans are the same, but take many times as long."""

from __future__ import annotations

from stripplan.cli.streams import say
from stripplan.kernel.library import SWITCH, state


def tell_kernel() -> None:
    """A line where they are not there, and what mends it; nothing where they are."""
    found = state()
    if found == "ready":
        return
    from stripplan.wording.message import Facts, Message
    from stripplan.wording.show import worded

    said = worded(Message("no_kernel", "", Facts(state=found, switch=SWITCH)))
    say(f"{said.text}: {said.hint}")
