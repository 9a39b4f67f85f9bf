"""Which way a mark's plane leans, and how far away the camera is taken to be for that."""

from math import cos, radians, tan
from typing import Any

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.marks import KnownCircle, KnownDistance, Point
from annotate.optics.lean import Lean
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import FLAT_LENS, pairs, scale


def test_a_known_circle_leans_to_either_side_and_one_of_them_is_right() -> None:
    # Seen from far enough, the same ellipse is a circle leaning t or -t about the same line.
    spots_mm = np.array([[20.0, 8.0], [36.0, 8.0], [-25.0, -3.0], [-12.0, 11.0]])
    # Rolled about the optical axis, the picture is that of a camera rolled the other way.
    for spin, roll in ((0.0, 0.0), (50.0, 0.0), (0.0, 35.0), (20.0, 120.0)):
        turn = np.array([[np.cos(radians(roll)), -np.sin(radians(roll))],
                         [np.sin(radians(roll)), np.cos(radians(roll))]])  # fmt: skip
        camera = Camera(tilt_deg=25, spin_deg=spin, focal=4000, distance_mm=640)
        other = Camera(tilt_deg=-25, spin_deg=spin, focal=4000, distance_mm=640)
        spots = camera.see(spots_mm)
        rim = (camera.see(circle(15, (0, 0), 60)) - camera.centre) @ turn.T + camera.centre
        mark = KnownCircle(pairs(rim), Quantity(30 / 25.4, "in"))
        lens = structs.replace(FLAT_LENS, fx=4000.0, fy=4000.0)
        found = structs.replace(scale(mark, profile=lens), covariance=np.zeros((8, 8)))
        rolled = (spots - camera.centre) @ turn.T + camera.centre
        draws = found.sample(np.random.default_rng(2), 200).to_mm(rolled)
        got = np.linalg.norm(draws[:, 1::2] - draws[:, ::2], axis=2)
        heaps = np.array([_spans(spots_mm), _spans(other.places(spots))])
        assert np.abs(heaps[0] / heaps[1] - 1).min() > 0.01
        off = np.abs(got[:, None] / heaps - 1).max(axis=2)
        assert off.min(axis=1).max() < 0.004
        # Odds even: 200 tosses leave 72 to 128 at four standard deviations.
        assert 72 <= np.sum(off[:, 0] < off[:, 1]) <= 128
        assert_allclose(found.tilt_deg(), 25, atol=0.5)


def _spans(places: Any) -> Any:
    return np.linalg.norm(places[1::2] - places[::2], axis=1)


def test_a_distance_is_doubted_by_the_lean_a_far_camera_would_have() -> None:
    # With a long lens only the cosine is left: a length across the lean is short by cos t, t a
    # half-normal of 8 degrees (as stated) to any side; its mean square is worked by simulation.
    mark = KnownDistance(Point(700, 600), Point(900, 600), Quantity(20.0, "mm"))
    long = LensProfile(4e5, 4e5, 799.5, 599.5, 0, 0, 0, 0, 0, 1600, 1200, 0.1)
    sure = structs.replace(scale(mark, profile=long), covariance=np.zeros((8, 8)))
    draws = sure.sample(np.random.default_rng(1), 6000)
    across = draws.to_mm(np.array([[800.0, 500.0], [800.0, 700.0]]))
    got = np.linalg.norm(across[:, 1] - across[:, 0], axis=1) / 20
    rng = np.random.default_rng(5)
    lean = radians(8.0) * np.abs(rng.standard_normal(40_000))
    axis = rng.uniform(0, np.pi, 40_000)
    # Unit steps along and across in the picture, on a plane leaning along ``axis``.
    along, aside = np.cos(axis), np.sin(axis)
    kept = np.hypot(along / np.cos(lean), aside)
    other = np.hypot(aside / np.cos(lean), along)
    assert_allclose(np.std(got), np.std(other / kept), rtol=0.08)
    assert_allclose(np.mean(got), np.mean(other / kept), atol=1e-3)
    assert sure.lean == Lean(sigma_deg=8.0)


def _seen_leaning(tilt_deg: float, towards_deg: float) -> KnownCircle:
    """Return a circle as an ellipse of half axes 90 and 90 cos t, the short one along a line."""
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    short, long = 90 * cos(radians(tilt_deg)) * np.cos(turn), 90 * np.sin(turn)
    a = radians(towards_deg)
    x, y = short * np.cos(a) - long * np.sin(a), short * np.sin(a) + long * np.cos(a)
    return KnownCircle(pairs(np.column_stack([799.5 + x, 599.5 + y])), Quantity(30.0, "mm"))


@pytest.mark.parametrize("towards", [0.0, 0.4, 1.0, 37.0, 89.0, 90.0, 91.0, 144.0, 179.0, 179.6])
def test_a_circle_leans_along_the_short_axis_of_what_is_seen(towards: float) -> None:
    lean = scale(_seen_leaning(33.0, towards)).lean
    assert 0 <= lean.axis_deg <= 180
    off = (lean.axis_deg - towards + 90) % 180 - 90
    assert_allclose(off, 0, atol=1e-6)
    assert_allclose(lean.known_deg, 33.0, atol=1e-6)


@pytest.mark.parametrize("tilt", [10.0, 25.0, 40.0, 55.0])
def test_a_leaning_circles_plane_vanishes_where_its_horizon_is(tilt: float) -> None:
    # The horizon of a plane that leans by t is f / tan t from the principal point (Hartley and
    # Zisserman, section 8.6).
    lens = structs.replace(FLAT_LENS, fx=4000.0, fy=4000.0)
    found = scale(_seen_leaning(tilt, 30.0), profile=lens)
    sure = structs.replace(found, covariance=np.zeros((8, 8)))
    horizon = sure.sample(np.random.default_rng(1), 8).matrices[:, 2]
    away = np.abs(horizon @ [799.5, 599.5, 1.0]) / np.hypot(horizon[:, 0], horizon[:, 1])
    assert_allclose(away, 4000 / tan(radians(tilt)), rtol=1e-6)
