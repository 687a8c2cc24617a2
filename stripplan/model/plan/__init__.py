"""The plan as a record: what plan.json holds. The only room of ours, beside errors, that the replay reads."""
