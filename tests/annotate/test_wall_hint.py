"""What typed sizes foretell of a wall, in near radii."""

from math import hypot

import msgspec
import pytest

from annotate.errors import BadMark
from annotate.marks import Rim
from annotate.pixels.large import reduced_hint
from annotate.quantity import Quantity
from annotate.wall_hint import WallHint, wall_hint

NEAR, WALL = Quantity(8.0, "mm", 0.02), Quantity(2.0, "mm", 0.05)


def test_a_wall_is_told_in_near_radii_whatever_the_unit() -> None:
    hint = wall_hint(NEAR, WALL, 3000.0)
    assert hint is not None
    assert hint.radii == pytest.approx(0.5)
    assert hint.u_radii == pytest.approx(0.5 * hypot(0.0025, 0.025))
    assert hint.focal_px == 3000.0
    inches = wall_hint(NEAR, Quantity(2.0 / 25.4, "in", 0.05 / 25.4), None)
    assert inches is not None
    assert inches.radii == pytest.approx(hint.radii)
    assert inches.u_radii == pytest.approx(hint.u_radii)
    assert inches.focal_px is None


def test_without_both_sizes_nothing_is_known() -> None:
    assert wall_hint(None, WALL, 3000.0) is None
    assert wall_hint(NEAR, None, 3000.0) is None


def test_a_reduced_picture_has_a_shorter_focal_length() -> None:
    hint = WallHint(0.5, 0.01, 3000.0)
    assert reduced_hint(hint, 3) == WallHint(0.5, 0.01, 1000.0)
    unknown = WallHint(0.5, 0.01)
    assert reduced_hint(unknown, 3) is unknown
    assert reduced_hint(None, 3) is None


@pytest.mark.parametrize(
    "wrong", [(0.0, 0.1), (-1.0, 0.1), (float("nan"), 0.1), (0.5, -0.1), (0.5, float("inf")),
              (0.5, 0.1, 0.0), (0.5, 0.1, float("nan"))],
)  # fmt: skip
def test_nonsense_is_refused(wrong: tuple[float, ...]) -> None:
    with pytest.raises(BadMark):
        WallHint(*wrong)


def test_marks_without_a_hint_are_written_as_before() -> None:
    rim = Rim("far", ((1.0, 2.0),), 0.5, "found")
    assert "wall_hint" not in msgspec.to_builtins(rim)
    known = msgspec.structs.replace(rim, wall_hint=WallHint(0.5, 0.01))
    assert msgspec.convert(msgspec.to_builtins(known), Rim) == known
