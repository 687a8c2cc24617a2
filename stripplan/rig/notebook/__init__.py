"""notebook."""
