"""Which circles a near hole's own edge may be, and how far an arc is from them, worked by hand.

A ray through a wall of t near radii that leans by theta moves by t tan(theta). What lies
t cos(theta) farther from a camera of f pixels, where the near radius is r pixels, looks smaller
by t cos(theta) r / f. The ellipse tells cos(theta), the ratio of its axes, to 0.008.
"""

from math import acos, atan, cos, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs, backs
from annotate.pixels.polar import Array, Frame, frame_of
from annotate.wall_hint import WallHint

SHAPE = (1200, 1600)  # 2000 px across: a 3-4-5 triangle
COS = cos(radians(25))
FRAME = frame_of(300.0, 200.0, (100.0 * COS, 100.0), 0.0)  # leans along x
RADIUS_PX = 100.0 * sqrt(COS)
ROUNDED = 0.0035  # circles are told apart by 0.006


def move(wall: float, ratio: float) -> float:
    return wall * tan(acos(ratio))


def first_lean(
    wall: float, u: float = 0.01, focal: float | None = 3000.0, slack: float = 0.0
) -> Array:
    """Return the circles of the lean that moves the edge towards +x."""
    told = backs(FRAME, WallHint(wall, u, focal), SHAPE, slack)
    assert told.told
    assert told.slack == slack
    one, other = told.leans
    assert_allclose(one, other * [-1, -1, 1], atol=1e-12)
    return one if one[0, 0] > 0 else other


@pytest.mark.parametrize(
    ("wall", "thinnest"),
    [(0.8, 0.55), (2.0, 1.75), (0.3, 0.15)],  # a chamfer of a quarter at most, or of half the wall
)
@pytest.mark.parametrize("u", [0.01, 0.05])
@pytest.mark.parametrize("slack", [0.0, 0.01])
def test_a_known_wall_moves_the_edge_by_the_tangent_of_the_lean(
    wall: float, thinnest: float, u: float, slack: float
) -> None:
    circles = first_lean(wall, u, slack=slack)
    blur = 0.008 + 2 * slack
    assert_allclose(circles[:, 0].max(), move(wall + 2 * u, COS - blur), atol=ROUNDED)
    assert_allclose(circles[:, 0].min(), move(thinnest, COS + blur), atol=ROUNDED)
    # Flattened a little more across, the ellipse leans by half the angle of the two together.
    aside = sin(atan(blur / (1 - COS)) / 2) * move(wall + 2 * u, 1 - hypot(1 - COS, blur))
    assert_allclose(np.abs(circles[:, 1]).max(), aside, atol=ROUNDED)
    assert_allclose(circles[:, 1].min(), -circles[:, 1].max(), atol=1e-12)


@pytest.mark.parametrize(
    ("focal", "short", "long"),
    [(1000.0, 1000 / 1.08, 1000 * 1.08), (None, 22 * 2000 / 43.2666, 110 * 2000 / 43.2666)],
)
def test_what_lies_deeper_looks_smaller_as_far_as_the_focal_length_is_known(
    focal: float | None, short: float, long: float
) -> None:
    circles = first_lean(2.0, focal=focal)

    def radius(wall: float, ratio: float, focal: float) -> float:
        return 1 - wall * ratio * RADIUS_PX / focal

    flatter, rounder = COS - 0.008, COS + 0.008
    smallest, largest = radius(2.02, rounder, short), radius(1.75, flatter, long)
    assert_allclose(circles[:, 2].min(), smallest - 0.006, atol=ROUNDED)
    assert_allclose(circles[:, 2].max(), largest + 0.006, atol=ROUNDED)
    # The circles of one wall only: those moved farthest are of the thickest, those least of the
    # thinnest, at either end of what the ratio is taken to.
    x = circles[:, 0]
    thick, thin = circles[x > x.max() - 0.009, 2], circles[x < x.min() + 0.009, 2]
    assert_allclose(thick.max(), radius(2.02, flatter, long) + 0.006, atol=ROUNDED + 0.001)
    assert_allclose(thin.min(), radius(1.75, rounder, short) - 0.006, atol=ROUNDED + 0.001)


@pytest.mark.parametrize("turn", [0, 40, 90, 91, 135, 179])
def test_each_lean_is_to_one_side_whichever_way_the_ellipse_lies(turn: int) -> None:
    frame = frame_of(300.0, 200.0, (100.0 * COS, 100.0), radians(turn))
    for circles in backs(frame, WallHint(0.8, 0.01, 3000.0), SHAPE).leans:
        along = circles[:, :2] @ [cos(radians(turn)), sin(radians(turn))]
        assert np.all(along > 0) or np.all(along < 0)
        assert_allclose(np.abs(along).max(), move(0.82, COS - 0.008), atol=ROUNDED + 0.001)


def test_of_an_ellipse_all_but_edge_on_there_are_circles_still() -> None:
    told = backs(frame_of(300.0, 200.0, (0.4, 100.0), 0.0), WallHint(0.8, 0.01, 3000.0), SHAPE)
    places = np.concatenate(told.leans)
    assert np.isfinite(places).all()
    # It is never taken for flatter than a tenth.
    assert_allclose(np.abs(places[:, 0]).max(), move(0.82, 0.1), atol=0.01)


