"""A plan with what it costs, where the rig has prices."""

from __future__ import annotations

from dataclasses import replace

from stripplan.model.plan.plan import Plan
from stripplan.model.rig import Rig


def quoted(made: Plan, rig: Rig) -> Plan:
    """The plan with its quotation; as it is where no prices are given, or no part is made."""
    if rig.prices is None or not any(line.made for line in made.parts):
        return made
    from stripplan.rig.cost import quotation

    flows = {each.name: each.air_flow for each in rig.processes if each.air_flow is not None}
    prices = rig.prices
    found = quotation(made, prices, flow_of=flows, efficiency=prices.efficiency, credit_offcuts=prices.credit_offcuts)
    return replace(made, quotation=found)
