"""machine."""
