"""Drawings as DXF: plates, cuts and parts on layers, alike parts as blocks."""
