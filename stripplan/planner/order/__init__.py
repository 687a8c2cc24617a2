"""The order in which a layout is cut: the plates on the bench, what the cuts wait for, and why they stand there."""
