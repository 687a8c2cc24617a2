"""picture."""
