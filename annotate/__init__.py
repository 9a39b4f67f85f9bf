"""Marks on the pixels of one photo, and the numbers they give. Opens no file, knows no limit."""
