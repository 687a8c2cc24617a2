"""What it takes to handle a piece, by its mass and length: fetching, turning, pushing up, clearing away."""

from __future__ import annotations

from abc import ABC, abstractmethod
from functools import cached_property

from stripplan.model.rig import Rig
from stripplan.rig.machine.timing import handling_seconds


class Handled(ABC):
    """A piece that is handled at a rig; each time is worked out once [s]."""

    @property
    @abstractmethod
    def weighed(self) -> tuple[Rig, float, bool]:
        """The rig, the mass [kg], and whether the piece is for two people or a hoist."""

    @cached_property
    def fetch_seconds(self) -> float:
        """Fetching it and putting it on the bed."""
        return self._handled(self.weighed[0].seconds.fetch)

    @cached_property
    def quarter_seconds(self) -> float:
        """One quarter turn."""
        return self._handled(self.weighed[0].seconds.quarter_turn)

    @cached_property
    def over_seconds(self) -> float:
        """Turning it over."""
        return self._handled(self.weighed[0].seconds.turn_over)

    @cached_property
    def push_seconds(self) -> float:
        """Pushing it up to the fence."""
        return self._handled(self.weighed[0].seconds.push)

    @cached_property
    def carry_seconds(self) -> float:
        """What clearing it away takes for its mass, beside what clearing the bed takes at all."""
        return self._handled(0.0)

    def _handled(self, base: float) -> float:
        rig, mass, two_person = self.weighed
        return handling_seconds(rig, base, mass, two_person=two_person)
