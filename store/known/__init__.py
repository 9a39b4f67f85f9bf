"""What was read of a book, an entry by its name, and whether what was read of it still stands."""
