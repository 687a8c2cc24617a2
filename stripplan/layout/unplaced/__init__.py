"""unplaced."""
