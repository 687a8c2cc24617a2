"""Jobs with straight-sided shapes: blocks in their place, which of them, and the plan of the whole."""
