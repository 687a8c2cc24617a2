"""Writes what people use: setup sheet, drawings, pictures, lists, the plan file."""
