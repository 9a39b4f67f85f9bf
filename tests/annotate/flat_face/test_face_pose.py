"""What is known of a lens before a face is seen."""

import pytest

from annotate.flat_face.face_pose import AXIS_U, BARE_AXIS_U, CUT_AXIS_U, lens_of, maybe_cut
from annotate.optics.lens import View


# Shapes of sensors: common practice, no source.
@pytest.mark.parametrize("size", [(4032, 3024), (3024, 4032), (6000, 4000), (1920, 1080)])
def test_a_picture_of_a_sensors_shape_was_hardly_cut(size) -> None:
    assert not maybe_cut(View(*size))


@pytest.mark.parametrize("size", [(4032, 2800), (1500, 700)])
def test_a_picture_of_another_shape_may_have_been_cut(size) -> None:
    assert maybe_cut(View(*size))


def test_the_less_is_known_the_farther_off_the_axis_may_lie() -> None:
    # The diagonal of 4000 x 3000 is 5000 px.
    assert lens_of(View(4000, 3000, 4000.0))[2] == pytest.approx(AXIS_U * 5000)
    assert lens_of(View(4000, 3000))[2] == pytest.approx(BARE_AXIS_U * 5000)
    assert lens_of(View(3000, 4000))[2] == pytest.approx(BARE_AXIS_U * 5000)
    # 5, 12, 13
    assert lens_of(View(2400, 1000))[2] == pytest.approx(CUT_AXIS_U * 2600)
    assert AXIS_U < BARE_AXIS_U < CUT_AXIS_U
