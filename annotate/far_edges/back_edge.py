"""Where the near hole's own far edge can lie inside the near rim, before any edge is looked at.

In the near rim's unit frame that edge is a circle: the near rim, smaller by the wall's depth per
distance of the camera, moved along the ellipse's minor axis by t tan(theta), with the wall t in
near radii and the tilt theta from the ratio of the axes. To which side is not told: there are two
such circles, one for each way the hole may lean. (A ray through a tilted cylinder; no source.)

With sizes typed t is known up to the chamfer's depth, which the near rim lies below the face;
without, t is anything that is drilled.
"""

from math import ceil
from typing import Final

import numpy as np
from msgspec import Struct

from annotate.far_edges.arcs import Arc, along, piece_of
from annotate.optics.lens import FULL_FRAME_DIAGONAL_MM
from annotate.pixels.polar import AXES_BLUR, Array, Frame, Tilt, tilt_of
from annotate.wall_hint import WallHint

_RADII: Final = (0.93, 0.96, 0.99, 1.02)  # near radii: less by depth per distance
_THICKEST: Final = 1.8  # near radii of wall
_SLACK: Final = 0.03  # near radii by which a circle's place may be off
_STEP: Final = 0.012  # near radii between circles that are tried
_GRAIN: Final = 0.006  # near radii between circles worth telling apart
_CHAMFER: Final = 0.25  # near radii: the deepest chamfer, at most half of the wall
_FOCAL_35MM: Final = (22.0, 110.0)  # of cameras, where nothing tells; common practice, no source
_FOCAL_BLUR: Final = 1.08  # EXIF rounds, and the lens breathes when close
_RADIUS_BLUR: Final = 0.006  # near radii
_ON_IT: Final = 0.02  # near radii from a circle within which an arc runs along it


class Backs(Struct, frozen=True):
    """Circles (N, 3) of x, y, radius in near radii that the edge may be, one array for each lean.

    ``told``: a typed wall foretells them; else there is one array with all of them. ``slack``: how
    far, in near radii, they may lie off for what is not known of the near rim itself.
    """

    leans: tuple[Array, ...]
    told: bool
    slack: float = 0.0

    def off(self, arc: Arc) -> float:
        """Return how far, in near radii, the piece of an arc runs from all that can be the edge.

        Of the piece four fifths are asked: its ends may belong to something else.
        """
        return min(self.off_each(arc))

    def off_each(self, arc: Arc) -> list[float]:
        """Return the same for each lean."""
        return [max(0.0, off - self.slack) for off in self.runs_off(arc)]

    def runs_off(self, arc: Arc) -> list[float]:
        """Return the same with the near rim taken to lie as found: to compare arcs by."""
        return [float(along(arc, circles, share=0.8).min()) for circles in self.leans]

    def nearest(self, arc: Arc) -> tuple[float, float, float]:
        """Return the circle that the piece of an arc runs nearest to."""
        circles = np.concatenate(self.leans)
        x, y, radius = circles[np.argmin(along(arc, circles, share=0.8))].tolist()
        return x, y, radius

    def outside(self, arc: Arc) -> float:
        """Return the least share of an arc's piece that lies plainly outside such a circle.

        The part behind is seen through the edge, so what lies outside it is on the near hole's
        wall, whichever way the hole leans.
        """
        points = piece_of(arc)
        shares = [
            (
                np.hypot(*(points[:, None] - c[:, :2]).transpose(2, 0, 1)) - c[:, 2]
                > _ON_IT + self.slack
            )
            .mean(axis=0)
            .min()
            for c in self.leans
        ]
        return float(min(shares))


def backs(frame: Frame, hint: WallHint | None, shape: tuple[int, ...], slack: float = 0.0) -> Backs:
    """Return where the edge may lie in a near rim's frame, in a picture of ``shape`` pixels.

    ``slack``: how far off the near rim the frame may lie, in near radii.
    """
    if hint is None:
        return Backs((_anywhere(tilt_of(frame)),), told=False)
    circles = _foretold(frame, hint, shape, slack)
    return Backs((circles, circles * (-1, -1, 1)), told=True, slack=slack)


