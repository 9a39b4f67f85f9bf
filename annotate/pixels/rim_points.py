"""Points placed on an edge -> a Rim; and the ellipse through a rim's points as a frame."""

from typing import Final, Literal

import numpy as np

from annotate.marks import Point, Rim
from annotate.pixels.placing import Placed
from annotate.pixels.polar import Frame, frame_of, harmonics, robust_fit

_CONIC: Final = 5  # points that make an ellipse


def as_rim(
    which: Literal["near", "far", "back"], placed: Placed, most: int, click: Point | None
) -> Rim:
    """Return a found rim with its points thinned evenly."""
    count = len(placed.points)
    pick = np.unique(np.linspace(0, count - 1, min(most, count)).astype(int))
    pairs = tuple((float(x), float(y)) for x, y in placed.points[pick])
    return Rim(which, pairs, placed.sigma_px, "found", click)


def frame_through(near: Rim) -> Frame | None:
    """Return the ellipse through a near rim's points, or None if they make none."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    points = near.array_px()
    if len(points) < _CONIC:
        return None
    centre = points.mean(axis=0)
    (x, y), (a, b), turn = cv2.fitEllipseDirect((points - centre).astype(np.float32))
    if not (np.isfinite([x, y, a, b]).all() and min(a, b) > 0):
        return None
    frame = frame_of(x + centre[0], y + centre[1], (a / 2, b / 2), np.radians(turn))
    for _ in range(3 if len(points) > 2 * _CONIC else 0):
        unit = frame.to_unit(points)
        phi = np.arctan2(unit[:, 1], unit[:, 0])
        radial = np.hypot(unit[:, 0], unit[:, 1]) - 1
        frame = frame.moved(robust_fit(harmonics(phi, 2), radial, 0.05, np.ones(len(phi))))
    return frame
