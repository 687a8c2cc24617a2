"""Bevelled edges: cut along finished parts with the torch tilted, after all other cuts."""
