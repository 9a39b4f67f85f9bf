"""One location at a time: one question, one photo, one reading."""
