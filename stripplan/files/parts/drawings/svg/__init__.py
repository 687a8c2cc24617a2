"""Parts from SVG drawings."""
