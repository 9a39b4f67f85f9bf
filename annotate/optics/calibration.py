"""Photos of one chessboard -> the camera's lens profile, how well it is known, and the bad views.

The model is a pinhole with one focal length for both directions and OpenCV's five distortion terms
(Zhang, IEEE PAMI 22 (2000) 1330-1334). Uncertainties come from leaving out one view after the other
(the jackknife: Efron and Stein, Annals of Statistics 9 (1981) 586-596): the corners of one view are
off together, by a bent board or a blur, so that counting each corner for itself would claim too
much. A view is set against the camera that the OTHERS give, for a bad one bends the camera to suit.
"""

from collections.abc import Sequence
from math import hypot

import numpy as np
from msgspec import Struct, structs

from annotate.fit import FitFailed
from annotate.marks import Chessboard
from annotate.optics.lens import board_points
from annotate.optics.profile import Array, LensProfile

FEWEST_VIEWS = 6
_LEAST_PHOTOS = 3
# A view is bad if its corners are this much farther off than is usual among the others, and by more
# than a corner is ordinarily found to; no source.
_BAD, _BAD_PX = 3.0, 0.4
_ALIKE_DEG = 15.0  # under it focal length and distance are hardly told apart
_SMALL_REACH = 0.5
_POOR_FOCAL = 0.03  # as vague as a figure in the file


class ViewFound(Struct, frozen=True):
    """How well a view goes with the camera of the others: rms in pixels, and whether it counts."""

    rms_px: float
    used: bool


class Calibration(Struct, frozen=True):
    """A lens profile, and every view in the order given."""

    profile: LensProfile
    views: tuple[ViewFound, ...]
    tilt_spread_deg: float


def calibrated(
    boards: Sequence[Chessboard], width_px: int, height_px: int
) -> Calibration | FitFailed:
    """Return the lens that photos of one chessboard give, bad views left out, or why none.

    The reason says what to photograph. At most a third of the views is left out as bad.
    """
    size = (width_px, height_px)
    if len(boards) < FEWEST_VIEWS:
        return FitFailed(
            f"photos of the chessboard that can be used: {len(boards)}; at least {FEWEST_VIEWS} "
            "are needed: take more, the board tilted another way in each"
        )
    used = list(range(len(boards)))
    while True:
        cameras = _left_out([boards[k] for k in used], size)
        if isinstance(cameras, FitFailed):
            return cameras
        off = [off_px(boards[k], camera) for k, camera in zip(used, cameras, strict=True)]
        worst = int(np.argmax(off))
        if off[worst] <= max(_BAD * float(np.median(off)), _BAD_PX):
            break
        if len(used) - 1 < max(FEWEST_VIEWS, 2 * len(boards) / 3):
            return FitFailed(
                "too many photos do not go together: take all at one zoom and focus, sharp, with "
                "the board flat"
            )
        del used[worst]
    return _judged(boards, used, cameras, size)


def calibrate(
    boards: Sequence[Chessboard], width_px: int, height_px: int
) -> LensProfile | FitFailed:
    """Return the camera that photos of one chessboard give, all of them taken, or why not."""
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    if len(boards) < _LEAST_PHOTOS:
        return FitFailed(f"at least {_LEAST_PHOTOS} photos of the chessboard are needed")
    flat = [_solid(board) for board in boards]
    seen = [np.asarray(b.corners_px, dtype=np.float32).reshape(-1, 1, 2) for b in boards]
    try:
        rms, K, terms, _, _ = cv2.calibrateCamera(
            flat, seen, (width_px, height_px), np.eye(3), None, flags=cv2.CALIB_FIX_ASPECT_RATIO
        )
    except cv2.error:
        return FitFailed("the photos do not determine the lens; tilt the board more")
    k1, k2, p1, p2, k3 = (float(t) for t in np.ravel(terms)[:5])
    fx, fy, cx, cy = (float(K[0, 0]), float(K[1, 1]), float(K[0, 2]), float(K[1, 2]))
    if not (np.isfinite([fx, fy, cx, cy, k1, k2, p1, p2, k3]).all() and min(fx, fy) > 0):
        return FitFailed("the photos do not determine the lens; tilt the board more")
    return LensProfile(fx, fy, cx, cy, k1, k2, p1, p2, k3, width_px, height_px, float(rms))


def off_px(board: Chessboard, profile: LensProfile) -> float:
    """Return how far a view's corners lie from where a camera would see them, rms in pixels.

    The board's own place and tilt are fitted; infinite where none fits.
    """
    off = corners_off_px(board, profile)
    return float("inf") if off is None else float(np.sqrt(np.mean(np.sum(off**2, axis=1))))


def corners_off_px(board: Chessboard, profile: LensProfile) -> "Array | None":
    """Return how far a view's corners (N, 2) were found from where a camera would see them, in px.

    The board's own place and tilt are fitted; None where none fits.
    """
    turned = _posed(board, profile)
    if turned is None:
        return None
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    there = cv2.projectPoints(_solid(board), *turned, profile.matrix(), profile.terms())[0]
    return np.asarray(board.corners_px) - np.asarray(there, np.float64).reshape(-1, 2)


