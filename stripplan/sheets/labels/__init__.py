"""labels."""
