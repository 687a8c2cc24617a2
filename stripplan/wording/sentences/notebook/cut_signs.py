"""What one test cut shows: the signs, what is wrong, why, and what to do; what is wrong with what was written down.

Of a finding the text says what it is, the hint what to do; `why_...` is the reason in one sentence.
"""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence

SIGNS: dict[str, Sentence] = {
    "sign_easy_dross": Sentence("thick bead on the lower edge that comes off easily"),
    "sign_hard_dross": Sentence("thin hard line on the lower edge"),
    "sign_no_dross": Sentence("no dross"),
    "sign_kerf_wide": Sentence("kerf burnt wide"),
    "sign_lag_small": Sentence("arc leaves the lower face almost straight down or forward ({lag:g} deg)"),
    "sign_lag_great": Sentence("arc trails by {lag:g} deg, more than about {most:g} deg"),
    "sign_lag_right": Sentence("arc trails by {lag:g} deg"),
    "sign_lag_unusual": Sentence("lag angle {lag:g} deg; usual is {least:g} to {most:g} deg"),
    "sign_not_severed": Sentence("the piece did not part along its whole length"),
    "sign_j_lines": Sentence("J-shaped drag lines"),
    "sign_straight_lines": Sentence("straight drag lines"),
    "sign_rounded_edge": Sentence("rounded top edge"),
    "sign_spatter": Sentence("spatter on top"),
    "sign_loose_spatter": Sentence("spatter on top that wipes off"),
    "sign_stand_off_great": Sentence(
        "stand-off {stand_off:g}, above the usual {least:g-} to {most:g} of an exposed nozzle"
    ),
    "sign_stand_off_small": Sentence(
        "stand-off {stand_off:g}, below the usual {least:g-} to {most:g} of an exposed nozzle"
    ),
    "sign_bevel_negative": Sentence("negative bevel ({bevel:g} deg)"),
    "sign_bevel": Sentence("bevel {bevel:g} deg; ordinary is 1 to {most:g} deg"),
    "sign_none": Sentence("no telling sign was noted"),
    "signs_both_ways": Sentence("too slow: {slow:|, }; too fast: {fast:|, }"),
}
"""What was seen."""

FINDINGS: dict[str, Sentence] = {
    "cut_contradiction": Sentence(
        "the signs contradict each other",
        "Look again at the cold, clean edge, then cut once more at the same speed; if both signs stay, look at tip, "
        "stand-off and air before the speed is changed.",
    ),
    "why_cut_contradiction": Sentence(
        "One sign says that the travel was too slow, another that it was too fast, and one speed cannot be both."
    ),
    "cut_not_severed": Sentence(
        "not severed",
        "Go slower or use more current; if that speed has cut before, look at tip, air pressure, stand-off and earth "
        "clamp first.",
    ),
    "why_cut_not_severed": Sentence(
        "The arc did not bring enough heat to each millimetre to melt through: too fast, or too weak an arc."
    ),
    "cut_too_slow": Sentence("too slow", "Go faster, or use less current with the nozzle meant for it."),
    "why_cut_too_slow": Sentence(
        "At too low a speed more metal melts than the gas blows out, and it hangs on below as a thick soft bead."
    ),
    "cut_too_fast": Sentence(
        "too fast", "Go slower; where the drag lines or the lag are right, lower the stand-off first."
    ),
    "why_cut_too_fast": Sentence(
        "At too high a speed the foot of the cut lags behind and the melt freezes to the edge as a thin hard line."
    ),
    "cut_too_high": Sentence(
        "torch too high", "Lower the torch to the maker's stand-off and cut again before the speed is changed."
    ),
    "why_cut_too_high": Sentence(
        "From too far the arc spreads before it enters: it rounds the top edge and gives more bevel."
    ),
    "cut_too_low": Sentence(
        "torch too low",
        "Raise the torch to the maker's stand-off; a nozzle that drags on the plate is only for an unshielded one up "
        "to about 30 A, or a drag tip.",
    ),
    "why_cut_too_low": Sentence("From too near the arc cannot open up, and the cut gets wider below than above."),
    "cut_worn_tip": Sentence(
        "tip worn, or torch too high",
        "Look at the bore with the power off: round, sharp-edged and centred, or change the tip; then measure the kerf "
        "again.",
    ),
    "why_cut_worn_tip": Sentence("A bore that is no longer round and sharp lets the arc spread and stray."),
    "cut_bevel": Sentence(
        "bevel above the ordinary",
        "Turn the torch a quarter in its holder and cut again: what turns with the torch is the torch's fault; look "
        "which side the part lay on.",
    ),
    "why_cut_bevel": Sentence(
        "A torch that leans or stands too high, a worn tip, or the part on the bevelled side gives an edge out of "
        "square."
    ),
    "cut_lag_unusual": Sentence("clean edge, unusual lag", "Keep the speed if the edge stays clean over a longer cut."),
    "why_cut_lag_unusual": Sentence(
        lambda facts: (
            f"The edge is clean, yet the arc trails {'less' if facts['slow'] else 'more'} than usual: the speed may "
            f"lie near the {'slow' if facts['slow'] else 'fast'} end of the window."
        )
    ),
    "cut_right": Sentence("right", "Keep the speed; cut the kerf test at it."),
    "why_cut_right": Sentence("Nothing hangs on the edge and nothing speaks against the speed."),
    "cut_not_judged": Sentence(
        "cannot be judged",
        "Look at the lower edge: no dross, a bead that comes off easily, or a thin line that does not; and whether "
        "the piece parted.",
    ),
    "why_cut_not_judged": Sentence("Nothing was seen that tells too slow from too fast."),
}
"""What the signs say."""


