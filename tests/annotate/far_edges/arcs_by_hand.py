"""Arcs inside a near rim, made by hand: a near hole's own far edge and a far rim behind it."""

import numpy as np

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs, backs
from annotate.pixels.polar import frame_of
from annotate.wall_hint import WallHint

# Seen 25 degrees aslant: the minor axis along x, so depth is seen along x.
FRAME = frame_of(300.0, 200.0, (100.0 * np.cos(np.radians(25)), 100.0), 0.0)
BACK = Arc(0.25, 0.0, 0.97, np.pi - 1.2, 2.4, 0.6, 0.8, 30.0, 1.0, 90.0, 120.0, 3.0)
FAR = Arc(-0.3, 0.5, 1.2, -1.4, 1.6, 0.5, 0.85, 80.0, 1.0, 15.0, 95.0, 3.0)
ANY_WALL: Backs = backs(FRAME, None, (400, 600))
# 0.25 / tan 25 degrees is a wall of 0.536 near radii; 1 - 0.97 is 0.536 cos 25 x 95 px / focal.
TOLD: Backs = backs(FRAME, WallHint(0.536, 0.01, 1540.0), (400, 600))
