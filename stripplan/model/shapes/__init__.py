"""Straight-sided shapes between layout and order: blocks that hold them, and the cuts that free them."""
