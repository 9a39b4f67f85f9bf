"""All printed edges of a target, against a camera of plain formulas."""

from typing import Any

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.flat_face.face import measure_holes
from annotate.flat_face.face_fit import PAPER_MM
from annotate.flat_face.printed_edges import left_over_px, with_printed_edges
from annotate.marks import Chessboard, Marker
from annotate.quantity import Quantity
from annotate.scale import Seen
from annotate.target import find_chessboard, find_markers
from tests.annotate.camera import Camera, photograph
from tests.annotate.flat_face.test_face_fit import rim
from tests.annotate.test_scale import marker, scale
from tests.annotate.test_target import SIDE, SMALL, marker_cells, shot

FIRST = np.array([-11.3 + 4, -9.1 + 4])  # of the marker in ``shot``


def edges_of(picture: Any, target: Marker | Chessboard) -> Seen:
    plain = scale(target, profile=None)
    seen = with_printed_edges(plain, picture, target).seen
    assert seen is not None
    return seen


def off_px(seen: Seen, camera: Camera, first: Any) -> Any:
    assert seen.across is not None
    return np.sum((seen.points_px - camera.see(first + seen.places_mm)) * seen.across, axis=1)


def found(picture: Any) -> Marker:
    (one,) = find_markers(picture, SIDE)
    return one


@pytest.mark.parametrize("tilt", [0, 25])
@pytest.mark.parametrize("blur", [0.5, 1.2])
def test_every_edge_of_a_marker_is_found_where_it_is(tilt, blur) -> None:
    camera = Camera(**SMALL, tilt_deg=tilt, spin_deg=17)
    picture, _ = shot(camera, blur=blur)
    seen = edges_of(picture, found(picture))
    cells = marker_cells()[1:-1, 1:-1] > 0.5
    there = np.sum(cells[1:] != cells[:-1]) + np.sum(cells[:, 1:] != cells[:, :-1])
    assert 0.9 * there <= len(seen.points_px) <= there
    off = off_px(seen, camera, FIRST)
    assert_allclose(off.mean(), 0, atol=0.03)
    assert off.std() < 0.03


def test_every_edge_inside_a_chessboard_is_found_where_it_is() -> None:
    camera = Camera(**SMALL, tilt_deg=20, spin_deg=40)
    down, right = np.indices((6, 8))
    cells = np.pad(np.where((down + right) % 2 == 0, 0.05, 0.8), 1, constant_values=0.8)
    corner = (-7.5, -6.0)
    picture = photograph(camera, cells, 1.5, corner)
    board = find_chessboard(picture, 7, 5, Quantity(1.5, "mm"))
    assert isinstance(board, Chessboard)
    # Which corner comes first is the finder's choice.
    at = camera.places(np.asarray(board.corners_px))
    seen = edges_of(picture, board)
    columns, rows = np.meshgrid(np.arange(7), np.arange(5))
    own = 1.5 * np.column_stack([columns.ravel(), rows.ravel()])
    turn = np.linalg.lstsq(np.column_stack([own, np.ones(len(own))]), at, rcond=None)[0]
    places = np.column_stack([seen.places_mm, np.ones(len(seen.places_mm))]) @ turn
    assert len(seen.points_px) > 70
    assert off_px(structs.replace(seen, places_mm=places), camera, 0.0).std() < 0.03


def test_a_white_that_blooms_moves_all_edges_by_one_amount() -> None:
    camera = Camera(**SMALL, tilt_deg=20, spin_deg=-31)
    picture, _ = shot(camera, blur=1.2, exposure=3.0)
    seen = edges_of(picture, found(picture))
    off = off_px(seen, camera, FIRST)
    assert off.mean() < -0.15
    assert off.std() < 0.04
    assert np.abs(left_over_px(seen, scale(found(picture), profile=None).view)).max() < 0.1


def test_a_spoilt_edge_is_left_out() -> None:
    camera = Camera(**SMALL, spin_deg=12)
    picture, true = shot(camera)
    target = found(picture)
    clean = edges_of(picture, target)
    spoilt = picture.copy()
    # A light smear along one module of the top side, a third of a module wide.
    x, y = np.round(true[0] + (true[1] - true[0]) * 0.58).astype(int)
    spoilt[y - 9 : y + 10, x - 9 : x + 10] = picture.max()
    seen = edges_of(spoilt, target)
    assert len(seen.points_px) < len(clean.points_px)
    assert np.abs(off_px(seen, camera, FIRST)).max() < 0.15


def test_a_print_too_small_or_not_to_be_seen_keeps_its_corners() -> None:
    # Modules of 4.7 px.
    far = Camera(**(SMALL | {"distance_mm": 380.0}))
    picture, true = shot(far)
    small = Marker(tuple(map(tuple, true.tolist())), SIDE, 7)  # type: ignore[arg-type] # four pairs
    kept = scale(small, profile=None)
    assert with_printed_edges(kept, picture, small) is kept
    picture, _ = shot(Camera(**SMALL))
    target = found(picture)
    kept = scale(target, profile=None)
    assert with_printed_edges(kept, np.full_like(picture, 120), target) is kept


def test_edges_tell_a_distance_better_than_four_corners() -> None:
    # Two holes far to either side of a marker; edges 0.2 px grown, each 0.05 px off.
    camera = Camera(tilt_deg=12, spin_deg=30)
    rims = [rim(camera, 4.0, at, PAPER_MM, "hand") for at in ((-50.0, 10.0), (45.0, 25.0))]
    exact = structs.replace(marker(camera, 8.0), side=Quantity(8.0, "mm"))
    by_corners = scale(exact, profile=None)
    by_edges = structs.replace(by_corners, seen=_edges_seen(camera))
    corners, edges = (measure_holes(one, rims, trials=1000) for one in (by_corners, by_edges))
    true = np.hypot(95, 15)
    assert edges.pairs[0].distance.u < 0.85 * corners.pairs[0].distance.u
    assert abs(edges.pairs[0].distance.value - true) < 2 * edges.pairs[0].distance.u


def _edges_seen(camera: Camera) -> Seen:
    """Return edges between 6 x 6 modules of 8 mm, white now on one side, now on the other."""
    first = np.array([-8.0, -12.0])
    middles, lines = np.meshgrid(np.arange(6) + 0.5, np.arange(7))
    right = 8 / 6 * np.column_stack([lines.ravel(), middles.ravel()])
    places = np.concatenate([right, right[:, ::-1]])
    sideways = np.repeat(np.eye(2), len(right), axis=0)
    here, ahead = camera.see(first + places), camera.see(first + places + 0.01 * sideways[:, ::-1])
    along = (ahead - here) / np.linalg.norm(ahead - here, axis=1, keepdims=True)
    across = np.column_stack([along[:, 1], -along[:, 0]])
    across *= np.where(np.arange(len(across)) % 2, 1.0, -1.0)[:, None]
    off = -0.2 + 0.05 * np.random.default_rng(5).normal(size=(len(here), 1))
    return Seen(here + off * across, places, 0.06, across)
