"""Plate and hands in one currency: the cheapest of several layouts, a few to choose from, and what a plan costs."""
