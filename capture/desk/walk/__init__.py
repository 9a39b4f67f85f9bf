"""The round down the right side: the ordered walk, with its hold points as covers across it."""
