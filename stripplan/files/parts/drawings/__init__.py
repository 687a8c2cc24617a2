"""Drawings of parts: outlines read from DXF and SVG, and which of them are rectangles."""
