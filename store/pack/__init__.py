"""The pack: a copy of a book handed to a customer, checkable with standard tools only."""
