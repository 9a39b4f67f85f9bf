"""What a lens does to straight lines: a measured profile, or a prior where there is none.

A profile comes from several photos of one chessboard and is right for one camera at one focus
setting. Without one, the picture is taken to be a little barrel-shaped: ``barrel`` is how far the
picture's corner has moved towards the centre, as a part of its distance from it, and a point at
a part q of that distance has moved by barrel * q^2 of its own (one radial term, OpenCV's k1).
"""

from collections.abc import Sequence
from math import hypot, isfinite

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.errors import BadMark
from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer, Points

Array = npt.NDArray[np.float64]

# Half-normal prior of the barrel: photos corrected in the camera show none, plain close-up lenses
# 1 to 3 % at the corner. Common practice, no source.
BARREL_SIGMA = 0.012
BARREL_MEDIAN = 0.674 * BARREL_SIGMA

# Focal length over picture diagonal: 26 to 120 mm equivalent.
USUAL_FOCAL = 0.6, 2.8
FULL_FRAME_DIAGONAL_MM = hypot(36.0, 24.0)
_LEAST_PHOTOS = 3
_STRAIGHTENINGS = 6


class LensProfile(Struct, frozen=True):
    """A camera's focal lengths, principal point and distortion (OpenCV's model), in pixels.

    ``width_px`` and ``height_px`` are those of the photos it came from; ``rms_px`` is the root
    mean square distance left between their corners and the model.
    """

    fx: float
    fy: float
    cx: float
    cy: float
    k1: float
    k2: float
    p1: float
    p2: float
    k3: float
    width_px: int
    height_px: int
    rms_px: float

    def __post_init__(self) -> None:
        numbers = (self.cx, self.cy, self.k1, self.k2, self.p1, self.p2, self.k3, self.rms_px)
        if not (min(self.fx, self.fy) > 0 and all(map(isfinite, (self.fx, self.fy, *numbers)))):
            raise BadMark("a lens profile needs positive focal lengths and finite terms")

    def matrix(self) -> Array:
        """Return the camera matrix (3, 3)."""
        return np.array([[self.fx, 0, self.cx], [0, self.fy, self.cy], [0, 0, 1.0]])

    def terms(self) -> Array:
        """Return the distortion terms k1, k2, p1, p2, k3."""
        return np.array([self.k1, self.k2, self.p1, self.p2, self.k3])

    def straighten(self, points_px: Points) -> Points:
        """Return where the points (N, 2) would be in a picture without distortion, in pixels."""
        import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

        # Until it settles: OpenCV's five rounds leave up to a pixel near the corners.
        until = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 100, 1e-12)
        K = self.matrix()
        straight = cv2.undistortPoints(
            np.asarray(points_px, np.float64).reshape(-1, 1, 2),
            K,
            self.terms(),
            None,
            None,
            K,
            until,
        )
        return np.asarray(straight, dtype=np.float64).reshape(-1, 2)


class View(Struct, frozen=True):
    """How the picture was taken, as far as known: its size, focal length and lens."""

    width_px: int
    height_px: int
    focal_px: float | None = None
    profile: LensProfile | None = None

    def centre(self) -> Array:
        """Return where the optical axis is taken to meet the picture, in pixels."""
        if self.profile is not None:
            return np.array([self.profile.cx, self.profile.cy])
        return np.array([(self.width_px - 1) / 2, (self.height_px - 1) / 2])

    def straight(self, points_px: Array, barrel: float | Array) -> Array:
        """Return the points (..., N, 2) freed of the lens's distortion.

        ``barrel`` is one number or an array (M,), which gives (M, N, 2); it means nothing where
        there is a profile, whose own uncertainty is far smaller.
        """
        if self.profile is not None:
            straight = self.profile.straighten(points_px.reshape(-1, 2)).reshape(points_px.shape)
            return np.broadcast_to(straight, (*np.shape(barrel), *straight.shape[-2:])).copy()
        return unbarrelled(points_px, barrel, self.centre(), self.half_diagonal_px())

    def half_diagonal_px(self) -> float:
        """Return the distance from the picture's middle to its corner, in pixels."""
        return hypot(self.width_px, self.height_px) / 2

    def draw_focals_px(self, rng: np.random.Generator, count: int) -> Array:
        """Return ``count`` focal lengths in pixels; over the usual range where not known."""
        if self.focal_px is not None:
            return np.full(count, self.focal_px)
        low, high = (np.log(part * 2 * self.half_diagonal_px()) for part in USUAL_FOCAL)
        draws: Array = np.exp(rng.uniform(low, high, count))
        return draws

    def draw_barrels(self, rng: np.random.Generator, count: int) -> Array:
        """Return ``count`` draws of the barrel from its prior (zeros with a profile)."""
        if self.profile is not None:
            return np.zeros(count)
        return np.abs(rng.normal(0.0, BARREL_SIGMA, count))


