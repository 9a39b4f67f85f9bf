"""The block map: overall photos of the block's faces with every location placed on them."""
