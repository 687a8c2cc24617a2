"""What is legal: the limits that layout and order both ask about.

One function per limit, on plain sizes [mm]. `across` is the size at right angles to a cut.
"""

from __future__ import annotations

from .rules import CutRules

SAME = 0.01
"""Sizes nearer than this are the same, and behind a cut there is then no metal [mm]."""


def rest_is_legal(rules: CutRules, slack: float) -> bool:
    """Whether `slack` of metal beyond a piece may stay: nothing, or kerf and at least the narrowest offcut.

    With `narrowest_offcut` 0 any slack may: the kerf then runs partly off the edge.
    """
    if slack <= SAME:
        return slack >= -SAME
    return rules.narrowest_offcut == 0 or slack >= rules.kerf + rules.narrowest_offcut - 1e-6


def cut_is_legal(rules: CutRules, length: float) -> bool:
    """Whether the rig can make a cut of `length` in one pass, or in two where allowed."""
    return length <= rules.longest_two_pass + 1e-6


def reaches(rules: CutRules, width: float) -> bool:
    """Whether the fence can be set for a piece of `width` lying on it."""
    return rules.fence_min - 1e-9 <= width + rules.kerf / 2 <= rules.fence_max + 1e-9


def beside_is_legal(rules: CutRules, width: float) -> bool:
    """Whether a piece of `width` may lie beside the torch on the side away from the fence."""
    return rules.far_max is None or width <= rules.far_max + 1e-9


def split_is_legal(rules: CutRules, one: float, other: float) -> bool:
    """Whether a cut that leaves pieces of widths `one` and `other` can be located: by the fence, or marked."""
    if rules.marked:
        return beside_is_legal(rules, min(one, other))
    return (reaches(rules, one) and beside_is_legal(rules, other)) or (
        reaches(rules, other) and beside_is_legal(rules, one)
    )


def lies_on_rig(rules: CutRules, along: float, across: float) -> bool:
    """Whether a piece may lie on the rig for a cut: mass, and length along the travel."""
    heavy = rules.piece_mass_max is not None and along * across * rules.areal_mass > rules.piece_mass_max + 1e-9
    return not heavy and (rules.bed_length is None or along <= rules.bed_length + 1e-9)
