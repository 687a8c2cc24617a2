"""Tests of plans that keep one of before."""
