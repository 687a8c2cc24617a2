"""What can stop the work, as exceptions that carry the facts and speak in one plain sentence.

What the person should merely know is a finding or a warning with a code, never an exception.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with what was given.

    `code` is a stable word for programs, `where` names the place ("job.toml, [[part]] 3, width"),
    `text` says what is wrong and `hint` what would mend it. `place` is the place in a table as keys and
    numbers from 0 (("part", 2, "width")), where one is known.
    """

    code: str
    where: str
    text: str
    hint: str = ""
    place: tuple[str | int, ...] = ()

    def sentence(self) -> str:
        """The fault as it is printed: place, what is wrong, what would mend it."""
        place = f"{self.where}: " if self.where else ""
        hint = f" ({self.hint})" if self.hint else ""
        return f"{place}{self.text}{hint}"


class StripplanError(Exception):
    """Base of all errors; holds one or more faults and the exit status of the shell command."""

    exit_status = 4

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(fault.sentence() for fault in self.faults))


class InputError(StripplanError, ValueError):
    """The job, rig, list or argument cannot be understood or contradicts itself."""

    exit_status = 2


class CannotMakeError(StripplanError):
    """A sound job, but some part cannot be made: each fault names the part and the limit."""

    exit_status = 3


class PlanFaultError(StripplanError):
    """The plan did not pass the independent replay: the program is at fault, nothing is written."""

    exit_status = 4