def _anywhere(tilt: Tilt) -> Array:
    """Return the circles of every wall that is drilled."""
    # The thickest wall and the steepest tilt that the ellipse allows are not assumed together.
    most = max(tilt.most, _THICKEST * (tilt.least + tilt.most) / 2) + _SLACK
    moves = np.arange(-most, most + 1e-9, 0.01)[:, None] * tilt.along
    return np.concatenate([np.column_stack([moves, np.full(len(moves), r)]) for r in _RADII])


def _foretold(frame: Frame, hint: WallHint, shape: tuple[int, ...], slack: float) -> Array:
    """Return the circles of a known wall, for the lean along the minor axis."""
    # Off by so much at both ends of both axes, a circle looks flattened by up to twice as much.
    ratio, way = _tilts(frame, AXES_BLUR + 2 * slack)
    tangent = np.sqrt(1 / ratio**2 - 1)
    least = max(hint.radii - _CHAMFER, hint.radii / 2)
    most = hint.radii + 2 * hint.u_radii
    steps = min(2 + ceil((most - least) * float(tangent.max()) / _STEP), 40)
    wall = np.linspace(least, most, steps)[:, None]
    # A circle at depth t cos(theta) behind one at distance D = f r / r_px looks 1 - t cos r_px / f.
    shrink = frame.radius_px / np.array(_focal_px(hint, shape))
    radius = 1 - wall[..., None] * ratio[:, None] * shrink
    near, far = radius.max(axis=-1) + _RADIUS_BLUR, radius.min(axis=-1) - _RADIUS_BLUR
    count = max(2, 1 + ceil(float((near - far).max()) / _STEP))
    part = np.linspace(0, 1, count)
    radii = far[..., None] + (near - far)[..., None] * part
    moves = (wall * tangent)[..., None] * way
    places = np.broadcast_to(moves[:, :, None, :], (*radii.shape, 2))
    circles = np.concatenate([places, radii[..., None]], axis=-1).reshape(-1, 3)
    # Of those that are hardly apart one is enough.
    return _GRAIN * np.unique(np.rint(circles / _GRAIN), axis=0)


def _tilts(frame: Frame, blur: float) -> tuple[Array, Array]:
    """Return the ratios of axes (N,) that the ellipse allows and the ways (N, 2) it then leans.

    An ellipse is a circle flattened by a small amount in one direction; both are blurred alike, so
    of one that is nearly round the direction is hardly known.
    """
    values, vectors = np.linalg.eigh(frame.matrix)
    along = vectors[:, 0]
    flat = 1 - abs(float(values[0] / values[1]))
    turn = 2 * np.arctan2(along[1], along[0])
    round_it = np.pi / 6 * np.arange(12)
    ring = np.stack([np.cos(round_it), np.sin(round_it)], axis=-1)
    strays = np.concatenate(
        [np.zeros((1, 2)), *(part * blur * ring for part in (0.25, 0.5, 0.75, 1))]
    )
    amount = flat * np.array([np.cos(turn), np.sin(turn)]) + strays
    size = np.hypot(amount[:, 0], amount[:, 1])
    angle = np.arctan2(amount[:, 1], amount[:, 0]) / 2
    way = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    way *= np.where(way @ along < 0, -1.0, 1.0)[:, None]
    return np.clip(1 - size, 0.1, 1.0), way


def _focal_px(hint: WallHint, shape: tuple[int, ...]) -> tuple[float, float]:
    """Return the shortest and the longest focal length in pixels."""
    if hint.focal_px is not None:
        return hint.focal_px / _FOCAL_BLUR, hint.focal_px * _FOCAL_BLUR
    diagonal = float(np.hypot(shape[0], shape[1])) / FULL_FRAME_DIAGONAL_MM
    return _FOCAL_35MM[0] * diagonal, _FOCAL_35MM[1] * diagonal
