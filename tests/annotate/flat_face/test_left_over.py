"""What an adjusted face leaves over: of a perfect picture nothing, of a moved point its move."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.flat_face.face import PAPER_MM
from annotate.flat_face.left_over import LeftOver, left_over
from annotate.flat_face.two_edges import Edges
from annotate.marks import Rim
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import marker, pairs, scale

HOLES = [(9.0, (-40.0, 12.0)), (12.5, (-22.0, -24.0)), (7.2, (30.0, 22.0))]
CAMERA = Camera(tilt_deg=20, spin_deg=70)


def rim(diameter: float, at: tuple[float, float], depth: float = 0.0) -> Rim:
    return Rim("near", pairs(CAMERA.see(circle(diameter / 2, at), PAPER_MM + depth)), 0.2)


def moved(one: Rim, steps: dict[int, float]) -> Rim:
    points = one.array_px()
    out = points - points.mean(axis=0)
    for n, step in steps.items():
        points[n] += step * out[n] / np.linalg.norm(out[n])
    return Rim("near", pairs(points), 0.2)


@pytest.fixture(scope="module")
def perfect() -> LeftOver:
    return left_over(scale(marker(CAMERA)), [rim(*hole) for hole in HOLES])


def test_a_perfect_picture_leaves_nothing_over(perfect: LeftOver) -> None:
    assert_allclose(perfect.print_off_px, 0, atol=0.02)
    assert [edge.hole for edge in perfect.edges] == [0, 1, 2]
    for edge in perfect.edges:
        assert edge.drilled
        assert edge.points_px.shape == (90, 2)
        assert edge.left_out_px.shape == (0, 2)
        assert_allclose(edge.off_px, 0, atol=0.02)
        assert_allclose(edge.edge_px(), edge.points_px, atol=0.02)


def test_the_targets_outline_is_where_its_corners_are_seen(perfect: LeftOver) -> None:
    corners = np.asarray(marker(CAMERA).corners_px)
    assert_allclose(perfect.outline_px, corners, atol=0.5)


def test_a_point_moved_outwards_is_left_over_by_its_move(perfect: LeftOver) -> None:
    one = moved(rim(*HOLES[1]), {20: 0.25, 60: -0.25})
    found = left_over(scale(marker(CAMERA)), [rim(*HOLES[0]), one, rim(*HOLES[2])])
    edge = found.edges[1]
    gaps = [np.linalg.norm(edge.points_px - one.points_px[n], axis=1) for n in (20, 60)]
    at = [int(np.argmin(gap)) for gap in gaps]
    out = edge.points_px[at] - edge.points_px.mean(axis=0)
    away = np.sum(edge.off_px[at] * out, axis=1) / np.linalg.norm(out, axis=1)
    assert_allclose(away, [0.25, -0.25], atol=0.05)
    # The edge is where it was, whatever one point says.
    assert_allclose(edge.edge_px().mean(axis=0), perfect.edges[1].points_px.mean(axis=0), atol=0.05)


def test_points_on_another_edge_are_told_as_left_out() -> None:
    one = moved(rim(*HOLES[0]), dict.fromkeys(range(8), 12.0))
    found = left_over(scale(marker(CAMERA)), [one, *(rim(*hole) for hole in HOLES[1:])])
    assert_allclose(
        np.sort(found.edges[0].left_out_px, axis=0), np.sort(one.array_px()[:8], axis=0)
    )
    assert len(found.edges[0].points_px) + len(found.edges[0].left_out_px) == 90


def test_both_edges_of_a_chamfer_are_told_apart() -> None:
    diameter, at = HOLES[1]
    both = Edges(rim(diameter, at, 0.5), rim(diameter + 1.0, at))
    found = left_over(scale(marker(CAMERA)), [rim(*HOLES[0]), both, rim(*HOLES[2])])
    assert [(edge.hole, edge.drilled) for edge in found.edges] == [
        (0, True), (1, True), (1, False), (2, True),
    ]  # fmt: skip
    inner, outer = found.edges[1:3]
    assert np.ptp(inner.points_px, axis=0).max() < np.ptp(outer.points_px, axis=0).max()
