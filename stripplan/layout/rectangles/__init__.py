"""Rectangles by search: the engines in turn, ruin and recreate, and what is left gathered into one offcut."""
