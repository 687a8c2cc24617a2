"""What the cuts of a plate depend on besides the metal: rig, rules and process of the plate, and how true its
parts must be.

Kept in one record for each plate, so that pieces, cut options and bounds pass it on instead of six arguments.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Any

from stripplan.model.cut_rules import CutRules
from stripplan.model.rig import Process, Rig
from stripplan.rig.machine.setting import FenceSetting, fence_setting


@dataclass(frozen=True)
class CutConditions:
    """What the cut options of a plate's pieces depend on besides their own shape."""

    rig: Rig
    rules: CutRules
    process: Process
    sized: tuple[tuple[bool, bool], ...]
    """For each part of the job: whether its (width, length) is a stated size."""
    asked: tuple[bool, ...] = ()
    """For each part of the job: whether it asks how true its size must be; none: no part does."""
    limits: tuple[tuple[float, float], ...] = ()
    """For each part of the job: by how much its (width, length) may be off, +- [mm]; none: by any amount."""
    bow_constant: float = 0.0
    """C of bow = C (length / width)² [mm] for a piece with one hot edge; 0: not known."""
    pinned: tuple[float | None, ...] = ()
    """For each part of the job: the width that comes off where the fence stays for it [mm], None: it goes where the
    order has it; none: no part asks.
    """
    equal: bool = True
    """Whether parts are to come out as a fence setting of their own makes them wherever that can be; else
    only seconds count.
    """
    _settings: dict[float, FenceSetting] = field(default_factory=dict, compare=False, repr=False)
    met: dict[Hashable, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """The first piece met of each look (`BenchPiece.alike`). Not taken over by other conditions."""

    def setting(self, width: float) -> FenceSetting:
        """Fence setting for a piece of that width on it, worked out once."""
        found = self._settings.get(width)
        if found is None:
            found = self._settings[width] = fence_setting(self.rig, width, self.rules.kerf)
        return found
