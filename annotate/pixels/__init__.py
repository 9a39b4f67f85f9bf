"""A picture between its pixels: tones in linear light, edges to a fraction of a pixel."""
