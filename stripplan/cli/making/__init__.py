"""The commands that make a job file for a thing."""
