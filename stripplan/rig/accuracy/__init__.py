"""accuracy."""
