"""A job's values as rows for other programs: columns told once, CSV, JSON, look-up tables."""
