"""The photo on the screen: a picture goes in, a layer of marks comes out."""
