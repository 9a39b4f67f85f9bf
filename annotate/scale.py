"""Scale marks -> Scale: from pixels to millimetres on the plane that the scale lies in.

Whatever the mark is, it comes down to four corners: places in the straightened picture, with a
covariance, and the square or oblong on the plane that they are the picture of. What the mark does
not show of the plane's lean (a known distance: all of it; a known circle: to which side) is drawn
from a prior (``lean``). The uncertainty is that of the corners, the typed length, the lens
(``lens``) and the lean.
"""

from collections.abc import Callable
from math import acos, cos, degrees, radians, sqrt

import numpy as np
import numpy.typing as npt
from msgspec import Struct, structs

from annotate.fit import FitFailed, Fitted, fit_ellipse, shape_matrix
from annotate.marks import Chessboard, Ellipse, KnownCircle, KnownDistance, Layer, Marker, Points
from annotate.marks import Scale as ScaleMark
from annotate.optics.homography import homography, mapped, normaliser, residuals_and_slopes, solved
from annotate.optics.lean import SQUARE_ON_SIGMA_DEG, Lean
from annotate.optics.lens import USUAL_FOCAL, View, board_points, view_of
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity

Array = npt.NDArray[np.float64]

TARGET_SIGMA_PX = 0.15  # a printed corner that was found: rms 0.05-0.09 rendered, 0.18 on photos
BOARD_SIGMA_PX = 0.06  # a corner of a chessboard, at best: its grid shows how well it was found
HAND_SIGMA_PX = 0.7  # a point set by hand
_UNIT_SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
_CROOKED_PX = 3.0  # residuals of a chessboard that is bent, or not one
_PROBE = 1e-3  # of barrel


class ScaleDraws(Struct, frozen=True, eq=False):
    """Many scales as they may be: homographies (M, 3, 3) from straightened pixels to mm.

    Their places count from the target's middle, those of ``Scale`` from its first corner.
    """

    view: View
    matrices: Array
    barrels: Array

    def to_mm(self, points_px: Array) -> Array:
        """Return points (N, 2), or (M, N, 2) with one set a draw, on the plane: (M, N, 2) in mm."""
        return mapped(self.matrices, self.view.straight(points_px, self.barrels))


class Seen(Struct, frozen=True, eq=False):
    """A printed target's corners as they were found, in px, and their places on its plane, in mm.

    ``sigma_px`` is the standard uncertainty of one coordinate of one corner; or, where ``across``
    has unit normals (N, 2) towards the white side, of places on printed edges across these.
    """

    points_px: Points
    places_mm: Points
    sigma_px: float
    across: Array | None = None


class Scale(Struct, frozen=True, eq=False):
    """From pixels to mm on one plane, and how well that is known.

    ``corners_px`` are straightened with the expected barrel and move by ``by_barrel`` for each
    unit of barrel beyond it; ``covariance`` (8, 8) is that of x and y of each corner in turn;
    ``corners_mm`` are their places on the plane. ``length`` is the typed side or diameter in mm.
    ``seen`` is the target that all this is of, None if it is none.
    """

    view: View
    corners_px: Points
    by_barrel: Points
    covariance: Array
    corners_mm: Points
    length: Quantity
    lean: Lean
    seen: Seen | None = None

    def matrix(self) -> Array:
        """Return the homography (3, 3) from straightened pixels to mm on the plane."""
        return homography(self.corners_px, self.corners_mm)

    def to_mm(self, points_px: Points) -> Points:
        """Return points (N, 2) of the picture on the plane, in mm."""
        return mapped(self.matrix(), self.view.straight(points_px, self.view.barrel_median))

    def to_px(self, places_mm: Points) -> Points:
        """Return where places (N, 2) on the plane, in mm, are in the picture."""
        middle, half = self.view.centre(), self.view.half_diagonal_px()
        to_px = np.linalg.inv(self.matrix()).astype(np.float64)
        away = (mapped(to_px, places_mm) - middle) / half
        away = away * (1 - self.view.barrel_median * np.sum(away**2, axis=-1, keepdims=True))
        found = away * half + middle
        profile = self.view.profile
        return np.asarray(found if profile is None else profile.bend(found))

    def camera_over(self) -> tuple[Points, float]:
        """Return the place (2,) on the plane under the camera and its height over it, in mm.

        With an ordinary focal length where it is not known.
        """
        view = self.view
        if view.focal_px is None:
            usual = sqrt(USUAL_FOCAL[0] * USUAL_FOCAL[1]) * 2 * view.half_diagonal_px()
            view = structs.replace(view, focal_px=usual)
        x, y, origin = pose_of(np.linalg.inv(self.matrix()).astype(np.float64), view).T
        normal = np.cross(x, y)
        height = abs(float(normal @ origin)) / float(np.linalg.norm(normal))
        return -np.array([x @ origin, y @ origin]), height

    def mm_per_px(self, point_px: Points) -> float:
        """Return the scale at a point (2,): the root of the mm^2 on the plane of one px^2."""
        return _root_of_area(self.to_mm(point_px + _UNIT_SQUARE - 0.5))

    def pose(self) -> Array | None:
        """Return the plane as the camera sees it: columns are its axes and its origin, in mm.

        Camera at 0 looking along +z, x right, y down; None where the focal length is not known.
        """
        if self.view.focal_px is None:
            return None
        return pose_of(np.linalg.inv(self.matrix()).astype(np.float64), self.view)

    def tilt_deg(self) -> float | None:
        """Return the angle between the optical axis and the plane's normal, None if not known.

        A known distance does not show it; a marker or chessboard does if the focal length is
        known, a known circle without it (away from the middle of a wide picture, roughly).
        """
        if self.lean.sigma_deg:
            return None
        if self.lean.known_deg:
            return self.lean.known_deg
        axes = self.pose()
        if axes is None:
            return None
        normal = np.cross(axes[:, 0], axes[:, 1])
        return degrees(acos(min(1.0, abs(float(normal[2])) / float(np.linalg.norm(normal)))))

    def sample(self, rng: np.random.Generator, count: int) -> ScaleDraws:
        """Return ``count`` scales as they may be: corners, typed length, lens and lean drawn."""
        barrels = self.view.draw_barrels(rng, count)
        noise = rng.multivariate_normal(np.zeros(8), self.covariance, count, method="svd")
        beyond = (barrels - self.view.barrel_median)[:, None, None] * self.by_barrel
        corners = self.corners_px + beyond + noise.reshape(count, 4, 2)
        to_plane = solved(corners, self.corners_mm)
        # What leans is foreshortened, and its area with it; lengths along the lean's line are not.
        mm_per_px = _root_of_area(self.corners_mm) / _root_of_area(self.corners_px)
        mm_per_px *= sqrt(cos(radians(self.lean.known_deg)))
        focal_mm = self.view.draw_focals_px(rng, count) * mm_per_px
        leaning = self.lean.draw(rng, focal_mm, self.corners_mm)
        stretch = np.ones((count, 3, 1))
        stretch[:, :2, 0] = (self.length.draw(rng, count) / self.length.value)[:, None]
        return ScaleDraws(self.view, stretch * (leaning @ to_plane), barrels)


