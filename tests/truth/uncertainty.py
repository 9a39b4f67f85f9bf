"""Published numbers on measurement uncertainty and statistics, each with its source.

"Second hand": read in a library or page that quotes the standard; "from memory": not read at
all. Both were confirmed by calculating from the published inputs.
"""

# JCGM 100:2008 (GUM), Table G.2: t for p = 68.27, 90, 95, 95.45, 99, 99.73 per cent. Second hand
# for nine of them (1.84, 12.71, 5.51, 1.72, 235.8, 1.81, 2.09, 19.21, 3.16), the rest from memory.
T_LEVELS = (0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973)
T_FACTORS = {
    1: (1.84, 6.31, 12.71, 13.97, 63.66, 235.8),
    2: (1.32, 2.92, 4.30, 4.53, 9.92, 19.21),
    5: (1.11, 2.02, 2.57, 2.65, 4.03, 5.51),
    10: (1.05, 1.81, 2.23, 2.28, 3.17, 3.96),
    16: (1.03, 1.75, 2.12, 2.17, 2.92, 3.54),
    20: (1.03, 1.72, 2.09, 2.13, 2.85, 3.42),
    50: (1.01, 1.68, 2.01, 2.05, 2.68, 3.16),
    None: (1.0, 1.645, 1.960, 2.0, 2.576, 3.0),
}

# GUM H.2, Table H.2: five simultaneous readings (second hand).
H2_VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
H2_MILLIAMPERES = (19.663, 19.639, 19.640, 19.685, 19.678)
H2_RADIANS = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)

# GUM H.1, Table H.1: end gauge, in nm and the units stated (second hand).
H1 = {
    "l_S": (50_000_623, 25), "d": (215, 9.7), "alpha_S": 11.5e-6,
    "length_nm": 50_000_838, "u_nm": 32, "u_unrounded": 31.66,
    "u_d_parts": (5.8, 3.9, 6.7), "dof_d": 25.6, "dof": 16.75, "t99": 2.92, "U99": 93,
}  # fmt: skip

# JCGM 101:2008 (Monte Carlo supplement), second hand except the 9.3 intervals (from memory).
ADDITIVE_RECTANGULAR_HALF_WIDTH = 3.8794  # 9.2.3: 2 sqrt(3) (2 - (3/5)^(1/4))
MASS_CALIBRATION = {  # 9.3, Table 6: Monte Carlo against first order
    "estimate": 1.2340, "u": 0.0754, "interval": (1.0834, 1.3825),
    "first_order_u": 0.0539, "first_order_interval": (1.1285, 1.3395),
}  # fmt: skip

# EA-4/02 (1999, 2013), second hand: S10 vernier calliper at 150 mm, S9 one dominant rectangle.
CALLIPER_U_MM, CALLIPER_K, CALLIPER_EXPANDED_MM = 0.033, 1.83, 0.06
DOMINANT_RECTANGLE_K = 1.65

# NIST StRD, univariate summary statistics: n, mean, standard deviation, lag-1 autocorrelation.
STRD_NUMACC1 = ((10000001.0, 10000003.0, 10000002.0), 10000002.0, 1.0, -0.5)
STRD_NUMACC2_TO_4 = {1.2: (1.1, 1.3), 1000000.2: (1000000.1, 1000000.3),
                     10000000.2: (10000000.1, 10000000.3)}  # fmt: skip

# GUM 4.3.4 and 4.3.5, examples (from memory): 129 at 99 per cent is u = 50; half of all parts
# within +-0.04 mm is u = 0.06 mm.
CERTIFICATE_99 = (129.0, 50.0)
HALF_OF_PARTS = (0.04, 0.06)

# JCGM 106:2012, clause 7 examples and Table 1 (from memory): z for one-sided probabilities; a
# voltage of -5.47 V with u = 0.05 V meets "at most -5.40" with probability 0.919.
ONE_SIDED_Z = {0.80: 0.84, 0.90: 1.28, 0.95: 1.64, 0.99: 2.33, 0.999: 3.09}
ZENER = (-5.47, 0.05, -5.40, 0.919)

# Printed results of GUM H.2, Tables H.3 and H.4: R, X, Z in ohm, u, and the correlations of the
# means (second hand; correlations from memory). u(X) is 0.2956 unrounded, printed 0.295.
H2_RESULTS = {"R": (127.732, 0.071), "X": (219.847, 0.295), "Z": (254.260, 0.236)}
H2_CORRELATIONS = {"VI": -0.36, "Vphi": 0.86, "Iphi": -0.65}

# 1959 yard and pound agreement, NIST SP 811 (from memory; two units libraries agree).
CONVERSIONS = [
    ("in", "mm", 25.4), ("ft", "in", 12.0), ("lbf.ft", "N.m", 1.3558179483314004),
    ("lbf.in", "N.m", 1.3558179483314004 / 12), ("psi", "Pa", 6894.757293168361),
    ("bar", "psi", 14.503773773), ("in^2", "mm^2", 645.16), ("m", "cm", 100.0),
    ("um", "mm", 0.001), ("kPa", "Pa", 1000.0), ("%", "1", 0.01), ("rad", "deg", 57.29577951308232),
]  # fmt: skip
