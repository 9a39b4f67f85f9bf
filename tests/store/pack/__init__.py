"""Tests of the pack."""
