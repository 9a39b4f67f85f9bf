from math import acos, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely import Polygon
from shapely.geometry import Point as Spot

from annotate.errors import BadMark
from annotate.fit import outline_points
from annotate.marks import Ellipse
from annotate.overlap import (
    ellipse_area,
    ellipse_overlap,
    equivalent_diameter,
    largest_pin,
    lens_area,
)
from tests.truth import geometry

radii = st.floats(0.05, 50)
parts = st.floats(0, 1)


def ellipse(a: float, b: float, x: float, y: float, turn: float) -> Ellipse:
    angle = np.degrees(turn) % 180
    return Ellipse(x, y, a, b, angle) if a >= b else Ellipse(x, y, b, a, (angle + 90) % 180)


@pytest.mark.parametrize(("r1", "r2", "s", "area"), geometry.LENSES)
def test_published_lens_areas_come_out(r1, r2, s, area) -> None:
    assert_allclose(lens_area(r1, r2, s), area, rtol=5e-9)


def test_the_goat_grazes_half_the_field() -> None:
    assert_allclose(lens_area(1.0, geometry.GOAT_RADIUS, 1.0), pi / 2, rtol=1e-11)


def test_printed_fractions_of_the_smaller_circle() -> None:
    # Closed form, hand-worked.
    assert_allclose(lens_area(3, 2, 2) / (pi * 4), 0.74170006, atol=5e-9)
    assert_allclose(lens_area(1, 1, 1) / pi, 0.3910022190, atol=5e-11)


@pytest.mark.parametrize(
    ("r1", "r2", "s", "area"),
    [
        (3, 2, 0, pi * 4),  # concentric
        (3, 2, 1, pi * 4),  # touching from inside
        (3, 2, 0.999999, pi * 4),
        (3, 2, 5, 0.0),  # touching from outside
        (3, 2, 5.000001, 0.0),
        (2, 2, 0, pi * 4),  # the same circle
        (2, 2, 1e9, 0.0),
        (5, 0.1, 5.1, 0.0),
    ],
)
def test_edges_of_the_formula_have_their_limits(r1, r2, s, area) -> None:
    assert_allclose(lens_area(r1, r2, s), area, rtol=1e-12, atol=0)


def test_thin_lenses_keep_their_figures_near_touching() -> None:
    # Two equal caps whose half angle t has r (1 - cos t) = gap / 2; a thin cap's area is
    # r^2 (2/3) t^3 to first order. Powers of two: the gap itself is exact beside 4.
    for gap in (2.0**-14, 2.0**-24, 2.0**-40):
        first_term = 2 * 4.0 * (2 / 3) * sqrt(gap / 2.0) ** 3
        assert_allclose(lens_area(2.0, 2.0, 4.0 - gap), first_term, rtol=0.1 * gap + 1e-12)


def test_thin_and_fat_lenses_together_keep_the_figures_of_each() -> None:
    # Two unit circles whose outlines cross under the half angle t: 2 (t - sin t cos t), exact.
    t = np.array([0.3, 0.45, 0.499, 0.501, 0.8, 1.2])
    wanted = 2 * (t - np.sin(t) * np.cos(t))
    assert_allclose(lens_area(1.0, 1.0, 2 * np.cos(t)), wanted, rtol=2e-14)
    gap = 2.0**-40
    thin, fat = lens_area(2.0, 2.0, np.array([4.0 - gap, 2.0]))
    assert_allclose(thin, 2 * 4.0 * (2 / 3) * sqrt(gap / 2.0) ** 3, rtol=0.1 * gap + 1e-12)
    assert_allclose(fat, 4 * (2 * pi / 3 - sqrt(3) / 2), rtol=1e-14)


def test_a_nearly_contained_circle_lacks_only_its_thin_crescent() -> None:
    exact = pi * 1.0
    for beyond in (1e-3, 1e-5):
        area = float(lens_area(2.0, 1.0, 1.0 + beyond))
        # acos form in extended precision would be needed here; the crescent is positive and small.
        assert 0 < exact - area < 4 * beyond**1.5


@given(r1=radii, r2=radii, part=parts)
def test_shapely_agrees_on_circles(r1, r2, part) -> None:
    s = part * 1.1 * (r1 + r2)
    one = Spot(0, 0).buffer(r1, quad_segs=512)
    other = Spot(s, 0).buffer(r2, quad_segs=512)
    assert_allclose(
        lens_area(r1, r2, s), one.intersection(other).area, atol=2e-5 * min(r1, r2) ** 2
    )


