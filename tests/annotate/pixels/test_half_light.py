import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.fit import fit_circle
from annotate.marks import Rim
from annotate.pixels.half_light import (
    half_way,
    linear_light,
    offsets,
    profiles,
    refine_rim,
    sampled,
)
from tests.annotate.camera import Picture, coded
from tests.annotate.test_scale import pairs


def disc(
    radius: float, at: tuple[float, float], *, dark: float, bright: float, blur: float
) -> Picture:
    """Return a picture of a disc, blurred in linear light, 8 x 8 rays a pixel."""
    fine = 8
    rows, columns = (np.mgrid[0 : 160 * fine, 0 : 160 * fine] + 0.5) / fine - 0.5
    inside = np.hypot(columns - at[0], rows - at[1]) < radius
    light = np.where(inside, dark, bright).reshape(160, fine, 160, fine).mean(axis=(1, 3))
    reach = np.arange(-8, 9)
    kernel = np.exp(-0.5 * (reach / blur) ** 2)
    kernel /= kernel.sum()
    for axis in (0, 1):
        light = np.apply_along_axis(np.convolve, axis, light, kernel, "same")
    return coded(light)


@pytest.mark.parametrize(("dark", "bright"), [(0.03, 0.6), (0.1, 0.9), (0.5, 0.08)])
@pytest.mark.parametrize("off", [-0.7, 0.0, 0.9])
def test_a_rim_found_off_its_edge_is_brought_to_it(dark, bright, off) -> None:
    at, radius = (78.3, 81.6), 40.4
    picture = disc(radius, at, dark=dark, bright=bright, blur=1.1)
    turn = np.arange(120) * 2 * np.pi / 120
    round_it = np.column_stack([np.cos(turn), np.sin(turn)])
    found = Rim("near", pairs((radius + off) * round_it + at), 0.3, "found")
    refined = refine_rim(picture, found)
    fitted = fit_circle(refined.array_px())
    assert_allclose([fitted.shape.cx, fitted.shape.cy], at, atol=0.05)
    assert_allclose(fitted.shape.radius, radius, atol=0.08)
    assert (refined.sigma_px, refined.which, refined.placed) == (0.3, "near", "found")


def test_gamma_coded_numbers_would_make_the_hole_too_small() -> None:
    picture = disc(40.4, (78.3, 81.6), dark=0.03, bright=0.6, blur=1.1)
    row, steps = np.array([[78.3 + 40.4, 81.6]]), offsets(3.0)
    east = np.array([1.0, 0.0])
    plain = (picture / 255).astype(np.float32)
    true = half_way(profiles(linear_light(picture), row, east, steps), steps)[0]
    naive = half_way(profiles(plain, row, east, steps), steps)[0]
    assert_allclose(true, 0, atol=0.1)
    assert naive[0] < -0.3


def test_a_rim_placed_by_hand_is_the_hands() -> None:
    picture = disc(40, (80, 80), dark=0.03, bright=0.6, blur=1.0)
    turn = np.arange(12) * 2 * np.pi / 12
    by_hand = Rim("near", pairs(41 * np.column_stack([np.cos(turn), np.sin(turn)]) + 80), 0.5)
    assert refine_rim(picture, by_hand) is by_hand


def test_points_without_an_edge_stay_where_they_are() -> None:
    blank = np.full((160, 160), 90, dtype=np.uint8)
    turn = np.arange(60) * 2 * np.pi / 60
    found = Rim(
        "near", pairs(40 * np.column_stack([np.cos(turn), np.sin(turn)]) + 80), 0.5, "found"
    )
    assert_allclose(refine_rim(blank, found).array_px(), found.array_px())
    line = Rim("near", tuple((float(k), float(k)) for k in range(20)), 0.5, "found")
    assert refine_rim(blank, line) is line


def test_half_way_is_found_rising_and_falling_and_told_apart() -> None:
    steps = offsets(2.0)
    rising = np.clip((steps - 0.3) / 2 + 0.5, 0, 1)
    crossing, contrast = half_way(np.array([rising, 1 - rising, np.zeros_like(steps)]), steps)
    assert_allclose(crossing[:2], 0.3, atol=0.02)
    assert contrast[0] > 0 > contrast[1]
    assert np.isnan(crossing[2])


def test_sampling_between_pixel_centres_is_linear() -> None:
    light = np.add.outer(10.0 * np.arange(5), np.arange(6)).astype(np.float32)
    assert_allclose(sampled(light, np.array([[2.0, 3.0], [2.5, 1.25], [0.0, 0.0]])), [32, 15, 0])
    assert_allclose(sampled(light, np.array([[-3.0, -3.0], [99.0, 99.0]])), [0, 45], atol=1e-3)
