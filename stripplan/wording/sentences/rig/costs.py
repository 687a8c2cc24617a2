"""Sentences of a quotation: where the figures of a line are from, and what is not in its sum.

Areas are told in m2, to whoever reads inches in ft2.
"""

from __future__ import annotations

from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence


def _assumed(facts: Facts, name: str) -> str:
    return " (assumed)" if facts[name] else ""


def _worn(facts: Facts) -> str:
    way = "added up" if facts["added"] else "the greater of each cut"
    return (
        f"{{starts}} of {{life_starts:g}} starts{_assumed(facts, 'starts_assumed')} and {{hours:.3f}} of "
        f"{{life_hours:g}} arc hours{_assumed(facts, 'hours_assumed')}, {way}"
    )


def _power(facts: Facts) -> str:
    of_each = "{each:|, }" if facts["each"] else "no cut"
    return (
        f"{of_each}; conventional load voltage 80 + 0.4 I (IEC 60974-1, from memory), efficiency "
        f"{{efficiency:g}}{_assumed(facts, 'assumed')}; only while the arc burns"
    )


def _air(facts: Facts) -> str:
    of_each = "{each:|, }" if facts["each"] else "no cut"
    guessed = " by the current (a trade guide, common practice)" if facts["by_current"] else ""
    drawn = "; compressor {kilowatts:g} kW for each m3/min" if "kilowatts" in facts else ""
    return f"{of_each}{guessed}, before, during and after the arc{drawn}"


HOW: dict[str, Sentence] = {
    "cost_plate": Sentence("{length:g-} x {width:g-} x {thickness:g}, {mass:.1f} each, at the job's price"),
    "cost_offcuts": Sentence("taken off at their share of the plate's area"),
    "cost_time": Sentence(
        lambda facts: (
            "{minutes:.1f} min, set-ups and rests of the power source included"
            + (", {bevels:.2f} m of bevel among it" if "bevels" in facts else "")
        )
    ),
    "cost_finishing": Sentence("{metres:.2f} m of cut edges of parts, {seconds:g} s each"),
    "cost_power": Sentence(_power),
    "cost_current": Sentence("{about} {current:g}"),
    "cost_air": Sentence(_air),
    "cost_flow": Sentence("{about} {flow:g} l/min"),
    "cost_wear": Sentence(_worn),
    "cost_scrap": Sentence("pieces of scrap; what the kerf takes is lost"),
    "cost_markup": Sentence("{percent:g} % on {base:.2f}, all lines above together"),
    "cost_sharing": Sentence(
        "Plate, scrap and offcuts are shared among the plate's parts by their area as cut; each cut's cost goes half "
        "and half to the two pieces that it makes, and down to the parts within by their area, that of scrap and "
        "offcuts to the plate's parts; a markup follows the rest. Shares are whole cents by the largest remainder, and "
        "add up."
    ),
    "cost_sharing_finishing": Sentence("{sharing} Finishing goes to each part by its own cut edges."),
}
"""Where figures are from, and how the parts share them."""

LEFT_OUT: dict[str, Sentence] = {
    "no_price.plate": Sentence("Plate: the job gives no price for it; {area:.2f} of plate is used."),
    "no_price.offcuts": Sentence("Offcuts kept: {area:.2f} is not taken off the price."),
    "no_price.time": Sentence("Time at the rig: no price for an hour was given."),
    "no_price.finishing": Sentence("Finishing: no price for an hour was given."),
    "no_price.power": Sentence("Power: no price for a kWh was given."),
    "no_price.air": Sentence("Air: no price for a m3 and no power of the compressor was given."),
    "no_price.tips": Sentence("Tips: no price was given."),
    "no_price.electrodes": Sentence("Electrodes: no price was given."),
    "no_price.scrap": Sentence("Scrap brought back: no price for a {mass_unit} was given; there are {mass:.1f}."),
    "no_price.markup": Sentence("Markup: none was given."),
    "no_current": Sentence("Power of process {about}: its current is not known."),
    "no_flow": Sentence("Air of process {about}: its flow is not known."),
    "bevels_by_hand": Sentence("Bevels by hand: {metres:.2f} m that the rig does not cut."),
    "short_of_wanted": Sentence("{about}: {short} of {wanted} are not in the plan."),
}
"""What is not in the sum."""

SENTENCES: dict[str, Sentence] = HOW | LEFT_OUT
