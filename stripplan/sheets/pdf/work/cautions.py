"""Cautions before the first cut, and the fire watch after the last. Figures with their source; local rules and the
power source's manual come first."""

from __future__ import annotations

from stripplan.sheets.options import Cautions
from stripplan.sheets.paper.flow import HEADING_GAP, Section, Words
from stripplan.sheets.paper.text import DESK, NEAR, RIG, markup
from stripplan.sheets.rows.row_types import Sheet

FIRST = (
    "These are reminders, not a complete list. Local law, the rules of the workshop and the manual of the power source "
    "and torch come first. Work on the inside of the power source is for licensed people."
)

CAUTIONS = (
    (
        "Eyes and skin",
        "Plasma below 300 A: shade 8 at least; 300 to 400 A: 9; 400 to 800 A: 10. Oxygen cutting: shade 3 below "
        "{oxygen[0]}, 4 to {oxygen[1]}, 5 above (29 CFR 1910.133(a)(5)). Cover all skin; the arc burns it, by "
        "reflection too. Screen the place.",
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
        "Narrow strips stay hot for many minutes and look cold. How long until a bare hand may take a part stands with "
        "it in the check list. Let each cut cool before you scrape, turn or measure; use tongs and dry gloves.",
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
        "Stay beside the cut",
        "From arc to arc's end stay at the stop, eyes on the cut through the shade; never leave a cut that runs. If "
        "the carriage halts, the arc goes out or sparks come up in place of down: stop, and look before you go on. No "
        "hand, foot or hose under the torch line (common practice, no source).",
    ),
    (
        "Heart pacemaker",
        "Who wears a pacemaker or another implant keeps away from the power source, its leads and the torch while it "
        "is on, until doctor and maker have said how near is safe: the arc's field can disturb it (Directive "
        "2013/35/EU, Article 4(5); makers' manuals).",
    ),
    (
        "Grinder and flap disc",
        "Guard on, both hands on, piece clamped, face shield over goggles, hearing protection, no loose sleeves. Disc "
        "rated for the speed of the grinder, whole and in date; one that fell goes into the bin. Let it run up away "
        "from everybody, let it stop before you lay it down. Its sparks set fire too (29 CFR 1910.243(c); HSE HSG17).",
    ),
    (
        "Tipping and edges",
        "A piece may tip or drop through the slot when the cut parts it: support both sides, keep feet clear. Edges "
        "and "
        "dross are sharp.",
    ),
    (
        "Lifting",
        "Above {mass} (set in the rig profile), and where a cut says so: two people or a hoist. The weight that is "
        "safe for one person may be less (HSE INDG143: {close_in} close in at knuckle height, less with arms out).",
    ),
)  # fmt: skip


POINTER = {
    "with": "Before the first arc read the cautions, the last page of this sheet.",
    "once": "Before the first arc read the cautions that hang at the rig: eyes, fume, fire, shock, hot metal.",
}
"""The line on each sheet that leads to the cautions, by where they are."""


def pointer(cautions: Cautions, *, last: bool) -> str:
    """The line that leads to the cautions; they are the `last` page or stand further on."""
    line = POINTER[cautions]
    return line if last else line.replace(", the last page of this sheet", " further on in this sheet")


def cautions_section(sheet: Sheet, width: float, *, size: float = NEAR, fresh: bool = False) -> Section:
    """Cautions, to be read before the first cut, in the units of the person."""
    oxygen, close_in = _IN_UNITS[sheet.units]
    facts = {"oxygen": oxygen, "mass": sheet.two_person_mass, "close_in": close_in}
    boxes = [Words(markup(FIRST), width, size, bold=True)]
    boxes += [
        Words(f"{markup(what + '.', bold=True)} {markup(text.format(**facts))}", width, size) for what, text in CAUTIONS
    ]
    heading = Words(markup("Cautions"), width, RIG, bold=True, above=HEADING_GAP)
    return Section("Cautions", [heading], boxes, fresh=fresh, whole=True)


_IN_UNITS = {"mm": (("25 mm", "150 mm"), "25 kg"), "in": (("1 in", "6 in"), "55 lb")}
"""Thickness of steel for shades of oxygen cutting (the table of the source is in inches), and what one person may lift
close in, by units."""


def fire_watch(width: float) -> Words:
    """A line to fill in after the last cut."""
    watch = "Last cut at ____________   watch for fire until ____________ (60 minutes later)   signed ____________"
    return Words(markup(watch), width, DESK, bold=True, above=2 * HEADING_GAP / 3)


def fire_watch_section(width: float) -> Section:
    """The line under a heading."""
    heading = Words(markup("Fire watch"), width, RIG, bold=True, above=HEADING_GAP)
    return Section("Fire watch", [heading], [fire_watch(width)], fresh=False)
