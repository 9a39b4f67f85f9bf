"""A book's folder as plain files: its disk, its notices, what is half made, locked or unread."""