@given(r1=radii, r2=radii, part=parts, scale=st.floats(0.01, 100))
def test_order_sign_and_size_are_free(r1, r2, part, scale) -> None:
    s = part * (r1 + r2)
    area = lens_area(r1, r2, s)
    assert lens_area(r2, r1, s) == area
    assert lens_area(r1, r2, -s) == area
    assert_allclose(lens_area(scale * r1, scale * r2, scale * s), scale**2 * area, rtol=1e-6)
    assert 0 <= area <= pi * min(r1, r2) ** 2


@given(r1=radii, r2=radii, a=parts, b=parts)
def test_more_offset_never_opens_more(r1, r2, a, b) -> None:
    near, far = sorted((a * 1.2 * (r1 + r2), b * 1.2 * (r1 + r2)))
    assert lens_area(r1, r2, far) <= lens_area(r1, r2, near) * (1 + 1e-12) + 1e-12
    assert largest_pin(r1, r2, far) <= largest_pin(r1, r2, near)


def test_arrays_are_worked_element_by_element() -> None:
    s = np.array([0.0, 0.5, 1.0, 2.5])
    together = lens_area(np.array([1.0, 1, 1, 1]), 1.2, s)
    assert_allclose(together, [float(lens_area(1.0, 1.2, each)) for each in s])
    assert together.shape == (4,)


def test_many_pairs_are_worked_as_each_alone() -> None:
    # More than are worked at once; a circle twice as large shares four times the area.
    s = np.linspace(0.0, 2.3, 20_000)
    areas = lens_area(1.25, 1.0, s)
    assert_allclose(areas[::997], [float(lens_area(1.25, 1.0, each)) for each in s[::997]])
    assert_allclose(lens_area(2.5, 2.0, 2 * s), 4 * areas, rtol=1e-12)
    table = s.reshape(100, 200)
    assert np.array_equal(lens_area(1.25, 1.0, table), areas.reshape(100, 200))


def test_lengths_in_whole_numbers_are_lengths_too() -> None:
    # Micrometres, whose squares no 32 bits hold.
    near, far, apart = (np.array([each], dtype=np.int32) for each in (70_000, 50_000, 45_000))
    assert_allclose(lens_area(near, far, apart), 1e6 * lens_area(70.0, 50.0, 45.0))
    area = np.array([2_000_000_000], dtype=np.int32)
    assert_allclose(equivalent_diameter(area), 2 * sqrt(2e9 / pi))


def test_rounding_never_opens_more_than_the_whole_smaller_circle() -> None:
    # A hair past inner tangency, where the two segments add up to the whole but for rounding.
    rng = np.random.default_rng(7)
    small = rng.uniform(0.5, 5.0, 4000)
    big = small + 10 ** rng.uniform(-9, 0, 4000)
    areas = lens_area(big, small, (big - small) + 10 ** rng.uniform(-17, -6, 4000))
    assert np.all(areas <= np.pi * (small * small))
    assert_allclose(areas, np.pi * small**2, rtol=2e-4)


@pytest.mark.parametrize("place", range(3))
@pytest.mark.parametrize("wrong", [np.nan, np.inf, -np.inf])
def test_one_impossible_length_among_many_is_refused(place: int, wrong: float) -> None:
    lengths = [np.full(5, 2.0), np.full(5, 1.5), np.full(5, 1.0)]
    lengths[place][3] = wrong
    with pytest.raises(BadMark, match="positive radii"):
        lens_area(*lengths)
    lengths[place][3] = 0.0
    if place < 2:
        with pytest.raises(BadMark, match="positive radii"):
            lens_area(*lengths)


@pytest.mark.parametrize(
    "bad", [(0, 1, 1), (-1, 1, 1), (1, np.nan, 1), (1, 1, np.inf), (np.inf, 1, 0)]
)
def test_radii_and_distances_that_cannot_be_are_refused(bad) -> None:
    with pytest.raises(BadMark, match="positive radii"):
        lens_area(*bad)


def test_the_textbook_formula_agrees_where_it_is_good() -> None:
    r1, r2, s = 4.1, 3.3, 2.7
    a = r2**2 * acos((s**2 + r2**2 - r1**2) / (2 * s * r2))
    b = r1**2 * acos((s**2 + r1**2 - r2**2) / (2 * s * r1))
    c = sqrt((-s + r2 + r1) * (s + r2 - r1) * (s - r2 + r1) * (s + r2 + r1)) / 2
    assert_allclose(lens_area(r1, r2, s), a + b - c, rtol=1e-13)


def test_the_largest_pin_is_the_waist_of_the_lens() -> None:
    assert largest_pin(3.0, 2.0, 2.0) == 3.0
    assert largest_pin(3.0, 2.0, 0.5) == 4.0  # the smaller hole wholly open
    assert largest_pin(3.0, 2.0, 5.0) == 0.0
    assert largest_pin(3.0, 2.0, 7.0) == 0.0
    assert_allclose(largest_pin(3.0, 2.0, np.array([-2.0, 4.0])), [3.0, 1.0])


