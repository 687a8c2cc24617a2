"""Formulas of machine and process: from what the rig is to what is set on it, each with its source."""
