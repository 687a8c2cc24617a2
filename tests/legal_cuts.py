"""What the rig can cut, in mm: a whole cut, told by the limits of `model.feasible`.

What the layout says in whole units is held against it.
"""

from __future__ import annotations

from stripplan.model.cut_rules import CutRules
from stripplan.model.feasible import beside_is_legal, reaches


def cut_is_legal(rules: CutRules, length: float) -> bool:
    """Whether the rig can make a cut of `length` in one pass, or in two where allowed."""
    return length <= rules.longest_two_pass + 1e-6


def split_is_legal(rules: CutRules, one: float, other: float) -> bool:
    """Whether a cut that leaves pieces of widths `one` and `other` can be located: by the fence, or marked."""
    if rules.marked:
        return beside_is_legal(rules, min(one, other))
    return (reaches(rules, one) and beside_is_legal(rules, other)) or (
        reaches(rules, other) and beside_is_legal(rules, one)
    )


def lies_on_rig(rules: CutRules, along: float, across: float) -> bool:
    """Whether a piece may lie on the rig for a cut along all of it: mass, also where it is turned over between two
    passes, and length.
    """
    heavy = rules.piece_mass_max is not None and along * across * rules.areal_mass > rules.piece_mass_max + 1e-9
    fits = rules.bed_length is None or along <= rules.bed_length + 1e-9
    return not heavy and fits and turning_is_legal(rules, along, across)


def turning_is_legal(rules: CutRules, along: float, across: float) -> bool:
    """Whether a piece need not be turned over for a cut along all of it, or may be: its mass is within what can be
    turned.
    """
    if rules.turn_over_mass_max is None or along <= rules.longest_one_pass + 1e-6:
        return True
    return along * across * rules.areal_mass <= rules.turn_over_mass_max + 1e-9
