"""strips."""
