"""A far rim in part, or what may be no rim: how loosely it is told to lie, drawn."""

import numpy as np
import numpy.typing as npt
import pytest

from annotate.edges import Rims, find_rims
from annotate.marks import MAY_BE_END
from tests.annotate.holes_drawn import Drawn, but
from tests.annotate.test_edges import PLAIN, WALL, click_at, rms


def in_shade(drawn: Drawn, from_deg: float) -> npt.NDArray[np.uint8]:
    """Return a drawing in which the part behind is as dark as the far drilling on one side.

    ``from_deg`` is the angle round the far hole, from the middle of what shows of its rim.
    """
    assert drawn.far is not None
    light, dark = drawn.picture(), but(drawn, behind=drawn.opening).picture()
    rows, columns = np.indices(light.shape)
    x, y = np.array(drawn.far[:2])
    unit = drawn.to_unit(np.stack([columns, rows], axis=-1).astype(np.float64)) - (x, y)
    along, across = unit @ (-x, -y), unit @ (y, -x)
    return np.where(np.arctan2(across, along) > np.radians(from_deg), dark, light)


@pytest.mark.parametrize(("from_deg", "least", "most"), [(90.0, 0.0, 0.6), (0.0, 1.0, 3.0)])
def test_a_rim_of_which_half_does_not_show_is_told_to_lie_loosely(
    from_deg: float, least: float, most: float
) -> None:
    seen = but(PLAIN, in_light=True)
    rims = find_rims(in_shade(seen, from_deg), click_at(PLAIN))
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert PLAIN.far is not None
    assert rms(PLAIN.off_px(rims.far.array_px(), PLAIN.far)) < 0.3
    # Half of it hidden is a quarter of .09 near radii of 76 px.
    assert least < rims.far.sigma_px < most


@pytest.mark.parametrize(
    ("x", "behind", "loose"), [(-0.9, 140.0, True), (0.9, 140.0, False), (-0.9, 55.0, False)]
)
def test_what_may_be_the_far_drillings_end_lit_from_behind_is_told_loosely(
    x: float, behind: float, loose: bool
) -> None:
    # PLAIN's own far edge is moved towards -x. What lies that way may be deeper than it: its wall
    # is lit from behind, the part behind is not.
    lit = but(PLAIN, far=(x, 0.1, 1.0), opening=245.0, behind=behind, in_light=True)
    rims = find_rims(lit.picture(), click_at(lit, 0.7 * x, 0.1))
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert rims.back is not None
    assert lit.far is not None
    assert rms(lit.off_px(rims.far.array_px(), lit.far)) < 0.3
    assert (rims.far.sigma_px > 0.9 * MAY_BE_END * PLAIN.radius_px) == loose


def test_what_may_be_an_end_in_the_dark_is_no_rim_and_is_called_that() -> None:
    # Moved the way of PLAIN's own far edge, and next to no light on the metal round it.
    dark = but(PLAIN, far=(-0.9, 0.1, 1.0), opening=6.0, behind=36.0, in_light=True)
    rims = find_rims(dark.picture(), click_at(dark, -0.6, 0.1))
    assert isinstance(rims, Rims)
    assert rims.far is None
    assert rims.far_state == "end"


@pytest.mark.parametrize("wall", [30.0, 36.0])
def test_the_near_holes_own_edge_in_the_dark_is_no_end_of_the_far_drilling(wall: float) -> None:
    view = but(PLAIN, far=None, behind=4.0, wall=wall)
    rims = find_rims(view.picture(), click_at(view), WALL)
    assert isinstance(rims, Rims)
    assert rims.back is not None
    assert rims.far_state == "open"
