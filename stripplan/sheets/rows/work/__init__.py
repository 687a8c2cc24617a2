"""The work at the rig, as rows: cuts, runs, bevels, what to measure after a cut, how the torch is set up."""
