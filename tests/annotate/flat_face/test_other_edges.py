"""Second edges on a part of a ring, on rays drawn by plain formulas and on drawn pictures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from annotate.errors import CannotMeasure
from annotate.flat_face.other_edges import INSIDE, NARROWEST_PX, OUTSIDE, is_torn, other_edges
from annotate.flat_face.ring_votes import ANGLES, Rays, longest_run, on_circle, share_rising
from annotate.flat_face.two_edges import both_edges
from tests.annotate.flat_face.test_two_edges import (
    RADIUS,
    WIDTH,
    camera,
    drawn,
    rim_at,
    scale,
    sizes,
)

PX = 0.05  # mm
TURN = 2 * np.pi * np.arange(ANGLES) / ANGLES
TOWARDS = np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
CENTRE = np.array([0.4, -0.3])  # off the middle that the rays come from
RING = (0.4, -0.3, RADIUS)
SIGHT = np.array([0.3, -0.1])


def crossing(x: float, y: float, radius: float) -> np.ndarray:
    """Return where rays from the origin leave a circle about (x, y) that holds it."""
    ahead = TOWARDS @ (x, y)
    return ahead + np.sqrt(radius**2 - (x**2 + y**2 - ahead**2))


def rays_on(*edges: np.ndarray) -> Rays:
    radii = np.stack(edges, axis=1)
    return Rays(TOWARDS, radii, np.ones(radii.shape, dtype=bool), PX)


def part_of(edge: np.ndarray, share: float, *, elsewhere: float = np.nan) -> np.ndarray:
    return np.where(np.arange(ANGLES) < share * ANGLES, edge, elsewhere)


def ring_of(grown: float = 0.0) -> np.ndarray:
    return crossing(*CENTRE, RADIUS + grown)


def lower_of(width: float, depth: float) -> np.ndarray:
    return crossing(*(CENTRE + SIGHT * depth * width), RADIUS - width)


@pytest.mark.parametrize(("width", "depth"), [(0.3, 1.0), (0.5, 1.45), (0.9, 0.55)])
def test_the_other_edge_is_looked_for_where_it_is_seen(width: float, depth: float) -> None:
    lower = lower_of(width, depth)
    seen = rays_on(ring_of(), lower)
    # From the edge in the face inwards, and from the lower one back outwards.
    about = np.append(CENTRE + SIGHT * depth * width, RADIUS - width)
    for ring, way in ((RING, INSIDE), (tuple(about.tolist()), OUTSIDE)):
        found = list(other_edges(seen, ring, SIGHT, way))
        best = max(found, key=lambda other: other.met.sum(axis=1).max())
        assert best.met.sum(axis=1).max() > 0.95 * ANGLES
        assert abs(best.width - width) < PX
        assert found[0].width == NARROWEST_PX * PX


@pytest.mark.parametrize(("size", "px"), [(1.0, 0.8), (4.0, 2.4)])
def test_an_edge_is_met_within_a_pixel_or_six_thousandths_of_the_radius(size, px) -> None:
    radius, width = size * RADIUS, 0.2 * RADIUS

    def met(wavering_px: float) -> float:
        wave = wavering_px * PX * np.sign(np.sin(5 * TURN + 0.1))
        lower = crossing(*(SIGHT * width), radius - width) + wave
        found = other_edges(rays_on(lower), (0.0, 0.0, radius), SIGHT, INSIDE)
        return max(float(other.met.mean(axis=1).max()) for other in found)

    assert met(px - 0.2) > 0.95
    assert met(px + 0.15) < 0.85


def test_a_ring_is_torn_where_it_is_left_for_a_smaller_one() -> None:
    lower, ring = lower_of(0.4, 1.0), ring_of()
    whole = rays_on(ring)
    assert not is_torn(whole, RING, SIGHT)
    for share, torn in ((0.03, False), (0.08, True), (0.3, True)):
        left = np.where(np.isfinite(part_of(lower, share)), lower, ring)
        assert is_torn(rays_on(left), RING, SIGHT) is torn
    # As many rays that meet nothing are a gap, and no edge.
    assert not is_torn(rays_on(np.where(TURN < 1, np.nan, ring)), RING, SIGHT)
    # Nor is what goes on below an unbroken ring: a shadow's end, a far hole.
    assert not is_torn(rays_on(ring, part_of(lower, 0.3)), RING, SIGHT)


def test_a_ring_is_torn_where_another_edge_runs_just_outside_it() -> None:
    ring = ring_of()
    for width_px, share, torn in (
        (2.2, 0.15, True),
        (2.2, 0.05, False),
        (0.7, 0.15, False),  # the same edge
        (9.0, 0.15, False),  # a machining mark
    ):
        outside = crossing(*(CENTRE - SIGHT * width_px * PX), RADIUS + width_px * PX)
        assert is_torn(rays_on(ring, part_of(outside, share)), RING, SIGHT) is torn


@given(st.lists(st.lists(st.booleans(), min_size=12, max_size=12), min_size=1, max_size=4))
def test_the_longest_run_goes_round_and_over_single_gaps(rows: list[list[bool]]) -> None:
    def run(row: list[bool]) -> int:
        count = len(row)
        bridged = [
            here or (row[k - 1] and row[(k + 1) % count]) for k, here in enumerate(row)
        ]  # fmt: skip
        if all(bridged):
            return count
        twice = "".join("x" if here else " " for here in bridged * 2)
        return max(map(len, twice.split(" ")))

    assert longest_run(np.array(rows)) == max(map(run, rows))


def test_which_rays_lie_on_a_circle_and_whether_it_is_lighter_outside() -> None:
    radii = np.stack([crossing(0.1, 0.0, RADIUS), np.full(ANGLES, 3.0)], axis=1)
    radii[:45, 0] += 3 * PX
    rising = np.zeros(radii.shape, dtype=bool)
    rising[90:, 0] = True
    rising[:, 1] = True  # of other edges
    seen = Rays(TOWARDS, radii, rising, PX)
    circle = (0.1, 0.0, RADIUS)
    assert on_circle(seen, circle).tolist() == [k >= 45 for k in range(ANGLES)]
    assert share_rising(seen, circle) == pytest.approx(90 / 135)
    assert share_rising(seen, (0.0, 0.0, 20.0)) == 0


def test_a_chamfer_lit_here_and_there_only_leaves_the_diameter_open() -> None:
    # As dark as the hole but for a tenth of it.
    one = camera(12.0)
    lit = np.where(np.abs(np.linspace(-np.pi, np.pi, 361)) < np.pi * 0.1, 0.5, 0.06)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, lit), (RADIUS, WIDTH, np.full(3, 0.06))])
    rim = rim_at(one, RADIUS + WIDTH, 0.0)
    assert both_edges(picture, scale(one), rim).partly
    assert not both_edges(picture, scale(one), rim, plain=True).partly
    bare = drawn(one, [(RADIUS + WIDTH, 0.0, np.full(3, 0.06))])
    assert not both_edges(bare, scale(one), rim).partly


@pytest.mark.parametrize(("dark", "partly"), [(0.3, False), (0.55, True)])
def test_of_a_lower_edge_more_than_half_must_show(dark: float, partly: bool) -> None:
    one = camera(12.0)
    chamfer = np.where(np.linspace(0, 1, 361) < dark, 0.06, 0.75)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, chamfer), (RADIUS, WIDTH, np.full(3, 0.06))])
    edges = both_edges(picture, scale(one), rim_at(one, RADIUS + WIDTH, 0.0))
    assert edges.outer is not None
    assert edges.partly is partly


def test_a_lighter_middle_is_not_taken_for_a_drilled_edge() -> None:
    # A lit bottom seen squarely, or a dark chamfer over a hole lit from behind: both look so.
    one = camera(12.0)
    dark, light = np.full(3, 0.1), np.full(3, 0.9)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, dark), (RADIUS, WIDTH, light)])
    for start in (rim_at(one, RADIUS + WIDTH, 0.0), rim_at(one, RADIUS, WIDTH)):
        with pytest.raises(CannotMeasure, match="may be its bottom"):
            both_edges(picture, scale(one), start)
        # Of a hole without a chamfer it is the edge in the face that counts.
        edges = both_edges(picture, scale(one), start, plain=True)
        assert_allclose(sizes(one, edges, 0.0)[0], RADIUS + WIDTH, atol=0.03)
