"""What the replay finds, as data."""

from __future__ import annotations

from dataclasses import dataclass

from stripplan.errors import Fault, told


@dataclass(frozen=True)
class Finding:
    """One fault of a plan: a stable code, what it is about, a sentence."""

    code: str
    about: str
    text: str

    def fault(self, where: str = "") -> Fault:
        """The finding as what stops the work; `where` names the place, where the text is not enough."""
        return told(self.code, self.text, where)


def figures(one: float, other: float) -> tuple[str, str]:
    """Two figures as they are printed beside each other: with as many places as it takes to tell them apart.

    >>> figures(0.505, 0.5046)
    ('0.505', '0.5046')
    >>> figures(250.0, 250.5)
    ('250', '250.5')
    """
    for places in (3, 4, 5, 6, 7, 8, 9):
        if f"{one:.{places}f}" != f"{other:.{places}f}":
            break
    return _plain(one, places), _plain(other, places)


def _plain(value: float, places: int) -> str:
    return f"{value:.{places}f}".rstrip("0").rstrip(".")
