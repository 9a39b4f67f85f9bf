"""Whether the edge taken for the far rim is a slot's: it runs on straight, as no round hole's does.

Parallel planes are seen through a camera as one another enlarged and shifted: in the frame that
makes the near rim a circle a round hole behind is a circle, and a straight side is straight.
"""

from typing import Final

import numpy as np

from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.polar import Array, blurred_both, known, medians, sample_at, slopes

# Near radii that a straight side must be seen on beyond a round end: on less, the border of a
# shadow along a rim may look straight.
_RUN: Final = 0.6
_FROM: Final = 0.03  # near radii from where the side begins: nearer, line and circle are one
_PLACES: Final = 60  # along the run
_BEGINS: Final = np.linspace(-0.1, 0.6, 15)  # radians back from the arc's end where it may begin
_ACROSS: Final = 0.1  # near radii either side that are looked at
_SPACING_PX: Final = 0.7  # of the patch, between samples across
_CLOSE: Final = 0.012  # near radii off a line within which an edge is its own
_INNER: Final = 0.93  # near radii: beyond, the near hole's own edges
_EDGE: Final = 0.3  # edge strength plainly above chance
_WHOLE: Final = 0.95  # share of the run that must have an edge
_PLAIN: Final = 0.7  # mean edge strength on a straight side
_BETTER: Final = 0.25  # of the same, by which the line must be plainer than the circle
# Near radii of a circle beyond which an arc is a straight side: a far hole three times as wide as
# the near one shows hardly more of its rim either.
_STRAIGHT: Final = 3.0
# Near radii of such a piece: a shorter one is too little to tell how it is bent.
_LONG: Final = 0.6
_FLAT: Final = 0.25  # height over length of a piece that a parabola tells as well as a circle


def is_slots(flat: Patch, unit: Array) -> bool:
    """Return whether points found on a far edge lie on a slot's straight side, or at its end.

    ``unit`` (N, 2) are the points in the near rim's unit frame, as ``flat`` is.
    """
    if _is_straight(unit):
        return True
    x, y, radius = _circle(unit)
    around = np.unwrap(np.arctan2(unit[:, 1] - y, unit[:, 0] - x))
    ends = (float(around.min()), -1), (float(around.max()), 1)
    return any(_runs_on(flat, (x, y, radius), end, way) for end, way in ends)


def _circle(unit: Array) -> tuple[float, float, float]:
    """Return x, y, radius of the circle through points (N, 2), by its algebraic distance."""
    middle = unit.mean(axis=0)
    off = unit - middle
    design = np.column_stack([2 * off, np.ones(len(off))])
    x, y, c = np.linalg.lstsq(design, np.sum(off**2, axis=1), rcond=None)[0].tolist()
    return x + middle[0], y + middle[1], float(np.sqrt(max(c + x * x + y * y, 0.0)))


def _is_straight(unit: Array) -> bool:
    """Return whether points (N, 2) lie on a line rather than on a rim: by the bend of a parabola.

    A circle through points on a line is none, and of points nearly on one it comes out too small.
    """
    off = unit - unit.mean(axis=0)
    along, across = (off @ np.linalg.svd(off, full_matrices=False)[2].T).T
    long = np.ptp(along)
    if long < _LONG or np.ptp(across) > _FLAT * long:
        return False
    return bool(abs(2 * np.polyfit(along, across, 2)[0]) < 1 / _STRAIGHT)


def _runs_on(flat: Patch, circle: tuple[float, float, float], end: float, way: int) -> bool:
    """Return whether an edge leaves a circle (x, y, radius) along its tangent, near one end.

    ``end`` is the angle at which the arc that shows ends, ``way`` the sense in which it goes on.
    """
    x, y, radius = circle
    begins = end - way * _BEGINS
    run = np.linspace(_FROM, _RUN, _PLACES)
    out = np.stack([np.cos(begins), np.sin(begins)], axis=-1)[:, None]
    ahead = way * np.stack([-out[..., 1], out[..., 0]], axis=-1)
    line = (x, y) + radius * out + run[:, None] * ahead
    turned = begins[:, None] + way * run / radius
    bent_out = np.stack([np.cos(turned), np.sin(turned)], axis=-1)
    straight = _strength(flat, line, np.broadcast_to(out, line.shape))
    bent = _strength(flat, (x, y) + radius * bent_out, bent_out)
    within = np.all(np.hypot(line[..., 0], line[..., 1]) < _INNER, axis=1)
    worth, whole = straight.mean(axis=1), (straight > _EDGE).mean(axis=1)
    plain = within & (worth > _PLAIN) & (whole > _WHOLE)
    return bool(np.any(plain & (worth > bent.mean(axis=1) + _BETTER)))


def _strength(flat: Patch, places: Array, across: Array) -> Array:
    """Return the edge strength (N, S) on lines through places (N, S, 2), ``across`` as those."""
    off = np.arange(-_ACROSS, _ACROSS + 1e-9, _SPACING_PX / flat.half)
    at = flat.to_px(places[:, :, None] + across[:, :, None] * off[:, None]).astype(np.float32)
    grid = sample_at(flat.image, at[..., 0].copy(), at[..., 1].copy())
    slope = slopes(blurred_both(known(grid), 1.4, 1.2))
    usual = 2 * medians(np.abs(slope[:, ::3])) + 0.5
    strength = np.abs(slope) / (np.abs(slope) + usual[:, None, None])
    return np.asarray((strength * np.exp(-0.5 * (off / _CLOSE) ** 2)).max(axis=2))
