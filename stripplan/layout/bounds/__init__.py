"""bounds."""
