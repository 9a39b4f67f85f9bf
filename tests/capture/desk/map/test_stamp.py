"""How large stamps are, and how far they keep from holes."""

import pytest

from capture.desk.map.faces import Spotted
from capture.desk.map.stamp import HIGH, MARGIN, SIGN, SLIP_WIDE, cut, kept_clear, stamp_wide
from capture.desk.walk.lying import Lying


def ten_each(text: str) -> float:
    return 10.0 * len(text)


def spot(number: int, *, waived: bool = False) -> Spotted:
    lies = Lying("within", "within", waived=waived)
    return Spotted("K1", number, "Core plug 1", lies)


def test_a_stamp_holds_number_sign_and_slip() -> None:
    wide = stamp_wide(spot(12), ten_each)
    assert wide > 2 * MARGIN + 20 + SIGN
    assert stamp_wide(spot(12, waived=True), ten_each) == wide + SLIP_WIDE
    assert SIGN < HIGH


def test_enlarged_a_stamp_keeps_farther_off_for_the_hole_is_larger() -> None:
    whole, enlarged = kept_clear(480.0), kept_clear(960.0)
    assert enlarged[0] == pytest.approx(2 * whole[0])
    assert list(whole) == sorted(whole, reverse=True)
    assert max(kept_clear(1e6)) < 300  # far in, it stays on the screen


def test_a_large_core_hole_stays_in_sight() -> None:
    # In the sample of a block's side a core hole's radius is a tenth of the picture's height.
    assert kept_clear(480.0)[0] > 48.0


def test_what_is_too_long_ends_in_an_ellipsis() -> None:
    assert cut("Core plug 1", 60, ten_each) == "Core\u2026"
    assert cut("Core", 60, ten_each) == "Core"