@given(r1=radii, r2=radii, part=parts)
@settings(max_examples=40)
def test_a_pin_a_hair_thinner_fits_the_opening_and_a_thicker_does_not(r1, r2, part) -> None:
    s = part * (r1 + r2)
    radius = float(largest_pin(r1, r2, s)) / 2
    # Its axis: midway between the walls on the line of centres.
    x = (max(-r1, s - r2) + min(r1, s + r2)) / 2
    fits = max(abs(x) - r1, abs(x - s) - r2) + radius
    assert fits <= 1e-9 * (r1 + r2)
    if 2 * radius < 2 * min(r1, r2) * (1 - 1e-9):
        trial = np.linspace(-r1, s + r2, 2001)
        room = np.minimum(r1 - np.abs(trial), r2 - np.abs(trial - s)).max()
        assert room <= radius + 1e-9 * (r1 + r2)


def test_equivalent_diameter_turns_an_area_round() -> None:
    assert_allclose(equivalent_diameter(pi * 9), 6.0)
    assert_allclose(equivalent_diameter(np.array([0.0, pi])), [0.0, 2.0])


@pytest.mark.parametrize(("case", "one", "other", "area"), geometry.ELLIPSE_PAIRS)
def test_published_ellipse_pairs_come_out(case, one, other, area) -> None:
    assert_allclose(ellipse_overlap(ellipse(*one), ellipse(*other)), area, atol=2e-10)
    assert_allclose(ellipse_overlap(ellipse(*other), ellipse(*one)), area, atol=2e-10)


ellipses = st.builds(
    ellipse,
    st.floats(0.5, 5), st.floats(0.5, 5), st.floats(-4, 4), st.floats(-4, 4), st.floats(0, 3.14),
)  # fmt: skip


@given(one=ellipses, other=ellipses)
def test_shapely_agrees_on_ellipses(one, other) -> None:
    polygons = [Polygon(outline_points(e, 4000)) for e in (one, other)]
    wanted = polygons[0].intersection(polygons[1]).area
    assert_allclose(ellipse_overlap(one, other), wanted, atol=3e-5 * 25)
    assert_allclose(ellipse_overlap(other, one), ellipse_overlap(one, other), atol=1e-7)


@given(one=ellipses, shift=st.floats(1e-13, 1e-3))
def test_nearly_coinciding_ellipses_share_nearly_all(one, shift) -> None:
    other = Ellipse(one.cx + shift, one.cy, one.semi_major, one.semi_minor, one.angle_deg)
    area = ellipse_area(one)
    assert area - 4 * shift * one.semi_major <= ellipse_overlap(one, other) <= area * (1 + 1e-9)


@given(r1=st.floats(0.5, 5), r2=st.floats(0.5, 5), part=parts)
def test_round_ellipses_are_circles(r1, r2, part) -> None:
    s = part * 1.1 * (r1 + r2)
    overlap = ellipse_overlap(Ellipse(0, 0, r1, r1, 0), Ellipse(s, 0, r2, r2, 0))
    assert_allclose(overlap, lens_area(r1, r2, s), atol=1e-7)


def test_ellipses_that_barely_touch_share_as_good_as_nothing() -> None:
    for gap in 2.0 ** -np.arange(20, 54):
        other = Ellipse(2.0 - gap, 0, 1, 1, 0)
        thin = float(lens_area(1.0, 1.0, 2.0 - gap))
        assert 0 <= ellipse_overlap(Ellipse(0, 0, 1, 1, 0), other) <= 1.1 * thin


def test_a_speck_inside_a_large_ellipse_shares_all_of_itself() -> None:
    speck = Ellipse(4000.0, 2000.0, 2e-4, 1e-4, 30)
    for turn in range(0, 180, 20):
        large = Ellipse(0, 0, 1e4, 8e3, turn)
        assert_allclose(ellipse_overlap(large, speck), ellipse_area(speck), rtol=1e-4)
        assert_allclose(ellipse_overlap(speck, large), ellipse_area(speck), rtol=1e-4)


def test_ellipses_share_the_same_from_either_ones_frame() -> None:
    # To nearly all figures: only where every crossing is found are the chords' pieces smooth.
    rng = np.random.default_rng(3)
    for _ in range(60):
        majors = rng.uniform(0.5, 3.0, 2)
        one, other = (
            Ellipse(*rng.uniform(-1.5, 1.5, 2), major, major * rng.uniform(0.4, 1), turn)
            for major, turn in zip(majors, rng.uniform(0, 179, 2), strict=True)
        )
        assert_allclose(ellipse_overlap(one, other), ellipse_overlap(other, one), atol=1e-10)
