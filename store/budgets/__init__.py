"""A value with every error it may have: of a reading, of many as one, of arithmetic with them."""