@pytest.mark.parametrize("wall", [0.8, 2.0])
@pytest.mark.parametrize(
    ("known", "focals"),
    [(3000.0, (3000 / 1.08, 3000.0, 3000 * 1.08)), (None, (1020.0, 1500.0, 2500.0, 5000.0))],
)
def test_between_the_outermost_circles_no_gap_is_left(
    wall: float, known: float | None, focals: tuple[float, ...]
) -> None:
    circles = first_lean(wall, focal=known)
    for t in np.linspace(wall - 0.25, wall + 0.02, 23):
        for ratio in np.linspace(COS - 0.008, COS + 0.008, 9):
            for focal in focals:
                wanted = [move(t, ratio), 0.0, 1 - t * ratio * RADIUS_PX / focal]
                assert np.linalg.norm(circles - wanted, axis=1).min() < 0.0095
    # None of them is another's double.
    assert_allclose(circles / 0.006, np.rint(circles / 0.006), atol=1e-9)
    assert len(np.unique(circles, axis=0)) == len(circles)


@pytest.mark.parametrize(
    ("frame", "reach"),
    [
        # 1.8 near radii of wall at the lean in the middle of what is possible.
        (FRAME, 1.8 * (tan(acos(COS - 0.008)) + tan(acos(COS + 0.008))) / 2 + 0.03),
        # Seen as round: it leans by nothing, or by what hides in 0.008; a wall of 1 at that.
        (frame_of(300.0, 200.0, (100.0, 100.0), 0.0), tan(acos(0.992)) + 0.03),
    ],
)
def test_without_sizes_walls_up_to_the_thickest_are_looked_for(frame: Frame, reach: float) -> None:
    told = backs(frame, None, SHAPE)
    assert not told.told
    (circles,) = told.leans
    assert np.unique(circles[:, 2]).tolist() == [0.93, 0.96, 0.99, 1.02]
    along = np.linalg.norm(circles[:, :2], axis=1)
    assert reach - 0.0101 < along.max() < reach + 1e-6
    for radius in (0.93, 0.96, 0.99, 1.02):
        of_it = circles[circles[:, 2] == radius]
        steps = np.linalg.norm(np.diff(of_it[:, :2], axis=0), axis=1)
        assert_allclose(steps, 0.01)
    assert len(circles) == 4 * len(of_it)


def piece(start: float, sweep: float, radius: float = 1.0) -> Arc:
    return Arc(0.0, 0.0, radius, start, sweep, 0.6, 0.8, 30.0, 1.0, 90.0, 120.0, 3.0)


def ring(x: float, y: float, radius: float) -> Array:
    return np.array([[x, y, radius]])


def test_an_arc_is_off_by_what_four_fifths_of_it_keep_to() -> None:
    # Going from t = 1 to 2 the distance from (0.3, 0) grows: sqrt(1.09 - 0.6 cos t), less 0.9.
    four_fifths = sqrt(1.09 - 0.6 * cos(1.8)) - 0.9
    near, wide = ring(0.3, 0.0, 0.9), ring(0.0, 0.0, 1.5)
    told = Backs((np.concatenate([wide, near]), wide), told=True)
    assert_allclose(told.off_each(piece(1.0, 1.0)), [four_fifths, 0.5], atol=1e-3)
    assert_allclose(told.off(piece(1.0, 1.0)), four_fifths, atol=1e-3)
    assert told.nearest(piece(1.0, 1.0)) == (0.3, 0.0, 0.9)
    # One that follows the first half of it and then leaves by 0.16 is not the nearest.
    leaving, aside = ring(0.3, 0.0, 0.95), ring(0.0, 0.0, 1.1)
    assert Backs((leaving, aside), told=True).nearest(piece(1.0, 1.0)) == (0.0, 0.0, 1.1)
    loose = Backs(told.leans, told=True, slack=0.4)
    assert_allclose(loose.off_each(piece(1.0, 1.0)), [0.0, 0.1], atol=1e-3)
    assert Backs((near,), told=False).slack == 0.0


def test_an_arc_lies_outside_by_the_share_beyond_a_fiftieth() -> None:
    for radius, share in ((0.975, 1.0), (0.985, 0.0), (1.1, 0.0)):
        assert Backs((ring(0.0, 0.0, radius),), told=True).outside(piece(0.3, 2.0)) == share
    # As far as the frame is known to be off, nothing lies plainly outside.
    inner = ring(0.0, 0.0, 0.9)
    assert Backs((inner,), told=True, slack=0.07).outside(piece(0.3, 2.0)) == 1.0
    assert Backs((inner,), told=True, slack=0.09).outside(piece(0.3, 2.0)) == 0.0
    # From (0, 0.5) a point at t is sqrt(1.25 - sin t) away: over 1.02 while sin t < 0.2096.
    crossed = ring(0.0, 0.5, 1.0)
    out = 0.2112 + 1.0
    assert_allclose(Backs((crossed,), told=True).outside(piece(-1.0, 2.4)), out / 2.4, atol=1 / 15)
    # The circle that leaves least outside counts, of each lean and of both.
    both = np.concatenate([inner, crossed])
    assert_allclose(Backs((both,), told=True).outside(piece(-1.0, 2.4)), out / 2.4, atol=1 / 15)
    assert_allclose(
        Backs((inner, crossed), told=True).outside(piece(-1.0, 2.4)), out / 2.4, atol=1 / 15
    )
