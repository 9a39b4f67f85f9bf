"""Marks on a photo, and how a number came of them, drawn as SVG."""
