"""Where the parts of a limit block stand: pixels from its top, and how thick they are."""

LEFT = 72.0  # of the scale: the row heads stand before it
VALUE_TOP, LANE_Y = 36.0, 75.0
BAND_TOP, AXIS_Y = 80.0, 128.0
BLADE_TOP, BLADE_HIGH = 92.0, 24.0
MIDDLE_Y = BLADE_TOP + BLADE_HIGH / 2
FIGURES_Y, SECOND_Y = 136.0, 154.0
STEM, FACE = 5.0, 5.0
CLEAR = 7.0  # of texts from what they must not lie on
CAP = 7.0  # half the height of a whisker's end
