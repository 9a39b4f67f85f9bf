"""The renderer's geometry against an independent library, and its scenes the same every time."""

import subprocess
import sys

import numpy as np
import pytest
from shapely.geometry import Point

from tests.rendered.drilling import FACE, trace
from tests.rendered.picture import known_answer
from tests.rendered.scenes import scene, visible_arc_deg


@pytest.mark.parametrize("number", range(12))
def test_the_known_answer_is_the_area_that_shapely_finds(number: int) -> None:
    drilling = scene(number).drilling
    near = Point(0, 0).buffer(drilling.near_radius, quad_segs=512)
    far = Point(*drilling.offset).buffer(drilling.far_radius, quad_segs=512)
    open_part = near.intersection(far).area / min(near.area, far.area)
    assert drilling.covered() == pytest.approx(1 - open_part, abs=2e-5)
    assert 0 <= drilling.covered() <= 0.95 + 1e-9


@pytest.mark.parametrize("number", range(4))
def test_a_ray_through_a_projected_point_of_the_edge_goes_back_to_it(number: int) -> None:
    one = scene(number)
    edge = one.drilling.near_edge(np.linspace(0, 2 * np.pi, 40))
    ways = one.camera.ways(one.camera.project(edge))
    along = ways / np.linalg.norm(ways, axis=0)
    straight = edge - one.camera.eye[:, None]
    straight /= np.linalg.norm(straight, axis=0)
    assert np.abs(along - straight).max() < 1e-9


def test_a_ray_beside_the_hole_ends_on_the_bore_and_nowhere_else() -> None:
    one = scene(3)
    away = one.drilling.near_radius * 2
    target = np.array([[away], [0.0], [0.0]])
    hits = trace(one.drilling, one.camera.eye, target - one.camera.eye[:, None])
    assert hits.kind.tolist() == [FACE]
    assert hits.point == pytest.approx(target, abs=1e-9)


def test_a_scene_is_the_same_every_time_and_says_what_can_be_answered() -> None:
    assert known_answer(scene(5)) == known_answer(scene(5))
    answerable = [visible_arc_deg(scene(number)) >= 12 for number in range(30)]
    told = [known_answer(scene(number))["truth"]["gallery_rim_visible"] for number in range(30)]
    assert told == answerable
    assert 0.7 < sum(answerable) / 30 <= 1


def test_the_command_makes_a_picture_and_says_what_is_known_of_it(tmp_path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.rendered", tmp_path, "--count", "1", "--processes", "1"],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("r_hole_000  ")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["r_hole_000.jpg", "r_hole_000.json"]
