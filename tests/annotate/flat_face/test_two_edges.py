"""Both edges of a chamfer, found on pictures drawn by a camera of plain formulas."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.errors import CannotMeasure
from annotate.fit import fit_circle
from annotate.flat_face.two_edges import Edges, both_edges
from annotate.marks import Layer, Rim
from annotate.scale import Scale, scale_from
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import marker, pairs

AT, RADIUS, WIDTH = (-20.0, -10.0), 5.0, 0.6
Grey = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


def drawn(camera: Camera, edges: list[tuple[float, float, Grey]]) -> np.ndarray:
    """Return a picture of circles about one axis: (radius, depth in mm, light inside) from above.

    Each is seen only through those above it.
    """
    import cv2  # noqa: PLC0415 - as in the code under test

    fine = 2
    steps = (np.arange(camera.width * fine) + 0.5) / fine - 0.5
    rows = (np.arange(camera.height * fine) + 0.5) / fine - 0.5
    pixels = np.stack(np.meshgrid(steps, rows), axis=-1).reshape(-1, 2)
    rays = np.column_stack([(pixels - camera.centre) / camera.focal, np.ones(len(pixels))])
    turned, eye = rays @ camera.rotation, camera.rotation.T @ camera.shift
    light = np.full(len(pixels), 0.5)
    seen = np.ones(len(pixels), dtype=bool)
    for radius, depth, inside in edges:
        place = turned[:, :2] / turned[:, 2:] * (eye[2] + depth) - eye[:2]
        off = place - AT
        seen &= np.hypot(*off.T) < radius
        towards = np.arctan2(off[:, 1], off[:, 0])
        light[seen] = np.interp(towards[seen], np.linspace(-np.pi, np.pi, len(inside)), inside)
    small = light.reshape(camera.height, fine, camera.width, fine).mean(axis=(1, 3))
    soft = cv2.GaussianBlur(small, (0, 0), 0.8)
    grain = np.random.default_rng(3).normal(0, 0.004, soft.shape)
    coded = np.clip(soft + grain, 0, 1) ** (1 / 2.2)
    return (255 * coded + 0.5).astype(np.uint8)


def camera(tilt: float) -> Camera:
    return Camera(width=640, height=480, focal=1000.0, tilt_deg=tilt, distance_mm=110.0)


def scale(one: Camera) -> Scale:
    # The camera's 1000 px of focal length as the 35 mm equivalent that a file would tell.
    focal_35mm = one.focal * np.hypot(36, 24) / np.hypot(one.width, one.height)
    found = scale_from(marker(one), Layer(one.width, one.height, focal_35mm=focal_35mm))
    assert isinstance(found, Scale)
    return found


def rim_at(one: Camera, radius: float, depth: float, sideways: float = 0.0) -> Rim:
    edge = one.see(circle(radius, (AT[0] + sideways, AT[1])), depth)
    return Rim("near", pairs(edge), 0.3, "found")


def sizes(one: Camera, edges: Edges, depth: float) -> tuple[float, float | None]:
    """Return the radii of the edges found, as places on their planes show them."""

    def radius(rim: Rim, below: float) -> float:
        pixels = rim.array_px()
        rays = np.column_stack([(pixels - one.centre) / one.focal, np.ones(len(pixels))])
        turned, eye = rays @ one.rotation, one.rotation.T @ one.shift
        return fit_circle(turned[:, :2] / turned[:, 2:] * (eye[2] + below) - eye[:2]).shape.radius

    outer = None if edges.outer is None else radius(edges.outer, 0.0)
    return radius(edges.drilled, depth), outer


BRIGHT, DARK = np.array([0.75, 0.2, 0.75]), np.array([0.06, 0.12, 0.06])


@pytest.mark.parametrize("tilt", [0.0, 25.0])
@pytest.mark.parametrize("start", ["outer", "drilled", "between"])
def test_both_edges_come_out_whichever_the_rim_ran_along(tilt: float, start: str) -> None:
    one = camera(tilt)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, BRIGHT), (RADIUS, WIDTH, DARK)])
    rim = {
        "outer": rim_at(one, RADIUS + WIDTH, 0.0),
        "drilled": rim_at(one, RADIUS, WIDTH),
        "between": rim_at(one, RADIUS + WIDTH / 2, WIDTH / 2, sideways=0.15),
    }[start]
    edges = both_edges(picture, scale(one), rim)
    drilled, outer = sizes(one, edges, WIDTH)
    assert outer is not None
    # Four tenths of a pixel here are 0.05 mm.
    assert_allclose([drilled, outer], [RADIUS, RADIUS + WIDTH], atol=0.05)


def test_no_point_lies_where_the_face_hides_the_drilled_edge() -> None:
    # A chamfer of 30 degrees to the axis, seen at 40 degrees: a part of its lower edge is hidden.
    one, depth = camera(40.0), WIDTH * 1.7
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, BRIGHT), (RADIUS, depth, DARK)])
    edges = both_edges(picture, scale(one), rim_at(one, RADIUS + WIDTH, 0.0))
    assert edges.outer is not None
    pixels = edges.drilled.array_px()
    rays = np.column_stack([(pixels - one.centre) / one.focal, np.ones(len(pixels))])
    turned, eye = rays @ one.rotation, one.rotation.T @ one.shift
    on_face = turned[:, :2] / turned[:, 2:] * eye[2] - eye[:2]
    # Seen on the face, no point lies on the edge in the face or beyond it.
    assert np.hypot(*(on_face - AT).T).max() < RADIUS + WIDTH - 0.1


@pytest.mark.parametrize(("wall", "partly"), [(0.06, False), (0.5, True)])
def test_an_edge_beside_a_wall_as_light_as_the_face_shows_on_a_part_only(wall, partly) -> None:
    one = camera(10.0)
    inside = np.where(np.linspace(-np.pi, np.pi, 181) > np.pi / 3, wall, 0.06)
    edges = both_edges(drawn(one, [(RADIUS, 0.0, inside)]), scale(one), rim_at(one, RADIUS, 0.0))
    assert edges.outer is None
    assert edges.partly is partly


def part_lit(one: Camera, share: float) -> np.ndarray:
    """Return a picture of a plain hole whose wall is as light as the face on a share of it."""
    inside = np.where(np.linspace(0, 1, 361) < share, 0.5, 0.06)
    return drawn(one, [(RADIUS, 0.0, inside)])


def test_of_a_hole_that_is_known_to_be_plain_a_part_is_enough() -> None:
    one = camera(10.0)
    for share, shows in ((0.3, True), (0.55, False)):
        picture, rim = part_lit(one, share), rim_at(one, RADIUS, 0.0)
        if shows:
            assert both_edges(picture, scale(one), rim).partly
            edges = both_edges(picture, scale(one), rim, plain=True)
            assert not edges.partly
            assert_allclose(sizes(one, edges, 0.0)[0], RADIUS, atol=0.03)
            continue
        # That might be the bottom of a hole as well.
        for plain in (False, True):
            with pytest.raises(CannotMeasure, match="hardly more than half of one circle"):
                both_edges(picture, scale(one), rim, plain=plain)


def test_no_chamfer_is_looked_for_where_there_is_none() -> None:
    one = camera(12.0)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, BRIGHT), (RADIUS, WIDTH, DARK)])
    rim = rim_at(one, RADIUS + WIDTH, 0.0)
    assert both_edges(picture, scale(one), rim).outer is not None
    edges = both_edges(picture, scale(one), rim, plain=True)
    assert edges.outer is None
    assert not edges.partly


def test_the_bottom_of_a_hole_is_no_chamfer() -> None:
    # 12 mm deep, seen as much smaller as a chamfer's lower edge would be, but moved farther.
    one = camera(12.0)
    picture = drawn(one, [(RADIUS, 0.0, np.array([0.2, 0.3, 0.2])), (RADIUS, 12.0, DARK)])
    edges = both_edges(picture, scale(one), rim_at(one, RADIUS, 0.0))
    assert edges.outer is None
    assert_allclose(sizes(one, edges, 0.0)[0], RADIUS, atol=0.03)


def test_a_lower_edge_that_shows_here_and_there_is_refused() -> None:
    # As dark as the hole but for a crescent of an eighth: which circle ends it hardly shows.
    one = camera(12.0)
    crescent = np.where(np.abs(np.linspace(-np.pi, np.pi, 181)) < np.pi * 0.3, 0.7, 0.06)
    dark = np.full(3, 0.06)
    picture = drawn(one, [(RADIUS + WIDTH, 0.0, crescent), (RADIUS, WIDTH, dark)])
    with pytest.raises(CannotMeasure, match="below a chamfer"):
        both_edges(picture, scale(one), rim_at(one, RADIUS + WIDTH, 0.0))


def test_a_rim_of_nothing_stays_what_it_was() -> None:
    one = camera(5.0)
    blank = np.full((480, 640), 128, np.uint8)
    rim = rim_at(one, RADIUS, 0.0)
    edges = both_edges(blank, scale(one), rim)
    assert edges.outer is None
    assert_allclose(edges.drilled.array_px(), rim.array_px())
