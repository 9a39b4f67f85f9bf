import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom
from shapely import Polygon

from annotate.errors import BadMark, CannotMeasure
from annotate.marks import Angle, Area, Diameter, Distance, KnownDistance, Layer, Point
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from
from annotate.size import measure
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import FLAT_LENS, LAYER, marker, pairs, scale


def spots(camera: Camera, *places: tuple[float, float]) -> list[Point]:
    return [Point(float(x), float(y)) for x, y in camera.see(np.array(places, dtype=float))]


CAMERA = Camera(tilt_deg=28, spin_deg=55)


def check_holds(quantity: Quantity, truth: float, unit: str) -> None:
    assert quantity.unit == unit
    low, high = quantity.interval()
    assert low < truth < high
    assert_allclose(quantity.value, truth, rtol=0.01)


def test_each_mark_measures_its_own_kind_on_a_leaning_plane() -> None:
    flat = scale(marker(CAMERA))
    a, b = spots(CAMERA, (-20, 5), (17, -12))
    check_holds(measure(Distance(a, b), flat), np.hypot(37, 17), "mm")
    v, p, q = spots(CAMERA, (0, 0), (20, 0), (-10, 17.320508))
    check_holds(measure(Angle(v, p, q), flat), 120, "deg")
    check_holds(measure(Angle(v, q, p), flat), 120, "deg")
    corners = [(-10, -10), (14, -8), (9, 12), (0, 3), (-12, 11)]
    area = Area(pairs(CAMERA.see(np.array(corners, dtype=float))))
    check_holds(measure(area, flat), Polygon(corners).area, "mm^2")
    rim = Diameter(pairs(CAMERA.see(circle(9.25, (6, -4), 24))))
    check_holds(measure(rim, flat), 18.5, "mm")


def test_the_same_seed_gives_the_same_numbers_and_another_nearly_so() -> None:
    flat = scale(marker(CAMERA))
    mark = Distance(*spots(CAMERA, (-20, 5), (17, -12)))
    assert measure(mark, flat) == measure(mark, flat)
    other = measure(mark, flat, seed=1)
    assert other != measure(mark, flat)
    assert_allclose(other.u, measure(mark, flat).u, rtol=0.1)


def test_more_scattered_points_make_a_size_less_certain() -> None:
    flat = scale(marker(CAMERA))
    places = spots(CAMERA, (-20, 5), (17, -12))
    sharp, rough = (measure(Distance(*places, sigma_px=s), flat) for s in (0.2, 4.0))
    assert rough.u > 3 * sharp.u


def test_an_angle_near_straight_is_not_folded_into_a_bias() -> None:
    flat = scale(marker(Camera()))
    v, p, q = spots(Camera(), (0, 0), (3, 0), (-3, 0))
    found = measure(Angle(v, p, q, sigma_px=2.0), flat)
    assert_allclose(found.value, 180, atol=0.3)
    low, high = found.interval()
    assert low < 180 < high


def test_an_arc_of_a_rim_gives_the_whole_diameter() -> None:
    flat = scale(marker(CAMERA))
    arc = circle(9.25, (6, -4), 60)[:25]
    found = measure(Diameter(pairs(CAMERA.see(arc)), sigma_px=0.3), flat)
    check_holds(found, 18.5, "mm")
    full = measure(Diameter(pairs(CAMERA.see(circle(9.25, (6, -4), 25))), sigma_px=0.3), flat)
    assert found.u > full.u


def test_a_photo_meant_to_be_square_on_owns_its_lean() -> None:
    rng = np.random.default_rng(23)
    held, trials = 0, 120
    for _ in range(trials):
        camera = Camera(tilt_deg=abs(rng.normal(0, 8)), spin_deg=rng.uniform(0, 360))
        ends = camera.see(np.array([[-15.0, 0.0], [15.0, 0.0]])) + rng.normal(0, 0.7, (2, 2))
        known = KnownDistance(Point(*ends[0]), Point(*ends[1]), Quantity(30.0, "mm"))
        found = scale_from(known, LAYER, FLAT_LENS)
        assert isinstance(found, Scale)
        places = rng.uniform([-25, -20], [25, 20], (2, 2))
        seen = camera.see(places) + rng.normal(0, 0.7, (2, 2))
        result = measure(Distance(Point(*seen[0]), Point(*seen[1])), found, trials=500)
        low, high = result.interval()
        held += int(low <= np.linalg.norm(places[1] - places[0]) <= high)
    assert held >= binom.ppf(0.002, trials, 0.95)


def test_marks_without_extent_are_refused_with_what_to_do() -> None:
    flat = scale(marker(CAMERA))
    a, b = spots(CAMERA, (0, 0), (5, 5))
    with pytest.raises(CannotMeasure, match="apart"):
        measure(Angle(a, a, b), flat)
    with pytest.raises(CannotMeasure, match="all round the edge"):
        measure(Diameter(((0.0, 0.0), (10.0, 0.0), (20.0, 0.0))), flat)
    with pytest.raises(CannotMeasure):
        measure(Diameter(()), flat)
    bow = pairs(CAMERA.see(np.array([[0.0, 0], [10, 10], [10, 0], [0, 10]])))
    with pytest.raises(BadMark, match="cross itself"):
        measure(Area(bow), flat)


def test_a_circle_of_many_points_is_known_better() -> None:
    flat = scale(marker(CAMERA))
    few, many = (
        measure(Diameter(pairs(CAMERA.see(circle(9, (6, -4), n))), sigma_px=3.0), flat)
        for n in (8, 72)
    )
    # Independent points: the radius from n of them is known to sigma / sqrt(n).
    assert_allclose(few.u / many.u, 3, rtol=0.25)


def test_the_layer_need_not_know_the_focal_length() -> None:
    found = scale_from(marker(CAMERA), Layer(1600, 1200))
    assert isinstance(found, Scale)
    check_holds(
        measure(Distance(*spots(CAMERA, (-20, 5), (17, -12))), found), np.hypot(37, 17), "mm"
    )
