"""A hold point: what holds its cover off, what may be waived, and the cover itself."""
