"""Charts: one drawing for paper and screen."""
