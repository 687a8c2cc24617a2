"""Parts from DXF drawings that somebody else has made."""
