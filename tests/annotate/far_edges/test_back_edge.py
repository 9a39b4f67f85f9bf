"""Where a near hole's own far edge may be, held against rims that OpenCV's pinhole projects."""

import cv2
import numpy as np
import pytest

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs, backs
from annotate.pixels.polar import Frame, frame_of
from annotate.wall_hint import WallHint
from tests.annotate.drilled import Drilled

TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)
SHAPE = (1200, 1600)


def frame_round(drilled: Drilled) -> Frame:
    """Return the ellipse through the projected near rim."""
    points = drilled.rim("near", TURN)
    (x, y), (a, b), turn = cv2.fitEllipseDirect(points.astype(np.float32))
    return frame_of(x, y, (a / 2, b / 2), np.radians(turn))


def own_edge(drilled: Drilled, frame: Frame) -> Arc:
    """Return the projected end of the near hole as an arc: the half farthest inside."""
    unit = frame.to_unit(drilled.rim("back", TURN))
    design = np.column_stack([2 * unit, np.ones(len(unit))])
    x, y, c = np.linalg.lstsq(design, np.sum(unit**2, axis=1), rcond=None)[0]
    towards = np.arctan2(-y, -x)
    radius = float(np.sqrt(c + x * x + y * y))
    return Arc(x, y, radius, towards - 1.2, 2.4, 0.6, 0.8, 30.0, 1.0, 90.0, 120.0, 3.0)


def foretold(drilled: Drilled, frame: Frame, *, focal: bool, wall: float | None = None) -> Backs:
    thick = drilled.wall if wall is None else wall
    hint = WallHint(thick / drilled.r_near, 0.01, drilled.focal_px if focal else None)
    return backs(frame, hint, SHAPE)


CASES = [
    Drilled(tilt_deg=tilt, tilt_towards_deg=towards, wall=wall, bore_radius=bore)
    for tilt, towards in ((4.0, 10.0), (12.0, 40.0), (22.0, 100.0), (33.0, 200.0))
    for wall, bore in ((1.2, None), (2.4, 25.0), (4.0, 30.0))
]


@pytest.mark.parametrize("drilled", CASES)
@pytest.mark.parametrize("focal", [True, False])
def test_the_edge_lies_where_it_was_foretold(drilled: Drilled, focal: bool) -> None:
    frame = frame_round(drilled)
    edge = own_edge(drilled, frame)
    told = foretold(drilled, frame, focal=focal)
    assert told.told
    assert len(told.leans) == 2
    assert told.off(edge) < 0.013
    assert told.outside(edge) < 0.5
    x, y, radius = told.nearest(edge)
    assert np.hypot(x - edge.x, y - edge.y) < 0.04
    assert radius == pytest.approx(edge.radius, abs=0.03)


@pytest.mark.parametrize("drilled", [case for case in CASES if case.tilt_deg > 20])
def test_the_edge_of_another_wall_does_not(drilled: Drilled) -> None:
    frame = frame_round(drilled)
    edge = own_edge(drilled, frame)
    for factor in (0.6, 2.2):
        told = foretold(drilled, frame, focal=True, wall=factor * drilled.wall)
        assert told.off(edge) > 0.02
    assert backs(frame, None, SHAPE).off(edge) < 0.015


def test_a_chamfer_makes_the_wall_that_is_seen_through_thinner() -> None:
    thin = Drilled(tilt_deg=25.0, wall=1.6, bore_radius=None)
    frame = frame_round(thin)
    assert foretold(thin, frame, focal=True, wall=2.2).off(own_edge(thin, frame)) < 0.013


def test_without_sizes_every_wall_is_possible_to_both_sides() -> None:
    frame = frame_of(300.0, 200.0, (90.0, 100.0), 0.0)
    any_wall = backs(frame, None, SHAPE)
    assert not any_wall.told
    places = np.concatenate(any_wall.leans)
    assert places[:, 0].max() == pytest.approx(-places[:, 0].min(), abs=0.02)
    assert np.abs(places[:, 1]).max() < 1e-6


def test_of_a_rim_seen_as_round_no_way_to_lean_is_known() -> None:
    frame = frame_of(300.0, 200.0, (100.0, 100.0), 0.0)
    circles = np.concatenate(backs(frame, WallHint(1.0, 0.01, 3000.0), SHAPE).leans)
    angles = np.degrees(np.arctan2(circles[:, 1], circles[:, 0]))
    counts, _ = np.histogram(angles[np.hypot(circles[:, 0], circles[:, 1]) > 0.05], bins=8)
    assert counts.min() > 0


@pytest.mark.parametrize("drilled", CASES)
def test_a_frame_known_to_be_off_leaves_more_room(drilled: Drilled) -> None:
    frame = frame_round(drilled)
    edge = own_edge(drilled, frame)
    px = 0.015 * frame.radius_px
    moved = frame_of(frame.cx + 0.7 * px, frame.cy - 0.7 * px, *axes_of(frame, px))
    hint = WallHint(drilled.wall / drilled.r_near, 0.01, drilled.focal_px)
    seen = own_edge(drilled, moved)
    assert backs(moved, hint, SHAPE, 0.015).off(seen) < 0.013
    assert backs(frame, hint, SHAPE, 0.015).off(edge) == 0.0


def axes_of(frame: Frame, grown_px: float) -> tuple[tuple[float, float], float]:
    """Return a frame's half axes, the first longer by so much and the second shorter, and turn."""
    values, vectors = np.linalg.eigh(frame.matrix)
    turn = float(np.arctan2(vectors[1, 0], vectors[0, 0]))
    return (float(values[0]) + grown_px, float(values[1]) - grown_px), turn
