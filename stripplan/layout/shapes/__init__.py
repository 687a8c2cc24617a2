"""Straight-sided shapes in rectangles: blocks of one, of two that share a cut, rows; which blocks a job is made of."""
