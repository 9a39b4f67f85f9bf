"""At the block: photos and typed readings per location."""
