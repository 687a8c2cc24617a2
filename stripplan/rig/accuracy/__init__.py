"""How true a piece comes out: uncertainties added up, tolerance standards, and what would make it better."""
