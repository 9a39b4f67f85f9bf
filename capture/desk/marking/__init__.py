"""Placing marks on a photo: rims to be measured, and sizes that are only shown."""
