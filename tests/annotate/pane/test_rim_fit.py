"""Outlines for the eye, held to ellipses that are known and to scikit-image's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.measure import EllipseModel

from annotate.fit import outline_points
from annotate.marks import Ellipse, Rim
from annotate.pane.quick_fit import followed, quick_fit
from annotate.pane.rim_fit import fit_rim, hours_of, is_seen
from tests.annotate.pane.rims_drawn import FAR, NEAR, far_rim, near_rim, on


def apart(one: Ellipse, other: Ellipse) -> float:
    """Return the greatest distance of one outline's places from the other outline, roughly."""
    a, b = outline_points(one, 720), outline_points(other, 720)
    return float(np.linalg.norm(a[:, None] - b[None], axis=2).min(axis=1).max())


@given(
    a=st.floats(40, 2000),
    flat=st.floats(0.3, 1.0),
    turn=st.floats(0, 179),
    cx=st.floats(-100, 9000),
    count=st.integers(6, 100),
)
def test_points_on_an_ellipse_give_that_ellipse(a, flat, turn, cx, count) -> None:
    true = Ellipse(cx, 700.0, a, a * flat, turn)
    points = np.array(on(true, np.arange(count) * 300 / count))
    found = quick_fit(points, 0.5)
    assert found is not None
    assert found.outline.cx == pytest.approx(true.cx, abs=2e-3 * a / 40)
    assert found.outline.semi_major == pytest.approx(true.semi_major, rel=1e-4)
    assert found.outline.semi_minor == pytest.approx(true.semi_minor, rel=1e-4)
    assert found.scatter_px < 1e-3


@pytest.mark.parametrize("seed", range(6))
def test_noisy_points_give_what_another_library_gives(seed) -> None:
    rng = np.random.default_rng(seed)
    points = np.array(on(NEAR, np.sort(rng.uniform(0, 330, 60)))) + rng.normal(0, 1.0, (60, 2))
    found, other = quick_fit(points, 1.0), EllipseModel.from_estimate(points)
    assert found is not None
    assert other
    # Their distances are made least too, from an algebraic start, to about a hundredth.
    assert np.sqrt(np.mean(other.residuals(points) ** 2)) == pytest.approx(
        found.scatter_px, rel=2e-3
    )


def test_strays_are_left_out_and_named() -> None:
    points = list(near_rim(80).points_px)
    for k in (10, 11, 50):
        points[k] = (points[k][0] + 9.0, points[k][1] + 6.0)
    fit = fit_rim(Rim("near", tuple(points), 0.5, "found"))
    assert fit is not None
    assert [k for k, kept in enumerate(fit.kept) if not kept] == [10, 11, 50]
    assert apart(fit.outline, NEAR) < 0.2
    assert fit.count_words == "77 of 80 points kept"
    assert fit.left_out_words.startswith("left out: 3 points, at ")


def test_a_hands_points_all_count() -> None:
    points = list(near_rim(40).points_px)
    points[10] = (points[10][0] + 20.0, points[10][1])
    fit = fit_rim(Rim("near", tuple(points), 1.0, "hand"))
    assert fit is not None
    assert all(fit.kept)
    assert fit.left_out_words == ""


def test_residuals_are_positive_outside() -> None:
    points = np.array(on(NEAR, np.arange(40) * 9.0))
    centre = np.array([NEAR.cx, NEAR.cy])
    points[5] = centre + (points[5] - centre) * 1.02
    points[25] = centre + (points[25] - centre) * 0.98
    fit = fit_rim(Rim("near", tuple(map(tuple, points.tolist())), 5.0, "hand"))
    assert fit is not None
    assert fit.residuals_px[5] > 1
    assert fit.residuals_px[25] < -1


def test_twelve_is_up_and_three_to_the_right() -> None:
    round_ = Ellipse(100.0, 100.0, 10.0, 10.0, 0.0)
    around = np.array([[100.0, 90.0], [110.0, 100.0], [100.0, 110.0], [90.0, 100.0]])
    assert hours_of(around, round_) == pytest.approx([0, 3, 6, 9])


def test_a_far_rim_takes_the_near_rims_form() -> None:
    fit = fit_rim(far_rim(60), NEAR)
    assert fit is not None
    assert fit.borrowed
    assert apart(fit.outline, FAR) < 0.05
    assert fit.seen_deg == pytest.approx(150, abs=12)
    (gap,) = fit.unseen
    # Its hidden piece runs from parameter 50 over 180 to 260: lower right round to upper left.
    assert gap[0] == pytest.approx(float(hours_of(np.array(on(FAR, np.array([50.0]))), FAR)[0]))
    assert gap[1] == pytest.approx(float(hours_of(np.array(on(FAR, np.array([260.0]))), FAR)[0]))
    assert fit.words == f"Scatter 0.0 px. {fit.seen_deg:.0f}° of it can be seen."


def test_a_short_arc_alone_is_no_ellipse_but_with_a_form_it_is() -> None:
    arc = Rim("far", on(FAR, np.linspace(0, 50, 12)), 1.0, "found")
    assert fit_rim(arc) is None
    fit = fit_rim(arc, NEAR)
    assert fit is not None
    assert apart(fit.outline, FAR) < 0.1


def test_a_far_rim_without_a_near_one_says_what_is_missing() -> None:
    fit = fit_rim(far_rim(60))
    assert fit is not None
    assert not fit.borrowed
    assert "mark the near rim first" in fit.words


def test_a_whole_rim_says_so() -> None:
    rng = np.random.default_rng(2)
    points = near_rim(120).array_px() + rng.normal(0, 0.4, (120, 2))
    fit = fit_rim(Rim("near", tuple(map(tuple, points.tolist())), 0.5, "found"))
    assert fit is not None
    assert fit.words == "Scatter 0.4 px. Follows all the way round."
    assert fit.unseen == ()
    assert fit.band_px == 1.0


def test_a_stretch_that_runs_off_is_told_with_its_hour() -> None:
    points = near_rim(120).array_px()
    centre = np.array([NEAR.cx, NEAR.cy])
    hours = hours_of(points, NEAR)
    off = np.abs((hours - 4 + 6) % 12 - 6) < 0.6
    points[off] = centre + (points[off] - centre) * 1.03
    fit = fit_rim(Rim("near", tuple(map(tuple, points.tolist())), 1.0, "hand"))
    assert fit is not None
    assert "outside near 4 o'clock" in fit.words


@pytest.mark.parametrize("count", [0, 1, 2, 4])
def test_too_few_points_make_no_outline(count) -> None:
    assert fit_rim(Rim("near", near_rim(120).points_px[:count], 1.0)) is None


def test_points_on_a_line_make_no_outline() -> None:
    line = tuple((float(k), 2.0 * k) for k in range(20))
    assert fit_rim(Rim("near", line, 1.0)) is None


def test_a_followed_outline_ends_where_a_new_fit_does() -> None:
    points = near_rim(60).array_px()
    outline = NEAR
    for _ in range(25):
        points = points + np.array([0.8, -0.4])
        outline = followed(outline, points, keeps_form=False)
    moved = Ellipse(NEAR.cx + 20, NEAR.cy - 10, NEAR.semi_major, NEAR.semi_minor, NEAR.angle_deg)
    assert apart(outline, moved) < 0.05


def test_spans_over_twelve_are_read_clockwise() -> None:
    seen = is_seen(np.array([11.0, 0.5, 1.5, 6.0]), ((10.0, 1.0),))
    assert seen.tolist() == [False, False, True, True]
