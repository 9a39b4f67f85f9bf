"""A chamfer's lower edge is told from the wall of the hole by where it can lie."""

import numpy as np
import pytest

from annotate.near_edges.chamfer import drilled_edge
from annotate.near_edges.rings import Ring
from annotate.pixels.halvings import pyramid
from annotate.pixels.polar import Frame, circle, frame_of

Array = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
LEAN = np.radians(24)
OUTER = frame_of(160.0, 150.0, (90.0 * np.cos(LEAN), 90.0), 0.0)


def drawn(inner: Frame | None) -> "np.ndarray[tuple[int, int], np.dtype[np.uint8]]":
    """Return a face with a hole whose border is one edge, or two with ``inner``."""
    import cv2  # noqa: PLC0415 - as in the code under test

    columns, rows = np.meshgrid(np.arange(320.0), np.arange(300.0))
    places = np.stack([columns, rows], axis=-1)
    grey = np.full((300, 320), 160.0)
    for frame, tone in ((OUTER, 100.0), (inner, 40.0)):
        if frame is not None:
            unit = frame.to_unit(places)
            grey[np.hypot(unit[..., 0], unit[..., 1]) < 1] = tone
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0)
    grain = np.random.default_rng(2).normal(0, 1.5, grey.shape)
    return np.clip(soft + grain, 0, 255).astype(np.uint8)


def off(ring: Ring, frame: Frame) -> float:
    """Return how far a ring's points lie off a frame's outline, in px, on average."""
    unit = frame.to_unit(ring.frame.to_px(circle(60)))
    return float(np.abs(np.hypot(unit[:, 0], unit[:, 1]) - 1).mean() * frame.radius_px)


@pytest.mark.parametrize("width", [0.05, 0.1, 0.18])
@pytest.mark.parametrize("sign", [-1, 1])
def test_lower_edge_moved_along_the_tilt_is_the_drilled_edge(width: float, sign: int) -> None:
    moved = np.array([sign * width * np.tan(LEAN), 0.0])
    lower = OUTER.shifted(moved).grown(1 - width)
    ring, doubt = drilled_edge(pyramid(drawn(lower)), Ring(OUTER, 0.9))
    assert off(ring, lower) < 0.6
    assert 0 < doubt < 0.1 * width * OUTER.radius_px


@pytest.mark.parametrize("move", [(0.0, 0.09), (0.12, 0.0)])
def test_an_edge_moved_otherwise_is_none(move: tuple[float, float]) -> None:
    other = OUTER.shifted(np.array(move)).grown(0.9)
    ring, _ = drilled_edge(pyramid(drawn(other)), Ring(OUTER, 0.9))
    assert ring.frame == OUTER


def test_without_a_second_edge_there_is_no_doubt() -> None:
    ring, doubt = drilled_edge(pyramid(drawn(None)), Ring(OUTER, 0.9))
    assert (ring.frame, doubt) == (OUTER, 0.0)