def _judged(
    boards: Sequence[Chessboard],
    used: list[int],
    cameras: list[LensProfile],
    size: tuple[int, int],
) -> Calibration | FitFailed:
    kept = [boards[k] for k in used]
    profile = calibrate(kept, *size)
    if isinstance(profile, FitFailed):
        return profile
    spread = _tilt_spread_deg(kept, profile)
    if spread < _ALIKE_DEG:
        return FitFailed(
            f"the board is tilted alike in all photos, within {spread:.0f} degrees: tilt it by 20 "
            "to 40 degrees, to another side in each"
        )
    profile = _with_doubt(profile, cameras, kept)
    if profile.reach < _SMALL_REACH:
        return FitFailed(
            f"the board reaches only {100 * profile.reach:.0f} % of the way from the picture's "
            "middle to its corner: go closer, and bring it into every corner of the picture"
        )
    if not profile.u_focal_px < _POOR_FOCAL * profile.focal_px:
        return FitFailed(
            f"the photos leave the focal length open by {profile.u_focal_px:.0f} of "
            f"{profile.focal_px:.0f} pixels: take more, tilted more, the board filling the picture"
        )
    # A view that was left out is set against the final camera, the others against their own.
    of_used = dict(zip(used, cameras, strict=True))
    views = tuple(
        ViewFound(off_px(board, of_used.get(k, profile)), k in of_used)
        for k, board in enumerate(boards)
    )
    return Calibration(profile, views, spread)


def _left_out(boards: list[Chessboard], size: tuple[int, int]) -> list[LensProfile] | FitFailed:
    """Return the camera that the other views give, for each view."""
    cameras = []
    for k in range(len(boards)):
        camera = calibrate([*boards[:k], *boards[k + 1 :]], *size)
        if isinstance(camera, FitFailed):
            return camera
        cameras.append(camera)
    return cameras


def _with_doubt(
    profile: LensProfile, cameras: list[LensProfile], boards: list[Chessboard]
) -> LensProfile:
    """Return the profile with its jackknife uncertainties and its reach."""
    seen = np.concatenate([np.asarray(board.corners_px) for board in boards])
    half_px = hypot(profile.width_px, profile.height_px) / 2
    reach = float(np.linalg.norm(seen - profile.centre(), axis=1).max()) / half_px
    grid = _over_picture(profile, min(reach, 1.0))
    centres = np.array([camera.centre() for camera in cameras])
    return structs.replace(
        profile,
        u_focal_px=_jackknife(np.array([camera.focal_px for camera in cameras])),
        u_centre_px=max(_jackknife(centres[:, 0]), _jackknife(centres[:, 1])),
        u_barrel=_jackknife(np.array([_bend_beside(profile, one, grid) for one in cameras])),
        reach=reach,
    )


def _over_picture(profile: LensProfile, reach: float) -> Array:
    """Return places (N, 2) all over the part of the picture that was seen."""
    x, y = np.meshgrid(np.linspace(0, profile.width_px, 9), np.linspace(0, profile.height_px, 7))
    grid = np.column_stack([x.ravel(), y.ravel()])
    half_px = hypot(profile.width_px, profile.height_px) / 2
    kept: Array = grid[np.linalg.norm(grid - profile.centre(), axis=1) <= reach * half_px]
    return kept


def _bend_beside(profile: LensProfile, other: LensProfile, grid: Array) -> float:
    """Return by how much another camera bends the picture more, as a barrel at its corner.

    Sight lines of both, compared; what a longer focal length or another aim would explain is
    taken out, for those have uncertainties of their own.
    """
    one, two = (
        (camera.straighten(grid) - camera.centre()) / camera.focal_px for camera in (profile, other)
    )
    half = hypot(profile.width_px, profile.height_px) / 2 / profile.focal_px
    r2 = np.sum(one**2, axis=1, keepdims=True) / half**2
    zero, unit = np.zeros(len(grid)), np.ones(len(grid))
    columns = np.column_stack(
        [
            one.T.ravel(),
            (one * r2).T.ravel(),
            np.concatenate([unit, zero]),
            np.concatenate([zero, unit]),
        ]
    )
    return float(np.linalg.lstsq(columns, (two - one).T.ravel(), rcond=None)[0][1])


def _jackknife(values: Array) -> float:
    """Return the standard uncertainty of what each value is with one view left out."""
    count = len(values)
    return float(np.sqrt((count - 1) / count * np.sum((values - values.mean()) ** 2)))


def _tilt_spread_deg(boards: Sequence[Chessboard], profile: LensProfile) -> float:
    """Return the largest angle between the boards' normals as the camera sees them, in degrees."""
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    poses = [pose for board in boards if (pose := _posed(board, profile)) is not None]
    normals = np.array([cv2.Rodrigues(turn)[0][:, 2] for turn, _ in poses])
    return float(np.degrees(np.arccos(np.clip(np.abs(normals @ normals.T), 0, 1)).max()))


def _posed(board: Chessboard, profile: LensProfile) -> tuple[Array, Array] | None:
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    seen = np.asarray(board.corners_px, dtype=np.float64).reshape(-1, 1, 2)
    found, turn, shift = cv2.solvePnP(_solid(board), seen, profile.matrix(), profile.terms())
    return (np.asarray(turn, np.float64), np.asarray(shift, np.float64)) if found else None


def _solid(board: Chessboard) -> Array:
    """Return the corners on the board with a third coordinate of 0, in mm."""
    places = board_points(board)
    solid: Array = np.column_stack([places, np.zeros(len(places))]).astype(np.float32)
    return solid
