"""Copies of a book for another disk or bench, and how one is taken in again: nothing is lost."""
