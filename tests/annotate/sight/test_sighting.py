"""What a sighting takes a rim for, against projections of drilled holes by another library."""

from dataclasses import replace

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.coverage import measure
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.holes import INDEX
from annotate.marks import Layer, Point, Rim
from annotate.quantity import Quantity
from annotate.sight import sighting
from annotate.sight.priors import ASSUMED
from tests.annotate.drilled import Drilled

SCENE = Drilled(r_near=4.0, r_far=4.4, offset=(2.0, 1.0), tilt_deg=14.0, tilt_towards_deg=70.0)
NEAR = Quantity(8.0, "mm", 0.005)


def found(scene: Drilled, which: str, at: np.ndarray, wobble_px: float = 0.0) -> Rim:
    points = scene.rim(which, at)
    middle = points.mean(axis=0)
    out = (points - middle) / np.linalg.norm(points - middle, axis=1, keepdims=True)
    # Three waves and a jitter along what is seen: no circle before any camera looks like that.
    wave = np.sin(np.linspace(0, 6 * np.pi, len(points)))[:, None]
    points = points + wobble_px * wave * out
    return Rim(which, tuple(map(tuple, points.tolist())), 0.3, "found", Point(*middle.tolist()))


def layer(scene: Drilled, *, wobble_px: float = 0.0, lens: bool = True) -> Layer:
    near = found(scene, "near", np.linspace(0, 2 * np.pi, 90, endpoint=False))
    far = found(scene, "far", scene.longest_arc(60), wobble_px)
    focal_35mm = scene.focal_px * np.hypot(36, 24) / np.hypot(*scene.size) if lens else None
    return Layer(*scene.size, (near, far), focal_35mm)


def givens() -> Givens:
    wall, bore = Quantity(SCENE.wall, "mm", 0.01), Quantity(50.0, "mm", 0.05)
    return Givens(near_diameter=NEAR, wall=wall, bore_diameter=bore)


def test_a_found_far_rim_is_the_border_of_a_broken_edge() -> None:
    # Seen 0.04 mm outside the drilled radius, as stated: then the drilled one comes out, to half a
    # standard deviation (0.013): the near edge, at the face here, may lie deeper for all one knows.
    border = replace(SCENE, r_far=SCENE.r_far + ASSUMED["edge_break"][0])
    found = layer(border)
    # Placed by hand the near rim settles which way the camera leans.
    marks = tuple(
        structs.replace(m, placed="hand") if m.which == "near" else m for m in found.marks
    )
    by_hand = Layer(*SCENE.size, marks, found.focal_35mm)
    covered = measure(by_hand, givens()).covered.quantity
    assert_allclose(covered.value, SCENE.covered(), atol=0.0065)
    low, high = covered.interval()
    assert low < replace(SCENE, r_far=border.r_far).covered() < high


def test_a_line_that_is_no_drilled_edge_is_refused() -> None:
    assert measure(layer(SCENE, wobble_px=0.5), givens()).covered
    with pytest.raises(CannotMeasure, match="arc of the far rim does not lie on a drilled hole"):
        measure(layer(SCENE, wobble_px=2.5), givens())


def test_points_placed_by_hand_are_not_doubted() -> None:
    wobbly = layer(SCENE, wobble_px=4.0)
    by_hand = tuple(Rim(r.which, r.points_px[::6], 1.0) for r in wobbly.marks)
    assert measure(Layer(*SCENE.size, by_hand, wobbly.focal_35mm), givens()).covered


def test_an_unknown_lens_is_bounded_by_how_near_a_camera_can_be() -> None:
    ready = sighting.prepare(layer(SCENE, lens=False), givens())
    assert ready.lens_assumed
    assert sighting.sources(ready)[-1] == "lens"
    q = np.zeros((2, len(ready.mean)))
    at = INDEX["ln_focal"]
    size, radius = ready.mean[INDEX["ln_size"]], ready.mean[INDEX["ln_near"]]
    mean, deviation = ASSUMED["ln_distance"]
    # A camera at the mean distance, and one a standard deviation farther.
    for row, away in enumerate((0.0, 1.0)):
        ln_focal = mean + away * deviation + size - radius
        q[row, at] = (ln_focal - ready.mean[at]) / ready.deviation[at]
    left = sighting.residuals(ready, q)[:, -1]
    assert_allclose(left, [0.0, 1.0], atol=1e-9)
    assert not sighting.prepare(layer(SCENE), givens()).lens_assumed


def test_every_residual_has_its_source() -> None:
    for lens in (True, False):
        ready = sighting.prepare(layer(SCENE, lens=lens), givens())
        left = sighting.residuals(ready, np.zeros((1, len(ready.mean))))
        assert left.shape[1] == len(sighting.sources(ready))
