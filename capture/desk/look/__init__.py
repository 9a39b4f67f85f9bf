"""The drawing language of the window: an engineering section. Colours, type, signs, hatch."""
