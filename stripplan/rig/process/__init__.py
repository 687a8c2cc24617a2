"""The process in the metal: speed, kerf, heat and the bow of strips."""
