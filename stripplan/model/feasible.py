"""What is legal: the limits that layout and order both ask about.

One function per limit, on plain sizes [mm]. `across` is the size at right angles to a cut.
"""

from __future__ import annotations

from stripplan.model.cut_rules import CutRules

SAME = 0.01
"""Sizes nearer than this are the same, and behind a cut there is then no metal [mm]."""


def rest_is_legal(slack: float, kerf: float, narrowest: float) -> bool:
    """Whether `slack` of metal beyond a piece may stay: nothing, or kerf and at least the narrowest offcut.

    All in one unit, exact in whole numbers. With `narrowest` 0 any slack may: the kerf then runs partly off
    the edge.
    """
    return slack == 0 or (slack > 0 and (narrowest == 0 or slack >= kerf + narrowest))


def reaches(rules: CutRules, width: float) -> bool:
    """Whether the fence can be set for a piece of `width` lying on it."""
    return rules.fence_min - 1e-9 <= width + rules.kerf / 2 <= rules.fence_max + 1e-9


def beside_is_legal(rules: CutRules, width: float) -> bool:
    """Whether a piece of `width` may lie beside the torch on the side away from the fence."""
    return rules.far_max is None or width <= rules.far_max + 1e-9


def for_two(mass: float, longest: float, *, mass_limit: float, length_limit: float) -> bool:
    """Whether a piece is for two people or a hoist [kg, mm].

    Above `mass_limit`, or longer than `length_limit` and above 0.6 of that mass (25 and 15 kg with the
    built-in figures): common practice, no source.
    """
    return mass > mass_limit or (longest > length_limit and mass > 0.6 * mass_limit)
