"""The independent check, by shapely, from the readings back to the metal."""
