"""Plates with a rule of their own: those to be used first, and those to be cut across first."""
