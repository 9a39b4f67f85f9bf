"""The limit block: the verdict in words and shape, and the limit drawn as a wall."""
