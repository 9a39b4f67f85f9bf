"""A near hole's own far edge that hardly shows, or may be a shadow: what is told of it, drawn."""

import numpy as np
import numpy.typing as npt

from annotate.edges import Rims, find_rims
from annotate.marks import ONLY_A_SIDE
from annotate.wall_hint import WallHint
from tests.annotate.holes_drawn import Drawn, but
from tests.annotate.test_edges import click_at, rms


def in_a_piece(drawn: Drawn, half_deg: float) -> npt.NDArray[np.uint8]:
    """Return a drawing whose wall is as light as the part behind, but for a piece of it."""
    dark, light = drawn.picture(), but(drawn, wall=drawn.behind).picture()
    rows, columns = np.indices(dark.shape)
    unit = drawn.to_unit(np.stack([columns, rows], axis=-1).astype(np.float64))
    piece = np.abs(np.arctan2(unit[..., 1], unit[..., 0])) < np.radians(half_deg)
    return np.where(piece, dark, light)


def test_of_an_own_far_edge_in_a_piece_no_more_is_told_than_its_side() -> None:
    tilted = but(Drawn(), squash=0.9, back=(-0.25, 0.0, 0.97), far=(-0.7, 0.3, 0.9))
    wall = WallHint(0.25 / np.tan(np.arccos(0.9)), 0.01, 1230.0)
    assert tilted.back is not None
    for half_deg, side in ((16.0, True), (60.0, False)):
        picture = in_a_piece(tilted, half_deg)
        rims = find_rims(picture, click_at(tilted, -0.5, 0.3), wall)
        assert isinstance(rims, Rims)
        assert rims.back is not None
        size = tilted.radius_px * 0.9**0.5
        assert (rims.back.sigma_px > 0.9 * ONLY_A_SIDE * size) == side
        assert rms(tilted.off_px(rims.back.array_px(), tilted.back)) < 1.5
        # Without the wall nothing tells a piece from a stain.
        bare = find_rims(picture, click_at(tilted, -0.5, 0.3))
        assert isinstance(bare, Rims)
        assert bare.back is None or not side


def test_an_own_far_edge_that_may_be_a_shadow_is_told_loosely() -> None:
    square = but(Drawn(), squash=0.998, back=(-0.09, 0.0, 0.98))
    wall = WallHint(1.4, 0.02, 3700.0)
    assert square.back is not None
    for tone, loose in ((20.0, True), (95.0, False)):
        picture = but(square, wall=tone, behind=120.0).picture()
        rims = find_rims(picture, click_at(square), wall)
        assert isinstance(rims, Rims)
        assert rims.back is not None
        assert rms(square.off_px(rims.back.array_px(), square.back)) < 0.6
        assert (rims.back.sigma_px > 0.04 * square.radius_px) == loose
