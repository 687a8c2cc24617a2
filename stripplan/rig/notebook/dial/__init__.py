"""The speed dial from timed runs: a monotone curve between mark and travel speed, with its uncertainty."""
