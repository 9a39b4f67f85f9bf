from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose
from PIL import Image

from annotate.fit import FitFailed
from annotate.marks import Chessboard
from annotate.pixels.half_light import linear_light
from annotate.quantity import Quantity
from annotate.target import find_chessboard, find_markers
from tests.annotate.camera import Camera, coded, photograph

OPENCV_DOC = Path(__file__).parents[1] / "truth" / "opencv-doc"
SIDE = Quantity(12.0, "mm", 0.02)
SMALL = {"width": 360, "height": 300, "focal": 900.0, "distance_mm": 60.0}


@cache
def marker_cells(identifier: int = 7) -> Any:
    """Return a 4x4 marker with its border and a white margin of two modules, as shades."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    bits = cv2.aruco.generateImageMarker(dictionary, identifier, 6)
    cells = np.full((10, 10), 0.8)
    cells[2:8, 2:8] = np.where(bits > 127, 0.8, 0.04)
    return cells


def shot(camera: Camera, **how: float) -> tuple[Any, Any]:
    """Return a picture of the marker, 12 mm a side, and where its corners are seen exactly."""
    picture = photograph(camera, marker_cells(), 2.0, (-11.3, -9.1), **how)
    first = np.array([-11.3 + 4, -9.1 + 4])
    return picture, camera.see(first + 12.0 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]]))


@pytest.mark.parametrize("tilt", [0, 25])
@pytest.mark.parametrize("blur", [0.5, 1.2])
def test_marker_corners_are_found_where_they_are_by_pixel_centres(tilt, blur) -> None:
    picture, true = shot(Camera(**SMALL, tilt_deg=tilt, spin_deg=17), blur=blur)
    (marker,) = find_markers(picture, SIDE)
    assert marker.identifier == 7
    assert marker.side == SIDE
    off = np.array(marker.corners_px) - true
    # Half a pixel of convention, or of shrinking, would show ten times over.
    assert_allclose(off, 0, atol=0.08)
    assert_allclose(off.mean(axis=0), 0, atol=0.03)


def test_a_white_that_blooms_does_not_shrink_the_marker() -> None:
    camera = Camera(**SMALL, tilt_deg=20, spin_deg=-31)
    picture, true = shot(camera, blur=1.2, exposure=3.0)
    assert (picture == 255).mean() > 0.1
    (marker,) = find_markers(picture, SIDE)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50))
    plain = np.asarray(detector.detectMarkers(picture)[0]).reshape(4, 2)
    ours = np.array(marker.corners_px)
    size = [np.linalg.norm(c[2] - c[0]) for c in (true, ours, plain)]
    assert abs(size[1] / size[0] - 1) < 0.001
    assert size[2] / size[0] - 1 < -0.005  # what the detector alone would make of it


def test_colour_pictures_give_the_same_corners() -> None:
    picture, _ = shot(Camera(**SMALL))
    (grey,), (colour,) = (find_markers(p, SIDE) for p in (picture, np.dstack([picture] * 3)))
    assert_allclose(grey.corners_px, colour.corners_px, atol=0.01)


def test_a_picture_without_a_marker_gives_none() -> None:
    assert find_markers(np.full((120, 160), 128, dtype=np.uint8), SIDE) == ()


def test_the_published_marker_photo_shows_its_six_ids() -> None:
    # OpenCV's documentation photo; ids as published with it.
    picture = np.asarray(Image.open(OPENCV_DOC / "singlemarkersoriginal.jpg").convert("RGB"))
    found = find_markers(picture, SIDE, "6x6_250")
    assert [marker.identifier for marker in found] == [23, 40, 62, 98, 124, 203]


def test_chessboard_corners_are_found_where_they_are_by_pixel_centres() -> None:
    cells = np.fromfunction(lambda r, c: np.where((r + c) % 2, 0.8, 0.04), (8, 10))
    padded = np.pad(cells, 1, constant_values=0.8)
    camera = Camera(**SMALL, tilt_deg=22, spin_deg=9)
    corner = (-12.3, -10.7)
    picture = photograph(camera, padded, 2.0, corner)
    board = find_chessboard(picture, 9, 7, Quantity(2.0, "mm"))
    assert isinstance(board, Chessboard)
    columns, rows = np.meshgrid(np.arange(9), np.arange(7))
    inner = np.array(corner) + 4 + 2.0 * np.column_stack([columns.ravel(), rows.ravel()])
    true, got = camera.see(inner), np.array(board.corners_px)
    if np.linalg.norm(got[0] - true[0]) > 5:  # a board may be read from its other end
        got = got[::-1]
    assert_allclose(got, true, atol=0.12)
    assert_allclose((got - true).mean(axis=0), 0, atol=0.03)


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14])
def test_the_published_chessboard_is_found_in_every_photo(number) -> None:
    picture = np.asarray(Image.open(OPENCV_DOC / f"left{number:02d}.jpg").convert("L"))
    board = find_chessboard(picture, 9, 6, Quantity(25.0, "mm"))
    assert isinstance(board, Chessboard)
    corners = np.array(board.corners_px).reshape(6, 9, 2)
    assert (np.linalg.norm(np.diff(corners, axis=1), axis=2) > 8).all()


def test_a_chessboard_that_is_not_there_is_refused_with_its_size() -> None:
    blank = np.full((120, 160), 128, dtype=np.uint8)
    failed = find_chessboard(blank, 9, 6, Quantity(25.0, "mm"))
    assert isinstance(failed, FitFailed)
    assert "9 x 6" in failed.reason
    assert isinstance(find_chessboard(blank, 2, 6, Quantity(25.0, "mm")), FitFailed)


def test_linear_light_undoes_the_coding() -> None:
    light = np.linspace(0, 1, 97).reshape(1, -1)
    assert_allclose(linear_light(coded(light)), light, atol=0.005)
    grey = coded(light)
    assert_allclose(linear_light(np.dstack([grey] * 3)), linear_light(grey), atol=1e-6)
    # IEC 61966-2-1: code 188 is half the light to within rounding (from memory).
    assert_allclose(linear_light(np.array([[188]], dtype=np.uint8)), 0.5, atol=0.005)
