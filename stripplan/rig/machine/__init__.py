"""The machine: what is set for a cut, how long it takes, how long the power source may burn."""
