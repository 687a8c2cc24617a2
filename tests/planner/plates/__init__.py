"""Tests of plates with rules of their own."""
