"""Tests of several jobs planned together."""
