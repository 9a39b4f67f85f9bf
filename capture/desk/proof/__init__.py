"""What can be sent out of the shop so that a book is held to it: shown, and copied."""
