"""What can stop the work: exceptions that carry the faults as data and say them in plain sentences.

What the person should merely know is a finding or a warning with a code, never an exception. `FiguresError` is for the
rooms that work figures out: they know no place in a file, and whoever asked them adds it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Self

from stripplan.wording.message import Facts, Message
from stripplan.wording.show import MM, Units, Worded, worded


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with what was given.

    `code` is a stable word for programs, `where` names the place ("job.toml, [[part]] 3, width"). What is wrong and
    what would mend it is said by the sentence `says` (left out: that of the code) with the `facts`. `place` is the
    place in a table as keys and numbers from 0 (("part", 2, "width")), where one is known.
    """

    code: str
    where: str = ""
    facts: Facts = field(default_factory=Facts)
    says: str = ""
    place: tuple[str | int, ...] = ()

    @classmethod
    def of(cls, message: Message) -> Self:
        """The fault that a message tells."""
        return cls(message.code, message.about, message.facts, message.says)

    @property
    def message(self) -> Message:
        """The fault as a message."""
        return Message(self.code, self.where, self.facts, self.says)

    def worded(self, units: Units = MM) -> Worded:
        """What is wrong, and what would mend it, in a person's units; inches near enough to be measured and typed."""
        return worded(self.message, replace(units, exact=True))

    def sentence(self, units: Units = MM) -> str:
        """The fault as it is printed: place, what is wrong, what would mend it."""
        said = self.worded(units)
        place = f"{self.where}: " if self.where else ""
        hint = f" ({said.hint})" if said.hint else ""
        return f"{place}{said.text}{hint}"


def told(code: str, sentence: str, where: str = "") -> Fault:
    """A fault that comes as a whole sentence, from who has no words of ours."""
    return Fault(code, where, Facts(what=sentence), says="finding")


class FiguresError(ValueError):
    """Figures that cannot be, or do not say yet what is asked: a message for each fault. As text in mm."""

    def __init__(self, *faults: Message) -> None:
        self.faults = faults
        super().__init__(*faults)

    @property
    def message(self) -> Message:
        """All that is wrong as one message."""
        return self.faults[0] if len(self.faults) == 1 else Message("several", facts=Facts(all=self.faults))

    def __str__(self) -> str:
        return worded(self.message).text


class StripplanError(Exception):
    """Base of all errors; holds one or more faults, the units of the person,
    and the exit status of the shell command.
    """

    exit_status = 4

    def __init__(self, faults: Fault | Iterable[Fault], units: Units = MM) -> None:
        self.faults = (faults,) if isinstance(faults, Fault) else tuple(faults)
        self.units = units
        super().__init__("\n".join(fault.sentence(units) for fault in self.faults))

    def in_units(self, units: Units) -> Self:
        """The same error for a person who reads other units."""
        return type(self)(self.faults, units)


class InputError(StripplanError, ValueError):
    """The job, rig, list or argument cannot be understood or contradicts itself."""

    exit_status = 2


class CannotMakeError(StripplanError):
    """A sound job, but some part cannot be made: each fault names the part and the limit."""

    exit_status = 3


class PlanFaultError(StripplanError):
    """The plan did not pass the independent replay: the program is at fault, nothing is written."""

    exit_status = 4
