"""Cautions before the first cut, and the fire watch after the last. Figures with their source; local rules and the
power source's manual come first."""

from __future__ import annotations

from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, RIG, markup

FIRST = (
    "These are reminders, not a complete list. Local law, the rules of the workshop and the manual of the power source "
    "and torch come first. Work on the inside of the power source is for licensed people."
)

CAUTIONS = (
    (
        "Eyes and skin",
        "Plasma below 300 A: shade 8 at least; 300 to 400 A: 9; 400 to 800 A: 10. Oxygen cutting: shade 3 below 25 mm, "
        "4 to 150 mm, 5 above (29 CFR 1910.133(a)(5)). Cover all skin; the arc burns it, by reflection too. Screen "
        "the place.",
    ),
    (
        "Fume",
        "Cutting fume needs control as welding fume does: draw it off at the cut, keep the head out of it. Zinc coat, "
        "paint, "
        "stainless steel and unknown coatings give poisonous fume: clean them off or do not cut. No chlorinated "
        "solvents on "
        "the plate or near the arc: they turn to phosgene (HSE guidance on cutting metals; makers' manuals).",
    ),
    (
        "Fire",
        "Move what burns at least 11 m (35 ft) away, or shield it; close gaps in floor and walls. Watch for fire at "
        "least "
        "60 minutes after the last cut (NFPA 51B-2019; 29 CFR 1910.252 asks 30). Extinguisher at hand; mind what lies "
        "under "
        "the slots of the bed.",
    ),
    (
        "Closed containers",
        "Never cut a drum, tank or any closed hollow that has not been cleaned and made safe (29 CFR 1910.252(a)(3)).",
    ),
    (
        "Hot metal",
        "Narrow strips stay hot for many minutes and look cold. Let each cut cool before you scrape, turn or measure; "
        "use "
        "tongs and dry gloves.",
    ),
    (
        "Shock",
        "Work clamp on the piece itself, on clean metal. Open-circuit voltage is commonly 200 to 400 V. Unplug the "
        "power "
        "source before you touch tip, electrode or any part of the torch. Dry gloves, dry place, no damaged cable.",
    ),
    (
        "Noise",
        "Wear hearing protection: from 80 dB(A) offered, from 85 dB(A) worn (Control of Noise at Work Regulations "
        "2005). "
        "A plasma torch on thick plate is louder.",
    ),
    (
        "Moving carriage",
        "It runs home at full speed without warning. Keep hands, hoses and leads off the rails. Know where the "
        "stop is.",
    ),
    (
        "Tipping and edges",
        "A piece may tip or drop through the slot when the cut parts it: support both sides, keep feet clear. Edges "
        "and "
        "dross are sharp.",
    ),
)  # fmt: skip


def cautions_section(two_person_mass: str, width: float) -> Section:
    """Cautions, to be read before the first cut."""
    lifting = (
        "Lifting",
        f"Above {two_person_mass} (set in the rig profile), and where a cut says so: two people or a hoist. The weight "
        "that is safe for one person may be less (HSE INDG143: 25 kg close in at knuckle height, less with arms out).",
    )
    boxes = [Words(markup(FIRST), width, NEAR, bold=True)]
    boxes += [
        Words(f"{markup(what + '.', bold=True)} {markup(text)}", width, NEAR) for what, text in (*CAUTIONS, lifting)
    ]
    heading = Words(markup("Cautions"), width, RIG, bold=True, above=HEADING_GAP)
    return Section("Cautions", [heading], boxes, fresh=False)


def fire_watch_section(width: float) -> Section:
    """A line to fill in after the last cut."""
    watch = "Last cut at ____________   watch for fire until ____________ (60 minutes later)   signed ____________"
    heading = Words(markup("Fire watch"), width, RIG, bold=True, above=HEADING_GAP)
    return Section(
        "Fire watch", [heading], [Words(markup(watch), width, DESK, bold=True, above=2 * HEADING_GAP / 3)], fresh=False
    )
