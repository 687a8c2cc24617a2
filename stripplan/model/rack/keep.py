"""What is worth keeping on the rack, by material and thickness."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stripplan.model.job import Job
from stripplan.model.material import family_of, serves, word
from stripplan.model.rack.offcut import worth_keeping

SAME_THICKNESS = 0.05
"""Thicknesses nearer than this are the same [mm]."""
NOTHING_SAID = (300.0, 100.0)
"""The least offcut worth keeping where the book says nothing [mm]: that of a job which says nothing."""


@dataclass(frozen=True, kw_only=True)
class KeepRule:
    """The least offcut worth keeping (length, width) [mm] of a material and thickness; "" and None: of any."""

    material: str = ""
    thickness: float | None = None
    size: tuple[float, float]

    def holds_for(self, material: str, thickness: float) -> bool:
        """Whether it speaks of this plate."""
        alike = not self.material or word(self.material) == word(material) or serves(material, self.material)
        return alike and (self.thickness is None or abs(self.thickness - thickness) <= SAME_THICKNESS)


def least_kept(rules: Iterable[KeepRule], material: str, thickness: float) -> tuple[float, float]:
    """The least offcut worth keeping of a plate: what the rule says that names it most closely.

    A rule for its very material goes before one for its family, and either before one for any; then one for its
    thickness before one for all.

    >>> rules = (KeepRule(size=(300, 100)), KeepRule(material="stainless", size=(150, 50)))
    >>> least_kept(rules, "1.4301", 3.0), least_kept(rules, "S235", 3.0)
    ((150, 50), (300, 100))
    """

    def closeness(rule: KeepRule) -> tuple[int, bool]:
        named = word(rule.material)
        very = bool(named) and (named == word(material) or family_of(rule.material) is None)
        return 2 * very + bool(named), rule.thickness is not None

    fitting = [each for each in rules if each.holds_for(material, thickness)]
    return max(fitting, key=closeness).size if fitting else NOTHING_SAID


def is_kept(rules: Iterable[KeepRule], material: str, thickness: float, sides: tuple[float, float]) -> bool:
    """Whether a rectangle left of a plate goes onto the rack; lengths mm."""
    return worth_keeping(*sides, least_kept(rules, material, thickness))


def with_keep_rules(job: Job, rules: Iterable[KeepRule]) -> Job:
    """The job with what the book says is worth keeping, where the job says nothing of its own and the book says one
    thing for all its parts."""
    several = tuple(rules)
    if job.options.keep != NOTHING_SAID or not several:
        return job
    asked = {(each.material or "", each.thickness or 0.0) for each in (*job.parts, *job.plates)}
    sizes = {least_kept(several, material, thickness) for material, thickness in asked if material and thickness}
    return replace(job, options=replace(job.options, keep=sizes.pop())) if len(sizes) == 1 else job
