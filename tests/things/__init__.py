"""Tests of things that are welded of strips."""
