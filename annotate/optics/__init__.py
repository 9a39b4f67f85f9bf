"""A plane before a camera: the lens as measured or assumed, the plane's lean, plane to plane."""