def view_of(layer: Layer, profile: LensProfile | None = None) -> View:
    """Return how a layer's photo was taken; a profile, where there is one, knows best.

    Raises BadMark if the profile is of pictures of another size.
    """
    size = (layer.width_px, layer.height_px)
    if profile is not None:
        if (profile.width_px, profile.height_px) != size:
            raise BadMark("the lens profile is of pictures of another size")
        return View(*size, (profile.fx + profile.fy) / 2, profile)
    return View(*size, focal_px(layer))


def focal_px(layer: Layer) -> float | None:
    """Return the focal length in pixels, from the 35 mm equivalent by the diagonal."""
    if layer.focal_35mm is None:
        return None
    return layer.focal_35mm / FULL_FRAME_DIAGONAL_MM * hypot(layer.width_px, layer.height_px)


def unbarrelled(
    points_px: Array, barrel: float | Array, centre_px: Array, half_diagonal_px: float
) -> Array:
    """Return points (..., N, 2) freed of a barrel; an array of M barrels gives (M, N, 2)."""
    seen = (points_px - centre_px) / half_diagonal_px
    amount = np.asarray(barrel, dtype=np.float64)[..., None, None]
    straight = np.broadcast_to(seen, (*np.shape(barrel), *seen.shape[-2:]))
    for _ in range(_STRAIGHTENINGS):  # solves seen = straight (1 - barrel |straight|^2)
        straight = seen / (1 - amount * np.sum(straight**2, axis=-1, keepdims=True))
    result: Array = straight * half_diagonal_px + centre_px
    return result


def calibrate(
    boards: Sequence[Chessboard], width_px: int, height_px: int
) -> LensProfile | FitFailed:
    """Return the lens profile that several photos of one chessboard give, or why not.

    Boards from at least three photos of one size, tilted differently and reaching the corners.
    """
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    if len(boards) < _LEAST_PHOTOS:
        return FitFailed(f"at least {_LEAST_PHOTOS} photos of the chessboard are needed")
    places = [board_points(board).astype(np.float32) for board in boards]
    flat = [np.column_stack([p, np.zeros(len(p), np.float32)]) for p in places]
    seen = [np.asarray(b.corners_px, dtype=np.float32).reshape(-1, 1, 2) for b in boards]
    try:
        rms, K, terms, _, _ = cv2.calibrateCamera(flat, seen, (width_px, height_px), None, None)
    except cv2.error:
        return FitFailed("the photos do not determine the lens; tilt the board more")
    k1, k2, p1, p2, k3 = (float(t) for t in np.ravel(terms)[:5])
    fx, fy, cx, cy = (float(K[0, 0]), float(K[1, 1]), float(K[0, 2]), float(K[1, 2]))
    if not (np.isfinite([fx, fy, cx, cy, k1, k2, p1, p2, k3]).all() and min(fx, fy) > 0):
        return FitFailed("the photos do not determine the lens; tilt the board more")
    return LensProfile(fx, fy, cx, cy, k1, k2, p1, p2, k3, width_px, height_px, float(rms))


def board_points(board: Chessboard) -> Points:
    """Return where the board's corners lie on its plane, in mm, in their order."""
    square = board.square.to("mm").value
    columns, rows = np.meshgrid(np.arange(board.inner_columns), np.arange(board.inner_rows))
    return square * np.column_stack([columns.ravel(), rows.ravel()]).astype(np.float64)