def _starts(facts: Facts) -> str:
    if "starts" not in facts:
        return "The starts on this tip are not known."
    if facts["starts"] == 0:
        return "This was the first arc on the tip: wear is unlikely, so look at the stand-off first."
    return "{starts} starts on this tip before; no figure for how many a tip lasts is held."


DIFFERENCES: dict[str, Sentence] = {
    "signs_differ": Sentence("The signs of this cut differ, so it gives no answer."),
    "lag_differs": Sentence(
        "Most sources call 5 to 15 deg right; one trade page gives {least:g} to {most:g} deg as normal by hand."
    ),
    "bevel_of_thick_plate": Sentence("Negative bevel is told only of plate from {thickness:g} up."),
    "bevel_of_square": Sentence("One maker's manual asks for a mean below 4 deg over the sides of a square."),
    "starts_on_tip": Sentence(_starts),
    "spatter_differs": Sentence(
        "Sources agree on stand-off or nozzle, and differ on speed: one manual also says slow travel, others say too "
        "fast; so spatter alone gives no answer."
    ),
}
"""How sources, or the signs of one cut, differ."""

LOOK: dict[str, Sentence] = {
    "look_at_edges": Sentence(
        "Arc off, torch parked and the piece cold before an edge is looked at, felt or scraped: fresh edges are hot "
        "and sharp, dross flies off. Eye and hand protection, fume extraction, nothing that burns below the bed. Local "
        "rules and the maker's manual of the power source come first."
    ),
}
"""What goes before any look at an edge."""

FAULTS: dict[str, Sentence] = {
    "test_cut_of": Sentence("test cut {row} of {about}: {what}"),
    "sign_unknown": Sentence(
        "{name} {value!r} {verb} not known; known are {known:|, }, or nothing where it was not looked at"
    ),
    "sign_true_or_false": Sentence("{name} {value!r} must be true or false, or nothing where it was not looked at"),
    "sign_angle": Sentence("{name} {value} deg must be a number from {least} to {most}"),
    "sign_length": Sentence("{name} {value:g} must be a number {limit}"),
    "sign_count": Sentence("starts on the tip {value} must be a whole number of 0 or more"),
    "not_severed_yet": Sentence(
        "not severed, yet {given:| and } given: the lower edge can be judged only where the cut parted; leave it out, "
        "or say severed"
    ),
    "dross_given": Sentence("dross {dross!r}"),
    "lag_given": Sentence("a lag angle of {lag} deg"),
}
"""What is wrong with a row."""

SENTENCES: dict[str, Sentence] = SIGNS | FINDINGS | DIFFERENCES | LOOK | FAULTS
