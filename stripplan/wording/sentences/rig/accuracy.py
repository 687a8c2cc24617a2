"""Sentences about what makes parts truer, and strips straighter."""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

BROUGHT = "Halved, ±{now:.2f} becomes ±{halved:.2f}; without it, ±{without:.2f}."
GAIN = "about {after:.7g} in place of {now:.7g}."


WAYS: dict[str, str] = {
    "fence reading": "set the fence by a stop block or a measured strip, or read it on a finer scale",
    "fence zero": "find the fence zero from measured strips",
    "kerf": "measure the kerf from test cuts",
    "rail straightness": "straighten the rail, or shim it",
    "marking by hand": "set the cut by the fence in place of a mark",
    "dressing of the datum edge": "dress the datum edge clean, or keep a mill edge on the fence",
    "fence parallel to travel": "set the fence parallel by a strip measured at both ends",
    "bow": "make the strip bow less: two cut edges, a wider strip, time to cool",
    "bevel": "bring the bevel down: stand-off, nozzle, speed, the part on the square side",
    "known error": "correct the fence by that",
}
"""What helps against each cause, by its name in a plan file."""


def _improve(facts: Facts) -> str:
    assumed = ", assumed" if facts["assumed"] else ""
    return f"{{cause}}{assumed}: {WAYS[str(facts['cause'])]}. {BROUGHT}"


def _improve_shift(facts: Facts) -> str:
    """What the fence is corrected by stays in mm: so is its scale."""
    assumed = ", assumed" if facts["assumed"] else ""
    return f"{{cause}} of {{shift_mm:+.2f}} mm{assumed}: {WAYS[str(facts['cause'])]}. {BROUGHT}"


def _wider(facts: Facts) -> str:
    warm = ", {warm:.7g} of it bent by heat from the last cut" if "warm" in facts else ""
    high = " ({least_for_high_end:g^} for the high end of the range)" if "least_for_high_end" in facts else ""
    return f"Make it wider: from {{least:g^}} on about {{kept:.7g}} is kept{warm}{high}."


def _wider_at_high_end(facts: Facts) -> str:
    warm = ", {warm:.7g} of it bent by heat from the last cut" if "warm" in facts else ""
    return f"Make it wider: from {{least:g^}} on about {{kept:.7g}} is kept{warm} even at the high end of the range."


SENTENCES: dict[str, Sentence] = {
    "improve": Sentence(_improve),
    "improve_shift": Sentence(_improve_shift),
    "improved_halved": Sentence("{first} Halved, the ±{asked:.7g} asked would be met."),
    "improved_without": Sentence("{first} Without it, the ±{asked:.7g} asked would be met."),
    "improved_not_enough": Sentence("{first} That alone does not meet the ±{asked:.7g} asked."),
    "remedy_trim": Sentence(
        f"Trim the other long edge too, for one more cut: both edges are then hot and pull against each other; {GAIN}"
    ),
    "remedy_inside": Sentence(
        "Take it from inside the plate, where both its edges are cut, and leave the mill edge on an offcut or a wide "
        f"part; {GAIN}"
    ),
    "remedy_pair": Sentence(
        "Cut them in pairs: a blank of {pair:.7g} with both its long edges trimmed, let it cool, then split it down "
        "the middle. It goes to the fence with about {together:.7g} of bow, one trim serves two strips, and each "
        "bows " + GAIN
    ),
    "remedy_cool": Sentence(
        "Let the plate cool between the cuts: {wait} after the last one in place of {pause}. Heat alone then bends "
        "it by about {left:.7g} in place of {warm:.7g}, and the cut is that much straighter."
    ),
    "remedy_wider": Sentence(_wider),
    "remedy_wider_at_high_end": Sentence(_wider_at_high_end),
    "remedy_wider_for_the_model": Sentence(
        "Make it wider: below {least:g^} it is hot right through and no figure holds."
    ),
}
