"""process."""
