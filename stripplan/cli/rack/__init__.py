"""Commands of the stock book: the rack, and the day's work."""
