"""Published numbers for circles and ellipses. "From memory": not read in the source itself; the
calculation on the published inputs gave the printed result."""

import numpy as np

# Gander, Golub and Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558-578;
# from memory, recomputed independently from 400 starting points.
GGS_CIRCLE_POINTS = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)
GGS_CIRCLE = {"cx": 4.7398, "cy": 2.9835, "radius": 4.7142, "squares": 1.2276}
GGS_ELLIPSE_POINTS = np.array(
    [(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7), (6, 2), (8, 4)], dtype=float
)
GGS_ELLIPSE = {
    "cx": 2.6996, "cy": 3.8160, "semi_major": 6.5187, "semi_minor": 3.0319, "angle": 0.3596,
    "squares": 1.3733,
}  # fmt: skip

# A widely copied misprint of the ellipse's points: another answer (independent computation).
MISPRINTED_POINTS = np.array(
    [(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (6, 7), (3, 2), (8, 4)], dtype=float
)
MISPRINTED_ELLIPSE = {
    "cx": 3.53260, "cy": 4.62307, "semi_major": 5.58854, "semi_minor": 2.49072, "angle": 0.20740,
    "squares": 1.45188,
}  # fmt: skip

# The linear (Kasa) fit of the circle's points, computed independently: what a fit that is not
# geometric makes of a short arc.
KASA_CIRCLE = {"cx": 4.74233, "cy": 3.83512, "radius": 4.10876}

# Halir and Flusser, Numerically stable direct least squares fitting of ellipses, WSCG 1998, on the
# ellipse's points: three independent codes agree.
DIRECT_ELLIPSE = {
    "cx": 5.063878, "cy": 5.069753, "semi_major": 3.775664, "semi_minor": 2.642334,
}  # fmt: skip

# MathWorld, Circle-Circle Intersection (from memory, recomputed); r1, r2, s, area.
LENSES = [
    (1.0, 1.0, 1.0, 1.2283696986),  # 2 pi/3 - sqrt(3)/2
    (1.0, 1.0, 0.807945506599, np.pi / 2),  # OEIS A133741: half of one circle
    (3.0, 2.0, 2.0, 9.3204778956),
    (3.175, 3.175, 1.0, 0.80032172 * np.pi * 3.175**2),
    (2.5, 3.0, 2.0, 12.8339035808),
]
# The goat problem: a circle of this radius about a point of the unit circle covers half of it
# (OEIS A133731).
GOAT_RADIUS = 1.158728473018

# Hughes and Chraibi, Calculating ellipse overlap areas, Comput. Visual Sci. 15 (2012) 291-301: the
# inputs (semi axes, centre, turn in rad of each). Areas by two independent computations (integral,
# polygons of 400 000 sides): the authors' own program prints 18.8496 for case 5, which cannot be,
# since (3, 0) lies farther than 3 from (0, 1).
EIGHTH = 0.7853981633974483
ELLIPSE_PAIRS = [
    ("1", (3, 2, 0, 0, 0), (3, 1, 1, -0.5, EIGHTH), 7.5131405589),
    ("2", (3, 2, 0, 0, 0), (2, 1, -2, -1, EIGHTH), 3.8225457392),
    ("3", (2, 1, 0, 0, 0), (1.5, 0.75, -2.5, 1.5, EIGHTH), 0.0),
    ("4", (3, 2, 0, 0, 0), (2, 1, -0.75, 0.25, EIGHTH), 6.2831853072),
    ("41", (2, 1, 0, 0, 0), (3, 2, -0.3, -0.25, EIGHTH), 6.2831853072),
    ("5", (3, 2, 0, 0, 0), (3, 3, 0, 1, 0), 17.6021883987),
    ("51", (2, 1, 0, 0, 0), (1, 2, 1, 0, 0), 3.0550146972),
    ("6", (2, 1, 0, 0, 0), (2, 1, 0, 2, 0), 0.0),
    ("7", (3, 2, 0, 0, 0), (2, 1, -1.0245209260022, 0.25, EIGHTH), 6.2831853072),
    ("71", (2, 1, 0, 0, 0), (3.5, 1.8, 0.22, 0.1, EIGHTH), 6.2831853072),
    ("8", (3, 2, 0, 0, 0), (1, 2, 0, 0, 0), 6.2831853072),
    ("81", (2, 1, 0, 0, 0), (2, 4, 0, 0, 0), 6.2831853072),
    ("10", (3, 2, 0, 0, 0), (3, 2, 0, 0, 0), 18.8495559215),
]

# A circle of radius 5 mm seen from 50 mm (on the line through its centre): axis ratio of its
# picture, and how far that ellipse's centre is from the picture of the true one, in mm at its
# distance.
# Conic map C' = H^-T C H^-1 (Hartley and Zisserman, Multiple View Geometry), computed exactly.
TILTED_CIRCLE = [
    (15, 0.96625, 0.125), (30, 0.86711, 0.217), (45, 0.70888, 0.251), (60, 0.50189, 0.218),
]  # fmt: skip
