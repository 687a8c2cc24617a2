"""plates."""
