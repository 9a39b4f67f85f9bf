"""Published photos of a chessboard (OpenCV's left*.jpg) through our calibration and our scale.

Two kinds of corners: found here, and refined as the publishers did, in a window of 11 px. The
published camera was fitted to all 13 views, left02 among them, whose corners such a window
mixes up; so our fit is printed with and without it. 100 mm is four squares of 25 mm, read on
every row of every view through the camera that all good views give.
"""

import re
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer
from annotate.optics.calibration import Calibration, calibrate, calibrated
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from
from annotate.target import find_chessboard

Array = npt.NDArray[np.float64]
_COLUMNS, _ROWS, _SQUARE = 9, 6, Quantity(25.0, "mm")
_BAD_VIEW, _ASKED_MM = "left02", 0.35


def print_lens(folder: Path) -> None:
    """Print intrinsics, errors of each view and 100 mm read in each, with the published ones."""
    photos = sorted(folder.glob("left[0-9][0-9].jpg"))
    if not photos:
        raise SystemExit(f"no left01.jpg, left02.jpg, ... in {folder}")
    found, size = _boards(photos)
    refined = [_refined(board, photo) for board, photo in zip(found, photos, strict=True)]
    said = _published(folder / "left_intrinsics.yml")
    print(f"{len(photos)} photos of {size[0]} x {size[1]}; a board of 9 x 6 corners, 25 mm")
    print(f"{'camera':48}{'f':>9}{'cx':>9}{'cy':>9}{'k1':>9}{'k2':>9}")
    print(_camera_row("published (all views, window of 11 px)", said["camera"]))
    bad = [photo.stem for photo in photos].index(_BAD_VIEW)
    for words, boards in (("window of 11 px", refined), ("found here", found)):
        for which, some in ((", all", boards), (f", no {_BAD_VIEW}", _without(boards, bad))):
            camera = calibrate(some, *size)
            if isinstance(camera, LensProfile):
                fitted = [camera.focal_px, camera.cx, camera.cy, camera.k1, camera.k2]
                print(_camera_row(f"{words}{which}", fitted))
    own, theirs = (_calibrated(boards, size) for boards in (found, refined))
    print(f"focal length with its uncertainty (views left out one by one): found here "
          f"{own.profile.focal_px:.2f} +- {own.profile.u_focal_px:.2f}, window of 11 px "
          f"{theirs.profile.focal_px:.2f} +- {theirs.profile.u_focal_px:.2f}")  # fmt: skip
    _print_views(photos, said["views"], (theirs, own), (refined, found))


def _print_views(
    photos: list[Path], published: list[float], made: tuple[Calibration, Calibration],
    boards: tuple[list[Chessboard], list[Chessboard]],
) -> None:  # fmt: skip
    print(f"\n{'':8}{'error, px: published':>22}{'window 11 px':>18}{'found here':>18}"
          f"{'100 mm: median off':>22}{'largest':>9}")  # fmt: skip
    worst = []
    for k, photo in enumerate(photos):
        seen = [
            f"{one.views[k].rms_px:>10.3f} {'used' if one.views[k].used else 'FLAGGED'}"
            for one in made
        ]
        off = np.abs(_hundreds(boards[1][k], made[1].profile) - 100)
        worst.append((photo.stem, float(np.median(off)), float(off.max())))
        print(f"{photo.stem:8}{published[k]:>22.3f}{seen[0]:>18}{seen[1]:>18}"
              f"{np.median(off):>19.3f} mm{off.max():>6.2f} mm")  # fmt: skip
    good = [most for name, _, most in worst if name != _BAD_VIEW]
    inside = sum(most <= _ASKED_MM for most in good)
    print(f"all readings of 100 mm within {_ASKED_MM} mm on {inside} of {len(good)} good views; "
          f"the largest error is {max(good):.2f} mm")  # fmt: skip


def _boards(photos: list[Path]) -> tuple[list[Chessboard], tuple[int, int]]:
    found, size = [], (0, 0)
    for photo in photos:
        with Image.open(photo) as picture:
            size = picture.size
            board = find_chessboard(np.asarray(picture.convert("L")), _COLUMNS, _ROWS, _SQUARE)
        if isinstance(board, FitFailed):
            raise SystemExit(f"{photo.name}: {board.reason}")
        found.append(board)
    return found, size


def _refined(board: Chessboard, photo: Path) -> Chessboard:
    with Image.open(photo) as picture:
        grey = np.asarray(picture.convert("L"))
    start = np.array(board.corners_px, dtype=np.float32).reshape(-1, 1, 2)
    until = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.1)
    corners = cv2.cornerSubPix(grey, start, (11, 11), (-1, -1), until).reshape(-1, 2)
    return Chessboard(tuple(map(tuple, corners.tolist())), _COLUMNS, _ROWS, _SQUARE)


def _calibrated(boards: list[Chessboard], size: tuple[int, int]) -> Calibration:
    made = calibrated(boards, *size)
    if isinstance(made, FitFailed):
        raise SystemExit(made.reason)
    return made


def _hundreds(board: Chessboard, profile: LensProfile) -> Array:
    """Return every 100 mm along the rows of a board as read on its photo, in mm."""
    layer = Layer(profile.width_px, profile.height_px)
    scale = scale_from(board, layer, profile)
    if not isinstance(scale, Scale):
        return np.full(1, np.nan)
    places = scale.to_mm(np.array(board.corners_px)).reshape(_ROWS, _COLUMNS, 2)
    return np.asarray(np.linalg.norm(places[:, 4:] - places[:, :5], axis=2)).ravel()


def _published(path: Path) -> dict[str, list[float]]:
    text = path.read_text("utf-8")

    def numbers(name: str) -> list[float]:
        found = re.search(rf"{name}:.*?data: \[(.*?)\]", text, re.DOTALL)
        return [float(part) for part in found.group(1).split(",")] if found else []

    K, terms = numbers("camera_matrix"), numbers("distortion_coefficients")
    views = numbers("per_view_reprojection_errors")
    return {"camera": [K[0], K[2], K[5], terms[0], terms[1]], "views": views}


def _without(boards: list[Chessboard], bad: int) -> list[Chessboard]:
    return [*boards[:bad], *boards[bad + 1 :]]


def _camera_row(words: str, numbers: list[float]) -> str:
    f, cx, cy, k1, k2 = numbers
    return f"{words:48}{f:>9.2f}{cx:>9.2f}{cy:>9.2f}{k1:>9.4f}{k2:>9.4f}"
