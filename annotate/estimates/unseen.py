"""Coverage when no far rim is seen: what can be said, and what can't.

Through the near hole one sees only what is inside both its rims: a lens-shaped part of the wall
behind, smaller than the hole by the strip that its own wall hides. If all of that part is open,
the hole is covered by no more than the strip; if all of it is material, it is open by no more.
Where in the strip the far edge runs is not known: every share of it is counted as equally likely.
"""

from math import pi
from typing import Literal

import numpy as np

from annotate import holes, overlap
from annotate.estimates import weighted
from annotate.holes import Array
from annotate.result import Coverage, Known, Parallax, Result, Unknown
from annotate.sight import sighting

CAVEAT = (
    "no far rim is seen: the strip hidden by the near hole's own wall may hold anything, "
    "and every share of it is counted as equally likely"
)
_NO_RIM = "no far rim is seen, so where the far hole sits is not known"
_NO_FAR = "no far rim is seen: type the far diameter to know its share"


def result(
    ready: sighting.Sighting, state: Array, weight: Array, looks: Literal["open", "shut"]
) -> Coverage:
    """Return the coverage of a hole that looks wholly open, or wholly shut."""
    where = holes.pose(state, ready.camera)
    at_middle = state.copy()
    at_middle[:, [holes.INDEX["far_x"], holes.INDEX["far_y"]]] = 0.0
    shift_x, shift_y = holes.parallax_mm(at_middle, where)
    r_near, r_far = np.exp(holes.column(state, "ln_near")), np.exp(holes.column(state, "ln_far"))
    near_area = pi * r_near**2
    seen = overlap.lens_area(r_near, r_near, np.hypot(shift_x, shift_y))
    # Low-discrepancy shares: smooth in the weights, and no second random stream to keep.
    # Stretched, so that the interval reaches its ends: nothing hidden is an ordinary case.
    share = np.clip(((np.arange(len(state)) * 0.6180339887498949) % 1) * 1.1 - 0.05, 0, 1)
    area = near_area - share * (near_area - seen) if looks == "open" else share * (near_area - seen)
    far_known = ready.givens.far_diameter is not None
    if far_known:
        area = np.minimum(area, pi * r_far**2)

    def fraction(of: Array) -> Known:
        return Known(weighted.summary(np.clip(1 - area / of, 0, 1), weight, "1", 0.0, 1.0))

    def length(values: Array, unit: str = "mm", low: float = -np.inf) -> Result:
        if not ready.scaled():
            return Unknown(sighting.NO_SCALE)
        return Known(weighted.summary(values, weight, unit, low))

    small = pi * np.minimum(r_near, r_far) ** 2 if far_known else near_area
    # Open, and the far hole the smaller: it still covers no more than its strip (it contains
    # all that is seen). Shut, its share hangs on its size.
    covered: Result = fraction(small) if far_known or looks == "open" else Unknown(_NO_FAR)
    return Coverage(
        covered=covered,
        open=_complement(covered),
        covered_of_near=fraction(near_area),
        covered_of_far=fraction(pi * r_far**2) if far_known else Unknown(_NO_FAR),
        open_area=length(area, "mm^2", 0.0),
        equivalent_diameter=length(overlap.equivalent_diameter(area), low=0.0),
        offset=Unknown(_NO_RIM),
        offset_clock=Unknown(_NO_RIM),
        largest_pin=Unknown(_NO_RIM),
        line_of_sight=Known(weighted.summary(holes.sight_angle_deg(state), weight, "deg", 0.0)),
        parallax=Parallax(
            length(shift_x), length(-shift_y), Known(weighted.direction(shift_x, shift_y, weight))
        ),
        uncorrected=Unknown(_NO_RIM),
    )


def _complement(covered: Result) -> Result:
    if isinstance(covered, Unknown):
        return covered
    q = covered.quantity
    turned = tuple(1 - x for x in reversed(q.quantiles))
    return Known(type(q)(1 - q.value, q.unit, q.u, q.dof, turned))
