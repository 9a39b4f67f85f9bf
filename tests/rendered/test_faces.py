"""The face renderer's geometry against closed forms, and its scenes the same every time."""

import subprocess
import sys

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.rendered.drilled_plate import (
    BOTTOM,
    CHAMFER,
    FACE,
    INK,
    PAPER,
    WALL,
    DrilledHole,
    Plate,
    Print,
    trace,
)
from tests.rendered.face_picture import face_answer
from tests.rendered.faces import face_scene

HOLE = DrilledHole(x=5.0, y=-3.0, radius=4.0, chamfer=0.5, slope=1.0, depth=12.0, through=False)
BLANK = Print(np.ones((2, 3), dtype=bool), 2.0, 1.0, (30.0, 30.0), 0.0, 0.1)


def met(at: tuple[float, float]) -> tuple[int, np.ndarray]:
    """Return what a ray straight down over a place of the plate ends on, and where."""
    eye = np.array([*at, 200.0])
    hits = trace(Plate((HOLE,), BLANK), eye, np.array([[0.0], [0.0], [-1.0]]))
    return int(hits.kind[0]), hits.point[:, 0]


@pytest.mark.parametrize(
    ("at", "kind", "z"),
    [
        ((0.0, 0.0), FACE, 0.0),  # 5.8 mm from the axis
        ((9.3, -3.0), CHAMFER, -0.2),  # 4.3 mm from it: 0.2 mm down a chamfer of 45 degrees
        ((8.0, -3.0), BOTTOM, -12.0),
        ((31.0, 29.0), INK, 0.1),
        ((29.5, 30.5), PAPER, 0.1),  # up and left of the pattern's corner
    ],
)
def test_a_ray_straight_down_ends_where_a_drawing_shows(at, kind, z) -> None:
    found, point = met(at)
    assert found == kind
    assert_allclose(point, [*at, z], atol=1e-6)


def test_a_slanted_ray_meets_the_far_side_of_the_wall() -> None:
    # In over the axis at 45 degrees: the wall, 4 mm away, is met 4 mm down.
    eye = np.array([5.0 - 100.0, -3.0, 100.0])
    hits = trace(Plate((HOLE,), BLANK), eye, np.array([[1.0], [0.0], [-1.0]]))
    assert hits.kind.tolist() == [WALL]
    assert_allclose(hits.point[:, 0], [9.0, -3.0, -4.0], atol=1e-6)


@pytest.mark.parametrize("number", range(4))
def test_what_is_projected_agrees_with_opencv_and_goes_back(number: int) -> None:
    camera = face_scene(number).camera
    points = np.random.default_rng(number).uniform(-40, 40, (3, 20))
    matrix = np.diag([camera.focal_px, camera.focal_px, 1.0])
    matrix[:2, 2] = np.array([camera.width - 1, camera.height - 1]) / 2 + camera.axis
    turn = cv2.Rodrigues(camera.turn)[0]
    distortion = np.array([camera.k1, 0.0, 0.0, 0.0])
    seen = cv2.projectPoints(points.T, turn, -camera.turn @ camera.eye, matrix, distortion)[0]
    assert_allclose(camera.project(points), seen[:, 0], atol=1e-6)
    ways = camera.ways(seen[:, 0])
    straight = points - camera.eye[:, None]
    assert_allclose(
        ways / np.linalg.norm(ways, axis=0), straight / np.linalg.norm(straight, axis=0), atol=1e-7
    )


@pytest.mark.parametrize("number", range(8))
def test_holes_lie_apart_clear_of_the_paper_and_in_the_picture(number: int) -> None:
    one = face_scene(number)
    angles = np.linspace(0, 2 * np.pi, 90)
    assert len(one.plate.holes) >= 3
    for hole in one.plate.holes:
        edge = hole.edge(angles, drilled=False)
        assert not one.plate.target.holds(edge[:2]).any()
        seen = one.camera.project(edge)
        assert (seen > 0).all()
        assert (seen < [one.camera.width, one.camera.height]).all()
    apart = {(d["a"], d["b"]): d["mm"] for d in face_answer(one)["truth"]["distances"]}
    for (a, b), mm in apart.items():
        assert mm > one.plate.holes[a].outer + one.plate.holes[b].outer


def test_a_scene_is_the_same_every_time() -> None:
    assert face_answer(face_scene(5)) == face_answer(face_scene(5))
    assert face_answer(face_scene(5)) != face_answer(face_scene(6))


def test_the_command_makes_a_face_whose_marker_opencv_reads(tmp_path) -> None:
    number = next(n for n in range(20) if face_scene(n).known["type"] == "aruco")
    done = subprocess.run(
        [sys.executable, "-m", "tests.rendered", tmp_path, "--faces", "--count", "1",
         "--first", str(number), "--processes", "1"],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    name = face_scene(number).name
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"{name}.jpg", f"{name}.json"]
    picture = cv2.imread(str(tmp_path / f"{name}.jpg"), cv2.IMREAD_GRAYSCALE)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, found, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(picture)
    assert found.ravel().tolist() == [face_scene(number).known["id"]]
    one = face_scene(number)
    w, h = one.plate.target.size
    true = one.camera.project(
        one.plate.target.on_face(np.array([0, w, w, 0.0]), np.array([0, 0, h, h]))
    )
    assert_allclose(corners[0][0], true, atol=2.5)
