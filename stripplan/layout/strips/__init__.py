"""Strips, one dimension: column generation, dives, branch and bound, and then as few patterns as may be."""
