"""The setup sheet walked back to the plan: what it must say is reckoned here from plan.json alone, number by number."""
