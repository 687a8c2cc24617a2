"""Bevels: the section across the edge as the torch leaves it, what is wanted of it, what each takes."""