def scale_from(
    mark: ScaleMark, layer: Layer, profile: LensProfile | None = None
) -> Scale | FitFailed:
    """Return the scale that a mark on a layer gives, or why it gives none.

    ``profile`` is the camera's, if there is one; else the lens is a prior and uncertainty.
    Raises BadMark if the profile is of pictures of another size.
    """
    view = view_of(layer, profile)
    match mark:
        case Marker():
            return _from_marker(mark, view)
        case Chessboard():
            return _from_chessboard(mark, view)
        case KnownDistance():
            return _from_distance(mark, view)
        case KnownCircle():
            return _from_circle(mark, view)


def pose_of(plane_to_px: Array, view: View) -> Array:
    """Return the pose (columns: x axis, y axis, origin in mm) of a plane seen through a view."""
    if view.focal_px is None:
        raise ValueError("a pose needs the focal length")
    cx, cy = view.centre()
    rays = np.array([[1, 0, -cx], [0, 1, -cy], [0, 0, view.focal_px]]) @ plane_to_px
    size = sqrt(float(np.linalg.norm(rays[:, 0]) * np.linalg.norm(rays[:, 1])))
    # A homography has no sign; the plane is in front of the camera.
    axes: Array = rays / (size if rays[2, 2] > 0 else -size)
    return axes


def _from_marker(mark: Marker, view: View) -> Scale | FitFailed:
    seen = np.asarray(mark.corners_px, dtype=np.float64)
    side = mark.side.to("mm")
    turns = [
        _cross(b - a, c - b)
        for a, b, c in zip(*(np.roll(seen, -k, 0) for k in range(3)), strict=True)
    ]
    if min(turns) <= 0 < max(turns) or max(turns) == 0:
        return FitFailed("the marker's corners do not go round a square")

    def corners(barrel: float) -> Points:
        return view.straight(seen, barrel)

    covariance = TARGET_SIGMA_PX**2 * np.eye(8)
    corners_mm = side.value * _UNIT_SQUARE
    return _scale(
        view, corners, covariance=covariance, corners_mm=corners_mm, length=side, lean=Lean(),
        seen=Seen(seen, corners_mm, TARGET_SIGMA_PX),
    )  # fmt: skip


