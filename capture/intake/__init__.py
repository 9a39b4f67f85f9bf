"""Photos in: from a file."""
