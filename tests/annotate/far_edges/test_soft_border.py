"""A shadow's soft border is told from an edge of metal, however grainy the photo.

Outside: across a step blurred by a Gaussian the tone is its normal distribution function, so within
d either side lies erf(d / (sqrt(2) s)) of the change (by the definition of erf).
"""

from math import erf, sqrt

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.far_edges.arcs import Arc
from annotate.far_edges.rough_arcs import Patch
from annotate.far_edges.soft_border import is_soft

HALF, SIDE = 130.0, 339
AXIS = (np.arange(SIDE) - (SIDE - 1) / 2) / HALF
RIM = Arc(0.2, 0.1, 0.6, -1.2, 2.4, 0.6, 0.85, 60.0, 1.0, 60.0, 120.0, 3.0)
SHARP = Arc(-0.3, 0.0, 0.5, np.pi - 1.0, 2.0, 0.6, 0.85, 60.0, 1.0, 60.0, 120.0, 3.0)


def seen(blur: float, *, change: float = 60.0, grain: float = 0.0, sharp: float = 0.004) -> Patch:
    """Return a patch with ``RIM`` blurred by so many near radii, and ``SHARP`` by few."""
    x, y = np.meshgrid(AXIS, AXIS)
    image = np.full((SIDE, SIDE), 60.0)
    for arc, wide, step in ((RIM, blur, change), (SHARP, sharp, 60.0)):
        off = np.hypot(x - arc.x, y - arc.y) - arc.radius
        # Each side of the picture has one of them.
        here = x > -0.05 if arc is RIM else x < -0.05
        image += here * step * 0.5 * (1 + np.vectorize(erf)(off / (sqrt(2) * wide)))
    image += np.random.default_rng(3).normal(0, grain, image.shape) if grain else 0.0
    return Patch(image.astype(np.float32), HALF)


@pytest.mark.parametrize("grain", [0.0, 8.0])
def test_a_border_that_goes_on_changing_is_soft(grain: float) -> None:
    # Of blur s erf(.02 / (1.41 s)) / erf(.08 / (1.41 s)) lies close: .29 with .08, .50 with .03.
    assert is_soft(seen(0.08, grain=grain), RIM, [SHARP])
    assert not is_soft(seen(0.03, grain=grain), RIM, [SHARP])
    assert not is_soft(seen(0.004, grain=grain), RIM, [SHARP])


def test_where_every_edge_is_as_soft_the_lens_is() -> None:
    assert not is_soft(seen(0.08, sharp=0.08), RIM, [SHARP])


def test_it_takes_a_plain_edge_to_compare_with() -> None:
    assert not is_soft(seen(0.08), RIM, [])
    assert not is_soft(seen(0.08), RIM, [replace(SHARP, worth=0.05)])


@pytest.mark.parametrize(("blur", "soft"), [(0.004, True), (0.08, False)])
def test_in_the_dark_the_near_rim_is_a_plain_edge(blur: float, soft: bool) -> None:
    off = np.hypot(*np.meshgrid(AXIS, AXIS)) - 1.0
    near = 90.0 * 0.5 * (1 + np.vectorize(erf)(off / (sqrt(2) * blur)))
    flat = seen(0.08, sharp=0.08)
    flat = replace(flat, image=flat.image + near.astype(np.float32))
    assert is_soft(flat, RIM, []) is soft
    # A light line along it, as a chamfer's, makes no step of it.
    line = replace(flat, image=flat.image + np.float32(150.0) * ((off > 0.005) & (off < 0.03)))
    assert not is_soft(line, RIM, [])


def test_too_slight_a_change_tells_nothing() -> None:
    assert not is_soft(seen(0.08, change=3.0), RIM, [SHARP])


def test_beside_the_near_rim_its_own_edge_would_count_in() -> None:
    beside = Arc(0.0, 0.0, 0.95, 0.0, 2.0, 0.6, 0.85, 60.0, 1.0, 60.0, 120.0, 3.0)
    assert not is_soft(seen(0.08), beside, [SHARP])


def test_a_bright_line_along_an_edge_is_no_softness() -> None:
    flat = seen(0.004)
    off = (
        np.hypot(*(np.stack(np.meshgrid(AXIS, AXIS)) - np.array([[[RIM.x]], [[RIM.y]]])))
        - RIM.radius
    )
    line = (off > -0.05) & (off < 0)
    # Lighter on the inside close by, on the outside farther off.
    assert not is_soft(replace(flat, image=flat.image + np.float32(90.0) * line), RIM, [SHARP])