def _from_chessboard(mark: Chessboard, view: View) -> Scale | FitFailed:
    seen, places = np.asarray(mark.corners_px, dtype=np.float64), board_points(mark)
    square = mark.square.to("mm")
    size = np.array([mark.inner_columns - 1, mark.inner_rows - 1]) * square.value
    if min(size) <= 0:
        return FitFailed("a chessboard needs at least 2 x 2 inner corners")
    extremes = _UNIT_SQUARE * size

    def corners(barrel: float) -> Points:
        return mapped(homography(places, view.straight(seen, barrel)), extremes)

    straight = view.straight(seen, view.barrel_median)
    to_px = homography(places, straight)
    off = straight - mapped(to_px, places)
    rms = sqrt(float(np.mean(off**2)) * off.size / max(1, off.size - 8))
    if not rms < _CROOKED_PX:
        return FitFailed("the chessboard's corners do not lie on a flat grid")
    T, U = normaliser(places), normaliser(straight)
    h = U @ to_px @ np.linalg.inv(T)
    entries = (h / h[2, 2]).ravel()[:8]
    slope = residuals_and_slopes(entries, mapped(T, places), mapped(U, straight))[1]
    carried = residuals_and_slopes(entries, mapped(T, extremes), np.zeros((4, 2)))[1]
    spread = carried @ np.linalg.inv(slope.T @ slope) @ carried.T
    sigma_px = max(TARGET_SIGMA_PX, rms)
    covariance = spread.astype(np.float64) * sigma_px**2
    return _scale(
        view, corners, covariance=covariance, corners_mm=extremes, length=square, lean=Lean(),
        seen=Seen(seen, places, max(BOARD_SIGMA_PX, rms)),
    )  # fmt: skip


def _from_distance(mark: KnownDistance, view: View) -> Scale | FitFailed:
    seen = np.array([[mark.a.x_px, mark.a.y_px], [mark.b.x_px, mark.b.y_px]])
    length = mark.length.to("mm")

    def corners(barrel: float) -> Points:
        return _square_on(view.straight(seen, barrel))

    # The square's corners are linear in its two ends: carry a unit of each end's x and y over.
    units = np.stack([_square_on(unit.reshape(2, 2)).ravel() for unit in np.eye(4)], axis=1)
    covariance = HAND_SIGMA_PX**2 * units @ units.T
    lean = Lean(sigma_deg=SQUARE_ON_SIGMA_DEG)
    corners_mm = length.value * _UNIT_SQUARE
    return _scale(
        view, corners, covariance=covariance, corners_mm=corners_mm, length=length, lean=lean
    )


def _from_circle(mark: KnownCircle, view: View) -> Scale | FitFailed:
    seen = np.asarray(mark.points_px, dtype=np.float64).reshape(-1, 2)
    diameter = mark.diameter.to("mm")

    def fitted(barrel: float) -> Fitted[Ellipse] | FitFailed:
        return fit_ellipse(view.straight(seen, barrel), HAND_SIGMA_PX)

    found = fitted(view.barrel_median)
    if isinstance(found, FitFailed):
        return found
    square = 2 * _UNIT_SQUARE - 1

    def corners(barrel: float) -> Points:
        now = fitted(barrel)
        shape = found.shape if isinstance(now, FitFailed) else now.shape
        return np.array([shape.cx, shape.cy]) + square @ shape_matrix(shape)

    # Corner (p, q) = centre + S (p, q), linear in cx, cy, s_xx, s_xy, s_yy.
    carried = np.array([row for p, q in square for row in ((1, 0, p, q, 0), (0, 1, 0, p, q))])
    shape = found.shape
    lean = Lean(
        known_deg=degrees(acos(shape.semi_minor / shape.semi_major)),
        axis_deg=(shape.angle_deg + 90) % 180,
    )
    covariance = carried @ found.covariance @ carried.T
    corners_mm = diameter.value / 2 * square
    return _scale(
        view, corners, covariance=covariance, corners_mm=corners_mm, length=diameter, lean=lean
    )


def _scale(
    view: View,
    corners: Callable[[float], Points],
    *,
    covariance: Array,
    corners_mm: Points,
    length: Quantity,
    lean: Lean,
    seen: Seen | None = None,
) -> Scale | FitFailed:
    if length.value <= 0:
        return FitFailed("the scale's true length must be more than nothing")
    more, less = corners(view.barrel_median + _PROBE), corners(view.barrel_median - _PROBE)
    return Scale(
        view=view,
        corners_px=corners(view.barrel_median),
        by_barrel=(more - less) / (2 * _PROBE),
        covariance=covariance,
        corners_mm=corners_mm,
        length=length,
        lean=lean,
        seen=seen,
    )


def _square_on(ends: Points) -> Points:
    """Return the square (4, 2) with this first side, clockwise in the picture."""
    (ax, ay), (bx, by) = ends
    side = np.array([ay - by, bx - ax])
    return np.array([ends[0], ends[1], ends[1] + side, ends[0] + side])


def _root_of_area(corners: Points) -> float:
    """Return the root of the area of a four-sided figure, its corners (4, 2) in turn."""
    return sqrt(abs(_cross(corners[2] - corners[0], corners[3] - corners[1])) / 2)


def _cross(one: Array, other: Array) -> float:
    return float(one[0] * other[1] - one[1] * other[0])
