"""rows."""
