"""Find a printed target (ArUco marker, chessboard) in a picture, with sub-pixel corners.

A picture is an upright uint8 array, (H, W) grey or (H, W, 3) RGB. Corners are in the pixel
convention of ``marks``.

OpenCV finds and names the targets; ``marker_edge`` then locates a marker's edges again.
"""

from typing import Any

import numpy as np
import numpy.typing as npt

from annotate.fit import FitFailed
from annotate.marks import Chessboard, Dictionary, Marker, PixelPair, Points
from annotate.own_targets import MODULES
from annotate.pixels.half_light import linear_light
from annotate.pixels.marker_edge import refined_corners
from annotate.quantity import Quantity

Picture = npt.NDArray[np.uint8]
_SEEN_PX = 2048  # longest side in which a marker of some 30 px is read


def find_markers(
    picture: Picture, side: Quantity, dictionary: Dictionary = "4x4_50"
) -> tuple[Marker, ...]:
    """Return the markers of one dictionary, by rising id; ``side`` is that of the black square.

    An empty tuple if there is none; of two prints with one id, one is returned.
    """
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    light = linear_light(picture)
    name = f"DICT_{dictionary.upper()}"
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, name)), _marker_parameters(cv2)
    )
    corners, identifiers, _ = detector.detectMarkers(_grey(picture))
    modules = MODULES[dictionary[0]]
    named = np.ravel([] if identifiers is None else identifiers)
    found = {
        int(identifier): refined_corners(light, np.asarray(four, np.float64).reshape(4, 2), modules)
        for identifier, four in zip(named, corners, strict=True)
    }
    return tuple(
        Marker(
            corners_px=_four(found[identifier]),
            side=side,
            identifier=identifier,
            dictionary=dictionary,
        )
        for identifier in sorted(found)
    )


def markers_seen(picture: Picture, dictionary: Dictionary) -> set[int]:
    """Return the ids of a dictionary's markers that are seen at all, without where they lie.

    Looked for in a small copy of a large picture: to be mentioned or asked about, not measured by.
    """
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    grey = _grey(picture)
    factor = -(-max(grey.shape) // _SEEN_PX)
    if factor > 1:
        size = (max(1, grey.shape[1] // factor), max(1, grey.shape[0] // factor))
        grey = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    parameters = _marker_parameters(cv2)
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    named = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, f"DICT_{dictionary.upper()}"))
    _, identifiers, _ = cv2.aruco.ArucoDetector(named, parameters).detectMarkers(grey)
    return {int(each) for each in np.ravel([] if identifiers is None else identifiers)}


def find_chessboard(
    picture: Picture, inner_columns: int, inner_rows: int, square: Quantity
) -> Chessboard | FitFailed:
    """Return the chessboard with this many inner corners, row by row, or why there is none."""
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    if min(inner_columns, inner_rows) < 3:  # noqa: PLR2004 - the detector's own limit
        return FitFailed("a chessboard needs at least 3 x 3 inner corners")
    grey = _grey(picture)
    size = (inner_columns, inner_rows)
    flags = cv2.CALIB_CB_EXHAUSTIVE | cv2.CALIB_CB_ACCURACY
    found, corners = cv2.findChessboardCornersSB(grey, size, flags=flags)
    if not found:
        # The older detector finds some boards that reach the picture's edge.
        found, corners = cv2.findChessboardCorners(grey, size)
    if not found:
        return FitFailed(f"no chessboard of {size[0]} x {size[1]} inner corners is seen")
    points = _refined(grey, np.asarray(corners, dtype=np.float32).reshape(-1, 2))
    return Chessboard(
        corners_px=tuple((float(x), float(y)) for x, y in points),
        inner_columns=inner_columns,
        inner_rows=inner_rows,
        square=square,
    )


def _grey(picture: Picture) -> Picture:
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    if picture.ndim == 2:  # noqa: PLR2004 - grey already
        return picture
    return np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), dtype=np.uint8)


def _refined(grey: Picture, corners: npt.NDArray[np.float32]) -> Points:
    """Return the corners to a part of a pixel, each looked at as widely as its own squares allow.

    A leaning board's near squares are larger than its far ones: one window for all would waste
    most of what is seen of the near corners, or take in the neighbours of the far ones.
    """
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    apart = np.linalg.norm(corners[:, None] - corners[None], axis=2)
    np.fill_diagonal(apart, np.inf)
    halves = np.clip(apart.min(axis=1) / 3, 2, 11).astype(int)
    rounds = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 50, 1e-3)
    refined = np.empty(corners.shape)
    for half in np.unique(halves):
        these = corners[halves == half].reshape(-1, 1, 2)
        found = cv2.cornerSubPix(grey, these, (int(half), int(half)), (-1, -1), rounds)
        refined[halves == half] = found.reshape(-1, 2)
    return refined


def _marker_parameters(cv2: Any) -> Any:  # noqa: ANN401 - cv2 has no types
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    # Every bit must be right: with correction, pieces of other prints pass for markers.
    parameters.errorCorrectionRate = 0.0
    return parameters


def _four(corners: Points) -> tuple[PixelPair, PixelPair, PixelPair, PixelPair]:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return a, b, c, d
