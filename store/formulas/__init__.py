"""What a plan has worked out from readings: formulas, their units, what hangs on what, bands."""
