"""Readings typed at one location, with real keys."""
