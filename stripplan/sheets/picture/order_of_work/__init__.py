"""Pictures of the order of work: a plate as it lies before one cut, and all its cuts played one after another."""
